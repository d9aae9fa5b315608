"""Why each item is in a plan, and why nothing cheaper does: found by trying, never by telling."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from walkthrough.remedy.actions import Action
from walkthrough.remedy.local import Place
from walkthrough.remedy.planner import Breach, Planner
from walkthrough.remedy.prices import Price
from walkthrough.remedy.work import Done, Work
from walkthrough.survey.model import Circuit


@dataclass(frozen=True)
class Cheaper:
    """A cheaper part that would be at hand in the place of one in the plan, and what it breaks."""

    at: str
    instead_of: str
    action: Action
    price: Price
    why: str


def reasons(
    planner: Planner, circuits: Sequence[Circuit], work: Work
) -> dict[tuple[str, str], tuple[str, ...]]:
    """What comes back where one action is left out and all others are done."""
    found: dict[tuple[str, str], tuple[str, ...]] = {}
    for done, action in work.items:
        without = _swapped(planner, circuits, work, done, action, None)
        assert without is not None
        broken = planner.broken([without], planner.subjects(circuits), exact=False)
        found[done.at, action.id] = worded(broken)
    return found


def cheaper_ways(planner: Planner, circuits: Sequence[Circuit], work: Work) -> Iterator[Cheaper]:
    """For each part the cheaper ones of its kind: of those that break the same, the cheapest."""
    for done, action in work.items:
        mine = planner.prices.of(action.declared.price).cents
        place = _place(planner, circuits, done)
        found: dict[str, Cheaper] = {}
        for other in place.here:
            price = planner.prices.of(other.declared.price)
            if other is action or other.place != action.place or other.declared.removes:
                continue
            if price.cents is None or mine is None or price.cents >= mine:
                continue
            if other.declared.shared != action.declared.shared:
                continue
            swapped = _swapped(planner, circuits, work, done, action, other)
            if swapped is None:
                continue
            broken = planner.broken([swapped], planner.subjects(circuits), exact=False)
            why = "; ".join(worded(broken)[:2])
            before = found.get(why)
            if why and (before is None or price.cents < (before.price.cents or 0)):
                found[why] = Cheaper(done.at, action.declared.price, other, price, why)
        yield from found.values()


def worded(broken: Sequence[Breach]) -> tuple[str, ...]:
    """Broken rules in words, each once with all its places."""
    places: dict[str, list[str]] = {}
    for each in broken:
        says = f"{each.says} ({', '.join(each.rule.declared.cite)})"
        places.setdefault(says, []).append(each.key[1])
    return tuple(f"{', '.join(at)}: {says}" for says, at in places.items())


def _place(planner: Planner, circuits: Sequence[Circuit], done: Done) -> Place:
    return planner.bench(circuits, None, leave=False, every=False).places[done.of, done.at]


def _swapped(
    planner: Planner,
    circuits: Sequence[Circuit],
    work: Work,
    done: Done,
    action: Action,
    other: Action | None,
) -> Work | None:
    """The work with one action left out, or with another in its place; None if that is barred."""
    around = {w: v for each in work.done if each.of == "circuit" for w, v in each.changes.items()}
    places = [
        each
        for each in work.done
        if action in each.actions and (each is done or action in work.shared)
    ]
    changed: dict[int, Done] = {}
    for each in places:
        actions = _instead(each.actions, action, other)
        place = _place(planner, circuits, each)
        changes, ruled = place.perform(
            actions, () if each.of == "circuit" else tuple(around.items())
        )
        if ruled is not None and other is not None:
            return None
        changed[id(each)] = replace(each, actions=actions, changes=changes)
    shared = _instead(work.shared, action, other)
    gone = {each.at for each in changed.values() if not each.wires}
    return Work(
        tuple(changed.get(id(each), each) for each in work.done),
        shared,
        frozenset(pair for pair in work.on_load if pair[0] not in gone),
    )


def _instead(actions: Sequence[Action], action: Action, other: Action | None) -> tuple[Action, ...]:
    kept = [other if each is action else each for each in actions]
    return tuple(each for each in kept if each is not None)
