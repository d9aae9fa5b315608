"""A small ruleset to practise on, and folders of the test's own."""

from __future__ import annotations

import datetime
import shutil
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from tests.judge.two_visits import SOUND
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.survey.model import AnswerValue, Circuit, Outlet, Panel, Room

DAY = datetime.date(2026, 11, 10)
HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"

BASE = """
format = 1
id = "practice-base"
title = "Questions to practise on"

[question.year_built]
of = "dwelling"
ask = "In which year was it built?"
help = "From the permit card."
kind = "number"
unit = "year"
min = 1850
max = 2100
step = 1
record = true

[question.panel_kind]
of = "panel"
ask = "Breakers or fuses?"
kind = "choice"
choices = { breakers = "Circuit breakers", fuses = "Fuses" }
record = true

[question.breaker]
of = "circuit"
ask = "What kind of breaker?"
kind = "choice"
choices = { standard = "Standard breaker", gfci = "GFCI breaker" }

[question.breaker_amps]
of = "circuit"
ask = "Ampere rating of the breaker?"
kind = "number"
unit = "A"
min = 5
max = 400
picks = [15, 20]
record = true

[question.shares_neutral]
of = "circuit"
ask = "Does it share its neutral with another circuit?"
kind = "yes-no"
record = true

[question.place]
of = "room"
ask = "What is this room?"
kind = "tags"
choices = { kitchen = "Kitchen", bathroom = "Bathroom", hallway = "Hallway" }
record = true

[question.point]
of = "outlet"
ask = "What is here?"
kind = "choice"
choices = { receptacle = "Receptacle", lighting = "Lighting outlet" }
record = true
carry = "previous"

[question.device]
of = "outlet"
when = "point == 'receptacle'"
ask = "What kind of device is it?"
kind = "choice"
choices = { plain = "Plain, no buttons", gfci = "GFCI" }
record = true

[question.test_result]
of = "outlet"
ask = "What happened when TEST was pressed?"
kind = "choice"
reading = true
choices = { trips = "Trips", nothing = "Does nothing" }

[question.tester]
of = "outlet"
when = "point == 'receptacle'"
ask = "What does the tester show?"
kind = "choice"
reading = true
record = true
choices = { correct = "Correct", open_ground = "Open ground" }

[question.tr_mark]
of = "outlet"
ask = "Is a tamper-resistant mark on the face?"
kind = "yes-no"
carry = "previous"

[question.feet_to_sink]
of = "outlet"
ask = "Feet from the nearest sink?"
help = "As a cord would lie, measured to the top inside edge of the bowl and not through a wall."
kind = "number"
unit = "ft"
min = 0
max = 100
none = "No sink near"

[question.box_opened]
of = "outlet"
ask = "Was the box opened?"
kind = "yes-no"
presume = false

[question.box_full]
of = "outlet"
ask = "Are there too many wires in the box?"
kind = "yes-no"

[topic]
gfci = "Ground faults"
tr = "Tamper resistance"
box = "Boxes"
wiring = "Wiring"

[demand]
gfci_required = { topic = "gfci", has = "gfci_protected" }
tr_required = { topic = "tr", has = "tr_mark" }

[table.device_protects]
confidence = "confirmed"
rows = { plain = [], gfci = ["gfci"] }

[table.breaker_protects]
confidence = "confirmed"
rows = { standard = [], gfci = ["gfci"] }

[table.test_credit]
confidence = "confirmed"
rows = { trips = "good", nothing = "failed" }

[table.point_holds]
confidence = "confirmed"
rows = { receptacle = "receptacle" }
"""

