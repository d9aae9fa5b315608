"""A house of any number of outlets: the demonstration house, over and over under one roof."""

from __future__ import annotations

from pathlib import Path

from walkthrough.survey import store
from walkthrough.survey.model import PANEL, Session

PATTERN = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"


def house(outlets: int) -> Session:
    """The demonstration house with so many outlets, its circuits and rooms repeated to fit."""
    session = store.load(PATTERN)
    pattern = session.model_copy(deep=True)
    session.findings = []
    copies = 1
    while len(session.outlets) < outlets:
        copies += 1
        _add_again(session, pattern, f"-{copies}")
    del session.outlets[outlets:]
    kept = {each.id for each in session.outlets} | {each.id for each in session.circuits}
    session.trips = [
        trip.model_copy(
            update={
                "went_dead": [each for each in trip.went_dead if each in kept],
                "stayed_live": [each for each in trip.stayed_live if each in kept],
            }
        )
        for trip in session.trips
        if trip.at in kept
    ]
    for outlet in session.outlets:
        if outlet.fed_from not in kept:
            outlet.fed_from = PANEL
    return session


def _add_again(session: Session, pattern: Session, end: str) -> None:
    again = pattern.model_copy(deep=True)
    for room in again.rooms:
        room.id, room.name = room.id + end, room.name + end
    for circuit in again.circuits:
        circuit.id += end
        circuit.shares_neutral_with += end if circuit.shares_neutral_with else ""
    for outlet in again.outlets:
        outlet.id, outlet.room, outlet.circuit = (
            outlet.id + end,
            outlet.room + end,
            outlet.circuit + end,
        )
        outlet.fed_from += end if outlet.fed_from not in ("", PANEL) else ""
    for trip in again.trips:
        trip.at += end
        trip.went_dead = [each + end for each in trip.went_dead]
        trip.stayed_live = [each + end for each in trip.stayed_live]
    session.rooms += again.rooms
    session.circuits += again.circuits
    session.outlets += again.outlets
    session.trips += again.trips
