"""What counts as one: only what the cure of the leading finding cures as well, whichever way."""

from __future__ import annotations

from pathlib import Path

from walkthrough.judge.under import Judged, judge_under
from walkthrough.rulebook.load import load
from walkthrough.survey import store

HOUSE = """format = 1
title = "One receptacle"
judged_by = { ruleset = "nec-2020" }

[dwelling]
answers = { dwelling_kind = "one_family", year_built = 1978, work = "untouched" }

[[panel]]
id = "P1"
answers = { panel_kind = "breakers" }

[[circuit]]
id = "C1"
panel = "P1"
answers = { breaker = "standard", breaker_amps = 15, circuit_volts = 120, conductor = "cu14" }

[[room]]
id = "room"
name = "Room"
answers = { place = ["PLACE"], wetness = "dry" }

[[outlet]]
id = "1"
room = "room"
circuit = "C1"
answers = { point = "receptacle", volts = 125, amps = 15, slots = "three_slot", device = "plain", ANSWERS }
readings = { tester = "TESTER" }
"""


def judged(
    tmp_path: Path, place: str, answers: str, *rulesets: str, tester: str = "correct"
) -> Judged:
    text = HOUSE.replace("PLACE", place).replace("ANSWERS", answers).replace("TESTER", tester)
    path = tmp_path / "house.toml"
    path.write_text(text, encoding="utf-8")
    return judge_under(store.load(path), [load(each) for each in rulesets or ("nec-2020",)])


def counted(judged: Judged, topic: str) -> list[str]:
    return [each.rule for each in judged.once if each.topic == topic]


def told(judged: Judged, topic: str) -> list[str]:
    return [each.finding.rule for each in judged.findings if each.finding.topic == topic]


def test_a_ground_that_two_slots_may_cure_hides_no_gfci_that_the_room_asks_for(
    tmp_path: Path,
) -> None:
    """406.4(D)(2) lets a two-slot receptacle do; 210.8(A)(1) asks for a GFCI in the bathroom."""
    ungrounded = 'equipment_ground = "none", feet_to_sink = 2, feet_to_tub = 8'
    found = judged(tmp_path, "bathroom", ungrounded, tester="open_ground")
    assert "grounding.three-slot-without-ground" in counted(found, "grounding")
    assert counted(found, "gfci") == ["gfci.bathroom"]
    assert "gfci.near-sink" in told(found, "gfci")


def test_a_gfci_beside_a_sink_is_that_of_the_dishwasher_too(tmp_path: Path) -> None:
    """A dishwasher with its own GFCI would do for 210.8(D), and not for 210.8(A)(7)."""
    behind = 'equipment_ground = "connected", feet_to_sink = 2, serves = ["dishwasher"]'
    found = judged(tmp_path, "kitchen", behind)
    assert set(told(found, "gfci")) == {"gfci.near-sink", "gfci.dishwasher"}
    assert counted(found, "gfci") == ["gfci.near-sink"]
    (dishwasher,) = (each for each in found.findings if each.finding.rule == "gfci.dishwasher")
    assert found.counts_with(dishwasher).finding.rule == "gfci.near-sink"


def test_a_rule_counts_once_however_many_editions_ask_for_it_and_how(tmp_path: Path) -> None:
    """The edition of 2020 takes the dishwasher's own protection, that of 2023 does not: 210.8(D)."""
    behind = 'equipment_ground = "connected", feet_to_sink = inf, serves = ["dishwasher"]'
    found = judged(tmp_path, "bedroom", behind, "nec-2020", "nec-2023")
    needs = {load(each).rules["gfci.dishwasher"].needs.text for each in ("nec-2020", "nec-2023")}
    assert len(needs) == 2
    assert told(found, "gfci") == ["gfci.dishwasher"] * 2
    assert counted(found, "gfci") == ["gfci.dishwasher"]


def test_two_defects_of_one_place_stay_two(tmp_path: Path) -> None:
    """A missing plate, and hot and neutral reversed: no cure of the one cures the other."""
    answers = 'equipment_ground = "connected", feet_to_sink = inf, plate = "none"'
    found = judged(tmp_path, "bedroom", answers, tester="reversed")
    grave = [each.rule for each in found.once if each.severity == "hazard"]
    assert grave == ["plate.missing", "polarity.reversed"]


def test_no_finding_counts_with_one_of_another_danger_or_of_less_weight(tmp_path: Path) -> None:
    ungrounded = 'equipment_ground = "none", feet_to_sink = 2, feet_to_tub = 3'
    found = judged(
        tmp_path,
        "bathroom",
        ungrounded,
        "nec-2020",
        "nec-2026",
        "texas-inspection-2022",
        "hud-rental",
        tester="open_ground",
    )
    joined = [each for each in found.findings if found.counts_with(each) is not each]
    assert joined
    severities = ["hazard", "serious", "upgrade", "info"]
    for each in joined:
        lead = found.counts_with(each)
        mine, leads = (one.verdict.decision.rule.danger for one in (each, lead))
        assert mine is not None
        assert leads is not None
        assert mine.word == leads.word
        grades = [severities.index(one.finding.severity) for one in (lead, each)]
        assert grades == sorted(grades)
