"""Receptacle outlets that an island or a peninsula of a kitchen needs, edition by edition."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from walkthrough.trade.lengths import told
from walkthrough.trade.spacing import below_reason
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.tables import Ground
from walkthrough.trade.wall_line import Receptacle
from walkthrough.trade.working import Step, Value, Verdict, Working, rounded

_SQUARE = 144


@dataclass(frozen=True, slots=True)
class Top:
    """The top of an island or peninsula, in inches, overhangs for seating included.

    Of a peninsula `length_in` is measured from the wall that it stands square to, `joined_in` is
    the depth of the counter along that wall; None where nobody told it. `outlets` are the
    receptacle outlets that serve the top (a duplex or a quad is one); of a peninsula their `at_in`
    is the distance from its outer end, in `ends_told` where that was measured. `provision` says
    whether an outlet can be put in later.
    """

    length_in: Fraction
    width_in: Fraction
    outlets: tuple[Receptacle, ...] = ()
    ends_told: bool = False
    joined_in: Fraction | None = None
    provision: bool | None = None


def top_working(top: Top, peninsula: bool, tables: SpacingTables) -> Working:
    """The outlets that a top needs, with the steps; raises NoRow where a table lacks."""
    table = "peninsula" if peninsula else "island"
    rule = tables.word(table, "rule")
    count = {"size": _by_size, "area": _by_area, "provision": _none}[rule]
    steps, required, caveats = count(top, table, tables)
    credited, left_out, notes = _credited(top, tables)
    missing = max(0, required - len(credited))
    result: dict[str, Value] = {
        "required": required,
        "credited": len(credited),
        "missing": missing,
        "not_counted": tuple(left_out),
    }
    steps.append(_found(len(credited), required, tables.ground("counter_below", "credit")))
    told_all = (*left_out, *notes, *caveats)
    if rule == "provision":
        result["provision_for_later"] = not credited
        return Working(tuple(steps), result, *_provided(top, bool(credited)), told_all)
    if missing:
        because = f"{_outlets(missing)} missing: {required} needed, {len(credited)} counted"
        return Working(tuple(steps), result, "fail", because, told_all)
    if tables.has(table, "outer_end_ft") and required:
        step, verdict, because = _outer_end(top, credited, table, tables)
        result["missing"] = int(verdict == "fail")
        return Working((*steps, step), result, verdict, because, told_all)
    because = (
        f"{_outlets(required)} needed, {len(credited)} counted" if required else "none is needed"
    )
    return Working(tuple(steps), result, "pass", because, told_all)


def _by_size(top: Top, table: str, tables: SpacingTables) -> tuple[list[Step], int, list[str]]:
    """One outlet where the top is long and wide enough, however long it is."""
    long_least = tables.inches(table, "least_long_in")
    short_least = tables.inches(table, "least_short_in")
    ground = tables.grounds((table, "least_long_in"), (table, "least_short_in"))
    steps, caveats, length = [], [], top.length_in
    if tables.has(table, "measured_from") and tables.word(table, "measured_from") == "edge":
        if top.joined_in is None:
            caveats.append(
                "This edition measures a peninsula from the edge where it joins the counter; the "
                "depth of that counter is not told, so the length is taken as measured from there."
            )
        else:
            length = max(Fraction(0), top.length_in - top.joined_in)
            formula = f"{told(top.length_in, 'in')} - {told(top.joined_in, 'in')} of counter"
            where = tables.ground(table, "measured_from")
            steps.append(Step("length from the connecting edge", formula, _in(length), "in", where))
    short, long = sorted((length, top.width_in))
    asked = long >= long_least and short >= short_least
    for name, size, least in (("long", long, long_least), ("short", short, short_least)):
        word = "not less than" if size >= least else "less than"
        formula = f"{told(size, 'in')}, {word} {told(least, 'in')}"
        steps.append(Step(f"{name} side", formula, _in(size), "in", ground))
    steps.append(Step("outlets needed", "1 where both are so large", Decimal(asked), "", ground))
    return steps, int(asked), caveats


def _by_area(top: Top, table: str, tables: SpacingTables) -> tuple[list[Step], int, list[str]]:
    """One outlet for the first part of the area and one for each further part begun."""
    first, further = tables.number(table, "first_ft2"), tables.number(table, "further_ft2")
    ground = tables.grounds((table, "first_ft2"), (table, "further_ft2"))
    area = top.length_in * top.width_in / _SQUARE
    more = math.ceil(max(Fraction(0), area - Fraction(first)) / Fraction(further))
    sides = f"{told(top.length_in)} x {told(top.width_in)}"
    formula = (
        f"1 + ({rounded(_exact(area), 2).normalize():f} - {first}) / {further}, rounded up"
        if more
        else f"1 for the first {first} ft2 or part of it"
    )
    steps = [
        Step("area of the top", f"{sides}, nothing taken off", _exact(area), "ft2", ground),
        Step("outlets needed", formula, Decimal(1 + more), "", ground),
    ]
    return steps, 1 + more, []


def _none(_: Top, table: str, tables: SpacingTables) -> tuple[list[Step], int, list[str]]:
    ground = tables.ground(table, "rule")
    formula = "none; without one there must be a provision for one later"
    return [Step("outlets needed", formula, Decimal(0), "", ground)], 0, []


def _credited(top: Top, tables: SpacingTables) -> tuple[list[Receptacle], list[str], list[str]]:
    """The outlets that serve the top, those that do not with the reason, and what to note."""
    highest = tables.inches("counter_above", "highest_in")
    marks = tables.reasons("counter_not_counted")
    credited, left_out, notes = [], [], []
    for each in top.outlets:
        why = next((marks[mark] for mark in sorted(each.marks) if mark in marks), "")
        if not why and each.above_in is not None and each.above_in > highest:
            above = told(each.above_in, "in")
            why = f"{above} above the top, more than {told(highest, 'in')}"
        why = why or below_reason(each, tables, along_wall=False)
        if why:
            left_out.append(f"An outlet does not count: {why}.")
        else:
            credited.append(each)
    below = any(each.above_in is not None and each.above_in < 0 for each in top.outlets)
    if below and tables.word("counter_below", "credit") == "exception":
        notes.append(
            "An outlet below the top counts only by the exception: a flat top with no place above "
            "it, or one built for the physically impaired."
        )
    if below and tables.word("counter_below", "credit") == "forbidden":
        deep = told(tables.inches("counter_below", "below_in"), "in")
        notes.append(
            f"Outlets up to {deep} below a top are not allowed in this edition, those inside a "
            "drawer apart; sources differ on how far that goes. Ask the authority having "
            "jurisdiction."
        )
    return credited, left_out, notes


def _outer_end(
    top: Top, credited: list[Receptacle], table: str, tables: SpacingTables
) -> tuple[Step, Verdict, str]:
    """Whether one of the outlets stands near the outer end of a peninsula."""
    limit = tables.inches(table, "outer_end_ft")
    ground = tables.ground(table, "outer_end_ft")
    if not top.ends_told:
        step = Step(
            "nearest to the outer end", f"at most {told(limit)}; not told", None, "", ground
        )
        return step, "cannot assess", f"whether one stands within {told(limit)} of the outer end"
    nearest = min(each.at_in for each in credited)
    near = nearest <= limit
    word = "not more than" if near else "more than"
    formula = f"{told(nearest)}, {word} {told(limit)}"
    step = Step("nearest to the outer end", formula, _in(nearest), "in", ground)
    if near:
        return step, "pass", "enough outlets, one of them near the outer end"
    return step, "fail", f"no outlet within {told(limit)} of the outer end"


def _provided(top: Top, served: bool) -> tuple[Verdict, str]:
    if served:
        return "pass", "none is needed, and one serves the top"
    if top.provision is None:
        return "cannot assess", "none is needed; whether one can be put in later is not told"
    if top.provision:
        return "pass", "none is needed, and one can be put in later"
    return "fail", "neither an outlet nor a provision for one later"


def _found(number: int, required: int, ground: Ground) -> Step:
    formula = f"{number} there, {required} needed"
    return Step("outlets that count", formula, Decimal(number), "", ground)


def _outlets(number: int) -> str:
    return f"{number} outlet{'' if number == 1 else 's'}"


def _in(inches: Fraction) -> Decimal:
    return _exact(inches)


def _exact(value: Fraction) -> Decimal:
    return rounded(Decimal(value.numerator) / Decimal(value.denominator))
