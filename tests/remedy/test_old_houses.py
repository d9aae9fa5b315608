"""Two invented houses of their time: a two-wire flat on fuses, and one wired with aluminum.

Each plan is read as an electrician would read it. Sources: for ungrounded boxes JADE Learning,
Replacing Two-Wire Receptacles, and EC&M, Article 406: Receptacles; for AFCI at replaced receptacles
EC&M, Triggered by Definitions (2021); for aluminum EC&M, What's Wrong Here, on 406.2(C). The prices
are the round ones of the demonstration.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.remedy.houses import book, planner
from walkthrough.judge.judge import judge
from walkthrough.remedy.plan import Part, Plan, make_plan
from walkthrough.remedy.work import applied
from walkthrough.report.plan_lists import labels
from walkthrough.survey import store

HERE = Path(__file__).parent


def plan(name: str, ruleset: str, scope: str) -> Plan:
    session = store.load(HERE / f"{name}.toml", book(ruleset).questions)
    return make_plan(planner(session, ruleset, scope), alternatives=False)


def part(made: Plan, name: str) -> list[str]:
    found: Part = next(each for each in made.parts if each.name == name)
    return [f"{each.price.code} {each.done.at}" for each in found.items]


@pytest.mark.parametrize("house", ["two-wire-flat", "aluminum-house"])
@pytest.mark.parametrize(
    ("ruleset", "scope"),
    [("nec-2020", "now"), ("nec-2023", "defects"), ("nec-2020", "fix"), ("nec-2023", "all")],
)
def test_the_record_itself_is_clean_when_the_plan_is_done(
    house: str, ruleset: str, scope: str
) -> None:
    made = plan(house, ruleset, scope)
    assert made.unsolved == ()
    assert made.proven
    done = applied(made.planner.session, made.works, made.planner.book.questions)
    after = judge(done, made.planner.book, made.planner.day)
    grave = ("hazard",) if scope == "now" else ("hazard", "serious")
    left = [e for e in after.findings if e.kind == "defect" and e.severity in grave]
    assert [(each.subject, each.rule) for each in left] == []
    assert all(e.answers.get("equipment_ground") != "bridged_to_neutral" for e in done.outlets)


def test_a_two_wire_flat_gets_protection_and_marks_and_no_new_wire() -> None:
    made = plan("two-wire-flat", "nec-2020", "fix")
    # A fuse panel takes no protective breakers: one device first in line on each circuit, AFCI as
    # well because a receptacle of a living area is replaced. The smaller fuse has no price.
    assert part(made, "F1")[:3] == ["FUSE F1", "DF15-TR LR-1", "LABEL LR-1"]
    assert {"DF20-TR K-1", "DUP15-TR K-2"} <= set(part(made, "F2"))
    codes = {each.price.code for each in made.items}
    assert not codes & {"GROUND", "NEWWIRE"}
    # LR-1 and LR-2 were bridged: GFCI receptacle one mark, behind it both.
    marks = [text for at, text in labels(made) if at in ("LR-1", "LR-2")]
    assert sorted(marks) == ["GFCI Protected", "No Equipment Ground", "No Equipment Ground"]


def test_aluminum_is_spliced_before_any_device_and_a_multiwire_circuit_is_tied() -> None:
    made = plan("aluminum-house", "nec-2020", "fix")
    pair = part(made, "2 + 4")
    # 12 AWG aluminum carries 15 A (240.4(D)(4)); 10 AWG on circuit 4 carries its 20 A.
    assert pair[:2] == ["BRK-STD 2", "TIE 2"]
    for at in ("K-1", "K-2"):
        devices = [n for n, each in enumerate(pair) if each.endswith(f"TR {at}")]
        assert pair.index(f"PIGTAIL-AL {at}") < devices[0]
    # K-3 is spliced already, and L-3 is marked CO/ALR: neither needs a splice.
    assert {"PIGTAIL-AL K-3", "PIGTAIL-AL L-3"}.isdisjoint({*pair, *part(made, "1")})
    assert "REWIRE L-3" in part(made, "1")
    # Where it is not told how the wires end, nothing is planned and it is said.
    assert "L-1" in {each.subject for each in made.planner.judges.undecided}


def test_a_feed_that_a_trip_test_shows_needs_no_second_device() -> None:
    """O-2 died when O-1 was tested, and nothing else is on C14: it hangs on O-1's LOAD side."""
    session = store.load(HERE.parent / "judge" / "second_house.toml", book("nec-2020").questions)
    assert session.outlet("O-2").fed_from == ""  # type: ignore[union-attr]
    made = make_plan(planner(session, "nec-2020", "fix"), alternatives=False)
    assert part(made, "C14") == ["DUP15-TRWR O-2", "HOOD O-2"]
