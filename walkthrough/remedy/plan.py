"""The plan of a whole house: what is done where and why, and what other ways would cost."""

from __future__ import annotations

import itertools
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from walkthrough.judge.judge import SEVERITIES
from walkthrough.remedy.actions import Action, Choice
from walkthrough.remedy.opening import Opened, if_opened
from walkthrough.remedy.planner import Breach, Left, Planner, Solved
from walkthrough.remedy.prices import Price
from walkthrough.remedy.reasons import Cheaper, cheaper_ways, reasons, worded
from walkthrough.remedy.work import Done, Work
from walkthrough.survey.model import Circuit, Panel
from walkthrough.trade.wiring import SURE

NOTHING_KNOWN = "no action in the list can change this"
NO_CIRCUIT = "its circuit is not known: nothing can be planned before that is found out"


@dataclass(frozen=True)
class Item:
    """One thing to do and to pay: where, with which part, and what it clears."""

    done: Done
    action: Action
    price: Price
    why: tuple[str, ...] = ()
    notes: tuple[str, ...] = ()
    load: tuple[str, ...] = ()
    line: tuple[str, ...] = ()

    @property
    def labels(self) -> tuple[str, ...]:
        """The texts of the marks that it puts on."""
        return tuple(
            each.label
            for each in self.action.changes
            if each.label and each.sets.items() <= self.done.changes.items()
        )


@dataclass(frozen=True)
class Alternative:
    """Another way for a circuit, by a choice; `left` tells why it is none where it is not.

    `barred`: what is there cannot be brought to it by any work in the list.
    """

    name: str
    title: str
    items: tuple[Item, ...]
    left: tuple[Left, ...] = ()
    barred: bool = False

    @property
    def possible(self) -> bool:
        return not self.left and not self.barred


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
        return "/".join(self.names) if self.names else f"panel {self.panel}"


@dataclass(frozen=True)
class Preference:
    """What a choice costs more in the whole house; `barred` are the circuits that cannot."""

    name: str
    title: str
    cents: int
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
        severities = Counter(planner.found.severity(e) for e in planner.to_clear(subjects))
        return tuple(severities[each] for each in SEVERITIES)

    @property
    def preferences(self) -> tuple[Preference, ...]:
        """What each choice would cost more in the whole house, followed wherever it can be."""
        found: dict[str, Preference] = {}
        for part in self.parts:
            for way in part.alternatives:
                if way.name and not asked((*way.items, *part.items)):
                    was = found.get(way.name, Preference(way.name, way.title, 0, ()))
                    more = known_cents(way.items) - known_cents(part.items) if way.possible else 0
                    barred = () if way.possible else (part.name,)
                    found[way.name] = replace(
                        was, cents=was.cents + more, barred=(*was.barred, *barred)
                    )
        return tuple(found.values())

    @property
    def works(self) -> tuple[Work, ...]:
        return tuple(part.solved.work for part in self.parts)

    @property
    def proven(self) -> bool:
        return all(part.solved.proven for part in self.parts)


def known_cents(items: Iterable[Item]) -> int:
    """The sum of what has a price."""
    return sum(each.price.cents or 0 for each in items)


def asked(items: Iterable[Item]) -> list[str]:
    """The items whose price has to be asked for."""
    return [each.price.code for each in items if each.price.cents is None]


def make_plan(planner: Planner, prefer: str = "", alternatives: bool = True) -> Plan:
    """Plan a house; `prefer` names a choice that is followed wherever it can be."""
    choice = planner.actions.choices[prefer] if prefer else None
    parts = [
        part
        for circuits in planner.groups
        for part in (_part(planner, circuits, choice, prefer, alternatives),)
        if part.items or part.solved.left
    ]
    parts += [part for panel in planner.session.panels for part in _panel_part(planner, panel)]
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
    why = reasons(planner, circuits, solved.work)
    items = tuple(
        _item(planner, solved.work, done, action, why.get((done.at, action.id), ()))
        for done, action in solved.work.items
    )
    others: tuple[Alternative, ...] = ()
    cheaper: tuple[Cheaper, ...] = ()
    if alternatives and items:
        others = tuple(_alternatives(planner, circuits, solved, least))
        cheaper = tuple(cheaper_ways(planner, circuits, solved.work))
    opened = if_opened(planner, circuits) if alternatives and (items or solved.left) else None
    best = _plain_items(planner, opened.solved.work) if opened is not None else ()
    return Part(solved.circuits, "", solved, items, others, cheaper, chosen, opened, best)


