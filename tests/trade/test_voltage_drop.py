"""Voltage drop: Table 8, published examples, and physics from a general library of units."""

from __future__ import annotations

import math
from decimal import Decimal
from typing import Any

import pint
import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trade.editions import EDITIONS, tables
from walkthrough.trade.tables import NoRow
from walkthrough.trade.voltage_drop import Metal, Run, Wire, voltage_drop
from walkthrough.trade.working import Working

units: Any = pint.UnitRegistry()

# Engineering table site "Conductor Properties" (ohm per 1000 ft at 75 C): size, circular mils,
# copper solid and stranded, aluminum solid and stranded; then the same in ohm per km, from memory.
TABLE_8 = """
18    1620 7.77   7.95  12.8  13.1    25.5  26.1   42.0   42.8
16    2580 4.89   4.99   8.05  8.21   16.0  16.4   26.4   26.9
14    4110 3.07   3.14   5.06  5.17   10.1  10.3   16.6   16.9
12    6530 1.93   1.98   3.18  3.25   6.34  6.50   10.45  10.69
10   10380 1.21   1.24   2.00  2.04   3.984 4.070  6.561  6.679
8    16510 0.764  0.778  1.26  1.28   2.506 2.551  4.125  4.204
6    26240 -      0.491  -     0.808  -     1.608  -      2.652
4    41740 -      0.308  -     0.508  -     1.010  -      1.666
3    52620 -      0.245  -     0.403  -     0.802  -      1.320
2    66360 -      0.194  -     0.319  -     0.634  -      1.045
1    83690 -      0.154  -     0.253  -     0.505  -      0.829
1/0 105600 -      0.122  -     0.201  -     0.399  -      0.660
2/0 133100 -      0.0967 -     0.159  -     0.3170 -      0.523
3/0 167800 -      0.0766 -     0.126  -     0.2512 -      0.413
4/0 211600 -      0.0608 -     0.100  -     0.1996 -      0.328
"""
ROWS = [line.split() for line in TABLE_8.strip().splitlines()]
KINDS: tuple[tuple[Metal, str], ...] = (
    ("copper", "solid"),
    ("copper", "stranded"),
    ("aluminum", "solid"),
    ("aluminum", "stranded"),
)
CELLS = [
    (row[0], metal, build, row[2 + number], row[6 + number])
    for row in ROWS
    for number, (metal, build) in enumerate(KINDS)
]


def calc(
    wire: Wire | None = None, amps: str = "", feet: str = "", volts: str = "120", **more: Decimal
) -> Working:
    run = Run(
        Decimal(volts),
        Decimal(amps) if amps else None,
        Decimal(feet) if feet else None,
        wire,
        **more,
    )
    return voltage_drop(run, tables())


def number(working: Working, name: str) -> float:
    value = working.result[name]
    assert isinstance(value, Decimal)
    return float(value)


@pytest.mark.parametrize(("size", "metal", "build", "kft", "km"), CELLS)
def test_table_8(size: str, metal: Metal, build: str, kft: str, km: str) -> None:
    wire = Wire(size, metal, build)
    if kft == "-":
        with pytest.raises(NoRow):
            calc(wire, "1", "500")
        return
    # One ampere over 500 ft one way is the resistance of 1000 ft.
    assert number(calc(wire, "1", "500"), "drop_v") == pytest.approx(float(kft), abs=1e-12)
    metric = (float(kft) * units.ohm / (1000 * units.foot)).to(units.ohm / units.kilometer)
    assert metric.magnitude == pytest.approx(float(km), rel=0.005)


@pytest.mark.parametrize("row", ROWS, ids=lambda row: row[0])
def test_circular_mils_are_those_of_the_gauge(row: list[str]) -> None:
    # The gauge's definition: 4/0 is 0.46 in., 36 is 0.005 in., 39 equal ratios between them.
    gauge = -int(row[0].split("/")[0]) + 1 if "/" in row[0] else int(row[0])
    inches = 0.005 * 92 ** ((36 - gauge) / 39)
    assert (inches * 1000) ** 2 == pytest.approx(float(row[1]), rel=0.005)
    assert tables().number("circular_mils", row[0]) == int(row[1])


@pytest.mark.parametrize("row", ROWS[:6], ids=lambda row: row[0])
def test_solid_copper_has_the_resistance_of_copper(row: list[str]) -> None:
    # Annealed copper of the international standard: 1.7241e-8 ohm m and 0.00393 per degree at 20 C.
    resistivity = 1.7241e-8 * (1 + 0.00393 * 55) * units.ohm * units.meter
    area = float(row[1]) * units.circular_mil
    ohms = (resistivity * 1000 * units.foot / area).to(units.ohm).magnitude
    assert ohms == pytest.approx(float(row[2]), rel=0.01)


@pytest.mark.parametrize("edition", EDITIONS)
def test_every_edition_has_the_advice(edition: str) -> None:
    # State exam-preparation lesson "Voltage drop"; trade pages: 3 % and 5 %.
    found = [tables(edition).number("voltage_drop_percent", row) for row in ("branch", "whole")]
    assert found == [3, 5]


# ------------------------------------------------------------------ published examples


def test_a_lamp_circuit_at_24_volts() -> None:
    # Web electrician course, page 135: 16 AWG, 4 A, 100 ft, 4.99 ohm: 4.0 V, printed as 16.7 %.
    told = calc(Wire("16", build="stranded"), "4", "100", "24")
    assert number(told, "drop_v") == pytest.approx(3.992)
    assert number(told, "drop_percent") == pytest.approx(16.633, abs=0.001)


