"""The readings sheet: one reading per line, and below it what they leave possible."""

from __future__ import annotations

from collections.abc import Iterable
from typing import ClassVar

from textual.binding import Binding, BindingType

from walkthrough.app.keys import Given, Reply
from walkthrough.app.prompt import Prompt
from walkthrough.app.readings import TESTER, lines_of, reading_prompt, take_prompt, told
from walkthrough.app.record import Record
from walkthrough.app.screens.sheet import SheetScreen
from walkthrough.app.sheet import Line
from walkthrough.survey.model import Outlet


class ReadingsScreen(SheetScreen):
    """A diagnosis is taken over in the last line, and only on a word."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("end", "last", "Take over")]
    about = "Readings"

    def __init__(self, record: Record, outlet: Outlet) -> None:
        super().__init__(record, outlet, lines_of(record, outlet))
        self._outlet = outlet

    def told(self) -> Iterable[str]:
        """What the readings leave possible."""
        return told(self.record, self._outlet)

    def prompt_of(self, line: Line) -> Prompt:
        """A line, with what the tester's answer lets expect."""
        return reading_prompt(self.record, line)

    def last(self) -> Prompt:
        """Offers to take a diagnosis over."""
        return take_prompt(self.record, self._outlet)

    def ends(self, reply: Reply) -> None:
        """Take over what was chosen."""
        if isinstance(reply, Given) and reply.value:
            self.record.answer(self._outlet, TESTER, reply.value)
        self.action_back()
