"""One key at a time: a key is handed on when all that the one before it led to is done."""

from __future__ import annotations

from collections import deque

from textual import events
from textual.app import App
from textual.message_pump import MessagePump
from textual.screen import Screen

_ROUNDS = 3
"""From the widget up to the app and again: a key leads to a message, that to another screen."""
_SECONDS_TO_LOOK_AGAIN = 0.01
_SECONDS_AT_MOST = 1.0


class TypeAheadApp(App[None]):
    """Keeps keys that are typed faster than screens come and go, in their order.

    Without it a key that follows at once on one that opens or closes a screen would go to the
    screen that is just leaving. `is_held` of the focused widget tells that what it shows next is
    not there yet.
    """

    def __init__(self) -> None:
        super().__init__()
        self._keys: deque[events.Key] = deque()
        self._is_under_way = False
        self._turn = 0
        self._screen_up: Screen[object] | None = None

    @property
    def is_busy(self) -> bool:
        """Whether a key still has something to lead to."""
        return self._is_under_way and not self._exit

    def forget_keys(self) -> None:
        """Drop what was typed ahead: it was meant for something that does not come."""
        self._keys.clear()

    async def on_event(self, event: events.Event) -> None:
        """Take a key in its turn, and everything else at once."""
        if not isinstance(event, events.Key) or event.is_forwarded:
            await super().on_event(event)
            return
        self._keys.append(event)
        if not self._is_under_way:
            await self._hand_on()

    async def _hand_on(self) -> None:
        self._is_under_way = bool(self._keys)
        if self._keys:
            await super().on_event(self._keys.popleft())
            self._go_round(_ROUNDS)

    def _go_round(self, rounds: int) -> None:
        """Go through the queues from the focused widget up: what stands in them comes first."""
        self._turn += 1
        turn = self._turn
        # A widget that is taken away meanwhile never answers.
        self.set_timer(_SECONDS_AT_MOST, lambda: self._look_again(turn))
        self._queue_at(self.focused or self.screen, rounds, turn)

    def _queue_at(self, node: MessagePump, rounds: int, turn: int) -> None:
        while not node.call_later(self._climb, node, rounds, turn):
            if node is self:
                # The app itself is closing and takes nothing more.
                return
            node = node._parent or self

    async def _climb(self, node: MessagePump, rounds: int, turn: int) -> None:
        if turn != self._turn:
            return
        if node is not self:
            self._queue_at(node._parent or self, rounds, turn)
        elif rounds > 1:
            self._queue_at(self.focused or self.screen, rounds - 1, turn)
        elif not self._is_ready():
            self.set_timer(_SECONDS_TO_LOOK_AGAIN, lambda: self._look_again(turn))
        else:
            await self._hand_on()

    def _is_ready(self) -> bool:
        """Whether what takes the next key is there: a screen that is up, its answer not awaited."""
        if self.focused is not None:
            self._screen_up = self.screen
            return not getattr(self.focused, "is_held", False)
        return self.screen is self._screen_up

    def _look_again(self, turn: int) -> None:
        if turn == self._turn and self._is_under_way and self.screen_stack:
            self._go_round(1)
