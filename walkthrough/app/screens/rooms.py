"""Everything that can be gone to: dwelling, panels, rooms and their outlets, with their state."""

from __future__ import annotations

from collections.abc import Iterator
from typing import ClassVar

from textual.binding import Binding, BindingType

from walkthrough.app.describe import MARKS, name_of, state_of, state_of_all
from walkthrough.app.fields import Refused
from walkthrough.app.new_prompts import NEW, new_prompt
from walkthrough.app.record import Record
from walkthrough.app.remove import remove
from walkthrough.app.screens.listing import ListScreen
from walkthrough.report.text import clean, joined
from walkthrough.survey.model import Outlet, Room, Subject


class RoomsScreen(ListScreen):
    """Choose a subject to go on with."""

    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("o", "outlet", "Add outlet here"),
        Binding("r", "room", "Add room"),
        Binding("p", "panel", "Add panel", show=False),
        Binding("u", "unit", "Add dwelling unit", show=False),
        Binding("delete", "remove", "Remove"),
    ]

    def __init__(self, record: Record, focus: Subject) -> None:
        super().__init__(record)
        self._start = focus

    def on_mount(self) -> None:
        """List all."""
        self._list(self._key(self._start))

    def _list(self, at: str) -> None:
        rows = [row for each in self._wholes() for row in self._rows(each)]
        self.head("Rooms and outlets   Enter: go there   ! deficient  . open  ok complete")
        self.fill(
            [
                (self._key(each), f"{MARKS[self._state(each)]:>2} {pad}{clean(text)}")
                for pad, each, text in rows
            ],
            at,
        )

    def _state(self, subject: Subject) -> str:
        """The state of a subject, that of a room with all its outlets; a key of MARKS."""
        if not isinstance(subject, Room):
            return state_of(self.record, subject)
        below = self.record.house.children(subject, "outlet")
        outlets = [each for each in below if isinstance(each, Outlet)]
        return state_of_all(self.record, subject, outlets)

    def _wholes(self) -> tuple[Subject, ...]:
        """The building and its units; where there is only one dwelling, it is all there is."""
        return self.record.session.dwelling, *self.record.session.units

    def _rows(self, whole: Subject) -> Iterator[tuple[str, Subject, str]]:
        """A dwelling and what belongs to it, each with what is left free before its name."""
        session = self.record.session
        unit = session.unit_of(whole)
        pad = "  " if session.units else ""
        name = name_of(self.record, whole)
        yield "", whole, name[:1].upper() + name[1:]
        for panel in (each for each in session.panels if each.unit == unit):
            yield pad, panel, f"Panel {joined((session.reference(panel), panel.name))}"
        for room in (each for each in session.rooms if each.unit == unit):
            yield pad, room, room.name
            for outlet in self.record.house.children(room, "outlet"):
                if isinstance(outlet, Outlet):
                    yield f"{pad}    ", outlet, _told(session.reference(outlet), outlet)

    def chosen(self, id: str) -> None:
        """Go there."""
        self.dismiss((self._subject(id), ""))

    def action_outlet(self) -> None:
        """A new outlet in the room of the highlighted row."""
        self._add("outlet")

    def action_room(self) -> None:
        """A new room in the dwelling unit of the highlighted row."""
        self._add("room")

    def action_panel(self) -> None:
        """A new panel in the dwelling unit of the highlighted row."""
        self._add("panel")

    def action_unit(self) -> None:
        """One more dwelling unit in the building."""
        self._add("unit")

    def _add(self, kind: str) -> None:
        near = self._subject(self.highlighted)
        try:
            # Looked at beforehand, so that what cannot be added is refused here.
            new_prompt(self.record, kind, near)
        except Refused as refused:
            self.head(clean(f"! {refused}"))
            return
        self.dismiss((near, NEW + kind))

    def action_remove(self) -> None:
        """Take the highlighted subject out of the record."""
        try:
            near = remove(self.record, self._subject(self.highlighted))
        except Refused as refused:
            self.head(clean(f"! {refused}"))
            return
        self._list(self._key(near))
        self.head("Removed. Ctrl+Z in the walk takes it back.")

    def _key(self, subject: Subject) -> str:
        return ":".join(self.record.house.key(subject))

    def _subject(self, id: str) -> Subject:
        of, _, name = id.partition(":")
        return self.record.house.subjects[of, name]


def _told(name: str, outlet: Outlet) -> str:
    limits = joined(limit.what for limit in outlet.limits)
    return joined((name, outlet.at, outlet.circuit, limits and f"[{limits}]"))
