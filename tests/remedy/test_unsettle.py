"""No work leans on what nobody knows: a rule that was settled may not hang on an unknown after it.

406.12 (TR up to 5 1/2 ft above the floor). Prices are the round ones of the demonstration: 30.50
for a new receptacle, 49.50 for splices.
"""

from __future__ import annotations

from typing import Any

from tests.remedy.test_trade import AL, circuit, plan, receptacle, told
from walkthrough.survey.model import Outlet


def on_aluminum(*unknown: str, **other: Any) -> list[str]:
    """What is planned at a tamper-resistant receptacle with aluminum wire straight on it."""
    al = circuit(breaker_amps=15, conductor="al12", breaker="gfci")
    al.readings["breaker_test_result"] = "trips"
    outlet = receptacle("1", tr_mark=True, **AL, **other)
    known = {word: value for word, value in outlet.answers.items() if word not in unknown}
    known_outlet: Outlet = outlet.model_copy(update={"answers": known})
    return told(plan(known_outlet, circuits=(al,)))


def test_a_receptacle_without_the_mark_does_where_it_is_known_to_hang_high() -> None:
    assert on_aluminum(inches_above_floor=80) == ["DUP15-COALR 1"]


def test_where_nobody_measured_the_height_the_mark_stays() -> None:
    assert on_aluminum("inches_above_floor") == ["PIGTAIL-AL 1"]
