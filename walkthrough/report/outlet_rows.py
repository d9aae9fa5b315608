"""The outlets of a circuit as rows of a table: where, fed from what, protected how, found what."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from walkthrough.report.drawing_marks import Kind, Marks
from walkthrough.report.text import joined
from walkthrough.survey.model import PANEL

Data = Mapping[str, Any]

_SAID = {"yes": "yes", "no": "no", "unknown": "?"}


@dataclass(frozen=True)
class OutletRow:
    """One outlet.

    `has` says of each kind of protection whether it is there and whether it is asked for; `found`
    tells how grave each thing found is, and its topic.
    """

    name: str
    at: str
    fed: str
    device: str
    has: list[str]
    found: list[tuple[str, str]]
    tested: list[str]


def outlet_rows(marks: Marks, circuit: Data) -> list[OutletRow]:
    """The outlets of a circuit, in the order of its tree."""
    return [_row(marks, each) for each in circuit["wiring"]]


def _row(marks: Marks, line: Data) -> OutletRow:
    name = line["outlet"]
    place = joined((marks.outlets[name]["room"], line["at"]))
    found = marks.found.get(name, [])
    tested = [seen for each in found for seen in each["seen"] if seen["tested"]]
    return OutletRow(
        name,
        place,
        _fed(line),
        line["device"],
        [_has(marks, name, kind) for kind in marks.kinds],
        list(dict.fromkeys((each["severity"], each["topic"]) for each in found)),
        list(dict.fromkeys(f"{_words(seen['question'])}: {seen['answer']}" for seen in tested)),
    )


def _words(question: str) -> str:
    return question.replace("_", " ")


def _fed(line: Data) -> str:
    above = line["fed_from"]
    if not above:
        return "not known"
    side = "" if above == PANEL or line["side"] == "through" else f" {line['side'].upper()}"
    known = "" if line["known_by"] == "opened" else f" ({line['known_by']})"
    return f"{above}{side}{known}"


def _has(marks: Marks, name: str, kind: Kind) -> str:
    has, is_asked = _SAID[marks.has(name, kind)], marks.is_asked(name, kind)
    given = [each.name for each in marks.by(name, kind)]
    by = f" by {', '.join(given)}" if given else ""
    if is_asked:
        return f"{has}{by}, asked"
    if marks.is_disputed(name, kind):
        return f"{has}{by}, disputed"
    return "-" if has == "no" else f"{has}{by}"
