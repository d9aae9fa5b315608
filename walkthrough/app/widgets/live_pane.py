"""The pane that shows what the subject in hand requires, has, lacks and leaves open."""

from __future__ import annotations

from collections.abc import Iterator

from textual.content import Content
from textual.geometry import Region, Size
from textual.scroll_view import ScrollView
from textual.strip import Strip
from textual.visual import Visual
from textual.widget import Widget

from walkthrough.app.demanded import SIGNS
from walkthrough.app.live import Live, Told
from walkthrough.report.text import counted

_SIGN_STYLES = {
    "ok": "bold $text-success",
    "!": "bold $text-error",
    "A": "bold $text-warning",
    "?": "bold $text-warning",
    "-": "$text-muted",
}


class LivePane(ScrollView, can_focus=False, inherit_bindings=False):
    """Two forms: everything, or (where there is little room) one line and a count.

    It scrolls by itself: to lay the whole screen out anew for each text would take longer than all
    else between a key and what is painted for it. The keys of the walk turn its
    pages, also where it has the focus.
    """

    DEFAULT_CSS = """
    LivePane { padding: 0 0 0 1; overflow-x: hidden; }
    """

    def __init__(self, id: str | None = None) -> None:
        super().__init__(id=id)
        # Nothing of it is a link; to look for some in each line takes time.
        self.auto_links = False
        self._live: Live | None = None
        self.is_compact = False
        self._shown = Content("")
        self._strips: list[Strip] = []
        self._drawn_as: tuple[object, ...] = ()

    def show(self, live: Live) -> None:
        """Show another state, from its beginning."""
        self._live = live
        self.refill()
        self.scroll_to(y=0, animate=False)

    def refill(self) -> None:
        """Draw again, in the present form."""
        if self._live is not None:
            lines = _compact(self._live) if self.is_compact else _full(self._live)
            content = Content("\n").join(lines)
            if content != self._shown:
                self._shown = content
                self._fit()
                self.refresh()

    def on_resize(self) -> None:
        """Wrap to the new width."""
        self._fit()

    def render(self) -> Content:
        """All that is told, also what does not fit."""
        return self._shown

    def render_lines(self, crop: Region) -> list[Strip]:
        """The lines in view."""
        self._draw()
        return super().render_lines(crop)

    def render_line(self, y: int) -> Strip:
        """One of the lines in view."""
        at = y + self.scroll_offset.y
        if at < len(self._strips):
            return self._strips[at]
        return Strip.blank(self._width, self.visual_style.rich_style)

    @property
    def _width(self) -> int:
        """So many cells hold text; the last one keeps it apart from the bar and the edge."""
        return max(0, self.scrollable_content_region.width - 1)

    def _draw(self) -> None:
        """Draw all lines, once for each text, width and look."""
        style, width = self.visual_style, self._width
        wanted = (self._shown, width, style, self.text_selection)
        if wanted != self._drawn_as:
            self._strips = Visual.to_strips(self, self._shown, width, None, style)
            self._drawn_as = wanted

    def _fit(self) -> None:
        """Tell the scroll bar how much there is; only where it comes or goes all is laid out."""
        self._draw()
        needed = len(self._strips)
        self.set_reactive(Widget.virtual_size, Size(self._width, needed))
        if (needed > self.scrollable_content_region.height) != self.show_vertical_scrollbar:
            self.refresh(layout=True)
        elif self.show_vertical_scrollbar:
            self.vertical_scrollbar.window_virtual_size = needed


def _full(live: Live) -> Iterator[Content]:
    for each in live.demanded:
        sign = SIGNS[each.standing]
        asked: str = each.standing
        if each.sections and each.standing != "disputed":
            asked = "asked"
        elif each.standing == "open":
            asked = "asked? open"
        yield Content.assemble(
            (f"{each.topic:<5}", "bold"),
            (f"{sign:>2} ", _SIGN_STYLES[sign]),
            f"{asked}; {each.told}",
        )
        if each.sections:
            yield Content.assemble(("        " + ", ".join(each.sections), "$text-muted"))
    yield from _part("Deficiencies", live.deficient, "none so far" if live.demanded else "none")
    yield from (_told(pattern) for pattern in live.patterns)
    if live.ask:
        yield from _part("Ask the authority having jurisdiction", live.ask, "")
    yield from _part("Still open", live.open, "nothing")
    if live.carried:
        yield Content("")
        yield Content(f"{counted(live.carried, 'answer')} copied, not looked at here")
    if live.kept:
        yield Content("")
    yield from (_told(each) for each in live.kept)


def _part(heading: str, told: tuple[Told, ...], nothing: str) -> Iterator[Content]:
    yield Content("")
    count = f" ({len(told)})" if told else f": {nothing}"
    yield Content.assemble((heading + count, "bold"))
    for each in told:
        yield _told(each)


def _told(told: Told) -> Content:
    style = _SIGN_STYLES.get(told.sign, "bold")
    return Content.assemble((f"{told.sign} ", style), told.text, ("  " + told.small, "$text-muted"))


def _compact(live: Live) -> Iterator[Content]:
    parts: list[Content] = []
    for each in live.demanded:
        sign = SIGNS[each.standing]
        # The word says more than the sign, and one line must hold all of them.
        shown = {"ok": "there", "!": "missing"}.get(sign, sign)
        parts.append(Content.assemble((f"{each.topic} ", "bold"), (shown, _SIGN_STYLES[sign])))
    ask = f"{len(live.ask)} ask, " if live.ask else ""
    counts = f"{len(live.deficient)} deficient, {ask}{len(live.open)} open"
    copied = f", {live.carried} copied" if live.carried else ""
    yield Content("  ").join([*parts, Content(f"{counts}{copied} [F6]")])
    for told in (*live.deficient, *live.patterns, *live.ask, *live.kept):
        yield _told(told)
