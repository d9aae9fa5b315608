"""The readings sheet: one reading per line, and below it what they leave possible."""

from __future__ import annotations

from typing import ClassVar

from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.screen import Screen
from textual.widgets import Footer, Static

from walkthrough.app.describe import name_of
from walkthrough.app.keys import CannotTell, Given, Reply, StepBack
from walkthrough.app.prompt import Prompt
from walkthrough.app.readings import TAKE, TESTER, line_prompt, lines_of, take_prompt, told
from walkthrough.app.record import Record
from walkthrough.app.widgets.question_box import QuestionBox
from walkthrough.report.text import clean
from walkthrough.survey.model import Outlet

_ROWS_BELOW = 9
"""Lines kept for what the readings leave possible."""


class ReadingsScreen(Screen[None]):
    """Enter skips a line; each reading is on disk before the next line is there."""

    CSS = """
    ReadingsScreen #heading { height: 1; padding: 0 1; text-style: bold; background: $surface;
                              text-wrap: nowrap; text-overflow: ellipsis; }
    ReadingsScreen #found { height: 1fr; min-height: 3; border-top: solid $primary-darken-2;
                            padding: 0 1; scrollbar-size-vertical: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "line(-1)", "Line before", show=False),
        Binding("down", "line(1)", "Next line"),
        Binding("end", "last", "Take over"),
        Binding("f1", "full_help", "Help"),
        Binding("pagedown", "scroll(1)", "Scroll", show=False),
        Binding("pageup", "scroll(-1)", "Scroll up", show=False),
        Binding("escape", "back", "Leave"),
    ]

    def __init__(self, record: Record, outlet: Outlet) -> None:
        super().__init__()
        self.record = record
        self._outlet = outlet
        self._lines = lines_of(record, outlet)
        self._here = 0

    def compose(self) -> ComposeResult:
        """The line, and what follows from all of them."""
        yield Static(id="heading")
        yield QuestionBox(self._prompt())
        with VerticalScroll(id="found", can_focus=False):
            yield Static()
        yield Footer()

    def on_mount(self) -> None:
        """Begin with the first line."""
        self.query_one(QuestionBox).lines_free = self.size.height - _ROWS_BELOW
        self._show()
        self.query_one(QuestionBox).focus()

    def on_question_box_replied(self, message: QuestionBox.Replied) -> None:
        """Keep a reading, and go on to the next line."""
        message.stop()
        if message.prompt.id == TAKE:
            self._take(message.reply)
            return
        line = self._lines[self._here]
        held = line.subject.answer(line.word)
        match message.reply:
            case StepBack():
                self.action_line(-1)
                return
            case Given(value) if value not in ("", held):
                self.record.answer(line.subject, line.word, value)
            case CannotTell() if held is not None:
                self.record.forget(line.subject, line.word)
        self.action_line(1)

    def action_line(self, by: int) -> None:
        """Another line; before the first one the sheet ends."""
        if self._here + by < 0:
            self.action_back()
            return
        self._here = min(self._here + by, len(self._lines))
        self._show()

    def action_last(self) -> None:
        """The last line, which takes a diagnosis over."""
        self._here = len(self._lines)
        self._show()

    def action_full_help(self) -> None:
        """All of the help of the line."""
        self.query_one(QuestionBox).toggle_help()

    def action_scroll(self, by: int) -> None:
        """What does not fit at once."""
        found = self.query_one("#found", VerticalScroll)
        found.scroll_relative(y=by * max(found.size.height - 1, 1), animate=False)

    def action_back(self) -> None:
        """Back to the walk; what was read is kept."""
        self.dismiss(None)

    def _take(self, reply: Reply) -> None:
        if isinstance(reply, StepBack):
            self.action_line(-1)
            return
        if isinstance(reply, Given) and reply.value:
            self.record.answer(self._outlet, TESTER, reply.value)
        self.action_back()

    def _prompt(self) -> Prompt:
        if self._here >= len(self._lines):
            return take_prompt(self.record, self._outlet)
        return line_prompt(self.record, self._lines[self._here])

    def _show(self) -> None:
        saved = "saved" if self.record.saved else f"NOT SAVED: {clean(self.record.problem)}"
        number = min(self._here + 1, len(self._lines))
        place = f"line {number} of {len(self._lines)}" if self._here < len(self._lines) else "last"
        title = f"[{saved}]  Readings of {name_of(self.record, self._outlet)}, {place}: Enter skips"
        self.query_one("#heading", Static).update(Content(title))
        self.query_one(QuestionBox).put(self._prompt())
        lines = (Content(clean(each)) for each in told(self.record, self._outlet))
        self.query_one("#found Static", Static).update(Content("\n").join(lines))
        self.query_one("#found", VerticalScroll).scroll_home(animate=False)
