"""Ampacity and overcurrent protection: table values, published examples, and the order of steps."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trade.editions import EDITIONS, SINCE_2011, tables
from walkthrough.rulebook.load import load
from walkthrough.trade.ampacity import Conductor, Metal, Surroundings, Use, ampacity
from walkthrough.trade.tables import NoRow
from walkthrough.trade.working import Working

# Public flipbook of the 2018 residential code, page 742 (2017 text), and adopted residential code
# text E3705; a chart dated 2023 has the same; for 2011, 2014, 2020 and 2026 from memory.
AMPACITIES = """
14   15  20  25   -   -   -
12   20  25  30  15  20  25
10   30  35  40  25  30  35
8    40  50  55  35  40  45
6    55  65  75  40  50  55
4    70  85  95  55  65  75
3    85 100 115  65  75  85
2    95 115 130  75  90 100
1   110 130 145  85 100 115
1/0 125 150 170 100 120 135
2/0 145 175 195 115 135 150
3/0 165 200 225 130 155 175
4/0 195 230 260 150 180 205
"""
# From memory: tables headed 310-16 on the web, taken as the values before 2011.
BEFORE_2011 = {
    ("14", "copper"): (20, 20, 25),
    ("12", "copper"): (25, 25, 30),
    ("3", "copper"): (85, 100, 110),
    ("1", "copper"): (110, 130, 150),
    ("8", "aluminum"): (30, 40, 45),
    ("6", "aluminum"): (40, 50, 60),
}
# The flipbook, page 742, and adopted residential code text E3705.2; upper end in C, then the
# factors of 60, 75 and 90 C.
FACTORS = """
10 1.29 1.20 1.15
15 1.22 1.15 1.12
20 1.15 1.11 1.08
25 1.08 1.05 1.04
30 1.00 1.00 1.00
35 0.91 0.94 0.96
40 0.82 0.88 0.91
45 0.71 0.82 0.87
50 0.58 0.75 0.82
55 0.41 0.67 0.76
60 -    0.58 0.71
65 -    0.47 0.65
70 -    0.33 0.58
75 -    -    0.50
80 -    -    0.41
85 -    -    0.29
"""
AMPACITY_ROWS = [line.split() for line in AMPACITIES.strip().splitlines()]
FACTOR_ROWS = [line.split() for line in FACTORS.strip().splitlines()]
COLUMNS = ("60", "75", "90")


def calc(
    size: str,
    insulation: str,
    around: Surroundings | None = None,
    use: Use | None = None,
    metal: Metal = "copper",
    edition: str = "nec-2017",
) -> Working:
    where = around or Surroundings()
    return ampacity(Conductor(size, metal, insulation), where, use or Use(), tables(edition))


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("row", AMPACITY_ROWS, ids=lambda row: row[0])
def test_ampacities(row: list[str], edition: str) -> None:
    size = row[0]
    values: tuple[tuple[Metal, list[str]], ...] = (("copper", row[1:4]), ("aluminum", row[4:]))
    for metal, printed in values:
        before = BEFORE_2011.get((size, metal)) if edition == "nec-2008" else None
        for number, value in enumerate(printed):
            told = calc(size, COLUMNS[number], metal=metal, edition=edition)
            expected = None if value == "-" else Decimal(before[number] if before else value)
            assert told.result.get("table_a") == expected


@pytest.mark.parametrize(
    ("edition", "mark"),
    [("nec-2014", "memory"), ("nec-2017", "confirmed"), ("nec-2020", "memory")],
)
def test_the_mark_of_the_ampacities_goes_with_the_edition(edition: str, mark: str) -> None:
    assert tables(edition).ground("ampacity_copper", "12").confidence == mark


def test_the_values_for_90_c_only() -> None:
    # From memory.
    assert calc("18", "90").result["ampacity_a"] == 14
    assert calc("16", "90").result["ampacity_a"] == 18
    assert calc("16", "75").verdict == "cannot assess"


@pytest.mark.parametrize("edition", EDITIONS)
@pytest.mark.parametrize("row", FACTOR_ROWS, ids=lambda row: row[0])
def test_ambient_factors_by_band(row: list[str], edition: str) -> None:
    top = Decimal(row[0])
    for column, printed in zip(COLUMNS, row[1:], strict=True):
        expected = Decimal(0) if printed == "-" else Decimal(printed)
        for degrees in (top, top - 4 if row[0] != "10" else Decimal(-20)):
            told = calc("6", column, Surroundings(degrees), edition=edition)
            assert told.result["ambient_factor"] == expected


@pytest.mark.parametrize("row", FACTOR_ROWS, ids=lambda row: row[0])
def test_ambient_factors_follow_the_formula_behind_them(row: list[str]) -> None:
    # Public code forum: sqrt((Tc - Ta) / (Tc - 30)), at the top of the band up to 30 C the middle
    # of it; math.sqrt is the reference.
    ambient = float(row[0])
    for column, printed in zip(COLUMNS, row[1:], strict=True):
        inside = (float(column) - ambient) / (float(column) - 30)
        if printed == "-":
            assert inside <= 0
        else:
            assert float(printed) == pytest.approx(math.sqrt(inside), abs=0.006)


def test_a_degree_beyond_a_band_takes_the_next() -> None:
    assert calc("6", "90", Surroundings(Decimal("30.01"))).result["ambient_factor"] == Decimal(
        "0.96"
    )
    with pytest.raises(NoRow, match=r"85\.1 C"):
        calc("6", "90", Surroundings(Decimal("85.1")))


@pytest.mark.parametrize(
    ("first", "last", "percent"),
    # A table page on NEC 2014; a page on correction factors.
    [(1, 3, 100), (4, 6, 80), (7, 9, 70), (10, 20, 50), (21, 30, 45), (31, 40, 40), (41, 99, 35)],
)
@pytest.mark.parametrize("edition", EDITIONS)
def test_the_factor_for_number(first: int, last: int, percent: int, edition: str) -> None:
    for number in (first, last):
        told = calc("12", "90", Surroundings(conductors=number), edition=edition)
        assert told.result["number_factor"] == Decimal(percent) / 100


@pytest.mark.parametrize("edition", SINCE_2011)
def test_four_bundled_cables_and_then_five(edition: str) -> None:
    # Do-it-yourself forum "Temperature rating"; code forum "334.80": 21 A capped to 20, and 15 A.
    four = calc("12", "NM-B", Surroundings(cables=(4, 2)), edition=edition).result
    assert (four["adjusted_a"], four["ampacity_a"], four["largest_breaker_a"]) == (21, 20, 20)
    five = calc("12", "NM-B", Surroundings(cables=(5, 2)), edition=edition).result
    assert (five["adjusted_a"], five["ampacity_a"], five["largest_breaker_a"]) == (15, 15, 15)


def test_two_cables_together_need_no_adjustment() -> None:
    # Code forum "Clarification on 334.80": more than two.
    assert calc("12", "NM-B", Surroundings(cables=(2, 2))).result["number_factor"] == 1
    assert calc("12", "NM-B", Surroundings(cables=(3, 2))).result["number_factor"] == Decimal("0.8")


def test_nine_conductors_in_a_conduit() -> None:
    # EC&M Code Quiz 23: 21 A each before the terminals; 20 A device by 240.4(D).
    result = calc("12", "THHN", Surroundings(conductors=9)).result
    assert (result["adjusted_a"], result["ampacity_a"], result["largest_breaker_a"]) == (21, 20, 20)
    marked = calc("12", "THHN", Surroundings(conductors=9), Use(terminals_c=75)).result
    assert (marked["ampacity_a"], marked["largest_breaker_a"]) == (21, 20)


def test_a_short_nipple_needs_no_adjustment() -> None:
    # A page on correction factors: 24 in.
    for inches, factor in ((24, "1"), (25, "0.7")):
        around = Surroundings(conductors=9, length_in=Decimal(inches))
        assert calc("12", "THHN", around).result["number_factor"] == Decimal(factor)


@pytest.mark.parametrize(
    ("size", "insulation", "use", "cap"),
    [
        # Two pages on 110.14(C)(1).
        ("6", "THHN", Use(), 55),
        ("6", "THHN", Use(terminals_c=75), 65),
        ("6", "60", Use(terminals_c=75), 55),
        ("1", "THHN", Use(breaker_a=Decimal(100)), 110),
        ("1", "THHN", Use(breaker_a=Decimal(110)), 130),
        ("1/0", "THHN", Use(), 150),
        # Code forum on 334.80: NM goes by 60 C, whatever the terminals.
        ("6", "NM-B", Use(terminals_c=75), 55),
    ],
)
def test_the_caps(size: str, insulation: str, use: Use, cap: int) -> None:
    assert calc(size, insulation, use=use).result["cap_a"] == cap


@pytest.mark.parametrize(
    ("size", "metal", "limit"),
    # Question-and-answer page quoting 240.4(D); a wire maker's ampacity sheet.
    [
        ("14", "copper", 15),
        ("12", "aluminum", 15),
        ("12", "copper-clad", 15),
        ("12", "copper", 20),
        ("10", "aluminum", 25),
        ("10", "copper-clad", 25),
        ("10", "copper", 30),
        ("18", "copper", 7),
        ("16", "copper", 10),
    ],
)
@pytest.mark.parametrize("edition", SINCE_2011)
def test_small_conductors(size: str, metal: Metal, limit: int, edition: str) -> None:
    told = calc(size, "90", use=Use(terminals_c=75), metal=metal, edition=edition)
    assert told.result["small_conductor_limit_a"] == limit
    assert told.result["largest_breaker_a"] == limit
    assert [step.label for step in told.steps if "small" in step.label]


def test_copper_clad_14_awg_is_in_the_list_from_2023_and_has_no_ampacity() -> None:
    # Continuing-education lesson on 10 A breakers, 2023.
    assert calc("14", "90", metal="copper-clad").result["largest_breaker_a"] is None
    later = calc("14", "90", use=Use(Decimal(15)), metal="copper-clad", edition="nec-2023")
    assert (later.verdict, later.result["largest_breaker_a"]) == ("fail", 10)


def test_the_thinnest_sizes_hang_on_conditions() -> None:
    # From memory: 5.6 A and 8 A of continuous load.
    small = calc("18", "90", use=Use(Decimal(7), continuous_a=Decimal("5.6")))
    assert small.verdict == "cannot assess"
    assert calc("18", "90", use=Use(Decimal(7), continuous_a=Decimal("5.61"))).verdict == "fail"
    assert calc("16", "90", use=Use(Decimal(15))).verdict == "fail"


def test_the_next_size_up_not_for_several_receptacles() -> None:
    # From memory: 240.4(B); two pages on 210.19(A)(2) for receptacles.
    assert calc("6", "NM-B", use=Use(Decimal(60), receptacles=1)).verdict == "pass"
    assert calc("6", "NM-B", use=Use(Decimal(60), receptacles=2)).verdict == "fail"
    assert calc("6", "NM-B", use=Use(Decimal(60))).verdict == "cannot assess"
    assert calc("6", "NM-B", use=Use(Decimal(50))).verdict == "pass"
    assert calc("6", "NM-B", use=Use(Decimal(70), receptacles=1)).verdict == "fail"


def test_10_a_is_a_standard_size_from_2023() -> None:
    # Continuing-education lesson on 10 A breakers: 8.75 A takes 10 A, before that 15 A.
    around = Surroundings(conductors=41)
    assert calc("14", "90", around, edition="nec-2020").result["largest_breaker_a"] == 15
    assert calc("14", "90", around, edition="nec-2023").result["largest_breaker_a"] == 10


@pytest.mark.parametrize(
    ("continuous", "other", "verdict"),
    [("16", "0", "pass"), ("16", "0.1", "fail"), ("8", "10", "pass")],
)
def test_continuous_loads(continuous: str, other: str, verdict: str) -> None:
    # Inspectors' journal on Article 210: 125 % of 16 A is a full 20 A circuit.
    use = Use(Decimal(20), continuous_a=Decimal(continuous), other_a=Decimal(other))
    assert calc("12", "NM-B", use=use).verdict == verdict


def test_the_load_against_the_adjusted_conductor() -> None:
    # Inspectors' journal on Article 210: sized before, and then the adjusted ampacity must carry it.
    use = Use(continuous_a=Decimal(12), other_a=Decimal(4))
    told = calc("12", "THHN", Surroundings(conductors=20), use)
    assert (told.result["needed_a"], told.result["ampacity_a"], told.verdict) == (19, 15, "fail")


def test_motors_go_by_their_nameplate() -> None:
    # Question-and-answer page quoting 240.4(D): 240.4(G).
    told = calc("12", "NM-B", use=Use(Decimal(30), motor_or_hvac=True))
    assert told.verdict == "cannot assess"
    assert told.result["largest_breaker_a"] is None


def test_the_order_of_the_steps() -> None:
    labels = [step.label for step in calc("12", "NM-B", Surroundings(cables=(4, 2))).steps]
    assert labels == [
        "insulation",
        "ampacity in the table",
        "factor for ambient",
        "factor for number",
        "corrected and adjusted",
        "terminals",
        "cable",
        "ampacity",
        "overcurrent device",
        "limit for a small conductor",
    ]


def test_each_step_names_the_section_of_its_edition() -> None:
    # Public flipbook (2017) and adopted residential code text (2020) for the table numbers.
    def cites(edition: str) -> set[str]:
        told = calc("12", "NM-B", Surroundings(conductors=9), edition=edition)
        return {cite for step in told.steps for cite in step.ground.cite}

    assert {"Table 310.15(B)(16)", "Table 310.15(B)(2)(a)", "Table 310.15(B)(3)(a)"} <= cites(
        "nec-2017"
    )
    assert {"Table 310.16", "Table 310.15(B)(1)", "Table 310.15(C)(1)"} <= cites("nec-2020")
    assert {"334.80", "110.14(C)(1)(a)", "240.6(A)", "240.4(D)(5)"} <= cites("nec-2020")


@pytest.mark.parametrize("edition", EDITIONS)
def test_the_rules_and_the_calculation_have_the_same_figures(edition: str) -> None:
    book = load(edition)
    metals = {"cu": "ampacity_copper", "al": "ampacity_aluminum"}
    for column, name in enumerate(("ampacity_60_c", "ampacity_75_c")):
        for row, value in book.tables[name].rows.items():
            figure = tables(edition).number(metals[row[:2]], row[2:], column)
            assert figure == Decimal(str(value))


@given(
    st.sampled_from([row[0] for row in AMPACITY_ROWS]),
    st.sampled_from(("60", "75", "90", "NM-B", "THHN")),
    st.integers(1, 60),
    st.integers(-20, 84),
)
def test_more_conductors_or_heat_never_give_more(
    size: str, insulation: str, number: int, ambient: int
) -> None:
    def found(count: int, degrees: int) -> Decimal:
        around = Surroundings(Decimal(degrees), count)
        value = calc(size, insulation, around, edition="nec-2023").result["ampacity_a"]
        assert isinstance(value, Decimal)
        return value

    assert found(number + 1, ambient) <= found(number, ambient)
    assert found(number, ambient + 1) <= found(number, ambient)
