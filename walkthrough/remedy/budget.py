"""What to do first where the money does not do for all: the most hazard for a given sum.

For each group of circuits and each set of its deficiencies, the planner finds the cheapest work
that clears at least these: so what a sum can do is known for every set of deficiencies, whatever
parts it takes, and the best choice over all groups is found exactly. A set that a cheaper work
clears on the way is not solved again, and none that already costs more than the sum is added to.
Where a group has too many deficiencies for that, some go together, and the plan says so.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from walkthrough.judge.judge import SEVERITIES
from walkthrough.remedy.items import Item, asked, items_of, known_cents
from walkthrough.remedy.judges import Breach
from walkthrough.remedy.loosen import Broken
from walkthrough.remedy.panels import at_panel
from walkthrough.remedy.plan import Plan
from walkthrough.remedy.planner import Planner, Solved
from walkthrough.remedy.work import Work
from walkthrough.survey.model import Circuit, Panel, Subject

Weight = tuple[int, ...]
"""How many deficiencies of each severity are cleared, the gravest first."""

FEW = 6
"""Of how many deficiencies of one group every set is solved; of more, some go together."""


@dataclass(frozen=True)
class Step:
    """The work that is chosen for one group of circuits or one panel, and what it clears."""

    name: str
    items: tuple[Item, ...]
    work: Work
    clears: tuple[Breach, ...]


@dataclass(frozen=True)
class Budget:
    """What is done for a sum, gravest first; `still` is what stays open in the scope.

    `exact`: no other work from the list of actions clears more for the sum. `bundled` are the
    groups with so many deficiencies that those of one place were taken together.
    """

    cents: int
    spent: int
    steps: tuple[Step, ...]
    still: tuple[Breach, ...]
    bundled: tuple[str, ...] = ()

    @property
    def exact(self) -> bool:
        return not self.bundled


@dataclass(frozen=True)
class _Way:
    cents: int
    weight: Weight
    step: Step


def within(plan: Plan, cents: int) -> Budget:
    """The set of works within a sum that clears the most of the gravest, then of the next.

    Of sets that clear as much the cheapest is taken. Work with a price to ask for is left out.
    """
    planner = plan.planner
    if plan.proven and not plan.unsolved and not asked(plan.items) and plan.sum.cents <= cents:
        return _all_of(plan, cents)
    before = planner.broken(())
    best: dict[int, tuple[Weight, tuple[_Way, ...]]] = {0: ((0,) * len(SEVERITIES), ())}
    bundled: list[str] = []
    for group in _groups(planner, before):
        options, whole = group.ways(cents)
        bundled += [] if whole else [group.name]
        grown = dict(best)
        for spent, (weight, taken) in best.items():
            for way in options:
                total = spent + way.cents
                more = tuple(a + b for a, b in zip(weight, way.weight, strict=True))
                if total <= cents and (total not in grown or more > grown[total][0]):
                    grown[total] = more, (*taken, way)
        best = dict(_worthwhile(grown))
    spent, (_, taken) = max(best.items(), key=lambda each: (each[1][0], -each[0]))
    order = sorted((way for way in taken if way.cents), key=lambda way: way.weight, reverse=True)
    still = planner.broken([way.step.work for way in taken])
    return Budget(cents, spent, tuple(way.step for way in order), tuple(still), tuple(bundled))


def _all_of(plan: Plan, cents: int) -> Budget:
    """The whole plan, where the sum does for it."""
    planner = plan.planner
    before = planner.broken(())
    steps: list[Step] = []
    for part in plan.in_order:
        left = {each.key for each in planner.broken([part.solved.work])}
        cleared = tuple(each for each in before if each.key not in left)
        steps.append(Step(part.name, part.items, part.solved.work, cleared))
    return Budget(cents, plan.sum.cents, tuple(steps), ())


def _worthwhile(
    best: dict[int, tuple[Weight, tuple[_Way, ...]]],
) -> Iterator[tuple[int, tuple[Weight, tuple[_Way, ...]]]]:
    """Only sums for which no smaller one clears as much."""
    most: Weight = ()
    for spent in sorted(best):
        if best[spent][0] > most:
            most = best[spent][0]
            yield spent, best[spent]


@dataclass(frozen=True)
class _Group:
    """What is planned together, with the deficiencies that can be cleared there."""

    name: str
    planner: Planner
    subjects: tuple[Subject, ...]
    before: Mapping[Broken, Breach]
    solve: Callable[[Planner], tuple[Solved, tuple[Item, ...]]]

    def ways(self, cents: int) -> tuple[list[_Way], bool]:
        """The works for a sum, one for each choice; whether every choice was looked at.

        Where there are too many deficiencies, the less grave of one place go together, then all
        less grave ones, then the gravest of one place as well.
        """
        alone = [frozenset([key]) for key in self.before]
        if len(alone) <= FEW:
            return self._ways(alone, cents), True
        grave = {key: _severity(self.planner, each) for key, each in self.before.items()}
        worst = SEVERITIES[0]
        levels: tuple[Callable[[Broken], object], ...] = (
            lambda key: key if grave[key] == worst else (key[:2], grave[key]),
            lambda key: key if grave[key] == worst else key[:2],
            lambda key: key if grave[key] == worst else grave[key],
            lambda key: key[:2],
            lambda key: key[:2] if grave[key] == worst else grave[key],
            lambda key: grave[key],
        )
        bundled = [self._bundles(each) for each in levels]
        fitting = [each for each in bundled if len(each) <= FEW]
        return [way for each in fitting[:2] for way in self._ways(each, cents)], False

    def _bundles(self, apart: Callable[[Broken], object]) -> list[frozenset[Broken]]:
        found: dict[object, frozenset[Broken]] = {}
        for key in self.before:
            found[apart(key)] = found.get(apart(key), frozenset()) | {key}
        return list(found.values())

    def _ways(self, bundles: Sequence[frozenset[Broken]], cents: int) -> list[_Way]:
        """The works that clear some of the bundles, each choice of them once.

        A bundle is added only to a set whose work does not clear it yet. Any union of bundles is
        met that way: by a part of it whose cheapest work clears all of it.
        """
        found: dict[tuple[int, Weight], _Way] = {}
        met: set[frozenset[Broken]] = set()
        waiting: list[frozenset[Broken]] = [frozenset()]
        while waiting:
            wanted = waiting.pop()
            if wanted in met:
                continue
            met.add(wanted)
            way = self._solved(wanted)
            if way is None or way.cents > cents:
                continue
            found.setdefault((way.cents, way.weight), way)
            cleared = {each.key for each in way.step.clears}
            waiting += [wanted | each for each in bundles if not each <= cleared]
        return list(found.values())

    def _solved(self, wanted: frozenset[Broken]) -> _Way | None:
        """The cheapest work that clears what is wanted; None where there is none with a price."""
        if not wanted:
            return _Way(0, (0,) * len(SEVERITIES), Step(self.name, (), Work(), ()))
        solved, items = self.solve(self.planner.narrowed(wanted))
        if solved.left or asked(items):
            return None
        left = {each.key for each in self.planner.broken([solved.work], self.subjects)}
        cleared = tuple(each for key, each in self.before.items() if key not in left)
        weight = _weight(self.planner, cleared, left)
        return _Way(known_cents(items), weight, Step(self.name, items, solved.work, cleared))


def _groups(planner: Planner, before: Iterable[Breach]) -> Iterator[_Group]:
    """The groups of circuits and the panels at which anything is to be cleared."""
    open_at: dict[tuple[str, str], dict[Broken, Breach]] = {}
    for each in before:
        open_at.setdefault(each.key[:2], {})[each.key] = each
    for circuits in planner.groups:
        subjects = tuple(planner.subjects(circuits))
        keys = [planner.house.key(each) for each in subjects]
        here = {key: each for at in keys for key, each in open_at.get(at, {}).items()}
        name = " + ".join(planner.session.reference(each) for each in circuits)
        if here:
            yield _Group(name, planner, subjects, here, _on(circuits))
    for panel in planner.session.panels:
        here = open_at.get(planner.house.key(panel), {})
        if here:
            name = f"panel {planner.house.wiring.name(panel)}"
            yield _Group(name, planner, (panel,), here, _at(panel))


def _on(circuits: Sequence[Circuit]) -> Callable[[Planner], tuple[Solved, tuple[Item, ...]]]:
    def solve(planner: Planner) -> tuple[Solved, tuple[Item, ...]]:
        solved = planner.solve(circuits)
        return solved, items_of(planner, circuits, solved.work, explained=False)

    return solve


def _at(panel: Panel) -> Callable[[Planner], tuple[Solved, tuple[Item, ...]]]:
    return lambda planner: at_panel(planner, panel)


def _weight(planner: Planner, cleared: Iterable[Breach], left: Iterable[Broken]) -> Weight:
    """What is cleared by its severity.

    What counts once in a report counts once here, where all of it is cleared.
    """
    told_once = planner.judges.told_once
    still = {told_once(key) for key in left}
    gravest: dict[Broken, int] = {}
    for each in cleared:
        key, grade = told_once(each.key), SEVERITIES.index(_severity(planner, each))
        if key not in still:
            gravest[key] = min(grade, gravest.get(key, grade))
    gone = Counter(gravest.values())
    return tuple(gone[place] for place in range(len(SEVERITIES)))


def _severity(planner: Planner, breach: Breach) -> str:
    return planner.judges.severity(planner.deficient[breach.key])
