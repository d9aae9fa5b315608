"""Invented circuits and houses, drawn by chance, for tests of the planner."""

from __future__ import annotations

import datetime
import random
from pathlib import Path

from walkthrough.remedy.actions import Actions
from walkthrough.remedy.load import load_actions
from walkthrough.remedy.planner import Planner
from walkthrough.remedy.prices import Prices, load_prices
from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.model import (
    PANEL,
    Circuit,
    JudgedBy,
    Outlet,
    Panel,
    Room,
    Session,
    Trip,
    Visit,
)

DAY = datetime.date(2026, 11, 10)
LARKSPUR = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"

_BOOKS: dict[str, Rulebook] = {}
_ACTIONS: dict[str, Actions] = {}

ROOMS = {
    "kitchen": {"place": ["kitchen"], "habitable": True, "wetness": "dry"},
    "bath": {"place": ["bathroom"], "habitable": True, "wetness": "dry"},
    "bedroom": {"place": ["bedroom"], "habitable": True, "wetness": "dry"},
    "living": {"place": ["living"], "habitable": True, "wetness": "dry"},
    "garage": {"place": ["garage"], "habitable": False, "wetness": "dry"},
    "basement": {"place": ["basement"], "habitable": False, "wetness": "dry"},
    "porch": {"place": ["outdoors"], "wetness": "damp"},
    "outside": {"place": ["outdoors"], "wetness": "wet"},
}


def book(ruleset: str) -> Rulebook:
    if ruleset not in _BOOKS:
        _BOOKS[ruleset] = load(ruleset)
    return _BOOKS[ruleset]


def actions(ruleset: str) -> Actions:
    if ruleset not in _ACTIONS:
        _ACTIONS[ruleset] = load_actions(book(ruleset))
    return _ACTIONS[ruleset]


def prices(ruleset: str) -> Prices:
    return load_prices(None, actions(ruleset).codes)


def planner(session: Session, ruleset: str = "nec-2020", scope: str = "fix") -> Planner:
    return Planner(session, book(ruleset), actions(ruleset), prices(ruleset), scope, DAY)


def larkspur(ruleset: str = "nec-2020") -> Session:
    return store.load(LARKSPUR, book(ruleset).questions)


def outlet(
    chance: random.Random, name: str, circuit: str, fed_from: str, side: str, hard: bool
) -> Outlet:
    """One receptacle as it may be found; `hard` draws rare things more often."""
    rare = 0.5 if hard else 0.15
    room = chance.choice(list(ROOMS))
    device = chance.choices(["plain", "gfci", "afci", "dual_function"], [6, 2, 1, 1])[0]
    grounded = chance.random() > rare / 2
    answers: dict[str, object] = {
        "point": "receptacle",
        "device": device,
        "volts": 125,
        "amps": chance.choice([15, 15, 20]),
        "yoke": "duplex",
        "slots": "three_slot",
        "equipment_ground": "connected" if grounded else chance.choice(["none", "loose"]),
        "plate": chance.choices(["indoor", "none", "closed_only", "in_use"], [6, 1, 1, 1])[0],
        "tr_mark": chance.random() < 0.3,
        "wr_mark": chance.random() < 0.3,
        "damage": "damaged" if chance.random() < rare / 3 else "sound",
        "readily_accessible": chance.random() > rare,
        "serves": [chance.choices(["general", "freezer", "sump_pump"], [8, 1, 1])[0]],
        "serves_counter": room == "kitchen",
        "dedicated_space": False,
        "feet_to_sink": chance.choice([2, 5, 20]),
        "feet_to_tub": 20,
        "feet_beside_tub": 20,
        "inches_above_floor": 44,
        "cord_as_wiring": chance.random() < rare / 3,
        "mark_no_ground": False,
        "mark_gfci_protected": False,
        "ground_carried_on": chance.random() < rare / 3,
        "terminals_exposed": False,
        "work": "untouched",
    }
    if chance.random() < rare:
        answers["work"] = chance.choice(["extension", "replacement"])
        answers["work_year"] = chance.choice([2009, 2016, 2021])
    if chance.random() < rare / 3:
        answers |= {
            "box_opened": True,
            "box_volume_in3": chance.choice([12.5, 18.0]),
            "box_wires_14": 4,
            "box_grounds": 2,
            "box_ground_size": "awg14",
            "box_clamps": True,
            "box_device_gangs": 1,
            "box_device_wire": "awg14",
        }
    tester = {"connected": "correct", "loose": "open_ground", "none": "open_ground"}
    readings: dict[str, object] = {"tester": tester[str(answers["equipment_ground"])]}
    if grounded and chance.random() < rare / 2:
        readings["tester"] = "reversed"
    if device != "plain" and chance.random() > rare / 2:
        readings["test_result"] = chance.choices(["trips", "face_live", "nothing"], [6, 1, 1])[0]
    known = chance.choices(["opened", "observed", "inferred", "unknown"], [4, 4, 4, 1])[0]
    return Outlet.model_validate(
        {
            "id": name,
            "room": room,
            "circuit": circuit,
            "fed_from": fed_from,
            "side": side,
            "order_known_by": known,
            "answers": answers,
            "readings": readings,
        }
    )


