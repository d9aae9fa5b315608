"""The figures of receptacle spacing in a ruleset, as exact lengths and counts."""

from __future__ import annotations

from fractions import Fraction

from walkthrough.trade.tables import Ground, Tables

_IN_INCHES = {"_ft": 12, "_in": 1}


class SpacingTables(Tables):
    """The tables of one ruleset with what spacing reads in them; all raise NoRow."""

    @classmethod
    def of(cls, tables: Tables) -> SpacingTables:
        """The same tables, to be read for spacing."""
        return cls(tables._tables, tables._ruleset)

    def asks(self, table: str) -> bool:
        """Whether the edition asks for anything there: a table may say `asked = "no"`."""
        return not self.has(table, "asked") or self.word(table, "asked") != "no"

    def inches(self, table: str, row: str) -> Fraction:
        """A length in inches; the end of the row's name tells its unit, _ft or _in."""
        return Fraction(self.number(table, row)) * _IN_INCHES[row[-3:]]

    def count(self, table: str, row: str) -> int:
        """A number of receptacle outlets."""
        return int(self.number(table, row))

    def reasons(self, table: str) -> dict[str, str]:
        """What does not count, by the word for it; none where the edition leaves nothing out."""
        if not self.asks(table):
            return {}
        return {row: self.word(table, row) for row in self.rows(table)}

    def grounds(self, *rows: tuple[str, str]) -> Ground:
        """What several rows, each told as table and row, rest on together."""
        return sum((self.ground(table, row) for table, row in rows), Ground())
