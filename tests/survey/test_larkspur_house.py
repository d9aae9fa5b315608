"""The demonstration house is recorded in full and holds together."""

from __future__ import annotations

import datetime
import math
from collections import Counter
from pathlib import Path

import pytest

from walkthrough.rulebook.load import load as rulebook
from walkthrough.survey.canonical import as_toml
from walkthrough.survey.model import Circuit, Outlet, Session
from walkthrough.survey.store import load

HOUSE = Path(__file__).parents[2] / "sessions" / "larkspur-house.toml"


@pytest.fixture(scope="module")
def house() -> Session:
    """The demonstration house."""
    return load(HOUSE)


def receptacles(house: Session) -> list[Outlet]:
    return [each for each in house.outlets if each.answers["point"] == "receptacle"]


def circuit(house: Session, reference: str) -> Circuit:
    found = house.circuit(reference)
    assert found is not None
    return found


def fed(house: Session, start: str) -> list[str]:
    """Everything that hangs on an outlet or, for a circuit, on its breaker."""
    first = [each.id for each in house.outlets if each.fed_from == start]
    return [id for each in first for id in (each, *fed(house, each))]


def test_the_shipped_file_is_what_saving_writes(house: Session) -> None:
    assert as_toml(house).encode() == HOUSE.read_bytes()


def test_its_answers_fit_the_questions() -> None:
    shipped = rulebook("dwelling", [HOUSE.parents[1] / "rulesets"])
    assert load(HOUSE, shipped.questions).title == "Larkspur House"


def test_its_size(house: Session) -> None:
    assert len(receptacles(house)) == 49
    assert len(house.circuits) == 19
    assert len(house.rooms) == 17
    assert [panel.id for panel in house.panels] == ["P1"]
    points = Counter(each.answers["point"] for each in house.outlets)
    assert points == {"receptacle": 49, "smoke_alarm": 4, "equipment": 2, "lighting": 1}


def test_one_visit_under_one_ruleset(house: Session) -> None:
    assert [visit.date for visit in house.visits] == [datetime.date(2026, 11, 10)]
    assert house.judged_by.ruleset == "nec-2020"


def test_every_outlet_is_reached_from_the_panel(house: Session) -> None:
    assert sorted(fed(house, "panel")) == sorted(each.id for each in house.outlets)


def test_what_feeds_an_outlet_is_on_its_circuit(house: Session) -> None:
    for outlet in house.outlets:
        feeder = house.outlet(outlet.fed_from)
        assert feeder is None or feeder.circuit == outlet.circuit, outlet.id


def test_what_hangs_on_the_load_side_of_a_device(house: Session) -> None:
    sides = {each.id: each.side for each in house.outlets if each.side != "through"}
    assert sides == {"K-2": "load", "K-5": "load", "PB-1": "load", "G-2": "load", "WB-1": "line"}


def test_what_each_test_button_did(house: Session) -> None:
    results = {each.id: each.readings.get("test_result") for each in receptacles(house)}
    assert {id: result for id, result in results.items() if result} == {
        "WB-2": "trips",
        "K-1": "trips",
        "K-4": "face_live",
        "HB-1": "nothing",
        "LA-1": "trips",
        "G-1": "trips",
    }
    tested = {id for id, result in results.items() if result}
    assert tested == {
        each.id for each in receptacles(house) if each.answers.get("device") == "gfci"
    }


def test_the_shared_neutral(house: Session) -> None:
    assert circuit(house, "C5").shares_neutral_with == "C7"
    assert circuit(house, "C7").shares_neutral_with == "C5"
    sharing = [each.id for each in house.circuits if each.answers.get("shares_neutral")]
    assert sharing == ["C5", "C7"]


def test_what_was_not_tested_says_why(house: Session) -> None:
    limited = {each.id for each in house.outlets if each.limits}
    assert limited == {"PR-4", "R-4", "K-10", "LA-2"}
    untested = {each.id for each in receptacles(house) if "tester" not in each.readings}
    assert untested == limited
    assert [limit.subject for limit in house.limits] == ["smoke alarms", "insides of boxes"]


