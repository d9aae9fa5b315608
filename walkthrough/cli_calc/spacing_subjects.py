"""The kinds of place that `calc spacing` knows: what each is told by, and its calculation."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace
from fractions import Fraction
from typing import Any

from walkthrough.cli_calc.spacing_words import (
    NONE,
    Slip,
    area_ft2,
    is_area,
    length,
    line,
    outlet,
    receptacles,
    sides,
    top_outlet,
    whole,
    yes_or_no,
)
from walkthrough.rulebook.problems import nearest
from walkthrough.trade.lengths import told
from walkthrough.trade.outlet_count import Outlet, Outlets
from walkthrough.trade.spacing import counter_spacing, wall_spacing
from walkthrough.trade.spacing_near import (
    Basin,
    Deck,
    Equipment,
    bathroom_working,
    deck_working,
    equipment_working,
)
from walkthrough.trade.spacing_rooms import (
    accessory_working,
    basement_working,
    garage_working,
    hallway_working,
    laundry_working,
    outdoors_working,
)
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.spacing_tops import Top, top_working
from walkthrough.trade.spacing_working import foyer_working, spacing_working
from walkthrough.trade.wall_line import Line, Receptacle
from walkthrough.trade.working import Working

MOST = 99
USUAL_DWELLING = "one-family"
DWELLINGS = ("one-family", "two-family", "multifamily")
Told = Mapping[str, Any]


class Wrong(ValueError):
    """A slip in what was told, with the option that it belongs to (empty: none in particular)."""

    def __init__(self, option: str, message: str) -> None:
        self.option = option
        super().__init__(message)


class Reader:
    """Reads one place out of what was told, naming the option in each slip."""

    def __init__(self, told: Told, tables: SpacingTables) -> None:
        self.told = told
        self.tables = tables

    def read(self, option: str, how: Callable[[str], Any], otherwise: Any = None) -> Any:
        """The value of an option that may stand once."""
        texts = self._texts(option)
        if len(texts) > 1:
            raise Wrong(option, "given more than once; tell each place in a call, or in --file")
        return self._named(option, how, texts[0]) if texts else otherwise

    def each(self, option: str, how: Callable[[str], Any]) -> list[Any]:
        """The values of an option that may stand several times."""
        return [self._named(option, how, each) for each in self._texts(option)]

    def there(self, option: str, how: Callable[[str], Any]) -> list[Any] | None:
        """The same without those told as 'none'; None where the option does not stand at all."""
        texts = self._texts(option)
        real = [each for each in texts if each.strip().lower() not in NONE]
        return [self._named(option, how, each) for each in real] if texts else None

    def _texts(self, option: str) -> list[str]:
        value = self.told.get(option)
        if value in (None, [], False):
            return []
        return [str(each) for each in value] if isinstance(value, list) else [str(value)]

    def _named(self, option: str, how: Callable[[str], Any], text: str) -> Any:
        try:
            return how(text)
        except Slip as slip:
            raise Wrong(option, str(slip)) from None

    def marks(self, *tables: str) -> tuple[str, ...]:
        """The words for receptacles that do not count."""
        return tuple(dict.fromkeys(word for name in tables for word in self.tables.reasons(name)))

    def dwelling(self) -> str:
        """The kind of dwelling."""
        found = str(self.read("dwelling", str, USUAL_DWELLING)).strip().lower().replace(" ", "-")
        if found not in DWELLINGS:
            raise Wrong("dwelling", f"found '{found}'; {nearest(found, DWELLINGS)}")
        return found

    def outlets(self, *tables: str) -> Outlets:
        """The outlets of a place, told one by one or by their number; None where not told."""
        marks = self.marks(*tables)
        number = self.read("outlets", lambda text: whole(text, MOST))
        single = self.there("outlet", lambda text: outlet(text, marks))
        if number is None and single is None:
            return None
        return (*(single or ()), *(Outlet() for _ in range(number or 0)))

    def receptacles(self, *tables: str) -> tuple[Receptacle, ...]:
        """The receptacles along a line."""
        marks = self.marks(*tables)
        found = self.each("receptacle", lambda text: receptacles([text], marks))
        return tuple(each for part in found for each in part)

    def line(self, option: str, table: str, *mark_tables: str) -> Line:
        """A wall line with its receptacles."""
        self.tables.ground(table, "counts")  # tells what is wrong where there is no such table
        kinds = (*self.tables.words(table, "counts"), *self.tables.words(table, "breaks"))
        marks = self.marks(*mark_tables)
        around = bool(self.told.get("around"))
        spelled = self.tables.reasons("line_spelled")
        found: Line = self.read(option, lambda text: line(text, around, kinds, marks, spelled))
        apart = self.receptacles(*mark_tables)
        for each in apart:
            if each.at_in > found.length_in:
                end = f"the line is {told(found.length_in)} long"
                raise Wrong("receptacle", f"found one at {told(each.at_in)}; {end}")
        return replace(found, receptacles=(*found.receptacles, *apart))


def _wall(reader: Reader) -> Working:
    told_line = reader.line("wall", "wall_space", "receptacle_not_counted", "wall_not_counted")
    return spacing_working(wall_spacing(told_line, reader.tables), reader.tables)


def _counter(reader: Reader) -> Working:
    told_line = reader.line("counter", "counter_space", "counter_not_counted")
    return spacing_working(counter_spacing(told_line, reader.tables), reader.tables)


def _foyer(reader: Reader) -> Working:
    area = reader.read("foyer", area_ft2)
    if not reader.tables.asks("foyer"):
        return foyer_working(area, Line(()), reader.tables)
    if not reader.told.get("wall"):
        raise Wrong("foyer", "expected --wall beside it, the line of its walls")
    told_line = reader.line("wall", "foyer", "receptacle_not_counted", "wall_not_counted")
    return foyer_working(area, told_line, reader.tables)


def _top(reader: Reader, option: str) -> Working:
    marks = reader.marks("counter_not_counted")
    number = reader.read("outlets", lambda text: whole(text, MOST))
    single = reader.there("outlet", lambda text: top_outlet(text, marks))
    outlets: tuple[Receptacle, ...] | None = None
    if number is not None or single is not None:
        plain = (Receptacle(Fraction(0)) for _ in range(number or 0))
        outlets = (*(each for each, _ in single or ()), *plain)
    top = Top(
        sides_in=reader.read(option, lambda text: None if is_area(text) else sides(text)),
        area_ft2=reader.read(option, area_ft2),
        outlets=outlets,
        ends_told=not number and all(ends for _, ends in single or ()),
        joined_in=reader.read("joined", length),
        provision=reader.read("provision", yes_or_no),
    )
    return top_working(top, option == "peninsula", reader.tables)


def _basin(text: str) -> Basin | Fraction | None:
    if text.strip().lower() in NONE:
        return None
    parts = text.lower().split(" to ")
    if len(parts) != 2:
        return length(text.lower().removesuffix("away"))
    start, end = length(parts[0]), length(parts[1])
    if end <= start:
        raise Slip(f"found '{text}'; expected the nearer edge first, such as '24in to 44in'")
    return Basin(start, end)


def _bathroom(reader: Reader) -> Working:
    given = reader.each("basin", _basin)
    basins = [each for each in given if isinstance(each, Basin)]
    distances = [each for each in given if not isinstance(each, Basin)]
    found = reader.receptacles()
    if found and not basins:
        raise Wrong("receptacle", "needs basins told by their edges, as --basin '24in to 44in'")
    return bathroom_working(basins, distances, found, reader.tables)


def _hallway(reader: Reader) -> Working:
    outlets = reader.outlets("receptacle_not_counted")
    return hallway_working(reader.read("hallway", length), outlets, reader.tables)


def _laundry(reader: Reader) -> Working:
    common = bool(reader.told.get("common-laundry"))
    outlets = reader.outlets("receptacle_not_counted")
    return laundry_working(outlets, reader.dwelling(), common, reader.tables)


def _garage(reader: Reader) -> Working:
    bays = reader.read("garage", lambda text: whole(text, MOST, 1))
    outlets = reader.outlets("receptacle_not_counted", "garage_not_counted")
    beyond = max((each.bay for each in outlets or ()), default=0)
    if beyond > bays:
        raise Wrong("outlet", f"found bay {beyond}; the garage has {bays}")
    powered = reader.read("power", yes_or_no, True)
    return garage_working(bays, outlets, reader.dwelling(), powered, reader.tables)


def _basement(reader: Reader) -> Working:
    outlets = reader.outlets("receptacle_not_counted", "garage_not_counted")
    parts = reader.each("unfinished", lambda text: whole(text, MOST))
    unfinished = [tuple(Outlet() for _ in range(number)) for number in parts]
    return basement_working(outlets, unfinished, reader.dwelling(), reader.tables)


def _accessory(reader: Reader) -> Working:
    outlets = reader.outlets("receptacle_not_counted", "garage_not_counted")
    powered = reader.read("power", yes_or_no, True)
    return accessory_working(outlets, reader.dwelling(), powered, reader.tables)


def _outdoors(reader: Reader) -> Working:
    marks = reader.marks("receptacle_not_counted")
    front, back = (
        tuple(reader.there(side, lambda text: outlet(text, marks)) or ())
        for side in ("front", "back")
    )
    return outdoors_working(front, back, reader.dwelling(), reader.tables)


def _deck(reader: Reader) -> Working:
    outlets = reader.outlets("receptacle_not_counted") or ()
    area = reader.read("area", area_ft2)
    deck = Deck(
        area_ft2=area,
        attached=reader.read("attached", yes_or_no),
        from_inside=reader.read("from-inside", yes_or_no),
        from_dwelling_in=reader.read("from-dwelling", length),
        heights_in=tuple(each.above_in for each in outlets if not each.marks),
    )
    return deck_working(deck, reader.tables)


def _equipment(reader: Reader) -> Working:
    kind = str(reader.read("equipment", str)).strip().lower()
    distance = reader.read(
        "distance", lambda text: None if text.strip().lower() in NONE else length(text)
    )
    if not reader.told.get("distance"):
        raise Wrong("equipment", "expected --distance beside it, that of the nearest receptacle")
    same_level = reader.read("same-level", yes_or_no)
    equipment = Equipment(kind, distance, same_level)
    return equipment_working(equipment, reader.dwelling(), reader.tables)


_COUNTED = ("outlet", "outlets", "dwelling")
SUBJECTS: dict[str, tuple[Callable[[Reader], Working], tuple[str, ...]]] = {
    "foyer": (_foyer, ("wall", "receptacle", "around")),
    "wall": (_wall, ("receptacle", "around")),
    "counter": (_counter, ("receptacle", "around")),
    "island": (lambda reader: _top(reader, "island"), ("outlet", "outlets", "provision")),
    "peninsula": (
        lambda reader: _top(reader, "peninsula"),
        ("outlet", "outlets", "provision", "joined"),
    ),
    "basin": (_bathroom, ("receptacle",)),
    "hallway": (_hallway, ("outlet", "outlets")),
    "laundry": (_laundry, (*_COUNTED, "common-laundry")),
    "garage": (_garage, (*_COUNTED, "power")),
    "basement": (_basement, (*_COUNTED, "unfinished")),
    "accessory": (_accessory, (*_COUNTED, "power")),
    "outdoors": (_outdoors, ("front", "back", "dwelling")),
    "deck": (_deck, ("outlet", "outlets", "area", "attached", "from-inside", "from-dwelling")),
    "equipment": (_equipment, ("distance", "same-level", "dwelling")),
}
"""What each place is told by: its calculation, and the options that go with it."""


def reckon(told: Told, tables: SpacingTables) -> tuple[str, Working]:
    """The place that was told and its calculation; raises Wrong and NoRow."""
    given = [name for name, value in told.items() if value not in (None, [], False)]
    places = [name for name in SUBJECTS if name in given]
    if places[:2] == ["foyer", "wall"]:
        places.remove("wall")
    if len(places) != 1:
        names = ", ".join(f"--{each}" for each in (places or SUBJECTS))
        found = "found several places" if places else "found no place"
        raise Wrong("", f"{found}; expected one of {names}")
    work, goes_with = SUBJECTS[places[0]]
    for name in given:
        if name not in (places[0], *goes_with):
            fitting = ", ".join(f"--{each}" for each in goes_with)
            raise Wrong(name, f"does not go with --{places[0]}; expected {fitting}")
    return places[0], work(Reader(told, tables))
