"""What is wrong with an input file, said once and in the same way everywhere."""

from __future__ import annotations

import difflib
from collections.abc import Iterable
from dataclasses import dataclass


@dataclass(frozen=True, order=True)
class Problem:
    """One slip in one file; line and column count from 1, 0 means the file as a whole."""

    path: str
    line: int
    column: int
    message: str

    def __str__(self) -> str:
        where = f"{self.path}:{self.line}:{self.column}" if self.line else self.path
        return f"{where}: {self.message}"


class Unusable(Exception):
    """Raised when an input cannot be used; carries every problem found, not only the first."""

    def __init__(self, problems: Iterable[Problem]) -> None:
        self.problems = tuple(sorted(problems))
        super().__init__("\n".join(str(problem) for problem in self.problems))


def nearest(word: str, known: Iterable[str]) -> str:
    """The hint after a misspelled word: the nearest known word, or the first few there are."""
    words = sorted(set(known))
    close = difflib.get_close_matches(word, words, n=1, cutoff=0.6)
    if not close and word:
        # The beginning of a longer word is meant for it.
        close = [each for each in words if each.startswith(word)][:1]
    if close:
        return f"did you mean '{close[0]}'?"
    if not words:
        return "there are none"
    shown = ", ".join(f"'{each}'" for each in words[:8])
    return f"known are {shown}" + (", ..." if len(words) > 8 else "")
