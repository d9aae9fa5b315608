"""Figures out of the tables of a ruleset, each with its section and its mark."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from decimal import Decimal

from walkthrough.rulebook.declarations import Confidence, TableDeclared

_WEAKER: tuple[Confidence, ...] = ("confirmed", "one-source", "inferred", "memory", "disputed")


class NoRow(ValueError):
    """The edition's tables lack a row that a calculation needs."""


@dataclass(frozen=True, slots=True)
class Ground:
    """What a statement rests on: the sections, and how well the weakest of them is known."""

    cite: tuple[str, ...] = ()
    confidence: Confidence = "confirmed"

    def __add__(self, other: Ground) -> Ground:
        return Ground(
            tuple(dict.fromkeys((*self.cite, *other.cite))),
            weakest((self.confidence, other.confidence)),
        )


NOTHING = Ground()


@dataclass(frozen=True, slots=True)
class Figure:
    """A number of a table and what it rests on."""

    value: Decimal
    ground: Ground


class Tables:
    """The tables of one ruleset; numbers are exact, as they are written there."""

    def __init__(self, tables: Mapping[str, TableDeclared], ruleset: str) -> None:
        self._tables = tables
        self._ruleset = ruleset

    def has(self, table: str, row: str) -> bool:
        """Whether there is such a row."""
        return table in self._tables and row in self._tables[table].rows

    def rows(self, table: str) -> tuple[str, ...]:
        """The names of the rows in their order; none where there is no such table."""
        return tuple(self._tables[table].rows) if table in self._tables else ()

    def figure(self, table: str, row: str, column: int = 0) -> Figure:
        """A number, of a row of several the one in that column; raises NoRow."""
        cell = self._cell(table, row)
        value = cell[column] if isinstance(cell, list) else cell
        return Figure(exact(value), self.ground(table, row))

    def number(self, table: str, row: str, column: int = 0) -> Decimal:
        """The bare number of a row; raises NoRow."""
        return self.figure(table, row, column).value

    def word(self, table: str, row: str) -> str:
        """What stands in a row of words; raises NoRow."""
        return str(self._cell(table, row))

    def words(self, table: str, row: str) -> tuple[str, ...]:
        """The words of a row that lists several; none where there is no such row."""
        cell = self._cell(table, row) if self.has(table, row) else []
        return tuple(str(each) for each in cell) if isinstance(cell, list) else (str(cell),)

    def span(self, table: str, row: str) -> tuple[Decimal, Decimal]:
        """From where to where a row reaches; raises NoRow, also where it is no such row."""
        cell = self._cell(table, row)
        match cell:
            case [int() | float() as low, int() | float() as high] if low <= high:
                return exact(low), exact(high)
        raise NoRow(f"row '{row}' of table '{table}': found {cell}; expected two numbers, from, to")

    def ground(self, table: str, row: str) -> Ground:
        """The sections of a row and the weaker of its own mark and its table's; raises NoRow."""
        self._cell(table, row)
        declared = self._tables[table]
        section = declared.sections.get(row, declared.cite)
        marks = (declared.confidence, declared.marks.get(row, declared.confidence))
        return Ground((section,) if section else (), weakest(marks))

    def up_to(self, table: str, value: Decimal) -> str | None:
        """The first row whose name is a number not below `value`; None where there is none."""
        return next((row for row in self.rows(table) if Decimal(row) >= value), None)

    def _cell(self, table: str, row: str) -> object:
        if not self.has(table, row):
            raise NoRow(f"'{self._ruleset}' has no row '{row}' in a table '{table}'")
        return self._tables[table].rows[row]


def exact(value: object) -> Decimal:
    """The decimal number as written: binary fractions would make a full box look over-full."""
    return Decimal(str(value))


def weakest(marks: Iterable[Confidence]) -> Confidence:
    """The mark that is trusted least."""
    return max(marks, key=_WEAKER.index, default="confirmed")
