"""The overview of many records as plain text and as a table for spreadsheets."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterator, Mapping
from typing import Any

from walkthrough.report.as_csv import cell
from walkthrough.report.portfolio_view import Overview
from walkthrough.report.text import clean, heading, wrapped

COLUMNS = (
    "file",
    "state",
    "session",
    "visited",
    "under",
    "outlets",
    "hazard",
    "serious",
    "upgrade",
    "info",
    "defect",
    "gap",
    "note",
    "correct_within",
    "ask_the_ahj",
    "open_subjects",
    "not_tested",
    "cost",
    "cost_low",
    "cost_high",
    "cost_known",
    "currency",
    "problem",
)

Data = Mapping[str, Any]


def overview_text(view: Overview) -> str:
    """The overview for a terminal; wrapped for 96 columns, control characters made harmless."""
    return "\n".join(clean(line) for line in _lines(view)) + "\n"


def _lines(view: Overview) -> Iterator[str]:
    data = view.data
    yield from wrapped(view.title)
    for each in data["rulesets"]:
        yield from wrapped(f"Judged by: {each['title']} ({each['under']})")
    yield ""
    yield from wrapped(data["cautions"][0])
    for caution in data["cautions"][1:]:
        yield from wrapped(caution, "! ")
    for notice in data["notices"]:
        yield from wrapped(notice, "* ")
    if view.unread:
        yield from heading("Could not be used")
        yield from wrapped(view.unread)
        for each in data["unusable"]:
            for problem in each["problems"]:
                yield from wrapped(problem, "- ")
    yield from heading("In short")
    yield from _record(view, data["totals"], "")
    if view.reckoned:
        yield from wrapped(view.reckoned)
    if data["totals"]["deadlines"]:
        yield from wrapped(view.may_hold)
    for each in data["totals"]["deadlines"]:
        yield from wrapped(f"to be corrected within {view.due(each)}", "- ")
    yield from heading("Each record, worst first")
    for number, each in enumerate(data["records"], 1):
        yield from wrapped(f"{each['session']} ({each['file']})", f"{number}. ")
        yield from _record(view, each, "   ")
        for name, told in view.units(each):
            yield from wrapped(f"{name}: {told}", "   - ")
        for due in view.nearest(each):
            yield from wrapped(f"nearest time: {view.due(due)}", "   ")
        yield ""
    if data["earlier"]:
        yield from heading("Earlier visits, not counted")
        for each in data["earlier"]:
            told = f"{each['session']} ({each['file']}): re-inspected in {each['reinspected_in']}"
            yield from wrapped(told, "- ")
    yield from heading("The rules")
    for each in data["rulesets"]:
        yield from wrapped(f"{each['under']}: {each['fingerprint']}")


def _record(view: Overview, each: Data, first: str) -> Iterator[str]:
    counts = each["counts"]
    grave = [
        f"{counts['by_severity'][severity]} {word}" for severity, _, word, _ in view.severities
    ]
    yield from wrapped(f"{', '.join(grave)}; of these {view.counts(each)}", first)
    yield from wrapped(
        f"ask the authority: {each['ask_the_ahj']}; places with something open: "
        f"{each['open_subjects']}; not tested or not reached: {counts['not_tested']}",
        first,
    )
    if told := view.cost(each):
        yield from wrapped(f"cost: {told}", first)


def overview_csv(view: Overview) -> str:
    """One row for each record, worst first, then for each file that is not counted; RFC 4180."""
    out = io.StringIO()
    table = csv.DictWriter(out, COLUMNS, restval="", lineterminator="\r\n")
    table.writeheader()
    for row in _rows(view):
        table.writerow({name: cell(str(value)) for name, value in row.items()})
    return out.getvalue()


def _rows(view: Overview) -> Iterator[Data]:
    for each in view.data["records"]:
        cost = each["cost"] or {}
        yield {
            **{name: each[name] for name in ("file", "session", "outlets", "ask_the_ahj")},
            "state": "judged",
            "visited": each["visited"] or "",
            "under": "; ".join(each["under"]),
            **each["counts"]["by_severity"],
            **each["counts"]["by_kind"],
            "correct_within": "; ".join(map(view.due, each["deadlines"])),
            "open_subjects": each["open_subjects"],
            "not_tested": each["counts"]["not_tested"],
            **({"cost": cost["total"], "currency": cost["currency"]} if cost else {}),
            **{f"cost_{name}": cost[name] for name in ("low", "high", "known") if cost},
        }
    for each in view.data["earlier"]:
        yield {
            "file": each["file"],
            "session": each["session"],
            "state": f"re-inspected in {each['reinspected_in']}",
        }
    for each in view.data["unusable"]:
        problem = "; ".join(each["problems"])
        yield {"file": each["file"], "state": "cannot be used", "problem": problem}
