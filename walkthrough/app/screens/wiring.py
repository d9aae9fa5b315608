"""One circuit as a tree: what feeds what, how that is known, and the state of each outlet."""

from __future__ import annotations

from walkthrough.app.describe import MARKS, answer_in_words, state_of
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import ListScreen
from walkthrough.report.text import clean, joined
from walkthrough.survey.model import Circuit
from walkthrough.trade.drawing import Drawn, drawn

_SIDES = {"load": "on its LOAD", "line": "on its LINE", "through": ""}
_GROUNDS = {
    "opened": "box opened",
    "observed": "seen in a trip test",
    "inferred": "worked out",
    "told": "told",
    "unknown": "order not known",
}
_NOTHING = "No outlet is recorded on this circuit yet."


class WiringScreen(ListScreen):
    """Enter on an outlet goes to it."""

    def __init__(self, record: Record, circuit: Circuit) -> None:
        super().__init__(record)
        self._circuit = circuit

    def on_mount(self) -> None:
        """Draw the tree, and below it where tests and record cannot both be right."""
        reference = self.record.session.reference(self._circuit)
        serves = joined((clean(reference), clean(self._circuit.serves)))
        self.head(f"Wiring of circuit {serves}   Enter: go to an outlet")
        lines = drawn(self.record.house.wiring, self._circuit)
        rows = [(each.name, self._row(each)) for each in lines]
        here = {each.name for each in lines}
        for number, each in enumerate(self.record.judgement.contradictions):
            if each.outlet in here:
                told = f" ! tests and record contradict each other: {each.outlet}: {each.says}"
                rows.append((f"{each.outlet}:{number}", clean(told)))
        self.fill(rows or [("", _NOTHING)])

    def chosen(self, id: str) -> None:
        """Go to the outlet of the row."""
        outlet = self.record.session.outlet(id.partition(":")[0])
        if outlet is not None:
            self.dismiss((outlet, ""))

    def _row(self, each: Drawn) -> str:
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
        return f"{MARKS[state_of(self.record, outlet)]:>2} {each.branches}{clean(told)}"


def _loose(fed_from: str) -> str:
    return f"noted as fed from {fed_from}" if fed_from else "its feed is not known"
