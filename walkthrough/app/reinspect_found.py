"""What the rules find now of the deficiencies of an earlier visit."""

from __future__ import annotations

from collections.abc import Collection, Mapping

from walkthrough.app.record import Record
from walkthrough.app.reinspect_items import TO_CHECK
from walkthrough.judge.judge import verdicts_on
from walkthrough.survey.model import Recheck

_HELD = ("deficient", "undecided", "ask the AHJ")


def is_found(record: Record, item: Recheck | None) -> bool:
    """Whether the rule of a deficiency still finds it or may find it, or is known no more."""
    subject = record.subject((item.of, item.subject)) if item is not None else None
    if item is None or subject is None:
        return True
    knowing = [each for each in record.houses if item.rule in each.book.rules]
    return not knowing or any(
        verdict.decision.rule.id == item.rule and verdict.decision.outcome in _HELD
        for house in knowing
        for verdict in verdicts_on(house, subject)
    )


def cleared(record: Record, items: Mapping[int, Recheck], but: Collection[int]) -> list[int]:
    """What waits where another thing was seen to be corrected, and is found no more.

    That is what the answers which were given anew there clear as well; all of it is of one subject.
    """
    seen = {
        (each.of, each.subject)
        for each in items.values()
        if each.looked and each.outcome.startswith("corrected")
    }
    found: list[int] = []
    for at, each in items.items():
        here = (each.of, each.subject)
        if each.outcome != TO_CHECK or at in but or here not in seen:
            continue
        is_other = found and here != (items[found[0]].of, items[found[0]].subject)
        if not is_other and not is_found(record, each):
            found.append(at)
    return found


def new_here(record: Record, item: Recheck) -> list[str]:
    """The rules that find something at the subject of a deficiency now and did not before."""
    session = record.session
    told = ((each.of, each.subject, each.rule) for each in session.rechecks)
    waived = (each for each in session.findings if each.state != "open")
    also = ((each.of, each.subject, each.rule) for each in waived)
    before = {rule for of, id, rule in (*told, *also) if (of, id) == (item.of, item.subject)}
    subject = record.subject((item.of, item.subject))
    now = {
        verdict.decision.rule.id: None
        for house in (record.houses if subject is not None else ())
        for verdict in verdicts_on(house, subject or session.dwelling)
        if verdict.decision.outcome == "deficient" and verdict.decision.kind != "note"
    }
    return [rule for rule in now if rule not in before]
