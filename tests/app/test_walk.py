"""The order of the walk, and that every answer is on disk before the next question."""

from __future__ import annotations

import datetime
import math
from pathlib import Path

import pytest

from tests.app.conftest import DAY
from walkthrough.app.fields import Refused
from walkthrough.app.keys import CannotTell, Given, Same, StepBack
from walkthrough.app.prompt import Prompt
from walkthrough.app.record import Record
from walkthrough.app.remove import remove
from walkthrough.app.trips import add_trip
from walkthrough.app.walk import Walk
from walkthrough.rulebook.problems import Unusable
from walkthrough.survey import store
from walkthrough.survey.lock import Locked
from walkthrough.survey.model import AnswerValue, Limit, Outlet, Session

TO_THE_FIRST_OUTLET: list[AnswerValue] = [
    1974,
    "Main panel",
    "breakers",
    "new:circuit",
    "C1",
    "kitchen left",
    20,
    False,
    "new:circuit",
    "C2",
    "kitchen right",
    20,
    False,
    "new:room",
    "Kitchen",
    ["kitchen"],
    "next",
]


def on_disk(record: Record) -> Session:
    return store.load(record.path, record.book.questions)


def give(walk: Walk, *values: AnswerValue) -> Prompt:
    """Answer one prompt after the other; after each, the disk holds what memory holds."""
    for value in values:
        walk.reply(Given(value))
        assert on_disk(walk.record) == walk.record.session
    return walk.prompt


@pytest.fixture
def walk(record: Record) -> Walk:
    return Walk(record)


@pytest.fixture
def at_outlet(walk: Walk) -> Walk:
    """The first outlet of a kitchen was just added."""
    give(walk, *TO_THE_FIRST_OUTLET)
    return walk


def asked(walk: Walk, *values: AnswerValue) -> list[str]:
    """The prompts that are put while values are given."""
    put = []
    for value in values:
        put.append(walk.prompt.id)
        give(walk, value)
    return put


def test_from_nothing_to_the_first_outlet(walk: Walk) -> None:
    assert asked(walk, *TO_THE_FIRST_OUTLET) == [
        "year_built",
        "new:panel",
        "panel_kind",
        "menu:panel",
        "new:circuit",
        "field:serves",
        "breaker_amps",
        "shares_neutral",
        "menu:circuit",
        "new:circuit",
        "field:serves",
        "breaker_amps",
        "shares_neutral",
        "menu:circuit",
        "new:room",
        "place",
        "menu:room",
    ]
    assert walk.focus.id == "K-1"


def test_an_outlet_is_asked_where_it_is_and_then_only_what_matters(at_outlet: Walk) -> None:
    put = asked(
        at_outlet, "C2", "left", "panel", "opened", "tested", "receptacle", "plain", "correct"
    )
    assert put == [
        "field:circuit",
        "field:at",
        "field:fed_from",
        "field:order_known_by",
        "field:state",
        "point",
        "device",
        "tester",
    ]
    # Far from a sink no protection is asked for, so the breaker does not matter.
    assert asked(at_outlet, False, math.inf) == ["tr_mark", "feet_to_sink"]
    assert at_outlet.prompt.id == "menu:outlet"
    assert at_outlet.record.session.outlets[0].circuit == "C2"


def test_lighting_is_asked_nothing_about_receptacles(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "ceiling", "panel", "inferred", "tested", "lighting")
    assert at_outlet.prompt.id == "menu:outlet"


def test_a_reading_is_kept_apart_from_the_answers(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "", "panel", "opened", "tested", "receptacle", "gfci", "trips")
    outlet = on_disk(at_outlet.record).outlets[0]
    assert outlet.readings == {"test_result": "trips"}
    assert outlet.answers == {"point": "receptacle", "device": "gfci"}


def first_outlet(walk: Walk) -> None:
    give(walk, "C1", "left", "panel", "opened", "tested", "receptacle", "gfci", "trips")
    # It protects itself: how far the sink is can hold nothing against it, and is not asked.
    give(walk, "correct", True)


