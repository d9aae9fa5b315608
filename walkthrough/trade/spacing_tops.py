"""Receptacle outlets that an island or a peninsula of a kitchen needs, edition by edition."""

from __future__ import annotations

import math
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from walkthrough.trade.lengths import told
from walkthrough.trade.spacing import below_reason, stands_forbidden
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.tables import NOTHING
from walkthrough.trade.wall_line import Receptacle
from walkthrough.trade.working import Step, Value, Verdict, Working, rounded
from walkthrough.trade.working import told as plain

_SQUARE = 144


@dataclass(frozen=True, slots=True)
class Top:
    """The top of an island or peninsula with its overhangs: both sides in inches, or its area only.

    Of a peninsula the first side is its length from the wall that it stands square to, `joined_in`
    the depth of the counter along that wall; None where nobody told it. `outlets` are the
    receptacle outlets that serve the top (a duplex or a quad is one), None where they are not to
    be judged; of a peninsula their `at_in` is the distance from its outer end, where `ends_told`.
    `provision` says whether an outlet can be put in later.
    """

    sides_in: tuple[Fraction, Fraction] | None = None
    area_ft2: Fraction | None = None
    outlets: tuple[Receptacle, ...] | None = None
    ends_told: bool = False
    joined_in: Fraction | None = None
    provision: bool | None = None


@dataclass(frozen=True, slots=True)
class Needed:
    """How many outlets a top needs, None where that cannot be said, and how that was found."""

    count: int | None
    steps: tuple[Step, ...]
    caveats: tuple[str, ...] = ()


def top_working(top: Top, peninsula: bool, tables: SpacingTables) -> Working:
    """The outlets that a top needs, with the steps; raises NoRow where a table lacks."""
    table = "peninsula" if peninsula else "island"
    rule = tables.word(table, "rule")
    needed = {"size": _by_size, "area": _by_area, "provision": _none}[rule](top, table, tables)
    if needed.count is None:
        because = "this edition goes by both sides of the top, which are not told"
        unknown: dict[str, Value] = {"required": None, "credited": None, "missing": None}
        return Working(needed.steps, unknown, "cannot assess", because)
    if top.outlets is None:
        asked: dict[str, Value] = {"required": needed.count, "credited": None, "missing": None}
        because = f"{_outlets(needed.count)} needed"
        if rule == "provision":
            because = "none is needed; without one there must be a provision for one later"
        return Working(needed.steps, asked, "calculated", because, needed.caveats)
    credited, left_out, notes = _credited(top.outlets, tables)
    missing = max(0, needed.count - len(credited))
    result: dict[str, Value] = {
        "required": needed.count,
        "credited": len(credited),
        "missing": missing,
    }
    found = f"{len(credited)} there, {needed.count} needed"
    ground = tables.ground("counter_below", "credit") if top.outlets else NOTHING
    steps = [*needed.steps, Step("outlets that count", found, Decimal(len(credited)), "", ground)]
    verdict: Verdict = "fail" if missing else "pass"
    because = f"{_outlets(needed.count)} needed, {len(credited)} counted"
    if rule == "provision":
        verdict, because = _provided(top, bool(credited))
    elif not missing and tables.has(table, "outer_end_ft"):
        step, verdict, because = _outer_end(top, credited, table, tables)
        steps.append(step)
        result["missing"] = {"pass": 0, "fail": 1}.get(verdict)
    if any(stands_forbidden(each, tables) for each in top.outlets):
        deep = told(tables.inches("counter_below", "below_in"), "in")
        forbids = tables.ground("counter_below", "below_in")
        steps.append(Step("below the top", f"none is allowed within {deep}", None, "", forbids))
        verdict, because = "fail", f"an outlet within {deep} below the top, where none is allowed"
    for_scripts: dict[str, Value] = {"not_counted": tuple(left_out)}
    caveats = (*left_out, *notes, *needed.caveats)
    return Working(tuple(steps), result, verdict, because, caveats, for_scripts=for_scripts)


