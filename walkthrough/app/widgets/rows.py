"""A list to choose from: a sign stands before the row in hand, and it ends where it ends."""

from __future__ import annotations

from collections.abc import Callable

from rich.segment import Segment
from textual import events
from textual.strip import Strip
from textual.widgets import OptionList

IN_HAND, OTHER = "> ", "  "
"""What stands before the row in hand, and before any other."""


class Rows(OptionList):
    """A click highlights a row, another one on it does what Enter does, as in a table."""

    # What stands before each row takes the place of padding.
    DEFAULT_CSS = """
    Rows { height: 1fr; }
    Rows, Rows:focus { border: none; padding: 0 1 0 0; }
    """

    is_held = False
    """Whether a page is still to be turned: before it is laid out it knows none."""

    def on_click(self, event: events.Click) -> None:
        """Keep the list's own way, to choose at once, from what is not highlighted yet."""
        row = event.style.meta.get("option")
        if row is not None and row != self.highlighted:
            self.highlighted = row
            event.prevent_default()

    def action_cursor_down(self) -> None:
        """One row down; the last one stays."""
        if self.highlighted is None or self.highlighted < self.option_count - 1:
            super().action_cursor_down()

    def action_cursor_up(self) -> None:
        """One row up; the first one stays."""
        if self.highlighted is None or self.highlighted > 0:
            super().action_cursor_up()

    def action_page_down(self) -> None:
        """One page down."""
        self._turn(super().action_page_down)

    def action_page_up(self) -> None:
        """One page up."""
        self._turn(super().action_page_up)

    def _turn(self, page: Callable[[], None]) -> None:
        if self.scrollable_content_region:
            page()
        elif not self.is_held:
            self.is_held = True
            self.call_after_refresh(self._turn_once_laid_out, page)

    def _turn_once_laid_out(self, page: Callable[[], None]) -> None:
        self.is_held = False
        # In a window of a few lines there may be no room for it at all.
        if self.scrollable_content_region:
            page()

    def render_line(self, y: int) -> Strip:
        """A line with the sign before it: no meaning hangs on colour alone."""
        line = super().render_line(y)
        first = next(iter(line), None)
        if first is None or first.style is None or "option" not in first.style.meta:
            return line
        at = first.style.meta["option"]
        is_first = y == 0 or self._option_in(y - 1) != at
        sign = IN_HAND if is_first and at == self.highlighted else OTHER
        return Strip([Segment(sign, first.style), *line])

    def _option_in(self, y: int) -> int | None:
        first = next(iter(super().render_line(y)), None)
        meta = first.style.meta if first is not None and first.style is not None else {}
        return meta.get("option")

    def _get_left_gutter_width(self) -> int:
        return len(OTHER)
