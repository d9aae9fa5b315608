"""A house of two flats and its common stairs, judged: each finding at its own subject."""

from __future__ import annotations

from pathlib import Path

import pytest

from walkthrough.judge.interview import open_asks
from walkthrough.judge.judge import Judgement, judge
from walkthrough.judge.under import Judged, editions_of, judge_under
from walkthrough.report.as_json import as_json
from walkthrough.report.as_text import as_text
from walkthrough.rulebook.load import load as load_ruleset
from walkthrough.survey.model import Session
from walkthrough.survey.store import load

DUPLEX = Path(__file__).with_name("duplex.toml")


@pytest.fixture(scope="module")
def judged() -> Judgement:
    return judge(load(DUPLEX), load_ruleset("nec-2020"))


@pytest.fixture
def session() -> Session:
    return load(DUPLEX)


def test_each_finding_stands_at_its_own_subject(judged: Judgement) -> None:
    assert {(each.of, each.subject, each.rule) for each in judged.findings} == {
        # From memory: 210.25(A) and (B).
        ("outlet", "2", "units.fed-from-other-unit"),
        ("outlet", "S-1", "units.common-area-fed-from-unit"),
        ("circuit", "H/1", "units.house-circuit-shared"),
        ("room", "stairs", "units.common-area-rules"),
        # Trade magazines on the 2020 scope of 210.8(A): a bathroom receptacle.
        ("outlet", "2", "gfci.bathroom"),
        # A building-code forum thread on reversed wires; 200.11 from memory.
        ("outlet", "B/1", "polarity.reversed"),
        # From memory: 210.11(C)(3).
        ("circuit", "2", "rating.bathroom-circuit-as-new"),
    }


def test_work_in_one_flat_is_not_work_in_the_other(judged: Judgement) -> None:
    house = judged.house
    work = {name: house.recorded(each, "work") for (_, name), each in house.subjects.items()}
    assert work["A/1"] == work["2"] == work["S-1"] == "untouched"
    assert work["B/1"] == work["B/bath"] == "new"
    # An answer for the building holds where the flat has none.
    b1 = house.subjects["outlet", "B/1"]
    assert house.recorded(b1, "year_built") == 1961
    assert house.recorded(b1, "dwelling_kind") == "two_family"


def test_protection_is_traced_to_the_flat_it_is_in(judged: Judgement, session: Session) -> None:
    house = judged.house
    told = {
        name: house.tracer.protection(outlet, "gfci")
        for name, outlet in house.wiring.outlets.items()
    }
    assert told["A/1"].by == ("A/1",)
    # B/1 and A/1 have the same id and the same breaker number, but not the same breaker.
    assert told["B/1"].by == ("B/P/1",)
    assert told["2"].state == "no"
    assert judged.contradictions == []
    session.trips[0].stayed_live = []
    session.trips[0].went_dead = ["B/1", "A/1"]
    wrong = judge(session, load_ruleset("nec-2020")).contradictions
    assert [(each.at, each.outlet) for each in wrong] == [("B/P/1", "A/1")]


def test_a_house_panel_behind_the_panel_of_a_flat_is_told_at_what_hangs_on_it(
    session: Session,
) -> None:
    # From memory: 210.25(B) speaks of the equipment that supplies a unit, feeders with it.
    session.panels[2].fed_from = "B/P/2"
    found = judge(session, load_ruleset("nec-2020")).findings
    told = {each.subject for each in found if each.rule == "units.common-area-fed-from-unit"}
    assert told == {"S-1", "S-2"}
    told = {each.subject for each in found if each.rule == "units.fed-from-other-unit"}
    assert told == {"2", "3"}


def test_rules_on_dwellings_are_held_against_each_unit(session: Session) -> None:
    found = judge(session, load_ruleset("texas-inspection-2022"))
    dwellings = {each.subject for each in found.verdicts if each.of == "dwelling"}
    assert dwellings == {"A", "B"}


