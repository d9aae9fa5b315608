"""Receptacle spacing along walls, counters and in foyers: which point is too far, what to add."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from fractions import Fraction

from walkthrough.trade.lengths import told
from walkthrough.trade.reach import Gap, Place, Space, fewest, gaps
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.wall_line import Line, Receptacle, Stretch, along, unbroken

Reason = Callable[[Receptacle], str]


@dataclass(frozen=True, slots=True)
class Served:
    """One space of a line, the receptacles that count in it, and what is missing.

    `asked` is false where it is too narrow for the rule; then nothing is missing. `places` holds
    for each gap the fewest receptacles to add with the range of each.
    """

    space: Space
    asked: bool
    at_in: tuple[Fraction, ...]
    gaps: tuple[Gap, ...] = ()
    places: tuple[tuple[Place, ...], ...] = ()

    @property
    def missing(self) -> int:
        """The fewest receptacles to add in this space."""
        return sum(len(each) for each in self.places)


@dataclass(frozen=True, slots=True)
class Spacing:
    """A wall line judged. `of` names the tables: "wall", "counter" or "foyer".

    `reach_in` is how far a point may be from a receptacle; None where one in each space is enough.
    `left_out` are receptacles that do not count, with the reason. `disputed` says that something
    stands there that may be forbidden; the notes tell both readings.
    """

    of: str
    line: Line
    reach_in: Fraction | None
    least_width_in: Fraction
    served: tuple[Served, ...]
    left_out: tuple[tuple[Receptacle, str], ...]
    notes: tuple[str, ...] = ()
    disputed: bool = False

    @property
    def missing(self) -> int:
        """The fewest receptacles to add along the whole line."""
        return sum(each.missing for each in self.served)

    @property
    def least(self) -> int:
        """The fewest receptacles that would do if there were none yet."""
        return sum(
            len(_all_places(each.space, self.reach_in)) for each in self.served if each.asked
        )

    @property
    def credited(self) -> int:
        """The receptacles that count in some space for which the rule asks."""
        return sum(len(each.at_in) for each in self.served if each.asked)


def wall_spacing(line: Line, tables: SpacingTables) -> Spacing:
    """Judge the walls of a room under 210.52(A) with the tables of an edition.

    Every kind of stretch must stand under `counts` or `breaks` of the table wall_space. Raises
    NoRow where the ruleset lacks a table.
    """
    counting = tables.words("wall_space", "counts")
    reach = tables.inches("wall_reach", "farthest_ft")
    least = tables.inches("wall_space", "least_width_ft")
    spaces = unbroken(line, lambda stretch: stretch.kind in counting)
    served, left_out = _serve(line, spaces, least, reach, _wall_reason(tables))
    notes = []
    if _served_across(line, served, reach):
        notes.append(
            "Read another way, a receptacle across a doorway or other break serves the points "
            f"within {told(reach)} of it; usual teaching does not credit it. The authority having "
            "jurisdiction decides."
        )
    # Panels, railings and dividers count without being wall, which is the first of the kinds.
    if any(each.missing for each in served) and any(
        stretch.kind in counting[1:] for stretch in line.stretches
    ):
        near = told(tables.inches("floor_receptacle", "from_wall_in"), "in")
        notes.append(
            f"Where there is no wall to mount it on, one in the floor up to {near} away counts."
        )
    return Spacing("wall", line, reach, least, served, left_out, tuple(notes))


def counter_spacing(line: Line, tables: SpacingTables) -> Spacing:
    """Judge a counter along a wall under 210.52(C)(1) with the tables of an edition.

    A sink, range or cooktop breaks the counter unless enough of it runs on behind. Raises NoRow
    where the ruleset lacks a table.
    """
    counting = tables.words("counter_space", "counts")
    behind = tables.words("counter_behind", "kinds")
    limits = {
        corner: tables.inches("counter_behind", row)
        for corner, row in ((False, "straight_in"), (True, "corner_in"))
    }

    def counts(stretch: Stretch) -> bool:
        deep = stretch.kind in behind and stretch.behind_in is not None
        return stretch.kind in counting or (
            deep and (stretch.behind_in or 0) >= limits[stretch.corner]
        )

    reach = tables.inches("counter_reach", "farthest_in")
    least = tables.inches("counter_space", "least_width_in")
    served, left_out = _serve(line, unbroken(line, counts), least, reach, _counter_reason(tables))
    notes = [
        note
        for stretch in dict.fromkeys(line.stretches)
        if stretch.kind in behind
        for note in _behind_notes(stretch, limits[stretch.corner])
    ]
    forbidden = any(stands_forbidden(each, tables) for each in line.receptacles)
    if forbidden:
        notes.append(
            "A receptacle below the counter: by one reading this edition forbids it along walls "
            "too, by another on islands and peninsulas only. The authority having jurisdiction "
            "decides."
        )
    told_once = tuple(dict.fromkeys(notes))
    return Spacing("counter", line, reach, least, served, left_out, told_once, forbidden)


def foyer_spacing(line: Line, tables: SpacingTables) -> Spacing:
    """Judge the walls of a foyer that is large enough for 210.52(I): one in each wide space."""
    counting = tables.words("foyer", "counts")
    least = tables.inches("foyer", "least_width_ft")
    spaces = unbroken(line, lambda stretch: stretch.kind in counting)
    served, left_out = _serve(line, spaces, least, None, _wall_reason(tables))
    return Spacing("foyer", line, None, least, served, left_out)


def _serve(
    line: Line,
    spaces: tuple[Space, ...],
    least_width_in: Fraction,
    reach_in: Fraction | None,
    reason: Reason,
) -> tuple[tuple[Served, ...], tuple[tuple[Receptacle, str], ...]]:
    left_out = [(each, why) for each in line.receptacles if (why := reason(each))]
    refused = {id(each) for each, _ in left_out}
    counting = [each for each in line.receptacles if id(each) not in refused]
    for each in counting:
        if not any(along(space, line, [each.at_in]) for space in spaces):
            left_out.append((each, f"it stands at the {_kind_at(line, each.at_in)}, in no space"))
    served = []
    for space in spaces:
        at = along(space, line, [each.at_in for each in counting])
        if space.width_in < least_width_in:
            served.append(Served(space, False, at))
        elif reach_in is None:
            found = () if at else gaps(space, (), space.width_in)
            one = tuple(_all_places(space, None) for _ in found)
            served.append(Served(space, True, at, found, one))
        else:
            found = gaps(space, at, reach_in)
            added = tuple(fewest(space, gap, reach_in) for gap in found)
            served.append(Served(space, True, at, found, added))
    return tuple(served), tuple(left_out)


def _all_places(space: Space, reach_in: Fraction | None) -> tuple[Place, ...]:
    if reach_in is None:
        return (Place(space.start_in, space.end_in),)
    (whole,) = gaps(space, (), reach_in)
    return fewest(space, whole, reach_in)


def _kind_at(line: Line, at_in: Fraction) -> str:
    return next((s.kind for s, start, end in line.placed() if start <= at_in <= end), "end")


def _wall_reason(tables: SpacingTables) -> Reason:
    marks = tables.reasons("receptacle_not_counted") | tables.reasons("wall_not_counted")
    highest = tables.inches("receptacle_height", "highest_ft")
    from_wall = tables.inches("floor_receptacle", "from_wall_in")

    def reason(receptacle: Receptacle) -> str:
        if why := _marked(receptacle, marks):
            return why
        if receptacle.above_in is not None and receptacle.above_in > highest:
            return f"{told(receptacle.above_in)} above the floor, more than {told(highest)}"
        if receptacle.from_wall_in is not None and receptacle.from_wall_in > from_wall:
            distance = told(receptacle.from_wall_in, "in")
            return f"in the floor {distance} from the wall, more than {told(from_wall, 'in')}"
        return ""

    return reason


def _counter_reason(tables: SpacingTables) -> Reason:
    marks = tables.reasons("counter_not_counted")
    highest = tables.inches("counter_above", "highest_in")

    def reason(receptacle: Receptacle) -> str:
        if why := _marked(receptacle, marks):
            return why
        if receptacle.above_in is None:
            return ""
        if receptacle.above_in > highest:
            above = told(receptacle.above_in, "in")
            return f"{above} above the counter, more than {told(highest, 'in')}"
        return below_reason(receptacle, tables, along_wall=True)

    return reason


def below_reason(receptacle: Receptacle, tables: SpacingTables, along_wall: bool) -> str:
    """Why a receptacle under a counter top does not count for it; empty where it does."""
    if receptacle.above_in is None or receptacle.above_in >= 0:
        return ""
    credit = tables.word("counter_below", "credit")
    if stands_forbidden(receptacle, tables) and not along_wall:
        return "below the top, where this edition allows none"
    if credit in ("no", "forbidden"):
        return "below the counter, no place for a required outlet in this edition"
    if credit == "exception" and along_wall:
        return "below a counter along a wall: only where built for the physically impaired"
    deepest = tables.inches("counter_below", "below_in")
    widest = tables.inches("counter_below", "overhang_in")
    if -receptacle.above_in > deepest:
        below = told(-receptacle.above_in, "in")
        return f"{below} below the counter, more than {told(deepest, 'in')}"
    if receptacle.overhang_in is None:
        return "below the counter, and how far the top stands out over it is not told"
    if receptacle.overhang_in > widest:
        overhang = told(receptacle.overhang_in, "in")
        return f"under an overhang of {overhang}, more than {told(widest, 'in')}"
    return ""


def stands_forbidden(receptacle: Receptacle, tables: SpacingTables) -> bool:
    """Whether a receptacle stands so near below a top that the edition forbids it there."""
    if receptacle.above_in is None or receptacle.above_in >= 0:
        return False
    deepest = tables.inches("counter_below", "below_in") if _forbids(tables) else Fraction(0)
    return -receptacle.above_in <= deepest


def _forbids(tables: SpacingTables) -> bool:
    return tables.word("counter_below", "credit") == "forbidden"


def _marked(receptacle: Receptacle, reasons: Mapping[str, str]) -> str:
    return next((reasons[each] for each in sorted(receptacle.marks) if each in reasons), "")


def _behind_notes(stretch: Stretch, limit: Fraction) -> list[str]:
    if stretch.behind_in is None:
        return [
            f"How much counter runs behind the {stretch.kind} is not told: taken as less than "
            f"{told(limit, 'in')}, so that it parts the counter."
        ]
    if stretch.behind_in == limit:
        return [
            f"That exactly {told(limit, 'in')} behind the {stretch.kind} counts is from memory."
        ]
    if stretch.behind_in > limit:
        return [
            f"The wall behind the {stretch.kind} counts, joined to both sides. Some want a "
            "receptacle for each side that is not behind it."
        ]
    return []


def _served_across(line: Line, served: tuple[Served, ...], reach_in: Fraction) -> bool:
    """Whether every gap would be served by a receptacle of another space across a break."""
    found = [gap for each in served for gap in each.gaps]
    if not found:
        return False
    length = line.length_in
    everywhere = [at % length if line.around else at for each in served for at in each.at_in]
    whole = gaps(Space(Fraction(0), length, line.around), everywhere, reach_in)
    turns = (-length, Fraction(0), length) if line.around else (Fraction(0),)
    return not any(
        max(gap.start_in, open_.start_in + turn) < min(gap.end_in, open_.end_in + turn)
        for gap in found
        for open_ in whole
        for turn in turns
    )
