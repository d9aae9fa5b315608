"""What a person types for a calculation, read and checked; every slip is told in one line."""

from __future__ import annotations

import argparse
import re
from collections.abc import Callable, Iterable, Mapping, Sequence
from decimal import Decimal, InvalidOperation
from typing import Any

from walkthrough.rulebook.problems import Problem, Unusable, closest, expected_of
from walkthrough.survey.measures import read_length_in

BOX_SIZES = ("18", "16", "14", "12", "10", "8", "6")
SIZES = (*BOX_SIZES, "4", "3", "2", "1", "1/0", "2/0", "3/0", "4/0")
MOST_OF_A_KIND = 200
_QUANTITY = re.compile(r"\s*([-+]?(?:\d[\d./ -]*?|\.\d+))\s*([^\s\d.,/+-].*|)\s*")
_SPELLINGS = {
    "ft": ("'", "feet", "foot"),
    "in": ('"', "inch", "inches"),
    "m": ("meter", "meters", "metre", "metres"),
    "in3": ("cuin", "cu in", "cubic in", "cubic inch", "cubic inches", "cin", "in^3"),
    "cm3": ("cc", "ccm", "ml", "cubic cm", "cm^3"),
    "a": ("amp", "amps", "ampere", "amperes"),
    "ma": ("milliamp", "milliamps"),
    "v": ("volt", "volts", "vac"),
    "w": ("watt", "watts"),
    "kw": ("kilowatt", "kilowatts"),
    "ohm": ("ohms", "\u03c9"),
    "s": ("sec", "second", "seconds"),
    "ms": ("msec", "millisecond", "milliseconds"),
    "c": ("\u00b0c", "deg c", "degrees c", "celsius"),
    "f": ("\u00b0f", "deg f", "degrees f", "fahrenheit"),
    "%": ("percent",),
}
"""How people write a unit, beside the word for it here."""
_UNITS = {each: unit for unit, ways in _SPELLINGS.items() for each in (unit, *ways)}
_SIGNS = str.maketrans({"\u00b3": "3", "\u2032": "'", "\u2019": "'", "\u2033": '"', "\u201d": '"'})


_IN_INCHES = {"ft": 12, "in": 1}

Reader = Callable[[str], Any]


def refuse(message: str) -> argparse.ArgumentTypeError:
    """A slip in the value of an option."""
    return argparse.ArgumentTypeError(message)


def wrong(calculation: str, message: str) -> Unusable:
    """A slip that shows only when everything was read."""
    return Unusable([Problem(f"calc {calculation}", 0, 0, message)])


def quantity(
    unit: str,
    most: int | str,
    least: int | str = 0,
    others: Mapping[str, Callable[[Decimal], Decimal]] | None = None,
    bare: bool = True,
) -> Reader:
    """A number with its unit, from `least` up to `most`.

    `others` are further units with how they turn into the first; without `bare` a unit must stand.
    """
    units = (unit, *(others or {}))
    turned: dict[str, Callable[[Decimal], Decimal]] = {unit.lower(): _same}
    turned |= {name.lower(): turn for name, turn in (others or {}).items()}
    wanted = f"expected a number of {' or '.join(units)}"

    def read(text: str) -> Decimal:
        match = _QUANTITY.fullmatch(text.translate(_SIGNS))
        value = number_in(match[1]) if match else None
        such = f"{wanted}, such as {least or 1}{unit}"
        if match is None or value is None:
            raise refuse(f"found '{text}'; {such}")
        given = unit_in(match[2])
        if given in turned or (bare and not given):
            value = turned[given or unit.lower()](value)
        elif unit in _IN_INCHES and (length := read_length_in(text.translate(_SIGNS))) is not None:
            value = Decimal(length.numerator) / length.denominator / _IN_INCHES[unit]
        elif not given:
            raise refuse(f"found '{text}'; {wanted}; the unit is missing")
        else:
            close = closest(match[2], units)
            told = f"{wanted}; did you mean '{close}'?" if close else such
            raise refuse(f"found '{text}'; {told}")
        if not Decimal(least) <= value <= Decimal(most):
            raise refuse(f"found '{text}'; expected {least} to {most} {unit}")
        return value

    return read


