"""What several dwelling units mean for a judgement: whose answers count, and what feeds whom."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any

from walkthrough.survey.model import Circuit, Outlet, Session, Subject
from walkthrough.trade.wiring import Wiring


def providers(wiring: Wiring) -> Mapping[str, Callable[[Subject], bool | None]]:
    """The words on units, each with what tells it; of a lone dwelling all of them are false."""
    return {
        "in_unit": lambda each: bool(wiring.unit_of(each)),
        "in_common_area": lambda each: bool(wiring.session.units) and not wiring.unit_of(each),
        "fed_from_other_unit": lambda each: _is_fed_from_other_unit(wiring, each),
        "supplies_several_units": lambda each: _supplies_several(wiring, each),
    }


def holders(session: Session, scope: str, above: Mapping[str, Subject]) -> tuple[Subject, ...]:
    """Whose answers count for a kind of subject: a unit goes before the whole building.

    `above` is a subject and what it belongs to, by kind.
    """
    if scope not in above:
        return ()
    own, building = above[scope], session.dwelling
    return (own, building) if scope == building.of and own is not building else (own,)


def answer_at(session: Session, scope: str, word: str, above: Mapping[str, Subject]) -> Any:
    """The answer that a kind of subject gives; None where there is none."""
    answers = (each.answer(word) for each in holders(session, scope, above))
    return next((answer for answer in answers if answer is not None), None)


def asked_at(session: Session, scope: str, word: str, above: Mapping[str, Subject]) -> Subject:
    """Where a question is put: to the building, for all units, unless it could not be told."""
    own, *wider = holders(session, scope, above)
    return next((each for each in wider if word not in each.cannot_tell), own)


def _is_fed_from_other_unit(wiring: Wiring, outlet: Subject) -> bool | None:
    """Whether the circuit of an outlet comes from or through the panel of another unit."""
    assert isinstance(outlet, Outlet)
    circuit = wiring.circuit_of(outlet)
    if circuit is None:
        return None
    own = ("", wiring.unit_of(outlet))
    return any(wiring.unit_of(each) not in own for each in wiring.feeders(circuit))


def _supplies_several(wiring: Wiring, circuit: Subject) -> bool:
    """Whether a circuit supplies outlets of several units, or of a unit and the common areas."""
    assert isinstance(circuit, Circuit)
    return len({wiring.unit_of(outlet) for outlet in wiring.on(circuit)}) > 1