def test_of_the_outlet_not_seen_only_its_place_is_recorded(house: Session) -> None:
    outlet = house.outlet("PR-4")
    assert outlet is not None
    assert set(outlet.answers) == {"point", "feet_to_sink", "feet_to_tub", "feet_beside_tub"}
    assert outlet.readings == {}


def test_tamper_and_weather_marks(house: Session) -> None:
    marked = {each.id for each in receptacles(house) if each.answers.get("tr_mark")}
    assert marked == {"L-2", "P-1", "P-2", "WB-2", "LA-1"}
    assert not any(each.answers.get("wr_mark") for each in house.outlets)


def test_contents_are_recorded_of_opened_boxes_only(house: Session) -> None:
    opened = {each.id for each in house.outlets if each.answers.get("box_opened")}
    assert opened == {"K-1", "K-4", "PB-1", "U-1", "B2-2", "PR-1", "L-3"}
    counted = {each.id for each in house.outlets if "box_grounds" in each.answers}
    assert counted == opened
    assert all(each.order_known_by == "opened" for each in house.outlets if each.id in opened)


# Two wires come into a box from what feeds it and two from each outlet it feeds; the box of K-1
# takes in the red wire of the three-wire cable too, and passes red and white on to K-4.
@pytest.mark.parametrize("id", ["K-1", "K-4", "PB-1", "U-1", "B2-2", "PR-1", "L-3"])
def test_wires_in_opened_boxes_fit_the_wiring(house: Session, id: str) -> None:
    outlet = house.outlet(id)
    assert outlet is not None
    cables = 1 + sum(each.fed_from == id for each in house.outlets)
    extra = 3 if id == "K-1" else 0
    size = "14" if circuit(house, outlet.circuit).answers["conductor"] == "cu14" else "12"
    assert outlet.answers[f"box_wires_{size}"] == 2 * cables + extra
    assert outlet.answers["box_grounds"] == cables + (1 if id == "K-1" else 0)


# Volumes per wire are published in several box-fill pages: 14 AWG 2.00, 12 AWG 2.25 cubic inches.
@pytest.mark.parametrize(
    ("id", "fill", "volume"),
    [("K-1", 22.5, 30.3), ("U-1", 20.25, 21.0), ("PR-1", 15.75, 16.0), ("PB-1", 16.0, 12.5)],
)
def test_tight_boxes(house: Session, id: str, fill: float, volume: float) -> None:
    outlet = house.outlet(id)
    assert outlet is not None
    wires14, wires12 = outlet.answers["box_wires_14"], outlet.answers["box_wires_12"]
    assert isinstance(wires14, int)
    assert isinstance(wires12, int)
    each = 2.25 if wires12 else 2.0
    ground, device, clamps = 1, 2, bool(outlet.answers["box_clamps"])
    assert (wires14 + wires12 + ground + device + clamps) * each == fill
    assert outlet.answers["box_volume_in3"] == volume


def test_basins_and_tubs(house: Session) -> None:
    near = {
        each.id: each.answers["feet_to_sink"]
        for each in receptacles(house)
        if each.answers["feet_to_sink"] != math.inf
    }
    assert near == {
        "WB-2": 3, "WB-1": 7, "K-1": 2, "K-2": 5, "K-3": 9, "K-4": 3, "K-5": 7, "K-6": 10,
        "K-7": 9, "K-8": 2, "K-9": 8, "K-10": 7, "HB-1": 1, "PB-1": 1,
    }  # fmt: skip
    tubs = [each.id for each in receptacles(house) if each.answers["feet_to_tub"] != math.inf]
    assert tubs == ["PB-2"]


def test_work_that_was_done_later(house: Session) -> None:
    done = {
        each.id: (each.answers["work"], each.answers["work_year"])
        for each in house.outlets
        if each.answers.get("work", "untouched") != "untouched"
    }
    assert done == {
        "L-2": ("replacement", 2019),
        "P-1": ("extension", 2016),
        "P-2": ("extension", 2016),
        "HB-1": ("replacement", 1985),
        "WB-2": ("replacement", 2012),
        "LA-1": ("replacement", 2012),
        "U-2": ("replacement", 1998),
    }
    extended = [each.id for each in house.circuits if each.answers["circuit_work"] == "extension"]
    assert extended == ["C3"]
