"""Receptacle outlets that hallways, laundries, garages, basements and the outdoors must have."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from walkthrough.trade.lengths import told
from walkthrough.trade.outlet_count import (
    Area,
    Outlet,
    Outlets,
    counted,
    more_needed,
    none_needed,
    waived,
)
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.working import Step, Working, rounded

_GARAGE_MARKS = ("receptacle_not_counted", "garage_not_counted")


def hallway_working(length_in: Fraction, outlets: Outlets, tables: SpacingTables) -> Working:
    """210.52(H): `length_in` along the centre line, without passing a doorway."""
    least = tables.inches("hallway", "least_length_ft")
    asked = length_in >= least
    formula = f"{told(length_in)}, {'not less' if asked else 'less'} than {told(least)}"
    feet = rounded(Decimal(length_in.numerator) / (length_in.denominator * 12))
    ground = tables.ground("hallway", "least_length_ft")
    step = Step("length of the hallway", formula, feet, "ft", ground)
    needed = tables.count("hallway", "at_least") if asked else 0
    area = Area("hallway", needed, ("hallway", "at_least"), outlets)
    return counted([area], tables, steps=[step])


def laundry_working(
    outlets: Outlets, dwelling: str, common_laundry: bool, tables: SpacingTables
) -> Working:
    """210.52(F): where laundry equipment is or is to be."""
    if common_laundry and dwelling in tables.words("laundry_exempt", "dwellings"):
        why = f"{dwelling} dwelling with a laundry for all of the building"
        return none_needed("laundry", why, ("laundry_exempt", "dwellings"), tables)
    needed = tables.count("laundry", "at_least")
    return counted([Area("laundry", needed, ("laundry", "at_least"), outlets)], tables)


def garage_working(
    bays: int, outlets: Outlets, dwelling: str, powered: bool, tables: SpacingTables
) -> Working:
    """210.52(G): a garage by its vehicle bays; `powered` is false of a detached one without power.

    Where an edition asks for one in each bay, an outlet of which the bay is not told may stand in
    any of them: then it cannot be assessed, unless there are too few in any case.
    """
    if (free := waived("garage", dwelling, tables)) is not None:
        return free
    row = ("garage", "per")
    if not powered:
        return none_needed("garage", "detached, without power", row, tables)
    height = "garage" if tables.has("garage", "highest_ft") else "receptacle_height"
    per = tables.word(*row)
    if per != "bay" or outlets is None:
        needed = 1 if per == "garage" else bays
        areas = [Area(f"garage, one for each {per}", needed, row, outlets)]
        return counted(areas, tables, (height, "highest_ft"), _GARAGE_MARKS)
    areas = [
        Area(f"vehicle bay {bay}", 1, row, tuple(each for each in outlets if each.bay == bay))
        for bay in range(1, bays + 1)
    ]
    working = counted(areas, tables, (height, "highest_ft"), _GARAGE_MARKS)
    anywhere = tuple(each for each in outlets if not each.bay)
    spare = counted([Area("", 0, row, anywhere)], tables, (height, "highest_ft"), _GARAGE_MARKS)
    missing, somewhere = working.result["missing"], spare.result["credited"]
    if not isinstance(missing, int) or not isinstance(somewhere, int) or not missing:
        return working
    caveats = (*working.caveats, *spare.caveats)
    if somewhere < missing:
        least = missing - somewhere
        because = f"at least {more_needed(least)}" if somewhere else working.because
        result = {**working.result, "missing": least}
        return replace(working, result=result, because=because, caveats=caveats)
    because = f"in which vehicle bay each outlet stands is not told ({somewhere} of them)"
    result = {**working.result, "credited": None, "missing": None}
    return replace(
        working, result=result, verdict="cannot assess", because=because, caveats=caveats
    )


def basement_working(
    outlets: Outlets, unfinished: Sequence[Outlets], dwelling: str, tables: SpacingTables
) -> Working:
    """210.52(G): a basement; `outlets` of the whole, `unfinished` of each unfinished part."""
    if (free := waived("basement", dwelling, tables)) is not None:
        return free
    each = tables.count("basement", "per_unfinished_part")
    areas = [
        Area(f"unfinished part {number}", each, ("basement", "per_unfinished_part"), there)
        for number, there in enumerate(unfinished, start=1)
    ]
    if not areas:
        at_least = ("basement", "at_least")
        areas = [Area("basement", tables.count(*at_least), at_least, outlets)]
    return counted(areas, tables, not_counted=_GARAGE_MARKS)


def accessory_working(
    outlets: Outlets, dwelling: str, powered: bool, tables: SpacingTables
) -> Working:
    """210.52(G): an accessory building; without power none is needed."""
    if (free := waived("accessory_building", dwelling, tables)) is not None:
        return free
    row = ("accessory_building", "at_least")
    if not powered:
        return none_needed("accessory building", "it has no power", row, tables)
    areas = [Area("accessory building", tables.count(*row), row, outlets)]
    return counted(areas, tables, not_counted=_GARAGE_MARKS)


def outdoors_working(
    front: tuple[Outlet, ...], back: tuple[Outlet, ...], dwelling: str, tables: SpacingTables
) -> Working:
    """210.52(E)(1) and (2): outlets at the front and the back, heights above grade.

    A unit of a multifamily dwelling with an entrance of its own at grade needs one in all.
    """
    if dwelling in tables.words("outdoor_front_back", "dwellings"):
        table = "outdoor_front_back"
        areas = [
            Area(name, tables.count(table, name), (table, name), there)
            for name, there in (("front", front), ("back", back))
        ]
    else:
        table = "outdoor_unit"
        row = (table, "at_least")
        areas = [Area("unit at grade", tables.count(*row), row, (*front, *back))]
    note = (
        "It must be readily accessible from grade. Whether one on a raised porch is, was read "
        "differently before and after 2014."
    )
    return counted(areas, tables, (table, "highest_ft"), notes=[note])
