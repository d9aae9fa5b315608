"""What the drawings of a report are made of: shapes, how wide text is, and pages of them.

Lengths are units of the drawing; shown at its own size, one is a pixel of a screen. A drawing is a
pile of bands, one above the other, each with all of its shapes within it: so nothing that is added
below can come to lie on what is above, and a long drawing can be parted between any two bands.
"""

from __future__ import annotations

import unicodedata
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, replace
from typing import Literal

from walkthrough.report.text import one_line

WIDTH = 430.0
"""The least width of a drawing: on a telephone it is still read at eight tenths of its size."""
PAGE = 860.0
"""The most height of a drawing, so that it fits on a printed page."""
ROW = 24.0
"""The height of a row of chips."""
CHIP = 20.0
MARK = 18.0
NAME, SOFT = 13.0, 12.0
"""Sizes of letters: of names, and of what is said of them."""

Hatch = Literal["", "slant", "level", "cross", "solid"]
Sure = Literal["sure", "unsure", "unknown"]


@dataclass(frozen=True)
class Text:
    """One line of text that begins at `x` on the line `y`, no longer than `room`."""

    x: float
    y: float
    text: str
    room: float
    size: float = NAME
    is_bold: bool = False


@dataclass(frozen=True)
class Box:
    """A rectangle, filled with strokes that can be told apart without colour."""

    x: float
    y: float
    width: float
    height: float
    hatch: Hatch = ""
    line: Sure = "sure"

    @property
    def strokes(self) -> str:
        """The strokes that fill it, as the path of an SVG."""
        return " ".join(
            f"M{x1:g} {y1:g}L{x2:g} {y2:g}" for x1, y1, x2, y2 in _STROKES[self.hatch](self)
        )


@dataclass(frozen=True)
class Line:
    """A straight line from one point to another; a wide one comes from LOAD terminals."""

    x1: float
    y1: float
    x2: float
    y2: float
    line: Sure = "sure"
    is_wide: bool = False


@dataclass(frozen=True)
class Mark:
    """What is the matter at a place: a letter in a shape of its own, its middle at `x`, `y`."""

    x: float
    y: float
    word: str
    is_framed: bool = False


Shape = Text | Box | Line | Mark

LETTERS = {
    "hazard": "H",
    "serious": "S",
    "upgrade": "U",
    "info": "i",
    "not tested": "?",
    "open": "o",
    "nothing": "",
}
"""The letter of each mark, gravest first."""


@dataclass(frozen=True)
class Band:
    """A strip of a drawing; its shapes lie between 0 and its height."""

    height: float
    shapes: tuple[Shape, ...] = ()


@dataclass(frozen=True)
class Drawing:
    """One picture: `title` names it, `told` says in words what it shows."""

    id: str
    title: str
    told: str
    width: float
    height: float
    shapes: tuple[Shape, ...]

    @property
    def texts(self) -> list[Text]:
        return [each for each in self.shapes if isinstance(each, Text)]

    @property
    def boxes(self) -> list[Box]:
        return [each for each in self.shapes if isinstance(each, Box)]

    @property
    def lines(self) -> list[Line]:
        return [each for each in self.shapes if isinstance(each, Line)]

    @property
    def marks(self) -> list[Mark]:
        return [each for each in self.shapes if isinstance(each, Mark)]


def letter(mark: Mark) -> str:
    """The letter in a mark."""
    return LETTERS[mark.word]


def width_of(text: str, size: float = NAME, is_bold: bool = False) -> float:
    """The most that a text takes in the usual fonts without serifs: their widest letters count."""
    return sum(_widest(each) for each in text) * size * (1.12 if is_bold else 1.0)


def _widest(letter: str) -> float:
    """What a letter takes in DejaVu Sans, the widest of the usual fonts, as parts of its size."""
    if letter in "ijlI.,:;'|/ ":
        return 0.34
    if letter in "frt!()[]-":
        return 0.42
    if letter in "mwMW@%\N{HORIZONTAL ELLIPSIS}" or unicodedata.east_asian_width(letter) in "WF":
        return 1.0
    if unicodedata.combining(letter):
        return 0.0
    return 0.64 if letter.isascii() and not letter.isupper() else 0.8


