"""Why each item is in a plan, and why nothing cheaper does: found by trying, never by telling."""

from __future__ import annotations

from collections.abc import Callable, Collection, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from functools import partial

from walkthrough.remedy.actions import Action
from walkthrough.remedy.clash import could
from walkthrough.remedy.judges import Breach
from walkthrough.remedy.local import Place
from walkthrough.remedy.loosen import Broken
from walkthrough.remedy.planner import Left, Planner
from walkthrough.remedy.prices import Price
from walkthrough.remedy.work import Done, Work, around
from walkthrough.survey.model import Circuit
from walkthrough.trade.protection import Open


@dataclass(frozen=True)
class Cheaper:
    """A cheaper part that would be at hand in the place of one in the plan, and what it breaks."""

    at: str
    instead_of: str
    action: Action
    price: Price
    why: str


@dataclass(frozen=True)
class Reason:
    """Why an action is there: `clears` of what was found, `brings` of what the other work entails.

    `unshown` it clears as well: nobody found these, but the protection against them was not shown,
    and `asks` is what would show it. `opens` are the other actions that it makes possible, each
    with what rules it out else.
    """

    clears: tuple[str, ...] = ()
    unshown: tuple[str, ...] = ()
    asks: tuple[Open, ...] = ()
    brings: tuple[str, ...] = ()
    opens: tuple[str, ...] = ()

    @property
    def may_fall_away(self) -> bool:
        """Whether nothing that was found, and no other work, asks for it."""
        return bool(self.unshown) and not (self.clears or self.brings or self.opens)


NO_REASON = Reason()


def reasons(
    planner: Planner, circuits: Sequence[Circuit], work: Work
) -> dict[tuple[str, str], Reason]:
    """What is broken where one action is left out and all others are done as if nothing barred.

    What stays broken with it as well is none of its reasons.
    """
    found: dict[tuple[str, str], Reason] = {}
    unshown = planner.judges.unshown
    for done, action in work.items:
        rest, broken = _without(planner, circuits, work, done, action)
        before = [each for each in broken if each.key in planner.deficient]
        shown = [each for each in before if each.key not in unshown]
        not_shown = [each for each in before if each.key in unshown]
        asks = tuple(dict.fromkeys(ask for each in not_shown for ask in unshown[each.key]))
        brought = [each for each in broken if each.key not in planner.deficient]
        opens = tuple(_opens(planner, circuits, rest))
        reason = Reason(worded(shown), worded(not_shown), asks, worded(brought), opens)
        found[done.at, action.id] = reason
    return found


def _without(
    planner: Planner, circuits: Sequence[Circuit], work: Work, done: Done, action: Action
) -> tuple[Work, list[Breach]]:
    """The work with one action left out, and what is broken then that is not with it."""
    rest = _swapped(planner, circuits, work, done, action, None)
    assert rest is not None
    subjects = planner.subjects(circuits)
    still = {each.key for each in planner.broken([work], subjects, exact=False)}
    broken = planner.broken([rest], subjects, exact=False)
    return rest, [each for each in broken if each.key not in still]


def _opens(planner: Planner, circuits: Sequence[Circuit], rest: Work) -> Iterator[str]:
    """The actions that are ruled out in what is left of a work."""
    met = around(rest)
    for each in rest.done:
        place = _place(planner, circuits, each)
        _, ruled = place.perform(each.actions, () if each.of == "circuit" else met)
        if ruled is not None:
            codes = ", ".join(one.declared.price for one in ruled.chosen)
            yield f"{codes} at {each.at}: {ruled.says}"


def cheaper_ways(planner: Planner, circuits: Sequence[Circuit], work: Work) -> Iterator[Cheaper]:
    """The cheaper parts that come to mind for each part of a plan, and why each is none.

    Another part of the same step in its place that clears some of the same, or a device at an
    outlet for which it is there. Of those that fail by the same, the cheapest is told.
    """
    for done, action in work.items:
        mine = planner.prices.of(action.declared.price).cents
        found: dict[str, Cheaper] = {}
        for at, other, why in _tries(planner, circuits, work, done, action):
            price = planner.prices.of(other.declared.price)
            if price.cents is None or (mine is not None and price.cents >= mine):
                continue
            said = why()
            before = found.get(said)
            if said and (before is None or price.cents < (before.price.cents or 0)):
                found[said] = Cheaper(at, action.declared.price, other, price, said)
        # Of one part in two sizes, the one that fails by less is the nearer miss.
        nearest: dict[tuple[str, str], Cheaper] = {}
        for each in sorted(found.values(), key=lambda each: len(each.why)):
            nearest.setdefault((each.at, each.price.code), each)
        yield from nearest.values()


def _tries(
    planner: Planner, circuits: Sequence[Circuit], work: Work, done: Done, action: Action
) -> Iterator[tuple[str, Action, Callable[[], str]]]:
    """What could be tried in the place of an action, and how to find out why it fails."""
    rest, lacking = _without(planner, circuits, work, done, action)
    found = [each for each in lacking if each.key in planner.deficient] or lacking
    wanted = {each.key for each in found}
    for other in _place(planner, circuits, done).here:
        alike = other.place == action.place and other.declared.shared == action.declared.shared
        if alike and other is not action and not other.declared.removes:
            swapped = _swapped(planner, circuits, work, done, action, other)
            if swapped is not None:
                yield done.at, other, partial(_fails, planner, circuits, swapped, wanted)
    if done.of != "circuit":
        return
    for breach in lacking:
        outlet = planner.house.wiring.outlets.get(breach.key[1])
        if outlet is None or any(each.at == breach.key[1] and each.wires for each in work.done):
            continue
        place = planner.bench(circuits, None, leave=False, every=False).places[breach.key[:2]]
        for other in place.here:
            if other.declared.wires and could(planner.house, other, breach.rule):
                changes, ruled = place.perform([other], around(rest))
                if ruled is not None and not (ruled.quiet or ruled.another_kind):
                    yield breach.key[1], other, partial(str, ruled.says)
                elif ruled is None:
                    extra = Done("outlet", breach.key[1], (other,), changes)
                    more = replace(rest, done=(*rest.done, extra))
                    yield breach.key[1], other, partial(_fails, planner, circuits, more, wanted)


def _fails(
    planner: Planner, circuits: Sequence[Circuit], work: Work, wanted: Collection[Broken]
) -> str:
    """What is broken after other work; "" where it clears nothing of what is wanted."""
    broken = planner.broken([work], planner.subjects(circuits), exact=False)
    if {each.key for each in broken}.issuperset(wanted):
        return ""
    return "; ".join(worded(broken)[:2])


def worded(broken: Iterable[Breach | Left]) -> tuple[str, ...]:
    """Broken rules in words, each once with all its places."""
    places: dict[str, dict[str, None]] = {}
    for each in broken:
        says = f"{each.says} ({', '.join(each.rule.declared.cite)})"
        places.setdefault(says, {})[each.key[1]] = None
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
    met = around(work)
    places = [
        each
        for each in work.done
        if action in each.actions and (each is done or action in work.shared)
    ]
    changed: dict[int, Done] = {}
    for each in places:
        actions = _instead(each.actions, action, other)
        place = _place(planner, circuits, each)
        here = () if each.of == "circuit" else met
        if other is None:
            changes = place.perform_anyway(actions, here)
        else:
            changes, ruled = place.perform(actions, here)
            if ruled is not None:
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
