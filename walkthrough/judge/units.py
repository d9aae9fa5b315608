"""Which dwelling unit a thing belongs to, and which one supplies it: the words for it in rules."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from walkthrough.survey.model import Circuit, Outlet, Subject
from walkthrough.trade.wiring import Wiring


def providers(wiring: Wiring) -> Mapping[str, Callable[[Subject], bool | None]]:
    """The words on units, each with what tells it; of a lone dwelling all of them are false."""
    return {
        "in_unit": lambda each: bool(wiring.unit_of(each)),
        "in_common_area": lambda each: bool(wiring.session.units) and not wiring.unit_of(each),
        "fed_from_other_unit": lambda each: _is_fed_from_other_unit(wiring, each),
        "supplies_several_units": lambda each: _supplies_several(wiring, each),
    }


def _is_fed_from_other_unit(wiring: Wiring, outlet: Subject) -> bool | None:
    """Whether the circuit of an outlet starts at the panel of a unit that is not its own."""
    assert isinstance(outlet, Outlet)
    circuit = wiring.circuit_of(outlet)
    if circuit is None:
        return None
    return wiring.unit_of(circuit) not in ("", wiring.unit_of(outlet))


def _supplies_several(wiring: Wiring, circuit: Subject) -> bool:
    """Whether a circuit supplies outlets of several units, or of a unit and the common areas."""
    assert isinstance(circuit, Circuit)
    return len({wiring.unit_of(outlet) for outlet in wiring.on(circuit)}) > 1
