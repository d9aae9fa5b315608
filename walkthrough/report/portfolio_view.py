"""What every form of the overview of many records shows, in reading order and in words."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from walkthrough.report.document import SIGNS
from walkthrough.report.firm import Firm
from walkthrough.report.words import SEVERITY, mark

Data = Mapping[str, Any]
MAY_HOLD = (
    "A time is told wherever its programme holds, or may hold because the record does not say "
    "which one does."
)


@dataclass(frozen=True)
class Overview:
    """The overview as its data tells it, under the name of a firm if there is one."""

    data: Data
    firm: Firm | None = None
    may_hold: str = MAY_HOLD

    @property
    def title(self) -> str:
        return (
            f"Receptacles and circuits: {_many(len(self.data['records']), 'record')}, worst first"
        )

    @property
    def severities(self) -> list[tuple[str, str, str, str]]:
        """Every severity with its sign, its word, and its heading."""
        return [
            (each, SIGNS[each], heading.partition(" - ")[0], heading)
            for each, heading in SEVERITY.items()
        ]

    @property
    def unread(self) -> str:
        """That files could not be used; "" where all could."""
        count = len(self.data["unusable"])
        if not count:
            return ""
        stand = "stands" if count == 1 else "stand"
        return f"{_many(count, 'file')} could not be used and {stand} in none of these numbers."

    @property
    def programmes(self) -> dict[str, list[Data]]:
        """Programme -> its times for the correction over all records, the nearest first."""
        due: dict[str, list[Data]] = {}
        for each in self.data["totals"]["deadlines"]:
            due.setdefault(each["programme"], []).append(each)
        return due

    @property
    def reckoned(self) -> str:
        """What the costs are reckoned from; "" where none were asked for."""
        cost = self.data["totals"]["cost"]
        if cost is None:
            return ""
        prices = cost["prices"]
        return (
            "A calculation from what is recorded and from a list of prices; no offer and no "
            f"permit. Scope: {cost['scope']}. Prices: {prices['title']}, {prices['date']}."
        )

    def within(self, time: Data) -> list[tuple[Data, int]]:
        """The records where a time holds, and at how many findings."""
        name = ("programme", "within")
        return [
            (record, each["findings"])
            for record in self.data["records"]
            for each in record["deadlines"]
            if all(each[part] == time[part] for part in name)
        ]

    def counts(self, record: Data) -> str:
        """How many findings of each kind."""
        kinds = record["counts"]["by_kind"]
        return ", ".join(_many(count, kind) for kind, count in kinds.items())

    def nearest(self, record: Data) -> list[Data]:
        """The nearest time of each programme."""
        first: dict[str, Data] = {}
        for each in record["deadlines"]:
            first.setdefault(each["programme"], each)
        return list(first.values())

    def due(self, time: Data) -> str:
        """One time for the correction in words."""
        many = _many(time["findings"], "finding")
        return f"{time['within']}: {many}, {time['programme']}{self.sure(time)}"

    def sure(self, time: Data) -> str:
        """The marks of those who tell a time, in brackets; "" where all is confirmed."""
        return "".join(mark(each, " or ".join(time["verify_in"])) for each in time["confidences"])

    def cost(self, record: Data) -> str:
        """What the plan of one record costs, or all of them; "" where none was asked for."""
        if self.data["totals"]["cost"] is None:
            return ""
        cost = record["cost"]
        if cost is None:
            return "not planned: judged only as built"
        return "; ".join(_cost(cost))

    def units(self, record: Data) -> Iterator[tuple[str, str]]:
        """Each unit of a building with its findings in words; common areas where there are any."""
        for unit in record["units"]:
            if unit["id"] or unit["deficiencies"]:
                told = [
                    f"{count} {word}"
                    for severity, _, word, _ in self.severities
                    if (count := unit["by_severity"][severity])
                ]
                yield unit["name"] or "Building and common areas", ", ".join(told) or "no findings"


def _cost(cost: Data) -> Iterator[str]:
    currency = cost["currency"]
    if cost["asks"]:
        yield f"to be asked for; what is known comes to {cost['known']:.2f} {currency}"
    elif cost["low"] == cost["high"]:
        yield f"{cost['total']:.2f} {currency}"
    else:
        yield f"{cost['total']:.2f} {currency}, from {cost['low']:.2f} to {cost['high']:.2f}"
    if cost["unsolved"]:
        yield f"{_many(cost['unsolved'], 'finding')} not solved by it"
    if not cost["proven"]:
        yield "cheaper may exist"
    if cost.get("not_planned"):
        yield f"{_many(cost['not_planned'], 'record')} not planned, as judged only as built"


def _many(count: int, word: str) -> str:
    return f"{count} {word}{'' if count == 1 else 's'}"
