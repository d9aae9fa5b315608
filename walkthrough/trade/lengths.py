"""Lengths in inches told as people in the trade say them: 5 ft 6 in, 39 1/2 in."""

from __future__ import annotations

from fractions import Fraction

FINEST = 64
"""A ruler's finest mark in parts of an inch; what falls between is told in decimals."""


def told(inches: Fraction, unit: str = "ft") -> str:
    """A length in feet and inches (`unit` "ft") or in inches alone ("in")."""
    if inches < 0:
        return f"-{told(-inches, unit)}"
    if unit == "in":
        return f"{_number(inches)} in"
    feet, rest = divmod(inches, 12)
    if not feet and rest:
        return f"{_number(rest)} in"
    return f"{feet} ft {_number(rest)} in" if rest else f"{feet} ft"


def _number(inches: Fraction) -> str:
    if FINEST % inches.denominator:
        return f"{float(inches):.2f}"
    whole, part = divmod(inches, 1)
    return " ".join(str(each) for each in (whole, part) if each) or "0"
