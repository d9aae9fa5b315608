"""What stays known while nothing is known of what actions could change."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from walkthrough.judge.house import House
from walkthrough.remedy.actions import Actions
from walkthrough.rulebook.kleene import at_least, both
from walkthrough.rulebook.situation import Situation
from walkthrough.rulebook.words import DERIVED_WORDS
from walkthrough.survey.model import Subject

Broken = tuple[str, str, str]
"""A rule that is broken at a subject: kind and id of the subject, id of the rule."""

Cures = Mapping[tuple[str, str], frozenset[str]]
"""What the deficiencies at each subject ask for."""

PROTECTION = tuple(
    each.name
    for each in DERIVED_WORDS
    if each.name.endswith(("_protected", "_protector_accessible"))
)
# Words that hang on more than the place itself and its circuit's answers.
ELSEWHERE = (
    "code_year",
    "receptacles_on_circuit",
    "outlets_on_circuit",
    "afci_at_origin",
    "afci_at_first_receptacle",
)


def gathered(
    house: House,
    actions: Actions,
    cures: Cures,
    above: Mapping[str, Subject],
    word: str,
) -> bool | None:
    """A gather with everything unknown that an action could change."""
    gather, condition = house.book.gathers[word]
    truths: list[bool | None] = []
    for child in house.children(above[gather.of], gather.over):
        stays = not _may_go(actions, cures.get(house.key(child), frozenset()), child)
        truths.append(condition.truth(_loose(house, actions, child)) if stays else None)
    if word in house.book.settled_when:
        # An action may add one, and by that also where the record ends.
        truths.append(None)
    return at_least(gather.at_least, truths) if gather.any else both(truths)


def _may_go(actions: Actions, asked: frozenset[str], child: Subject) -> bool:
    """Whether an action may take an outlet away: then nothing can be built on it."""
    return any(
        each.declared.removes and (not each.declared.only_for or asked & {*each.declared.only_for})
        for each in actions.at.get(child.of, ())
    )


def _loose(house: House, actions: Actions, child: Subject) -> Situation:
    above = house.above(child)
    movable = changeable(actions, "outlet")
    if actions.keeps.truth(house.situation(child)) is True:
        # It is judged with these as they were as well: no plan gets past that.
        movable = movable - actions.kept_words

    def provide(word: str) -> Any:
        if word in movable or word in ELSEWHERE or word in house.book.gathers:
            return None
        return house.value(word, above)

    return Situation({}, house.book.terms, provide)


def changeable(actions: Actions, of: str) -> frozenset[str]:
    """Every word that some action can change for a kind of subject, and what follows from it."""
    scopes = ("outlet", "circuit") if of == "outlet" else (of,)
    found = {word for scope in scopes for each in actions.at[scope] for word in each.words}
    found.update(word for each in actions.at["panel"] if each.over for word in each.over.sets)
    found.update(PROTECTION)
    return frozenset(found)
