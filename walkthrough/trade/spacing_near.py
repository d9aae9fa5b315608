"""Receptacles near basins and equipment, and at balconies, decks and porches."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal
from fractions import Fraction

from walkthrough.trade.lengths import told
from walkthrough.trade.outlet_count import more_needed, none_needed, numbers
from walkthrough.trade.reach import Place
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.tables import Ground
from walkthrough.trade.wall_line import Receptacle
from walkthrough.trade.working import Step, Value, Verdict, Working, rounded


@dataclass(frozen=True, slots=True)
class Basin:
    """A basin by its two outside edges along the wall, in inches."""

    from_in: Fraction
    to_in: Fraction

    def distance_in(self, at_in: Fraction) -> Fraction:
        """How far a point of the wall is from the nearer outside edge."""
        return max(self.from_in - at_in, at_in - self.to_in, Fraction(0))


def nearest_to_serve(
    basins: Sequence[Basin], at_in: Sequence[Fraction], reach_in: Fraction
) -> tuple[Place, ...]:
    """The fewest receptacles to add so that each basin has one within reach, with their ranges.

    One between two basins may serve both. The basin whose farther bound comes first needs one that
    is no farther than that bound; all that such a one can serve with it are served (so that no
    other choice needs fewer).
    """
    open_ = sorted(
        (
            (basin.to_in + reach_in, basin.from_in - reach_in)
            for basin in basins
            if all(basin.distance_in(each) > reach_in for each in at_in)
        ),
    )
    places: list[Place] = []
    while open_:
        latest = open_[0][0]
        together = [each for each in open_ if each[1] <= latest]
        places.append(Place(max(start for _, start in together), latest))
        open_ = [each for each in open_ if each[1] > latest]
    return tuple(places)


def bathroom_working(
    basins: Sequence[Basin],
    distances_in: Sequence[Fraction | None],
    receptacles: Sequence[Receptacle],
    tables: SpacingTables,
) -> Working:
    """210.52(D): a receptacle within reach of each basin.

    Basins are told by where they stand (`basins`, with `receptacles` along the same line), or by
    the distance of the nearest receptacle that counts (`distances_in`, None where there is none).
    """
    reach = tables.inches("bathroom_basin", "farthest_ft")
    deepest = tables.inches("bathroom_basin", "below_top_in")
    ground = tables.ground("bathroom_basin", "farthest_ft")
    left_out, counting = [], []
    for each in receptacles:
        if each.above_in is not None and -each.above_in > deepest:
            below, limit = told(-each.above_in, "in"), told(deepest, "in")
            left_out.append(
                f"The receptacle at {told(each.at_in, 'in')} does not count: {below} below the "
                f"top, more than {limit}."
            )
        else:
            counting.append(each.at_in)
    steps: list[Step] = []
    lacking = 0
    nearest = [
        *(min((basin.distance_in(at) for at in counting), default=None) for basin in basins),
        *distances_in,
    ]
    for number, distance in enumerate(nearest, start=1):
        near = distance is not None and distance <= reach
        lacking += not near and number > len(basins)
        word = "not more than" if near else "more than"
        formula = "none" if distance is None else f"{told(distance, 'in')}, {word} {told(reach)}"
        value = None if distance is None else _exact(distance)
        steps.append(Step(f"nearest to basin {number}", formula, value, "in", ground))
    places = nearest_to_serve(basins, counting, reach)
    for place in places:
        where = (
            f"anywhere between {told(place.earliest_in, 'in')} and {told(place.latest_in, 'in')}"
        )
        steps.append(Step("to add", where, Decimal(1), "", ground))
    missing = lacking + len(places)
    notes = []
    if lacking > 1:
        notes.append(
            "One receptacle between two basins may serve both, if it is within reach of each: "
            "fewer may do."
        )
    good = sum(each is not None and each <= reach for each in distances_in)
    result: dict[str, Value] = {
        "required": len(nearest_to_serve(basins, (), reach)) + len(distances_in),
        "credited": len(counting) + good,
        "missing": missing,
    }
    for_scripts: dict[str, Value] = {
        "distances_in": tuple(None if each is None else _exact(each) for each in nearest),
        "not_counted": tuple(left_out),
        "add": tuple(
            {"from_in": _exact(place.earliest_in), "to_in": _exact(place.latest_in)}
            for place in places
        ),
    }
    because = more_needed(missing) if missing else "each basin has one"
    verdict: Verdict = "fail" if missing else "pass"
    caveats = (*left_out, *notes)
    return Working(tuple(steps), result, verdict, because, caveats, for_scripts=for_scripts)


@dataclass(frozen=True, slots=True)
class Equipment:
    """Heating, air-conditioning or refrigeration equipment and the nearest receptacle to it.

    `distance_in` is None where there is no receptacle, `same_level` where nobody told it.
    """

    kind: str
    distance_in: Fraction | None
    same_level: bool | None = None


def equipment_working(equipment: Equipment, dwelling: str, tables: SpacingTables) -> Working:
    """210.63: a receptacle for servicing, within reach of the equipment and on its level."""
    table = "equipment_service"
    exempt = equipment.kind in tables.words(table, "exempt")
    if exempt and dwelling in tables.words(table, "exempt_dwellings"):
        why = f"{equipment.kind} of a {dwelling} dwelling"
        return none_needed("receptacle for servicing", why, (table, "exempt"), tables)
    limit, distance = tables.inches(table, "farthest_ft"), equipment.distance_in
    ground = tables.ground(table, "farthest_ft")
    near = distance is not None and distance <= limit
    formula = f"at most {told(limit)}, on the same level"
    nearest = _size("nearest receptacle", distance, formula, "in", ground, "none")
    steps: tuple[Step, ...] = (nearest,)
    if near and equipment.same_level is None:
        unknown: dict[str, Value] = {"required": 1, "credited": None, "missing": None}
        because = "whether it stands on the level of the equipment is not told"
        return Working(steps, unknown, "cannot assess", because)
    good = near and equipment.same_level is True
    if distance is not None:
        level = {True: "yes", False: "no", None: "not told"}[equipment.same_level]
        steps = (*steps, Step("on the level of the equipment", level, None, "", ground))
    because = "one is near, on its level" if good else more_needed(1)
    return Working(steps, numbers(1, int(good)), "pass" if good else "fail", because)


@dataclass(frozen=True, slots=True)
class Deck:
    """A balcony, deck or porch; what nobody told is None.

    `heights_in` are those of its receptacles above the walking surface.
    """

    area_ft2: Fraction | None = None
    attached: bool | None = None
    from_inside: bool | None = None
    from_dwelling_in: Fraction | None = None
    heights_in: tuple[Fraction | None, ...] = ()


def deck_working(deck: Deck, tables: SpacingTables) -> Working:
    """210.52(E)(3): whether the edition asks for one there, and whether one counts."""
    table = "outdoor_deck"
    steps: list[Step] = []
    open_: list[str] = []
    asked = True
    for name, told_so in (("attached", deck.attached), ("from inside", deck.from_inside)):
        if name not in tables.words(table, "only"):
            continue
        label = "attached to the dwelling" if name == "attached" else "can be reached from inside"
        if told_so is None:
            open_.append(f"whether it {'is ' if name == 'attached' else ''}{label}")
        asked = asked and told_so is not False
        words = {True: "yes", False: "no: none is needed", None: "not told"}
        steps.append(Step(label, words[told_so], None, "", tables.ground(table, "only")))
    distance = deck.from_dwelling_in
    if distance is None and deck.attached:
        distance = Fraction(0)
    if tables.has(table, "from_dwelling_in"):
        limit = tables.inches(table, "from_dwelling_in")
        near = distance is not None and distance <= limit
        asked = asked and (distance is None or near)
        formula = f"at most {told(limit, 'in')} for the rule to ask"
        ground = tables.ground(table, "from_dwelling_in")
        steps.append(_size("distance from the dwelling", distance, formula, "in", ground))
        open_ += ["how far it is from the dwelling"] if distance is None else []
    if tables.has(table, "least_ft2"):
        least = Fraction(tables.number(table, "least_ft2"))
        asked = asked and (deck.area_ft2 is None or deck.area_ft2 >= least)
        ground = tables.ground(table, "least_ft2")
        formula = f"at least {least} ft2 for the rule to ask"
        steps.append(_size("area", deck.area_ft2, formula, "ft2", ground))
        open_ += ["how large it is"] if deck.area_ft2 is None else []
    return _deck_verdict(deck, asked, open_, steps, tables)


def _size(
    label: str,
    value: Fraction | None,
    formula: str,
    unit: str,
    ground: Ground,
    absent: str = "not told",
) -> Step:
    if value is None:
        return Step(label, f"{absent}; {formula}", None, "", ground)
    return Step(label, formula, _exact(value), unit, ground)


def _deck_verdict(
    deck: Deck, asked: bool, open_: list[str], steps: list[Step], tables: SpacingTables
) -> Working:
    highest = tables.inches("outdoor_deck", "highest_ft")
    credited = sum(each is None or each <= highest for each in deck.heights_in)
    ground = tables.ground("outdoor_deck", "highest_ft")
    needed = tables.count("outdoor_deck", "at_least") if asked else 0
    heights = ", ".join("not told" if each is None else told(each) for each in deck.heights_in)
    formula = f"{needed} needed; up to {told(highest)} high (told: {heights or 'none there'})"
    steps.append(Step("receptacles that count", formula, Decimal(credited), "", ground))
    missing = max(0, needed - credited)
    result = numbers(needed, credited)
    if missing and open_:
        result.update(required=None, missing=None)
        because = f"not told: {'; '.join(open_)}"
        return Working(tuple(steps), result, "cannot assess", because)
    if missing:
        return Working(tuple(steps), result, "fail", more_needed(missing))
    return Working(tuple(steps), result, "pass", "one is there" if needed else "none is needed")


def _exact(value: Fraction) -> Decimal:
    return rounded(Decimal(value.numerator) / Decimal(value.denominator))
