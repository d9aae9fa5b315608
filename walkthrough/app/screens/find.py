"""Search over the whole record: places, answers, notes, what is open, deficiencies."""

from __future__ import annotations

from textual import events

from walkthrough.app.describe import name_of
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import ListScreen
from walkthrough.app.search import Line, lines_of, matching
from walkthrough.report.text import clean

_SHOWN = 300
_LOOKING = "Looking through the record ..."


class FindScreen(ListScreen):
    """Typing narrows the list down; Enter goes to the place, or to that very question."""

    def __init__(self, record: Record) -> None:
        super().__init__(record)
        self._lines: list[Line] = []
        self._found: list[Line] = []
        self._sought = ""

    def on_mount(self) -> None:
        """List all, once the screen is there: to judge a changed record takes a moment."""
        self.head(_LOOKING)
        self.call_after_refresh(self._gather)

    def on_key(self, event: events.Key) -> None:
        """Typing narrows the list down."""
        if event.key == "backspace":
            self._sought = self._sought[:-1]
        elif event.character is not None and event.is_printable:
            self._sought += event.character
        else:
            return
        event.stop()
        self._list()

    def chosen(self, id: str) -> None:
        """Go there."""
        if id:
            line = self._found[int(id)]
            self.dismiss((line.subject, line.prompt))

    def _gather(self) -> None:
        self._lines = lines_of(self.record)
        self._list()

    def _list(self) -> None:
        self._found = matching(self.record, self._lines, self._sought)
        count, shown = len(self._found), self._found[:_SHOWN]
        typed = f"'{clean(self._sought)}'" if self._sought else "type words to find"
        told = (
            f"{count} line{'s' * (count != 1)}"
            if count <= _SHOWN
            else f"the first {_SHOWN} of {count} lines"
        )
        self.head(f"Find ({typed}): {told}. Enter: go there")
        self.fill(
            [
                (str(number), f"{name_of(self.record, each.subject)}: {each.text}")
                for number, each in enumerate(shown)
            ]
        )
