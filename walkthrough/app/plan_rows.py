"""The rows of a plan and the text of each: the whole, every circuit, every item, what is left."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from textual.content import Content

from walkthrough.app.planning import Shown
from walkthrough.remedy.items import Item, asked, known_cents
from walkthrough.remedy.plan import Part, Plan
from walkthrough.remedy.planner import Left
from walkthrough.report.cautions import CAUTIONS, NOT_A_CERTIFICATE
from walkthrough.report.plan_lists import labels, minutes, schedule, shopping, span
from walkthrough.report.plan_words import (
    NO_OFFER,
    UNPRICED,
    another_way,
    asked_for,
    assumed,
    besides,
    cheaper_part,
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
from walkthrough.report.text import clean
from walkthrough.survey.history import SubjectKey

NOT_YET = "Other ways, and what is cheaper but fails, are still being worked out ..."


@dataclass(frozen=True)
class Row:
    """One row; `subject` is where Enter goes to, None where it belongs to the whole house."""

    id: str
    text: str
    detail: tuple[Content, ...]
    subject: SubjectKey | None = None


def total(items: Sequence[Item]) -> str:
    """A sum of money; what has to be asked for is never taken for nothing."""
    known = f"{known_cents(items) / 100:,.2f}"
    if not asked(items):
        return known
    return f"{known} + ask" if known_cents(items) else "ask"


def spent(items: Sequence[Item]) -> str:
    """The time of the work."""
    found = minutes(items)
    return "time: ask" if isinstance(found, str) else time(found)


def rows(shown: Shown, by_gravity: bool) -> list[Row]:
    """All rows, the circuits in the order of the record or the gravest first."""
    plan = shown.plan
    whole = f"{'all':<9}{total(plan.items):>10}  {spent(plan.items):<12}  the whole house"
    found = [Row("whole", clean(whole), tuple(_lines(_whole(shown))))]
    for part in plan.in_order if by_gravity else plan.parts:
        here = ("panel", part.panel) if part.panel else ("circuit", part.names[0])
        text = f"{part.name:<9}{total(part.items):>10}  {spent(part.items):<12}"
        text = f"{text}  {serves(plan, part)}".rstrip()
        detail = tuple(_lines(_part(shown, part)))
        found.append(Row(f"part {part.name}", clean(text), detail, here))
        for item in part.items:
            done = item.done
            detail = tuple(_lines(_item(shown, part, item)))
            id = f"item {part.name} {done.at} {item.action.id}"
            found.append(Row(id, clean(_item_row(item)), detail, (done.of, done.at)))
    # Several editions can say the same of one place.
    alike = {(each.key[:2], each.says): each for each in reversed(plan.unsolved)}
    for left in reversed(alike.values()):
        of, at, rule = left.key
        text = f"  NOT SOLVED {at}: {left.says}"
        detail = tuple(_lines(_left([left])))
        found.append(Row(f"left {of} {at} {rule}", clean(text), detail, (of, at)))
    return found


def parts_list(plan: Plan) -> list[Content]:
    """What to buy, the marks to put on, and the panel schedule before and after."""
    return list(_lines(_lists(plan)))


def cautions() -> list[Content]:
    """What must be known before any of it is done."""
    return list(_lines([NO_OFFER, *(f"! {each}" for each in CAUTIONS)]))


def _lines(said: Iterator[str] | Sequence[str]) -> Iterator[Content]:
    """Each as a line of its own; a heading, which ends in a colon only, is bold."""
    for each in said:
        bold = each.startswith("# ")
        text = clean(each.removeprefix("# "))
        yield Content.assemble((text, "bold")) if bold else Content(text)


def _item_row(item: Item) -> str:
    cents = item.price.cents
    cost = "ask" if cents is None else f"{cents / 100:,.2f}"
    own = f"{item.done.at}: "
    why = "; ".join(each.removeprefix(own) for each in item.why)
    why = f"TEST first: {why}" if item.tests_first else why
    return f"  {item.done.at:<7}{cost:>10}  {item.price.code:<14} {why}"


def _whole(shown: Shown) -> Iterator[str]:
    plan, planner = shown.plan, shown.plan.planner
    yield NO_OFFER
    yield from (f"! {each}" for each in CAUTIONS)
    yield ""
    named = " and ".join(f"{each.title} ({each.id})" for each in planner.books)
    yield f"Judged by {named}; work on {planner.day}."
    if nothing := nothing_to_do(plan):
        yield nothing
        yield NOT_A_CERTIFICATE
    else:
        yield from _summary(shown)
    if planner.assumptions:
        yield "# Assumed, to be looked at before the work"
        yield from assumed(plan)
    if planner.judges.disputed:
        yield "# Ask the authority having jurisdiction"
        yield from disputed(plan)


def _summary(shown: Shown) -> Iterator[str]:
    """What the plan of a whole house comes to, and what other wishes do."""
    plan = shown.plan
    if first := test_first(plan):
        yield first
    low, high = span(plan.items)
    if not isinstance(low, str) and low != high:
        yield f"From {low:,.2f} to {high:,.2f}."
    if asked(plan.items):
        yield f"{asked_for(plan)} {UNPRICED}"
    if plan.parts:
        yield order(plan)
    yield judged_again(plan)
    if waits := undecided(plan):
        yield waits
    if not plan.proven or not shown.asked.prefer:
        yield how_exact(plan)
    if shown.cheapest is None:
        yield NOT_YET
    elif shown.cheapest.preferences:
        yield "# Other wishes (w), in the whole house"
        yield from (f"- {preference(each)}" for each in shown.cheapest.preferences)


def _part(shown: Shown, part: Part) -> Iterator[str]:
    yield f"# {part.name}  {total(part.items)}  {serves(shown.plan, part)}"
    yield from _left(part.solved.left)
    if part.opened is not None:
        yield opened(shown.plan, part)
    if shown.cheapest is None:
        yield NOT_YET
    if part.alternatives:
        yield "# Other ways"
    for way in part.alternatives:
        if way.possible:
            yield f"- {another_way(part, way)}"
        else:
            first, *bars = not_possible(way)
            yield f"- {first}"
            yield from (f"  {each}" for each in bars)
    if part.cheaper:
        yield "# Cheaper, but it fails"
    yield from (f"- {cheaper_part(each)}" for each in part.cheaper)


def _item(shown: Shown, part: Part, item: Item) -> Iterator[str]:
    yield f"# {item.done.at}  {item.price.code}  {sums(item)}"
    yield does(item)
    yield from (f'Label: "{each}"' for each in item.labels)
    yield from besides(item)
    yield from (f"{each[0].upper()}{each[1:]}" for each in reasons(item))
    yield from (f"! {each}" for each in item.notes)
    if shown.cheapest is None:
        yield NOT_YET
    code = item.price.code
    cheaper = [e for e in part.cheaper if e.instead_of == code and item.done.at == e.at]
    # At a breaker the cheaper part stands at the outlet for which the breaker is there.
    if item.done.of == "circuit":
        outlets = {each.done.at for each in part.items if each.price.code == code}
        cheaper += [e for e in part.cheaper if e.instead_of == code and e.at not in outlets]
    if cheaper:
        yield "# Cheaper, but it fails"
    yield from (f"- {cheaper_part(each)}" for each in cheaper)


def _left(left: Iterable[Left]) -> Iterator[str]:
    for found, bars in not_solved(left):
        yield from (f"NOT SOLVED {says}" for says in found)
        yield from (f"- {bar}" for bar in bars)


def _lists(plan: Plan) -> Iterator[str]:
    yield "# Shopping list"
    for line in shopping(plan):
        cost = line.material if isinstance(line.material, str) else f"{line.material:,.2f}"
        yield f"{line.count:>3} x {line.price.code:<14} {cost:>9}  {line.what}"
    if labels(plan):
        yield "# Labels"
        yield from (f'{at}: "{text}"' for at, text in labels(plan))
    if schedule(plan):
        yield "# Panel schedule, before and after"
        for slot in schedule(plan):
            yield f"{slot.circuit} before: {slot.before}"
            yield f"{slot.circuit} after: {slot.after}"
