"""The standing question: one widget that is refilled for every prompt, never built anew."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.dom import DOMNode
from textual.message import Message
from textual.widgets import Static

from walkthrough.app.keys import Entry, Reply
from walkthrough.app.layout import Line, lay_out
from walkthrough.app.prompt import Prompt

_STYLES = {
    "plain": "",
    "ask": "bold",
    "key": "bold $accent",
    "chosen": "bold underline",
    "faint": "$text-muted",
    "wrong": "bold $error",
}


class QuestionBox(Static, can_focus=True):
    """Shows a prompt and takes the keys that answer it."""

    DEFAULT_CSS = """
    QuestionBox { height: auto; padding: 0 1; }
    """

    class Replied(Message):
        """A prompt was answered."""

        def __init__(self, box: QuestionBox, prompt: Prompt, reply: Reply) -> None:
            super().__init__()
            self.box = box
            self.prompt = prompt
            self.reply = reply

    def __init__(self, prompt: Prompt) -> None:
        super().__init__()
        self._entry = Entry(prompt)
        self._full_help = False
        self._rows = 0
        self._width = 76
        self._waits = False
        self._typed_ahead: list[tuple[str, str | None]] = []
        self._passes_on = False
        self._sent_round: events.Key | None = None
        self.lines_free = 18

    @property
    def prompt(self) -> Prompt:
        """What is asked now."""
        return self._entry.prompt

    @property
    def is_waiting(self) -> bool:
        """Whether what follows from a key is not there yet."""
        return self._waits or self._passes_on

    def put(self, prompt: Prompt, is_expected: bool = True) -> None:
        """Ask something else; what was typed ahead is for it only where it was to be expected."""
        if not is_expected:
            self._typed_ahead.clear()
        self._entry = Entry(prompt)
        self._full_help = False
        self._go_on()

    def say(self, wrong: str) -> None:
        """Tell why the answer cannot be taken; the prompt stays."""
        self._entry.wrong = wrong
        self._typed_ahead.clear()
        self._go_on()

    def toggle_help(self) -> None:
        """Show all of the help, or only its first line."""
        self._full_help = not self._full_help
        self.refill()

    def ask_again(self) -> None:
        """The prompt stays; take another answer to it."""
        self._typed_ahead.clear()
        self._go_on()

    def refill(self) -> None:
        """Draw the prompt again."""
        # Without a width of its own (not laid out yet, or hidden) the last one does.
        self._width = self.size.width or self._width
        lines = lay_out(self._entry, self._width, self.lines_free, self._full_help)
        # Laying the screen out anew costs more than all the rest; most prompts need no new height.
        is_higher = len(lines) != self._rows
        self._rows = len(lines)
        self.update(Content("\n").join(_drawn(line) for line in lines), layout=is_higher)

    def on_mount(self) -> None:
        """Draw for the first time."""
        self.refill()

    def on_resize(self) -> None:
        """Wrap to the new width."""
        self.refill()

    def on_key(self, event: events.Key) -> None:
        """Take a key if it means something to the prompt."""
        if event is self._sent_round:
            self._sent_round = None
            self._pass_on()
            return
        if self._waits or self._passes_on:
            # Typed ahead: meant for the next prompt or screen, which is not there yet.
            self._typed_ahead.append((event.key, event.character))
            taken = True
        else:
            taken = self._press(event.key, event.character)
            if not taken and not event.is_printable:
                self._pass_on()
        if taken:
            event.stop()
            event.prevent_default()

    def on_paste(self, event: events.Paste) -> None:
        """Take pasted text."""
        event.stop()
        self._entry.paste(event.text)
        self.refill()

    def _pass_on(self) -> None:
        """Leave a key to the screen or the app; what is typed meanwhile waits for it.

        It may open another screen, and what comes after it is meant for that.
        """
        self._passes_on = True
        # Not at once: the key itself goes up when this is done, and is to stay ahead.
        self.call_later(self._follow, self)

    def _follow(self, node: DOMNode) -> None:
        """Go the way of a key that was passed on, a step behind it."""
        parent = node.parent
        if parent is None:
            self._passes_on = False
            self._take_typed_ahead()
        else:
            parent.call_later(self._follow, parent)

    def _press(self, key: str, character: str | None) -> bool:
        done = self._entry.press(key, character)
        if isinstance(done, bool):
            if done:
                self.refill()
            return done
        self._waits = True
        self.post_message(self.Replied(self, self.prompt, done))
        return True

    def _go_on(self) -> None:
        self._waits = False
        self.refill()
        self._take_typed_ahead()

    def _take_typed_ahead(self) -> None:
        """What was typed ahead, in the order in which it was typed."""
        while self._typed_ahead and not self.is_waiting:
            if self.app.screen is not self.screen:
                # Another screen was opened: it is all meant for that.
                for key, character in self._typed_ahead:
                    self._send_round(key, character)
                self._typed_ahead.clear()
                return
            key, character = self._typed_ahead.pop(0)
            if not self._press(key, character):
                # A key of the screen or the app takes the usual way; the rest waits here for it.
                self._passes_on = True
                self._sent_round = self._send_round(key, character)
                self.app.call_later(self.call_later, self._came_round)

    def _send_round(self, key: str, character: str | None) -> events.Key:
        event = events.Key(key, character)
        event.set_sender(self.app)
        self.app.post_message(event)
        return event

    def _came_round(self) -> None:
        """Where the app itself took the key, it does not come back here."""
        if self._sent_round is not None:
            self._sent_round = None
            self._passes_on = False
            self._take_typed_ahead()


def _drawn(line: Line) -> Content:
    return Content.assemble(*((span.text, _STYLES[span.role]) for span in line))
