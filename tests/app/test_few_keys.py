"""So few keys do the usual: a repeat, an exception, what was not reached, a change of room."""

from __future__ import annotations

from tests.app.inspector import Inspector
from walkthrough.app.add import add_alike
from walkthrough.app.fields import FIELD
from walkthrough.app.menu import carried_prompt
from walkthrough.app.next_ids import next_outlet_id
from walkthrough.app.record import Record
from walkthrough.app.walk import Walk
from walkthrough.survey.model import Circuit, Outlet, Panel, Room


def the(inspector: Inspector, id: str) -> Outlet:
    outlet = inspector.record.session.outlet(id)
    assert outlet is not None
    return outlet


async def test_a_repeat_is_one_key_that_tells_its_reading(inspector: Inspector) -> None:
    assert "s  The same again, and I tested it just now. Tester: Correct" in inspector.sees
    await inspector.press("s")
    assert "Outlet B-2 is complete. What next?" in inspector.sees
    assert the(inspector, "B-2").readings == {"tester": "correct"}
    assert "tester" not in the(inspector, "B-2").carried
    assert len(inspector.log) == 1
    # Pressed by mistake: Backspace puts the reading again.
    await inspector.press("backspace", "2")
    assert the(inspector, "B-2").readings == {"tester": "open_ground"}


async def test_without_its_reading_a_repeat_is_asked_for_it(inspector: Inspector) -> None:
    await inspector.press("2")
    assert the(inspector, "B-2").readings == {}
    await inspector.press("1")
    assert "What next?" in inspector.sees
    assert the(inspector, "B-2").readings == {"tester": "correct"}
    assert the(inspector, "B-2").answers == the(inspector, "B-1").answers
    assert f"{len(the(inspector, 'B-2').carried)} copied" in inspector.sees
    assert len(inspector.log) == 2


async def test_a_bad_reading_is_an_exception_without_a_key_more(inspector: Inspector) -> None:
    await inspector.press("2", "2")
    assert the(inspector, "B-2").readings == {"tester": "open_ground"}
    assert len(inspector.log) == 2


async def test_an_exception_takes_four(inspector: Inspector) -> None:
    await inspector.press("d")
    assert "What is different at Outlet B-2?" in inspector.sees
    await inspector.press(inspector.key_of("TR mark: yes"), "n")
    # What was copied is not put again, but the reading is.
    assert inspector.prompt.id == "tester"
    await inspector.press("1")
    assert "Outlet B-2 is complete. What next?" in inspector.sees
    second = the(inspector, "B-2")
    assert (second.answers["tr_mark"], second.readings) == (False, {"tester": "correct"})
    assert "tr_mark" not in second.carried
    assert "device" in second.carried
    assert len(inspector.log) == 4


async def test_an_exception_that_is_none_leaves_a_repeat(inspector: Inspector) -> None:
    await inspector.press("d", "escape")
    assert inspector.prompt.id == "tester"
    assert the(inspector, "B-2").answers == the(inspector, "B-1").answers


async def test_another_device_than_the_last_is_not_asked_for_the_test_of_that(
    inspector: Inspector,
) -> None:
    """Like a GFCI, but plain: its TEST is not put before that can be said."""
    await inspector.press("d")
    await inspector.press(inspector.key_of("Device: "))
    await inspector.chooses("GFCI")
    await inspector.press("1", "1")
    inspector.log.clear()
    await inspector.press("d")
    await inspector.press(inspector.key_of("Device: "))
    await inspector.chooses("Plain")
    # Whether it hangs on the LOAD side, and its tester.
    await inspector.press("1", "1")
    assert "Outlet B-3 is complete. What next?" in inspector.sees
    assert the(inspector, "B-3").readings == {"tester": "correct"}
    assert sorted(the(inspector, "B-3").cannot_tell) == sorted(the(inspector, "B-1").cannot_tell)
    assert len(inspector.log) == 5


async def test_a_repeat_says_where_it_is_until_somebody_says_it_better(
    inspector: Inspector,
) -> None:
    await inspector.press("s")
    assert "Bedroom > B-2, next after B-1, circuit C1" in inspector.sees
    assert "w  Say where B-2 is (next after B-1)" in inspector.sees
    await inspector.press("w")
    assert "Where exactly is it?" in inspector.sees
    await inspector.types("left of the bed")
    assert "Bedroom > B-2, left of the bed, circuit C1" in inspector.sees
    assert "What next?" in inspector.sees
    await inspector.press("s")
    assert the(inspector, "B-3").at == "next after B-2"


async def test_no_outlet_is_next_after_one_that_was_removed(inspector: Inspector) -> None:
    await inspector.press("s", "s", "f4")
    assert "B-3, next after B-2, C1" in inspector.sees
    await inspector.press("up", "delete")
    assert "B-3, next after B-1, C1" in inspector.sees
    # The list stands on the room now.
    await inspector.press("down", "delete")
    assert the(inspector, "B-3").at == ""


