"""The room sheet: the walls and a counter in a line of words, drawn with what is too far."""

from __future__ import annotations

from collections.abc import Iterable

from walkthrough.app.record import Record
from walkthrough.app.room_sheet import lines_of, slip, told
from walkthrough.app.screens.sheet import SheetScreen
from walkthrough.app.sheet import Line
from walkthrough.survey.model import AnswerValue, Room


class RoomScreen(SheetScreen):
    """A line that cannot be understood is not kept: it says what was expected."""

    about = "Spacing"

    def __init__(self, record: Record, room: Room) -> None:
        super().__init__(record, room, lines_of(record, room))
        self._room = room

    def told(self) -> Iterable[str]:
        """The drawing and the sums, the line in view first."""
        return told(self.record, self._room, self.word)

    def slip(self, line: Line, value: AnswerValue) -> str:
        """What was found in the line and what was expected."""
        return slip(self.record, self._room, line.word, value)
