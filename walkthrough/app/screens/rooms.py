"""Everything that can be gone to: dwelling, panels, rooms and their outlets, with their state."""

from __future__ import annotations

from typing import ClassVar

from textual.binding import Binding, BindingType

from walkthrough.app.add import NEW
from walkthrough.app.describe import MARKS, state_of
from walkthrough.app.fields import Refused
from walkthrough.app.record import Record
from walkthrough.app.remove import remove
from walkthrough.app.screens.listing import ListScreen
from walkthrough.report.text import clean, joined
from walkthrough.survey.model import Outlet, Subject


class RoomsScreen(ListScreen):
    """Choose a subject to go on with."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("o", "outlet", "Add outlet here"),
        Binding("r", "room", "Add room"),
        Binding("p", "panel", "Add panel", show=False),
        Binding("delete", "remove", "Remove"),
    ]

    def __init__(self, record: Record, focus: Subject) -> None:
        super().__init__(record)
        self._start = focus

    def on_mount(self) -> None:
        """List all."""
        self._list(self._key(self._start))

    def _list(self, at: str) -> None:
        session = self.record.session
        rows: list[tuple[str, Subject, str]] = [("", session.dwelling, "The dwelling")]
        rows += [("", each, f"Panel {joined((each.id, each.name))}") for each in session.panels]
        for room in session.rooms:
            rows.append(("", room, room.name))
            for outlet in (each for each in session.outlets if each.room == room.id):
                rows.append(("    ", outlet, _told(outlet)))
        self.head("Rooms and outlets   Enter: go there   ! deficient  . open  ok complete")
        self.fill(
            [
                (self._key(each), f"{MARKS[state_of(self.record, each)]:>2} {pad}{clean(text)}")
                for pad, each, text in rows
            ],
            at,
        )

    def chosen(self, id: str) -> None:
        """Go there."""
        self.dismiss((self._subject(id), ""))

    def action_outlet(self) -> None:
        """A new outlet in the room of the highlighted row."""
        self.dismiss((self._subject(self.highlighted), NEW + "outlet"))

    def action_room(self) -> None:
        """A new room."""
        self.dismiss((self._subject(self.highlighted), NEW + "room"))

    def action_panel(self) -> None:
        """A new panel."""
        self.dismiss((self._subject(self.highlighted), NEW + "panel"))

    def action_remove(self) -> None:
        """Take the highlighted subject out of the record."""
        try:
            near = remove(self.record, self._subject(self.highlighted))
        except Refused as refused:
            self.notify(str(refused), severity="warning")
            return
        self.notify("Removed. Ctrl+Z in the walk takes it back.")
        self._list(self._key(near))

    def _key(self, subject: Subject) -> str:
        return ":".join(self.record.house.key(subject))

    def _subject(self, id: str) -> Subject:
        of, _, name = id.partition(":")
        return self.record.house.subjects[of, name]


def _told(outlet: Outlet) -> str:
    limits = joined(limit.what for limit in outlet.limits)
    return joined((outlet.id, outlet.at, outlet.circuit, limits and f"[{limits}]"))
