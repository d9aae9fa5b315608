"""The planner against two other ways to the cheapest plan, on circuits drawn by chance."""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace
from typing import Any

import pytest

from tests.remedy.houses import DAY, actions, book, house, planner, prices
from tests.remedy.reference import CENT, cheapest_by_programme, cheapest_by_trying
from walkthrough.judge.house import House
from walkthrough.remedy.items import known_cents
from walkthrough.remedy.options import Head
from walkthrough.remedy.plan import make_plan
from walkthrough.remedy.planner import Planner
from walkthrough.remedy.search import Search
from walkthrough.remedy.stream import Option, Stream
from walkthrough.remedy.sums import UNKNOWN
from walkthrough.remedy.tree import Cover
from walkthrough.survey.model import (
    PANEL,
    Circuit,
    JudgedBy,
    Outlet,
    Panel,
    Session,
)

# Enough to have every kind of conflict, and few enough to try all sets of them.
FEW = (
    "brk-std-15",
    "brk-gfci-20",
    "brk-df-15",
    "tie",
    "brk2-gfci-pair",
    "pigtail-cu",
    "pigtail-al",
    "rewire",
    "dup15-tr",
    "gfci15-tr",
    "df20-tr",
    "plate",
    "hood",
    "label",
    "directory",
)


def with_few(session: Session, ruleset: str, names: tuple[str, ...] = FEW) -> Planner:
    whole = actions(ruleset)
    few = replace(whole, actions=tuple(each for each in whole.actions if each.id in names))
    return Planner(session, book(ruleset), few, prices(ruleset), "fix", DAY)


def same_as_trying_all(made: Planner) -> bool:
    """Whether a plan was found; asserts that it costs what the cheapest of all sets costs."""
    for circuits in made.groups:
        found = made.solve(circuits)
        tried = cheapest_by_trying(made, circuits)
        assert (tried is None) == bool(found.left), (tried, found)
        if tried is not None:
            cents = [made.prices.of(each.declared.price).cents for _, each in found.work.items]
            assert sum(10**9 if each is None else each for each in cents) == tried, found
            return True
    return False


@pytest.mark.parametrize("seed", range(12))
def test_two_outlets_cost_what_the_cheapest_of_all_sets_costs(seed: int) -> None:
    ruleset = ("nec-2020", "nec-2023")[seed % 2]
    same_as_trying_all(with_few(house(seed, 1, 2, hard=seed % 3 == 0), ruleset))


@pytest.mark.parametrize("seed", range(1))
def test_two_circuits_with_one_neutral_cost_what_the_cheapest_of_all_sets_costs(seed: int) -> None:
    few = with_few(house(1000 + seed, 2, 1, pair=True), "nec-2020")
    same_as_trying_all(few)


@pytest.mark.parametrize("seed", range(1500, 1506))
def test_false_grounds_and_two_wires_cost_what_the_cheapest_of_all_sets_costs(seed: int) -> None:
    """The lawful outcomes without a ground (406.4(D)(2)): two slots, GFCI and marks, or a ground."""
    found = house(seed, 1, 2, hard=True, exactly=True)
    for number, each in enumerate(found.outlets):
        each.answers["equipment_ground"] = ("bridged_to_neutral", "none")[(seed + number) % 2]
        each.readings["tester"] = ("correct", "open_ground")[(seed + number) % 2]
    ways = ("rewire", "dup15-2slot", "dup15-tr", "gfci15-tr", "df20-tr", "ground", "label")
    same_as_trying_all(with_few(found, ("nec-2008", "nec-2020")[seed % 2], (*ways, "brk-gfci-20")))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(1001, 1006))
def test_more_circuits_with_one_neutral_cost_what_the_cheapest_of_all_sets_costs(seed: int) -> None:
    same_as_trying_all(with_few(house(seed, 2, 1, pair=True), "nec-2020"))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2000, 2120))
def test_many_small_circuits_cost_what_the_cheapest_of_all_sets_costs(seed: int) -> None:
    same_as_trying_all(with_few(house(seed, 1, 2, hard=seed % 2 == 0), "nec-2020"))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2200, 2260))