async def test_with_two_readings_each_is_put(inspector: Inspector) -> None:
    await inspector.press("d")
    await inspector.press(inspector.key_of("Device: "))
    await inspector.chooses("GFCI")
    await inspector.press("1", "1")
    assert len(the(inspector, "B-2").readings) == 2
    assert "tested it just now" not in inspector.sees


async def test_what_differs_has_a_key_of_its_own(inspector: Inspector) -> None:
    await inspector.press("2", "1", "3")
    assert "What is different at Outlet B-2?" in inspector.sees
    key = inspector.key_of("TR mark: yes")
    await inspector.press(key, "n")
    assert "What next?" in inspector.sees
    second = the(inspector, "B-2")
    assert second.answers["tr_mark"] is False
    assert "tr_mark" not in second.carried
    assert "device" in second.carried
    assert len(inspector.log) == 5


async def test_what_differs_can_be_left_again(inspector: Inspector) -> None:
    await inspector.press("2", "1", "3", "escape")
    assert "What next?" in inspector.sees


async def test_what_is_behind_furniture_takes_four(inspector: Inspector) -> None:
    await inspector.press("2", "ctrl+l")
    await inspector.chooses("Not seen and not reached")
    await inspector.chooses("Behind furniture")
    assert "What next?" in inspector.sees
    assert [(each.what, each.reason) for each in the(inspector, "B-2").limits] == [
        ("not reached", "behind furniture")
    ]
    assert the(inspector, "B-2").readings == {}
    # Nobody saw it: nothing is claimed but that it is taken to be a receptacle.
    assert the(inspector, "B-2").answers == {"point": "receptacle"}
    assert "device" in the(inspector, "B-2").cannot_tell
    assert len(inspector.log) == 4


async def test_what_nobody_saw_is_no_pattern(inspector: Inspector) -> None:
    await inspector.press("2", "ctrl+l")
    await inspector.chooses("Not seen and not reached")
    await inspector.chooses("Locked")
    assert "B-3 like B-1" in inspector.sees


async def test_another_room_is_two_keys_and_its_first_outlet_three(inspector: Inspector) -> None:
    await inspector.press("4")
    await inspector.press(inspector.key_of("Bedroom 2"))
    room = inspector.record.session.rooms[-1]
    assert (room.name, room.answers["place"]) == ("Bedroom 2", ["bedroom"])
    assert room.carried == sorted(room.answers)
    assert "Bedroom 2 is complete. What next?" in inspector.sees
    assert len(inspector.log) == 2
    await inspector.press("2")
    # What feeds the next room is not what fed the last one, and its circuit may be another.
    assert "On which circuit is it?" in inspector.sees
    await inspector.press("enter", "1")
    first = the(inspector, "B2-1")
    assert (first.room, first.circuit, first.fed_from) == (room.id, "C1", "")
    assert len(inspector.log) == 5


async def test_cut_off_at_the_circuit_of_a_copied_outlet_it_is_put_again(
    inspector: Inspector,
) -> None:
    """The circuit of the last room is only offered; nobody has said yet that it is the one."""
    await inspector.press("4")
    await inspector.press(inspector.key_of("Bedroom 2"), "2")
    assert "On which circuit is it?" in inspector.sees
    assert Walk(inspector.record).prompt.id == FIELD + "circuit"


async def test_like_another_outlet_than_the_last(inspector: Inspector) -> None:
    await inspector.press("2", "1", "2", "1", "3")
    await inspector.press(inspector.key_of("TR mark"), "n")
    await inspector.press("5", "B", "-", "1", "enter", "1")
    assert the(inspector, "B-4").answers == the(inspector, "B-1").answers
    # It is not said to hang on the one that it looks like.
    assert the(inspector, "B-4").fed_from == ""


async def test_a_room_with_a_name_of_its_own(inspector: Inspector) -> None:
    await inspector.press("4")
    await inspector.chooses("Another name: type it")
    await inspector.types("Dressing room")
    assert inspector.record.session.rooms[-1].name == "Dressing room"


async def test_what_was_seen_in_a_box_is_not_copied(inspector: Inspector) -> None:
    first = the(inspector, "B-1")
    first.answers["box_opened"] = True
    inspector.record.change(first, "")
    await inspector.press("2")
    assert "box_opened" not in the(inspector, "B-2").answers


async def test_of_several_alike_each_is_read_in_its_turn(inspector: Inspector) -> None:
    inspector.walking.action_several()
    await inspector.settle()
    await inspector.types("3")
    for name in ("B-2", "B-3", "B-4"):
        assert inspector.at is the(inspector, name)
        assert inspector.prompt.id == "tester"
        # Correct; then Enter goes on to the next of them.
        await inspector.press("1")
        if name != "B-4":
            assert "Go on to" in inspector.sees
            await inspector.press("enter")
    assert "Go on to" not in inspector.sees
    assert [each.readings for each in inspector.record.session.outlets[1:]] == [
        {"tester": "correct"}
    ] * 3