def unit_in(text: str) -> str:
    """The word for a unit that people write in several ways, in small letters."""
    plain = " ".join(text.lower().replace(".", " ").split())
    return _UNITS.get(plain, _UNITS.get(plain.replace(" ", ""), plain))


def quoted(arguments: Sequence[str]) -> list[str]:
    """Arguments in which a number and the unit behind it are one: 85 ft was typed unquoted."""
    found: list[str] = []
    for each in arguments:
        is_unit = each.lower().rstrip(".") in _UNITS
        if is_unit and found and re.fullmatch(r"\d[\d./]*(-\d+/\d+)?", found[-1]):
            found[-1] = f"{found[-1]} {each}"
        else:
            found.append(each)
    return found


def _same(value: Decimal) -> Decimal:
    return value


def above_zero(read: Reader) -> Reader:
    """The same, but not nought."""

    def checked(text: str) -> Any:
        value = read(text)
        if not value:
            raise refuse(f"found '{text}'; expected more than 0")
        return value

    return checked


def number_in(text: str) -> Decimal | None:
    """A decimal number, or whole and broken as on a rule: 1.5, 1-1/2, 1 1/2, 15/16."""
    match = re.fullmatch(r"(?:(\d+)[ -]+)?(\d+)/(\d+)", text.strip())
    if match:
        whole, above, below = (Decimal(each or 0) for each in match.groups())
        return whole + above / below if below else None
    try:
        value = Decimal(text.strip())
    except InvalidOperation:
        return None
    return value if value.is_finite() else None


def whole(most: int, least: int = 0, what: str = "whole number") -> Reader:
    """A whole number within bounds."""

    def read(text: str) -> int:
        if not re.fullmatch(r"\d{1,9}", text.strip()) or not least <= int(text) <= most:
            raise refuse(f"found '{text}'; expected a {what} from {least} to {most}")
        return int(text)

    return read


def word_of(words: Mapping[str, str]) -> Reader:
    """One of the words, or another spelling of it; the mapping leads to the word that is meant."""

    def read(text: str) -> str:
        key = text.strip().lower()
        if key not in words:
            raise refuse(f"found '{text}'; {expected_of(key, words, words.values())}")
        return words[key]

    return read


def awg(sizes: Sequence[str] = SIZES) -> Reader:
    """An AWG size: 14, #14, 14 AWG, 1/0 (also 0), 4/0 (also 0000)."""

    def read(text: str) -> str:
        size = re.sub(r"\s*(awg|#)\s*", "", text.strip().lower())
        if re.fullmatch(r"0+", size):
            size = f"{len(size)}/0"
        if size in sizes:
            return size
        if size in SIZES:
            raise refuse(
                f"found '{text}'; expected {', '.join(sizes)} AWG: larger conductors are not "
                "counted by box fill, they have a section of their own"
            )
        raise refuse(f"found '{text}'; expected an AWG size: {', '.join(sizes)}")

    return read


def counts(text: str) -> dict[str, int]:
    """Numbers of wires by size: 14:6, also several at once: 14:6,12:2."""
    found: dict[str, int] = {}
    for part in text.split(","):
        size, colon, number = part.partition(":")
        read = awg(BOX_SIZES)(size)
        count = whole(MOST_OF_A_KIND, 0, "number of wires")(number) if colon else None
        if count is None:
            raise refuse(f"found '{text}'; expected SIZE:COUNT, such as 14:6")
        found[read] = found.get(read, 0) + count
    return found


def together(given: Iterable[Mapping[str, int]] | None) -> dict[str, int]:
    """Numbers by size of an option that was given several times."""
    found: dict[str, int] = {}
    for each in given or ():
        for size, number in each.items():
            found[size] = found.get(size, 0) + number
    return found
