"""A re-inspection as text and as plain data: what became of each deficiency, and what is new."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from typing import Any, get_args

from walkthrough.judge.recheck import latest, new_since
from walkthrough.judge.under import Judged
from walkthrough.report.text import joined
from walkthrough.survey.model import Recheck, RecheckOutcome

NEW = "new"


def told(judged: Judged) -> Iterator[tuple[str, list[str]]]:
    """The outcomes in a fixed order, each with the lines to tell under it."""
    rechecks = latest(judged.session)
    for outcome in get_args(RecheckOutcome):
        lines = [_line(each) for each in rechecks if each.outcome == outcome]
        if lines:
            yield outcome, lines
    new = [f"{each.subject}: {each.says}" for each in _new(judged)]
    if new:
        yield NEW, new


def as_data(judged: Judged) -> dict[str, Any]:
    """All of it as JSON-ready data; an empty list where there was no re-inspection."""
    rechecks = latest(judged.session)
    counts = Counter(each.outcome for each in rechecks)
    new = _new(judged)
    return {
        "of": judged.session.reinspects,
        "on": rechecks[0].on.isoformat() if rechecks else None,
        "counts": {**{each: counts[each] for each in get_args(RecheckOutcome)}, NEW: len(new)},
        "items": [_item(each) for each in rechecks],
        "new": [
            {"of": each.of, "subject": each.subject, "rule": each.rule, "says": each.says}
            for each in new
        ],
    }


def _new(judged: Judged) -> list[Any]:
    return new_since(judged.session, [each.finding for each in judged.findings])


def _line(recheck: Recheck) -> str:
    papers = joined(
        (
            f"receipt or permit {recheck.receipt}" if recheck.receipt else "",
            f"work by {recheck.work_by}" if recheck.work_by else "",
            f"done {recheck.work_on}" if recheck.work_on else "",
        )
    )
    corrected = recheck.outcome.startswith("corrected")
    basis = "by the papers alone, not looked at" if corrected and not recheck.looked else ""
    new = f"new there: {', '.join(recheck.new)}" if recheck.new else ""
    more = "; ".join(each for each in (basis, papers, recheck.reason, new) if each)
    return f"{recheck.subject}: {recheck.says}" + (f" ({more})" if more else "")


def _item(recheck: Recheck) -> dict[str, Any]:
    return recheck.model_dump(mode="json")
