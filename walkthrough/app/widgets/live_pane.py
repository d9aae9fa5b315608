"""The pane that shows what the subject in hand requires, has, lacks and leaves open."""

from __future__ import annotations

from collections.abc import Iterator

from textual.content import Content
from textual.widgets import Static

from walkthrough.app.demanded import SIGNS
from walkthrough.app.live import Live, Told

_SIGN_STYLES = {
    "ok": "bold $text-success",
    "!": "bold $text-error",
    "A": "bold $text-warning",
    "?": "bold $text-warning",
    "-": "$text-muted",
}


class LivePane(Static):
    """Two forms: everything, or (where there is little room) one line and a count."""

    DEFAULT_CSS = """
    LivePane { padding: 0 1; min-height: 100%; }
    """

    def __init__(self) -> None:
        super().__init__()
        self._live: Live | None = None
        self.is_compact = False
        self._shown = Content("")
        self._needed = 0

    def show(self, live: Live) -> None:
        """Show another state."""
        self._live = live
        self.refill()

    def refill(self) -> None:
        """Draw again, in the present form."""
        if self._live is not None:
            lines = _compact(self._live) if self.is_compact else _full(self._live)
            content = Content("\n").join(lines)
            if content != self._shown:
                width, high = self.content_size
                needed = content.get_height({}, width) if width else 0
                # Laying the screen out anew costs more than drawing what stands on it.
                has_room = self._needed < high and needed <= high
                self._shown, self._needed = content, needed
                self.update(content, layout=not has_room)


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
        yield Content(f"{live.carried} answers copied, not looked at here")
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
