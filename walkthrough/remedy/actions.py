"""What can be done about a finding: actions, their conditions, and what they change."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from functools import cached_property

from walkthrough.remedy.declarations import (
    ActionDeclared,
    CautionDeclared,
    ChoiceDeclared,
    Opening,
    ScopeDeclared,
)
from walkthrough.rulebook.conditions import leaves
from walkthrough.rulebook.rulebook import Condition, Rulebook
from walkthrough.rulebook.situation import Situation
from walkthrough.survey.model import AnswerValue

# What a changed answer changes besides itself: the box is filled by what was counted in it.
_COUNTED = "box_"
_BOX_FILL = "box_fill_in3"


@dataclass(frozen=True)
class Clause:
    """A compiled condition of an action and what it tells."""

    condition: Condition
    says: str
    name: str = ""
    quiet: bool = False
    unless: Condition | None = None
    another_kind: bool = False
    untold: str = ""

    @cached_property
    def words(self) -> frozenset[str]:
        nodes = (each.node for each in (self.condition, self.unless) if each is not None)
        return frozenset(word for node in nodes for word in leaves(node))

    def told(self, facts: Situation) -> str:
        """Why it rules out: what is known to be so, or what is merely not known."""
        return self.untold if self.untold and self.condition.truth(facts) is None else self.says

    def bars(self, facts: Situation) -> bool:
        """Whether what must not hold is known to hold, and no way out of it is."""
        if self.condition.truth(facts) is not True:
            return False
        return self.unless is None or self.unless.truth(facts) is not True


@dataclass(frozen=True)
class Change:
    """Answers that an action sets, where its condition holds; `label` is the text of a mark.

    `does` is what the electrician does for it besides.
    """

    condition: Condition
    sets: Mapping[str, AnswerValue]
    label: str = ""
    does: str = ""

    @cached_property
    def words(self) -> frozenset[str]:
        return frozenset(leaves(self.condition.node))


@dataclass(frozen=True, eq=False)
class Action:
    """One thing that can be done; `place` is the place of its step in the order of the work."""

    id: str
    declared: ActionDeclared
    place: int
    needs: tuple[Clause, ...]
    bars: tuple[Clause, ...]
    changes: tuple[Change, ...]
    over: Change | None = None

    @cached_property
    def words(self) -> frozenset[str]:
        """The words whose values it can change."""
        found = {*self.declared.sets, *self.declared.forgets, *self.declared.year}
        found.update(word for change in self.changes for word in change.sets)
        if any(word.startswith(_COUNTED) for word in found):
            found.add(_BOX_FILL)
        return frozenset(found)


@dataclass(frozen=True)
class Choice:
    """Another way of doing it; `own` tells which outlets want a device of their own."""

    declared: ChoiceDeclared
    own: Condition | None


@dataclass(frozen=True)
class Caution:
    """What to tell of outlets that get protection by some work; `when` is asked at each."""

    declared: CautionDeclared
    when: Condition


@dataclass(frozen=True)
class Actions:
    """Everything that can be done, in the order of the work, and the scopes of a plan."""

    book: Rulebook
    actions: tuple[Action, ...]
    keeps: Condition
    kept_words: frozenset[str]
    binding: frozenset[str]
    carried: frozenset[str]
    missing: Mapping[str, AnswerValue]
    implied: tuple[Change, ...]
    opening: Opening
    scopes: Mapping[str, ScopeDeclared]
    choices: Mapping[str, Choice]
    cautions: tuple[Caution, ...] = ()

    @cached_property
    def codes(self) -> frozenset[str]:
        """The items that a price list may name."""
        return frozenset((self.opening.price, *(each.declared.price for each in self.actions)))

    @cached_property
    def at(self) -> Mapping[str, tuple[Action, ...]]:
        """The actions at each kind of subject."""
        return {
            of: tuple(each for each in self.actions if each.declared.of == of)
            for of in ("panel", "circuit", "outlet")
        }

    @cached_property
    def changeable(self) -> Mapping[str, frozenset[str]]:
        """Every word that some action can change for a circuit, or for an outlet on it."""
        panel = {word for each in self.at["panel"] if each.over for word in each.over.sets}
        circuit = panel.union(*(each.words for each in self.at["circuit"]))
        outlet = circuit.union(*(each.words for each in self.at["outlet"]))
        return {"circuit": frozenset(circuit), "outlet": frozenset(outlet)}