def test_the_next_outlet_offers_what_was_told_before(at_outlet: Walk) -> None:
    first_outlet(at_outlet)
    give(at_outlet, "next")
    assert at_outlet.focus.id == "K-2"
    assert (at_outlet.prompt.default, at_outlet.prompt.default_from) == ("C1", "as before")
    give(at_outlet, "C1", "right")
    assert at_outlet.prompt.default == "K-1"
    assert give(at_outlet, "K-1").id == "field:side"
    give(at_outlet, "load", "observed", "tested")
    assert (at_outlet.prompt.id, at_outlet.prompt.default) == ("point", "receptacle")
    # A device is not carried on, nor is anything an instrument showed.
    assert give(at_outlet, "receptacle").default is None


def test_the_same_again_asks_only_what_an_instrument_shows(at_outlet: Walk) -> None:
    """One key for the outlet, and one for its reading."""
    give(at_outlet, "C1", "left", "panel", "opened", "tested", "receptacle", "plain")
    give(at_outlet, "correct", True, 9)
    prompt = give(at_outlet, "alike")
    assert (at_outlet.focus.id, prompt.id) == ("K-2", "tester")
    assert give(at_outlet, "open_ground").id == "menu:outlet"
    first, second = at_outlet.record.session.outlets
    assert second.answers == first.answers
    assert second.readings == {"tester": "open_ground"}
    assert second.carried == sorted(first.answers)
    # Worked out and not seen: it proves nothing.
    assert (second.fed_from, second.order_known_by) == ("K-1", "inferred")


def test_what_was_carried_is_so_until_it_is_answered_here(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "left", "panel", "opened", "tested", "receptacle", "plain")
    give(at_outlet, "correct", True, 9, "alike", "correct")
    second = at_outlet.focus
    at_outlet.jump(second, "tr_mark")
    give(at_outlet, False)
    assert "tr_mark" not in second.carried
    assert "device" in second.carried
    assert on_disk(at_outlet.record).outlets[1].carried == second.carried


def test_several_alike_are_added_at_once_and_taken_back_one_by_one(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "left", "panel", "opened", "tested", "receptacle", "plain")
    give(at_outlet, "correct", True, 9)
    at_outlet.jump(at_outlet.focus, "new:several")
    give(at_outlet, 3)
    assert [each.id for each in at_outlet.record.session.outlets] == ["K-1", "K-2", "K-3", "K-4"]
    assert at_outlet.prompt.id == "tester"
    for left in (3, 2, 1):
        assert at_outlet.undo()
        assert len(on_disk(at_outlet.record).outlets) == left
    at_outlet.jump(at_outlet.focus, "new:several")
    with pytest.raises(Refused, match="expected a whole number from 1 to 20"):
        give(at_outlet, 21)


def test_a_reason_has_a_key_and_another_one_is_typed(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "left", "panel", "opened", "not reached")
    assert at_outlet.prompt.id == "field:reason"
    assert "locked" in [choice.value for choice in at_outlet.prompt.choices]
    assert give(at_outlet, "another reason").id == "field:in_words"
    give(at_outlet, "a dog lies there")
    outlet = on_disk(at_outlet.record).outlets[0]
    assert outlet.limits == [Limit(what="not reached", reason="a dog lies there")]


def test_behind_an_ordinary_device_the_side_is_not_asked(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "left", "panel", "opened", "tested", "receptacle", "plain")
    give(at_outlet, "correct", True, 3, "next", "C1", "right")
    assert give(at_outlet, "K-1").id == "field:order_known_by"


