"""The trail: what decided an outcome, and nothing that did not."""

from __future__ import annotations

from typing import Any

from walkthrough.rulebook.decide import decide
from walkthrough.rulebook.explain import spoken, trail
from walkthrough.rulebook.load import load
from walkthrough.rulebook.situation import Situation

BOOK = load("nec-2020")
PRESUMED = {
    "single_phase": True,
    "volts_to_ground": 120,
    "sink_path": "open",
    "serves": ["general"],
}


def told(rule: str, **facts: Any) -> list[str]:
    situation = Situation({**PRESUMED, **facts}, BOOK.terms)
    decision = decide(BOOK.rules[rule], situation, BOOK)
    return ["  " * step.depth + step.text for step in trail(decision, situation, BOOK)]


def test_a_limit_stands_beside_the_recorded_value() -> None:
    steps = told(
        "gfci.near-sink", point="receptacle", volts=125, feet_to_sink=4.5, gfci_protected=False
    )
    assert any("feet to sink: 4.5 ft (at most 6 ft)" in step for step in steps)
    assert steps[0] == "applies:"
    assert "is not fulfilled:" in steps
    assert steps[-1] == "  gfci protected: no"


def test_one_failing_part_is_enough_to_explain_why_a_rule_does_not_apply() -> None:
    steps = told("gfci.near-sink", point="receptacle", volts=125, feet_to_sink=float("inf"))
    assert steps[0] == "does not apply:"
    assert any("no sink near" in step for step in steps)
    assert not any("volts" in step for step in steps)


def test_an_open_outcome_names_the_questions() -> None:
    steps = told("gfci.near-sink", point="receptacle", volts=125, gfci_protected=False)
    assert steps[0].startswith("open: feet to sink - Feet from the nearest sink")


def test_an_exception_is_told_with_its_section() -> None:
    steps = told(
        "tr.dwelling",
        point="receptacle",
        volts=125,
        amps=15,
        locking=False,
        place=["garage"],
        inches_above_floor=96,
        part_of_equipment=False,
        dedicated_space=False,
        slots="three_slot",
        work="untouched",
        tr_mark=False,
    )
    at = next(i for i, step in enumerate(steps) if step.startswith("exception 406.12"))
    assert "inches above floor: 96 in (more than 66 in)" in steps[at + 1]


def test_values_are_spoken_with_unit_and_words() -> None:
    assert spoken("feet_to_sink", 4.5, BOOK) == "4.5 ft"
    assert spoken("feet_to_sink", float("inf"), BOOK) == "no sink near"
    assert spoken("device", "gfci", BOOK) == "GFCI"
    assert spoken("place", ["kitchen", "dining"], BOOK) == "Kitchen, Dining room"
    assert spoken("tr_mark", None, BOOK) == "not known"
    assert spoken("year_built", 1974, BOOK) == "1974"
