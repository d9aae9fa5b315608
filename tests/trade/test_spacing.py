"""Walls, counters and foyers against published examples, thresholds, and brute force.

Lines are told as on the command line. Figures are read from the shipped rulesets.
"""

from __future__ import annotations

import random
from fractions import Fraction
from typing import Any

import pytest

from tests.trade import editions
from walkthrough.cli_calc.spacing_subjects import reckon
from walkthrough.trade.spacing import counter_spacing, wall_spacing
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.wall_line import Line, Receptacle, Stretch
from walkthrough.trade.working import Working

EDITIONS = (2008, 2011, 2014, 2017, 2020, 2023, 2026)


def tables(edition: int = 2020) -> SpacingTables:
    return SpacingTables.of(editions.tables(f"nec-{edition}"))


def judged(edition: int = 2020, **told: Any) -> Working:
    """One place told with the words of the command line."""
    return reckon({key.replace("_", "-"): each for key, each in told.items()}, tables(edition))[1]


def missing(edition: int = 2020, **told: Any) -> Any:
    return judged(edition, **told).result["missing"]


def spaces(working: Working) -> Any:
    """The spaces of a line as scripts get them."""
    return working.for_scripts["spaces"]


def add(working: Working) -> list[tuple[float, float]]:
    """The ranges of all receptacles to add, in inches."""
    found = [each for space in spaces(working) for each in space["add"]]
    return [(float(each["from_in"]), float(each["to_in"])) for each in found]


# ---------------------------------------------------------------------- published examples


def test_one_receptacle_in_the_middle_serves_twelve_feet() -> None:
    # Code forum "Receptacle spacing": a 12 ft wall between door openings, one at the 6 ft point.
    assert missing(wall="door 3ft, 12ft, door 3ft", receptacle="9ft") == 0
    assert missing(wall="door 3ft, 12ft, door 3ft", receptacle="9ft 1in") == 1


def test_a_receptacle_above_five_and_a_half_feet_does_not_count() -> None:
    # The same thread: at 5 ft it serves the wall; were it higher than 5.5 ft, another is needed.
    assert missing(wall="12ft", receptacle="6ft, 5ft high") == 0
    assert missing(wall="12ft", receptacle="6ft, 5ft 6in high") == 0
    higher = judged(wall="12ft", receptacle="6ft, 5ft 7in high")
    assert higher.result["missing"] == 1
    assert "more than 5 ft 6 in" in higher.caveats[0]


def test_counter_of_63_inches_with_one_outlet_24_from_the_right_wall() -> None:
    # Code forum "SFD kitchen counter": 39 in. to the left wall is too far; two are the least.
    working = judged(counter="63in", receptacle="39in")
    assert (working.verdict, working.result["missing"]) == ("fail", 1)
    assert working.result["required"] == 2
    assert add(working) == [(0, 24)]
    (space,) = spaces(working)
    (gap,) = space["too_far"]
    assert (gap["farthest_in"], gap["distance_in"]) == (0, 39)


def test_a_sliding_door_needs_none_and_its_fixed_panel_does() -> None:
    # Code forum "6ft, 12ft rule on outlet locations", 2017 text: 16 ft that slide; 4 ft fixed.
    assert missing(2017, wall="sliding panel 16ft") == 0
    assert missing(2017, wall="sliding panel 12ft, fixed panel 4ft") == 1
    # Joined to a wall the panel is part of its space.
    line = "sliding panel 12ft, fixed panel 4ft, wall 2ft"
    assert missing(2017, wall=line, receptacle="17ft") == 0
    assert missing(2017, wall="sliding panel 12ft, fixed panel 23in, door 3ft") == 0


def test_the_wall_behind_a_door_counts_and_each_side_of_a_doorway_is_served_alone() -> None:
    # Trade magazine, Code Q&A, wall behind a door; code forum "210.52(A)(1) Spacing issue": a 2 ft
    # wall between a door and a closet is usually not credited with a receptacle across the door.
    working = judged(wall="10ft, door 30in, 2ft, sliding panel 5ft", receptacle="9ft 6in")
    assert working.result["missing"] == 2
    beyond = judged(wall="10ft, door 30in, 2ft, sliding panel 5ft", receptacle="5ft; 9ft 11in")
    assert (beyond.verdict, beyond.result["missing"]) == ("fail", 1)
    assert any("authority having jurisdiction" in each for each in beyond.caveats)


def test_wall_space_is_measured_around_corners() -> None:
    # Continuing-education and forum copies of 210.52(A)(2): corners do not break a wall space.
    assert missing(wall="6ft, corner, 6ft", receptacle="6ft") == 0
    assert missing(wall="1ft, corner, 1ft, door 3ft") == 1
    assert missing(wall="23in, door 3ft") == 0


