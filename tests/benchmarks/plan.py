"""How long the plan of one circuit takes, by its number of outlets: run as a module."""

from __future__ import annotations

import statistics
import time

from tests.remedy.houses import house, planner
from walkthrough.remedy.planner import Planner
from walkthrough.survey.model import PANEL, Session

SIZES = (5, 10, 15, 20, 40, 80)
SEEDS = range(7)


def different(seed: int, count: int) -> Session:
    """A circuit on which no two outlets are alike: rooms, devices and readings drawn by chance."""
    return house(seed, 1, count, exactly=True)


def alike(seed: int, count: int) -> Session:
    """A circuit as houses have them: outlets of two rooms, all of three kinds, one after another."""
    session = house(seed, 1, 3, exactly=True)
    kinds = session.outlets
    outlets = [
        kinds[number % 3].model_copy(
            update={
                "id": f"C1-{number + 1}",
                "room": kinds[0].room if number < count / 2 else kinds[1].room,
                "fed_from": f"C1-{number}" if number else PANEL,
                "side": "through",
                "order_known_by": "inferred",
            }
        )
        for number in range(count)
    ]
    return session.model_copy(update={"outlets": outlets, "trips": []})


def seconds(made: Planner) -> tuple[float, float]:
    """Processor time to judge what was found, and to plan its only circuit after that."""
    start = time.process_time()
    _ = made.aim
    judged = time.process_time()
    made.solve(made.groups[0])
    return judged - start, time.process_time() - judged


def main() -> None:
    """Print the times by size, for circuits of both kinds."""
    for kind in (alike, different):
        seconds(planner(kind(0, 5)))
        print(f"{kind.__name__} outlets   judging before   plan, median   plan, slowest   (ms)")
        for count in SIZES:
            took = [seconds(planner(kind(seed, count))) for seed in SEEDS]
            judged = statistics.median(each for each, _ in took)
            plans = [each for _, each in took]
            print(
                f"{count:15d} {1000 * judged:16.1f} {1000 * statistics.median(plans):14.1f} "
                f"{1000 * max(plans):15.1f}"
            )


if __name__ == "__main__":
    main()
