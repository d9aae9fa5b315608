"""A small invented house, seen twice: what tests change between the visits is all that differs."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from walkthrough.judge.alike import alike
from walkthrough.judge.judge import judge
from walkthrough.judge.visits import Compared, Visits
from walkthrough.remedy.load import words_of_work
from walkthrough.rulebook.load import load
from walkthrough.survey import store
from walkthrough.survey.model import (
    AnswerValue,
    Circuit,
    JudgedBy,
    Outlet,
    Panel,
    Recheck,
    Room,
    Session,
    Visit,
)

RULESET = "nec-2020"
FIRST = datetime.date(2026, 11, 10)
AGAIN = datetime.date(2026, 12, 1)

SOUND: dict[str, AnswerValue] = {
    "point": "receptacle",
    "device": "plain",
    "volts": 125,
    "amps": 15,
    "yoke": "duplex",
    "slots": "three_slot",
    "equipment_ground": "connected",
    "plate": "indoor",
    "tr_mark": True,
    "feet_to_sink": float("inf"),
    "feet_to_tub": float("inf"),
    "inches_above_floor": 14,
    "readily_accessible": True,
    "serves": ["general"],
    "damage": "sound",
    "cord_as_wiring": False,
}


def outlet(id: str, tester: str = "correct", **told: AnswerValue) -> Outlet:
    """A plain receptacle of a bedroom, sound but for what is told."""
    return Outlet(
        id=id,
        room="bedroom",
        circuit="C1",
        answers=SOUND | told,
        readings={"tester": tester},
        cannot_tell=["termination"],
    )


def house(*outlets: Outlet, title: str = "Elm", day: datetime.date = FIRST) -> Session:
    """One bedroom on one circuit with an arc-fault breaker, in which nothing is wrong."""
    breaker: dict[str, AnswerValue] = {
        "breaker": "afci",
        "breaker_amps": 15,
        "shares_neutral": False,
        "conductor": "cu14",
        "circuit_volts": 120,
        "wires_under_screw": "one",
        "directory_entry": "good",
    }
    bedroom: dict[str, AnswerValue] = {"place": ["bedroom"], "wetness": "dry", "habitable": True}
    session = Session(title=title, judged_by=JudgedBy(ruleset=RULESET), visits=[Visit(date=day)])
    session.dwelling.answers.update(year_built=1960, single_phase=True, volts_to_ground=120)
    session.panels = [Panel(id="P1", answers={"panel_kind": "breakers", "panel_accessible": True})]
    session.circuits = [
        Circuit(id="C1", panel="P1", answers=breaker, readings={"breaker_test_result": "trips"})
    ]
    session.rooms = [Room(id="bedroom", name="Bedroom", answers=bedroom)]
    session.outlets = list(outlets)
    return session


def seen_again(*outlets: Outlet, rechecks: Sequence[Recheck] = ()) -> Session:
    """The house on the second visit; with re-checks it is a re-inspection."""
    session = house(*outlets, day=AGAIN)
    if rechecks:
        session.title = f"Elm, re-inspected {AGAIN}"
        session.reinspects = "elm.toml"
        session.rechecks = list(rechecks)
    return session


def recheck(subject: str, rule: str, outcome: str = "to check", **told: Any) -> Recheck:
    """What the re-inspection tells of one deficiency at an outlet."""
    return Recheck.model_validate(
        {
            "on": AGAIN,
            "of": "outlet",
            "subject": subject,
            "rule": rule,
            "severity": "hazard",
            "says": "As it was found.",
            "cite": [],
            "outcome": outcome,
            **told,
        }
    )


def compared_elm(folder: Path) -> tuple[Path, Path]:
    """The example of the README: three deficiencies, of which each came out otherwise."""
    old = house(
        outlet("B-1", "reversed"), outlet("B-2", damage="damaged"), outlet("B-3", "reversed")
    )
    told = [
        recheck("B-1", "polarity.reversed", "corrected"),
        recheck("B-2", "damage.device", "corrected, with a new defect"),
        recheck(
            "B-3",
            "polarity.reversed",
            "corrected",
            looked=False,
            receipt="R-77",
            work_by="Example Electric",
            work_on=datetime.date(2026, 11, 20),
        ),
    ]
    new = seen_again(
        outlet("B-1"), outlet("B-2", "open_ground"), outlet("B-3", "reversed"), rechecks=told
    )
    paths = folder / "elm.toml", folder / "elm-again.toml"
    for session, path in zip((old, new), paths, strict=True):
        for each, at in zip(
            session.outlets, ("by the door", "window", "behind the bed"), strict=True
        ):
            each.at = at
        store.save(session, path)
    return paths


def compared(old: Session, new: Session, ruleset: str = RULESET) -> list[Compared]:
    """What became of every deficiency."""
    return visits(old, new, ruleset).compared


def visits(old: Session, new: Session, ruleset: str = RULESET) -> Visits:
    """The two records side by side under one ruleset."""
    book = load(ruleset)
    was, now = judge(old, book), judge(new, book)
    return Visits(was, now, alike(was.house, now.house), words_of_work())


def became(old: Session, new: Session) -> dict[tuple[str, str], str]:
    """Subject and rule -> what became of the deficiency."""
    return {
        (verdict.subject, verdict.decision.rule.id): each.became
        for each in compared(old, new)
        for verdict in (each.now or each.was,)
        if verdict is not None
    }
