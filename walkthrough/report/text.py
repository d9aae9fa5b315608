"""Texts of a record made fit for a screen or a page."""

from __future__ import annotations

from collections.abc import Iterable


def clean(text: str) -> str:
    """Text from a record cannot steer the terminal or turn the reading direction."""
    return "".join(each if each.isprintable() else "\N{REPLACEMENT CHARACTER}" for each in text)


def one_line(text: str) -> str:
    """Clean text without line ends and runs of blanks, as it stands in a page or a cell."""
    return clean(" ".join(text.split()))


def joined(parts: Iterable[str], by: str = ", ") -> str:
    """The parts that say something."""
    return by.join(part for part in parts if part)
