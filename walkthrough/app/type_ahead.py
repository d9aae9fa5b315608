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
    screen that is just leaving. `is_held` of the focused widget or of the screen tells that what
    it shows next is not there yet.
    """

    def __init__(self) -> None:
        super().__init__()
        self._keys: deque[events.Key] = deque()
        self._is_under_way = False
        self._climb: _Climb | None = None
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
            await self.hand_on()

    async def hand_on(self) -> None:
        """The next key, if there is one: all that the one before it led to is done."""
        self._climb = None
        self._is_under_way = bool(self._keys)
        if self._keys:
            await super().on_event(self._keys.popleft())
            self._go_round(_ROUNDS)

    def _go_round(self, rounds: int) -> None:
        """Go through the queues from the focused widget up: what stands in them comes first."""
        self._climb = _Climb(self, rounds)
        # A widget that is taken away meanwhile never answers.
        self.set_timer(_SECONDS_AT_MOST, self._climb.look_again)
        self._climb.begin()

    def is_present(self, climb: _Climb) -> bool:
        """Whether it is this one that is waited for."""
        return climb is self._climb and bool(self.screen_stack)

    def go_round_again(self) -> None:
        """What takes the next key was not there yet."""
        self._go_round(1)

    def is_ready(self) -> bool:
        """Whether what takes the next key is there: a screen that is up, its answer not awaited."""
        if self.focused is not None:
            self._screen_up = self.screen
        is_up = self.screen is self._screen_up
        return is_up and not any(
            getattr(each, "is_held", False) for each in (self.focused, self.screen)
        )


class _Climb:
    """Some rounds through the queues, from the focused widget up to the app.

    What is queued are methods of this: the library looks once into a method, and anew into
    each function that is made on the way.
    """

    def __init__(self, app: TypeAheadApp, rounds: int) -> None:
        self._app = app
        self._rounds = rounds
        self._node: MessagePump = app

    def begin(self) -> None:
        """Begin a round at what has the focus."""
        self.queue_at(self._app.focused or self._app.screen)

    def look_again(self) -> None:
        """Begin anew where it got stuck, or where nothing was there to take the next key."""
        if self._app.is_present(self):
            self._app.go_round_again()

    async def _step(self) -> None:
        app = self._app
        if not app.is_present(self):
            return
        if self._node is not app:
            self.queue_at(self._node._parent or app)
        elif self._rounds > 1:
            self._rounds -= 1
            self.begin()
        elif not app.is_ready():
            app.set_timer(_SECONDS_TO_LOOK_AGAIN, self.look_again)
        else:
            await app.hand_on()

    def queue_at(self, node: MessagePump) -> None:
        """Go on when all is done that stands in the queue of a node, or of what holds it."""
        while not self._may_lead_on(node):
            node = node._parent or self._app
        self._node = node
        while not self._node.post_message(events.Callback(callback=self._step)):
            if self._node is self._app:
                # The app itself is closing and takes nothing more.
                return
            self._node = self._node._parent or self._app

    def _may_lead_on(self, node: MessagePump) -> bool:
        """Whether something may still come of a node: what only holds others never waits itself."""
        if isinstance(node, App | Screen) or node.message_queue_size:
            return True
        return node is self._app.focused
