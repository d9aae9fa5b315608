"""The box-fill sheet and the room sheet: optional, told in lines, understood at once."""

from __future__ import annotations

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from walkthrough.app.asks import asks_under
from walkthrough.app.box_sheet import WORDS as BOX_WORDS
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.room_sheet import WORDS as ROOM_WORDS
from walkthrough.app.room_sheet import told as told_of_room
from walkthrough.app.screens.box import BoxScreen
from walkthrough.app.screens.room import RoomScreen
from walkthrough.app.screens.walk import WalkScreen
from walkthrough.survey import store
from walkthrough.survey.model import Outlet, Room


async def at_box(inspector: Inspector, outlet: str) -> Outlet:
    """Go to an outlet, and open the sheet of its box."""
    found = inspector.record.session.outlet(outlet)
    assert found is not None
    inspector.walking.go(found)
    await inspector.press("ctrl+x")
    assert isinstance(inspector.app.screen, BoxScreen)
    return found


async def at_room(inspector: Inspector, outlet: str) -> Room:
    """Go to an outlet, and open the sheet of its room."""
    found = inspector.record.session.outlet(outlet)
    assert found is not None
    room = inspector.record.session.room(found.room)
    assert room is not None
    inspector.walking.go(found)
    await inspector.press("ctrl+w")
    assert isinstance(inspector.app.screen, RoomScreen)
    return room


async def goes_to(inspector: Inspector, begins: str) -> None:
    """Down to the line that begins so."""
    for _ in range(20):
        if inspector.prompt.ask.startswith(begins):
            return
        await inspector.press("down")
    raise AssertionError(f"no line '{begins}':\n{inspector.sees}")


async def fills_in(inspector: Inspector) -> None:
    """Two 12/2 cables, their grounds, a clamp and a receptacle, in a box of 18 in3.

    A contractor's page on Article 314: 9.0 + 2.25 + 2.25 + 4.5 = 18.0; a full box passes.
    """
    await inspector.press("y")
    await inspector.types("18")
    await goes_to(inspector, "12 AWG wires")
    await inspector.types("4")
    await goes_to(inspector, "Grounding wires")
    await inspector.types("2")
    await inspector.chooses("12")
    await inspector.press("y")
    await inspector.types("1")
    await inspector.chooses("12")


