"""The panel schedule: every circuit on one line, with what was found on it."""

from __future__ import annotations

import textwrap
from collections import Counter
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.coordinate import Coordinate
from textual.screen import Screen
from textual.widgets import DataTable, Footer, Static

from walkthrough.app.describe import MARKS, state_of_all
from walkthrough.app.new_prompts import NEW
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import Chosen
from walkthrough.app.screens.wiring import WiringScreen
from walkthrough.app.widgets.rows import IN_HAND, OTHER
from walkthrough.report.text import clean
from walkthrough.survey.model import Circuit, Subject

_WORDS = ("breaker", "breaker_amps", "conductor")
_COLUMNS = (("", 4), ("Id", 6), ("Breaker", 13), ("A", 3), ("Wire", 6), ("Serves", 24))
_COUNTS = (("Out", 3), ("Def", 3))
_ID_WIDTH, _SERVES_WIDTH = dict(_COLUMNS)["Id"], dict(_COLUMNS)["Serves"]
_MOST_FOR_IDS = 8


class CircuitsScreen(Screen[Chosen]):
    """Choose a circuit to go on with, or add one, or a panel."""

    CSS = """
    CircuitsScreen #heading { height: 1; padding: 0 1; text-style: bold; background: $surface;
                            text-wrap: nowrap; text-overflow: ellipsis; }
    CircuitsScreen DataTable { height: 1fr; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("a", "add", "Add a circuit"),
        Binding("p", "panel", "Add a panel"),
        Binding("w", "wiring", "Wiring"),
        Binding("escape", "back", "Back"),
    ]

    def __init__(self, record: Record) -> None:
        super().__init__()
        self.record = record
        self._rows: list[Subject] = []
        self._marks: list[str] = []
        self._in_hand = 0
        self._serves = _SERVES_WIDTH

    def compose(self) -> ComposeResult:
        """Heading, table, footer."""
        yield Static(id="heading")
        yield DataTable(cursor_type="row", zebra_stripes=False)
        yield Footer()

    def on_mount(self) -> None:
        """Fill the table."""
        self.query_one("#heading", Static).update(
            Content("Panel schedule   Enter: questions   Out: outlets   Def, !: with its outlets")
        )
        session = self.record.session
        references = session.references(session.circuits)
        # Names with their unit are longer; what is over goes to the column whose text is longest.
        longest = max(map(len, references), default=0)
        more = min(max(longest - _ID_WIDTH, 0), _MOST_FOR_IDS)
        self._serves = _SERVES_WIDTH + max(self.app.size.width - 80, 0) - more
        widths = {"Id": _ID_WIDTH + more, "Serves": self._serves}
        table: DataTable[Content] = self.query_one(DataTable)
        for name, width in (*_COLUMNS, *_COUNTS):
            table.add_column(name, width=widths.get(name, width))
        for whole in (session.dwelling, *session.units):
            here = [
                each for each in session.circuits if session.unit_of(each) == session.unit_of(whole)
            ]
            if session.units and here:
                self._row(whole, "", [""] * 4, session.home(whole), ("", ""))
            self._list(here)
        table.focus()

    def _list(self, circuits: list[Circuit]) -> None:
        told = (each.finding for each in self.record.judged.findings)
        found = Counter((each.of, each.subject) for each in told)
        wiring = self.record.house.wiring
        for each in circuits:
            reference = wiring.name(each)
            cells = [reference, *(clean(_word(each, word)) for word in _WORDS)]
            outlets = wiring.on(each)
            at_outlets = sum(found["outlet", wiring.name(outlet)] for outlet in outlets)
            count = found["circuit", reference] + at_outlets
            mark = MARKS["deficient" if count else state_of_all(self.record, each, outlets)]
            self._row(each, mark, cells, each.serves, (str(len(outlets)), str(count or "")))

    def _row(
        self, subject: Subject, mark: str, cells: list[str], text: str, counts: tuple[str, str]
    ) -> None:
        # Where a text is long the row takes a second line, so that nothing is cut.
        wrapped = textwrap.wrap(clean(text), self._serves) or [""]
        row = [Content(cell) for cell in (f"  {mark}", *cells, "\n".join(wrapped), *counts)]
        self.query_one(DataTable).add_row(*row, height=len(wrapped))
        self._rows.append(subject)
        self._marks.append(mark)

    def on_data_table_row_highlighted(self, event: DataTable.RowHighlighted) -> None:
        """Put the sign before the row in hand: no meaning hangs on colour alone."""
        event.stop()
        # A click on the head of the table, or an empty table, leaves no row in hand.
        rows = range(len(self._marks))
        for row, sign in ((self._in_hand, OTHER), (event.cursor_row, IN_HAND)):
            if row in rows:
                mark = Content(f"{sign}{self._marks[row]}")
                event.data_table.update_cell_at(Coordinate(row, 0), mark)
        self._in_hand = event.cursor_row

    def on_data_table_row_selected(self, event: DataTable.RowSelected) -> None:
        """Enter on a row."""
        event.stop()
        self.dismiss((self._rows[event.cursor_row], ""))

    def action_add(self) -> None:
        """A new circuit in the panel of the highlighted one."""
        if self.record.session.panels:
            self.dismiss((self._near(), NEW + "circuit"))
        else:
            self.dismiss((self.record.session.dwelling, NEW + "panel"))

    def action_panel(self) -> None:
        """A new panel where the highlighted circuit is."""
        self.dismiss((self._near(), NEW + "panel"))

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
        row = self.query_one(DataTable).cursor_row
        return self._rows[row] if row < len(self._rows) else self.record.session.dwelling


def _word(circuit: Circuit, word: str) -> str:
    value = circuit.answer(word)
    return "" if value is None else str(value).replace("_", " ")