def test_questions_on_the_building_are_put_to_the_building(session: Session) -> None:
    book = load_ruleset("ohio-residential")
    session.dwelling.answers.pop("dwelling_kind")
    first = judge(session, book)
    building, flat = session.dwelling, session.units[0]
    assert "dwelling_kind" in [each.word for each in open_asks(first.house, building)]
    assert "dwelling_kind" not in [each.word for each in open_asks(first.house, flat)]
    # Who cannot tell it of the building is asked of each flat.
    building.cannot_tell.append("dwelling_kind")
    again = judge(session, book)
    assert "dwelling_kind" in [each.word for each in open_asks(again.house, flat)]


def test_what_was_asked_then_goes_by_the_year_of_the_flat(session: Session) -> None:
    whole = judge_under(session, (), editions_of("nec"))
    assert whole.as_built is not None
    years = {
        each.subject: (one.book.id, one.made_in)
        for one in whole.as_built.judged
        for each in one.verdicts
        if each.of == "outlet"
    }
    assert years["B/1"] == ("nec-2020", 2021)
    # The building of 1961 is older than the oldest rules that are told.
    assert (("outlet", "A/1"), 1961) in whole.as_built.before
    assert (("dwelling", "dwelling"), 1961) not in whole.as_built.before


def test_a_lag_of_ones_own_counts_for_each_flat(session: Session) -> None:
    session.units[1].answers["adoption_lag_years"] = 0
    whole = judge_under(session, (), editions_of("nec"), lag_years=2)
    assert whole.as_built is not None
    # 2021 less two years: the edition of 2017 was in force.
    assert {one.book.id for one in whole.as_built.judged} == {"nec-2017"}


@pytest.fixture(scope="module")
def told() -> Judged:
    return judge_under(load(DUPLEX), [load_ruleset("nec-2020")])


def test_ids_are_unique_in_the_machine_format(told: Judged) -> None:
    data = as_json(told)
    ids = [each["id"] for each in data["outlets"]]
    assert ids == ["A/1", "2", "B/1", "S-1", "S-2", "3"]
    assert [each["unit"] for each in data["outlets"]] == ["A", "A", "B", "", "", "A"]
    assert data["units"] == [{"id": "A", "name": "Ground floor"}, {"id": "B", "name": "Unit B"}]
    by_id = {each["id"]: each["protected_by"]["gfci"]["by"] for each in data["outlets"]}
    assert by_id["A/1"] == ["A/1"]
    assert by_id["B/1"] == ["B/P/1"]
    assert [each["room"] for each in data["samples"]] == ["Bath (Ground floor)", "Bath (Unit B)"]


def test_the_report_names_the_unit(told: Judged) -> None:
    text = as_text(told)
    assert "defect: B/1, Bath, Unit B" in text
    assert "gap: 2, Bath, Ground floor" in text
    assert "gap: S-1, Stairs, Common areas" in text
    assert "gap: circuit H/1" in text


def test_one_dwelling_knows_no_units(session: Session) -> None:
    session.units = []
    for panel in session.panels:
        panel.unit = ""
    for room in session.rooms:
        room.unit = ""
    # The second P and the second bath go by another id in one dwelling.
    session.panels[1].id, session.rooms[1].id = "P2", "bath-2"
    for circuit, name in zip(session.circuits, ("P", "P2", "P2", "H"), strict=True):
        circuit.panel = name
    session.outlets[2].id = "4"
    for outlet, in_room, on_circuit in zip(
        session.outlets,
        ("bath", "bath", "bath-2", "stairs", "stairs", "bath"),
        ("P/1", "2", "P2/1", "2", "H/1", "H/1"),
        strict=True,
    ):
        outlet.room, outlet.circuit = in_room, on_circuit
    session.trips = []
    found = judge(session, load_ruleset("nec-2020")).findings
    assert not [each for each in found if each.topic == "units"]
    assert as_json(judge_under(session, [load_ruleset("nec-2020")]))["units"] == []
