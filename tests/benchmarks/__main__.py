"""Prints the table of all measurements: `python -m tests.benchmarks [--small] [NAME...]`."""

from __future__ import annotations

import argparse
import os
import tempfile
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from tests.benchmarks import commands, engines, judging, plan, portfolio, saving, screens
from tests.benchmarks.measure import Row, table

Measured = Callable[[Path, bool], Iterable[Row]]

ALL: dict[str, Measured] = {
    "judging": lambda folder, small: judging.beside_by_hand(
        folder, *(20, 2) if small else (500, 40)
    ),
    "engines": lambda folder, small: engines.beside_engines(
        folder, *(5, 1) if small else (200, 15)
    ),
    "rejudging": lambda _, small: judging.after_one_answer(*(20, 2) if small else (200, 30)),
    "question": lambda folder, small: screens.next_question(
        folder, *(20, 2) if small else (200, 200)
    ),
    "start": lambda folder, small: screens.first_frame(folder, 1 if small else 15),
    "replay": lambda folder, small: commands.replayed(folder, *(20, 1) if small else (200, 11)),
    "saving": lambda folder, small: saving.one_answer(folder, *(20, 2) if small else (200, 60)),
    "growth": lambda _, small: judging.growth(
        (10, 20) if small else (50, 100, 200, 400), 1 if small else 7
    ),
    "plan": lambda _, small: plan.one_circuit(
        (3,) if small else (5, 10, 15, 20, 40), 1 if small else 7
    ),
    "many": lambda folder, small: commands.many(
        folder, *(10, (1, 2), 1) if small else (50, (1, 4, 16), 3)
    ),
    "portfolio": lambda folder, small: portfolio.grown(
        folder, (4, 8) if small else (500, 1000, 2000)
    ),
}


def main(arguments: Sequence[str] | None = None) -> int:
    """Measure what is named, or everything."""
    parser = argparse.ArgumentParser(prog="python -m tests.benchmarks", description=__doc__)
    parser.add_argument(
        "name", nargs="*", help=f"of: {', '.join(ALL)}; all of them if none is named"
    )
    parser.add_argument("--small", action="store_true", help="tiny sizes, to see that it runs")
    chosen = parser.parse_args(arguments)
    unknown = [name for name in chosen.name if name not in ALL]
    if unknown:
        parser.error(f"found '{unknown[0]}'; expected one of {', '.join(ALL)}")
    rows: list[Row] = []
    with tempfile.TemporaryDirectory() as folder:
        for name in chosen.name or ALL:
            rows += ALL[name](Path(folder), chosen.small)
    print(f"{os.cpu_count()} cores; a / b: ours beside the other, by the medians of runs in turn")
    print(table(rows))
    return 0


if __name__ == "__main__":
    raise SystemExit(main())
