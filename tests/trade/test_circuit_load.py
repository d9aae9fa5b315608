"""Loads and receptacles of a branch circuit against the tables of Article 210."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

import pytest

from tests.trade.editions import EDITIONS, SINCE_2011, tables
from walkthrough.trade.circuit_load import Branch, circuit_load
from walkthrough.trade.working import Working


def calc(circuit: int, edition: str = "nec-2020", **more: Any) -> Working:
    return circuit_load(Branch(Decimal(circuit), **more), tables(edition))


@pytest.mark.parametrize(
    ("circuit", "receptacle", "verdict"),
    # Adopted code text of Table 210.24; code forum on Table 210.21(B)(3).
    [
        (15, 15, "pass"),
        (15, 20, "fail"),
        (20, 15, "pass"),
        (20, 20, "pass"),
        (20, 30, "fail"),
        (30, 30, "pass"),
        (30, 20, "fail"),
        (40, 40, "pass"),
        (40, 50, "pass"),
        (40, 30, "fail"),
        (50, 50, "pass"),
        (50, 40, "fail"),
    ],
)
@pytest.mark.parametrize("edition", EDITIONS)
def test_receptacles_of_a_circuit_with_several(
    circuit: int, receptacle: int, verdict: str, edition: str
) -> None:
    assert calc(circuit, edition, receptacle_a=Decimal(receptacle)).verdict == verdict


@pytest.mark.parametrize(
    ("circuit", "receptacle", "verdict"),
    # Trade magazine on Article 210 and code forum "210.21(B)" for (B)(1); one forum each way for
    # a receptacle of more amperes than the circuit.
    [
        (20, 15, "fail"),
        (20, 20, "pass"),
        (15, 20, "ask the AHJ"),
        (30, 50, "ask the AHJ"),
        (40, 50, "pass"),
    ],
)
def test_a_single_receptacle_on_its_own_circuit(
    circuit: int, receptacle: int, verdict: str
) -> None:
    told = calc(circuit, receptacle_a=Decimal(receptacle), individual=True, single=True)
    assert told.verdict == verdict


@pytest.mark.parametrize(
    ("edition", "alone", "verdict"),
    # Continuing-education page on 210.22 and 210.23 (2026): the ban of 2023 is for circuits with
    # several outlets, and reaches individual circuits from 2026.
    [
        ("nec-2023", False, "fail"),
        ("nec-2023", True, "ask the AHJ"),
        ("nec-2026", False, "fail"),
        ("nec-2026", True, "fail"),
    ],
)
def test_a_receptacle_on_a_10_a_circuit(edition: str, alone: bool, verdict: str) -> None:
    told = calc(10, edition, receptacle_a=Decimal(15), individual=alone, single=alone)
    assert told.verdict == verdict


@pytest.mark.parametrize(
    ("circuit", "receptacle", "most"),
    # Code forum printing Table 210.21(B)(2).
    [(15, 15, 12), (20, 15, 12), (20, 20, 16), (30, 30, 24)],
)
def test_one_load_with_a_plug(circuit: int, receptacle: int, most: int) -> None:
    for load, verdict in ((Decimal(most), "pass"), (most + Decimal("0.01"), "warning")):
        told = calc(circuit, receptacle_a=Decimal(receptacle), plug_a=(load,))
        assert told.verdict == verdict


@pytest.mark.parametrize("edition", SINCE_2011)
def test_a_heater_of_1500_w_on_a_15_a_circuit(edition: str) -> None:
    # Trade magazine "A Misleading Circuit": 12.5 A, 83 %; the limit is 12 A. The user's load.
    told = calc(15, edition, plug_a=(Decimal(1500) / 120,))
    assert told.verdict == "warning"
    assert "12.5 A (83.3 % of 15 A) is above the 12 A" in told.because


@pytest.mark.parametrize(
    ("circuit", "fixed", "mixed", "verdict"),
    # Public flipbook of the 2018 residential code, page 739: half, where it feeds other things too.
    [
        (15, "7.5", True, "pass"),
        (15, "7.6", True, "fail"),
        (20, "10", True, "pass"),
        (20, "10.1", True, "fail"),
        (20, "16", False, "pass"),
        (20, "21", False, "fail"),
        (20, "16", None, "cannot assess"),
        (20, "10", None, "pass"),
        (20, "21", None, "fail"),
    ],
)
def test_loads_fastened_in_place(
    circuit: int, fixed: str, mixed: bool | None, verdict: str
) -> None:
    assert calc(circuit, fixed_a=Decimal(fixed), mixed=mixed).verdict == verdict


def test_10_a_circuits_feed_no_receptacles() -> None:
    # Continuing-education page on 210.22 and 210.23; a contractor's summary of 2023.
    assert calc(10, "nec-2023", receptacle_a=Decimal(15)).verdict == "fail"
    assert calc(10, "nec-2023").verdict == "pass"
    assert calc(10, "nec-2020").verdict == "fail"


@pytest.mark.parametrize(
    ("circuit", "awg"), [(15, "14"), (20, "12"), (30, "10"), (40, "8"), (50, "6")]
)
def test_the_smallest_copper(circuit: int, awg: str) -> None:
    # Adopted code text of Table 210.24.
    assert calc(circuit).result["smallest_copper_awg"] == awg


@pytest.mark.parametrize(("continuous", "verdict"), [("12", "pass"), ("12.1", "fail")])
def test_continuous_load(continuous: str, verdict: str) -> None:
    # Inspectors' journal on Article 210: 125 %.
    assert calc(15, continuous_a=Decimal(continuous)).verdict == verdict