def _by_size(top: Top, table: str, tables: SpacingTables) -> Needed:
    """One outlet where the top is long and wide enough, however long it is."""
    limits = {name: f"least_{name}_in" for name in ("long", "short")}
    ground = tables.grounds(*((table, row) for row in limits.values()))
    if top.sides_in is None:
        return Needed(None, (Step("sides of the top", "not told", None, "", ground),))
    steps, caveats = [], []
    length, width = top.sides_in
    if tables.has(table, "measured_from") and tables.word(table, "measured_from") == "edge":
        if top.joined_in is None:
            caveats.append(
                "This edition measures a peninsula from the edge where it joins the counter; the "
                "depth of that counter is not told, so the length is taken as measured from there."
            )
        else:
            formula = f"{told(length, 'in')} - {told(top.joined_in, 'in')} of counter"
            length = max(Fraction(0), length - top.joined_in)
            where = tables.ground(table, "measured_from")
            steps.append(Step("length from the connecting edge", formula, _in(length), "in", where))
    sizes = {"long": max(length, width), "short": min(length, width)}
    enough = {name: size >= tables.inches(table, limits[name]) for name, size in sizes.items()}
    for name, size in sizes.items():
        word = "not less than" if enough[name] else "less than"
        formula = f"{told(size, 'in')}, {word} {told(tables.inches(table, limits[name]), 'in')}"
        steps.append(Step(f"{name} side", formula, _in(size), "in", ground))
    asked = all(enough.values())
    steps.append(Step("outlets needed", "1 where both are so large", Decimal(asked), "", ground))
    return Needed(int(asked), tuple(steps), tuple(caveats))


def _by_area(top: Top, table: str, tables: SpacingTables) -> Needed:
    """One outlet for the first part of the area and one for each further part begun."""
    first, further = tables.number(table, "first_ft2"), tables.number(table, "further_ft2")
    ground = tables.grounds((table, "first_ft2"), (table, "further_ft2"))
    area, formula = top.area_ft2 or Fraction(0), "as told"
    if top.sides_in is not None:
        area = top.sides_in[0] * top.sides_in[1] / _SQUARE
        formula = f"{told(top.sides_in[0])} x {told(top.sides_in[1])}"
    more = math.ceil(max(Fraction(0), area - Fraction(first)) / Fraction(further))
    count = (
        f"1 + ({plain(_exact(area))} - {plain(first)}) / {plain(further)}, rounded up"
        if more
        else f"1 for the first {plain(first)} ft2 or part of it"
    )
    steps = (
        Step("area of the top", f"{formula}, nothing taken off", _exact(area), "ft2", ground),
        Step("outlets needed", count, Decimal(1 + more), "", ground),
    )
    return Needed(1 + more, steps)


def _none(_: Top, table: str, tables: SpacingTables) -> Needed:
    formula = "none; without one there must be a provision for one later"
    step = Step("outlets needed", formula, Decimal(0), "", tables.ground(table, "rule"))
    return Needed(0, (step,))


def _credited(
    outlets: tuple[Receptacle, ...], tables: SpacingTables
) -> tuple[list[Receptacle], list[str], list[str]]:
    """The outlets that serve the top, those that do not with the reason, and what to note."""
    highest = tables.inches("counter_above", "highest_in")
    marks = tables.reasons("counter_not_counted")
    credited, left_out, notes = [], [], []
    for each in outlets:
        why = next((marks[mark] for mark in sorted(each.marks) if mark in marks), "")
        if not why and each.above_in is not None and each.above_in > highest:
            above = told(each.above_in, "in")
            why = f"{above} above the top, more than {told(highest, 'in')}"
        why = why or below_reason(each, tables, along_wall=False)
        if why:
            left_out.append(f"An outlet does not count: {why}.")
        else:
            credited.append(each)
    below = any(each.above_in is not None and each.above_in < 0 for each in outlets)
    if below and tables.word("counter_below", "credit") == "exception":
        notes.append(
            "An outlet below the top counts only by the exception: a flat top with no place above "
            "it, or one built for the physically impaired."
        )
    if any(stands_forbidden(each, tables) for each in outlets):
        notes.append("An outlet inside a drawer is not meant: do not tell it.")
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


def _outlets(number: int) -> str:
    return f"{number} outlet{'' if number == 1 else 's'}"


def _in(inches: Fraction) -> Decimal:
    return _exact(inches)


def _exact(value: Fraction) -> Decimal:
    return rounded(Decimal(value.numerator) / Decimal(value.denominator))