def _item(planner: Planner, work: Work, done: Done, action: Action, why: tuple[str, ...]) -> Item:
    price = planner.prices.of(action.declared.price)
    notes = list(action.declared.warns)
    load: tuple[str, ...] = ()
    line: tuple[str, ...] = ()
    if done.of == "outlet":
        outlet = planner.house.wiring.outlets[done.at]
        if action.declared.fits_box and not outlet.answer("box_opened"):
            notes.append(
                "The box was not opened: look whether its room and depth do for the device."
            )
        if action.declared.wires and done.changes.get("test_result") is not None:
            name = planner.house.wiring.name
            fed = [each for each in planner.session.outlets if each.fed_from == done.at]
            load = tuple(name(each) for each in fed if (done.at, name(each)) in work.on_load)
            line = tuple(name(each) for each in fed if name(each) not in load)
            notes += _guessed(planner, work, done.at)
    return Item(done, action, price, why, tuple(notes), load, line)


def _guessed(planner: Planner, work: Work, device: str) -> Iterator[str]:
    """What of the order below a device is not known for sure: the TEST has to show it."""
    called = planner.house.wiring.name
    below, ends = set[str](), [name for at, name in work.on_load if at == device]
    while ends:
        here = ends.pop()
        below.add(here)
        fed = [called(each) for each in planner.session.outlets if each.fed_from == here]
        ends += [each for each in fed if each not in below]
    guessed = [
        called(each)
        for each in planner.session.outlets
        if called(each) in below and each.order_known_by not in SURE
    ]
    if guessed:
        yield (
            f"The order is not proved: TEST of {device} must make {', '.join(guessed)} dead, else "
            "the plan of this circuit does not hold."
        )


def _alternatives(
    planner: Planner, circuits: Sequence[Circuit], solved: Solved, least: Solved
) -> Iterator[Alternative]:
    """The other ways that differ, each with what it would be or why it is none."""
    if solved is not least:
        yield _alternative(planner, "", "the cheapest", least)
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
            yield _alternative(planner, name, declared.title, found)


def _alternative(planner: Planner, name: str, title: str, found: Solved) -> Alternative:
    return Alternative(name, title, _plain_items(planner, found.work), found.left, found.barred)


def _plain_items(planner: Planner, work: Work) -> tuple[Item, ...]:
    """The items of other work, without reasons."""
    return tuple(
        Item(done, action, planner.prices.of(action.declared.price)) for done, action in work.items
    )


def _same(one: Work, other: Work) -> bool:
    def told(work: Work) -> set[tuple[str, str]]:
        return {(done.at, action.id) for done, action in work.items}

    return told(one) == told(other) and one.on_load == other.on_load


def _panel_part(planner: Planner, panel: Panel) -> Iterator[Part]:
    """What is done at the panel itself: every set of its actions is tried, the cheapest first."""
    here = planner.actions.at["panel"]
    name = planner.house.wiring.name(panel)
    price = planner.prices.of
    ways = sorted(
        (way for count in range(len(here) + 1) for way in itertools.combinations(here, count)),
        key=lambda way: sum(
            10**9 if price(e.declared.price).cents is None else price(e.declared.price).cents or 0
            for e in way
        ),
    )
    before = planner.broken((), [panel])
    if not before:
        return
    left: list[Breach] = []
    for way in ways:
        work = Work(tuple(_at_panel(planner, panel, way)))
        left = planner.broken([work], [panel])
        if not left:
            why = worded(before)
            items = tuple(
                Item(done, action, price(action.declared.price), why) for done, action in work.items
            )
            yield Part((), name, Solved((), work), items)
            return
    unsolved = tuple(Left(e.key, e.rule, e.says, (NOTHING_KNOWN,)) for e in left)
    yield Part((), name, Solved((), Work(), unsolved), ())


def _at_panel(planner: Planner, panel: Panel, way: Sequence[Action]) -> Iterator[Done]:
    for action in way:
        yield Done("panel", planner.house.wiring.name(panel), (action,), action.declared.sets)
        if action.over is None:
            continue
        for circuit in planner.house.children(panel, "circuit"):
            if action.over.condition.truth(planner.house.situation(circuit)) is True:
                yield Done("circuit", planner.house.key(circuit)[1], (), action.over.sets)
