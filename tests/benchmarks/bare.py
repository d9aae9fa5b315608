"""Bare apps of the same library to measure beside: `python -m tests.benchmarks.bare NAME`.

`form` is a form, `standing` a screen of a question that is filled anew after each key, `text` the
least that can be filled anew: one text.
"""

from __future__ import annotations

import sys
from typing import ClassVar

from textual import events
from textual.app import App, ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import VerticalScroll
from textual.content import Content
from textual.widgets import Footer, Input, Label, Static

FIELDS = 5
LINES = 18
VERDICTS = 10


class Form(App[None]):
    """A form of twelve widgets."""

    BINDINGS: ClassVar[list[BindingType]] = [Binding("f1", "quit", "Quit")]

    def compose(self) -> ComposeResult:
        yield Static("A bare form")
        for number in range(1, FIELDS + 1):
            yield Label(f"Field {number}")
            yield Input(compact=True)
        yield Footer()


class Standing(App[None]):
    """A screen with the parts of a question and of what is told, built once, filled with each key."""

    CSS = "#side { height: 10; }"
    BINDINGS: ClassVar[list[BindingType]] = [Binding("f1", "quit", "Quit")]

    def compose(self) -> ComposeResult:
        self._number = 0
        self._parts = {name: Static() for name in ("top", "where", "ask", "choices", "hints")}
        self._told = Static()
        yield from self._parts.values()
        with VerticalScroll(id="side"):
            yield self._told
        yield Footer()

    def on_mount(self) -> None:
        """Fill it for the first time."""
        self._fill()

    def on_key(self, event: events.Key) -> None:
        """Fill it anew."""
        event.stop()
        self._number += 1
        self._fill()

    def _fill(self) -> None:
        number = self._number
        texts = {
            "top": f"A house, screen {number}",
            "where": f"Outlet {number} in the kitchen, on circuit {number}",
            "ask": f"What is to be answered on screen {number}?",
            "choices": "\n".join(
                f" {line}  choice {line} of screen {number}, about as long as one"
                for line in range(8)
            ),
            "hints": f"?: cannot tell | Backspace: back to screen {number - 1}",
        }
        for name, text in texts.items():
            self._parts[name].update(text)
        self._told.update(
            "\n".join(f" !  verdict {line} of screen {number}, and why" for line in range(VERDICTS))
        )


class Text(App[None]):
    """One text that is another one after each key, drawn without laying out anything."""

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
    {"form": Form, "standing": Standing, "text": Text}[sys.argv[1]]().run()
