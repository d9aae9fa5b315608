"""Plans one group of circuits after the other, each plan judged again before it is believed."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from walkthrough.judge.house import House
from walkthrough.judge.judge import Verdict
from walkthrough.remedy.actions import Actions, Choice
from walkthrough.remedy.aim import Aim
from walkthrough.remedy.assume import Assumption, assumed, ordered
from walkthrough.remedy.clash import clashes
from walkthrough.remedy.judges import Breach, Judges, told_apart
from walkthrough.remedy.local import Place
from walkthrough.remedy.loosen import Broken, Loosened
from walkthrough.remedy.options import Bench
from walkthrough.remedy.prices import Prices
from walkthrough.remedy.search import Search
from walkthrough.remedy.tree import kinds
from walkthrough.remedy.work import Work
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.survey.model import Circuit, Outlet, Session, Subject

MOST_JUDGED = 400
"""How many plans of one group are judged before the search is given up, and says so."""


@dataclass(frozen=True)
class Left:
    """A rule that no plan can clear at a subject, and what bars each way of clearing it."""

    key: Broken
    rule: Rule
    says: str
    clash: tuple[str, ...] = ()


@dataclass(frozen=True)
class Solved:
    """The cheapest work on a group of circuits; `left` is what it cannot clear.

    `proven` is false where the search was given up: then something cheaper may exist. `barred`:
    what is there cannot be brought to the choice by any work in the list.
    """

    circuits: tuple[str, ...]
    work: Work
    left: tuple[Left, ...] = ()
    proven: bool = True
    judged: int = 1
    barred: bool = False


@dataclass(frozen=True)
class Planner:
    """Plans the correction of one record by one list of prices, under one ruleset or several.

    `others` have to be satisfied as well as `book`. `only` are the deficiencies that are to be
    cleared, if it is not all of the scope.
    """

    record: Session
    book: Rulebook
    actions: Actions
    prices: Prices
    scope: str
    day: datetime.date
    others: tuple[Rulebook, ...] = ()
    only: frozenset[Broken] | None = None
    _whole: Planner | None = field(default=None, compare=False)
    _benches: dict[tuple[object, ...], Bench] = field(default_factory=dict, compare=False)
    _places: dict[tuple[object, ...], Place] = field(default_factory=dict, compare=False)

    @cached_property
    def _assumed(self) -> tuple[Session, tuple[Assumption, ...]]:
        if self._whole is not None:
            return self._whole._assumed
        made = self.actions
        record = ordered(self.record, self.book)
        return assumed(record, self.book, made.carried, made.missing, made.implied)

    @property
    def session(self) -> Session:
        """The record with what is assumed of places that were not reached."""
        return self._assumed[0]

    @property
    def assumptions(self) -> tuple[Assumption, ...]:
        """What was assumed of places that were not reached."""
        return self._assumed[1]

    @property
    def books(self) -> tuple[Rulebook, ...]:
        """The rulesets that have to be satisfied."""
        return (self.book, *self.others)

    @cached_property
    def judges(self) -> Judges:
        """What was found, and what is found after some work."""
        if self._whole is not None:
            return self._whole.judges.narrowed(self.only)
        books = told_apart(self.books)
        return Judges(self.session, books, self.actions, self.scope, self.day, self.only)

    @property
    def house(self) -> House:
        """What was found as the first ruleset sees it."""
        return self.judges.houses[0]

    @property
    def deficient(self) -> Mapping[Broken, Verdict]:
        """The verdicts that are deficient before the work."""
        return self.judges.deficient

    @property
    def aim(self) -> Aim:
        """What the plan has to clear."""
        return self.judges.aim

    @cached_property
    def groups(self) -> tuple[tuple[Circuit, ...], ...]:
        """The circuits, those that share a neutral together, in the order of the record."""
        found: list[list[Circuit]] = []
        for circuit in self.session.circuits:
            partner = self.session.circuit(circuit.shares_neutral_with)
            mine = [g for g in found if circuit in g or any(self._shares(e, circuit) for e in g)]
            mine += [g for g in found if g not in mine and partner is not None and partner in g]
            if not mine:
                found.append([circuit])
                continue
            whole = [each for group in mine for each in group]
            found = [group for group in found if group not in mine]
            found.append([*whole, circuit])
        order = {id(each): place for place, each in enumerate(self.session.circuits)}
        sorted_groups = [tuple(sorted(g, key=lambda e: order[id(e)])) for g in found]
        return tuple(sorted(sorted_groups, key=lambda group: order[id(group[0])]))

    def narrowed(self, only: frozenset[Broken]) -> Planner:
        """A planner of the same record that clears only these, and brings about nothing else."""
        return replace(self, only=only, _whole=self, _benches={}, _places={})

    def _shares(self, one: Circuit, other: Circuit) -> bool:
        partner = self.session.circuit(one.shares_neutral_with)
        return partner is other

    def to_clear(self, subjects: Iterable[Subject]) -> list[Verdict]:
        """What the plan has to clear at some subjects."""
        here = {self.house.key(each) for each in subjects}
        return [
            each
            for key, each in self.deficient.items()
            if key[:2] in here and self.aim.counts(each.decision.rule, each.decision.kind, key[:2])
        ]

    def solve(self, circuits: Sequence[Circuit], choice: Choice | None = None) -> Solved:
        """The cheapest work on a group that the judge accepts, by a choice where one is given."""
        names = tuple(self.session.reference(each) for each in circuits)
        if choice is None and not self.to_clear(self.subjects(circuits)):
            return Solved(names, Work())
        judged = 0
        nearest: tuple[Work, list[Breach], Bench] | None = None
        for leave, every in ((False, False), (False, True), (True, False)):
            bench = self.bench(circuits, choice, leave, every)
            for found in Search(bench, circuits).plans():
                judged += 1
                broken = self.broken((found.work,), self.subjects(circuits))
                proven = {each.key for each in broken} <= set(found.left)
                if proven or nearest is None or len(broken) < len(nearest[1]):
                    nearest = found.work, broken, bench
                if proven:
                    return self._solved(names, *nearest, True, judged)
                if not every or judged > MOST_JUDGED:
                    # What was dropped as dearer than its like may be what the judge accepts.
                    break
        if nearest is not None:
            return self._solved(names, *nearest, False, judged)
        return Solved(names, Work(), judged=judged, barred=True)

    def _solved(
        self,
        names: tuple[str, ...],
        work: Work,
        broken: list[Breach],
        bench: Bench,
        proven: bool,
        judged: int,
    ) -> Solved:
        left = (Left(e.key, e.rule, e.says, clashes(bench, e.key, e.rule)) for e in broken)
        return Solved(names, work, tuple(left), proven, judged)

    def bench(
        self, circuits: Sequence[Circuit], choice: Choice | None, leave: bool, every: bool
    ) -> Bench:
        """The places of a group with what can be done there, kept for later questions."""
        key = (*(id(each) for each in circuits), id(choice), leave, every)
        if key not in self._benches:
            lifts = choice.declared.lifts if choice else ()
            places = {
                self.house.key(each): self._place(each, lifts, exact=leave or every)
                for each in self.subjects(circuits)
            }
            self._benches[key] = Bench(
                self.house, places, self.actions, self.prices, choice, leave, every
            )
        return self._benches[key]

    def _place(self, subject: Subject, lifts: tuple[str, ...], exact: bool) -> Place:
        key = (self._signature(subject), lifts, exact)
        if key not in self._places:
            if self._whole is not None:
                made = self._whole._place(subject, lifts, exact).aimed(self.aim)
            else:
                loosened, year = self._loosened, self.day.year
                made = Place(loosened, subject, self.actions, self.aim, year, lifts, exact)
            self._places[key] = made
        return self._places[key]

    @cached_property
    def _loosened(self) -> tuple[Loosened, ...]:
        houses, cures = self.judges.houses, self.aim.cures
        return tuple(Loosened(each, self.actions, cures) for each in houses)

    def _signature(self, subject: Subject) -> object:
        """All that what can be done at a place hangs on: outlets alike in it share a place."""
        if not isinstance(subject, Outlet):
            return self.house.key(subject)
        wiring, session = self.house.wiring, self.session
        shown = tuple(
            tuple(
                by == wiring.name(subject) or (by in wiring.outlets and wiring.outlets[by].circuit)
                for by in self.house.tracer.protection(subject, kind).by
            )
            for kind in kinds(self.house)
        )
        answers = {**subject.answers, **subject.readings}
        return (
            (subject.circuit, subject.room, shown, self._before.get(wiring.name(subject))),
            tuple(sorted((word, str(value)) for word, value in answers.items())),
            (self.house.recorded(subject, "test_result"), tuple(subject.cannot_tell)),
            sum(each.fed_from == wiring.name(subject) for each in session.outlets),
            subject.order_known_by == "unknown",
        )

    @cached_property
    def _before(self) -> Mapping[str, frozenset[str]]:
        """The rules that are deficient at each outlet before the work."""
        if self._whole is not None:
            return self._whole._before
        found: dict[str, set[str]] = {}
        for of, name, rule in self.deficient:
            if of == "outlet":
                found.setdefault(name, set()).add(rule)
        return {name: frozenset(rules) for name, rules in found.items()}

    def subjects(self, circuits: Iterable[Circuit]) -> list[Subject]:
        """The circuits and the outlets on them."""
        return [each for one in circuits for each in (one, *self.house.wiring.on(one))]

    def broken(
        self, works: Sequence[Work], subjects: Iterable[Subject] | None = None, exact: bool = True
    ) -> list[Breach]:
        """What is still found after the work, or what it brings about; as `Judges.broken`."""
        return self.judges.broken(works, subjects, exact)
