"""The findings of records as a table for spreadsheets: one row for each, RFC 4180."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Mapping
from typing import Any

from walkthrough.report.text import one_line

COLUMNS = (
    "session",
    "date",
    "subject",
    "of",
    "place",
    "severity",
    "kind",
    "topic",
    "rule",
    "says",
    "seen",
    "why",
    "cure",
    "done_by",
    "correct_within",
    "cite",
    "confidence",
    "under",
    "duty",
    "code",
)
# A spreadsheet takes a cell that begins so for a formula; the wide forms are read like the others.
_FORMULA = tuple("=+-@\t\r＝＋－＠")  # noqa: RUF001


def as_csv(judged: Iterable[Mapping[str, Any]]) -> str:
    """The findings of judged records, as `as_json` gives them; columns are only ever added.

    A cell that a spreadsheet would take for a formula has an apostrophe before it.
    """
    out = io.StringIO()
    table = csv.DictWriter(out, COLUMNS, lineterminator="\r\n")
    table.writeheader()
    for data in judged:
        for finding in data["deficiencies"]:
            row = {"session": data["session"], "date": data["date"] or "", **_plain(finding)}
            table.writerow({name: cell(row[name]) for name in COLUMNS})
    return out.getvalue()


def _plain(finding: Mapping[str, Any]) -> dict[str, str]:
    lists = {
        **finding,
        "seen": [f"{each['question']}: {each['answer']}" for each in finding["seen"]],
        "correct_within": [
            f"{each['within']}: {each['programme']}" for each in finding["correct_within"]
        ],
    }
    return {
        name: "; ".join(value) if isinstance(value, list) else str(value)
        for name, value in lists.items()
        if name in COLUMNS
    }


def cell(text: str) -> str:
    """A text as it stands in one cell, never taken for a formula."""
    line = one_line(text)
    return f"'{line}" if text.startswith(_FORMULA) or line.startswith(_FORMULA) else line
