"""The standing question: one widget that is refilled for every prompt, never built anew."""

from __future__ import annotations

from textual import events
from textual.content import Content
from textual.message import Message
from textual.widget import Widget
from textual.widgets import Static

from walkthrough.app.keys import Entry, Given, Reply
from walkthrough.app.layout import Line, lay_out, span_at
from walkthrough.app.prompt import Prompt
from walkthrough.app.type_ahead import TypeAheadApp

_STYLES = {
    "plain": "",
    "ask": "bold",
    "key": "bold $text-accent",
    "chosen": "bold underline",
    "faint": "$text-muted",
    "wrong": "bold $text-error",
}


class QuestionBox(Static, can_focus=True):
    """Shows a prompt and takes the keys that answer it."""

    DEFAULT_CSS = """
    QuestionBox { height: auto; padding: 0 1; text-wrap: nowrap; }
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
        # Nothing of it is a link; to look for some in each line takes time.
        self.auto_links = False
        self._entry = Entry(prompt)
        self._full_help = False
        self._lines: list[Line] = []
        self._width = 76
        self._waits = False
        self._rests: tuple[str, ...] = ()
        self.lines_free = 18

    @property
    def prompt(self) -> Prompt:
        """What is asked now."""
        return self._entry.prompt

    @property
    def is_held(self) -> bool:
        """Whether what follows from a key is not there yet."""
        return self._waits

    def put(self, prompt: Prompt, is_expected: bool = True) -> None:
        """Ask something else; what was typed ahead is for it only where it was to be expected."""
        if not is_expected:
            self._forget_keys()
        self._entry = Entry(prompt, self._rests)
        self._full_help = False
        self._go_on()

    def wait(self) -> None:
        """The next prompt takes a moment; what is typed until then is kept for it."""
        self._waits = True

    def say(self, wrong: str) -> None:
        """Tell why the answer cannot be taken; the prompt stays."""
        self._entry.wrong = wrong
        self._forget_keys()
        self._go_on()

    def toggle_help(self) -> None:
        """Show all of the help, or only its first line."""
        self._full_help = not self._full_help
        self.refill()

    def ask_again(self) -> None:
        """The prompt stays; take another answer to it."""
        self._go_on()

    def refill(self) -> None:
        """Draw the prompt again."""
        # Without a width of its own (not laid out yet, or hidden) the last one does.
        self._width = self.size.width or self._width
        lines = lay_out(self._entry, self._width, self.lines_free, self._full_help)
        # Laying the screen out anew costs more than all the rest; most prompts need no new height.
        least = self._least_height()
        is_higher = max(len(lines), least) != max(len(self._lines), least)
        self._lines = lines
        self.update(Content("\n").join(_drawn(line) for line in lines), layout=is_higher)

    def _least_height(self) -> int:
        """So many rows it has even where the prompt needs fewer."""
        least = self.styles.min_height
        around = self.parent.size if isinstance(self.parent, Widget) else self.size
        return int(least.resolve(around, self.app.size)) if least is not None else 0

    def on_mount(self) -> None:
        """Draw for the first time."""
        self.refill()

    def on_resize(self) -> None:
        """Wrap to the new width."""
        self.refill()

    def on_key(self, event: events.Key) -> None:
        """Take a key if it means something to the prompt."""
        if self._press(event.key, event.character):
            event.stop()
            event.prevent_default()

    def on_click(self, event: events.Click) -> None:
        """A click on an answer or on a hint does what its key does."""
        at = event.get_content_offset(self)
        span = span_at(self._lines, *at) if at is not None else None
        if span is None or self._waits:
            return
        event.stop()
        if span.choice:
            self._reply(Given(span.choice))
        elif span.press:
            self._click(span.press)

    def on_paste(self, event: events.Paste) -> None:
        """Take pasted text."""
        event.stop()
        self._entry.paste(event.text)
        self.refill()

    def _click(self, key: str) -> None:
        """A key that waits for Enter is done with when it is clicked."""
        is_letter = len(key) == 1
        self._press(key, key if is_letter else None)
        if self._entry.typed == key and self.prompt.kind in ("choice", "number"):
            self._press("enter", None)

    def _press(self, key: str, character: str | None) -> bool:
        done = self._entry.press(key, character)
        if isinstance(done, bool):
            if done:
                self.refill()
            return done
        self._reply(done)
        return True

    def _reply(self, reply: Reply) -> None:
        self._waits = True
        self._rests = self._entry.rests
        # Straight to where it is taken: on its way up each container would have its turn first.
        self.screen.post_message(self.Replied(self, self.prompt, reply))

    def _forget_keys(self) -> None:
        if isinstance(self.app, TypeAheadApp):
            self.app.forget_keys()

    def _go_on(self) -> None:
        self._waits = False
        self.refill()


def _drawn(line: Line) -> Content:
    return Content.assemble(*((span.text, _STYLES[span.role]) for span in line))
