"""The tables of the shipped editions, for tests of the calculations that they feed."""

from __future__ import annotations

import functools

from walkthrough.rulebook.load import load
from walkthrough.trade.tables import Tables

EDITIONS = ("nec-2008", "nec-2011", "nec-2014", "nec-2017", "nec-2020", "nec-2023", "nec-2026")
SINCE_2011 = EDITIONS[1:]


@functools.cache
def tables(edition: str = "nec-2023") -> Tables:
    """The tables of one edition, read once."""
    return Tables(load(edition).tables, edition)
