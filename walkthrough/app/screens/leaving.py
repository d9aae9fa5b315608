"""A screen that is left takes its workers along before its widgets go."""

from __future__ import annotations

from textual import on
from textual.messages import Prune
from textual.screen import Screen, ScreenResultType


class LeavingScreen(Screen[ScreenResultType]):
    """A screen with workers: what they would still find out has no place once it is left.

    The library ends them after the widgets: what was found in between would look for these.
    """

    @on(Prune)
    def _end_workers(self) -> None:
        self.workers.cancel_node(self)
