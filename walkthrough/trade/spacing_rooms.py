"""Receptacle outlets that bathrooms, hallways, garages, basements and the like must have."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from walkthrough.trade.lengths import told
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.tables import Ground
from walkthrough.trade.working import Step, Value, Verdict, Working, rounded


@dataclass(frozen=True, slots=True)
class Outlet:
    """A receptacle outlet: its height above floor, grade or walking surface in inches, if told.

    `bay` is the number of the vehicle bay, 0 where it is not told; `marks` are words of the
    ruleset's tables of receptacles that do not count.
    """

    above_in: Fraction | None = None
    bay: int = 0
    marks: frozenset[str] = frozenset()


@dataclass(frozen=True, slots=True)
class Area:
    """One place that needs outlets: how many, and those that are there."""

    name: str
    needed: int
    outlets: tuple[Outlet, ...]


def hallway_working(
    length_in: Fraction, outlets: Sequence[Outlet], tables: SpacingTables
) -> Working:
    """210.52(H): `length_in` along the centre line, without passing a doorway."""
    least = tables.inches("hallway", "least_length_ft")
    asked = length_in >= least
    word = "not less than" if asked else "less than"
    ground = tables.ground("hallway", "least_length_ft")
    step = Step(
        "length of the hallway",
        f"{told(length_in)}, {word} {told(least)}",
        _feet(length_in),
        "ft",
        ground,
    )
    needed = tables.count("hallway", "at_least") if asked else 0
    return _counted([step], [Area("hallway", needed, tuple(outlets))], "hallway", tables)


def laundry_working(
    outlets: Sequence[Outlet], dwelling: str, common_laundry: bool, tables: SpacingTables
) -> Working:
    """210.52(F): where laundry equipment is or is to be."""
    exempt = common_laundry and dwelling in tables.words("laundry_exempt", "dwellings")
    steps = []
    if exempt:
        ground = tables.ground("laundry_exempt", "dwellings")
        steps.append(Step("exempt", f"{dwelling}, a laundry for all tenants", None, "", ground))
    needed = 0 if exempt else tables.count("laundry", "at_least")
    return _counted(steps, [Area("laundry", needed, tuple(outlets))], "laundry", tables)


def garage_working(
    bays: int, outlets: Sequence[Outlet], dwelling: str, powered: bool, tables: SpacingTables
) -> Working:
    """210.52(G): a garage by its bays; `powered` is false of a detached one without power."""
    if not tables.asks("garage"):
        return not_asked("garage", tables)
    if (waived := _not_bound("garage", dwelling, tables)) is not None:
        return waived
    if not powered:
        ground = tables.ground("garage", "per")
        step = Step("detached garage without power", "none is needed", Decimal(0), "", ground)
        return _counted([step], [Area("garage", 0, tuple(outlets))], "garage", tables)
    per = tables.word("garage", "per")
    if per == "bay":
        areas = [
            Area(f"vehicle bay {bay}", 1, tuple(each for each in outlets if each.bay == bay))
            for bay in range(1, bays + 1)
        ]
    else:
        needed = bays if per == "car space" else 1
        areas = [Area(f"garage, one for each {per}", needed, tuple(outlets))]
    return _counted([], areas, "garage", tables, ("garage_not_counted",))


def basement_working(
    outlets: Sequence[Outlet],
    unfinished: Sequence[Sequence[Outlet]],
    dwelling: str,
    tables: SpacingTables,
) -> Working:
    """210.52(G): a basement; `outlets` of its finished part, `unfinished` of each other part."""
    if (waived := _not_bound("basement", dwelling, tables)) is not None:
        return waived
    each = tables.count("basement", "per_unfinished_part")
    areas = [
        Area(f"unfinished part {number}", each, tuple(there))
        for number, there in enumerate(unfinished, start=1)
    ]
    if not areas:
        areas = [Area("basement", tables.count("basement", "at_least"), tuple(outlets))]
    elif outlets:
        areas.append(Area("finished part", 0, tuple(outlets)))
    return _counted([], areas, "basement", tables, ("garage_not_counted",))


def accessory_working(
    outlets: Sequence[Outlet], dwelling: str, powered: bool, tables: SpacingTables
) -> Working:
    """210.52(G): an accessory building; without power none is needed."""
    if (waived := _not_bound("accessory_building", dwelling, tables)) is not None:
        return waived
    needed = tables.count("accessory_building", "at_least") if powered else 0
    area = Area(
        "accessory building" if powered else "building without power", needed, tuple(outlets)
    )
    return _counted([], [area], "accessory_building", tables, ("garage_not_counted",))


def outdoors_working(
    front: Sequence[Outlet], back: Sequence[Outlet], dwelling: str, tables: SpacingTables
) -> Working:
    """210.52(E)(1) and (2): outlets at the front and the back, heights above grade.

    A unit of a multifamily dwelling with an entrance of its own at grade needs one in all.
    """
    if dwelling in tables.words("outdoor_front_back", "dwellings"):
        table = "outdoor_front_back"
        areas = [
            Area("front", tables.count(table, "front"), tuple(front)),
            Area("back", tables.count(table, "back"), tuple(back)),
        ]
    else:
        table = "outdoor_unit"
        areas = [Area("unit at grade", tables.count(table, "at_least"), (*front, *back))]
    note = (
        "It must be readily accessible from grade. Whether one on a raised porch is, was read "
        "differently before and after 2014."
    )
    return _counted([], areas, table, tables, notes=[note])


def foyer_area_step(area_ft2: Fraction, tables: SpacingTables) -> tuple[Step, bool]:
    """Whether a foyer is so large that its walls are judged."""
    limit = Fraction(tables.number("foyer", "larger_than_ft2"))
    larger = area_ft2 > limit
    word = "more than" if larger else "not more than"
    value = rounded(Decimal(area_ft2.numerator) / area_ft2.denominator)
    formula = f"{value.normalize():f} ft2, {word} {limit} ft2"
    return Step(
        "area of the foyer", formula, value, "ft2", tables.ground("foyer", "larger_than_ft2")
    ), larger


def equipment_working(
    distance_in: Fraction | None,
    same_level: bool | None,
    equipment: str,
    dwelling: str,
    tables: SpacingTables,
) -> Working:
    """210.63: a receptacle near heating, air-conditioning or refrigeration equipment.

    `distance_in` is that of the nearest receptacle, None where there is none.
    """
    table = "equipment_service"
    if equipment in tables.words(table, "exempt") and dwelling in tables.words(
        table, "exempt_dwellings"
    ):
        step = Step(
            "exempt", f"{equipment}, {dwelling} dwelling", None, "", tables.ground(table, "exempt")
        )
        return Working((step,), _numbers(0, 0, 0), "pass", "none is needed for it")
    limit = tables.inches(table, "farthest_ft")
    ground = tables.ground(table, "farthest_ft")
    if distance_in is None:
        step = Step("nearest receptacle", "none", None, "", ground)
        return Working((step,), _numbers(1, 0, 1), "fail", "1 more receptacle needed at least")
    near = distance_in <= limit
    word = "not more than" if near else "more than"
    steps = [
        Step(
            "nearest receptacle",
            f"{told(distance_in)}, {word} {told(limit)}",
            _feet(distance_in),
            "ft",
            ground,
        )
    ]
    if near and same_level is None:
        because = "whether it stands on the level of the equipment is not told"
        return Working(tuple(steps), _numbers(1, 0, None), "cannot assess", because)
    steps.append(Step("on the same level", "yes" if same_level else "no", None, "", ground))
    good = near and bool(same_level)
    result = _numbers(1, int(good), int(not good))
    because = "one within reach on its level" if good else "1 more receptacle needed at least"
    return Working(tuple(steps), result, "pass" if good else "fail", because)


def not_asked(table: str, tables: SpacingTables) -> Working:
    """The edition asks for nothing under this table."""
    ground = tables.ground(table, "asked")
    step = Step("outlets needed", "this edition asks for none", Decimal(0), "", ground)
    return Working((step,), _numbers(0, 0, 0), "pass", "none is needed in this edition")


def _not_bound(table: str, dwelling: str, tables: SpacingTables) -> Working | None:
    dwellings = tables.words(table, "dwellings")
    if dwelling in dwellings:
        return None
    formula = f"{dwelling}; the rule is for {', '.join(dwellings)}"
    step = Step("kind of dwelling", formula, None, "", tables.ground(table, "dwellings"))
    return Working((step,), _numbers(0, 0, 0), "pass", "none is needed in this kind of dwelling")


def _counted(
    steps: Iterable[Step],
    areas: Sequence[Area],
    table: str,
    tables: SpacingTables,
    more_reasons: Sequence[str] = (),
    notes: Sequence[str] = (),
) -> Working:
    """Count in each area the outlets that count against those that are needed."""
    marks = tables.reasons("receptacle_not_counted")
    for each in more_reasons:
        marks |= tables.reasons(each)
    own = tables.has(table, "highest_ft")
    height = (table if own else "receptacle_height", "highest_ft")
    written, left_out, found = list(steps), [], []
    for area in areas:
        credited = 0
        for outlet in area.outlets:
            why = _reason(outlet, marks, tables.inches(*height))
            credited += not why
            left_out += [f"An outlet ({area.name}) does not count: {why}."] if why else []
        ground = _table_ground(table, tables) + (
            tables.ground(*height) if area.outlets else Ground()
        )
        formula = f"{credited} there, {area.needed} needed"
        written.append(Step(area.name, formula, Decimal(credited), "", ground))
        found.append((area, credited))
    missing = sum(max(0, area.needed - credited) for area, credited in found)
    result = _numbers(sum(area.needed for area in areas), sum(n for _, n in found), missing)
    result["not_counted"] = tuple(left_out)
    result["areas"] = tuple(
        {"name": a.name, "required": a.needed, "credited": n, "missing": max(0, a.needed - n)}
        for a, n in found
    )
    verdict: Verdict = "fail" if missing else "pass"
    short = [area.name for area, credited in found if credited < area.needed]
    plural = "" if missing == 1 else "s"
    because = (
        f"{missing} more receptacle{plural} needed: {', '.join(short)}"
        if missing
        else "enough are there"
        if result["required"]
        else "none is needed"
    )
    return Working(tuple(written), result, verdict, because, (*left_out, *notes))


def _reason(outlet: Outlet, marks: dict[str, str], highest: Fraction) -> str:
    if why := next((marks[each] for each in sorted(outlet.marks) if each in marks), ""):
        return why
    if outlet.above_in is not None and outlet.above_in > highest:
        return f"{told(outlet.above_in)} up, more than {told(highest)}"
    return ""


def _table_ground(table: str, tables: SpacingTables) -> Ground:
    return tables.ground(table, tables.rows(table)[0])


def _numbers(required: int, credited: int, missing: int | None) -> dict[str, Value]:
    return {"required": required, "credited": credited, "missing": missing}


def _feet(inches: Fraction) -> Decimal:
    return rounded(Decimal(inches.numerator) / Decimal(inches.denominator * 12))