def test_three_outlets_cost_what_the_cheapest_of_all_sets_costs(seed: int) -> None:
    few = ("brk-gfci-20", "brk-df-15", "rewire", "dup15-tr", "gfci15-tr", "df20-tr")
    same_as_trying_all(with_few(house(seed, 1, 3, exactly=True), "nec-2023", few))


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(2300, 2330))
def test_one_outlet_with_every_action_there_is(seed: int) -> None:
    at_outlet = tuple(each.id for each in actions("nec-2020").at["outlet"])
    few = (*at_outlet, "brk-std-15", "brk-gfci-20", "brk-df-20", "pigtail-cu")
    same_as_trying_all(with_few(house(seed, 1, 1, hard=True), "nec-2020", few))


def relaxed(made: Planner) -> Iterator[tuple[int | None, int | None]]:
    """The least relaxed cost of each group in cents, by the planner and by the programme."""
    for circuits in made.groups:
        search = Search(made.bench(circuits, None, leave=False, every=True), circuits)
        first = next(search.plans(), None)
        other = cheapest_by_programme(search)
        mine = None if first is None else round(first.cost / CENT)
        if mine is None or mine < UNKNOWN / CENT:
            yield mine, other


@pytest.mark.parametrize("seed", range(8))
def test_up_to_twelve_outlets_cost_what_the_programme_says(seed: int) -> None:
    made = planner(house(3000 + seed, 1, 12), ("nec-2020", "nec-2023")[seed % 2])
    for mine, other in relaxed(made):
        assert mine == other


@pytest.mark.slow
@pytest.mark.parametrize("seed", range(4000, 4150))
def test_many_circuits_cost_what_the_programme_says(seed: int) -> None:
    for mine, other in relaxed(planner(house(seed, 1, 12), "nec-2020")):
        assert mine == other


# ------------------------------------------------- the search alone, on tables drawn by chance


class Tables:
    """In the place of the rules: options with costs drawn by chance, the same for the same state."""

    def __init__(self, seed: int, house: House, circuit: Circuit) -> None:
        self.seed, self.house, self.circuit = seed, house, circuit
        self._made: dict[Any, Stream] = {}

    def price(self, _: Any) -> int:
        return 0

    def shared(self) -> Iterator[tuple[Any, ...]]:
        yield ()

    def wants_own(self, outlet: Outlet) -> bool:
        return (self.seed + len(outlet.id)) % 7 == 0

    def heads(self, circuit: Circuit, _: Any) -> Iterator[Head]:
        chance = random.Random(f"{self.seed} heads")
        for number in range(4):
            kinds = chance.sample(["gfci", "afci"], chance.randint(0, 2))
            covers = frozenset(Cover(kind, False, True) for kind in kinds)
            option = Option(chance.randint(0, 90) * CENT, (), {})
            yield Head(circuit, option, (("breaker_amps", number % 2),), covers, number == 3)

    def floor(self, outlet: Outlet, around: Any) -> int:
        chance = random.Random(f"{self.seed} {outlet.id} {around} floor")
        return chance.choice([0, chance.randint(0, 60)]) * CENT

    def options(self, outlet: Outlet, around: Any, arriving: Any, first: bool) -> Stream:
        key = f"{self.seed} {outlet.id} {around} {sorted(arriving)} {first}"
        if key not in self._made:
            chance = random.Random(key)
            made = []
            for _ in range(chance.randint(0, 5) or chance.randint(0, 1)):
                kinds = chance.sample(["gfci", "afci"], chance.randint(0, 2))
                own = frozenset(Cover(kind, chance.random() < 0.3, True) for kind in kinds)
                above = chance.choice([0, chance.randint(0, 90)]) * CENT
                cost = self.floor(outlet, around) + above
                wires, receptacle = chance.random() < 0.6, chance.random() < 0.8
                made.append(Option(cost, (), {}, own, wires, receptacle))
            made.sort(key=lambda each: each.cost)
            self._made[key] = Stream(iter([(each.cost, each) for each in made]))
        return self._made[key]


