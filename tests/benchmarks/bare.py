"""Bare apps of the same library to measure beside: `python -m tests.benchmarks.bare form|refill`."""

from __future__ import annotations

import sys
from typing import ClassVar

from textual import events
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.content import Content
from textual.widgets import Footer, Input, Label, Static

FIELDS = 5
LINES = 18


class Form(App[None]):
    """A form of twelve widgets."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f1", "quit", "Quit")]

    def compose(self) -> ComposeResult:
        yield Static("A bare form")
        for number in range(1, FIELDS + 1):
            yield Label(f"Field {number}")
            yield Input(compact=True)
        yield Footer()


class Refill(App[None]):
    """One standing screen whose text is another one after each key."""

    def compose(self) -> ComposeResult:
        self._number = 0
        self._text = Static(self._filled())
        yield self._text

    def _filled(self) -> Content:
        lines = [
            f"{line:2}  one line of screen {self._number}, about as long as a question"
            for line in range(LINES)
        ]
        return Content("\n").join(Content(each) for each in lines)

    def on_key(self, event: events.Key) -> None:
        """Fill it anew."""
        event.stop()
        self._number += 1
        self._text.update(self._filled(), layout=False)


if __name__ == "__main__":
    {"form": Form, "refill": Refill}[sys.argv[1]]().run()
