"""Reads numbers and days as people write them: fractions, feet and inches, metric, 11/10/2026."""

from __future__ import annotations

import datetime
import re
from fractions import Fraction

_NUMBER = r"(?:[0-9]+[ -][0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+[.,][0-9]*|[.,][0-9]+|[0-9]+)"
_PART = re.compile(
    rf"\s*({_NUMBER})\s*(feet|foot|ft|'|inches|inch|in|\"|mm|cm|m|cm3|ml)?\.?(?![a-z3])"
)

# What one of a unit is in inches; in cubic inches for volumes. One inch is 25.4 mm by definition.
_INCHES: dict[str, Fraction] = {
    **dict.fromkeys(("feet", "foot", "ft", "'"), Fraction(12)),
    **dict.fromkeys(("inches", "inch", "in", '"'), Fraction(1)),
    "mm": Fraction(10, 254),
    "cm": Fraction(100, 254),
    "m": Fraction(10_000, 254),
}
_CUBIC_INCHES = {"cm3": Fraction(1000, 16387), "ml": Fraction(1000, 16387)}
_OF_UNIT = {"ft": 12, "in": 1}
_DECIMALS = 2


def read_measure(text: str, unit: str) -> int | float | None:
    """A number in the unit that is asked for; None where the text is none.

    Lengths (`unit` "ft" or "in") can be given in feet, inches, or metric, and mixed: 5'6", 5 ft
    6 1/2 in, 1.7 m, 40 cm. A number without a unit is one of the unit asked for. Converted values
    are rounded to two decimals.
    """
    text = text.strip().lower()
    sign = -1 if text.startswith("-") else 1
    parts = _parts(text.removeprefix("-"))
    if parts is None:
        return None
    if len(parts) == 1 and not parts[0][1]:
        return _plain(sign * parts[0][0])
    if unit in _OF_UNIT:
        return _length(parts, sign, unit)
    if unit == "in3" and len(parts) == 1 and parts[0][1] in _CUBIC_INCHES:
        return _plain(sign * parts[0][0] * _CUBIC_INCHES[parts[0][1]])
    return None


def read_length_in(text: str) -> Fraction | None:
    """A length in inches, exactly, where every number names its unit; None where it is none.

    Feet, inches and metric as in `read_measure`; only inches right after feet may be bare: 5'6.
    """
    parts = _parts(text.strip().lower())
    return _inches(parts) if parts and parts[0][1] else None


def read_day(text: str) -> datetime.date | None:
    """A day as 2026-11-10, or as month/day/year; None where the text is none."""
    found = re.fullmatch(r"(\d{1,2})/(\d{1,2})/(\d{4})", text.strip())
    try:
        if found is not None:
            return datetime.date(int(found[3]), int(found[1]), int(found[2]))
        return datetime.date.fromisoformat(text.strip())
    except ValueError:
        return None


def _parts(text: str) -> list[tuple[Fraction, str]] | None:
    parts: list[tuple[Fraction, str]] = []
    at = 0
    while at < len(text.rstrip()):
        found = _PART.match(text, at)
        if found is None:
            return None
        number = _number(found[1])
        if number is None:
            return None
        parts.append((number, found[2] or ""))
        at = found.end()
    return parts or None


def _number(text: str) -> Fraction | None:
    whole, _, part = text.replace(",", ".").replace("-", " ").rpartition(" ")
    try:
        return Fraction(whole or 0) + Fraction(part)
    except (ValueError, ZeroDivisionError):
        return None


def _length(parts: list[tuple[Fraction, str]], sign: int, unit: str) -> int | float | None:
    inches = _inches(parts)
    return None if inches is None else _plain(sign * inches / _OF_UNIT[unit])


def _inches(parts: list[tuple[Fraction, str]]) -> Fraction | None:
    inches = Fraction(0)
    before = ""
    for number, of in parts:
        # What follows on feet without a unit is inches: 5'6.
        named = of or ("in" if before in ("ft", "'", "feet", "foot") else "")
        if named not in _INCHES or (before and _INCHES[named] >= _INCHES[before]):
            return None
        inches += number * _INCHES[named]
        before = named
    return inches


def _plain(value: Fraction) -> int | float:
    return int(value) if value.denominator == 1 else round(float(value), _DECIMALS)