def test_one_key_takes_all_that_is_as_before(at_outlet: Walk) -> None:
    first_outlet(at_outlet)
    at_outlet.reply(Same())
    # Another outlet is offered, but only Enter adds it.
    assert (at_outlet.prompt.id, len(at_outlet.record.session.outlets)) == ("menu:outlet", 1)
    give(at_outlet, "next")
    at_outlet.reply(Same())
    second = at_outlet.record.session.outlets[1]
    assert (second.id, second.circuit) == ("K-2", "C1")
    # It stops where nobody has seen anything yet: where it is, and what feeds it.
    assert (at_outlet.prompt.id, second.fed_from) == ("field:at", "")
    give(at_outlet, "counter right", "K-1", "load")
    at_outlet.reply(Same())
    assert (at_outlet.prompt.id, second.order_known_by) == ("field:state", "opened")
    give(at_outlet, "tested")
    at_outlet.reply(Same())
    assert at_outlet.prompt.id == "device"
    assert on_disk(at_outlet.record).outlets[1].answers == {"point": "receptacle"}


def test_what_was_not_reached_gets_a_reason_and_no_readings(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "behind bed", "panel", "inferred", "not reached", "a bed")
    assert at_outlet.record.session.outlets[0].limits == [Limit(what="not reached", reason="a bed")]
    give(at_outlet, "receptacle", "plain")
    assert at_outlet.prompt.id == "tr_mark"
    at_outlet.skip_rest()
    assert at_outlet.prompt.id == "menu:outlet"
    assert "tr_mark" in on_disk(at_outlet.record).outlets[0].cannot_tell


def test_cannot_tell_is_recorded_and_not_asked_again(walk: Walk) -> None:
    walk.reply(CannotTell())
    assert on_disk(walk.record).dwelling.cannot_tell == ["year_built"]
    assert walk.prompt.id == "new:panel"


def test_stepping_back_keeps_the_answer_until_it_is_given_anew(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "left", "panel", "opened", "tested", "receptacle", "plain")
    at_outlet.reply(StepBack())
    assert (at_outlet.prompt.id, at_outlet.prompt.default) == ("device", "plain")
    at_outlet.reply(StepBack())
    assert (at_outlet.prompt.id, at_outlet.prompt.default) == ("point", "receptacle")
    assert on_disk(at_outlet.record).outlets[0].answers == {
        "point": "receptacle",
        "device": "plain",
    }
    assert give(at_outlet, "lighting").id == "menu:outlet"
    assert on_disk(at_outlet.record).outlets[0].answers["point"] == "lighting"


def test_stepping_back_goes_past_what_was_added(at_outlet: Walk) -> None:
    at_outlet.reply(StepBack())
    assert (at_outlet.focus.id, at_outlet.prompt.id) == ("kitchen", "place")
    at_outlet.reply(StepBack())
    assert (at_outlet.focus.id, at_outlet.prompt.id) == ("kitchen", "field:name")
    give(at_outlet, "Old kitchen")
    assert on_disk(at_outlet.record).rooms[0].name == "Old kitchen"


def test_undo_takes_one_step_after_the_other_off_the_disk(at_outlet: Walk) -> None:
    give(at_outlet, "C2", "left")
    assert at_outlet.undo()
    assert at_outlet.prompt.id == "field:at"
    assert on_disk(at_outlet.record).outlets[0].at == ""
    at_outlet.undo()
    assert at_outlet.prompt.id == "field:circuit"
    at_outlet.undo()
    assert on_disk(at_outlet.record).outlets == []
    assert at_outlet.prompt.id == "menu:room"
    while at_outlet.undo():
        assert on_disk(at_outlet.record) == at_outlet.record.session
    assert at_outlet.prompt.id == "year_built"
    assert [each.of for each in at_outlet.record.session.subjects()] == ["dwelling"]


def test_undo_and_redo_survive_a_restart(at_outlet: Walk) -> None:
    give(at_outlet, "C2", "left")
    record = at_outlet.record
    record.close()
    again = Walk(Record.open(record.path, today=DAY))
    last = on_disk(again.record)
    steps = 0
    while again.undo():
        steps += 1
    assert steps == len(again.record.history.steps)
    assert [each.of for each in again.record.session.subjects()] == ["dwelling"]
    again.record.close()
    once_more = Walk(Record.open(record.path, today=DAY))
    while once_more.redo():
        steps -= 1
        assert on_disk(once_more.record) == once_more.record.session
    assert steps == 0
    assert on_disk(once_more.record) == last
    assert (once_more.focus.id, once_more.prompt.id) == ("K-1", "field:fed_from")