def test_floor_receptacles_count_up_to_18_inches_from_the_wall() -> None:
    # Code forum "6ft, 12ft rule": within 18 in.
    for distance, left in (("17in", 0), ("18in", 0), ("18 1/16in", 1)):
        assert missing(wall="10ft", receptacle=f"5ft, {distance} from wall") == left


def test_countertop_receptacles_serve_no_wall_since_2011() -> None:
    # Trade magazine, 2011 NEC changes; continuing-education page on 210.52(C), 2020.
    assert [missing(each, wall="8ft", receptacle="4ft, counter") for each in EDITIONS] == [
        0, 1, 1, 1, 1, 1, 1,
    ]  # fmt: skip


def test_a_fixed_cabinet_with_a_counter_breaks_the_wall_before_2017_only() -> None:
    # Trade magazine, 2011 NEC changes; code forum, 2017 text of 210.52(A)(2).
    line = "5ft, cabinet with counter 2ft, 5ft"
    told = {each: missing(each, wall=line, receptacle="6ft") for each in EDITIONS}
    assert told == {2008: 2, 2011: 2, 2014: 2, 2017: 0, 2020: 0, 2023: 0, 2026: 0}
    assert missing(2020, wall="5ft, cabinet 2ft, 5ft", receptacle="4ft") == 1


def test_the_words_that_do_not_count() -> None:
    # Code forum, 2008 text of 210.52; the switched one: one page on 210.70(A)(1) Exception 1.
    for word in ("equipment", "cabinet", "switched"):
        assert missing(wall="8ft", receptacle=f"4ft, {word}") == 1
    assert missing(wall="8ft", receptacle="4ft") == 0


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize(
    ("feet", "least"),
    [("1ft 11in", 0), ("2ft", 1), ("12ft", 1), ("12ft 1/64in", 2), ("24ft", 2), ("25ft", 3)],
)
def test_the_least_number_of_a_wall(edition: int, feet: str, least: int) -> None:
    # Arithmetic from 6 ft and 2 ft: code forum "6ft, 12ft rule", trade magazine, Code Q&A.
    assert judged(edition, wall=feet).result["required"] == least


@pytest.mark.parametrize(
    ("inches", "least"),
    [("11 15/16in", 0), ("12in", 1), ("48in", 1), ("48 1/16in", 2), ("63in", 2), ("97in", 3)],
)
def test_the_least_number_of_a_counter(inches: str, least: int) -> None:
    # Arithmetic from 24 in. and 12 in.: code forum "SFD kitchen counter".
    assert judged(counter=inches).result["required"] == least


# ------------------------------------------------------------------------------- counters


@pytest.mark.parametrize(
    ("behind", "parted"),
    [("behind 11in", True), ("behind 12in", False), ("behind 13in", False), ("", True),
     ("corner behind 17in", True), ("corner behind 18in", False), ("corner behind 19in", False)],
)  # fmt: skip
def test_what_stands_behind_a_sink_counts_from_12_or_18_inches(behind: str, parted: bool) -> None:
    # Building-code forum, receptacles behind a sink; that the limit itself counts: from memory.
    working = judged(counter=f"20in, sink 33in {behind}, 20in", receptacle="20in; 53in")
    assert len(spaces(working)) == (2 if parted else 1)
    assert working.result["missing"] == 0


def test_a_receptacle_beside_the_sink_does_not_serve_the_other_side() -> None:
    # Code forum "GFI behind sink": receptacles on each side of the sink.
    working = judged(counter="30in, sink 33in, 30in", receptacle="20in")
    assert add(working) == [(69, 87)]
    assert "does not count" not in " ".join(working.caveats)


def test_height_above_the_counter() -> None:
    # Continuing-education page on 210.52(C)(3), 2020: not more than 20 in. above.
    for height, left in (("19in", 0), ("20in", 0), ("21in", 1)):
        assert missing(counter="40in", receptacle=f"20in, {height} high") == left


def test_blocked_receptacles_do_not_count() -> None:
    # Continuing-education page on 210.52(C)(3), 2020, which quotes the 2017 text.
    for word in ("blocked", "appliance garage"):
        assert missing(counter="40in", receptacle=f"20in, {word}") == 1


def test_one_below_a_wall_counter_beside_enough_others_in_2026() -> None:
    # Two continuing-education pages on 210.52(C)(4), 2026, differ on counters along a wall.
    told = {"counter": "40in", "receptacle": "20in; 30in, 24in below"}
    assert (judged(2023, **told).verdict, judged(2026, **told).verdict) == ("pass", "ask the AHJ")
    assert judged(2026, counter="40in", receptacle="20in; 30in, 25in below").verdict == "pass"


