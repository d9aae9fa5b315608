"""What can be done from the walk: each with its key, and its line in the command palette."""

from __future__ import annotations

from dataclasses import dataclass

from textual.binding import Binding

_NAMES = {"escape": "Esc", "pagedown": "PgDn", "pageup": "PgUp"}


@dataclass(frozen=True)
class Command:
    """One action of the walk; without a `key` it stands in the palette only.

    `footer` is its name at the bottom of the screen, "" where that has no room for it.
    """

    action: str
    key: str
    title: str
    told: str
    footer: str = ""

    @property
    def in_palette(self) -> str:
        """Its title there, with the key that does the same."""
        return (
            f"{self.title} ({_NAMES.get(self.key, self.key.title())})" if self.key else self.title
        )

    @property
    def binding(self) -> Binding:
        """Its key as the screen takes it."""
        return Binding(self.key, self.action, self.footer or self.title, show=bool(self.footer))


COMMANDS: tuple[Command, ...] = (
    Command("full_help", "f1", "Help", "All of the help of the question in view", "Help"),
    Command("answers", "f2", "Change an answer", "Of the subject in hand"),
    Command("circuits", "f3", "Panel schedule", "Every circuit, and its wiring", "Circuits"),
    Command("rooms", "f4", "Rooms and outlets", "Go there, add, remove", "Rooms"),
    Command("findings", "f5", "Deficiencies", "With the reason of each", "Deficiencies"),
    Command("all", "f6", "Whole live pane", "Instead of the question, and back"),
    Command("scroll_pane(1)", "pagedown", "Live pane: further down", "What does not fit at once"),
    Command("scroll_pane(-1)", "pageup", "Live pane: further up", "Back to its beginning"),
    Command("trip", "f7", "Trip test", "What died, what stayed live"),
    Command("skip_rest", "f8", "Nothing more can be told here", "Open questions"),
    Command("what_if", "f9", "What if", "Another device, breaker or ruleset"),
    Command("next('undecided')", "ctrl+n", "Next undecided", "The next thing still open"),
    Command("next('deficient')", "ctrl+d", "Next deficiency", "The next subject that has one"),
    Command("plan", "ctrl+g", "Plan of corrections", "The cheapest work, and its price"),
    Command("report", "ctrl+k", "Report", "Write it for client, landlord or electrician"),
    Command("editions", "ctrl+e", "Two editions side by side", "For the subject in hand"),
    Command("readings", "ctrl+r", "Readings sheet", "Lamps, volts, load: what is possible"),
    Command("box", "ctrl+x", "Box-fill sheet", "Of an opened box: the sum, what would fit"),
    Command("room", "ctrl+w", "Room sheet", "Walls and counter: spacing of receptacles"),
    Command("not_tested", "ctrl+l", "Not tested here", "Not reached, seen only: why"),
    Command("note", "ctrl+t", "Note", "Free text on the subject in hand"),
    Command("photo", "ctrl+o", "Photo", "The number of a picture of the subject in hand"),
    Command("find", "ctrl+f", "Find", "Anything told or found in the record"),
    Command("several", "", "Several like this outlet", "Copies but for readings"),
    Command("panel", "", "Another panel", "Such as a sub-panel, of the same dwelling"),
    Command("unit", "", "Another dwelling unit", "In the same building"),
    Command("limit", "", "Limit of the whole survey", "What was left out, and why"),
    Command("undo", "ctrl+z", "Undo", "Take the last answer back"),
    Command("redo", "ctrl+y", "Redo", "Make it again"),
    Command("save", "ctrl+s", "Save now", "Try again"),
    Command("cancel", "escape", "Back to the walk", "Leave what was asked for out of turn"),
)