def test_stepping_back_goes_past_a_restart(at_outlet: Walk) -> None:
    give(at_outlet, "C2", "left")
    at_outlet.record.close()
    again = Walk(Record.open(at_outlet.record.path, today=DAY))
    assert again.prompt.id == "field:fed_from"
    again.reply(StepBack())
    assert (again.focus.id, again.prompt.id) == ("K-1", "field:at")
    assert again.prompt.default == "left"


def test_answering_after_undo_leaves_nothing_to_redo(at_outlet: Walk) -> None:
    give(at_outlet, "C2", "left")
    at_outlet.undo()
    give(at_outlet, "right")
    assert not at_outlet.redo()
    assert on_disk(at_outlet.record).outlets[0].at == "right"


@pytest.mark.parametrize("answered", range(4, 26))
def test_resumed_at_the_very_question(walk: Walk, answered: int) -> None:
    values: list[AnswerValue] = [*TO_THE_FIRST_OUTLET, "C2", "left", "panel", "opened", "tested"]
    values += ["receptacle", "plain", "correct", False]
    give(walk, *values[:answered])
    stood = walk.focus.id, walk.prompt.id
    walk.record.close()
    again = Walk(Record.open(walk.record.path, today=DAY))
    expected = {
        # The choice of the way is no part of a record.
        "new:circuit": "menu:circuit" if again.record.session.circuits else "menu:panel",
        "new:room": "menu:circuit",
    }.get(stood[1], stood[1])
    assert (again.focus.id, again.prompt.id) == (stood[0], expected)
    again.record.close()


def reopened(walk: Walk) -> Walk:
    walk.record.close()
    return Walk(Record.open(walk.record.path, today=DAY))


def test_resumed_at_what_another_feed_leaves_open(at_outlet: Walk) -> None:
    """The rest was skipped, so nothing but the feed told in this sitting asks for its ground."""
    give(at_outlet, "C2", "left", "panel")
    at_outlet.skip_rest()
    assert at_outlet.prompt.id == "field:order_known_by"
    again = reopened(at_outlet)
    assert (again.focus.id, again.prompt.id) == ("K-1", "field:order_known_by")
    give(again, "opened")
    assert again.prompt.id == "menu:outlet"


def test_a_step_that_leaves_no_trace_is_taken_back_for_good(at_outlet: Walk) -> None:
    """That the order is not known is what the record says anyway: its text stays the same."""
    give(at_outlet, "C2", "left", "panel")
    steps, text = at_outlet.record.history.place, at_outlet.record.path.read_text()
    give(at_outlet, "unknown")
    assert at_outlet.record.path.read_text() == text
    assert at_outlet.undo()
    again = reopened(at_outlet)
    assert again.record.history.place == steps
    assert (again.focus.id, again.prompt.id) == ("K-1", "field:order_known_by")
    assert again.redo()
    once_more = reopened(again)
    assert once_more.record.history.place == steps + 1
    assert once_more.prompt.id == "field:state"
    give(once_more, "tested")
    assert reopened(once_more).record.history.place == steps + 2


def test_a_record_is_written_by_one_only(walk: Walk) -> None:
    with pytest.raises(Locked):
        Record.open(walk.record.path)
    walk.record.close()
    Record.open(walk.record.path).close()


def test_a_record_of_a_newer_format_is_refused_and_left_alone(folders: Path) -> None:
    folders.mkdir()
    path = folders / "newer.toml"
    path.write_text("format = 99\n", encoding="utf-8")
    with pytest.raises(Unusable, match="newer version"):
        Record.open(path)
    assert path.read_text(encoding="utf-8") == "format = 99\n"
    assert [each.name for each in folders.iterdir()] == ["newer.toml"]


