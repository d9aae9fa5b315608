"""The panel schedule: every circuit on one line, with what was found on it."""

from __future__ import annotations

import textwrap
from collections import Counter
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.screen import Screen
from textual.widgets import DataTable, Footer, Static

from walkthrough.app.add import NEW
from walkthrough.app.describe import MARKS, state_of
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import Chosen
from walkthrough.app.screens.wiring import WiringScreen
from walkthrough.report.text import clean
from walkthrough.survey.model import Circuit, Subject

_WORDS = ("breaker", "breaker_amps", "conductor")
_COLUMNS = (("", 2), ("Id", 6), ("Breaker", 13), ("A", 3), ("Wire", 6), ("Serves", 26))
_COUNTS = (("Out", 3), ("Def", 3))


class CircuitsScreen(Screen[Chosen]):
    """Choose a circuit to go on with, or add one."""

    CSS = """
    CircuitsScreen #heading { height: 1; padding: 0 1; text-style: bold; background: $surface;
                            text-wrap: nowrap; text-overflow: ellipsis; }
    CircuitsScreen DataTable { height: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "add", "Add a circuit"),
        Binding("w", "wiring", "Wiring"),
        Binding("escape", "back", "Back"),
    ]

    def __init__(self, record: Record) -> None:
        super().__init__()
        self.record = record

    def compose(self) -> ComposeResult:
        """Heading, table, footer."""
        yield Static(id="heading")
        yield DataTable(cursor_type="row", zebra_stripes=False)
        yield Footer()

    def on_mount(self) -> None:
        """Fill the table."""
        session, judged = self.record.session, self.record.judged
        told = (each.finding for each in judged.findings)
        found = Counter(each.subject for each in told if each.of == "circuit")
        wiring = self.record.house.wiring
        self.query_one("#heading", Static).update(
            Content("Panel schedule   Enter: its questions   Out: outlets  Def: deficiencies")
        )
        table: DataTable[Content] = self.query_one(DataTable)
        # What is over goes to the column whose text is longest.
        spare = max(self.app.size.width - 80, 0)
        for name, width in (*_COLUMNS, *_COUNTS):
            table.add_column(name, width=width + (spare if name == "Serves" else 0))
        for each in session.circuits:
            reference = session.reference(each)
            cells = [MARKS[state_of(self.record, each)], reference]
            cells += [clean(_word(each, word)) for word in _WORDS]
            cells += ["", str(len(wiring.on(each))), str(found[reference] or "")]
            # Where a text is long the row takes a second line, so that nothing is cut.
            wrapped = textwrap.wrap(clean(each.serves), 26 + spare) or [""]
            cells[5] = "\n".join(wrapped)
            row = [Content(cell) for cell in cells]
            table.add_row(*row, key=reference, height=len(wrapped))
        table.focus()

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        """Enter on a row."""
        event.stop()
        self.dismiss((self.record.house.subjects["circuit", str(event.row_key.value)], ""))

    def action_add(self) -> None:
        """A new circuit in the panel of the highlighted one."""
        if self.record.session.panels:
            self.dismiss((self._near(), NEW + "circuit"))
        else:
            self.dismiss((self.record.session.dwelling, NEW + "panel"))

    def action_wiring(self) -> None:
        """The highlighted circuit drawn as a tree."""
        near = self._near()
        if isinstance(near, Circuit):
            self.app.push_screen(WiringScreen(self.record, near), self._go_on)

    def _go_on(self, chosen: Chosen) -> None:
        if chosen is not None:
            self.dismiss(chosen)

    def action_back(self) -> None:
        """Back to the walk."""
        self.dismiss(None)

    def _near(self) -> Subject:
        circuits, row = self.record.session.circuits, self.query_one(DataTable).cursor_row
        if circuits and row < len(circuits):
            return circuits[row]
        return self.record.session.panels[-1]


def _word(circuit: Circuit, word: str) -> str:
    value = circuit.answer(word)
    return "" if value is None else str(value).replace("_", " ")
