"""Counts the receptacle outlets of places that need so many of them: those there, those missing."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from walkthrough.trade.lengths import told
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.working import Step, Value, Verdict, Working


@dataclass(frozen=True, slots=True)
class Outlet:
    """A receptacle outlet: its height above floor, grade or walking surface in inches, if told.

    `bay` is the number of the vehicle bay, 0 where it is not told; `marks` are words of the
    ruleset's tables of receptacles that do not count.
    """

    above_in: Fraction | None = None
    bay: int = 0
    marks: frozenset[str] = frozenset()


Outlets = tuple[Outlet, ...] | None
"""The outlets of a place; None where they are not to be judged, only the number is asked for."""


@dataclass(frozen=True, slots=True)
class Area:
    """A place, the number of outlets that it needs, the row that says so, and what is there."""

    name: str
    needed: int
    row: tuple[str, str]
    outlets: Outlets


def counted(
    areas: Sequence[Area],
    tables: SpacingTables,
    height: tuple[str, str] = ("receptacle_height", "highest_ft"),
    not_counted: Sequence[str] = ("receptacle_not_counted",),
    steps: Iterable[Step] = (),
    notes: Sequence[str] = (),
) -> Working:
    """Set what is there against what is needed, area by area.

    `height` is the row above which an outlet does not count, `not_counted` the tables of those
    that do not count for another reason. Raises NoRow where a table lacks.
    """
    marks = {word: why for table in not_counted for word, why in tables.reasons(table).items()}
    written, left_out = list(steps), []
    credits: list[int | None] = []
    for area in areas:
        ground = tables.ground(*area.row)
        if area.outlets is None:
            credits.append(None)
            written.append(Step(f"needed: {area.name}", "", Decimal(area.needed), "", ground))
            continue
        reasons = [_reason(each, marks, tables.inches(*height)) for each in area.outlets]
        left_out += [f"An outlet ({area.name}) does not count: {why}." for why in reasons if why]
        credits.append(reasons.count(""))
        if area.outlets:
            ground += tables.ground(*height)
        formula = f"{area.needed} needed; there"
        written.append(Step(area.name, formula, Decimal(reasons.count("")), "", ground))
    parts = tuple(
        numbers(area.needed, credit) | {"name": area.name}
        for area, credit in zip(areas, credits, strict=True)
    )
    whole = numbers(sum(area.needed for area in areas), None)
    if None not in credits:
        whole["credited"] = sum(credit or 0 for credit in credits)
        whole["missing"] = sum(
            max(0, area.needed - (credit or 0)) for area, credit in zip(areas, credits, strict=True)
        )
    short = [str(part["name"]) for part in parts if part["missing"]]
    verdict, because = _verdict(whole, short)
    scripts: dict[str, Value] = {"areas": parts, "not_counted": tuple(left_out)}
    return Working(tuple(written), whole, verdict, because, (*left_out, *notes), (), scripts)


def numbers(required: int, credited: int | None) -> dict[str, Value]:
    """The numbers of a result; what is missing is not told where nothing was judged."""
    missing = None if credited is None else max(0, required - credited)
    return {"required": required, "credited": credited, "missing": missing}


def none_needed(label: str, why: str, row: tuple[str, str], tables: SpacingTables) -> Working:
    """The rule does not ask for any here."""
    step = Step(label, why, Decimal(0), "", tables.ground(*row))
    return Working((step,), numbers(0, 0), "pass", f"none is needed: {why}")


def waived(table: str, dwelling: str, tables: SpacingTables) -> Working | None:
    """Where an edition asks nothing under a table, or not in this kind of dwelling: that."""
    if not tables.asks(table):
        why = "this ruleset asks for none"
        return none_needed("outlets needed", why, (table, "asked"), tables)
    dwellings = tables.words(table, "dwellings")
    if dwelling in dwellings:
        return None
    why = f"{dwelling} dwelling; the rule is for {', '.join(dwellings)}"
    return none_needed("outlets needed", why, (table, "dwellings"), tables)


def more_needed(number: int) -> str:
    """So many more receptacles are needed."""
    return f"{number} more receptacle{'' if number == 1 else 's'} needed"


def _verdict(whole: Mapping[str, Value], short: Sequence[str]) -> tuple[Verdict, str]:
    required, missing = whole["required"], whole["missing"]
    if not required:
        return "pass", "none is needed"
    if not isinstance(missing, int):
        return "calculated", f"{required} needed"
    if missing:
        return "fail", f"{more_needed(missing)}: {', '.join(short)}"
    return "pass", "enough are there"


def _reason(outlet: Outlet, marks: Mapping[str, str], highest: Fraction) -> str:
    if why := next((marks[each] for each in sorted(outlet.marks) if each in marks), ""):
        return why
    if outlet.above_in is not None and outlet.above_in > highest:
        return f"{told(outlet.above_in)} up, more than {told(highest)}"
    return ""
