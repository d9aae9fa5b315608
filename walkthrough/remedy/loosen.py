"""What stays known while nothing is known of what actions could change."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from walkthrough.judge.house import House, SubjectKey
from walkthrough.remedy.actions import Actions
from walkthrough.rulebook.kleene import at_least, both
from walkthrough.rulebook.situation import Situation
from walkthrough.survey.model import Subject

Broken = tuple[str, str, str]
"""A rule that is broken at a subject: kind and id of the subject, id of the rule."""

Cures = Mapping[tuple[str, str], frozenset[str]]
"""What the deficiencies at each subject ask for."""

# Words that hang on more than the place itself and its circuit's answers.
ELSEWHERE = (
    "code_year",
    "receptacles_on_circuit",
    "outlets_on_circuit",
    "afci_at_origin",
    "afci_at_first_receptacle",
)


class Loosened:
    """A house with everything unknown that an action could change; worked out once for all places.

    `cures` is what was asked for at each subject before any work.
    """

    def __init__(self, house: House, actions: Actions, cures: Cures) -> None:
        self.house, self._actions, self._cures = house, actions, cures
        self._gathers: dict[tuple[str, SubjectKey], bool | None] = {}
        self._children: dict[SubjectKey, Situation | None] = {}

    def gathered(self, word: str, above: Mapping[str, Subject]) -> bool | None:
        """What a gather comes to for a subject, by what that belongs to."""
        house = self.house
        gather, condition = house.book.gathers[word]
        key = (word, house.key(above[gather.of]))
        if key not in self._gathers:
            children = map(self._child, house.children(above[gather.of], gather.over))
            truths = [None if each is None else condition.truth(each) for each in children]
            if word in house.book.settled_when:
                # An action may add one, and by that also where the record ends.
                truths.append(None)
            counted = at_least(gather.at_least, truths) if gather.any else both(truths)
            self._gathers[key] = counted
        return self._gathers[key]

    def _child(self, child: Subject) -> Situation | None:
        """What stays known of one that is counted; None where it may be taken away."""
        key = self.house.key(child)
        if key not in self._children:
            goes = _may_go(self.house, self._actions, self._cures.get(key, frozenset()), child)
            self._children[key] = None if goes else _loose(self.house, self._actions, child)
        return self._children[key]


def _may_go(house: House, actions: Actions, asked: frozenset[str], child: Subject) -> bool:
    """Whether an action may take an outlet away: then nothing can be built on it."""
    taking = [
        each
        for each in actions.at.get(child.of, ())
        if each.declared.removes
        and (not each.declared.only_for or asked & {*each.declared.only_for})
    ]
    facts = house.situation(child)
    movable = actions.changeable["outlet"].union(house.book.vocabulary.protection, ELSEWHERE)
    return any(
        # What is not so here, and nothing can change, never comes to be needed.
        all(need.condition.truth(facts) is not False or need.words & movable for need in each.needs)
        for each in taking
    )


def _loose(house: House, actions: Actions, child: Subject) -> Situation:
    as_found = house.situation(child)
    movable = actions.changeable["outlet"].union(house.book.vocabulary.protection)
    if actions.keeps.truth(as_found) is True:
        # It is judged with these as they were as well: no plan gets past that.
        movable = movable - actions.kept_words

    def provide(word: str) -> Any:
        if word in movable or word in ELSEWHERE or word in house.book.gathers:
            return None
        return as_found.known(word)

    return Situation({}, house.book.terms, provide)