EDITION = """
format = 1
id = "practice"
title = "An edition to practise on"
extends = "practice-base"

[rule."gfci.bathroom"]
topic = "gfci"
of = "outlet"
cite = "1.1"
when = "point == 'receptacle' and 'bathroom' in place"
needs = "gfci_protected"
kind = "gap"
severity = "upgrade"
says = "Bathroom receptacle without ground-fault protection."
why = "Water and current."
cure = ["gfci"]
done_by = "qualified person"
confidence = "one-source"
source = "invented for tests"

[rule."gfci.sink"]
topic = "gfci"
of = "outlet"
cite = "1.2"
when = "point == 'receptacle' and 'kitchen' in place and feet_to_sink <= 6"
needs = "gfci_protected"
kind = "gap"
severity = "upgrade"
says = "Receptacle {feet_to_sink} from a sink without ground-fault protection."
why = "Water and current."
cure = ["gfci"]
done_by = "qualified person"
confidence = "confirmed"
source = "invented for tests"

[rule."tr.everywhere"]
topic = "tr"
of = "outlet"
cite = "2.1"
when = "point == 'receptacle'"
needs = "tr_mark"
disputed = [{ when = "'hallway' in place", readings = ["halls count", "halls do not count"] }]
kind = "gap"
severity = "upgrade"
says = "Receptacle without a tamper-resistant mark."
why = "Small children."
cure = ["tr"]
done_by = "qualified person"
confidence = "confirmed"
source = "invented for tests"

[rule."wiring.open-ground"]
topic = "wiring"
of = "outlet"
cite = "3.1"
when = "point == 'receptacle' and tester == 'open_ground'"
needs = "no"
kind = "defect"
severity = "hazard"
says = "Tested as open ground."
why = "A fault finds no way back."
cure = ["rewire"]
done_by = "qualified person"
confidence = "confirmed"
source = "invented for tests"

[rule."box.full"]
topic = "box"
of = "outlet"
cite = "4.1"
when = "box_opened and box_full"
needs = "no"
kind = "defect"
severity = "serious"
says = "Box with too many wires."
why = "Heat."
cure = ["box"]
done_by = "qualified person"
confidence = "confirmed"
source = "invented for tests"
"""


@pytest.fixture(autouse=True)
def folders(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Rulesets and records of the test's own; returns the folder of records."""
    rulesets = tmp_path / "rulesets"
    rulesets.mkdir()
    (rulesets / "practice-base.toml").write_text(BASE, encoding="utf-8")
    (rulesets / "practice.toml").write_text(EDITION, encoding="utf-8")
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(rulesets))
    monkeypatch.setenv("WALKTHROUGH_SESSIONS", str(tmp_path / "sessions"))
    return tmp_path / "sessions"


@pytest.fixture
def record(folders: Path) -> Record:
    """A new record, open for writing."""
    return Record.begin(folders / "practice.toml", "Practice", "practice", DAY)


def opened_house(folder: Path) -> Record:
    """A copy of the demonstration house, open for writing."""
    path = folder / "house.toml"
    shutil.copy(HOUSE, path)
    return Record.open(path, today=DAY)


@pytest.fixture
def house(tmp_path: Path) -> Record:
    """A copy of the demonstration house, open for writing."""
    return opened_house(tmp_path)


@pytest.fixture
async def inspector(tmp_path: Path) -> AsyncIterator[Inspector]:
    """A house in which one receptacle of a bedroom was entered."""
    record = Record.begin(tmp_path / "elm.toml", "Elm", "nec-2020", DAY)
    session = record.session
    session.dwelling.answers["year_built"] = 1990
    session.panels.append(Panel(id="P1", answers={"panel_kind": "breakers"}))
    for id in ("C1", "C2"):
        told: dict[str, AnswerValue] = {"breaker_amps": 15, "shares_neutral": False}
        session.circuits.append(Circuit(id=id, panel="P1", serves="rooms", answers=told))
    bedroom: dict[str, AnswerValue] = {"place": ["bedroom"], "wetness": "dry", "habitable": True}
    session.rooms.append(Room(id="bedroom", name="Bedroom", answers=bedroom))
    outlet = Outlet(
        id="B-1", room="bedroom", circuit="C1", fed_from="panel", order_known_by="inferred"
    )
    outlet.answers, outlet.readings = dict(SOUND), {"tester": "correct"}
    session.outlets.append(outlet)
    record.change(outlet, "")
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        found = Inspector(pilot)
        await found.settle()
        screen = found.app.screen
        screen.go(outlet)  # type: ignore[attr-defined]
        await found.settle()
        # Whatever else this ruleset asks about such a receptacle is answered beforehand.
        while "What next?" not in found.sees:
            await found.press("question_mark")
        found.log.clear()
        yield found
