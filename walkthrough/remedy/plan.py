"""The plan of a whole house: what is done where and why, and what other ways would cost."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from walkthrough.judge.judge import SEVERITIES
from walkthrough.remedy.actions import Choice
from walkthrough.remedy.items import Item, items_of
from walkthrough.remedy.loosen import Broken
from walkthrough.remedy.opening import Opened, if_opened
from walkthrough.remedy.panels import NOTHING_KNOWN, at_panel
from walkthrough.remedy.planner import Left, Planner, Solved
from walkthrough.remedy.reasons import Cheaper, cheaper_ways
from walkthrough.remedy.sums import Difference, Sum, sum_of
from walkthrough.remedy.work import Work
from walkthrough.survey.model import Circuit

NO_CIRCUIT = "its circuit is not known: nothing can be planned before that is found out"


@dataclass(frozen=True)
class Alternative:
    """Another way for a circuit, by a choice.

    `left` is what it could not clear; `barred`: what is there cannot be brought to it by any work
    in the list. Either makes it none.
    """

    name: str
    title: str
    items: tuple[Item, ...]
    left: tuple[Left, ...] = ()
    barred: bool = False

    @property
    def possible(self) -> bool:
        return not self.left and not self.barred

    @property
    def bars(self) -> tuple[str, ...]:
        """What bars it, each with the places where it does."""
        places: dict[str, dict[str, None]] = {}
        for each in self.left:
            for clash in each.clash:
                places.setdefault(clash, {})[each.key[1]] = None
        return tuple(f"{', '.join(at)}: {clash}" for clash, at in places.items())

    @property
    def sum(self) -> Sum:
        return sum_of(each.price for each in self.items)


@dataclass(frozen=True)
class Part:
    """The plan for circuits that are planned together, or for a panel."""

    names: tuple[str, ...]
    panel: str
    solved: Solved
    items: tuple[Item, ...]
    alternatives: tuple[Alternative, ...] = ()
    cheaper: tuple[Cheaper, ...] = ()
    chosen: str = ""
    opened: Opened | None = None
    opened_items: tuple[Item, ...] = ()

    @property
    def name(self) -> str:
        return " + ".join(self.names) if self.names else f"panel {self.panel}"

    @property
    def sum(self) -> Sum:
        return sum_of(each.price for each in self.items)


@dataclass(frozen=True)
class Preference:
    """What a choice costs more in the whole house; `barred` are the circuits that cannot.

    `more` is None where none can.
    """

    name: str
    title: str
    more: Difference | None
    barred: tuple[str, ...]


@dataclass(frozen=True)
class Plan:
    """All parts, and what no part can clear."""

    planner: Planner
    parts: tuple[Part, ...]
    unsolved: tuple[Left, ...]

    @property
    def items(self) -> tuple[Item, ...]:
        return tuple(item for part in self.parts for item in part.items)

    @property
    def sum(self) -> Sum:
        return sum_of(each.price for each in self.items)

    @property
    def cleared(self) -> frozenset[Broken]:
        """What was found in the scope and stands no more after the work, each once."""
        judges, left = self.planner.judges, {each.key for each in self.unsolved}
        return frozenset(
            judges.told_once(key)
            for key, each in judges.deficient.items()
            if key not in left
            and judges.aim.counts(each.decision.rule, each.decision.kind, key[:2])
        )

    @property
    def in_order(self) -> tuple[Part, ...]:
        """The parts by what they clear: the most of the gravest first."""
        return tuple(sorted(self.parts, key=self._gravity, reverse=True))

    def _gravity(self, part: Part) -> tuple[int, ...]:
        planner = self.planner
        circuits = [planner.session.circuit(name) for name in part.names]
        panel = [
            each for each in planner.session.panels if planner.house.wiring.name(each) == part.panel
        ]
        subjects = [*planner.subjects(each for each in circuits if each is not None), *panel]
        severities = Counter(planner.judges.severity(e) for e in planner.to_clear(subjects))
        return tuple(severities[each] for each in SEVERITIES)

    @property
    def preferences(self) -> tuple[Preference, ...]:
        """What each choice would cost more in the whole house, followed wherever it can be."""
        ways = [(part, way) for part in self.parts for way in part.alternatives if way.name]
        found: list[Preference] = []
        for name in dict.fromkeys(way.name for _, way in ways):
            here = [(part, way) for part, way in ways if way.name == name]
            mine = theirs = Sum()
            for part, way in here:
                if way.possible:
                    mine, theirs = mine.plus(part.sum), theirs.plus(way.sum)
            barred = tuple(part.name for part, way in here if not way.possible)
            more = theirs.less(mine) if len(barred) < len(here) else None
            title = self.planner.actions.choices[name].declared.title
            found.append(Preference(name, title, more, barred))
        return tuple(found)

    @property
    def works(self) -> tuple[Work, ...]:
        return tuple(part.solved.work for part in self.parts)

    @property
    def proven(self) -> bool:
        return all(part.solved.proven for part in self.parts)


def make_plan(planner: Planner, prefer: str = "", alternatives: bool = True) -> Plan:
    """Plan a house; `prefer` names a choice that is followed wherever it can be."""
    choice = planner.actions.choices[prefer] if prefer else None
    parts = [
        part
        for circuits in planner.groups
        for part in (_part(planner, circuits, choice, prefer, alternatives),)
        if part.items or part.solved.left
    ]
    for panel in planner.session.panels:
        solved, items = at_panel(planner, panel)
        if items or solved.left:
            parts.append(Part((), planner.house.wiring.name(panel), solved, items))
    told = {each.key: each for part in parts for each in part.solved.left}
    for each in planner.broken([part.solved.work for part in parts]):
        outlet = planner.house.wiring.outlets.get(each.key[1])
        loose = outlet is not None and planner.house.wiring.circuit_of(outlet) is None
        clash = NO_CIRCUIT if loose else NOTHING_KNOWN
        told.setdefault(each.key, Left(each.key, each.rule, each.says, (clash,)))
    return Plan(planner, tuple(parts), tuple(told.values()))


def _part(
    planner: Planner,
    circuits: Sequence[Circuit],
    choice: Choice | None,
    prefer: str,
    alternatives: bool,
) -> Part:
    least = planner.solve(circuits)
    solved, chosen = least, ""
    if choice is not None and least.work.items:
        by_choice = planner.solve(circuits, choice)
        if not by_choice.left and not by_choice.barred:
            solved, chosen = by_choice, prefer
    items = items_of(planner, circuits, solved.work)
    others: tuple[Alternative, ...] = ()
    cheaper: tuple[Cheaper, ...] = ()
    if alternatives and items:
        others = tuple(_alternatives(planner, circuits, solved, least))
        cheaper = tuple(cheaper_ways(planner, circuits, solved.work))
    opened = None
    if alternatives and (items or solved.left):
        opened = if_opened(planner, circuits, choice if chosen else None)
    best: tuple[Item, ...] = ()
    if opened is not None:
        best = items_of(planner, circuits, opened.solved.work, explained=False)
    return Part(solved.circuits, "", solved, items, others, cheaper, chosen, opened, best)


def _alternatives(
    planner: Planner, circuits: Sequence[Circuit], solved: Solved, least: Solved
) -> Iterator[Alternative]:
    """The other ways that differ, each with what it would be or why it is none."""
    if solved is not least:
        yield _alternative(planner, circuits, "", "the cheapest", least)
    tags = {tag for _, action in solved.work.items for tag in action.declared.tags}
    protects = any(tag.startswith("protective") for tag in tags)
    outlets = [each for one in circuits for each in planner.house.wiring.on(one)]
    for name, choice in planner.actions.choices.items():
        declared = choice.declared
        wanted = choice.own is not None and any(
            choice.own.truth(planner.house.situation(each)) for each in outlets
        )
        other = declared.lifts or declared.local or declared.no_series
        if not (set(declared.without) & tags or wanted or (other and protects)):
            continue
        found = planner.solve(circuits, choice)
        if found.left or found.barred or _same(found.work, solved.work) is False:
            yield _alternative(planner, circuits, name, declared.title, found)


def _alternative(
    planner: Planner, circuits: Sequence[Circuit], name: str, title: str, found: Solved
) -> Alternative:
    items = items_of(planner, circuits, found.work, explained=False)
    return Alternative(name, title, items, found.left, found.barred)


def _same(one: Work, other: Work) -> bool:
    def told(work: Work) -> set[tuple[str, str]]:
        return {(done.at, action.id) for done, action in work.items}

    return told(one) == told(other) and one.on_load == other.on_load
