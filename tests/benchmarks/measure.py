"""Measures two things in turn, so that whatever else the machine does falls on both alike."""

from __future__ import annotations

import gc
import statistics
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass

WARM_UP = 2


@dataclass(frozen=True)
class Row:
    """One line of the table: what was measured, the figure to reach, and what came out."""

    what: str
    figure: str
    measured: str
    beside: str = ""


def seconds(do: Callable[[], object]) -> float:
    """How long something takes once."""
    began = time.perf_counter()
    do()
    return time.perf_counter() - began


def in_turn(*things: Callable[[], object], repeats: int) -> list[list[float]]:
    """The seconds of each thing, taken in turn over and over after a warm-up."""
    for _ in range(min(WARM_UP, repeats)):
        for each in things:
            each()
    gc.collect()
    rounds = [[seconds(each) for each in things] for _ in range(repeats)]
    return [list(column) for column in zip(*rounds, strict=True)]


def percentile(found: Sequence[float], share: float) -> float:
    """The value below which that share of what was found lies."""
    ordered = sorted(found)
    return ordered[min(len(ordered) - 1, int(share * len(ordered)))]


def ratio(ours: Sequence[float], theirs: Sequence[float]) -> str:
    """How many times as long, by the medians, with both."""
    mine, other = statistics.median(ours), statistics.median(theirs)
    return f"{mine / other:.2f}x ({told(mine)} / {told(other)})"


def told(value: float) -> str:
    """Seconds as a person reads them."""
    if value < 1e-3:
        return f"{value * 1e6:.1f} us"
    return f"{value * 1e3:.1f} ms" if value < 1 else f"{value:.2f} s"


def table(rows: Sequence[Row]) -> str:
    """The rows as a table in Markdown."""
    lines = ["| what | figure | measured | beside it |", "|---|---|---|---|"]
    return "\n".join(
        [
            *lines,
            *(
                f"| {each.what} | {each.figure} | {each.measured} | {each.beside} |"
                for each in rows
            ),
        ]
    )
