"""What was asked when each thing was made: the demonstration house, and houses made up for it."""

from __future__ import annotations

import datetime
import functools
from pathlib import Path

import pytest

from walkthrough.judge.as_built import AsBuilt, in_force, judge_as_built
from walkthrough.judge.under import editions_of
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.model import (
    AnswerValue,
    Circuit,
    JudgedBy,
    Outlet,
    Panel,
    Room,
    Session,
    Visit,
)

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"


@functools.cache
def editions() -> tuple[Rulebook, ...]:
    return editions_of("nec")


@functools.cache
def house_a() -> AsBuilt:
    return judge_as_built(store.load(RECORD), editions())


def findings(judged: AsBuilt, subject: str) -> set[tuple[str, str, tuple[str, ...]]]:
    return {
        (one.book.id, each.rule, tuple(each.cite))
        for one in judged.judged
        for each in one.findings
        if each.subject == subject
    }


def asked(judged: AsBuilt, outlet: str, topic: str) -> list[str]:
    return [
        section
        for one in judged.judged
        for each in one.session.outlets
        if each.id == outlet
        for section in one.requires(each)[topic]
    ]


# The demonstration house. Source: the hand-worked list of its planted defects.


def test_the_porch_of_2016_had_to_comply_then() -> None:
    """D06: no GFCI, no WR device, an indoor plate on P-1; P-2 has its cover."""
    ground_fault, weather, cover = (
        ("nec-2014", "gfci.outdoors", ("210.8(A)(3)",)),
        ("nec-2014", "wr.damp", ("406.9(A)",)),
        ("nec-2014", "cover.damp", ("406.9(A)",)),
    )
    assert {ground_fault, weather, cover} <= findings(house_a(), "P-1")
    assert {ground_fault, weather} <= findings(house_a(), "P-2")
    assert cover not in findings(house_a(), "P-2")
    kinds = {e.kind for one in house_a().judged for e in one.findings if e.subject == "P-1"}
    assert kinds == {"defect"}


def test_the_circuit_that_was_extended_in_2016_had_to_have_arc_fault_protection() -> None:
    """D07; in the 2014 edition extensions stand in 210.12(B). Nothing says that C3 was new."""
    assert findings(house_a(), "C3") == {("nec-2014", "afci.extension", ("210.12(B)",))}


def test_the_garage_of_2004_had_its_ways_out() -> None:
    """D15: a dedicated freezer and a door opener out of reach were excepted then."""
    assert findings(house_a(), "G-4") == findings(house_a(), "G-5") == set()
    assert not asked(house_a(), "G-4", "gfci")
    assert not asked(house_a(), "G-5", "gfci")
    for outlet in ("G-1", "G-2", "G-3"):
        assert asked(house_a(), outlet, "gfci")
        assert not findings(house_a(), outlet)


def test_the_living_room_of_1974_was_asked_for_nothing() -> None:
    assert not asked(house_a(), "L-1", "afci")
    assert not asked(house_a(), "L-1", "gfci")


def test_where_histories_disagree_both_dates_are_told() -> None:
    """Outdoor receptacles: 1971, 1973 or 1975; the house is of 1974."""
    disputed = [e for one in house_a().judged for e in one.disputed if e.subject == "OUT-1"]
    assert len(disputed) == 1
    told = " ".join(disputed[0].decision.readings)
    assert "1973" in told
    assert "1975" in told


# Which year counts, and which edition was in force in it.


def house(
    *, outlet: dict[str, AnswerValue], lag: int | None = None, **of: dict[str, AnswerValue]
) -> AsBuilt:
    kitchen: dict[str, AnswerValue] = {
        "point": "receptacle", "device": "plain", "volts": 125, "amps": 15, "serves_counter": True,
        "feet_to_sink": 9.0, "serves": ["general"],
    }  # fmt: skip
    session = Session(
        title="House",
        judged_by=JudgedBy(ruleset="nec-2020"),
        visits=[Visit(date=datetime.date(2026, 11, 10))],
        panels=[Panel(id="P")],
        circuits=[
            Circuit(id="C", panel="P", answers={"breaker": "standard", **of.get("circuit", {})})
        ],
        rooms=[Room(id="r", name="Kitchen", answers={"place": ["kitchen"], **of.get("room", {})})],
        outlets=[
            Outlet(id="K", room="r", circuit="C", fed_from="panel", order_known_by="opened",
                   answers={**kitchen, **outlet})
        ],
    )  # fmt: skip
    session.dwelling.answers.update(of.get("dwelling", {}))
    return judge_as_built(session, editions(), lag)


def edition_of(judged: AsBuilt, subject: str = "K") -> list[tuple[str, int | None]]:
    return [
        (one.book.id, one.made_in)
        for one in judged.judged
        if any(each.subject == subject for each in one.verdicts)
    ]