def circuit_of(
    chance: random.Random, name: str, count: int, hard: bool = False
) -> tuple[Circuit, list[Outlet], list[Trip]]:
    """A circuit with its outlets as a tree drawn by chance, and a test of some devices."""
    amps = chance.choice([15, 20])
    wire = chance.choices(["cu14", "cu12", "al12"], [4, 5, 1])[0]
    outlets: list[Outlet] = []
    for number in range(count):
        feeder = chance.choice([PANEL, *(each.id for each in outlets)]) if outlets else PANEL
        if outlets and chance.random() < 0.7:
            feeder = outlets[-1].id
        side = "through"
        fed_by = next((each for each in outlets if each.id == feeder), None)
        if fed_by is not None and fed_by.answers["device"] != "plain":
            side = chance.choice(["load", "load", "line"])
        made = outlet(chance, f"{name}-{number + 1}", name, feeder, side, hard)
        if wire == "al12":
            made.answers["termination"] = chance.choice(["direct", "spliced"])
            made.answers["coalr_mark"] = False
        outlets.append(made)
    extended = chance.random() < 0.2
    circuit = Circuit.model_validate(
        {
            "id": name,
            "panel": "P1",
            "serves": "somewhere",
            "answers": {
                "breaker": chance.choices(
                    ["standard", "gfci", "afci", "dual_function"], [9, 1, 1, 1]
                )[0],
                "breaker_amps": amps,
                "circuit_volts": 120,
                "conductor": wire,
                "individual": False,
                "shares_neutral": False,
                "wires_under_screw": chance.choices(["one", "two_unmarked"], [8, 1])[0],
                "directory_entry": chance.choices(["good", "blank"], [8, 1])[0],
                "circuit_work": "extension" if extended else "untouched",
                **({"circuit_work_year": 2016, "extension_adds_outlet": True} if extended else {}),
            },
            "readings": {"breaker_test_result": chance.choice(["trips", "trips", "nothing"])},
        }
    )
    trips = [
        Trip(at=each.id, action="test button", went_dead=[each.id])
        for each in outlets
        if each.readings.get("test_result") == "trips" and chance.random() < 0.3
    ]
    return circuit, outlets, trips


def house(
    seed: int,
    circuits: int,
    most: int,
    hard: bool = False,
    pair: bool = False,
    exactly: bool = False,
) -> Session:
    """A house of some circuits with up to `most` outlets each, or exactly so many."""
    chance = random.Random(seed)
    counts = [most if exactly else chance.randint(1, most) for _ in range(circuits)]
    made = [circuit_of(chance, f"C{n + 1}", count, hard) for n, count in enumerate(counts)]
    if pair:
        for mine, other in ((0, 1), (1, 0)):
            made[mine][0].shares_neutral_with = made[other][0].id
            made[mine][0].answers |= {
                "shares_neutral": True,
                "simultaneous_disconnect": chance.choice(["none", "none", "handle_tie"]),
            }
    return Session(
        title=f"Invented house {seed}",
        judged_by=JudgedBy(ruleset="nec-2020"),
        visits=[Visit(date=DAY)],
        panels=[
            Panel.model_validate(
                {
                    "id": "P1",
                    "answers": {
                        "panel_accessible": chance.random() > 0.2,
                        "panel_kind": chance.choices(["breakers", "fuses"], [9, 1])[0],
                    },
                }
            )
        ],
        circuits=[each[0] for each in made],
        rooms=[
            Room.model_validate({"id": name, "name": name.title(), "answers": answers})
            for name, answers in ROOMS.items()
        ],
        outlets=[each for one in made for each in one[1]],
        trips=[each for one in made for each in one[2]],
    )
