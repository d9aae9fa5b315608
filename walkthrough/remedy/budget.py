"""What to do first where the money does not do for all: the most hazard for a given sum."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from walkthrough.judge.judge import SEVERITIES
from walkthrough.remedy.items import asked, known_cents
from walkthrough.remedy.judges import Breach
from walkthrough.remedy.plan import Part, Plan, make_plan
from walkthrough.remedy.planner import Planner

Weight = tuple[int, ...]
"""How many deficiencies of each severity are cleared, the gravest first."""


@dataclass(frozen=True)
class Step:
    """The work that is chosen for one circuit, and the scope that it clears."""

    scope: str
    part: Part


@dataclass(frozen=True)
class Budget:
    """What is done for a sum, gravest circuits first; `still` is what stays open in the scope."""

    cents: int
    spent: int
    steps: tuple[Step, ...]
    still: tuple[Breach, ...]


@dataclass(frozen=True)
class _Way:
    cents: int
    weight: Weight
    step: Step


def within(plan: Plan, cents: int) -> Budget:
    """The set of works within a sum that clears the most of the gravest, then of the next.

    Each circuit is cleared up to one of the scopes that lie within the plan's own, or not at all;
    of these sets the best is found exactly. Work with a price to ask for is left out.
    """
    planner = plan.planner
    names = list(planner.actions.scopes)
    scopes = names[: names.index(planner.scope) + 1]
    before = planner.broken(())
    ways: dict[str, list[_Way]] = {}
    for name in scopes:
        smaller = replace(planner, scope=name, _benches={}, _places={})
        whole = plan if name == planner.scope else make_plan(smaller, alternatives=False)
        for part in whole.parts:
            if part.items and not asked(part.items):
                weight = _cleared(planner, before, part)
                way = _Way(known_cents(part.items), weight, Step(name, part))
                ways.setdefault(part.name, []).append(way)
    best: dict[int, tuple[Weight, tuple[_Way, ...]]] = {0: ((0,) * len(SEVERITIES), ())}
    for options in ways.values():
        grown = dict(best)
        for spent, (weight, taken) in best.items():
            for way in options:
                total = spent + way.cents
                more = tuple(a + b for a, b in zip(weight, way.weight, strict=True))
                if total <= cents and (total not in grown or more > grown[total][0]):
                    grown[total] = more, (*taken, way)
        best = dict(_worthwhile(grown))
    spent, (_, taken) = max(best.items(), key=lambda each: (each[1][0], -each[0]))
    order = sorted(taken, key=lambda way: way.weight, reverse=True)
    still = planner.broken([way.step.part.solved.work for way in taken])
    return Budget(cents, spent, tuple(way.step for way in order), tuple(still))


def _worthwhile(
    best: dict[int, tuple[Weight, tuple[_Way, ...]]],
) -> Iterator[tuple[int, tuple[Weight, tuple[_Way, ...]]]]:
    """Only sums for which no smaller one clears as much."""
    most: Weight = ()
    for spent in sorted(best):
        if best[spent][0] > most:
            most = best[spent][0]
            yield spent, best[spent]


def _cleared(planner: Planner, before: Iterable[Breach], part: Part) -> Weight:
    left = {each.key for each in planner.broken([part.solved.work])}
    gone = Counter(_severity(planner, each) for each in before if each.key not in left)
    return tuple(gone[each] for each in SEVERITIES)


def _severity(planner: Planner, breach: Breach) -> str:
    return planner.judges.severity(planner.deficient[breach.key])
