"""The wiring of a circuit, drawn."""

from __future__ import annotations

from walkthrough.survey.model import Circuit, Dwelling, JudgedBy, Outlet, Panel, Room, Session
from walkthrough.trade.drawing import drawn
from walkthrough.trade.wiring import Wiring


def _lines(**fed_from: str) -> list[str]:
    outlets = [Outlet(id=id, room="r", circuit="C1", fed_from=fed) for id, fed in fed_from.items()]
    circuit = Circuit(id="C1", panel="P1")
    session = Session(
        title="t",
        judged_by=JudgedBy(ruleset="x"),
        dwelling=Dwelling(),
        panels=[Panel(id="P1")],
        circuits=[circuit],
        rooms=[Room(id="r", name="R")],
        outlets=outlets,
    )
    lines = drawn(Wiring(session), session.circuits[0])
    assert sorted(each.outlet.id for each in lines) == sorted(fed_from)
    return [each.branches + each.outlet.id for each in lines]


def test_a_tree_branches_where_two_outlets_are_fed_from_one() -> None:
    assert _lines(A="panel", B="A", C="B", D="A", E="panel") == [
        "├─ A",
        "│  ├─ B",
        "│  │  └─ C",
        "│  └─ D",
        "└─ E",
    ]


def test_what_hangs_nowhere_comes_last_with_what_it_feeds() -> None:
    assert _lines(C="B", B="", A="panel", X="other") == ["└─ A", "B", "└─ C", "X"]


def test_a_ring_is_drawn_once() -> None:
    assert _lines(A="C", B="A", C="B") == ["A", "└─ B", "   └─ C"]
    assert _lines(A="A") == ["A"]
