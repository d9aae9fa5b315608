"""A plan as plain text: for the owner in short, for the electrician circuit by circuit."""

from __future__ import annotations

from collections.abc import Iterator

from walkthrough.remedy.budget import Budget
from walkthrough.remedy.items import Item, asked
from walkthrough.remedy.plan import Alternative, Part, Plan
from walkthrough.remedy.reasons import worded
from walkthrough.report.cautions import CAUTIONS, NOT_A_CERTIFICATE
from walkthrough.report.plan_lists import (
    labels,
    material,
    minutes,
    offer_text,
    open_dangers,
    schedule,
    shopping,
    span,
)
from walkthrough.report.plan_words import (
    NO_OFFER,
    UNPRICED,
    another_way,
    asked_for,
    assumed,
    besides,
    cheaper_part,
    cost,
    disputed,
    does,
    how_exact,
    judged_again,
    not_possible,
    not_solved,
    nothing_to_do,
    opened,
    order,
    preference,
    reasons,
    serves,
    sums,
    test_first,
    time,
    undecided,
)
from walkthrough.report.text import WIDTH, clean, heading, wrapped


def plan_text(plan: Plan, budget: Budget | None = None) -> str:
    """The whole plan; wrapped for 96 columns, control characters made harmless."""
    lines = [*_lines(plan), *(_budget(budget) if budget is not None else ())]
    return "\n".join(clean(line) for line in lines) + "\n"


def _budget(budget: Budget) -> Iterator[str]:
    yield from heading(f"For {budget.cents / 100:.2f}: the gravest first")
    for step in budget.steps:
        parts = ", ".join(f"{each.price.code} at {each.done.at}" for each in step.items)
        yield from wrapped(f"{step.name}: {cost(step.items)}: {parts}", "- ")
        for says in worded(step.clears):
            yield from wrapped(f"clears {says}", "    ")
    yield f"spent {budget.spent / 100:.2f}"
    if budget.exact:
        yield from wrapped(
            "No other work from this list clears more of the gravest for that sum: the choice is "
            "exact."
        )
    else:
        yield from wrapped(
            f"At {', '.join(budget.bundled)} there is too much to try every choice: what is found "
            "at one place, or of one gravity, was taken together there. Elsewhere the choice is "
            "exact."
        )
    yield ""
    yield "what stays open" if budget.still else "nothing of the scope stays open"
    for says in worded(budget.still):
        yield from wrapped(says, "- ")


def _lines(plan: Plan) -> Iterator[str]:
    planner, prices = plan.planner, plan.planner.prices
    scope = planner.actions.scopes[planner.scope]
    yield f"{planner.record.title}: plan of corrections"
    for each in planner.books:
        yield from wrapped(f"Judged by: {each.title} ({each.id})")
    yield from wrapped(f"Scope: {planner.scope} - {scope.title}")
    yield from wrapped(
        f"Prices: {prices.title}, {prices.date.isoformat()}, {prices.currency}, labor "
        f"{prices.labor_per_hour:.2f} per hour"
        + ("; no list was named with --prices" if prices.demonstration else "")
    )
    yield f"Day of the work: {planner.day.isoformat()}"
    yield ""
    yield from wrapped(NO_OFFER)
    for caution in CAUTIONS:
        yield from wrapped(caution, "! ")
    yield from heading("In short")
    nothing = nothing_to_do(plan)
    if nothing:
        yield from wrapped(nothing)
        yield from _open_dangers(plan)
        yield from wrapped(NOT_A_CERTIFICATE)
    else:
        yield from _sums(plan)
        for part in plan.parts:
            yield from _part(plan, part)
        if plan.items:
            yield from _lists(plan)
    yield from _open(plan)


def _sums(plan: Plan) -> Iterator[str]:
    if first := test_first(plan):
        yield from wrapped(first)
    for part in plan.parts:
        yield f"{part.name:<12} {cost(part.items):>14}   {serves(plan, part)}"[:WIDTH]
    yield f"{'total':<12} {cost(plan.items):>14}   {plan.planner.prices.currency}"
    low, high = span(plan.items)
    if low != high:
        yield f"             from {low:.2f} to {high:.2f}"
    parts, spent = material(plan.items), minutes(plan.items)
    if not isinstance(parts, str) and not isinstance(spent, str):
        yield f"Parts {parts:.2f}, work {time(spent)}."
    if asked(plan.items):
        yield from wrapped(asked_for(plan))
        yield from wrapped(UNPRICED)
    yield from wrapped(order(plan))
    if plan.preferences:
        yield "Other wishes, in the whole house:"
    for each in plan.preferences:
        yield from wrapped(preference(each), "  - ")
    yield from wrapped(judged_again(plan))
    if waits := undecided(plan):
        yield from wrapped(waits)
    yield from _open_dangers(plan)
    yield from wrapped(how_exact(plan))


