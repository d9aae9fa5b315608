"""Circuits named in two ways, what feeds a panel, and what goes with a circuit that is removed."""

from __future__ import annotations

import pytest

from walkthrough.app.carry import carried
from walkthrough.app.field_prompts import field_prompt
from walkthrough.app.fields import Refused
from walkthrough.app.record import Record
from walkthrough.app.remove import remove
from walkthrough.app.set_fields import set_field
from walkthrough.app.trips import add_trip, near_first
from walkthrough.survey import store
from walkthrough.survey.model import Circuit, Outlet, Panel, Room, Session, Trip


def on_disk(record: Record) -> Session:
    return store.load(record.path, record.book.questions)


@pytest.fixture
def house(record: Record) -> Record:
    """Three panels in a row; the outlets name their circuits now with, now without the panel."""
    session = record.session
    session.panels += [
        Panel(id="P1", name="Main"),
        Panel(id="P2", fed_from="P1/C1"),
        Panel(id="P3", fed_from="C2"),
    ]
    session.circuits += [
        Circuit(id="C1", panel="P1"),
        Circuit(id="C2", panel="P2", shares_neutral_with="P2/C4"),
        Circuit(id="C3", panel="P3"),
        Circuit(id="C4", panel="P2", shares_neutral_with="P2/C2"),
        Circuit(id="C5", panel="P1"),
    ]
    session.rooms.append(Room(id="hall", name="Hall"))
    session.outlets += [
        Outlet(id="H-1", room="hall", circuit="C3", fed_from="panel"),
        Outlet(id="H-2", room="hall", circuit="P2/C4"),
        Outlet(id="H-3", room="hall", circuit="C1"),
        Outlet(id="H-4", room="hall", circuit="P3/C3"),
        Outlet(id="H-5", room="hall", circuit="C2"),
    ]
    assert record.save(), record.problem
    return record


def circuit(record: Record, id: str) -> Circuit:
    found = record.session.circuit(id)
    assert found is not None
    return found


def test_a_panel_is_not_fed_from_itself_nor_from_below(house: Record) -> None:
    first, second, third = house.session.panels
    offered = {
        panel.id: [each.value for each in field_prompt(house, panel, "fed_from").choices]
        for panel in (first, second, third)
    }
    assert offered == {"P1": [], "P2": ["C1", "C5"], "P3": ["C1", "C2", "C4", "C5"]}
    before = house.path.read_bytes()
    for reference in ("C2", "P2/C4", "C3"):
        with pytest.raises(Refused, match="starts at P2 or below"):
            set_field(house, second, "fed_from", reference)
    assert house.path.read_bytes() == before
    set_field(house, second, "fed_from", "C5")
    assert house.saved
    assert on_disk(house).panels[1].fed_from == "C5"


@pytest.mark.parametrize(
    ("id", "hanging"), [("C1", "H-3, P2"), ("C4", "H-2, C2"), ("C3", "H-1, H-4")]
)
def test_a_circuit_stays_by_whichever_name_it_is_used(house: Record, id: str, hanging: str) -> None:
    with pytest.raises(Refused, match=f"circuit {id} stays: {hanging} still"):
        remove(house, circuit(house, id))
    assert house.history.place == 0


@pytest.mark.parametrize("name", ["C5", "P1/C5"])
def test_trip_tests_at_a_circuit_go_with_it_and_come_back(house: Record, name: str) -> None:
    add_trip(house, house.session.dwelling, name, "breaker off", ["H-1"], [])
    add_trip(house, house.session.dwelling, "H-1", "test button", ["H-1"], [])
    before = on_disk(house)
    remove(house, circuit(house, "C5"))
    assert house.saved, house.problem
    assert [each.at for each in on_disk(house).trips] == ["H-1"]
    house.undo()
    assert on_disk(house) == before


def test_a_test_at_an_outlet_of_the_same_name_stays(house: Record) -> None:
    house.session.outlets.append(Outlet(id="C5", room="hall", circuit="C1"))
    house.session.trips += [
        Trip(at="C5", action="test button", went_dead=["C5"]),
        Trip(at="C5", action="breaker off", went_dead=["H-1"]),
    ]
    remove(house, circuit(house, "C5"))
    assert house.saved, house.problem
    assert [each.action for each in on_disk(house).trips] == ["test button"]


def test_what_is_on_the_same_circuit_is_found_by_either_name(house: Record) -> None:
    last = house.session.outlets[3]
    fed_from = field_prompt(house, last, "fed_from")
    assert fed_from.default == "H-1"
    assert [each.value for each in fed_from.choices] == ["panel", "H-1", "H-2", "H-3", "H-5"]
    # H-2 is on the circuit that shares its neutral with that of H-5.
    assert [each.id for each in near_first(house, "H-5")][:2] == ["H-2", "H-5"]
    assert [each.id for each in near_first(house, "P3/C3")][:2] == ["H-1", "H-4"]


def test_what_is_offered_is_the_circuit_it_is_on(house: Record) -> None:
    for subject, name, expected in (
        (house.session.outlets[3], "circuit", "C3"),
        (house.session.circuits[1], "shares_neutral_with", "C4"),
    ):
        prompt = field_prompt(house, subject, name)
        assert prompt.default == expected
        assert expected in [each.value for each in prompt.choices]


def test_an_answer_carries_within_a_circuit_by_either_name(house: Record) -> None:
    question = house.book.questions["tr_mark"]
    object.__setattr__(question, "carry", "circuit")
    house.session.outlets[0].answers["tr_mark"] = True
    house.session.outlets[2].answers["tr_mark"] = False
    assert carried(house, house.session.outlets[3], "tr_mark") is True
    assert carried(house, house.session.outlets[4], "tr_mark") is None
