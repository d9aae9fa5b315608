"""How walls, counters, receptacles and tops are told to `calc spacing`, in a line of words."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Mapping
from fractions import Fraction
from types import MappingProxyType

from walkthrough.rulebook.problems import closest, nearest
from walkthrough.survey.measures import read_length_in
from walkthrough.trade.lengths import told
from walkthrough.trade.outlet_count import Outlet
from walkthrough.trade.wall_line import Line, Receptacle, Stretch

MOST_PARTS = 400
MOST_IN = Fraction(12 * 10_000)
CORNER = "corner"
RECEPTACLE = ("receptacle", "outlet")
NONE = ("none", "no")
_PRIMES = str.maketrans({"\u2032": "'", "\u2019": "'", "\u2033": '"', "\u201d": '"'})
_AREA = re.compile(r"(\d+(?:\.\d+)?|\d+ \d+/\d+)\s*(ft2|sq ?ft|square feet|m2)\.?")
_SQUARE_FEET_PER_SQUARE_METER = 1 / Fraction("0.3048") ** 2


class Slip(ValueError):
    """What cannot be read, and what was expected."""


def length(text: str, least: Fraction = Fraction(0)) -> Fraction:
    """A length in inches; raises Slip where it names no unit or is none."""
    found = read_length_in(text.strip())
    if found is None:
        expected = "expected a length with its unit, such as 8ft 6in, 63in or 2.4m"
        raise Slip(f"found '{text.strip()}'; {expected}")
    if not least <= found <= MOST_IN or (found == 0 and least > 0):
        raise Slip(f"found '{text.strip()}'; expected {told(least)} to {told(MOST_IN)}")
    return found


def area_ft2(text: str) -> Fraction:
    """An area in square feet, told as one (72ft2, 6.7m2) or by two sides (8ft x 9ft)."""
    match = _AREA.fullmatch(text.strip().lower().replace("\u00b2", "2"))
    if match is None:
        first, second = sides(text)
        return first * second / 144
    number = sum((Fraction(each) for each in match[1].split()), Fraction(0))
    found = number * _SQUARE_FEET_PER_SQUARE_METER if match[2] == "m2" else number
    if not 0 < found <= 100_000:
        raise Slip(f"found '{text}'; expected more than 0 and at most 100000 ft2")
    return found


def is_area(text: str) -> bool:
    """Whether the text tells an area as one number."""
    return _AREA.fullmatch(text.strip().lower().replace("\u00b2", "2")) is not None


def sides(text: str) -> tuple[Fraction, Fraction]:
    """Two sides in inches: 5ft x 9ft; a unit that stands once counts for both: 5 x 9 ft."""
    parts = re.split(r"\s*(?:x|\u00d7|\bby\b)\s*", text.strip().lower())
    if len(parts) != 2 or not all(parts):
        raise Slip(
            f"found '{text}'; expected two sides, such as '5ft x 9ft', or an area, as '45ft2'"
        )
    first, second = parts
    if re.fullmatch(r"[\d./ -]+", first) and (unit := re.search(r"[a-z'\"]+\.?$", second)):
        first += unit[0]
    return length(first, Fraction(1, 64)), length(second, Fraction(1, 64))


def parts_of(text: str) -> list[str]:
    """The parts of a list between commas or semicolons."""
    text = text.translate(_PRIMES)
    if re.search(r"\d,\d", text):
        raise Slip(
            f"found '{text}'; put a blank after a comma between two parts, as in '3ft, 8ft', and "
            "a point into a number, as in 3.8m"
        )
    found = [each.strip() for each in re.split(r"[,;]", text)]
    if not all(found):
        raise Slip(f"found '{text}'; expected a part before and after every comma")
    if len(found) > MOST_PARTS:
        raise Slip(f"found {len(found)} parts; expected at most {MOST_PARTS}")
    return found


def line(
    text: str,
    around: bool,
    kinds: Iterable[str],
    marks: Iterable[str],
    spelled: Mapping[str, str] = MappingProxyType({}),
) -> Line:
    """A wall line with the receptacles that are told in it.

    `kinds` are what may stand along it, the first of them where only a length is told; `spelled`
    other words for them; `marks` the words for receptacles that do not count.
    """
    known, words = tuple(kinds), tuple(marks)
    stretches: list[Stretch] = []
    found: list[Receptacle] = []
    at = Fraction(0)
    for part in parts_of(text.lower()):
        first, _, rest = part.partition(" ")
        if part == CORNER:
            continue
        if first in RECEPTACLE:
            found.append(_receptacle(at, [rest] if rest else [], words))
            continue
        stretches.append(_stretch(part, known, spelled))
        at += stretches[-1].length_in
    if not stretches:
        raise Slip(f"found '{text}'; expected at least one length, such as 12ft")
    return Line(tuple(stretches), tuple(found), around)


def receptacles(texts: Iterable[str], marks: Iterable[str]) -> tuple[Receptacle, ...]:
    """Receptacles by where they stand, each with what is said of it; 'none' is no receptacle."""
    words = tuple(marks)
    told_so = (each for each in texts if each.strip().lower() not in NONE)
    return tuple(each for text in told_so for each in _receptacles(text, words))


def _stretch(part: str, kinds: tuple[str, ...], spelled: Mapping[str, str]) -> Stretch:
    match = re.fullmatch(r"([a-z][a-z _-]*?)?\s*(\d.*|\.\d.*)", part)
    if match is None:
        raise Slip(f"found '{part}'; expected a kind and its length, such as 'door 3ft'")
    kind = re.sub(r"[_-]", " ", match[1] or kinds[0]).strip()
    kind = kind if kind in kinds else spelled.get(kind, kind)
    rest, behind, corner = match[2], None, False
    if re.search(r"\b(in|at|across)? ?(a |the )?corner\b", rest):
        rest, corner = re.sub(r"\s*\b(in|at|across)? ?(a |the )?corner\b", "", rest), True
    if "behind" in rest:
        rest, _, depth = rest.partition("behind")
        behind = length(depth)
    if kind not in kinds:
        close = closest(kind, (*kinds, *spelled))
        words = ", ".join((*kinds, CORNER, RECEPTACLE[0]))
        hint = f"did you mean '{close}'? (all: {words})" if close else f"expected {words}"
        raise Slip(f"found '{kind}'; {hint}")
    return Stretch(kind, length(rest, Fraction(1, 64)), behind, corner)


def _receptacles(text: str, marks: tuple[str, ...]) -> Iterator[Receptacle]:
    """Places, each with what is said of it after it: a bare length begins the next one."""
    place: Fraction | None = None
    said: list[str] = []
    for part in parts_of(text.lower()):
        at = read_length_in(part)
        if at is None and place is None:
            raise Slip(f"found '{part}'; expected where it stands along the line, such as 4ft 6in")
        if at is None:
            said.append(part)
            continue
        if place is not None:
            yield _receptacle(place, said, marks)
        place, said = length(part), []
    if place is not None:
        yield _receptacle(place, said, marks)


def _receptacle(at: Fraction, said: list[str], marks: tuple[str, ...]) -> Receptacle:
    above = from_wall = overhang = None
    found = set()
    for each in said:
        if (value := _after(each, "from wall", "from the wall", "floor")) is not None:
            from_wall = value
        elif (value := _after(each, "high", "above", "height", "up")) is not None:
            above = value
        elif (value := _after(each, "below", "under")) is not None:
            above = -value
        elif (value := _after(each, "overhang")) is not None:
            overhang = value
        elif each in marks:
            found.add(each)
        else:
            words = ("66in high", "20in from wall", "10in below", "overhang 5in", *marks)
            raise Slip(f"found '{each}'; {nearest(each, words)}")
    return Receptacle(at, above, from_wall, overhang, frozenset(found))


def _after(text: str, *words: str) -> Fraction | None:
    """The length that stands before or after one of the words; None where none of them is there."""
    for word in words:
        if re.search(rf"\b{word}\b", text):
            rest = re.sub(rf"\b{word}\b", " ", text)
            if word in ("from wall", "from the wall"):
                rest = re.sub(r"\b(in the |in )?floor\b", " ", rest)
            return length(re.sub(r"\bthe (floor|top|counter)\b|\bgrade\b", " ", rest))
    return None


def top_outlet(text: str, marks: Iterable[str]) -> tuple[Receptacle, bool]:
    """An outlet of an island or peninsula, and whether its distance from the outer end is told."""
    said, end = [], None
    for part in parts_of(text.lower()):
        if (value := _after(part, "from end", "from the end", "from outer end")) is not None:
            end = value
        elif part not in ("plain", "on top"):
            said.append(part)
    return _receptacle(end or Fraction(0), said, tuple(marks)), end is not None


def outlet(text: str, marks: Iterable[str]) -> Outlet:
    """An outlet of a garage or the like: its height, its bay, a word if it does not count."""
    above, bay, found, words = None, 0, set(), tuple(marks)
    for part in parts_of(text.lower()):
        number = re.fullmatch(r"bay\s*#?(\d{1,3})", part)
        if number is not None and int(number[1]):
            bay = int(number[1])
        elif part in words:
            found.add(part)
        elif (value := _height(part)) is not None:
            above = value
        elif part != "plain":
            hint = nearest(part, ("bay 1", "48in high", "plain", *words))
            raise Slip(f"found '{part}'; expected a height with its unit, a bay or a word; {hint}")
    return Outlet(above, bay, frozenset(found))


def _height(text: str) -> Fraction | None:
    bare = read_length_in(text)
    return bare if bare is not None else _after(text, "high", "above", "height", "up")


def yes_or_no(text: str) -> bool:
    """A yes or a no."""
    known = {"yes": True, "y": True, "no": False, "n": False}
    if text.strip().lower() not in known:
        raise Slip(f"found '{text}'; expected yes or no")
    return known[text.strip().lower()]


def whole(text: str, most: int, least: int = 0) -> int:
    """A whole number within bounds."""
    if not re.fullmatch(r"\d{1,6}", text.strip()) or not least <= int(text) <= most:
        raise Slip(f"found '{text}'; expected a whole number from {least} to {most}")
    return int(text)