@pytest.mark.parametrize(("edition", "left"), [(2017, 1), (2020, 0), (2023, 1), (2026, 1)])
def test_a_receptacle_below_a_wall_counter(edition: int, left: int) -> None:
    # 2020: continuing-education page on 210.52(C)(3); 2023: trade magazine, CQD Spotlight (2024);
    # 2026: continuing-education page on 210.52(C)(4). Before 2020 by exception only.
    told = {"counter": "40in", "receptacle": "20in, 12in below, overhang 6in"}
    assert missing(edition, **told) == left
    assert missing(2020, counter="40in", receptacle="20in, 13in below, overhang 6in") == 1
    assert missing(2020, counter="40in", receptacle="20in, 12in below, overhang 7in") == 1
    assert missing(2020, counter="40in", receptacle="20in, 12in below") == 1


# --------------------------------------------------------------------------------- foyers


def test_foyers_larger_than_60_square_feet_since_2011() -> None:
    # Code forum "Foyers and Hallways": more than 60 ft2, each wall space of 3 ft or more.
    line = "3ft, door 3ft, sidelight 1ft, 35in, archway 4ft"
    assert judged(2011, foyer="60ft2", wall=line).result["required"] == 0
    assert judged(2011, foyer="60.1ft2", wall=line).result["required"] == 1
    assert judged(2011, foyer="8ft x 9ft", wall=line, receptacle="2ft").result["missing"] == 0
    assert judged(2008, foyer="72ft2", wall=line).result["required"] == 0
    # Length alone asks for no second one there.
    assert missing(2020, foyer="100ft2", wall="20ft, door 3ft", receptacle="1ft") == 0


# ----------------------------------------------------------------- brute force over rooms


def feet(number: int) -> Fraction:
    return Fraction(12 * number)


def brute_missing(
    kinds: list[tuple[str, int]], at: list[int], around: bool, reach: int, least: int
) -> int:
    """The fewest to add, found by trying: cells of one unit, points at every half of one."""
    cells = [kind for kind, count in kinds for _ in range(count)]
    size = len(cells)
    spaces: list[list[int]] = []
    for number, kind in enumerate(cells):
        if kind != "wall":
            continue
        if number and cells[number - 1] == "wall":
            spaces[-1].append(number)
        else:
            spaces.append([number])
    ring = around and len(spaces) == 1 and len(spaces[0]) == size
    if around and not ring and len(spaces) > 1 and cells[0] == cells[-1] == "wall":
        spaces[0] = [*(each - size for each in spaces.pop()), *spaces[0]]
    total = 0
    for space in spaces:
        if len(space) < least:
            continue
        ends = (space[0], space[-1] + 1)
        spots = range(ends[0], ends[1] + (not ring))
        halves = range(2 * ends[0], 2 * ends[1] + (not ring))
        here = {s for s in spots if any((s - a) % size == 0 if around else s == a for a in at)}

        def near(half: int, spot: int, ring: bool = ring) -> bool:
            apart = abs(half - 2 * spot)
            return min(apart, 2 * size - apart if ring else apart) <= 2 * reach

        served = {s: sum(1 << i for i, h in enumerate(halves) if near(h, s)) for s in spots}
        every = (1 << len(halves)) - 1
        start = 0
        for spot in here:
            start |= served[spot]
        reached = {start}
        while every not in reached:
            reached = {each | more for each in reached for more in served.values()}
            total += 1
    return total


def random_line(chance: random.Random, breaks: str) -> tuple[list[tuple[str, int]], list[int]]:
    kinds: list[tuple[str, int]] = []
    for _ in range(chance.randint(1, 5)):
        kinds.append((chance.choice(("wall", "wall", breaks)), chance.randint(1, 9)))
    size = sum(count for _, count in kinds)
    return kinds, sorted(chance.sample(range(size + 1), min(size, chance.randint(0, 4))))


def rooms_agree(rounds: int, seed: int) -> None:
    chance = random.Random(seed)
    for _ in range(rounds):
        kinds, at = random_line(chance, "door")
        around = chance.random() < 0.4
        line = Line(
            tuple(Stretch(kind, feet(count)) for kind, count in kinds),
            tuple(Receptacle(feet(each)) for each in at),
            around,
        )
        found = wall_spacing(line, tables()).missing
        assert found == brute_missing(kinds, at, around, 6, 2), (kinds, at, around)


def counters_agree(rounds: int, seed: int) -> None:
    chance = random.Random(seed)
    for _ in range(rounds):
        kinds, at = random_line(chance, "range")
        inches = Fraction(6)
        line = Line(
            tuple(
                Stretch("counter" if kind == "wall" else kind, count * inches)
                for kind, count in kinds
            ),
            tuple(Receptacle(each * inches) for each in at),
        )
        found = counter_spacing(line, tables()).missing
        assert found == brute_missing(kinds, at, False, 4, 2), (kinds, at)


def test_brute_force_agrees_on_small_rooms_and_counters() -> None:
    rooms_agree(1500, seed=6)
    counters_agree(1500, seed=24)


@pytest.mark.slow
def test_brute_force_agrees_on_many_small_rooms_and_counters() -> None:
    rooms_agree(50_000, seed=12)
    counters_agree(50_000, seed=48)
