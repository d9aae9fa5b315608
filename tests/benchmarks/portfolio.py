"""One overview of very many sessions: time and memory as they grow, on one core and on two."""

from __future__ import annotations

import os
import time
from collections.abc import Iterator, Sequence
from pathlib import Path

from tests.benchmarks.commands import command, compiled, peak_mb
from tests.benchmarks.house import house
from tests.benchmarks.measure import Row, seconds, told
from walkthrough.survey.canonical import as_toml

SIZES = (15, 20, 25, 30, 35)
"""Receptacles and other outlets of the homes, in turn."""


def grown(folder: Path, counts: tuple[int, ...]) -> Iterator[Row]:
    """Each number of sessions once, as thousands take minutes; the smallest also on one core."""
    homes = [as_toml(house(size)) for size in SIZES]
    env = compiled(folder)
    asked = {count: _asked(folder / f"portfolio-{count}", homes, count) for count in counts}
    warm_up = _asked(folder / "portfolio-warm-up", homes, 1)
    peak_mb(warm_up, env)
    took: dict[int, float] = {}
    for count, words in asked.items():
        began, worked = time.perf_counter(), _processor_seconds()
        first, others = peak_mb(words, env)
        took[count] = time.perf_counter() - began
        worked = _processor_seconds() - worked
        yield Row(
            f"portfolio of {count} sessions of {SIZES[0]} to {SIZES[-1]} outlets",
            "linear, memory flat",
            f"{told(took[count] / count)} each ({told(took[count])}), "
            f"{told(worked / count)} of processor time",
            f"at most {first:.0f} MB, and {others:.0f} MB for each process that judges",
        )
    alone = [*asked[counts[0]], "--jobs", "1"]
    one = seconds(lambda: peak_mb(alone, env))
    yield Row(
        f"portfolio of {counts[0]} sessions on all cores",
        "at most 0.5x on two",
        f"{took[counts[0]] / one:.2f}x ({told(took[counts[0]])} / {told(one)})",
        "the same on one",
    )


def _processor_seconds() -> float:
    """What all processes that were begun and have ended took of the processors."""
    spent = os.times()
    return spent.children_user + spent.children_system


def _asked(sessions: Path, homes: Sequence[str], count: int) -> list[str]:
    """The command for a folder with so many sessions."""
    sessions.mkdir()
    for number in range(count):
        home = homes[number % len(homes)].replace("Larkspur House", f"Home {number}")
        (sessions / f"home-{number}.toml").write_text(home, encoding="utf-8")
    return command("portfolio", str(sessions), "--format", "html")
