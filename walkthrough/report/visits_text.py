"""A comparison of two records as plain text and as a table, drawn from its data alone."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any

from walkthrough.report.as_csv import table
from walkthrough.report.groups import Group
from walkthrough.report.text import clean, heading, wrapped
from walkthrough.report.visits_page import Part, VisitsPage, asked, change_words, told_words
from walkthrough.report.words import due_words, mark

COLUMNS = (
    "old",
    "new",
    "date",
    "became",
    "subject",
    "of",
    "place",
    "severity",
    "kind",
    "was",
    "now",
    "topic",
    "rule",
    "says",
    "reason",
    "contradiction",
    "told",
    "looked",
    "receipt",
    "work_by",
    "work_on",
    "changes",
    "waits_for",
    "new_there",
    "why",
    "cure",
    "done_by",
    "correct_within",
    "cite",
    "confidence",
    "under",
    "remedy",
    "caveats",
)

Data = Mapping[str, Any]

NOTHING_STANDS = "No deficiency stands in either record"


def visits_text(data: Data) -> str:
    """The comparison; wrapped for 96 columns, control characters made harmless."""
    return "\n".join(clean(line) for line in _lines(VisitsPage(data))) + "\n"


def visits_csv(data: Data) -> str:
    """One row for each deficiency, else one that says so, RFC 4180; columns are only ever added."""
    common = {
        "old": data["old"]["session"],
        "new": data["new"]["session"],
        "date": data["new"]["date"] or "",
    }
    rows = [_row(each) for each in data["items"]] or [{"says": NOTHING_STANDS}]
    return table(COLUMNS, ({**common, **each} for each in rows))


def _row(item: Data) -> dict[str, str]:
    told = item["told"] or {}
    flat = {
        **item,
        "was": _said(item["was"]),
        "now": _said(item["now"]),
        "told": told.get("outcome", ""),
        "looked": ("yes" if told["looked"] else "no") if told else "",
        **{name: told.get(name) or "" for name in ("receipt", "work_by", "work_on")},
        "changes": [change_words(item["subject"], each) for each in item["changes"]],
        "waits_for": [asked(item, each) for each in item["waits_for"]],
        "new_there": [each["rule"] for each in item["new_there"]],
        "correct_within": [
            f"{due_words(each)}: {each['programme']}" for each in item["correct_within"]
        ],
    }
    return {
        name: "; ".join(value) if isinstance(value, list) else str(value)
        for name, value in flat.items()
        if name in COLUMNS
    }


def _said(said: Data | None) -> str:
    if said is None:
        return "not in this record"
    grade = f": {said['kind']}, {said['severity']}" if said["kind"] else ""
    return f"{said['outcome']}{grade}"


def _lines(page: VisitsPage) -> Iterator[str]:
    data, counts = page.data, page.data["counts"]
    for told, record in (("Old record", data["old"]), ("New record", data["new"])):
        day = record["date"] or "a day not recorded"
        yield from wrapped(f"{told}: {record['session']} ({record['file']}), judged as on {day}")
    for each in data["rulesets"]:
        yield from wrapped(f"Both judged by: {each['title']} ({each['under']})")
        yield from wrapped(f"Fingerprint of the rules {each['id']}: {each['fingerprint']}")
    for record, each in page.other_rules:
        by = f"{each['id']}, {each['fingerprint']}"
        yield from wrapped(f"{record} was last judged by other rules: {by}")
    for warning in data["warnings"]:
        yield from wrapped(warning, "WARNING: ")
    yield ""
    not_this, *cautions = data["cautions"]
    yield from wrapped(not_this)
    for caution in cautions:
        yield from wrapped(caution, "! ")
    for notice in data["notices"]:
        yield from wrapped(notice, "* ")
    yield from heading("In short")
    for part in page.every_part:
        yield f"{part.count:5} {part.became}"
    yield f"{counts['not_shown_corrected']:5} of these are not shown to be corrected"
    if counts["contradictions"]:
        told = "where what was told and what the rule says do not agree"
        yield f"{counts['contradictions']:5} {told}"
    for part in page.parts:
        yield from _part(page, part)
    yield from _work(page)
    yield from _others(page)


def _part(page: VisitsPage, part: Part) -> Iterator[str]:
    yield from heading(f"{part.became.capitalize()}: {part.count}")
    yield from wrapped(part.means)
    for group in part.groups:
        yield ""
        yield from wrapped(group.common["says"])
        for each in group.places:
            yield from _place(page, each)
        yield from _foot(group, part.stands)


def _place(page: VisitsPage, item: Data) -> Iterator[str]:
    under = f" - under {'; '.join(item['under'])}" if page.several else ""
    kept = item["state_kept"]
    state = f" - kept in the record as: {kept}" if kept not in (None, "open") else ""
    where = f"{item['place']} ({item['kind']}, {item['severity']}){under}{state}"
    yield from wrapped(where, "  - ")
    if item["contradiction"]:
        yield from wrapped(item["contradiction"], "      !! ")
    if item["reason"]:
        yield from wrapped(item["reason"], "      ")
    if item["told"]:
        yield from wrapped(told_words(item["told"]), "      told: ")
    for new in item["new_there"]:
        yield from wrapped(f"{new['says']} ({new['rule']})", "      new there: ")
    if item["waits_for"]:
        questions = "; ".join(asked(item, each) for each in item["waits_for"])
        yield from wrapped(questions, "      not known: ")
    for change in item["changes"]:
        yield from wrapped(change_words(item["subject"], change), "      recorded: ")


def _foot(group: Group, stands: bool) -> Iterator[str]:
    common = group.common
    sections = (
        f"section {', '.join(common['cite'])}{mark(common['confidence'], common['verify_in'])}"
    )
    yield from wrapped(f"rule {common['rule']}, {sections}", "  ")
    if not stands:
        return
    yield from wrapped(common["why"], "  why: ")
    if common["remedy"]:
        yield from wrapped(f"{common['remedy']}; by: {common['done_by']}", "  cure: ")
    for at, caveat in group.minded:
        yield from wrapped(f"but {at}: {caveat}", "  ")
    for due in group.correct_within:
        sure = mark(due["confidence"], common["verify_in"])
        told = f"to be corrected {due_words(due)}: {due['programme']}{sure}"
        yield from wrapped(told, "  ")


def _work(page: VisitsPage) -> Iterator[str]:
    if page.data["work"]:
        yield from heading("What is another one now")
    for each in page.data["work"]:
        yield from wrapped(each["place"], "- ")
        for change in each["changes"]:
            yield from wrapped(change_words(each["subject"], change), "    ")
        for says, subjects in page.corrected(each).items():
            yield from wrapped(f"corrected with it: {', '.join(subjects)}: {says}", "    ")


def _others(page: VisitsPage) -> Iterator[str]:
    data, counts = page.data, page.data["counts"]
    if data["other_rechecks"]:
        yield from heading("Re-checks of what these rules do not find in the old record")
    for each in data["other_rechecks"]:
        told = f"{each['subject']}: {each['says']} ({each['rule']}); {told_words(each)}"
        yield from wrapped(told, "- ")
    for told, name in (
        ("Only in the old record", "only_old"),
        ("Only in the new record", "only_new"),
    ):
        if data[name]:
            yield from heading(f"{told}: {counts[name]}")
        for each in data[name]:
            about = f", {each['about']}" if each["about"] else ""
            yield from wrapped(f"{each['of']} {each['subject']}{about}", "- ")
    if data["moved"]:
        yield from heading(f"Moved, or called otherwise: {counts['moved']}")
    for each in data["moved"]:
        yield from wrapped(
            f"{each['of']} {each['subject']}: {change_words(each['subject'], each)}", "- "
        )
    yield from heading("Limits of the new record: not tested or not reached")
    if not data["not_tested"]:
        yield "No limit is recorded."
    for each in data["not_tested"]:
        yield from wrapped(f"{each['subject']}: {each['reason']}", "- ")
    if page.waiting:
        yield from heading("Still open questions of the new record")
    for subject, questions in page.waiting.items():
        yield from wrapped("; ".join(questions), f"{subject}: ")