@pytest.mark.parametrize(
    ("of", "expected"),
    [
        ({"outlet": {"work": "replacement", "work_year": 2019}}, ("nec-2017", 2019)),
        ({"outlet": {}, "room": {"room_work_year": 2012}}, ("nec-2011", 2012)),
        ({"outlet": {}}, ("nec-2008", 2009)),
        ({"outlet": {}, "circuit": {"circuit_work": "extension"}}, ("nec-before-2008", 1974)),
        ({"outlet": {}, "circuit": {"circuit_work_year": 2009}, "room": {"room_work_year": 1999}},
         ("nec-before-2008", 1999)),
    ],
)  # fmt: skip
def test_the_year_nearest_to_the_outlet_counts(
    of: dict[str, dict[str, AnswerValue]], expected: tuple[str, int]
) -> None:
    """The outlet's own year, else its room's, its circuit's, the dwelling's.

    An extension does not make the older outlets of a circuit younger.
    """
    circuit: dict[str, AnswerValue] = {"circuit_work_year": 2009, **of.get("circuit", {})}
    told = {**of, "circuit": circuit, "dwelling": {"year_built": 1974}}
    assert edition_of(house(**told)) == [expected]  # type: ignore[arg-type]


@pytest.mark.parametrize(
    ("year", "lag", "expected"),
    [
        (2007, 0, "nec-before-2008"), (2008, 0, "nec-2008"), (2009, 0, "nec-2008"),
        (2010, 3, "nec-before-2008"), (2011, 3, "nec-2008"), (2013, 3, "nec-2008"),
        (2014, 3, "nec-2011"), (2016, 3, "nec-2011"), (2026, 0, "nec-2023"),
    ],
)  # fmt: skip
def test_the_time_to_adoption_moves_the_edition(year: int, lag: int, expected: str) -> None:
    built: dict[str, AnswerValue] = {"year_built": year}
    assert edition_of(house(outlet={}, lag=lag, dwelling=built)) == [(expected, year)]
    built["adoption_lag_years"] = lag
    assert edition_of(house(outlet={}, dwelling=built)) == [(expected, year)]


def test_a_year_written_with_a_point_is_the_same_year() -> None:
    """A file made by another program may hold 1974.0; so it is kept."""
    told = house(outlet={}, dwelling={"year_built": 1974.0})
    assert edition_of(told) == [("nec-before-2008", 1974)]


def test_a_preview_was_in_force_nowhere() -> None:
    book = in_force(2026, editions())
    assert book is not None
    assert book.id == "nec-2023"


def test_without_a_year_the_question_that_tells_it_is_named() -> None:
    judged = house(outlet={})
    assert (("outlet", "K"), ("dwelling", "year_built")) in judged.year_open
    assert not judged.judged


@pytest.mark.parametrize(
    "told",
    [
        {"outlet": {"work": "replacement"}},
        {"outlet": {"work": "extension"}, "room": {"room_work_year": 1998}},
        {"outlet": {}, "circuit": {"circuit_work": "new"}},
    ],
)
def test_later_work_without_its_year_is_not_judged_by_an_older_one(
    told: dict[str, dict[str, AnswerValue]],
) -> None:
    judged = house(**told, dwelling={"year_built": 1974})  # type: ignore[arg-type]
    asked = "circuit_work_year" if "circuit" in told else "work_year"
    where = "C" if "circuit" in told else "K"
    assert (("outlet", "K"), (where, asked)) in judged.year_open
    assert edition_of(judged) == []


def test_the_work_of_a_whole_dwelling_tells_the_year_of_its_outlets() -> None:
    dwelling: dict[str, AnswerValue] = {"work": "new", "work_year": 2015, "year_built": 1974}
    assert edition_of(house(outlet={}, dwelling=dwelling)) == [("nec-2014", 2015)]


def test_a_year_that_cannot_be_told_is_not_guessed() -> None:
    session = store.load(RECORD)
    outlet = session.outlet("PR-2")
    assert outlet is not None
    outlet.cannot_tell.append("work_year")
    judged = judge_as_built(session, editions())
    assert (("outlet", "PR-2"), ("PR-2", "work_year")) in judged.year_open


def test_what_is_older_than_the_oldest_rules_is_named_with_its_year() -> None:
    judged = house(outlet={}, dwelling={"year_built": 1926})
    assert (("outlet", "K"), 1926) in judged.before


@pytest.mark.parametrize(
    ("year", "expected"), [(1986, set()), (1987, set()), (1995, set()), (1996, {"defect"})]
)
def test_a_counter_receptacle_far_from_the_sink_was_asked_for_since_1996(
    year: int, expected: set[str]
) -> None:
    """Sources: four histories of GFCI duties agree on 1987 within 6 ft and 1996 for all."""
    judged = house(outlet={"feet_to_sink": 9.0}, dwelling={"year_built": year})
    kinds = {e.kind for one in judged.judged for e in one.findings if e.topic == "gfci"}
    assert kinds == expected


def test_what_hangs_on_the_day_within_the_year_stays_open() -> None:
    """Heating and cooling equipment of 2026: the relief of 210.8(F) ended on 2026-09-01."""
    judged = house(
        outlet={"point": "equipment", "serves": ["hvac"], "work": "new", "work_year": 2026},
        room={"place": ["outdoors"]},
        circuit={"circuit_volts": 240, "breaker_amps": 30, "individual": True},
        dwelling={"year_built": 1990, "volts_to_ground": 120},
    )
    waiting = {
        verdict.decision.rule.id: verdict.waits_for
        for one in judged.judged
        for verdict in one.undecided
        if verdict.subject == "K"
    }
    assert waiting.get("gfci.outdoor-outlet") == (("K", "date"),)
