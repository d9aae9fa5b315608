"""Trip readings against the class A curve of UL 943."""

from __future__ import annotations

import math
from decimal import Decimal

import pytest
from hypothesis import given
from hypothesis import strategies as st

from tests.trade.editions import tables
from walkthrough.trade.trip_time import TripReading, longest_seconds, trip_time


def verdict(current: str = "", seconds: str = "", no_trip: bool = False, at: str = "") -> str:
    reading = TripReading(
        Decimal(current) if current else None,
        Decimal(seconds) if seconds else None,
        no_trip,
        Decimal(at) if at else None,
    )
    return trip_time(reading, tables()).verdict


@pytest.mark.parametrize(
    ("milliamperes", "seconds"),
    # Worked out from the formula of UL 943 as two forums give it.
    [
        (6, 5.5939),
        (10, 2.6945),
        (20, 1.0),
        (30, 0.5600),
        (50, 0.270),
        (100, 0.1001),
        (150, 0.056),
        (264, 0.0250),
    ],
)
def test_the_curve(milliamperes: int, seconds: float) -> None:
    longest = longest_seconds(Decimal(milliamperes), tables())
    assert longest is not None
    assert float(longest) == pytest.approx(seconds, abs=0.0005)
    assert float(longest) == pytest.approx(math.pow(20 / milliamperes, 1.43), rel=1e-12)


@pytest.mark.parametrize("milliamperes", ["3.9", "4", "5.99", "264.1"])
def test_outside_the_curve_no_time_is_set(milliamperes: str) -> None:
    assert longest_seconds(Decimal(milliamperes), tables()) is None


@pytest.mark.parametrize(
    ("current", "seconds", "no_trip", "expected"),
    # Two forums on UL 943 class A: not below 4 mA, from 6 mA within the curve.
    [
        ("3.9", "0.1", False, "fail"),
        ("3.9", "", True, "pass"),
        ("4", "0.1", False, "pass"),
        ("4", "", True, "pass"),
        ("5.9", "", True, "pass"),
        ("6", "", True, "fail"),
        ("6", "5.594", False, "pass"),
        ("6", "5.595", False, "fail"),
        ("20", "1", False, "pass"),
        ("20", "1.001", False, "fail"),
        ("264", "0.025", False, "pass"),
        ("264", "0.026", False, "fail"),
        ("300", "0.02", False, "cannot assess"),
        ("300", "", True, "fail"),
        ("20", "", False, "calculated"),
    ],
)
def test_readings(current: str, seconds: str, no_trip: bool, expected: str) -> None:
    assert verdict(current, seconds, no_trip) == expected


@pytest.mark.parametrize(
    ("at", "expected"),
    [("3.99", "fail"), ("4", "pass"), ("5.2", "pass"), ("6", "pass"), ("6.01", "fail")],
)
def test_a_slowly_rising_current(at: str, expected: str) -> None:
    assert verdict(at=at) == expected


def test_the_worse_of_two_readings_counts() -> None:
    assert verdict("20", "0.5", at="7") == "fail"


@given(st.integers(60, 2640), st.integers(1, 2640))
def test_more_current_never_gives_more_time(tenths: int, more: int) -> None:
    less = longest_seconds(Decimal(tenths) / 10, tables())
    longer = longest_seconds(Decimal(min(tenths + more, 2640)) / 10, tables())
    assert less is not None
    assert longer is not None
    assert longer <= less
