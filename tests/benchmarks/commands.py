"""Headless commands, as processes of their own."""

from __future__ import annotations

import os
import statistics
import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.house import house
from tests.benchmarks.measure import Row, in_turn, ratio
from walkthrough.survey import store

_LOAD = "import sys, tomllib; tomllib.load(open(sys.argv[1], 'rb'))"
_PEAK = (
    "import resource as r, sys; from walkthrough.cli import main; main(sys.argv[1:]); "
    "print(*(r.getrusage(each).ru_maxrss for each in (r.RUSAGE_SELF, r.RUSAGE_CHILDREN)), "
    "file=sys.stderr)"
)


def replayed(folder: Path, outlets: int, repeats: int) -> Iterator[Row]:
    """One large session judged again."""
    path = folder / "large.toml"
    store.save(house(outlets), path)
    replay = [sys.executable, "-m", "walkthrough", "replay", str(path), "--format", "json"]
    load = [sys.executable, "-c", _LOAD, str(path)]
    env = compiled(folder)
    yield Row(
        f"replay of a session of {outlets} outlets",
        "at most 3x",
        ratio(*in_turn(lambda: run(replay, env), lambda: run(load, env), repeats=repeats)),
        "Python starts and reads the TOML",
    )


def many(folder: Path, outlets: int, counts: tuple[int, ...], repeats: int) -> Iterator[Row]:
    """Many sessions in one run: the time and the memory of each further one."""
    session = house(outlets)
    paths = [folder / f"session-{number}.toml" for number in range(max(counts))]
    for path in paths:
        store.save(session, path)
    env = compiled(folder)
    asked = [["replay", *map(str, paths[:count]), "--format", "json"] for count in counts]
    columns = in_turn(
        *(lambda each=each: run(command(*each), env) for each in asked), repeats=repeats
    )
    for count, each, column in zip(counts, asked, columns, strict=True):
        first, others = peak_mb(command(*each), env)
        yield Row(
            f"replay of {count} sessions of {outlets} outlets",
            "linear, memory flat",
            f"{statistics.median(column) / count:.2f} s each",
            f"at most {max(first, others):.0f} MB of memory",
        )
    two, one = (command(*asked[-1], "--jobs", jobs) for jobs in ("2", "1"))
    yield Row(
        f"replay of {counts[-1]} sessions on two cores",
        "at most 0.5x",
        ratio(*in_turn(lambda: run(two, env), lambda: run(one, env), repeats=repeats)),
        "the same on one",
    )


def command(*arguments: str) -> list[str]:
    """The program, as a process that tells its memory at the end."""
    return [sys.executable, "-c", _PEAK, *arguments]


def compiled(folder: Path) -> dict[str, str]:
    """An environment in which modules are compiled once, as they are where pip installed them."""
    kept = {name: each for name, each in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    return {**kept, "PYTHONPYCACHEPREFIX": str(folder / "compiled")}


def run(words: list[str], env: dict[str, str]) -> str:
    """Run a process; returns what it says on its error stream."""
    return subprocess.run(words, check=True, capture_output=True, text=True, env=env).stderr


def peak_mb(words: list[str], env: dict[str, str]) -> tuple[float, float]:
    """The most memory that the process took, and the most that one of those it began took."""
    in_kb = sys.platform != "darwin"
    own, others = (int(each) / (1024 if in_kb else 1024**2) for each in run(words, env).split())
    return own, others
