"""How long the plan of one circuit takes, by its number of outlets."""

from __future__ import annotations

import statistics
import time
from collections.abc import Sequence

from tests.benchmarks.measure import Row
from tests.remedy.houses import house, planner
from walkthrough.remedy.planner import Planner
from walkthrough.survey.model import PANEL, Session


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


def one_circuit(sizes: Sequence[int], seeds: int) -> list[Row]:
    """A line for each size, for circuits as houses have them and for such as are all different."""
    rows = []
    for kind in (alike, different):
        seconds(planner(kind(0, 3)))
        for count in sizes:
            took = [seconds(planner(kind(seed, count))) for seed in range(seeds)]
            judged = statistics.median(each for each, _ in took)
            plans = sorted(each for _, each in took)
            rows.append(
                Row(
                    f"plan of a circuit of {count} outlets, {kind.__name__}",
                    "under 50 ms" if count == 15 else "",
                    f"{1000 * statistics.median(plans):.0f} ms, slowest {1000 * plans[-1]:.0f}",
                    f"judging it before: {1000 * judged:.0f} ms",
                )
            )
    return rows