@pytest.mark.parametrize(
    ("size", "volts", "percent"),
    # State exam-preparation lesson "Voltage drop": 20 A, 100 ft, 120 V, K 12.9.
    [("12", 7.902, 6.58), ("8", 3.125, 2.60)],
)
def test_by_k_and_circular_mils(size: str, volts: float, percent: float) -> None:
    told = calc(Wire(size, method="k"), "20", "100")
    assert number(told, "drop_v") == pytest.approx(volts, abs=0.001)
    assert number(told, "drop_percent") == pytest.approx(percent, abs=0.01)


def test_the_same_by_table_8() -> None:
    told = calc(Wire("12"), "20", "100")
    assert number(told, "drop_v") == pytest.approx(7.72)
    assert number(told, "drop_percent") == pytest.approx(6.43, abs=0.005)
    assert told.verdict == "advice"
    assert "solid conductors (taken as usual" in told.caveats[0]


@pytest.mark.parametrize(
    ("size", "amps"),
    # Newsgroup thread "Voltage drop" (9, 14.4 and 5.8 A with rounded resistances), worked out with
    # Table 8: 9.33, 14.9 and 5.86 A.
    [("12", 9.33), ("10", 14.88), ("14", 5.86)],
)
def test_the_most_amperes_over_100_feet(size: str, amps: float) -> None:
    assert number(calc(Wire(size), "", "100"), "amps_at_3_percent") == pytest.approx(
        amps, abs=0.005
    )


def test_the_newsgroup_s_own_loop_of_0_4_ohm() -> None:
    # Newsgroup thread "Voltage drop": 3 % of 120 V over 0.4 ohm is 9 A.
    told = calc(loop_ohm=Decimal("0.4"))
    assert told.result["amps_at_3_percent"] == 9
    assert told.verdict == "calculated"


@pytest.mark.parametrize(
    ("size", "amps", "three", "five"),
    # Worked out from Table 8, solid copper, 120 V.
    [
        ("14", "12", 49, 81),
        ("14", "15", 39, 65),
        ("12", "12", 78, 130),
        ("12", "15", 62, 104),
        ("12", "20", 47, 78),
    ],
)
def test_the_longest_runs(size: str, amps: str, three: int, five: int) -> None:
    told = calc(Wire(size), amps)
    assert number(told, "longest_ft_at_3_percent") == pytest.approx(three, abs=0.5)
    assert number(told, "longest_ft_at_5_percent") == pytest.approx(five, abs=0.5)


def test_a_cold_wire_measures_less() -> None:
    # Notes under a copy of Table 8: alpha 0.00323 for copper; 82 % at 20 C, worked out.
    cold = number(calc(Wire("12", temperature_c=Decimal(20)), "20", "100"), "drop_v")
    assert cold / 7.72 == pytest.approx(0.822, abs=0.001)
    # Wire tables for 20 C have 1.588 ohm for 12 AWG.
    assert cold / 4 == pytest.approx(1.588, abs=0.002)


def test_exactly_the_advised_percentage_is_within_it() -> None:
    feet = "1000"
    amps = str(Decimal("3.6") / (2 * Decimal("1.98")))
    at = calc(Wire("12", build="stranded"), "0.9", feet, "118.8")
    assert at.result["drop_percent"] == 3
    assert at.verdict == "within advice"
    assert calc(Wire("12", build="stranded"), amps, feet, "119.99").verdict == "advice"


def test_feeder_and_branch_together() -> None:
    # State exam-preparation lesson "Voltage drop": 5 % for both.
    told = calc(Wire("12"), "12", "60", feeder_percent=Decimal("2.6"))
    assert number(told, "drop_percent") < 3
    assert number(told, "whole_percent") == pytest.approx(4.916)
    assert told.verdict == "within advice"
    assert calc(Wire("12"), "12", "60", feeder_percent=Decimal(3)).verdict == "advice"


def test_the_smallest_size_that_keeps_to_the_advice() -> None:
    # State exam-preparation lesson "Voltage drop": 8 AWG instead of 12 gives 2.6 %.
    assert calc(Wire("12"), "20", "100").result["smallest_size_at_3_percent"] == "8"


def test_a_measured_drop_is_set_against_the_calculated_one() -> None:
    # Two tester makers' manuals, which differ: 5 %, and up to 8 %.
    readings: Any = {"unloaded_v": Decimal("121.3"), "loaded_v": Decimal("116.2")}
    told = calc(Wire("12"), "12", "60", **readings)
    assert told.result["measured_drop_v"] == Decimal("5.1")
    assert number(told, "measured_percent") == pytest.approx(4.204, abs=0.001)
    assert told.result["beyond_calculated_v"] == Decimal("5.1") - Decimal("2.7792")
    assert told.verdict == "within advice"
    low = calc(unloaded_v=Decimal(120), loaded_v=Decimal("113.9"))
    assert low.verdict == "advice"
    assert calc(unloaded_v=Decimal(120), loaded_v=Decimal(114)).verdict == "within advice"


@given(st.sampled_from([row[0] for row in ROWS]), st.integers(1, 200), st.integers(1, 500))
def test_longer_runs_and_larger_loads_lose_more(size: str, amps: int, feet: int) -> None:
    def drop(a: int, f: int) -> float:
        return number(calc(Wire(size), str(a), str(f)), "drop_v")

    assert drop(amps, feet) < drop(amps + 1, feet)
    assert drop(amps, feet) < drop(amps, feet + 1)
    assert math.isclose(drop(2 * amps, feet), drop(amps, 2 * feet))
