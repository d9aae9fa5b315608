"""A judged wall line as written on paper: each space, each distance, what to add and where."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from fractions import Fraction

from walkthrough.trade.lengths import FINEST, told
from walkthrough.trade.outlet_count import more_needed, none_needed, numbers
from walkthrough.trade.reach import Gap, Place
from walkthrough.trade.spacing import Served, Spacing, foyer_spacing
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.strip import strip
from walkthrough.trade.wall_line import Line
from walkthrough.trade.working import Step, Value, Working, rounded
from walkthrough.trade.working import told as plain

_WIDTH_ROW = {
    "wall": ("wall_space", "least_width_ft"),
    "counter": ("counter_space", "least_width_in"),
    "foyer": ("foyer", "least_width_ft"),
}
_REACH_ROW = {
    "wall": ("wall_reach", "farthest_ft"),
    "counter": ("counter_reach", "farthest_in"),
    "foyer": ("foyer", "least_width_ft"),
}
_UNIT = {"wall": "ft", "counter": "in", "foyer": "ft"}


def spacing_working(spacing: Spacing, tables: SpacingTables) -> Working:
    """The steps, the result and the verdict of a judged wall, counter or foyer."""
    page = _Page(spacing, tables)
    missing = spacing.missing
    result: dict[str, Value] = {
        "missing": missing,
        "required": spacing.least,
        "credited": spacing.credited,
    }
    for_scripts: dict[str, Value] = {
        "spaces": tuple(page.space(number, each) for number, each in page.numbered),
        "not_counted": tuple(
            {"at_in": _inches(each.at_in), "why": why} for each, why in spacing.left_out
        ),
    }
    steps = tuple(step for number, each in page.numbered for step in page.steps(number, each))
    if not steps:
        steps = (page.no_space(),)
    left_out = tuple(
        f"The receptacle at {page.told(each.at_in)} does not count: {why}."
        for each, why in spacing.left_out
    )
    return Working(
        steps,
        result,
        "fail" if missing else "ask the AHJ" if spacing.disputed else "pass",
        page.because(),
        (*left_out, *spacing.notes),
        tuple(strip(spacing)),
        for_scripts,
    )


def foyer_working(area_ft2: Fraction, line: Line, tables: SpacingTables) -> Working:
    """210.52(I): a foyer that is no part of a hallway, by its area and the line of its walls."""
    if not tables.asks("foyer"):
        why = "this ruleset asks for none in foyers"
        return none_needed("foyer", why, ("foyer", "asked"), tables)
    limit = tables.number("foyer", "larger_than_ft2")
    larger = area_ft2 > limit
    area = rounded(Decimal(area_ft2.numerator) / area_ft2.denominator)
    formula = f"{'more' if larger else 'not more'} than {plain(limit)} ft2"
    ground = tables.ground("foyer", "larger_than_ft2")
    step = Step("area of the foyer", formula, area, "ft2", ground)
    if not larger:
        return Working((step,), numbers(0, 0), "pass", f"none is needed: {formula}")
    working = spacing_working(foyer_spacing(line, tables), tables)
    return replace(working, steps=(step, *working.steps))


class _Page:
    """Puts one judged line into words; lengths in feet and inches, along a counter in inches."""

    def __init__(self, spacing: Spacing, tables: SpacingTables) -> None:
        self._spacing = spacing
        self._unit = _UNIT[spacing.of]
        self._width = tables.ground(*_WIDTH_ROW[spacing.of])
        self._reach = tables.ground(*_REACH_ROW[spacing.of])
        self.numbered = tuple(enumerate(spacing.served, start=1))

    def told(self, inches: Fraction) -> str:
        """A length in the unit that is usual there."""
        return told(inches, self._unit)

    def because(self) -> str:
        asked = [each for each in self._spacing.served if each.asked]
        if not asked:
            least = self.told(self._spacing.least_width_in)
            return f"no space is {least} wide or more: no receptacle is asked for"
        if not self._spacing.missing:
            return "no point is too far" if self._spacing.reach_in else "each space has one"
        return more_needed(self._spacing.missing)

    def no_space(self) -> Step:
        """The line has nothing for which the rule could ask."""
        return Step("spaces", "nothing of the line counts", Decimal(0), self._unit, self._width)

    def steps(self, number: int, served: Served) -> Iterator[Step]:
        name = f"space {number}"
        yield self._width_step(name, served)
        if not served.asked:
            return
        if not served.at_in:
            yield Step(f"receptacles in {name}", "none counts there", Decimal(0))
        elif self._spacing.reach_in is None:
            where = ", ".join(self._at(each) for each in served.at_in)
            yield Step(f"receptacles in {name}", f"at {where}: enough", _count(len(served.at_in)))
        else:
            yield from self._distances(served, self._spacing.reach_in)
        for gap, places in zip(served.gaps, served.places, strict=True):
            yield from self._cure(name, gap, places)

    def _width_step(self, name: str, served: Served) -> Step:
        space = served.space
        least = self.told(self._spacing.least_width_in)
        enough = f"{least} or more: counts" if served.asked else f"less than {least}: not asked for"
        start, end = self._at(space.start_in), self._at(space.end_in)
        formula = f"from {start} to {end}"
        if space.ring:
            formula = "all around, unbroken"
        value = self._value(space.width_in)
        return Step(f"{name} ({enough})", formula, value, self._unit, self._width)

    def _distances(self, served: Served, reach: Fraction) -> Iterator[Step]:
        space, at = served.space, served.at_in
        if not space.ring:
            label = f"from the end at {self._at(space.start_in)} to {self._at(at[0])}"
            yield self._distance(label, space.start_in, at[0], reach)
        following = (*at[1:], at[0] + space.width_in) if space.ring else at[1:]
        for before, after in zip(at, following, strict=False):
            label = f"middle between {self._at(before)} and {self._at(after)}"
            if len(at) == 1:
                label = f"all around from {self._at(before)} back to it, the middle"
            yield self._distance(label, before, after, reach, halved=True)
        if not space.ring:
            label = f"from {self._at(at[-1])} to the end at {self._at(space.end_in)}"
            yield self._distance(label, at[-1], space.end_in, reach)

    def _distance(
        self, label: str, start: Fraction, end: Fraction, reach: Fraction, halved: bool = False
    ) -> Step:
        distance = (end - start) / 2 if halved else end - start
        limit = self.told(reach)
        word = f"too far, more than {limit}" if distance > reach else f"at most {limit}"
        # Past the start of a line that goes around, points are counted on from there.
        formula = f"{self.told(end)} - {self.told(start)}"
        if halved:
            formula = f"({formula}) / 2"
        value = self._value(distance)
        return Step(f"{label} ({word})", formula, value, self._unit, self._reach)

    def _cure(self, name: str, gap: Gap, places: tuple[Place, ...]) -> Iterator[Step]:
        if self._spacing.reach_in is None:
            formula = f"one, anywhere {self._range(places[0])}"
            yield Step(f"to add in {name}", formula, _count(1), "", self._reach)
            return
        reach = self.told(self._spacing.reach_in)
        width = gap.end_in - gap.start_in
        points, value = self._too_far(gap), self._value(width)
        yield Step(f"too far in {name}", points, value, self._unit, self._reach)
        formula = f"{self.told(width)} / (2 x {reach}), rounded up"
        yield Step(f"to add in {name}", formula, _count(len(places)), "", self._reach)
        apart = self.told(2 * self._spacing.reach_in)
        for order, place in enumerate(places, start=1):
            rest = f", neighbours at most {apart} apart" if len(places) > 1 else ""
            where = f"anywhere {self._range(place)}{rest}"
            yield Step(f"place {order} of {len(places)} there", where)

    def _too_far(self, gap: Gap) -> str:
        points = f"every point from {self._at(gap.start_in)} to {self._at(gap.end_in)}"
        if gap.farthest_in is None or gap.distance_in is None:
            return points
        distance = self.told(gap.distance_in)
        return f"{points} (the worst at {self._at(gap.farthest_in)}, {distance} away)"

    def _range(self, place: Place) -> str:
        if place.earliest_in == place.latest_in:
            return f"at {self._at(place.earliest_in)}"
        return f"between {self._at(place.earliest_in)} and {self._at(place.latest_in)}"

    def _at(self, point: Fraction) -> str:
        return self.told(self._turned(point))

    def _turned(self, point: Fraction) -> Fraction:
        """A point past the end of a line that goes around is one after its start."""
        length = self._spacing.line.length_in
        return point - length if point > length else point

    def _value(self, inches: Fraction) -> Decimal:
        return _inches(inches / 12 if self._unit == "ft" else inches)

    def space(self, number: int, served: Served) -> dict[str, Value]:
        """One space for scripts; every length in inches along the line."""
        space = served.space
        return {
            "number": number,
            "from_in": _inches(space.start_in),
            "to_in": _inches(self._turned(space.end_in)),
            "width_in": _inches(space.width_in),
            "all_around": space.ring,
            "asked": served.asked,
            "receptacles_in": tuple(_inches(self._turned(each)) for each in served.at_in),
            "missing": served.missing,
            "too_far": tuple(self._gap(each) for each in served.gaps),
            "add": tuple(self._place(each) for places in served.places for each in places),
        }

    def _gap(self, gap: Gap) -> dict[str, Value]:
        far, distance = gap.farthest_in, gap.distance_in
        return {
            "from_in": _inches(self._turned(gap.start_in)),
            "to_in": _inches(self._turned(gap.end_in)),
            "farthest_in": None if far is None else _inches(self._turned(far)),
            "distance_in": None if distance is None else _inches(distance),
        }

    def _place(self, place: Place) -> dict[str, Value]:
        return {
            "from_in": _inches(self._turned(place.earliest_in)),
            "to_in": _inches(self._turned(place.latest_in)),
            "told": self._range(place),
        }


def _inches(value: Fraction) -> Decimal:
    exact = Decimal(value.numerator) / Decimal(value.denominator)
    return exact if FINEST % value.denominator == 0 else rounded(exact)


def _count(number: int) -> Decimal:
    return Decimal(number)