def _open_dangers(plan: Plan) -> Iterator[str]:
    unasked = open_dangers(plan)
    if unasked:
        yield "A danger may stand behind these; look, and tell them before the work:"
    for each in unasked:
        yield from wrapped(f"{', '.join(each.subjects)}: {each.ask}", "  - ")


def _part(plan: Plan, part: Part) -> Iterator[str]:
    spent = minutes(part.items)
    told = "time to be asked for" if isinstance(spent, str) else time(spent)
    head = f"{part.name}  {cost(part.items)}  {told}  {serves(plan, part)}"
    yield from heading(head[:WIDTH].rstrip())
    for item in part.items:
        yield from _item(item)
    for found, bars in not_solved(part.solved.left):
        for says in found:
            yield from wrapped(f"NOT SOLVED {says}")
        for bar in bars:
            yield from wrapped(bar, "    - ")
    if part.opened is not None:
        yield from wrapped(opened(plan, part), "  ")
    if part.alternatives:
        yield "  other ways"
    for way in part.alternatives:
        yield from _way(part, way)
    if part.cheaper:
        yield "  cheaper, but"
    for each in part.cheaper:
        yield from wrapped(cheaper_part(each), "    - ")


def _item(item: Item) -> Iterator[str]:
    yield f"  {item.done.at:<8} {item.price.code:<15} {sums(item)}"
    yield from wrapped(does(item), "           ")
    for more in besides(item):
        yield from wrapped(more, "           ")
    for text in item.labels:
        yield from wrapped(f'label: "{text}"', "           ")
    for why in reasons(item):
        yield from wrapped(why, "           ")
    for note in item.notes:
        yield from wrapped(note, "           ! ")


def _way(part: Part, way: Alternative) -> Iterator[str]:
    if not way.possible:
        first, *bars = not_possible(way)
        yield from wrapped(first, "    - ")
        for each in bars:
            yield from wrapped(each, "        ")
        return
    yield from wrapped(another_way(part, way), "    - ")


def _lists(plan: Plan) -> Iterator[str]:
    lines = shopping(plan)
    if lines:
        yield from heading("Shopping list")
    for line in lines:
        cost = line.material if isinstance(line.material, str) else f"{line.material:.2f}"
        yield f"{line.count:>4} x {line.price.code:<15} {cost:>10}   {line.what}"[:WIDTH]
    if labels(plan):
        yield from heading("Labels")
        for at, text in labels(plan):
            yield f'{at:<8} "{text}"'
    if schedule(plan):
        yield from heading("Panel schedule: before and after")
        for slot in schedule(plan):
            yield from wrapped(f"{slot.circuit:<6} before: {slot.before}")
            yield from wrapped(f"{'':<6} after:  {slot.after}")
    yield from heading("For offers that compare")
    text, *parts = offer_text(plan)
    yield from wrapped(text)
    for part in parts:
        yield from wrapped(part, "  - ")


def _open(plan: Plan) -> Iterator[str]:
    if plan.unsolved:
        yield from heading("Not solved")
        # What bars it stands at its circuit, where it is planned for at one.
        in_part = {each.key for part in plan.parts for each in part.solved.left}
        for says in worded(each for each in plan.unsolved if each.key in in_part):
            yield from wrapped(says)
        for found, bars in not_solved(each for each in plan.unsolved if each.key not in in_part):
            for says in found:
                yield from wrapped(says)
            for bar in bars:
                yield from wrapped(bar, "    - ")
    if plan.planner.assumptions:
        yield from heading("Assumed, to be looked at before the work")
        for told in assumed(plan):
            yield from wrapped(told)
    if plan.planner.judges.disputed:
        yield from heading("Ask the authority having jurisdiction")
        for told in disputed(plan):
            yield from wrapped(told)
