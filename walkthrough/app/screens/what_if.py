"""Try another device, breaker or ruleset, and see what would come out differently."""

from __future__ import annotations

import asyncio

from textual import work
from textual.app import ComposeResult
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer, Static

from walkthrough.app.describe import name_of
from walkthrough.app.judging import judged_in_steps
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import ListScreen
from walkthrough.app.what_if import Instead, outcome, ways
from walkthrough.app.widgets.rows import Rows
from walkthrough.judge.changes import HouseChange
from walkthrough.report.text import clean
from walkthrough.rulebook.problems import Unusable
from walkthrough.survey.model import Subject

_LEVELS = {"no": "nothing", "open": "open", "ask": "ask the AHJ", "yes": "deficient"}


class WhatIfScreen(ListScreen):
    """Enter on something to try tells what follows; nothing is written."""

    CSS = """
    WhatIfScreen OptionList { height: 2fr; }
    WhatIfScreen #follows { height: 3fr; border-top: solid $primary-darken-2; padding: 0 1; }
    """

    def __init__(self, record: Record, subject: Subject) -> None:
        super().__init__(record)
        self._subject = subject
        self._ways: list[Instead] = []

    def compose(self) -> ComposeResult:
        """What can be tried, and what follows from it."""
        yield Static(id="heading")
        yield Rows()
        with VerticalScroll(id="follows", can_focus=False):
            yield Static("Nothing of this is written into the record.")
        yield Footer()

    def on_mount(self) -> None:
        """List what can be tried."""
        self._ways = ways(self.record, self._subject)
        self.head(f"What if? Enter tries it: {name_of(self.record, self._subject)}")
        self.fill([(str(number), clean(each.label)) for number, each in enumerate(self._ways)])

    def chosen(self, id: str) -> None:
        """Tell what follows."""
        if id:
            self._tell([Content("Judging ...")])
            self._try(self._ways[int(id)])

    @work(exclusive=True)
    async def _try(self, instead: Instead) -> None:
        record = self.record
        # What is judged now is looked up here, so that the other thread only reads.
        if not record.is_judged and (judged := await judged_in_steps(record)) is not None:
            record.take_judgement(judged)
        try:
            found = await asyncio.to_thread(outcome, record, self._subject, instead)
        except Unusable as error:
            self._tell([Content(clean(str(error)))])
            return
        lines = [_line(each) for each in found]
        self._tell(lines or [Content("Nothing comes out differently.")])

    def _tell(self, lines: list[Content]) -> None:
        self.query_one("#follows Static", Static).update(Content("\n").join(lines))


def _line(change: HouseChange) -> Content:
    sections = ", ".join(change.verdict.decision.rule.declared.cite)
    turn = change.graded or f"{_LEVELS[change.was]} -> {_LEVELS[change.now]}"
    # What has to be read again at something new is no finding yet.
    whether = "not known yet whether: " if change.now == "open" and not change.graded else ""
    return Content(clean(f"{change.subject}: {turn}: {whether}{change.says} ({sections})"))
