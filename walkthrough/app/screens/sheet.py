"""A sheet: one question per line, and below it what follows from all of them."""

from __future__ import annotations

import textwrap
from abc import abstractmethod
from collections.abc import Iterable, Sequence
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
from walkthrough.app.record import Record
from walkthrough.app.sheet import Line, last_prompt, line_prompt, makes_sense
from walkthrough.app.widgets.question_box import QuestionBox
from walkthrough.report.text import clean
from walkthrough.survey.model import AnswerValue, Subject

_ROWS_BELOW = 9
"""Lines kept for what follows from the answers."""
_BESIDE = 3
"""Columns that its text has not: the padding, and the bar that scrolls it."""


class SheetScreen(Screen[None]):
    """Enter skips a line; each answer is on disk before the next line is there."""

    CSS = """
    #heading { height: 1; padding: 0 1; text-style: bold; background: $surface;
               text-wrap: nowrap; text-overflow: ellipsis; }
    #found { height: 1fr; min-height: 3; border-top: solid $primary-darken-2;
             padding: 0 1; scrollbar-size-vertical: 1; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("up", "line(-1)", "Line before", show=False),
        Binding("down", "line(1)", "Next line"),
        Binding("end", "last", "Last line"),
        Binding("f1", "full_help", "Help"),
        Binding("pagedown", "scroll(1)", "Scroll", show=False),
        Binding("pageup", "scroll(-1)", "Scroll up", show=False),
        Binding("escape", "back", "Leave"),
    ]
    about: ClassVar[str]
    """What the sheet holds, as its heading says it."""

    def __init__(self, record: Record, subject: Subject, lines: Sequence[Line]) -> None:
        super().__init__()
        self.record = record
        self._subject = subject
        self._lines = lines
        self._here = 0

    @abstractmethod
    def told(self) -> Iterable[str]:
        """What follows from the answers, in lines, the most pressing first."""

    def slip(self, line: Line, value: AnswerValue) -> str:  # noqa: ARG002
        """What is wrong with an answer beyond what its question can tell; "" if nothing is."""
        return ""

    def prompt_of(self, line: Line) -> Prompt:
        """What a line asks."""
        return line_prompt(self.record, line)

    def last(self) -> Prompt:
        """What stands after the last line."""
        return last_prompt()

    def ends(self, reply: Reply) -> None:  # noqa: ARG002
        """The last prompt was answered."""
        self.action_back()

    @property
    def word(self) -> str:
        """The question of the line in view, "" after the last one."""
        return self._lines[self._here].word if self._here < len(self._lines) else ""

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

    def on_resize(self) -> None:
        """Wrap to the new width."""
        self._show_found()

    def on_question_box_replied(self, message: QuestionBox.Replied) -> None:
        """Keep an answer, and go on to the next line."""
        message.stop()
        if isinstance(message.reply, StepBack):
            self.action_line(-1)
        elif self._here >= len(self._lines):
            self.ends(message.reply)
        elif wrong := self._keep(self._lines[self._here], message.reply):
            message.box.say(clean(wrong))
        else:
            self.action_line(1)

    def _keep(self, line: Line, reply: Reply) -> str:
        """Save what was answered; returns what is wrong with it, "" if nothing is."""
        held = line.subject.answer(line.word)
        match reply:
            case Given("") if self.record.question(line.word).kind == "text" and held is not None:
                # What stood there was wiped out.
                self.record.forget(line.subject, line.word)
            case Given(value) if value not in ("", held):
                if wrong := self.slip(line, value):
                    return wrong
                self.record.answer(line.subject, line.word, value)
            case CannotTell() if held is not None:
                self.record.forget(line.subject, line.word)
        return ""

    def action_line(self, by: int) -> None:
        """Another line that makes sense as things stand; before the first one the sheet ends."""
        here = self._here + by
        while 0 <= here < len(self._lines) and not makes_sense(self.record, self._lines[here]):
            here += by
        if here < 0:
            self.action_back()
            return
        self._here = min(here, len(self._lines))
        self._show()

    def action_last(self) -> None:
        """What stands after the last line."""
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
        """Back to the walk; what was told is kept."""
        self.dismiss(None)

    def _prompt(self) -> Prompt:
        if self._here >= len(self._lines):
            return self.last()
        return self.prompt_of(self._lines[self._here])

    def _show(self) -> None:
        saved = "saved" if self.record.saved else f"NOT SAVED: {clean(self.record.problem)}"
        number = min(self._here + 1, len(self._lines))
        place = f"line {number} of {len(self._lines)}" if self._here < len(self._lines) else "last"
        name = name_of(self.record, self._subject)
        title = f"[{saved}]  {self.about} of {name}, {place}: Enter skips"
        self.query_one("#heading", Static).update(Content(title))
        self.query_one(QuestionBox).put(self._prompt())
        self._show_found()
        self.query_one("#found", VerticalScroll).scroll_home(animate=False)

    def _show_found(self) -> None:
        width = max(self.size.width - _BESIDE, 20)
        lines = (each for line in self.told() for each in _wrapped(clean(line), width))
        self.query_one("#found Static", Static).update(Content("\n".join(lines)))


def _wrapped(line: str, width: int) -> list[str]:
    """A line with what does not fit set in below; one that fits is left as it is drawn."""
    if len(line) <= width:
        return [line]
    first = line[: len(line) - len(line.lstrip())]
    return textwrap.wrap(line, width, subsequent_indent=first + " " * 4)
