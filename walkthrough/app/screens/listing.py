"""What the list screens share: a title, a list to choose from, and the way back."""

from __future__ import annotations

from collections.abc import Callable
from typing import ClassVar

from textual import events
from textual.app import ComposeResult
from textual.binding import Binding, BindingType
from textual.containers import Container, VerticalScroll
from textual.content import Content
from textual.widgets import Footer, OptionList, Static
from textual.widgets.option_list import Option

from walkthrough.app.record import Record
from walkthrough.app.screens.leaving import LeavingScreen
from walkthrough.app.widgets.rows import Rows
from walkthrough.report.text import clean
from walkthrough.survey.model import Subject

Chosen = tuple[Subject, str] | None
"""Where to go on: a subject and a prompt of it, "" for the next one."""


class ListScreen(LeavingScreen[Chosen]):
    """A list over the whole screen; Escape goes back to the walk."""

    # Not CSS: what was loaded last would count, also against that of a screen made from this one.
    DEFAULT_CSS = """
    ListScreen #heading { height: 1; padding: 0 1; text-style: bold; background: $surface;
                            text-wrap: nowrap; text-overflow: ellipsis; }
    """
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("escape", "back", "Back"),
    ]

    def __init__(self, record: Record) -> None:
        super().__init__()
        self.record = record
        self.is_held = False
        """Whether what the next key is meant for is still to come."""

    def compose(self) -> ComposeResult:
        """Heading, list, footer."""
        yield Static(id="heading")
        yield Rows()
        yield Footer()

    def head(self, text: str) -> None:
        """Put the heading."""
        self.query_one("#heading", Static).update(Content(text))

    def fill(self, rows: list[tuple[str, str]], at: str = "") -> None:
        """Fill the list with ids and texts, and highlight one."""
        listed = self.query_one(OptionList)
        listed.clear_options()
        listed.add_options([Option(Content(text), id=id) for id, text in rows])
        ids = [id for id, _ in rows]
        listed.highlighted = ids.index(at) if at in ids else (0 if ids else None)
        listed.focus()

    def fill_once_shown(self, fill: Callable[[], None]) -> None:
        """Fill the list when the screen is there, because it takes a moment; keys wait for it."""
        self.is_held = True
        self.call_after_refresh(self._fill_now, fill)

    def _fill_now(self, fill: Callable[[], None]) -> None:
        fill()
        self.is_held = False

    @property
    def highlighted(self) -> str:
        """The id of the highlighted row, "" for none."""
        listed = self.query_one(OptionList)
        if listed.highlighted is None:
            return ""
        return listed.get_option_at_index(listed.highlighted).id or ""

    def on_option_list_option_selected(self, event: OptionList.OptionSelected) -> None:
        """Enter on a row."""
        event.stop()
        self.chosen(event.option.id or "")

    def chosen(self, id: str) -> None:
        """What Enter on a row does: each list says it for itself, there is no usual way."""
        raise NotImplementedError

    def action_back(self) -> None:
        """Back to the walk."""
        self.dismiss(None)


class DetailedScreen(ListScreen):
    """A list and, beside or below it, more of the highlighted row."""

    DEFAULT_CSS = """
    DetailedScreen #both { height: 1fr; layout: vertical; }
    DetailedScreen OptionList { height: 2fr; }
    DetailedScreen #detail { height: 3fr; border-top: solid $primary-darken-2; padding: 0 1; }
    DetailedScreen.-wide #both { layout: horizontal; }
    DetailedScreen.-wide OptionList { width: 1fr; height: 1fr; }
    DetailedScreen.-wide #detail { width: 1fr; height: 1fr; border-top: none;
                                   border-left: solid $primary-darken-2; }
    """
    HORIZONTAL_BREAKPOINTS = [(0, "-narrow"), (100, "-wide")]  # noqa: RUF012
    BINDINGS: ClassVar[list[BindingType]] = [
        Binding("pagedown,space", "scroll_detail(1)", "More of the reason"),
        Binding("pageup", "scroll_detail(-1)", "Back", show=False),
    ]

    def compose(self) -> ComposeResult:
        """Heading, list, detail, footer."""
        yield Static(id="heading")
        with Container(id="both"):
            yield Rows()
            with VerticalScroll(id="detail", can_focus=False):
                yield Static()
        yield Footer()

    def detail(self, *lines: Content) -> None:
        """Put what stands beside or below the list, from its beginning."""
        self.query_one("#detail Static", Static).update(Content("\n").join(lines))
        self.query_one("#detail").scroll_home(animate=False)

    def action_scroll_detail(self, pages: int) -> None:
        """Turn its pages."""
        detail = self.query_one("#detail")
        (detail.scroll_page_down if pages > 0 else detail.scroll_page_up)(animate=False)


class NarrowedScreen(ListScreen):
    """A list that typing narrows down; `sought` is what was typed."""

    sought = ""

    @property
    def takes_typing(self) -> bool:
        """Whether the list is there to be narrowed down."""
        return True

    def on_key(self, event: events.Key) -> None:
        """Take a character, or the last one back."""
        if not self.takes_typing:
            return
        if event.key == "backspace":
            self.sought = self.sought[:-1]
        elif event.character is not None and event.is_printable:
            self.sought += event.character
        else:
            return
        event.stop()
        self.list_again()

    def typed(self, hint: str) -> str:
        """What was typed, for the heading; the hint as long as there is nothing."""
        return f"'{clean(self.sought)}'" if self.sought else hint

    def list_again(self) -> None:
        """Fill the list with what fits what is sought; each list says for itself what does."""
        raise NotImplementedError
