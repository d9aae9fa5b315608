"""Several dwelling units in one record: ids are unique per unit, and names stay clear."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from walkthrough.survey.history import History
from walkthrough.survey.model import (
    Circuit,
    Finding,
    JudgedBy,
    Outlet,
    Panel,
    Room,
    Session,
    Subject,
    SurveyLimit,
    Trip,
    Unit,
)
from walkthrough.survey.naming import add, follow_findings, names_kept, take_out
from walkthrough.survey.references import check_references
from walkthrough.survey.store import RecordError, load, parse, save

DUPLEX = Path(__file__).resolve().parent.parent / "judge" / "duplex.toml"


@pytest.fixture
def duplex() -> Session:
    """One flat with a kitchen and its panel; the flat above is still to be entered."""
    return Session(
        title="Two flats",
        judged_by=JudgedBy(ruleset="nec-2020"),
        units=[Unit(id="A"), Unit(id="B")],
        panels=[Panel(id="P", unit="A"), Panel(id="H")],
        circuits=[Circuit(id="1", panel="P"), Circuit(id="2", panel="H")],
        rooms=[Room(id="kitchen", unit="A", name="Kitchen")],
        outlets=[
            Outlet(id="K-1", room="kitchen", circuit="1", fed_from="panel"),
            Outlet(id="K-2", room="kitchen", circuit="1", fed_from="K-1"),
        ],
        trips=[Trip(at="K-1", action="test button", went_dead=["K-1", "K-2"])],
        limits=[SurveyLimit(subject="K-1", reason="behind a cupboard")],
        findings=[
            Finding(
                subject="K-1",
                of="outlet",
                rule="plate.missing",
                topic="plate",
                kind="defect",
                severity="serious",
                cite=["406.6"],
                says="No plate.",
                confidence="confirmed",
                state="accepted",
            )
        ],
    )


def test_a_bare_id_is_enough_where_one_unit_has_it(duplex: Session) -> None:
    assert check_references(duplex) == []
    assert [duplex.reference(each) for each in duplex.subjects()] == [
        "dwelling", "A", "B", "P", "H", "1", "2", "kitchen", "K-1", "K-2",
    ]  # fmt: skip
    # The full name means the same.
    assert duplex.outlet("A/K-1") is duplex.outlets[0]
    assert duplex.circuit("A/P/1") is duplex.circuit("P/1") is duplex.circuits[0]
    assert duplex.panel("common/H") is duplex.panels[1]
    assert duplex.outlet("B/K-1") is None


def test_the_same_ids_in_another_unit_have_every_name_written_out(duplex: Session) -> None:
    add(duplex, Panel(id="P", unit="B"))
    assert duplex.circuits[0].panel == "A/P"
    assert duplex.outlets[0].circuit == "1"
    add(duplex, Circuit(id="1", panel="B/P"))
    assert duplex.outlets[0].circuit == "A/P/1"
    add(duplex, Room(id="kitchen", unit="B", name="Kitchen"))
    assert duplex.outlets[0].room == "A/kitchen"
    add(duplex, Outlet(id="K-1", room="B/kitchen", circuit="B/P/1", fed_from="panel"))
    assert duplex.outlets[1].fed_from == "A/K-1"
    assert duplex.trips[0].at == "A/K-1"
    assert duplex.trips[0].went_dead == ["A/K-1", "K-2"]
    assert duplex.findings[0].subject == "A/K-1"
    assert duplex.limits[0].subject == "A/K-1"
    assert check_references(duplex) == []


def test_when_the_twin_goes_the_names_are_short_again(duplex: Session) -> None:
    before = duplex.model_copy(deep=True)
    add(duplex, Room(id="kitchen", unit="B", name="Kitchen"))
    twin = Outlet(id="K-1", room="B/kitchen", circuit="1")
    add(duplex, twin)
    take_out(duplex, twin)
    take_out(duplex, duplex.rooms[-1])
    assert duplex == before


def test_a_room_that_changes_its_unit_takes_its_names_along(duplex: Session) -> None:
    add(duplex, Room(id="hall", name="Hall"))
    add(duplex, Outlet(id="K-1", room="hall", circuit="2"))
    assert duplex.outlets[1].fed_from == "A/K-1"
    with names_kept(duplex):
        duplex.rooms[0].unit = "B"
    assert duplex.outlets[1].fed_from == "B/K-1"
    assert duplex.trips[0].at == "B/K-1"
    assert check_references(duplex) == []


def test_who_names_the_unit_everywhere_means_the_same(tmp_path: Path) -> None:
    path = tmp_path / "duplex.toml"
    path.write_text(
        'format = 1\ntitle = "t"\n[judged_by]\nruleset = "nec-2020"\n[[unit]]\nid = "A"\n'
        '[[panel]]\nid = "P"\nunit = "A"\n[[circuit]]\nid = "1"\npanel = "A/P"\n'
        '[[room]]\nid = "k"\nunit = "A"\nname = "K"\n'
        '[[outlet]]\nid = "K-1"\nroom = "A/k"\ncircuit = "A/P/1"\n'
        '[[outlet]]\nid = "K-2"\nroom = "k"\ncircuit = "P/1"\nfed_from = "A/K-1"\n',
        encoding="utf-8",
    )
    session = load(path)
    assert [each.circuit for each in session.outlets] == ["1", "1"]
    assert session.outlets[1].fed_from == "K-1"
    save(session, path)
    first = path.read_bytes()
    save(load(path), path)
    assert path.read_bytes() == first


def test_a_record_without_units_keeps_even_its_longer_names(small_record: str) -> None:
    written = small_record.replace('circuit = "1"', 'circuit = "A/1"')
    assert [each.circuit for each in parse(written, "r.toml").outlets] == ["A/1", "A/1"]


REFUSED = {
    "no such unit": (
        'id = "P"\nunit = "B"',
        'id = "P"\nunit = "b"',
        "34:1: there is no unit 'b'; expected the id of one in this record; known are 'A', 'B'",
    ),
    "nearly a unit": (
        '[[unit]]\nid = "B"',
        '[[unit]]\nid = "Back"',
        "34:1: there is no unit 'B'; expected the id of one in this record; did you mean 'Back'?",
    ),
    "a unit twice": (
        '[[unit]]\nid = "B"',
        '[[unit]]\nid = "A"',
        "22:1: unit 'A' stands here a second time; expected an id of its own",
    ),
    "a reserved word": (
        '[[unit]]\nid = "B"',
        '[[unit]]\nid = "common"',
        "22:1: 'common' cannot be a unit; expected another id",
    ),
    "a stroke in the name": (
        '[[unit]]\nid = "B"',
        '[[unit]]\nid = "A/B"',
        "22:1: found 'A/B'; expected an id without '/'",
    ),
    "an unclear panel": (
        'panel = "B/P"',
        'panel = "P"',
        "panel 'P' is in several units; expected A/P or B/P",
    ),
    "an unclear room": (
        'room = "B/bath"',
        'room = "bath"',
        "room 'bath' is in several units; expected A/bath or B/bath",
    ),
    "an unclear circuit": (
        'circuit = "B/P/1"',
        'circuit = "1"',
        "circuit '1' is in several panels; expected A/P/1 or B/P/1 or H/1",
    ),
    "half the name of a circuit": (
        'circuit = "B/P/1"',
        'circuit = "P/1"',
        "circuit 'P/1' is in several panels; expected A/P/1 or B/P/1",
    ),
    "an unclear outlet": (
        'went_dead = ["B/1"]',
        'went_dead = ["1"]',
        "outlet '1' is in several units; expected A/1 or B/1",
    ),
    "an unclear feed": (
        'circuit = "B/P/1"\nfed_from = "panel"',
        'circuit = "B/P/1"\nfed_from = "1"',
        "outlet '1' is in several units; expected A/1 or B/1",
    ),
    "the outlet of no unit": (
        'stayed_live = ["A/1", "A/2"]',
        'stayed_live = ["A/1", "A/22"]',
        "there is no outlet 'A/22'; expected the id of one in this record; did you mean 'A/2'?",
    ),
    "an outlet twice in one unit": (
        'id = "3"\nroom = "A/bath"',
        'id = "2"\nroom = "A/bath"',
        "outlet '2' stands here a second time in unit 'A'; expected an id of its own",
    ),
    "a name that reads like another": (
        'id = "S-1"',
        'id = "A/1"',
        "'A/1' also means another outlet; expected an id without '/' for that",
    ),
    "a unit of an outlet": (
        'id = "S-1"',
        'id = "S-1"\nunit = "A"',
        "'unit' is not known here; expected a word of the record",
    ),
}


@pytest.mark.parametrize(("old", "new", "expected"), REFUSED.values(), ids=REFUSED)
def test_what_cannot_be_meant_is_refused(tmp_path: Path, old: str, new: str, expected: str) -> None:
    text = DUPLEX.read_text(encoding="utf-8")
    assert old in text
    path = tmp_path / "duplex.toml"
    path.write_text(text.replace(old, new, 1), encoding="utf-8")
    with pytest.raises(RecordError) as refused:
        load(path)
    assert expected in str(refused.value)


def test_undo_restores_the_names_too(duplex: Session, tmp_path: Path) -> None:
    path = tmp_path / "duplex.toml"
    history = History(duplex)
    before = history.text
    add(duplex, Room(id="kitchen", unit="B", name="Kitchen"))
    history.note(duplex, ("room", "B/kitchen"), "new:room")
    assert "A/kitchen" in history.text
    turned = history.back()
    assert turned is not None
    assert turned[1] == before
    assert parse(turned[1], path).outlets[0].room == "kitchen"


def test_what_became_of_a_finding_stays_with_it_over_undo_and_redo(duplex: Session) -> None:
    later = duplex.model_copy(deep=True)
    add(later, Room(id="kitchen", unit="B", name="Kitchen"))
    add(later, Outlet(id="K-1", room="B/kitchen", circuit="1"))
    # Redone: the findings are still those of the earlier state, with its names.
    redone = later.model_copy(deep=True)
    redone.findings = [each.model_copy() for each in duplex.findings]
    follow_findings(duplex, redone)
    assert redone.findings == later.findings
    undone = duplex.model_copy(deep=True)
    undone.findings = [each.model_copy() for each in later.findings]
    follow_findings(later, undone)
    assert undone.findings == duplex.findings
    # What is not there any more is not taken for its namesake.
    without = later.model_copy(deep=True)
    take_out(without, without.outlets[0])
    without.findings = [each.model_copy() for each in later.findings]
    follow_findings(later, without)
    assert [each.subject for each in without.findings] == ["A/K-1"]


UNITS = ("", "A", "B")
IDS = st.sampled_from(["1", "2"])


@settings(max_examples=150, deadline=None)
@given(data=st.data())
def test_whatever_comes_and_goes_each_name_means_what_it_meant(data: st.DataObject) -> None:
    session = Session(title="t", judged_by=JudgedBy(ruleset="nec-2020"))
    session.units = [Unit(id="A"), Unit(id="B")]
    meant: dict[int, dict[str, Subject]] = {}
    for _ in range(data.draw(st.integers(1, 25))):
        if session.outlets and data.draw(st.integers(0, 4)) == 0:
            gone = data.draw(st.sampled_from(session.outlets))
            if not any(gone is each for told in meant.values() for each in told.values()):
                take_out(session, gone)
                meant.pop(id(gone))
            continue
        new, told = _something(data, session)
        home = new.panel if isinstance(new, Circuit) else session.unit_of(new)
        alike = [each for each in session.all_of(new.of) if each.id == new.id]
        if not any(
            (each.panel if isinstance(each, Circuit) else session.unit_of(each)) == home
            for each in alike
        ):
            add(session, new)
            meant[id(new)] = told
        assert check_references(session) == []
        for each in session.subjects():
            for field, subject in meant.get(id(each), {}).items():
                assert session.meant(subject.of, getattr(each, field)) is subject
                assert getattr(each, field) == session.reference(subject)
    again = parse(History(session).text, "t.toml")
    assert again == session


def _something(data: st.DataObject, session: Session) -> tuple[Subject, dict[str, Subject]]:
    """A panel, a room, a circuit or an outlet with an id that others may have, and what it names.

    Drawn anew for each step, so that names become clear and unclear in any order.
    """
    kinds = ["panel", "room"]
    kinds += ["circuit"] if session.panels else []
    kinds += ["outlet"] if session.circuits and session.rooms else []
    unit, number = data.draw(st.sampled_from(UNITS)), data.draw(IDS)
    match data.draw(st.sampled_from(kinds)):
        case "panel":
            return Panel(id=number, unit=unit), {}
        case "room":
            return Room(id=number, unit=unit, name="room"), {}
        case "circuit":
            panel = data.draw(st.sampled_from(session.panels))
            return Circuit(id=number, panel=session.reference(panel)), {"panel": panel}
    told: dict[str, Subject] = {
        "room": data.draw(st.sampled_from(session.rooms)),
        "circuit": data.draw(st.sampled_from(session.circuits)),
    }
    if session.outlets:
        told["fed_from"] = data.draw(st.sampled_from(session.outlets))
    names = {field: session.reference(each) for field, each in told.items()}
    return Outlet.model_validate({"id": number, **names}), told
