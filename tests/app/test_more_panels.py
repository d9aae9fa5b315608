"""Another panel after circuits were entered, and what feeds it."""

from __future__ import annotations

import pytest

from tests.app.inspector import Inspector
from tests.app.test_screens import LARGE, SMALL, inspecting
from walkthrough.app.record import Record
from walkthrough.survey.model import AnswerValue, Circuit, Panel

FEEDS = "Which circuit feeds this panel?"


@pytest.fixture
def two_circuits(record: Record) -> Record:
    """A panel with two circuits, of which all is told."""
    session = record.session
    session.dwelling.answers["year_built"] = 1974
    session.panels.append(Panel(id="P1", name="Main", answers={"panel_kind": "breakers"}))
    told: dict[str, AnswerValue] = {"breaker_amps": 20, "shares_neutral": False}
    for id, serves in (("C1", "kitchen"), ("C2", "feeder to the garage")):
        session.circuits.append(Circuit(id=id, panel="P1", serves=serves, answers=dict(told)))
    record.change(session.circuits[-1], "")
    return record


async def stands_on_circuit(inspector: Inspector) -> None:
    inspector.walking.go(inspector.record.session.circuits[-1])
    await inspector.settle()
    assert "Circuit C2 is complete. What next?" in inspector.sees


async def adds_panel(inspector: Inspector) -> Panel:
    assert "Where is the panel (panel 2), or what is it called?" in inspector.sees
    await inspector.types("Garage")
    panel = inspector.record.session.panels[-1]
    assert (panel.name, len(inspector.record.session.panels)) == ("Garage", 2)
    assert FEEDS in inspector.sees
    return panel


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_it_is_offered_after_a_circuit(two_circuits: Record, size: tuple[int, int]) -> None:
    async with inspecting(two_circuits, size) as inspector:
        await stands_on_circuit(inspector)
        await inspector.chooses("Another panel")
        await adds_panel(inspector)


async def test_it_is_offered_in_the_panel_schedule(two_circuits: Record) -> None:
    async with inspecting(two_circuits) as inspector:
        await stands_on_circuit(inspector)
        await inspector.press("f3")
        assert "p Add a panel" in inspector.sees
        await inspector.press("p")
        await adds_panel(inspector)


async def test_it_is_offered_in_the_palette(two_circuits: Record) -> None:
    async with inspecting(two_circuits) as inspector:
        await stands_on_circuit(inspector)
        await inspector.press("ctrl+p")
        await inspector.types("another panel", then="")
        await inspector.press("enter")
        await adds_panel(inspector)


async def test_no_feeder_is_taken_that_nobody_named(two_circuits: Record) -> None:
    async with inspecting(two_circuits) as inspector:
        await stands_on_circuit(inspector)
        await inspector.chooses("Another panel")
        panel = await adds_panel(inspector)
        assert "> C1" not in inspector.sees
        await inspector.press("enter")
        assert FEEDS in inspector.sees
        assert "! type a word of it, or choose it with Down, or ? if you cannot tell" in (
            inspector.reads
        )
        assert panel.fed_from == ""
        await inspector.types("feeder")
        assert panel.fed_from == "C2"


async def test_a_feeder_that_is_not_there_yet_is_told_how_to_enter(two_circuits: Record) -> None:
    async with inspecting(two_circuits) as inspector:
        await stands_on_circuit(inspector)
        await inspector.chooses("Another panel")
        panel = await adds_panel(inspector)
        await inspector.types("C9")
        assert "nothing fits 'C9': press ?, enter that feeder as a circuit of its panel" in (
            inspector.reads
        )
        assert panel.fed_from == ""
        # And so it goes.
        await inspector.press("question_mark")
        assert "Breakers or fuses?" in inspector.sees
