"""What is told of the subject in hand while it is entered."""

from __future__ import annotations

import pytest

from walkthrough.app.demanded import Demanded
from walkthrough.app.editions import compared
from walkthrough.app.live import Live, live
from walkthrough.app.record import Record
from walkthrough.survey.model import Answer, Circuit, Outlet, Panel, Room


@pytest.fixture
def outlet(record: Record) -> Outlet:
    """A receptacle in a bathroom; its device is not known yet."""
    session = record.session
    session.panels.append(Panel(id="P1"))
    session.circuits.append(Circuit(id="C1", panel="P1", answers={"breaker": "standard"}))
    session.rooms.append(Room(id="bath", name="Bath", answers={"place": ["bathroom"]}))
    outlet = Outlet(id="B-1", room="bath", circuit="C1", fed_from="panel")
    outlet.order_known_by = "opened"
    outlet.answers["point"] = "receptacle"
    session.outlets.append(outlet)
    return outlet


def told(record: Record, outlet: Outlet, **answers: Answer) -> Live:
    for word, value in answers.items():
        record.answer(outlet, word, value)
    return live(record, outlet)


def of(topic: str, shown: Live) -> Demanded:
    return next(each for each in shown.demanded if each.topic == topic)


def test_asked_for_and_not_known(record: Record, outlet: Outlet) -> None:
    shown = told(record, outlet)
    gfci = of("GFCI", shown)
    assert (gfci.standing, gfci.sections, gfci.has) == ("open", ("1.1",), "unknown")
    assert ("device", "for GFCI") in [(each.text, each.small) for each in shown.open]
    assert shown.deficient == ()


def test_a_protective_device_counts_once_its_test_is_good(record: Record, outlet: Outlet) -> None:
    gfci = of("GFCI", told(record, outlet, device="gfci"))
    assert gfci.standing == "open"
    assert gfci.told == "not known (the TEST of B-1 is not recorded)"
    gfci = of("GFCI", told(record, outlet, test_result="trips"))
    assert (gfci.standing, gfci.told) == ("ok", "there, by B-1")


def test_a_device_that_fails_protects_nothing(record: Record, outlet: Outlet) -> None:
    shown = told(record, outlet, device="gfci", test_result="nothing")
    assert of("GFCI", shown).standing == "missing"
    assert "its TEST does nothing" in of("GFCI", shown).told
    (finding,) = shown.deficient
    assert finding.text == "Bathroom receptacle without ground-fault protection."
    assert finding.small == "gap, upgrade: 1.1 (read in one source: verify in the text of the rule)"


def test_what_is_not_asked_for_is_told_as_such(record: Record, outlet: Outlet) -> None:
    shown = told(record, outlet, point="lighting")
    assert [each.standing for each in shown.demanded] == ["not asked", "not asked"]
    assert shown.open == ()


def test_what_cannot_be_told_stays_open_and_says_so(record: Record, outlet: Outlet) -> None:
    record.answer(outlet, "tr_mark", None)
    texts = [each.text for each in live(record, outlet).open]
    assert "tr mark (cannot be told)" in texts


def test_one_of_one_is_no_sample(record: Record, outlet: Outlet) -> None:
    shown = told(record, outlet, device="plain", tester="open_ground")
    assert [each.text for each in shown.patterns] == [
        "1 of 1 tested here show this: test more of this room."
    ]
    second = outlet.model_copy(deep=True, update={"id": "B-2"})
    second.readings["tester"] = "correct"
    record.session.outlets.append(second)
    assert told(record, outlet, tester="open_ground").patterns == ()


def test_what_is_there_is_not_called_open_where_nobody_has_to_be_asked(
    record: Record, outlet: Outlet
) -> None:
    """Within six feet of a sink it is asked, beyond not; it is there, so the feet do not matter."""
    record.session.rooms[0].answers["place"] = ["kitchen"]
    gfci = of("GFCI", told(record, outlet, device="gfci"))
    assert gfci.standing == "open"
    shown = told(record, outlet, test_result="trips", tr_mark=True, tester="correct")
    assert of("GFCI", shown).standing == "asked or not"
    assert shown.open == ()
    rows = compared(record.session, record.key(outlet), record.book, "practice")
    said = {each for row in rows for each in row.both if row.topic == "gfci"}
    assert "asked or not, nothing is missing" in said
    assert not any(each.startswith("open") for each in said)