def shortened(text: str, room: float, size: float = NAME, is_bold: bool = False) -> str:
    """The text as it fits: one line, its end left out where there is no room for it."""
    text = one_line(text)
    if width_of(text, size, is_bold) <= room:
        return text
    left = room - width_of("\N{HORIZONTAL ELLIPSIS}", size, is_bold)
    kept = 0
    for each in text:
        left -= width_of(each, size, is_bold)
        if left < 0:
            break
        kept += 1
    return text[:kept].rstrip() + "\N{HORIZONTAL ELLIPSIS}"


def written(
    x: float, y: float, text: str, room: float, size: float = NAME, is_bold: bool = False
) -> Text:
    """A text shortened to its room."""
    return Text(x, y, shortened(text, room, size, is_bold), room, size, is_bold)


def moved(shape: Shape, down: float) -> Shape:
    """The same shape further down."""
    if isinstance(shape, Line):
        return replace(shape, y1=shape.y1 + down, y2=shape.y2 + down)
    return replace(shape, y=shape.y + down)


def piled(
    id: str,
    title: str,
    told: str,
    parts: Sequence[Sequence[Band]],
    width: float = WIDTH,
    again: Band | None = None,
) -> list[Drawing]:
    """Bands as drawings that each fit on a page; a part goes on another page where it fits there.

    A part that is longer than a page is parted between its bands. `again` begins each page but
    the first.
    """
    anew = [again] if again is not None else []
    pages: list[list[Band]] = [[]]
    for part in parts:
        height = sum(band.height for band in part)
        if _height(pages[-1]) and _height(pages[-1]) + height > PAGE >= height:
            pages.append(anew[:])
        for band in part:
            if _height(pages[-1]) + band.height > PAGE:
                pages.append(anew[:])
            pages[-1].append(band)
    return [
        Drawing(
            f"{id}-{number}",
            title if number == 1 else f"{title}, continued",
            told,
            width,
            _height(page),
            tuple(_shapes(page)),
        )
        for number, page in enumerate(pages, 1)
        if page
    ]


def _height(bands: Iterable[Band]) -> float:
    return sum(band.height for band in bands)


def _shapes(bands: Iterable[Band]) -> list[Shape]:
    shapes: list[Shape] = []
    down = 0.0
    for band in bands:
        shapes += [moved(each, down) for each in band.shapes]
        down += band.height
    return shapes


def chips(
    named: Sequence[tuple[str, str]], x: float, width: float, line: Sure = "sure"
) -> list[Band]:
    """Outlets as chips, each a name with its mark, in rows from `x` on."""
    rows: list[list[Shape]] = [[]]
    at = x
    for name, word in named:
        # A name may take a row of its own, never more.
        text = shortened(name, width - x - MARK - 12, SOFT)
        long = width_of(text, SOFT) + MARK + 10
        if at > x and at + long > width:
            rows.append([])
            at = x
        rows[-1] += [
            Box(at, 2, long, CHIP, line=line),
            Mark(at + 2 + MARK / 2, 2 + CHIP / 2, word),
            Text(at + MARK + 6, 2 + CHIP / 2 + SOFT * 0.36, text, long - MARK - 6, SOFT),
        ]
        at += long + 6
    return [Band(ROW, tuple(row)) for row in rows if row]


Stroke = tuple[float, float, float, float]
_APART = 5.0


def _slants(box: Box) -> list[Stroke]:
    """Strokes from lower left to upper right, cut at the edges of the box."""
    found: list[Stroke] = []
    offset = _APART
    while offset < box.width + box.height:
        x1, y1 = min(offset, box.width), max(0.0, offset - box.width)
        x2, y2 = max(0.0, offset - box.height), min(offset, box.height)
        found.append((box.x + x1, box.y + y1, box.x + x2, box.y + y2))
        offset += _APART
    return found


def _levels(box: Box) -> list[Stroke]:
    count = int((box.height - 1) // _APART)
    rows = (box.y + _APART * (each + 0.5) for each in range(count + 1))
    return [(box.x, y, box.x + box.width, y) for y in rows if y < box.y + box.height]


def _crossed(box: Box) -> list[Stroke]:
    """The slanted strokes, and the same seen in a mirror."""
    mirror = 2 * box.x + box.width
    slants = _slants(box)
    return [*slants, *((mirror - x1, y1, mirror - x2, y2) for x1, y1, x2, y2 in slants)]


_STROKES: dict[Hatch, Callable[[Box], list[Stroke]]] = {
    "": lambda _: [],
    "solid": lambda _: [],
    "slant": _slants,
    "level": _levels,
    "cross": _crossed,
}