def tree(seed: int) -> tuple[House, Circuit]:
    """A bare circuit of up to twelve outlets."""
    chance = random.Random(seed)
    outlets: list[Outlet] = []
    for number in range(chance.randint(1, 12)):
        feeder = chance.choice([PANEL, *(each.id for each in outlets)])
        outlets.append(
            Outlet.model_validate(
                {
                    "id": f"{number}",
                    "room": "r",
                    "circuit": "C",
                    "fed_from": feeder,
                    "order_known_by": chance.choice(["opened", "inferred", "inferred", "unknown"]),
                }
            )
        )
    circuit = Circuit(id="C", panel="P")
    session = Session(
        title="t",
        judged_by=JudgedBy(ruleset="nec-2020"),
        panels=[Panel(id="P")],
        circuits=[circuit],
        outlets=outlets,
    )
    return House(session, book("nec-2020"), DAY, unsure=False), circuit


def test_hundreds_of_trees_cost_what_the_programme_says() -> None:
    trees_against_the_programme(range(200))


@pytest.mark.slow
def test_thousands_of_trees_cost_what_the_programme_says() -> None:
    trees_against_the_programme(range(200, 5400))


def trees_against_the_programme(seeds: range) -> None:
    with_plan = 0
    for seed in seeds:
        bare, circuit = tree(seed)
        search = Search(Tables(seed, bare, circuit), [circuit])  # type: ignore[arg-type]
        first = next(search.plans(), None)
        mine = None if first is None else round(first.cost / CENT)
        assert mine == cheapest_by_programme(search), seed
        with_plan += mine is not None
    assert with_plan > len(seeds) / 4


def test_plans_come_in_the_order_of_their_cost_and_none_is_missing() -> None:
    for seed in range(60):
        bare, circuit = tree(seed)
        if len(bare.session.outlets) > 4:
            continue
        search = Search(Tables(seed, bare, circuit), [circuit])  # type: ignore[arg-type]
        costs = [each.cost for each in search.plans()]
        assert costs == sorted(costs)
        assert len(costs) == sum(
            _ways(search, need_list)
            for need_list in map(search._needs, search.bench.heads(circuit, ()))
        )


@pytest.mark.parametrize("seed", range(4200, 4212))
def test_nothing_at_an_outlet_costs_less_than_its_floor(seed: int) -> None:
    made = planner(house(seed, 1, 6, hard=seed % 2 == 0), "nec-2020")
    circuits = made.groups[0]
    for leave in (False, True):
        bench = made.bench(circuits, None, leave, every=True)
        for head in bench.heads(circuits[0], ()):
            for outlet in made.house.wiring.on(circuits[0]):
                ways = bench.options(outlet, head.around, head.arriving, head.first)
                floor = bench.floor(outlet, head.around)
                assert all(floor <= each.cost for each in ways)


def _ways(search: Search, needs: Any) -> int:
    """The number of plans for places, counted without any search."""
    count = 1
    for need in needs:
        count *= sum(
            _ways(search, fed)
            for option in search._stream(need)
            for _, fed, _ in search._ways(need, option)
        )
    return count


# ---------------------------------------------------------------- plans are judged again, and hold


@pytest.mark.parametrize("seed", range(12))
def test_a_house_is_clean_when_its_plan_is_done(seed: int) -> None:
    ruleset = ("nec-2020", "nec-2023", "nec-2014")[seed % 3]
    scope = ("fix", "all", "defects", "now")[seed % 4]
    made = planner(house(5000 + seed, 4, 4, hard=seed % 2 == 0, pair=seed % 4 == 0), ruleset, scope)
    plan = make_plan(made, alternatives=False)
    excused = {each.key for each in plan.unsolved}
    assert {each.key for each in made.broken(plan.works)} <= excused
    for each in plan.unsolved:
        assert each.clash, (each.key, "says what bars it")
    assert known_cents(plan.items) >= 0
