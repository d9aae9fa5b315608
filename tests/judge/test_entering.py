"""A room is held to what it must have once its outlets are entered, and not before."""

from __future__ import annotations

import pytest

from walkthrough.judge.house import House
from walkthrough.judge.interview import open_asks
from walkthrough.judge.judge import verdicts_on
from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Answer, Circuit, JudgedBy, Outlet, Panel, Room, Session

MINIMUM = "hud.minimum-outlets"
SAID = "outlets_all_entered"
# Rule hud.minimum-outlets: two working outlets, or one and a permanent light (24 CFR 5.703(d)).
WORKS: dict[str, Answer] = {
    "point": "receptacle",
    "slots": "three_slot",
    "device": "plain",
    "damage": "sound",
    "volts": 120,
}
CORRECT: dict[str, Answer] = {"tester": "correct"}


@pytest.fixture(scope="module")
def book() -> Rulebook:
    return load("hud-rental")


def room(id: str, **answers: bool) -> Room:
    told: dict[str, Answer] = {
        "place": ["bedroom"],
        "habitable": True,
        "permanent_light": False,
        **answers,
    }
    return Room(id=id, name=id, answers={**told, "common_area": False, "outlets_beyond_reach": 0})


def outlet(id: str, room: str) -> Outlet:
    return Outlet(id=id, room=room, circuit="C1", answers={**WORKS}, readings={**CORRECT})


def record(*parts: Room | Outlet) -> Session:
    return Session(
        title="flat",
        judged_by=JudgedBy(ruleset="hud-rental"),
        panels=[Panel(id="P1")],
        circuits=[Circuit(id="C1", panel="P1")],
        rooms=[each for each in parts if isinstance(each, Room)],
        outlets=[each for each in parts if isinstance(each, Outlet)],
    )


def outcome(book: Rulebook, session: Session, at: str) -> tuple[str, list[str]]:
    house = House(session, book)
    verdicts = verdicts_on(house, house.subjects["room", at])
    verdict = next(each for each in verdicts if each.decision.rule.id == MINIMUM)
    return verdict.decision.outcome, [word for _, word in verdict.asks]


@pytest.mark.parametrize("outlets", [0, 1])
def test_a_room_still_being_entered_lacks_no_outlet_yet(book: Rulebook, outlets: int) -> None:
    session = record(room("bedroom"), *[outlet(f"B-{n}", "bedroom") for n in range(outlets)])
    assert outcome(book, session, "bedroom") == ("undecided", [SAID])


def test_what_is_there_is_enough_whatever_may_still_come(book: Rulebook) -> None:
    session = record(room("bedroom"), outlet("B-1", "bedroom"), outlet("B-2", "bedroom"))
    assert outcome(book, session, "bedroom") == ("met", [])


@pytest.mark.parametrize("outlets", [0, 1])
def test_once_all_are_said_to_be_entered_too_few_are_a_deficiency(
    book: Rulebook, outlets: int
) -> None:
    done = room("bedroom", outlets_all_entered=True)
    session = record(done, *[outlet(f"B-{n}", "bedroom") for n in range(outlets)])
    assert outcome(book, session, "bedroom")[0] == "deficient"


def test_whoever_goes_on_to_another_room_has_left_the_one_before(book: Rulebook) -> None:
    session = record(room("bedroom"), room("den"), outlet("B-1", "bedroom"), outlet("D-1", "den"))
    assert outcome(book, session, "bedroom")[0] == "deficient"
    assert outcome(book, session, "den")[0] == "undecided"


def test_rooms_entered_ahead_of_their_outlets_are_not_left_yet(book: Rulebook) -> None:
    session = record(room("bedroom"), room("den"))
    assert outcome(book, session, "bedroom")[0] == "undecided"
    session.outlets.append(outlet("D-1", "den"))
    assert outcome(book, session, "bedroom")[0] == "deficient"


def test_it_is_asked_only_of_a_room_in_which_something_was_entered(book: Rulebook) -> None:
    session = record(room("bedroom"))

    def asked() -> list[str]:
        return [each.word for each in open_asks(House(session, book), session.rooms[0])]

    assert SAID not in asked()
    session.outlets.append(outlet("B-1", "bedroom"))
    assert SAID in asked()
