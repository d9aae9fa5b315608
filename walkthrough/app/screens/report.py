"""Writes a report: for whom, in which form, into which folder; and says where it was written."""

from __future__ import annotations

import asyncio
from collections.abc import Callable
from pathlib import Path
from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Footer, Input, Static

from walkthrough.app.record import Record
from walkthrough.app.reporting import FORMS, Asked, write_report
from walkthrough.app.screens.choose_file import ChooseFileScreen
from walkthrough.app.screens.listing import ListScreen
from walkthrough.app.widgets.rows import Rows
from walkthrough.app.wished import Wished
from walkthrough.remedy.load import load_actions
from walkthrough.remedy.prices import load_prices
from walkthrough.report.beside import firm_files, price_files
from walkthrough.report.firm import load_firm
from walkthrough.report.text import clean
from walkthrough.report.words import READERS
from walkthrough.rulebook.problems import Unusable


class ReportScreen(ListScreen):
    """A row for each reader; Enter, or its number, writes the report."""

    CSS = """
    ReportScreen OptionList { height: auto; }
    ReportScreen Input { display: none; }
    ReportScreen.-where Input { display: block; }
    ReportScreen #told { height: 1fr; padding: 1 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        *(
            Binding(str(number), f"write('{reader}')", f"Write {READERS[reader]}", show=False)
            for number, reader in enumerate(READERS, 1)
        ),
        Binding("f", "form", "Form"),
        Binding("w", "where", "Where to"),
        Binding("n", "firm", "Name of a firm"),
        Binding("p", "prices", "Prices"),
    ]

    def __init__(self, record: Record, wished: Wished) -> None:
        super().__init__(record)
        self._wished = wished
        self._form = FORMS[0]
        self._folder = record.path.resolve().parent
        self._told: dict[str, str] = {}
        """What became of each report that was asked for, by its reader."""

    def compose(self) -> ComposeResult:
        """Heading, list, a line for the folder, what was written, footer."""
        yield Static(id="heading")
        yield Rows()
        yield Input(placeholder="a folder that is there", id="folder")
        yield Static(id="told")
        yield Footer()

    def on_mount(self) -> None:
        """Say for whom a report can be."""
        self._list()

    def on_input_submitted(self, event: Input.Submitted) -> None:
        """Take the folder that was typed, where it is one."""
        event.stop()
        typed = Path(event.value.strip()).expanduser()
        # What is typed begins where the record is.
        folder = self.record.path.resolve().parent / typed
        if not folder.is_dir():
            self.notify(f"{typed} is no folder; expected one that is there", markup=False)
            return
        self._folder = folder.resolve()
        self._close_input()

    def action_back(self) -> None:
        """Leave the line for the folder, or the screen."""
        if self.has_class("-where"):
            self._close_input()
        else:
            super().action_back()

    def action_form(self) -> None:
        """A page for a browser, or a PDF."""
        self._form = FORMS[(FORMS.index(self._form) + 1) % len(FORMS)]
        self._list()

    def action_where(self) -> None:
        """Say into which folder."""
        self.add_class("-where")
        line = self.query_one(Input)
        line.value = str(self._folder)
        line.focus()

    def action_firm(self) -> None:
        """Say whose name stands at its head."""

        def take(path: Path | bool | None) -> None:
            if not isinstance(path, bool):
                self._wished.firm = path
            self._list()

        found, now = firm_files(self.record.path), self._wished.firm
        self._choose("Whose name stands at the head", "No firm", found, now, load_firm, take)

    def action_prices(self) -> None:
        """Say by which prices work is counted."""

        def read(path: Path) -> object:
            return load_prices(path, load_actions(self.record.book).codes)

        def take(path: Path | bool | None) -> None:
            if not isinstance(path, bool):
                self._wished.prices = path
            self._list()

        found, now = price_files(self.record.path), self._wished.prices
        self._choose("By which prices work is counted", _SHIPPED, found, now, read, take)

    def _choose(
        self,
        title: str,
        none: str,
        found: list[Path],
        now: Path | None,
        read: Callable[[Path], object],
        take: Callable[[Path | bool | None], None],
    ) -> None:
        folder = self.record.path.absolute().parent
        self.app.push_screen(ChooseFileScreen(title, none, found, now, folder, read), take)

    def action_write(self, reader: str) -> None:
        """Write the report for one reader; one goes on meanwhile."""
        if self._told.get(reader) == _WRITING:
            return
        self._told[reader] = _WRITING
        self._list(reader)
        asked = self._asked(reader)
        # It belongs to the app: who goes back to the walk is told there where it was written.
        self.app.run_worker(self._write(asked), group=f"report {reader}")

    def chosen(self, id: str) -> None:
        """Write the report of the row."""
        self.action_write(id)

    async def _write(self, asked: Asked) -> None:
        record = self.record
        # A copy: the record may be changed while the other thread reads.
        session = record.session.model_copy(deep=True)
        try:
            path = await asyncio.to_thread(
                write_report, asked, session, record.books, record.editions
            )
        except Unusable as error:
            told = f"Not written: {error}"
        else:
            told = f"Written: {path}"
            if path != asked.path:
                told += f"\n  {asked.path.name} is there already, made otherwise: it stays"
        self._told[asked.reader] = told
        if self.is_current:
            self._list()
        else:
            self.app.notify(clean(told), markup=False, timeout=_SECONDS_TO_READ)

    def _list(self, at: str = "") -> None:
        self.head(f"Write a report, {self._form.upper()}, into {clean(str(self._folder))}")
        rows = []
        for number, (reader, said) in enumerate(READERS.items(), 1):
            path = self._asked(reader).path
            rows.append((reader, f"{number} {said}: {clean(path.name)}"))
        self.fill(rows, at or self.highlighted)
        lines = [clean(line) for told in self._told.values() for line in told.splitlines()]
        wished = self._wished
        chosen = [
            f"n: name at its head: {self._told_file(wished.firm) or 'none'}",
            f"p: prices: {self._told_file(wished.prices) or _SHIPPED}"
            + (f"; {wished.unused}" if wished.unused else ""),
        ]
        about = [*lines, *([""] if lines else []), *chosen, *_ABOUT]
        self.query_one("#told", Static).update(Content("\n").join(map(Content, about)))

    def _told_file(self, path: Path | None) -> str:
        """A file, by its path where it does not lie beside the record; "" for none."""
        if path is None:
            return ""
        is_beside = path.parent == self.record.path.absolute().parent
        return clean(path.name if is_beside else str(path))

    def _asked(self, reader: str) -> Asked:
        wished = self._wished
        path = self.record.path
        return Asked(path, reader, self._form, self._folder, wished.firm, wished.prices)

    def _close_input(self) -> None:
        self.remove_class("-where")
        self._list()


_SHIPPED = "those of the command: your prices-demo.toml, else the round figures shipped"
_SECONDS_TO_READ = 20
_WRITING = "Being written ..."
_ABOUT = (
    "A report that was written like this before is replaced. A file that somebody made or changed "
    "stays: the report then has a number in its name.",
    "f: a page for a browser (HTML) or a PDF. w: another folder.",
)