async def test_the_sum_grows_with_each_line(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        outlet = await at_box(inspector, "PR-4")
        assert "Nothing counted yet" in inspector.sees
        await inspector.press("y")
        await inspector.types("18")
        await inspector.types("2.8")
        await goes_to(inspector, "12 AWG wires")
        await inspector.types("4")
        assert "> Verdict: cannot assess yet. 9 in3 so far." in inspector.sees
        assert "Still open: grounding wires, clamps, gangs of the devices." in inspector.sees
        assert "depth of the box" not in inspector.sees
        assert "12 AWG wires: 4 x 2.25 in3 = 9 in3  (314.16(B)(1), Table" in inspector.sees
        held = store.load(house.path).outlet("PR-4")
        assert held is not None
        assert held.answers == outlet.answers
        assert held.answers["box_wires_12"] == 4
        assert "box_wires_14" not in held.answers
        await inspector.press("escape")
        assert isinstance(inspector.app.screen, WalkScreen)
    house.close()


async def test_verdict_smallest_box_and_what_would_fit(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await at_box(inspector, "PR-4")
        await fills_in(inspector)
        assert "> Verdict: pass. 18 in3 in a box of 18 in3: exactly full" in inspector.sees
        # Electrical box sizing guide: 18.0 in3; it is the smallest of the table that holds 18.
        assert "Smallest standard box for it:" in inspector.sees
        assert ", 18 in3 (Table 314.16(A)" in inspector.reads
        assert "fit here? Not known (GFCI, AFCI, dual-function)" in inspector.sees
        assert "here not told (rule of thumb [from memory" in inspector.reads
        # Common practice, no source: a body of 1-1/2 in. and 1/4 in. behind it.
        for depth, fits in (("1 5/8", "No"), ("1 3/4", "Yes")):
            await inspector.press(*["up"] * 20)
            if isinstance(inspector.app.screen, WalkScreen):
                await inspector.press("ctrl+x")
            await goes_to(inspector, "Inside depth")
            await inspector.types(depth)
            assert f"fit here? {fits} (GFCI, AFCI, dual-function)" in inspector.sees
        assert "1.5 in. of body + 0.25 in. behind it = 1.75 in.; here 1.75 in." in inspector.reads
    house.close()


async def test_a_box_too_small_already_fails_before_all_is_counted(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        outlet = await at_box(inspector, "PR-4")
        await inspector.press("down")
        await inspector.types("18")
        await goes_to(inspector, "12 AWG wires")
        # EC&M "Code Calculations": nine wires of 12 AWG take 20.25 in3.
        await inspector.types("9")
        assert "! Verdict: fail. 20.25 in3 in a box of 18 in3" in inspector.sees
        assert "No protective device fits here" in inspector.sees
        # Whether it was opened was left out.
        assert "The box is not told as opened" in inspector.sees
        await inspector.press("up", "question_mark")
        assert "box_wires_12" not in outlet.answers
    house.close()


async def test_without_a_device_a_protective_one_comes_on_top(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await at_box(inspector, "PR-4")
        await inspector.press("y")
        await inspector.types("18")
        await inspector.types("2")
        await goes_to(inspector, "14 AWG wires")
        # 2.00 in3 for each 14 AWG wire (two public reproductions of Table 314.16(B)): 8 are 16,
        # which fits, and a device takes twice as much again.
        await inspector.types("8")
        await goes_to(inspector, "Grounding wires")
        await inspector.types("0")
        await goes_to(inspector, "Are there cable clamps")
        await inspector.press("n")
        await inspector.types("0")
        assert "> Verdict: pass. 16 in3 in a box of 18 in3: enough." in inspector.sees
        assert "on 14 AWG fit as well (20 in3 with it)? No" in inspector.reads
    house.close()


async def test_walls_are_drawn_with_what_is_too_far_and_where_to_add(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        room = await at_room(inspector, "PR-4")
        assert "No wall and no counter told yet" in inspector.sees
        await inspector.types("12ft, door 3ft, 8ft 6in")
        assert "> No receptacle told yet" in inspector.sees
        assert "[  door  ]" in inspector.sees
        await inspector.press("n")
        await inspector.types("4ft")
        # Arithmetic from 6 ft (code forum "6ft, 12ft rule"): 10 to 12 ft, and 15 ft to the end.
        assert "! Verdict: fail. 2 more receptacles needed." in inspector.sees
        assert "------------O---" in inspector.sees
        assert "too far in space 1: every point from 10 ft to 12 ft" in inspector.reads
        assert "place 1 of 1 there: anywhere between 6 ft and 12 ft" in inspector.reads
        held = store.load(house.path).room(room.id)
        assert held is not None
        assert held.answers["wall_line"] == "12ft, door 3ft, 8ft 6in"
        assert held.answers["wall_receptacles"] == "4ft"
        await inspector.press("up")
        # What was told stands there, to be typed on.
        await inspector.types("; 10ft, 18ft")
        assert room.answers["wall_receptacles"] == "4ft; 10ft, 18ft"
        assert "> Verdict: pass. No point is too far." in inspector.sees
        assert (
            "Walls, by NEC 2020, dwelling units, if it asks for this spacing here:"
            in inspector.sees
        )
    house.close()


async def test_a_slip_is_told_in_the_line_and_not_kept(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        room = await at_room(inspector, "PR-4")
        await inspector.types("12ft, door 3ft, 8fx")
        assert "! found '8fx'; expected a length with its unit, such as 8ft 6in" in inspector.sees
        assert "wall_line" not in room.answers
        # Backspace mends it.
        await inspector.press("backspace")
        await inspector.types("t 6in")
        assert room.answers["wall_line"] == "12ft, door 3ft, 8ft 6in"
        await inspector.press("down")
        await inspector.types("40ft")
        assert "! found one at 40 ft; the line is 23 ft 6 in long" in inspector.sees
        assert "wall_receptacles" not in room.answers
        # Of receptacles without a line the words at least are read.
        await inspector.press("ctrl+u", "down", "down")
        await inspector.types("6in, blokced")
        assert "did you mean 'blocked'?" in inspector.reads
        assert "counter_receptacles" not in room.answers
    house.close()


async def test_a_counter_stands_first_while_it_is_in_hand(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        room = await at_room(inspector, "K-4")
        await inspector.types("12ft")
        await goes_to(inspector, "A counter along the wall")
        await inspector.types("63in")
        # Code forum "SFD kitchen counter": 39 in. to the left wall is too far; 24 in. of it are not.
        await inspector.types("39in")
        await inspector.press("up")
        assert inspector.sees.index("Counter, by NEC") < inspector.sees.index("too far in space 1")
        assert "every point from 0 in to 15 in" in inspector.reads
        # Wiped out, it is no longer told.
        await inspector.press("ctrl+u", "enter")
        assert "counter_receptacles" not in room.answers
        assert room.answers["counter_line"] == "63in"
    house.close()


def test_lines_that_no_longer_go_together_are_told(house: Record) -> None:
    room = house.session.rooms[0]
    room.answers["wall_line"] = "6ft"
    room.answers["wall_receptacles"] = "9ft"
    lines = list(told_of_room(house, room))
    assert "! receptacle: found one at 9 ft; the line is 6 ft long" in lines
    house.close()


async def test_a_line_around_the_room_joins_its_ends(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await at_room(inspector, "PR-4")
        # Arithmetic from 6 ft (code forum "6ft, 12ft rule"): around, both ends are one space of 10 ft.
        await inspector.types("5ft, door 3ft, 5ft")
        await inspector.press("n")
        await inspector.types("1ft")
        assert "1 more receptacle needed" in inspector.sees
        await inspector.press("up", "up", "y")
        assert "> Verdict: pass" in inspector.sees
    house.close()


async def test_both_stand_in_the_palette_and_need_their_place(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(
        size=(80, 24), notifications=True
    ) as pilot:
        inspector = Inspector(pilot)
        titles = [e.title for e in inspector.app.get_system_commands(inspector.app.screen)]
        assert "Box-fill sheet (Ctrl+X)" in titles
        assert "Room sheet (Ctrl+W)" in titles
        screen = inspector.walking
        screen.go(house.session.dwelling)
        await inspector.press("ctrl+x")
        assert "Stand on an outlet first." in inspector.reads
        await inspector.press("ctrl+w")
        assert "Stand on a room or an outlet first." in inspector.reads
        screen.go(house.session.rooms[0])
        await inspector.press("ctrl+w")
        assert isinstance(inspector.app.screen, RoomScreen)
    house.close()


async def test_a_ruleset_without_the_questions_says_so(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(
        size=(80, 24), notifications=True
    ) as pilot:
        inspector = Inspector(pilot)
        room = Room(id="K", name="Kitchen")
        record.session.rooms.append(room)
        inspector.walking.go(room)
        await inspector.press("ctrl+w")
        assert "has no room sheet" in inspector.reads
    record.close()


def test_the_walk_asks_for_none_of_it(house: Record) -> None:
    """The sheets cost no key: even with an opened box only what the rule needs is asked."""
    own = {*ROOM_WORDS, "box_inside_depth_in"}
    assert "box_inside_depth_in" in BOX_WORDS
    for subject in house.session.subjects():
        subject.answers.clear()
        subject.readings.clear()
        subject.cannot_tell.clear()
    for outlet in house.session.outlets:
        outlet.answers["box_opened"] = True
    asked = {each.word for s in house.session.subjects() for each in asks_under(house, s)}
    assert asked
    assert not own & asked
    house.close()
