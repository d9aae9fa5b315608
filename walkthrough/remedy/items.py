"""The items of a plan: what is done and paid for at one place, why, and what to look at first."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from walkthrough.remedy.actions import Action, Change
from walkthrough.remedy.planner import Planner
from walkthrough.remedy.prices import Price
from walkthrough.remedy.reasons import NO_REASON, Reason, reasons
from walkthrough.remedy.sums import sum_of
from walkthrough.remedy.work import Done, Work, around
from walkthrough.survey.model import Circuit, Outlet
from walkthrough.trade.protection import TRIP_TEST
from walkthrough.trade.wiring import SURE

# What pressing TEST tells; all else that shows protection has to be answered.
_BY_TEST = ("test_result", "breaker_test_result", TRIP_TEST)
UNOPENED = "The box was not opened: look whether its room and depth do for the device."


@dataclass(frozen=True)
class Item:
    """One thing to do and to pay: where, with which part, and why.

    `reason` tells what it clears of what was found, and what else it is there for. `besides` is
    what is done for it at that place.
    """

    done: Done
    action: Action
    price: Price
    reason: Reason = NO_REASON
    notes: tuple[str, ...] = ()
    load: tuple[str, ...] = ()
    line: tuple[str, ...] = ()
    besides: tuple[Change, ...] = ()

    @property
    def why(self) -> tuple[str, ...]:
        """All that would be wrong without it."""
        reason = self.reason
        return (*reason.clears, *reason.unshown, *reason.brings, *reason.opens)

    @property
    def tests_first(self) -> tuple[str, ...]:
        """Where TEST is pressed first, as the item falls away if the protection is shown by it."""
        return _tests(self.reason) if self.reason.may_fall_away else ()

    @property
    def labels(self) -> tuple[str, ...]:
        """The texts of the marks that it puts on."""
        return tuple(each.label for each in self.besides if each.label)


def known_cents(items: Iterable[Item]) -> int:
    """The sum of what has a price."""
    return sum_of(each.price for each in items).cents


def asked(items: Iterable[Item]) -> list[str]:
    """The items whose price has to be asked for."""
    return [each.price.code for each in items if each.price.cents is None]


def items_of(
    planner: Planner, circuits: Sequence[Circuit], work: Work, explained: bool = True
) -> tuple[Item, ...]:
    """The items of the work on a group of circuits, with or without the reason of each."""
    why = reasons(planner, circuits, work) if explained else {}
    return tuple(
        _item(planner, circuits, work, done, action, why.get((done.at, action.id), NO_REASON))
        for done, action in work.items
    )


def _item(
    planner: Planner,
    circuits: Sequence[Circuit],
    work: Work,
    done: Done,
    action: Action,
    reason: Reason,
) -> Item:
    price = planner.prices.of(action.declared.price)
    place = planner.bench(circuits, None, leave=False, every=False).places[done.of, done.at]
    met = around(work) if done.of == "outlet" else ()
    besides = place.besides(done.actions, met).get(action.id, ())
    notes = list(action.declared.warns)
    load: tuple[str, ...] = ()
    line: tuple[str, ...] = ()
    if done.of == "outlet":
        outlet = planner.house.wiring.outlets[done.at]
        if action.declared.fits_box and not outlet.answer("box_opened"):
            notes.append(UNOPENED)
        if action.declared.wires and done.changes.get("test_result") is not None:
            name = planner.house.wiring.name
            fed = [each for each in planner.session.outlets if each.fed_from == done.at]
            load = tuple(name(each) for each in fed if (done.at, name(each)) in work.on_load)
            line = tuple(name(each) for each in fed if name(each) not in load)
            notes += _guessed(planner, work, done.at)
    notes += _cautions(planner, circuits, work, done, action)
    notes += _shown_first(planner, reason)
    return Item(done, action, price, reason, tuple(notes), load, line, besides)


def _tests(reason: Reason) -> tuple[str, ...]:
    return tuple(dict.fromkeys(place for place, asked in reason.asks if asked in _BY_TEST))


def _shown_first(planner: Planner, reason: Reason) -> Iterator[str]:
    """What to find out first, where nobody found that the protection is not there."""
    then = "this falls away" if reason.may_fall_away else "it is not needed for that"
    asked = planner.judges.found[0].asked
    open_now = [f"{at}: {asked(word)}" for at, word in reason.asks if word not in _BY_TEST]
    if places := ", ".join(_tests(reason)):
        yield (
            f"Press TEST at {places} first, it costs nothing: if it trips, what it protects goes "
            f"dead and RESET restores, {then}."
        )
    if open_now:
        yield f"Find out first whether it is protected; then {then}: {' '.join(open_now)}"


def _behind(planner: Planner, work: Work, device: str) -> list[Outlet]:
    """The outlets that hang on the LOAD of a device once the work is done."""
    called = planner.house.wiring.name
    below, ends = set[str](), [name for at, name in work.on_load if at == device]
    while ends:
        here = ends.pop()
        below.add(here)
        fed = [called(each) for each in planner.session.outlets if each.fed_from == here]
        ends += [each for each in fed if each not in below]
    return [each for each in planner.session.outlets if called(each) in below]


def _cautions(
    planner: Planner, circuits: Sequence[Circuit], work: Work, done: Done, action: Action
) -> Iterator[str]:
    """What to mind where the work gives protection to outlets that did not have it."""
    house = planner.house
    tables = house.tracer.tables
    sets = action.declared.sets
    given = {*tables.device.get(str(sets.get("device")), ())}
    given.update(tables.breaker.get(str(sets.get("breaker")), ()))
    if not given:
        return
    reached = _behind(planner, work, done.at)
    if done.of == "circuit":
        named = [each for each in circuits if planner.session.reference(each) == done.at]
        every = circuits if action in work.shared else named
        reached = [each for one in every for each in house.wiring.on(one)]
    for each in planner.actions.cautions:
        if each.declared.of == done.of and given.intersection(each.declared.gives):
            met = [e for e in reached if each.when.truth(house.situation(e)) is True]
            if met:
                names = ", ".join(house.wiring.name(e) for e in met)
                yield each.declared.says.replace("{outlets}", names)


def _guessed(planner: Planner, work: Work, device: str) -> Iterator[str]:
    """What of the order below a device is not known for sure: the TEST has to show it."""
    called = planner.house.wiring.name
    behind = _behind(planner, work, device)
    guessed = [called(each) for each in behind if each.order_known_by not in SURE]
    if guessed:
        yield (
            f"The order is not proved: TEST of {device} must make {', '.join(guessed)} dead, else "
            "the plan of this circuit does not hold."
        )
