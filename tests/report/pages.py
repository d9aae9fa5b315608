"""Reads a page as a browser or a screen reader does, so that tests can say what is on it."""

from __future__ import annotations

import re
from html.parser import HTMLParser

EMPTY = {"meta", "br", "img"}
INLINE = {"strong", "span", "a", "em"}


class Page(HTMLParser):
    """A page taken apart: elements in order, their attributes, and the text that is shown.

    What drawings are made of stands apart, in `drawn`: how many strokes there are may depend on how
    long a name is.
    """

    def __init__(self, html: str) -> None:
        super().__init__()
        self.tags: list[str] = []
        self.attributes: list[tuple[str, dict[str, str | None]]] = []
        self.drawn: list[tuple[str, dict[str, str | None]]] = []
        self.headings: list[tuple[int, str]] = []
        self.tables: list[set[str]] = []
        self.links: list[tuple[str, str]] = []
        self._open: list[str] = []
        self._shown: list[str] = []
        self.feed(html)
        self.close()

    def handle_starttag(self, tag: str, attrs: list[tuple[str, str | None]]) -> None:
        if "svg" in self._open:
            self.drawn.append((tag, dict(attrs)))
        else:
            self.tags.append(tag)
            self.attributes.append((tag, dict(attrs)))
        self._apart(tag)
        if tag not in EMPTY:
            self._open.append(tag)
        if tag in ("h1", "h2", "h3", "h4"):
            self.headings.append((int(tag[1]), ""))
        if tag == "table":
            self.tables.append(set())
        if tag == "a":
            self.links.append((dict(attrs).get("href") or "", ""))

    def handle_endtag(self, tag: str) -> None:
        assert self._open.pop() == tag
        self._apart(tag)

    def _apart(self, tag: str) -> None:
        """Cells, lines and paragraphs stand apart from each other."""
        if tag not in INLINE:
            self._shown.append(" ")

    def handle_data(self, data: str) -> None:
        if "style" in self._open:
            return
        self._shown.append(data)
        if self._open and self._open[-1] == "a":
            self.links[-1] = (self.links[-1][0], data)
        if any(tag in self._open for tag in ("h1", "h2", "h3", "h4")):
            level, text = self.headings[-1]
            self.headings[-1] = (level, text + data)
        if "caption" in self._open:
            self.tables[-1].add(data)

    @property
    def text(self) -> str:
        """All that is shown, as one line."""
        return " ".join("".join(self._shown).split())

    @property
    def still_open(self) -> list[str]:
        return self._open


def numbers(text: str) -> set[float]:
    """Every number in a text; a fingerprint is one word and no numbers."""
    plain = re.sub(r"sha256:[0-9a-f]+", "", text)
    return {float(each) for each in re.findall(r"\d+(?:\.\d+)?", plain)}
