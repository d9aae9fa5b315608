"""The findings of records as a table for spreadsheets: one row for each, RFC 4180."""

from __future__ import annotations

import csv
import io
from collections.abc import Iterable, Iterator, Mapping, Sequence
from typing import Any

from walkthrough.report.text import joined, one_line
from walkthrough.report.words import due_words

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
    "judged_before",
    "since",
    "went_since",
    "remedy",
    "danger",
    "counts_with",
    "counts_with_under",
    "caveats",
)
# A spreadsheet takes a cell that begins so for a formula; the wide forms are read like the others.
_FORMULA = tuple("=+-@\t\r＝＋－＠")  # noqa: RUF001


def as_csv(judged: Iterable[Mapping[str, Any]]) -> str:
    """The findings of judged records, as `as_json` gives them; columns are only ever added.

    A record without findings has one row, which says so and names no rule. `since` says what is
    otherwise than the record keeps it; `went_since`, in the first row of a record, what is found no
    longer.
    """
    return table(COLUMNS, (row for data in judged for row in _rows(data)))


def _rows(data: Mapping[str, Any]) -> Iterator[dict[str, str]]:
    common = {"session": data["session"], "date": data["date"] or ""}
    common["judged_before"] = "; ".join(
        f"{each['id']}: {'other rules' if each['other_rules'] else 'the same rules'}"
        for each in data["judged_before"]
        if each["fingerprint"]
    )
    went = "; ".join(
        f"{each['id']}: {one['subject']}: {one['rule']}"
        for each in data["judged_before"]
        for one in each["went"]
    )
    for place, finding in enumerate(data["deficiencies"]):
        since = _since(data["judged_before"], finding)
        yield {**common, **_plain(finding), "since": since, "went_since": "" if place else went}
    if not data["deficiencies"]:
        limits = f"not tested or not reached: {data['counts']['not_tested']}"
        says = f"No findings ({limits}; open: {len(data['undecided'])})"
        under = "; ".join(each["under"] for each in data["rulesets"])
        yield {**common, "says": says, "under": under, "went_since": went}


def table(columns: Sequence[str], rows: Iterable[Mapping[str, str]]) -> str:
    """Rows as a table of these columns; what a row does not hold is left empty.

    A cell that a spreadsheet would take for a formula has an apostrophe before it.
    """
    out = io.StringIO()
    written = csv.DictWriter(out, columns, lineterminator="\r\n")
    written.writeheader()
    for row in rows:
        written.writerow({name: cell(row.get(name, "")) for name in columns})
    return out.getvalue()


def _since(before: Sequence[Mapping[str, Any]], finding: Mapping[str, Any]) -> str:
    def here(part: str, each: Mapping[str, Any]) -> bool:
        named = ("of", "subject", "rule")
        return any(all(one[n] == finding[n] for n in named) for one in each[part])

    under = [each for each in before if each["id"] in finding["under"]]
    return "; ".join(
        f"{each['id']}: {told}"
        for each in under
        for part, told in (("came", "found now"), ("regraded", "graded otherwise"))
        if here(part, each)
    )


def _plain(finding: Mapping[str, Any]) -> dict[str, str]:
    lists = {
        **finding,
        "danger": joined((finding["danger"]["says"], finding["danger"]["first"])),
        "seen": [f"{each['question']}: {each['answer']}" for each in finding["seen"]],
        "correct_within": [
            f"{due_words(each)}: {each['programme']}" for each in finding["correct_within"]
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
