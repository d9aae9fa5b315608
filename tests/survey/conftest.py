"""A small record to try things on."""

from __future__ import annotations

import datetime
import math
from pathlib import Path

import pytest

from walkthrough.survey.model import (
    Circuit,
    Dwelling,
    Finding,
    JudgedBy,
    Limit,
    Outlet,
    Panel,
    Room,
    Session,
    SurveyLimit,
    Trip,
    Visit,
)

SMALL_RECORD = """\
format = 1
title = "Quince Cottage"

[judged_by]
ruleset = "nec-2020"

[[visit]]
date = 2026-11-10

[dwelling.answers]
volts_to_ground = 120

[[panel]]
id = "A"

[[circuit]]
id = "1"
panel = "A"
note = "Owner says \\"new\\"."

[circuit.answers]
breaker_amps = 20

[[room]]
id = "kitchen"
name = "Kitchen"

[room.answers]
place = ["kitchen", "food_or_drink"]

[[outlet]]
id = "K-1"
room = "kitchen"
circuit = "1"
fed_from = "panel"
order_known_by = "opened"

[outlet.answers]
device = "gfci"
feet_to_sink = 1.5
feet_to_tub = inf

[outlet.readings]
test_result = "trips"

[[outlet]]
id = "K-2"
room = "kitchen"
circuit = "1"
fed_from = "K-1"
side = "load"
order_known_by = "observed"
cannot_tell = ["device_year"]

[[outlet.limit]]
what = "seen only"
reason = "behind the range"

[[trip]]
at = "K-1"
action = "test button"
went_dead = ["K-1", "K-2"]

[[limit]]
subject = "smoke alarms"
reason = "not operated"

[[finding]]
subject = "K-2"
of = "outlet"
rule = "tr.dwelling"
topic = "tr"
kind = "gap"
severity = "upgrade"
cite = ["406.12"]
says = "Not tamper-resistant."
confidence = "confirmed"
state = "open"
"""


@pytest.fixture
def small_record() -> str:
    """The text of a record that uses every kind of table."""
    return SMALL_RECORD


@pytest.fixture
def record_file(tmp_path: Path) -> Path:
    """That record as a file."""
    path = tmp_path / "quince-cottage.toml"
    path.write_bytes(SMALL_RECORD.encode())
    return path


@pytest.fixture
def small_session() -> Session:
    """What that record says."""
    return Session(
        title="Quince Cottage",
        judged_by=JudgedBy(ruleset="nec-2020"),
        visits=[Visit(date=datetime.date(2026, 11, 10))],
        dwelling=Dwelling(answers={"volts_to_ground": 120}),
        panels=[Panel(id="A")],
        circuits=[
            Circuit(id="1", panel="A", note='Owner says "new".', answers={"breaker_amps": 20})
        ],
        rooms=[Room(id="kitchen", name="Kitchen", answers={"place": ["kitchen", "food_or_drink"]})],
        outlets=[
            Outlet(
                id="K-1",
                room="kitchen",
                circuit="1",
                fed_from="panel",
                order_known_by="opened",
                answers={"device": "gfci", "feet_to_sink": 1.5, "feet_to_tub": math.inf},
                readings={"test_result": "trips"},
            ),
            Outlet(
                id="K-2",
                room="kitchen",
                circuit="1",
                fed_from="K-1",
                side="load",
                order_known_by="observed",
                cannot_tell=["device_year"],
                limits=[Limit(what="seen only", reason="behind the range")],
            ),
        ],
        trips=[Trip(at="K-1", action="test button", went_dead=["K-1", "K-2"])],
        limits=[SurveyLimit(subject="smoke alarms", reason="not operated")],
        findings=[
            Finding(
                subject="K-2",
                of="outlet",
                rule="tr.dwelling",
                topic="tr",
                kind="gap",
                severity="upgrade",
                cite=["406.12"],
                says="Not tamper-resistant.",
                confidence="confirmed",
            )
        ],
    )
