"""Headless commands, as processes of their own."""

from __future__ import annotations

import subprocess
import sys
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.house import house
from tests.benchmarks.measure import Row, in_turn, ratio
from walkthrough.survey import store

_LOAD = "import sys, tomllib; tomllib.load(open(sys.argv[1], 'rb'))"
_PEAK = (
    "import resource, sys; from walkthrough.cli import main; main(sys.argv[1:]); "
    "print(resource.getrusage(resource.RUSAGE_SELF).ru_maxrss, file=sys.stderr)"
)


def replayed(folder: Path, outlets: int, repeats: int) -> Iterator[Row]:
    """One large session judged again."""
    path = folder / "large.toml"
    store.save(house(outlets), path)
    replay = [sys.executable, "-m", "walkthrough", "replay", str(path), "--format", "json"]
    load = [sys.executable, "-c", _LOAD, str(path)]
    yield Row(
        f"replay of a session of {outlets} outlets",
        "at most 3x",
        ratio(*in_turn(lambda: _run(replay), lambda: _run(load), repeats=repeats)),
        "Python starts and reads the TOML",
    )


def many(folder: Path, outlets: int, counts: tuple[int, ...], repeats: int) -> Iterator[Row]:
    """Many sessions in one run: the time and the memory of each further one."""
    session = house(outlets)
    paths = [folder / f"session-{number}.toml" for number in range(max(counts))]
    for path in paths:
        store.save(session, path)
    runs = [
        [sys.executable, "-c", _PEAK, "replay", *map(str, paths[:count]), "--format", "json"]
        for count in counts
    ]
    columns = in_turn(*(lambda run=run: _run(run) for run in runs), repeats=repeats)
    for count, run, column in zip(counts, runs, columns, strict=True):
        yield Row(
            f"replay of {count} sessions of {outlets} outlets",
            "linear, memory flat",
            f"{sorted(column)[len(column) // 2] / count:.2f} s each",
            f"at most {_peak_mb(run):.0f} MB of memory",
        )


def _run(command: list[str]) -> None:
    subprocess.run(command, check=True, capture_output=True)


def _peak_mb(command: list[str]) -> float:
    done = subprocess.run(command, check=True, capture_output=True, text=True)
    in_kb = sys.platform != "darwin"
    return int(done.stderr.split()[-1]) / (1024 if in_kb else 1024**2)