def test_a_change_on_a_later_day_is_a_visit_of_that_day(walk: Walk) -> None:
    walk.record.close()
    record = Record.open(walk.record.path, today=DAY + datetime.timedelta(days=7))
    Walk(record)
    assert [each.date for each in on_disk(record).visits] == [DAY]
    give(Walk(record), 1974)
    assert [each.date for each in on_disk(record).visits] == [DAY, datetime.date(2026, 11, 17)]


def test_ids_go_on_from_the_last_one(walk: Walk) -> None:
    give(walk, 1974, "Main panel", "breakers", "new:circuit")
    assert walk.prompt.default == "C1"
    give(walk, "C13", "washer", 20, False, "new:circuit")
    assert walk.prompt.default == "C14"
    give(walk, "C14", "dryer", 30, False, "new:room", "Hall bath", ["bathroom"], "next")
    assert walk.focus.id == "HB-1"


def test_two_panels_may_have_a_circuit_of_the_same_number(at_outlet: Walk) -> None:
    session = at_outlet.record.session
    at_outlet.jump(session.panels[0])
    give(at_outlet, "new:panel", "Garage panel")
    assert at_outlet.prompt.id == "field:fed_from"
    give(at_outlet, "C2", "breakers", "new:circuit", "C1")
    assert [session.reference(each) for each in session.circuits] == ["P1/C1", "C2", "P2/C1"]
    assert on_disk(at_outlet.record).outlets[0].circuit == "P1/C1"
    with pytest.raises(Refused, match="has a circuit C1 already"):
        give(at_outlet, "garage", 20, False, "new:circuit", "C1")
    at_outlet.undo()
    assert at_outlet.prompt.id in ("shares_neutral", "field:serves", "breaker_amps")


def test_a_shared_neutral_is_noted_at_both_circuits(walk: Walk) -> None:
    give(walk, *TO_THE_FIRST_OUTLET[:8], "new:circuit", "C2", "right", 20, True)
    assert walk.prompt.id == "field:shares_neutral_with"
    assert [each.value for each in walk.prompt.choices] == ["C1"]
    give(walk, "C1")
    assert [each.shares_neutral_with for each in on_disk(walk.record).circuits] == ["C2", "C1"]
    walk.undo()
    assert [each.shares_neutral_with for each in on_disk(walk.record).circuits] == ["", ""]


def test_nothing_feeds_itself(at_outlet: Walk) -> None:
    first_outlet(at_outlet)
    give(at_outlet, "next", "C1", "right", "K-1", "load", "opened", "tested")
    first, second = at_outlet.record.session.outlets
    at_outlet.jump(first, "field:fed_from")
    before = at_outlet.record.path.read_bytes()
    with pytest.raises(Refused, match="K-2 is fed from K-1"):
        give(at_outlet, second.id)
    assert at_outlet.record.path.read_bytes() == before


def test_without_a_circuit_there_is_no_outlet(walk: Walk) -> None:
    give(walk, 1974, "Main panel", "breakers", "new:room", "Hall", ["hallway"])
    assert next(each.value for each in walk.prompt.choices) == "new:room"
    walk.jump(walk.focus, "new:outlet")
    with pytest.raises(Refused, match="enter a circuit first"):
        give(walk, "H-1")


def test_looking_in_offers_nothing_to_enter(at_outlet: Walk) -> None:
    first_outlet(at_outlet)
    assert at_outlet.prompt.default == "next"
    at_outlet.jump(at_outlet.focus)
    assert at_outlet.prompt.default is None


def test_one_key_takes_nothing_offered_or_presumed(at_outlet: Walk) -> None:
    first_outlet(at_outlet)
    at_outlet.jump(at_outlet.focus, "box_opened")
    at_outlet.reply(Same())
    assert (at_outlet.prompt.id, at_outlet.focus.answer("box_opened")) == ("box_opened", None)
    at_outlet.jump(at_outlet.record.session.panels[0], "new:circuit")
    at_outlet.reply(Same())
    assert (at_outlet.prompt.id, at_outlet.prompt.default) == ("new:circuit", "C3")
    assert len(on_disk(at_outlet.record).circuits) == 2


