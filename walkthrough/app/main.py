"""The app: opens a record and puts the screens on it."""

from __future__ import annotations

import dataclasses
import datetime
import sys
from collections.abc import Iterable, Iterator, Sequence
from functools import partial
from pathlib import Path
from typing import TYPE_CHECKING, ClassVar

from textual.app import SystemCommand
from textual.binding import Binding, BindingType
from textual.screen import Screen
from textual.theme import BUILTIN_THEMES, Theme

from walkthrough.app import sessions
from walkthrough.app.screens.start import StartScreen
from walkthrough.app.type_ahead import TypeAheadApp
from walkthrough.rulebook.problems import Problem, Unusable

if TYPE_CHECKING:
    from walkthrough.app.record import Record
    from walkthrough.app.screens.walk import WalkScreen

_NOT_SAVED = 1
_NO_SCREEN = 2
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
_LIGHT = dataclasses.replace(
    BUILTIN_THEMES["textual-light"],
    accent="#7a4a00",
    warning="#7a4a00",
    success="#00531b",
    error="#a10000",
)
"""The library's light theme; its own orange and green cannot be read on light grey."""
_COMMANDS_KEPT = ("Theme", "Keys", "Quit")


class WalkthroughApp(TypeAheadApp):
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
        self.register_theme(_LIGHT)
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
        if isinstance(screen, _walk_screen()):
            from walkthrough.app.commands import COMMANDS

            for each in COMMANDS:
                run = partial(screen.run_action, each.action)
                yield SystemCommand(each.in_palette, each.told, run)
        else:
            yield from _own_commands(screen)
        for command in super().get_system_commands(screen):
            if command.title in _COMMANDS_KEPT:
                yield command


def _own_commands(screen: Screen[object]) -> Iterator[SystemCommand]:
    """What the keys of any other screen do."""
    actions: set[str] = set()
    for node, binding, is_enabled, _ in screen.active_bindings.values():
        # Keys of the library itself (to the next field, to copy) are no actions of ours.
        own = node is screen and "." not in binding.action
        if own and is_enabled and binding.description and binding.action not in actions:
            actions.add(binding.action)
            run = partial(screen.run_action, binding.action)
            yield SystemCommand(f"{binding.description} ({binding.key})", "On this screen", run)


def _walk_screen() -> type[WalkScreen]:
    """Judge, rulebook and record are loaded with it: more than all that the first screen needs."""
    from walkthrough.app.screens.walk import WalkScreen

    return WalkScreen


def run(session_path: Path | None, rulesets: Sequence[str] = ()) -> int:
    """Run the app on a record, or let the person choose one; returns the exit code."""
    if _is_screen_elsewhere():
        return _NO_SCREEN
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
        if new_path is not None:
            sessions.check_new(new_path)
    return _run(WalkthroughApp(record, rulesets, new_path))


def run_again(old: Path | None) -> int:
    """Run the app on a re-inspection of a record; returns the exit code."""
    from walkthrough.app.record import Record

    if _is_screen_elsewhere():
        return _NO_SCREEN
    if old is None:
        message = "found no SESSION; expected the record whose deficiencies are to be checked"
        raise Unusable([Problem("--reinspect", 0, 0, message)])
    today = datetime.date.today()
    path = sessions.path_to_reinspect(old, today)
    return _run(WalkthroughApp(Record.reinspect(old, path, today)))


def _is_screen_elsewhere() -> bool:
    """Whether the screens would go into a file, since they are drawn where errors go; tells so."""
    if not sys.stdin.isatty() or sys.stderr.isatty():
        return False
    # Where the errors go nobody would read it.
    print(
        "walkthrough: the errors (2>) go to a file or a pipe; the screens are drawn there. "
        "Leave them on the terminal.",
        file=sys.stdout if sys.stdout.isatty() else sys.stderr,
    )
    return True


def _run(app: WalkthroughApp) -> int:
    try:
        app.run()
    finally:
        saved = app.record.close() if app.record is not None else True
    if not saved and app.record is not None:
        print(f"The last answers were not saved: {app.record.problem}", file=sys.stderr)
        return _NOT_SAVED
    return app.return_code or 0
