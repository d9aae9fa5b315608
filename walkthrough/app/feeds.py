"""Which circuit a reference means, and what may feed what without running in a circle."""

from __future__ import annotations

from walkthrough.survey.model import PANEL, Circuit, Outlet, Panel, Session


def is_same_circuit(session: Session, one: str, other: str) -> bool:
    """Whether two references mean the same circuit: "C1" may also be written "P1/C1"."""
    circuit = session.circuit(one)
    return one == other or (circuit is not None and circuit is session.circuit(other))


def as_offered(session: Session, reference: str) -> str:
    """A reference written as the choices write it, however the record does."""
    circuit = session.circuit(reference)
    return session.reference(circuit) if circuit is not None else reference


def starts_below(session: Session, circuit: Circuit, panel: Panel) -> bool:
    """Whether a circuit starts at a panel, or at one that hangs on it."""
    here: Circuit | None = circuit
    seen: set[str] = set()
    while here is not None and here.panel not in seen:
        above = session.panel(here.panel)
        if above is panel:
            return True
        seen.add(here.panel)
        here = session.circuit(above.fed_from) if above is not None else None
    return False


def is_fed_through(session: Session, reference: str, outlet: Outlet) -> bool:
    """Whether what is called so is an outlet itself, or gets its feed through it."""
    here, seen = reference, {session.reference(outlet)}
    while here not in ("", PANEL):
        if here in seen:
            return True
        seen.add(here)
        above = session.outlet(here)
        here = above.fed_from if above is not None else ""
    return False
