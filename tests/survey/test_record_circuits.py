"""Circuits are named by their bare id where that is clear, and by PANEL/ID where it is not."""

from __future__ import annotations

import pytest

from walkthrough.survey.model import Circuit, Panel, Session, Trip
from walkthrough.survey.naming import add
from walkthrough.survey.references import check_references


@pytest.fixture
def two_panels(small_session: Session) -> Session:
    """The small record with a second panel that has a circuit 1 too, not yet told apart."""
    small_session.panels.append(Panel(id="B"))
    small_session.circuits.append(Circuit(id="1", panel="B"))
    return small_session


def test_a_bare_id_means_the_circuit_where_there_is_one(small_session: Session) -> None:
    assert small_session.circuit("1") is small_session.circuits[0]
    assert small_session.circuit("A/1") is small_session.circuits[0]
    assert small_session.reference(small_session.circuits[0]) == "1"


def test_a_bare_id_means_nothing_where_there_are_two(two_panels: Session) -> None:
    assert two_panels.circuit("1") is None
    assert two_panels.circuit("B/1") is two_panels.circuits[1]
    assert [two_panels.reference(each) for each in two_panels.circuits] == ["A/1", "B/1"]


def test_an_unclear_reference_is_a_slip_that_names_the_clear_ones(two_panels: Session) -> None:
    where, message = check_references(two_panels)[0]
    assert where == ("outlet", 0, "circuit")
    assert message == "circuit '1' is in several panels; expected A/1 or B/1"


def test_adding_a_circuit_keeps_older_references_clear(small_session: Session) -> None:
    small_session.trips.append(Trip(at="1", action="breaker off", went_dead=["K-1"]))
    small_session.panels.append(Panel(id="B", fed_from="1"))
    add(small_session, Circuit(id="2", panel="A", shares_neutral_with="1"))
    add(small_session, Circuit(id="1", panel="B"))
    assert small_session.outlets[0].circuit == "A/1"
    assert small_session.panels[1].fed_from == "A/1"
    assert small_session.circuits[1].shares_neutral_with == "A/1"
    assert small_session.trips[-1].at == "A/1"
    assert check_references(small_session) == []


def test_an_id_that_reads_like_the_reference_of_another_is_a_slip(two_panels: Session) -> None:
    for outlet in two_panels.outlets:
        outlet.circuit = "B/1"
    assert check_references(two_panels) == []
    two_panels.circuits.append(Circuit(id="A/1", panel="B"))
    assert [where for where, _ in check_references(two_panels)] == [("circuit", 0, "id")]


def test_what_is_not_there_is_none(small_session: Session) -> None:
    assert small_session.outlet("K-9") is None
    assert small_session.room("attic") is None
    assert small_session.panel("Z") is None
    assert small_session.circuit("Z/1") is None
