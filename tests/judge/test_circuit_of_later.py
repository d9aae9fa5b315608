"""A partly rewired house: what hangs on a circuit that is new cannot be older than it."""

from __future__ import annotations

import datetime
from collections.abc import Mapping
from typing import Any

import pytest

from walkthrough.judge.judge import Judgement, judge
from walkthrough.judge.under import judge_under
from walkthrough.report.as_text import as_text
from walkthrough.rulebook.load import load
from walkthrough.survey.model import (
    Circuit,
    Dwelling,
    JudgedBy,
    Outlet,
    Panel,
    Room,
    Session,
    Visit,
)

TUB = {
    "point": "equipment",
    "serves": ["hot_tub"],
    "equipment_gfci_built_in": False,
}
CAR = {"point": "receptacle", "serves": ["ev_charging"], "volts": 250, "amps": 50}
SAW = {"point": "receptacle", "volts": 250, "amps": 20, "slots": "three_slot"}
BEDSIDE = {"point": "receptacle", "volts": 125, "amps": 15, "slots": "three_slot"}
LOW = {"tr_mark": False, "inches_above_floor": 18, "feet_to_sink": 30, "feet_to_tub": 30}


def house(
    place: str,
    outlet: Mapping[str, Any],
    circuit: Mapping[str, Any],
) -> Session:
    """One outlet without any protection, in a house of 1962 where nothing else was touched."""
    return Session(
        title="one outlet",
        judged_by=JudgedBy(ruleset="nec-2020"),
        dwelling=Dwelling(answers={"work": "untouched", "year_built": 1962}),
        visits=[Visit(date=datetime.date(2026, 11, 26))],
        panels=[Panel(id="P", name="main")],
        circuits=[
            Circuit(
                id="C1",
                panel="P",
                answers={"breaker": "standard", "breaker_amps": 20, **circuit},
            )
        ],
        rooms=[Room(id="R", name="room", answers={"place": [place]})],
        outlets=[
            Outlet(
                id="R-1",
                room="R",
                circuit="C1",
                fed_from="panel",
                order_known_by="opened",
                answers={"device": "plain", **LOW, **outlet},
            )
        ],
    )


def kinds(session: Session, ruleset: str) -> dict[str, str]:
    return {each.rule: each.kind for each in judge(session, load(ruleset)).findings}


@pytest.mark.parametrize("tells_of_itself", [False, True])
@pytest.mark.parametrize(
    ("ruleset", "year", "rule", "place", "outlet", "volts"),
    [
        # 2017: 125 V and 250 V, distributor blog "Stumped by the Code? TR requirements" (2017)
        ("nec-2017", 2019, "tr.dwelling", "bedroom", BEDSIDE, 120),
        ("nec-2017", 2019, "tr.dwelling", "garage", SAW, 240),
        # from memory; trade magazine question on spas
        ("nec-2017", 2019, "gfci.hot-tub", "outdoors", TUB, 240),
        # 2020: trade magazines on the scope up to 250 V; trade quiz on charging equipment
        ("nec-2020", 2021, "tr.dwelling", "bedroom", BEDSIDE, 120),
        ("nec-2020", 2021, "gfci.garage", "garage", SAW, 240),
        ("nec-2020", 2021, "gfci.ev-charging", "garage", CAR, 240),
        ("nec-2020", 2021, "gfci.hot-tub", "outdoors", TUB, 240),
        # device maker page and continuing-education lesson on 2020 210.8(F)
        ("nec-2020", 2021, "gfci.outdoor-outlet", "outdoors", TUB, 240),
        # forum thread and device maker page on 210.8(F), 2023
        ("nec-2023", 2024, "gfci.outdoor-outlet", "outdoors", TUB, 240),
    ],
)
def test_an_outlet_of_a_circuit_wired_under_the_edition_is_work_under_it(
    ruleset: str,
    year: int,
    rule: str,
    place: str,
    outlet: dict[str, Any],
    volts: int,
    tells_of_itself: bool,
) -> None:
    own = {**outlet, "work": "untouched"} if tells_of_itself else outlet
    wired = {"circuit_volts": volts, "circuit_work": "new", "circuit_work_year": year}
    assert kinds(house(place, own, wired), ruleset)[rule] == "defect"
    # Older wiring, and a new circuit of the time before the edition: what would be asked today.
    old = {"circuit_volts": volts, "circuit_work": "untouched"}
    assert kinds(house(place, own, old), ruleset)[rule] == "gap"
    # Receptacles for cars and tubs were no matter of 210.8 and 406.12 before 2008.
    before = {**wired, "circuit_work_year": 2001}
    assert kinds(house(place, own, before), ruleset)[rule] == "gap"


def test_a_circuit_that_was_only_extended_makes_the_outlets_as_found_no_younger() -> None:
    wired = {"circuit_volts": 120, "circuit_work": "extension", "circuit_work_year": 2021}
    assert kinds(house("bedroom", BEDSIDE, wired), "nec-2020")["tr.dwelling"] == "gap"


def test_a_garage_receptacle_of_a_circuit_of_2009_lacked_protection_on_its_day() -> None:
    """From 2008 on all receptacles of garages: inspectors' forum and page of that year."""
    wired = {"circuit_volts": 120, "circuit_work": "new", "circuit_work_year": 2009}
    assert kinds(house("garage", BEDSIDE, wired), "nec-2020") == {
        "added.gfci-garage": "defect",
        "tr.dwelling": "defect",
        "gfci.garage": "gap",
    }
    assert kinds(house("garage", BEDSIDE, {"circuit_volts": 120}), "nec-2020") == {
        "tr.dwelling": "gap",
        "gfci.garage": "gap",
    }


# -------------------------------------------------------------- a room that is like the listed ones


def study() -> Session:
    return house("similar", BEDSIDE, {"circuit_volts": 120})


def test_disputed_protection_is_told_as_disputed_and_counts_neither_as_asked_nor_missing() -> None:
    """210.12(A) lists rooms, and those like them: course page on 210.12; who decides is the AHJ."""
    session = study()
    judged: Judgement = judge(session, load("nec-2020"))
    outlet = session.outlets[0]
    assert judged.requires(outlet)["afci"] == []
    assert judged.disputes(outlet)["afci"] == ["210.12(A)"]
    told = " ".join(as_text(judge_under(session, [load("nec-2020")])).split())
    assert "afci: no (disputed, 210.12(A): ask the AHJ)" in told
    assert "asked at 0 outlets; there at 0, missing at 0, not known at 0; disputed at 1" in told
