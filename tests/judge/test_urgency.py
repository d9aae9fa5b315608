"""Findings of one severity: the most dangerous first, then what is near water, then what a test shows."""

from __future__ import annotations

from pathlib import Path

from walkthrough.judge.judge import SEVERITIES, judge
from walkthrough.judge.under import judge_under
from walkthrough.rulebook.load import load
from walkthrough.survey import store
from walkthrough.survey.model import Session

HOUSE = """format = 1
title = "One bath, one bedroom"
judged_by = { ruleset = "nec-2020" }

[dwelling]
answers = { dwelling_kind = "one_family", year_built = 1978, work = "untouched" }

[[panel]]
id = "P1"
answers = { panel_kind = "breakers" }

[[circuit]]
id = "C1"
panel = "P1"
answers = { breaker = "standard", breaker_amps = 20, circuit_volts = 120, conductor = "cu14" }

[[room]]
id = "bed"
name = "Bedroom"
answers = { place = ["bedroom"], wetness = "dry" }

[[room]]
id = "bath"
name = "Bath"
answers = { place = ["bathroom"], wetness = "dry" }

[[outlet]]
id = "B-1"
room = "bed"
circuit = "C1"
answers = { device = "plain", feet_to_sink = inf, feet_to_tub = inf }
readings = { tester = "reversed" }

[[outlet]]
id = "B-2"
room = "bed"
circuit = "C1"
answers = { device = "plain", plate = "none", feet_to_sink = inf, feet_to_tub = inf }
readings = { tester = "correct" }

[[outlet]]
id = "H-1"
room = "bath"
circuit = "C1"
answers = { device = "gfci", feet_to_sink = 1 }
readings = { tester = "correct", test_result = "nothing" }
"""
COMMON = 'point = "receptacle", volts = 125, amps = 15, slots = "three_slot"'


def house(tmp_path: Path) -> Session:
    path = tmp_path / "house.toml"
    text = HOUSE.replace("answers = { device", f"answers = {{ {COMMON}, device")
    path.write_text(text, encoding="utf-8")
    return store.load(path)


def test_live_parts_then_faults_at_water_then_other_faults_then_heat(tmp_path: Path) -> None:
    """The order is that of [danger] in the base ruleset: common practice, no source."""
    found = judge(house(tmp_path), load("nec-2020")).findings
    assert [(each.rule, each.subject) for each in found if each.severity == "hazard"] == [
        ("plate.missing", "B-2"),
        ("device.test-fails", "H-1"),
        ("polarity.reversed", "B-1"),
        ("conductor.cu14-breaker", "C1"),
    ]
    severities = [SEVERITIES.index(each.severity) for each in found]
    assert severities == sorted(severities)


def test_what_asks_for_the_same_at_one_place_counts_once(tmp_path: Path) -> None:
    """A bathroom receptacle one foot from its basin needs one GFCI, by whatever rule."""
    judged = judge_under(house(tmp_path), [load("nec-2020")])
    told = [each.finding.rule for each in judged.findings if each.finding.topic == "gfci"]
    assert {"gfci.bathroom", "gfci.near-sink"} <= set(told)
    counted = [each.rule for each in judged.once if each.topic == "gfci"]
    assert len(counted) == 1
    # What allows no way of fulfilling it is a matter of its own each time.
    assert len([each for each in judged.once if each.subject == "H-1"]) > 1


def test_a_ground_known_to_be_missing_at_a_tub_goes_before_one_that_only_a_tester_misses(
    tmp_path: Path,
) -> None:
    """The order is that of [danger] in the base ruleset: common practice, no source."""
    text = HOUSE.replace("answers = { device", f"answers = {{ {COMMON}, device")
    text = text.replace(
        'readings = { tester = "reversed" }', 'readings = { tester = "open_ground" }'
    )
    bath = 'device = "gfci", feet_to_sink = 1 }'
    without = 'device = "plain", equipment_ground = "none", feet_to_tub = 2 }'
    assert bath in text
    found_there = 'readings = { tester = "correct", test_result = "nothing" }'
    assert found_there in text
    text = text.replace(bath, without)
    text = text.replace(found_there, 'readings = { tester = "open_ground" }')
    path = tmp_path / "house.toml"
    path.write_text(text, encoding="utf-8")
    found = judge(store.load(path), load("nec-2020")).findings
    grounds = [(each.rule, each.subject) for each in found if each.topic == "grounding"]
    assert grounds == [
        ("grounding.three-slot-without-ground", "H-1"),
        ("grounding.open-ground", "B-1"),
    ]


def test_water_in_a_panel_goes_before_all_else(tmp_path: Path) -> None:
    text = HOUSE.replace("answers = { device", f"answers = {{ {COMMON}, device")
    text = text.replace('panel_kind = "breakers"', 'panel_kind = "breakers", water_in_panel = true')
    path = tmp_path / "house.toml"
    path.write_text(text, encoding="utf-8")
    judged = judge_under(store.load(path), [load("nec-2020"), load("hud-rental")])
    first = judged.findings[0]
    assert first.finding.rule == "hud.water-in-panel"
    assert "plate.missing" in {each.finding.rule for each in judged.findings}
