"""Which questions are put, and which are not because their answers could change nothing."""

from __future__ import annotations

import datetime

import pytest

from walkthrough.judge.house import House
from walkthrough.judge.interview import open_asks
from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import (
    Circuit,
    JudgedBy,
    Limit,
    Outlet,
    Panel,
    Room,
    Session,
    Visit,
)


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return load("nec-2020")


@pytest.fixture
def session() -> Session:
    return Session(
        title="test",
        judged_by=JudgedBy(ruleset="nec-2020"),
        visits=[Visit(date=datetime.date(2026, 11, 25))],
        panels=[Panel(id="P1")],
        circuits=[
            Circuit(
                id="C1",
                panel="P1",
                answers={"breaker": "standard", "breaker_amps": 20, "circuit_volts": 120},
            )
        ],
        rooms=[Room(id="room", name="Room", answers={"wetness": "dry"})],
        outlets=[Outlet(id="A", room="room", circuit="C1", fed_from="panel")],
    )


def asked(session: Session, book: Rulebook) -> set[str]:
    return {ask.word for ask in open_asks(House(session, book), session.outlets[0])}


def test_the_first_question_tells_what_is_here(session: Session, book: Rulebook) -> None:
    ask = next(open_asks(House(session, book), session.outlets[0]))
    assert ask.word == "point"


def test_each_question_names_the_rules_that_wait_for_it(session: Session, book: Rulebook) -> None:
    session.rooms[0].answers["place"] = ["kitchen"]
    session.outlets[0].answers.update(point="receptacle", volts=125)
    asks = {each.word: each for each in open_asks(House(session, book), session.outlets[0])}
    assert "gfci.kitchen-counter" in asks["serves_counter"].decides


def test_a_bathroom_settles_gfci_without_the_distance_to_a_counter(
    session: Session, book: Rulebook
) -> None:
    session.rooms[0].answers["place"] = ["bathroom"]
    session.outlets[0].answers.update(point="receptacle", volts=125)
    assert "serves_counter" not in asked(session, book)
    session.rooms[0].answers["place"] = ["kitchen"]
    assert "serves_counter" in asked(session, book)


def test_a_plain_device_has_no_test_button_to_ask_about(session: Session, book: Rulebook) -> None:
    session.rooms[0].answers["place"] = ["bathroom"]
    outlet = session.outlets[0]
    outlet.answers.update(point="receptacle", volts=125, device="gfci")
    assert "test_result" in asked(session, book)
    outlet.answers["device"] = "plain"
    assert "test_result" not in asked(session, book)


def test_what_cannot_be_told_is_not_asked_again(session: Session, book: Rulebook) -> None:
    outlet = session.outlets[0]
    outlet.answers["point"] = "receptacle"
    assert "tr_mark" in asked(session, book)
    outlet.cannot_tell.append("tr_mark")
    assert "tr_mark" not in asked(session, book)


def test_no_reading_is_asked_of_what_was_not_reached(session: Session, book: Rulebook) -> None:
    outlet = session.outlets[0]
    outlet.answers.update(point="receptacle", volts=125)
    assert "tester" in asked(session, book)
    outlet.limits.append(Limit(what="seen only", reason="behind the sofa"))
    assert "tester" not in asked(session, book)


def test_a_room_answers_for_its_outlets(session: Session, book: Rulebook) -> None:
    outlet = session.outlets[0]
    outlet.answers.update(point="receptacle", volts=125, amps=15)
    assert "wetness" not in asked(session, book)
    session.rooms[0].answers.clear()
    house = House(session, book)
    assert "wetness" in {ask.word for ask in open_asks(house, session.rooms[0])}


def test_reliefs_are_presumed_absent_and_not_asked(session: Session, book: Rulebook) -> None:
    session.outlets[0].answers.update(point="receptacle", volts=125)
    assert not asked(session, book) & {"part_of_equipment", "locking", "tub_barrier"}


def test_of_a_box_that_nobody_can_tell_no_more_is_asked(session: Session, book: Rulebook) -> None:
    """The fill is a sum: without one part of it the others settle nothing (314.16(B))."""
    outlet = session.outlets[0]
    outlet.answers |= {"point": "receptacle", "box_opened": True, "box_volume_in3": 18}

    def asked_of_box() -> list[str]:
        asks = open_asks(House(session, book), outlet)
        return [each.word for each in asks if each.word.startswith("box_")]

    first, *others = asked_of_box()
    assert first == "box_grounds"
    assert {"box_wires_14", "box_clamps"} <= set(others)
    # A size that was passed over says nothing about the others.
    outlet.cannot_tell.append("box_wires_18")
    assert "box_wires_14" in asked_of_box()
    outlet.cannot_tell.append("box_grounds")
    assert asked_of_box() == []


@pytest.fixture(scope="module")
def hud() -> Rulebook:
    return load("hud-rental")


def test_reset_is_asked_only_of_a_device_that_tripped(session: Session, hud: Rulebook) -> None:
    here = session.outlets[0]
    here.answers.update(point="receptacle", device="gfci", volts=125, slots="three_slot")
    here.cannot_tell = ["test_result"]
    assert "reset_restores" not in asked(session, hud)
    here.cannot_tell = []
    here.readings["test_result"] = "trips"
    assert "reset_restores" in asked(session, hud)


def test_whether_a_tester_could_be_put_in_is_no_question_once_it_was(
    session: Session, hud: Rulebook
) -> None:
    here = session.outlets[0]
    here.answers.update(point="receptacle", volts=125, slots="three_slot", readily_accessible=False)
    assert "reasonably_accessible" in asked(session, hud)
    here.readings["tester"] = "correct"
    assert "reasonably_accessible" not in asked(session, hud)


def test_a_wall_switch_is_asked_for_only_where_something_is_dead(
    session: Session, hud: Rulebook
) -> None:
    here = session.outlets[0]
    here.answers.update(point="receptacle", volts=250, slots="three_no_ground", serves=["range"])
    assert "works_from_wall_switch" not in asked(session, hud)
    here.answers.update(volts=125, slots="three_slot")
    here.readings["tester"] = "dead"
    assert "works_from_wall_switch" in asked(session, hud)


def test_near_water_only_what_goes_with_the_rest_is_asked(session: Session, hud: Rulebook) -> None:
    here = session.outlets[0]
    here.answers.update(
        point="receptacle",
        volts=125,
        slots="three_slot",
        straight_feet_to_basin=3,
        water_in_same_room=True,
        serves=["fixed_appliance"],
    )
    here.answers["serves_counter"] = False
    both = {"in_cabinet_below_counter", "other_major_appliance"}
    assert both <= asked(session, hud)
    # What serves a counter is not in a cabinet below it; what is for general use, not for one thing.
    here.answers.update(serves_counter=True, serves=["general"])
    assert not both & asked(session, hud)
