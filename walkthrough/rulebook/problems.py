"""What is wrong with an input file, said once and in the same way everywhere."""

from __future__ import annotations

import difflib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass

MOST_LINES = 12
_NEAR = 0.6
LONGEST = 1200
"""Characters of one message; a list of all that may stand in a place fits."""


@dataclass(frozen=True, order=True)
class Problem:
    """One slip in one file; line and column count from 1, 0 means the file as a whole."""

    path: str
    line: int
    column: int
    message: str

    def __str__(self) -> str:
        where = f"{self.path}:{self.line}:{self.column}" if self.line else self.path
        # Both may quote a file: one line, whatever stands there.
        return f"{clean(_shortened(where))}: {clean(_shortened(self.message))}"


class Unusable(Exception):
    """Raised when an input cannot be used; carries every problem found, not only the first.

    In words, what is wrong in the same way at many places of a file is told once.
    """

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(problems))
        super().__init__("\n".join(_grouped(self.problems)))


def _grouped(problems: Iterable[Problem]) -> Iterator[str]:
    alike: dict[tuple[str, str], list[Problem]] = {}
    for each in problems:
        alike.setdefault((each.path, each.message), []).append(each)
    for first, *more in alike.values():
        if not more:
            yield str(first)
            continue
        lines = [str(each.line) for each in more]
        listed = ", ".join(lines[:MOST_LINES]) + (", ..." if len(lines) > MOST_LINES else "")
        places = "place: line" if len(more) == 1 else "places: lines"
        yield f"{first} (and {len(more)} more {places} {listed})"


def closest(word: str, known: Iterable[str]) -> str:
    """The known word that is nearest to a misspelled one; "" where none is near."""
    words = sorted(set(known))
    # The beginning of a longer word is meant for it.
    begun = [each for each in words if word and each.startswith(word)]
    # By its measure 2 * common / both no word is near to one so long; to look would take minutes.
    is_too_long = len(word) > (2 / _NEAR - 1) * max(map(len, words), default=0)
    if not begun and not is_too_long:
        begun = difflib.get_close_matches(word, words, n=1, cutoff=_NEAR)
    return begun[0] if begun else ""


def expected_of(word: str, known: Iterable[str], shown: Iterable[str]) -> str:
    """The hint where all the words to choose from are listed: each once, the nearest apart."""
    close = closest(word, known)
    told = f"; did you mean '{close}'?" if close else ""
    return f"expected {', '.join(dict.fromkeys(shown))}{told}"


def clean(text: str) -> str:
    """Text from a file cannot steer the terminal, break its line or turn the reading direction."""
    if text.isprintable():
        return text
    return "".join(each if each.isprintable() else "\N{REPLACEMENT CHARACTER}" for each in text)


def _shortened(message: str) -> str:
    if len(message) <= LONGEST:
        return message
    # What was found stands first, what was expected last: both ends are worth reading.
    return f"{message[: LONGEST // 2]} ... {message[-LONGEST // 2 :]}"


def nearest(word: str, known: Iterable[str]) -> str:
    """The hint after a misspelled word: the nearest known word, or the first few there are."""
    words = sorted(set(known))
    close = closest(word, words)
    if close:
        return f"did you mean '{close}'?"
    if not words:
        return "there are none"
    shown = ", ".join(f"'{each}'" for each in words[:8])
    return f"known are {shown}" + (", ..." if len(words) > 8 else "")