def test_what_is_presumed_can_be_changed_and_opens_questions(at_outlet: Walk) -> None:
    first_outlet(at_outlet)
    at_outlet.jump(at_outlet.focus, "box_opened")
    assert (at_outlet.prompt.default, at_outlet.prompt.default_from) == (False, "presumed")
    assert give(at_outlet, True).id == "box_full"


def test_what_is_open_elsewhere_is_found(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "left", "panel", "opened", "tested", "receptacle", "plain")
    give(at_outlet, "correct", False, 3)
    assert at_outlet.prompt.id == "menu:outlet"
    give(at_outlet, "open")
    assert (at_outlet.focus.id, at_outlet.prompt.id) == ("C1", "breaker")
    give(at_outlet, "standard")
    with pytest.raises(Refused, match="nothing else is open"):
        give(at_outlet, "open")


def test_removing_an_outlet_and_taking_that_back(at_outlet: Walk) -> None:
    first_outlet(at_outlet)
    give(at_outlet, "next", "C1", "right", "K-1", "load", "opened", "tested")
    record = at_outlet.record
    add_trip(record, at_outlet.focus, "K-1", "test button", ["K-1", "K-2"], [])
    before = on_disk(record)
    remove(record, record.session.outlets[0])
    (left,) = on_disk(record).outlets
    assert (left.id, left.fed_from, left.order_known_by) == ("K-2", "", "unknown")
    assert on_disk(record).trips == []
    at_outlet.undo()
    assert on_disk(record) == before


def test_what_something_hangs_on_is_not_removed(at_outlet: Walk) -> None:
    session = at_outlet.record.session
    for subject in (session.panels[0], session.circuits[0], session.rooms[0], session.dwelling):
        with pytest.raises(Refused, match="stays"):
            remove(at_outlet.record, subject)
    remove(at_outlet.record, session.circuits[1])
    assert [each.id for each in on_disk(at_outlet.record).circuits] == ["C1"]


def test_limits_of_the_whole_survey(at_outlet: Walk) -> None:
    at_outlet.jump(at_outlet.focus, "new:limit")
    with pytest.raises(Refused, match="say why"):
        give(at_outlet, "smoke alarms")
    give(at_outlet, "smoke alarms: not operated")
    (limit,) = on_disk(at_outlet.record).limits
    assert (limit.subject, limit.reason) == ("smoke alarms", "not operated")


def test_closing_writes_what_was_found(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "left", "panel", "opened", "tested", "receptacle", "plain")
    give(at_outlet, "open_ground", False, math.inf)
    assert at_outlet.record.close()
    session = store.load(at_outlet.record.path)
    assert [(each.subject, each.rule) for each in session.findings] == [
        ("K-1", "wiring.open-ground"),
        ("K-1", "tr.everywhere"),
    ]
    assert session.judged_by.fingerprint == at_outlet.record.book.fingerprint


def test_the_state_of_a_finding_outlives_judging_again(at_outlet: Walk) -> None:
    give(at_outlet, "C1", "left", "panel", "opened", "tested", "receptacle", "plain")
    give(at_outlet, "open_ground", False, math.inf)
    record = at_outlet.record
    record.take_judgement(record.judged)
    record.session.findings[0].state = "accepted"
    give(at_outlet, "next")
    record.take_judgement(record.judged)
    assert [each.state for each in on_disk(record).findings] == ["accepted", "open"]


def test_an_outlet_may_have_an_id_of_its_own(at_outlet: Walk) -> None:
    first_outlet(at_outlet)
    assert give(at_outlet, "new:outlet").default == "K-2"
    with pytest.raises(Refused, match="there is an outlet K-1 already"):
        give(at_outlet, "K-1")
    give(at_outlet, "SINK")
    assert isinstance(at_outlet.focus, Outlet)
    assert at_outlet.focus.id == "SINK"
