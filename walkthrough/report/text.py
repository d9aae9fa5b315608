"""Texts of a record made fit for a screen or a page."""

from __future__ import annotations

import textwrap
from collections.abc import Iterable, Iterator

from walkthrough.rulebook.problems import clean

WIDTH = 96
_DEEPEST = 48

__all__ = ["WIDTH", "clean", "counted", "heading", "joined", "one_line", "wrapped"]


def one_line(text: str) -> str:
    """Clean text without line ends and runs of blanks, as it stands in a page or a cell."""
    return clean(" ".join(text.split()))


def joined(parts: Iterable[str], by: str = ", ") -> str:
    """The parts that say something."""
    return by.join(part for part in parts if part)


def counted(many: int, one: str, several: str = "") -> str:
    """So many of something: "1 finding", "2 findings"; `several` where an s does not make it."""
    return f"{many} {one if many == 1 else several or one + 's'}"


def heading(text: str) -> Iterator[str]:
    """A line above, the heading, and a rule under it."""
    yield from ("", text, "-" * min(len(text), WIDTH))


def wrapped(text: str, first: str = "") -> Iterator[str]:
    """Lines of text, the later ones as deep as what stands before the first one."""
    if len(first) > _DEEPEST:
        # A name may be as long as anybody likes; what follows must still have room.
        text, first = f"{first}{text}", ""
    yield from textwrap.wrap(
        text,
        WIDTH,
        initial_indent=first,
        subsequent_indent=" " * len(first),
        # Names such as K-1 and GFCI20-TR stay whole.
        break_on_hyphens=False,
    ) or [first]