async def test_what_is_around_an_outlet_is_not_copied_into_another_room(
    inspector: Inspector,
) -> None:
    """4 ft to a sink in one room says nothing of the next one; in the same room it goes along."""
    first = the(inspector, "B-1")
    first.answers["feet_to_sink"] = 4
    inspector.record.change(first, "")
    await inspector.press("2")
    assert the(inspector, "B-2").answers["feet_to_sink"] == 4
    await inspector.press("1")
    await inspector.chooses("Another room or area")
    await inspector.chooses("Another name: type it")
    await inspector.types("Den")
    while "What next?" not in inspector.sees:
        await inspector.press("question_mark")
    await inspector.chooses("The same again")
    copy = inspector.record.session.outlets[-1]
    assert copy.room == inspector.record.session.rooms[-1].id
    assert copy.answers["slots"] == first.answers["slots"]
    assert "feet_to_sink" not in copy.answers


async def test_a_gfci_with_its_test_round_takes_seven(inspector: Inspector) -> None:
    await inspector.press("d")
    await inspector.press(inspector.key_of("Device: "))
    await inspector.chooses("GFCI")
    assert inspector.prompt.id == "test_result"
    await inspector.press("1", "1")
    assert "What next?" in inspector.sees
    await inspector.press("f7")
    assert "[dead] B-2, next after B-1, C1" in inspector.sees
    await inspector.press("r")
    (trip,) = inspector.record.session.trips
    assert (trip.at, trip.went_dead, trip.left_tripped) == ("B-2", ["B-2"], False)
    assert "What next?" in inspector.sees
    assert len(inspector.log) == 7


async def test_the_next_gfci_takes_six_with_the_side_on_which_it_hangs(
    inspector: Inspector,
) -> None:
    await inspector.press("2", "1", "3", "6")
    await inspector.chooses("GFCI")
    await inspector.press("1", "f7", "r")
    inspector.log.clear()
    # Like the one before, on its LOAD, tester correct, TEST trips, its round, RESET.
    await inspector.press("2", "1", "1", "1", "f7", "r")
    third = the(inspector, "B-3")
    assert (third.fed_from, third.side) == ("B-2", "load")
    assert third.readings == {"tester": "correct", "test_result": "trips"}
    assert [trip.at for trip in inspector.record.session.trips] == ["B-2", "B-3"]
    assert len(inspector.log) == 6


def test_what_is_presumed_has_a_key_as_well_where_something_differs(record: Record) -> None:
    """The practice ruleset presumes that no box was opened."""
    session = record.session
    session.panels.append(Panel(id="P1"))
    session.circuits.append(Circuit(id="C1", panel="P1"))
    session.rooms.append(Room(id="bath", name="Bath"))
    like = Outlet(id="B-1", room="bath", circuit="C1", answers={"point": "receptacle"})
    session.outlets.append(like)
    record.change(like, "")
    alike = add_alike(record, like, session.rooms[0])
    told = [each.label for each in carried_prompt(record, alike).choices]
    assert "Box opened: no" in told
    assert told.index("Point: Receptacle") < told.index("Box opened: no") < len(told) - 1


def test_outlets_of_two_rooms_with_the_same_initial_are_told_apart(record: Record) -> None:
    """Nobody looks for B-2 in the bedroom because B-1 is in the bath."""
    session = record.session
    ids: list[str] = []
    for name in ("Bath", "Bedroom", "Bedroom", "Bed nook", "2 B", "3"):
        room = Room(id=f"room-{len(ids)}", name=name)
        session.rooms.append(room)
        ids.append(next_outlet_id(record, room))
        session.outlets.append(Outlet(id=ids[-1], room=room.id, circuit="C1"))
    assert ids == ["B-1", "BE-1", "BED-1", "BN-1", "2B-1", "3-1"]
    bath = session.rooms[0]
    assert next_outlet_id(record, bath) == "B-2"


async def test_the_yard_is_not_offered_as_dry_because_the_bedroom_is(inspector: Inspector) -> None:
    """What goes by the room is never copied from another one; its own name may let expect it."""
    await inspector.press("4")
    await inspector.chooses("Outside")
    inspector.walking.go(inspector.at, "wetness")
    await inspector.settle()
    assert "as before" not in inspector.sees
    await inspector.press("enter")
    assert "answer first" in inspector.sees
    await inspector.press("tab")
    assert "wetness" not in inspector.at.answers
    await inspector.press("3")
    assert inspector.record.session.rooms[-1].answers["wetness"] == "wet"


async def test_the_name_of_a_room_goes_before_the_room_before(inspector: Inspector) -> None:
    bedroom = inspector.record.session.rooms[0]
    bedroom.answers["wetness"] = "damp"
    inspector.record.change(bedroom, "")
    await inspector.press("4")
    await inspector.chooses("Another name: type it")
    await inspector.types("Upper hall")
    inspector.walking.go(inspector.at, "wetness")
    await inspector.settle()
    assert "Dry  <- by its name" in inspector.sees
