"""A building of several dwelling units, entered with real keys."""

from __future__ import annotations

import pytest

from tests.app.inspector import Inspector
from tests.app.test_screens import LARGE, SMALL, inspecting
from walkthrough.app.record import Record
from walkthrough.survey import store
from walkthrough.survey.model import Session

# A panel with one circuit, and a kitchen with a receptacle that nothing protects.
ONE_UNIT = """
enter
enter   enter                        1
enter   enter   k i t c h e n enter  b enter  n
2       K i t c h e n enter          1 enter
enter
enter   l e f t enter  enter  1  enter  1  1  1
"""


async def enter_unit(inspector: Inspector, name: str) -> None:
    """A unit, and what is in it."""
    await inspector.press("f4", "u")
    await inspector.press(name, "enter", *ONE_UNIT.split())


def on_disk(record: Record) -> Session:
    return store.load(record.path, record.questions)


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_a_duplex_from_nothing(record: Record, size: tuple[int, int]) -> None:
    async with inspecting(record, size) as inspector:
        await inspector.press(*"1961", "enter")
        assert "Where is the panel, or what is it called?" in inspector.sees
        await inspector.press("f4", "u")
        assert "What is the next dwelling unit of this building called?" in inspector.sees
        await inspector.press("A", "enter")
        # What was told of the building is not asked again.
        assert "Nothing of Unit A is entered yet. What first?" in inspector.sees
        assert "Its first panel" in inspector.sees
        await inspector.press(*ONE_UNIT.split())
        assert "Unit A > Kitchen > K-1, left, circuit C1" in inspector.sees

        await enter_unit(inspector, "B")
        assert "Unit B > Kitchen > K-1, left, circuit B/P1/C1" in inspector.sees
        session = on_disk(record)
        assert [session.reference(each) for each in session.subjects()] == [
            "dwelling",
            "A",
            "B",
            "A/P1",
            "B/P1",
            "A/P1/C1",
            "B/P1/C1",
            "A/kitchen",
            "B/kitchen",
            "A/K-1",
            "B/K-1",
        ]
        assert [each.circuit for each in session.outlets] == ["A/P1/C1", "B/P1/C1"]

        await inspector.press("f4", "home", "down", "enter")
        assert "Unit A: what next?" in inspector.sees

        # A room of the common areas, from the row of the building.
        await inspector.press("f4", "home", "r")
        assert "What is the next room or area of the common areas called?" in inspector.sees
        await inspector.press(*"Stairs", "enter", "3", "enter", "enter")
        assert "Common areas > Stairs > S-1, circuit A/P1/C1" in inspector.sees
        assert on_disk(record).rooms[-1].unit == ""


