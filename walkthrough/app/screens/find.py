"""Search over the whole record: places, answers, notes, what is open, deficiencies."""

from __future__ import annotations

from walkthrough.app.describe import name_of
from walkthrough.app.record import Record
from walkthrough.app.screens.listing import NarrowedScreen
from walkthrough.app.search import Line, lines_of, matching

_SHOWN = 300
_LOOKING = "Looking through the record ..."


class FindScreen(NarrowedScreen):
    """Typing narrows the list down; Enter goes to the place, or to that very question."""

    def __init__(self, record: Record) -> None:
        super().__init__(record)
        self._lines: list[Line] = []
        self._found: list[Line] = []

    def on_mount(self) -> None:
        """List all, once the screen is there: to judge a changed record takes a moment."""
        self.head(_LOOKING)
        self.fill_once_shown(self._gather)

    def chosen(self, id: str) -> None:
        """Go there."""
        if id:
            line = self._found[int(id)]
            self.dismiss((line.subject, line.prompt))

    def _gather(self) -> None:
        self._lines = lines_of(self.record)
        self.list_again()

    def list_again(self) -> None:
        """The lines that hold all that is sought."""
        self._found = matching(self.record, self._lines, self.sought)
        count, shown = len(self._found), self._found[:_SHOWN]
        told = (
            f"{count} line{'s' * (count != 1)}"
            if count <= _SHOWN
            else f"the first {_SHOWN} of {count} lines"
        )
        self.head(f"Find ({self.typed('type words to find')}): {told}. Enter: go there")
        self.fill(
            [
                (str(number), f"{name_of(self.record, each.subject)}: {each.text}")
                for number, each in enumerate(shown)
            ]
        )
