"""What is told is told in the words of its question, and one of something is no several."""

from __future__ import annotations

import pytest

from walkthrough.judge.under import judge_under
from walkthrough.report.as_json import as_json
from walkthrough.report.text import counted
from walkthrough.rulebook.load import load
from walkthrough.survey.model import Circuit, JudgedBy, Outlet, Panel, Room, Session


def test_a_reading_that_another_ruleset_asks_for_is_told_in_its_words() -> None:
    """The two-slot receptacle is found by NEC 2020; power at it is asked by HUD's ruleset only."""
    outlet = Outlet(id="LR-1", room="living", circuit="C1")
    outlet.answers = {"point": "receptacle", "device": "plain", "volts": 125, "amps": 15}
    outlet.answers |= {"slots": "two_slot", "damage": "damaged", "tr_mark": False}
    outlet.readings = {"has_power": True, "tester": "dead"}
    session = Session(
        title="flat",
        judged_by=JudgedBy(ruleset="nec-2020"),
        panels=[Panel(id="P1")],
        circuits=[Circuit(id="C1", panel="P1")],
        rooms=[Room(id="living", name="Living room", answers={"place": ["living"]})],
        outlets=[outlet],
    )
    judged = judge_under(session, (load("nec-2020"), load("hud-rental")), ())
    seen = [each for found in as_json(judged)["deficiencies"] for each in found["seen"]]
    told = {each["ask"]: each["answer"] for each in seen if each["question"] == "has_power"}
    assert told == {"Is there power at this two-slot receptacle?": "yes"}
    assert not any(each["question"] == "tester" for each in seen)


@pytest.mark.parametrize(
    ("many", "told"), [(0, "0 deficiencies"), (1, "1 deficiency"), (2, "2 deficiencies")]
)
def test_one_of_something_is_no_several(many: int, told: str) -> None:
    assert counted(many, "deficiency", "deficiencies") == told
    assert counted(many, "finding") == f"{many} finding" + ("" if many == 1 else "s")