async def test_the_tree_and_the_schedule_are_grouped_by_unit(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1961", "enter")
        for unit in "AB":
            await enter_unit(inspector, unit)
        await inspector.press("f4")
        rows = [line.strip() for line in inspector.sees.splitlines()]
        places = [
            next(number for number, row in enumerate(rows) if row.endswith(told))
            for told in ("Unit A", "A/K-1, left, A/P1/C1", "Unit B", "B/K-1, left, B/P1/C1")
        ]
        assert places == sorted(places)
        await inspector.press("escape", "f3")
        seen = inspector.sees
        assert seen.index("Unit A") < seen.index("A/P1/C1") < seen.index("Unit B")
        # A new circuit goes to the panel of the row, or of the unit whose heading it is.
        await inspector.press("home", "a")
        assert "Number of the next circuit of Main panel, Unit A?" in inspector.sees
        await inspector.press(*"C7", "enter")
        assert on_disk(record).circuits[-1].panel == "A/P1"


async def test_the_next_room_stays_in_the_unit_in_hand(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1961", "enter")
        for unit in "AB":
            await enter_unit(inspector, unit)
        await inspector.press("f4", "home", *["down"] * 3)
        await inspector.press("enter")
        assert inspector.sees.splitlines()[1].strip().startswith("Unit A > Kitchen")
        await inspector.chooses("Another room or area")
        assert "What is the next room or area of Unit A called?" in inspector.sees
        await inspector.press(*"Bath", "enter", "2", "enter", "enter")
        assert "Unit A > Bath > B-1, circuit A/P1/C1" in inspector.sees


async def test_undo_takes_back_a_second_outlet_and_with_it_the_longer_names(
    record: Record,
) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1961", "enter")
        for unit in "AB":
            await enter_unit(inspector, unit)
        before = record.path.read_bytes()
        while len(record.session.outlets) == 2:
            await inspector.press("ctrl+z")
        assert [record.session.reference(each) for each in record.session.outlets] == ["K-1"]
        while record.session.units:
            await inspector.press("ctrl+z")
        assert on_disk(record) == record.session
        while record.history.place < len(record.history.steps):
            await inspector.press("ctrl+y")
        assert record.path.read_bytes() == before


async def test_units_that_cannot_be_named_are_refused(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1961", "enter", "f4", "u")
        await inspector.press("A", "enter", "f4", "u")
        for name, told in (
            ("A", "there is a unit A already"),
            ("common", "a unit cannot be called common"),
            ("A/B", "a unit cannot be called A/B; expected a short name without '/'"),
        ):
            await inspector.types(name)
            assert told in inspector.sees
            await inspector.press(*["backspace"] * len(name))
        assert [each.id for each in record.session.units] == ["A"]


async def test_a_room_moves_to_another_unit_with_what_is_in_it(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1961", "enter")
        for unit in "AB":
            await enter_unit(inspector, unit)
        await inspector.press("f4", "up", "enter")
        assert inspector.sees.splitlines()[1].strip() == "Unit B > Kitchen > the room"
        await inspector.press("f2")
        await inspector.types("unit")
        assert "To which dwelling unit does it belong?" in inspector.sees
        await inspector.types("Unit A")
        assert "there is a room kitchen in that unit already" in inspector.sees
        await inspector.press(*["backspace"] * len("Unit A"))
        await inspector.types("common")
        assert inspector.sees.splitlines()[1].strip() == "Common areas > Kitchen > the room"
        session = on_disk(record)
        assert [session.reference(each) for each in session.outlets] == ["A/K-1", "common/K-1"]
        assert [each.room for each in session.outlets] == ["A/kitchen", "common/kitchen"]


async def test_a_trip_test_and_its_reset_name_the_unit(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1961", "enter")
        for unit in "AB":
            await enter_unit(inspector, unit)
        await inspector.press("f7")
        await inspector.types("A/K-1")
        assert "What was done at A/K-1?" in inspector.sees
        await inspector.chooses("Its own TEST button")
        assert "A/K-1, left, A/P1/C1" in inspector.sees
        # The other of that id, on the other panel, stays live.
        await inspector.press("d", "l", "s")
        assert "Is A/K-1 reset and on again?" in inspector.sees
        (trip,) = on_disk(record).trips
        assert (trip.at, trip.went_dead, trip.stayed_live) == ("A/K-1", ["A/K-1"], ["B/K-1"])
        await inspector.press("y")
        await inspector.press("f3")
        await inspector.press("home", "down", "w")
        assert "Wiring of circuit A/P1/C1" in inspector.sees
        await inspector.press("enter")
        assert inspector.sees.splitlines()[1].strip().startswith("Unit A > Kitchen > K-1, left")


async def test_what_if_changes_only_the_outlet_of_its_unit(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1961", "enter")
        for unit in "AB":
            await enter_unit(inspector, unit)
        outlets = record.session.outlets
        for each in outlets:
            each.answers |= {"feet_to_sink": 2, "tr_mark": True, "device": "plain"}
        for circuit in record.session.circuits:
            circuit.answers["breaker"] = "standard"
        record.change(outlets[1], "feet_to_sink")
        await inspector.press("f9", "down", "enter")
        await inspector.settle()
        follows = inspector.sees
        assert "B/K-1: deficient -> nothing" in follows
        assert "A/K-1" not in follows


async def test_one_dwelling_sees_nothing_of_units(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1961", "enter", *ONE_UNIT.split()[1:])
        assert "Kitchen > K-1, left, circuit C1" in inspector.sees
        await inspector.press("f4")
        assert "The dwelling" in inspector.sees
        assert "unit" not in inspector.sees.lower()
        await inspector.press("escape", "f3")
        assert "unit" not in inspector.sees.lower()


async def test_the_schedule_counts_what_is_deficient_at_the_outlets_of_a_circuit(
    record: Record,
) -> None:
    """ONE_UNIT ends at the tamper-resistant mark of a receptacle: rule tr.everywhere asks for it."""
    async with inspecting(record, LARGE) as inspector:
        await inspector.press(*"1961", "enter", "f4", "u", "A", "enter", *ONE_UNIT.split())
        await inspector.press("n")
        found = [(each.finding.of, each.finding.rule) for each in record.judged.findings]
        assert found == [("outlet", "tr.everywhere")]
        await inspector.press("f3")
        row = next(line for line in inspector.sees.splitlines() if " C1 " in line)
        assert row.split()[-2:] == ["1", "1"]
