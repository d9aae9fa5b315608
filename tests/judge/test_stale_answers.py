"""An answer whose question makes no sense any more, since another one was told otherwise."""

from __future__ import annotations

from pathlib import Path

import pytest

from walkthrough.judge.house import House
from walkthrough.judge.judge import judge, verdicts_on
from walkthrough.report.words import seen
from walkthrough.rulebook.load import load
from walkthrough.survey.model import Answer, Circuit, JudgedBy, Outlet, Panel, Room, Session

TR = "tr.dwelling"
TOLD: dict[str, Answer] = {
    "point": "receptacle",
    "device": "plain",
    "volts": 125,
    "amps": 15,
    "yoke": "duplex",
    "slots": "three_slot",
    "tr_mark": False,
    "inches_above_floor": 14,
}


def house(ruleset: str, readings: dict[str, Answer], **told: Answer) -> tuple[House, Outlet]:
    outlet = Outlet(
        id="G-1", room="garage", circuit="C1", answers={**TOLD, **told}, readings=readings
    )
    session = Session(
        title="flat",
        judged_by=JudgedBy(ruleset=ruleset),
        panels=[Panel(id="P1")],
        circuits=[Circuit(id="C1", panel="P1")],
        rooms=[Room(id="garage", name="Garage", answers={"place": ["garage"]})],
        outlets=[outlet],
    )
    return House(session, load(ruleset)), outlet


def outcome(ruleset: str, rule: str, **told: Answer) -> str:
    judged, outlet = house(ruleset, {}, **told)
    found = verdicts_on(judged, outlet)
    return next(each.decision.outcome for each in found if each.decision.rule.id == rule)


@pytest.mark.parametrize("ruleset", ["nec-2014", "nec-2020", "nec-2023", "nec-2026"])
def test_what_was_told_of_an_appliance_excuses_nothing_once_there_is_none(ruleset: str) -> None:
    """406.12 Exc.: not for a receptacle in the dedicated space of an appliance (own words)."""
    dedicated: dict[str, Answer] = {"serves": ["freezer"], "dedicated_space": True}
    assert outcome(ruleset, TR, **dedicated) == "excepted"
    assert outcome(ruleset, TR, **{**dedicated, "serves": ["general"]}) == "deficient"
    # The answer stays in the record and counts again where it makes sense again.
    judged, outlet = house(ruleset, {}, **{**dedicated, "serves": ["general"]})
    assert not judged.counts(outlet, "dedicated_space")
    assert outlet.answers["dedicated_space"] is True
    assert judged.counts(outlet, "slots")


def test_what_a_two_slot_receptacle_can_no_longer_have_is_not_told() -> None:
    """No plug-in tester goes into two slots: with it goes what was asked because of its reading."""
    readings: dict[str, Answer] = {"tester": "dead", "has_power": True}
    judged, outlet = house("hud-rental", readings, works_from_wall_switch=False)
    assert judged.counts(outlet, "works_from_wall_switch")
    judged, outlet = house(
        "hud-rental", readings, slots="two_slot", works_from_wall_switch=False, damage="broken"
    )
    judgement = judge(judged.session, judged.book)
    told = {
        each["question"]
        for verdict in judgement.on(outlet)
        if verdict.decision.outcome == "deficient"
        for each in seen(judgement, verdict)
    }
    assert "has_power" in told
    assert not told & {"tester", "works_from_wall_switch"}


def test_a_question_that_asks_for_itself_is_no_endless_round(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    ruleset = (
        'format = 1\nid = "mine"\ntitle = "Mine"\nextends = "nec-2020"\n\n'
        '[question.odd]\nof = "outlet"\nwhen = "not even"\nask = "Odd?"\nkind = "yes-no"\n\n'
        '[question.even]\nof = "outlet"\nwhen = "not odd"\nask = "Even?"\nkind = "yes-no"\n'
    )
    (tmp_path / "mine.toml").write_text(ruleset, encoding="utf-8")
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(tmp_path))
    judged, outlet = house("mine", {}, odd=True, even=False)
    assert judged.situation(outlet).known("odd") is True
