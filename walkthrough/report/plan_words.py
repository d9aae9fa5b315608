"""What report and screen say alike about a plan: a sum, a time, another way, a cheaper part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from walkthrough.remedy.plan import Alternative, Item, Part, Plan, known_cents
from walkthrough.remedy.reasons import Cheaper
from walkthrough.report.plan_lists import money

NO_OFFER = (
    "A calculation from what is recorded and from a list of prices; no offer and no permit. The "
    "authority having jurisdiction decides; local amendments apply."
)


def cost(items: Sequence[Item]) -> str:
    """The sum, with what has to be asked for named beside it."""
    found = money(items)
    if isinstance(found, float):
        return f"{found:.2f}"
    return f"{known_cents(items) / 100:.2f} + ask" if known_cents(items) else "ask"


def time(of_minutes: float) -> str:
    """A time of work."""
    hours, rest = divmod(round(of_minutes), 60)
    return f"{hours} h {rest} min"


def serves(plan: Plan, part: Part) -> str:
    """What the circuits of a part serve."""
    circuits = (plan.planner.session.circuit(name) for name in part.names)
    return " / ".join(each.serves for each in circuits if each is not None)


def does(item: Item) -> str:
    """What is done, and which outlets go on LOAD and LINE."""
    sides = f"; LOAD: {', '.join(item.load)}" if item.load else ""
    sides += f"; LINE: {', '.join(item.line)}" if item.line else ""
    return f"{item.action.declared.does}{sides}."


def sums(item: Item) -> str:
    """Part, time and what they come to."""
    price = item.price
    if price.cents is None:
        return "ask"
    return f"{price.material or 0:.2f} + {price.minutes or 0:g} min = {price.cents / 100:.2f}"


def opened(plan: Plan, part: Part) -> str:
    """What a look at the wiring order could save; "" where it is known."""
    if part.opened is None:
        return ""
    opening = plan.planner.actions.opening
    cents = plan.planner.prices.of(opening.price).cents
    price = "ask" if cents is None else f"{cents / 100:.2f}"
    behind = ", ".join(part.opened.behind) or "nothing else"
    return (
        f"The wiring order is not wholly known: this plan is right for every order. If "
        f"{part.opened.first} turns out to feed {behind}, it comes to {cost(part.opened_items)} "
        f"instead; for the look ({opening.price}) {price} comes on top."
    )


def another_way(part: Part, way: Alternative) -> str:
    """What a way that is possible comes to, and what it has in the place of what."""
    mine, theirs = _told(part.items), _told(way.items)
    fresh = [each for each in way.items if _key(each) not in mine]
    gone = [each for each in part.items if _key(each) not in theirs]
    more = known_cents(way.items) - known_cents(part.items)
    return (
        f"{way.title}: {cost(way.items)} ({more / 100:+.2f}): {_named(fresh)} instead of "
        f"{_named(gone)}"
    )


def cheaper_part(each: Cheaper) -> str:
    """A cheaper part, and what it breaks."""
    return (
        f"{each.price.code} {(each.price.cents or 0) / 100:.2f} at {each.at} instead of "
        f"{each.instead_of}: {each.why}"
    )


def assumed(plan: Plan) -> Iterator[str]:
    """What was assumed of each place that was not reached."""
    found: dict[str, list[str]] = {}
    for each in plan.planner.assumptions:
        found.setdefault(each.outlet, []).append(each.word.replace("_", " "))
    for outlet, words in found.items():
        yield f"{outlet} was not reached; as at the others of its circuit: {', '.join(words)}"


def _named(items: Sequence[Item]) -> str:
    if not items:
        return "nothing"
    said = ", ".join(f"{each.price.code} at {each.done.at}" for each in items)
    return f"{said} ({cost(items)})"


def _told(items: Sequence[Item]) -> set[tuple[str, str]]:
    return {_key(each) for each in items}


def _key(item: Item) -> tuple[str, str]:
    return item.done.at, item.action.id
