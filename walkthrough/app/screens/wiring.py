"""One circuit as a tree: what feeds what, how that is known, and what trip tests show of it."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType

from walkthrough.app import shown
from walkthrough.app.describe import MARKS, answer_in_words, state_of
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import ListScreen
from walkthrough.report.text import clean, joined
from walkthrough.survey.model import Circuit
from walkthrough.trade.drawing import Drawn, drawn
from walkthrough.trade.trip_tests import Order, inferred

_SIDES = {"load": "on its LOAD", "line": "on its LINE", "through": ""}
_GROUNDS = {
    "opened": "box opened",
    "observed": "seen in a trip test",
    "inferred": "worked out",
    "told": "told",
    "unknown": "order not known",
}
_NOTHING = "No outlet is recorded on this circuit yet."
_BESIDE = 84
"""The column of what tests show, where there is room for it beside the tree."""
_ROOM_BESIDE = 30


class WiringScreen(ListScreen):
    """Enter on an outlet goes to it."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("t", "take_over", "Take over what follows"),
    ]

    def __init__(self, record: Record, circuit: Circuit) -> None:
        super().__init__(record)
        self._circuit = circuit
        self._offers: list[Order] = []

    def on_mount(self) -> None:
        """Draw the tree, and below it what tests show and where they and the record disagree."""
        reference = self.record.session.reference(self._circuit)
        serves = joined((clean(reference), clean(self._circuit.serves)))
        self.head(f"Wiring of circuit {serves}   Enter: go to an outlet")
        self._list()

    def check_action(self, action: str, parameters: tuple[object, ...]) -> bool | None:  # noqa: ARG002
        """Only what follows from the tests can be taken over."""
        return action != "take_over" or bool(self._offers)

    def action_take_over(self) -> None:
        """Put what follows from the tests into the record."""
        shown.take_over(self.record, self._offers)
        self._list()
        self.head("Taken over as worked out." if self.record.saved else "Not saved.")

    def chosen(self, id: str) -> None:
        """Go to the outlet of the row."""
        outlet = self.record.session.outlet(id.partition("\n")[0])
        if outlet is not None:
            self.dismiss((outlet, ""))

    def _list(self) -> None:
        house = self.record.house
        told = inferred(house.tracer, self._circuit)
        self._offers = shown.offers(self.record, self._circuit, told)
        self.refresh_bindings()
        places = {place.outlet: shown.beside(told, place) for place in told.places if told.faces}
        lines = drawn(house.wiring, self._circuit)
        rows = [(each.name, self._row(each, places)) for each in lines]
        here = {each.name for each in lines}
        below = [
            (each.outlet, f" ! tests and record contradict each other: {each.outlet}: {each.says}")
            for each in self.record.judgement.contradictions
            if each.outlet in here
        ]
        below += [
            (house.wiring.name(each.outlet), f" > {shown.offer_in_words(self.record, each)}")
            for each in self._offers
        ]
        below += [(id, f" {line}") for id, line in shown.in_lines(told)]
        # A name has no line break, so that rows of one outlet can be told apart by what follows it.
        rows += [(f"{id}\n{number}", clean(line)) for number, (id, line) in enumerate(below)]
        self.fill(rows or [("", _NOTHING)])

    def _row(self, each: Drawn, places: dict[str, str]) -> str:
        outlet = each.outlet
        kind = outlet.answer("device")
        told = joined(
            (
                each.name,
                _SIDES[outlet.side],
                outlet.at,
                "" if kind is None else answer_in_words(self.record, "device", kind),
                "" if each.branches else _loose(outlet.fed_from),
                _GROUNDS[outlet.order_known_by] if outlet.fed_from else "",
            )
        )
        row = f"{MARKS[state_of(self.record, outlet)]:>2} {each.branches}{clean(told)}"
        if self.app.size.width < _BESIDE + _ROOM_BESIDE or each.name not in places:
            return row
        return f"{row:<{_BESIDE}}{clean(places[each.name])}"


def _loose(fed_from: str) -> str:
    return f"noted as fed from {fed_from}" if fed_from else "its feed is not known"
