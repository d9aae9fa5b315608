"""The app: opens a record and puts the screens on it."""

from __future__ import annotations

import datetime
import sys
from collections.abc import Iterable, Sequence
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import App, SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.theme import Theme

from walkthrough.app import sessions
from walkthrough.app.screens.start import StartScreen
from walkthrough.rulebook.problems import Problem, Unusable

if TYPE_CHECKING:
    from walkthrough.app.record import Record
    from walkthrough.app.screens.walk import WalkScreen

_NOT_SAVED = 1
_SECONDS_TO_PAINT = 0.05
_DAYLIGHT = Theme(
    "daylight",
    primary="#003a8c",
    secondary="#4a148c",
    warning="#8a3b00",
    error="#a10000",
    success="#00531b",
    accent="#4a148c",
    foreground="#000000",
    background="#ffffff",
    surface="#ffffff",
    panel="#e6e6e6",
    dark=False,
    variables={"text-muted": "#333333"},
)
"""Black on white with strong colours: for a screen in the sun."""
_COMMANDS_KEPT = ("Theme", "Keys", "Quit")


class WalkthroughApp(App[None]):
    """The screens on one record. Leaving never asks, because nothing can be lost."""

    TITLE = "walkthrough"
    ENABLE_COMMAND_PALETTE = True
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("ctrl+q", "quit", "Quit", priority=True),
    ]

    def __init__(
        self,
        record: Record | None = None,
        rulesets: Sequence[str] = (),
        new_path: Path | None = None,
        today: datetime.date | None = None,
    ) -> None:
        super().__init__()
        self.register_theme(_DAYLIGHT)
        self.record = record
        self._rulesets = rulesets
        self._new_path = new_path
        self._today = today or datetime.date.today()

    def on_mount(self) -> None:
        """Begin with the cautions, or with the record that was named."""
        if self.record is None:
            self.push_screen(StartScreen(self._rulesets, self._today, self._new_path))
            # While the cautions are read, what is needed next is made ready.
            self.call_after_refresh(self.set_timer, _SECONDS_TO_PAINT, _walk_screen)
        else:
            self.push_screen(_walk_screen()(self.record))

    def on_start_screen_opened(self, message: StartScreen.Opened) -> None:
        """Go to work on the record that was opened."""
        self.record = message.record
        self.switch_screen(_walk_screen()(message.record))

    def get_system_commands(self, screen: Screen[object]) -> Iterable[SystemCommand]:
        """Everything the footer has no room for."""
        walk = screen
        if isinstance(walk, _walk_screen()):
            yield SystemCommand(
                "Change an answer (F2)", "Of the subject in hand", walk.action_answers
            )
            yield SystemCommand("Trip test (F7)", "What died, what stayed live", walk.action_trip)
            yield SystemCommand(
                "What if (F9)", "Another device, breaker or ruleset", walk.action_what_if
            )
            yield SystemCommand(
                "Find (Ctrl+F)", "Anything told or found in the record", walk.action_find
            )
            yield SystemCommand("Whole live pane (F6)", "Instead of the question", walk.action_all)
            yield SystemCommand(
                "Nothing more can be told here (F8)", "Open questions", walk.action_skip_rest
            )
            yield SystemCommand(
                "Several like this outlet", "Copies but for readings", walk.action_several
            )
            yield SystemCommand("Another dwelling unit", "In the same building", walk.action_unit)
            yield SystemCommand(
                "Limit of the whole survey", "What was left out, and why", walk.action_limit
            )
            yield SystemCommand("Undo (Ctrl+Z)", "Take the last answer back", walk.action_undo)
            yield SystemCommand("Redo (Ctrl+Y)", "Make it again", walk.action_redo)
            yield SystemCommand("Save now (Ctrl+S)", "Try again", walk.action_save)
        for command in super().get_system_commands(screen):
            if command.title in _COMMANDS_KEPT:
                yield command


def _walk_screen() -> type[WalkScreen]:
    """Judge, rulebook and record are loaded with it: more than all that the first screen needs."""
    from walkthrough.app.screens.walk import WalkScreen

    return WalkScreen


def run(session_path: Path | None, rulesets: Sequence[str] = ()) -> int:
    """Run the app on a record, or let the person choose one; returns the exit code."""
    record, new_path = None, None
    if session_path is not None and session_path.exists():
        from walkthrough.app.record import Record

        if len(rulesets) > 1:
            message = (
                "a session that is there keeps its own; expected at most one, to say where it is"
            )
            raise Unusable([Problem("--ruleset", 0, 0, message)])
        record = Record.open(session_path, rulesets[0] if rulesets else None)
    else:
        new_path = session_path
        for each in rulesets:
            sessions.check_edition(each)
    app = WalkthroughApp(record, rulesets, new_path)
    try:
        app.run()
    finally:
        saved = app.record.close() if app.record is not None else True
    if not saved and app.record is not None:
        print(f"The last answers were not saved: {app.record.problem}", file=sys.stderr)
        return _NOT_SAVED
    return app.return_code or 0
