"""What a reader must know before trusting a comparison of two records."""

from __future__ import annotations

import datetime
from collections.abc import Iterator

from walkthrough.judge.alike import Alike
from walkthrough.judge.under import own_rulesets
from walkthrough.report.visits_json import Record
from walkthrough.survey.model import Dwelling, Session

DWELLING = Dwelling.of


def warnings(old: Record, new: Record, same: Alike) -> Iterator[str]:
    """Everything that speaks against these two records, in this order, under these rulesets."""
    was, now = old.judged.session, new.judged.session
    yield from _dwelling(old, new, same)
    yield from _rulesets(old, new)
    last, then = _last_day(now), _last_day(was)
    if last and then and last < then:
        yield (
            f"The new record was last visited on {last}, before the old one on {then}: "
            "OLD and NEW may be exchanged."
        )
    if was.reinspects and was.reinspects == new.file:
        yield (f"The old record re-inspects {new.file} itself: OLD and NEW may be exchanged.")
    if now.as_built or was.as_built:
        yield "What was asked when it was built is not compared here."


def _dwelling(old: Record, new: Record, same: Alike) -> Iterator[str]:
    was, now = old.judged.session, new.judged.session
    if now.reinspects == old.file:
        return
    if now.reinspects:
        yield f"The new record says that it re-inspects {now.reinspects}, not {old.file}."
    shared = any(of != DWELLING for of, _ in same.new_of)
    if not shared:
        yield (
            "The two records share no panel, circuit, room or outlet: they may be of different "
            "dwellings. Then nothing here holds."
        )
    elif not _same_title(was.title, now.title):
        yield (
            f"The records have different titles, '{was.title}' and '{now.title}': they may be of "
            "different dwellings, as names such as K-1 are alike everywhere. Then nothing here "
            "holds."
        )


def _same_title(was: str, now: str) -> bool:
    """A re-inspection adds the day to the title of what it re-inspects."""
    one, other = sorted((was.casefold().strip(), now.casefold().strip()), key=len)
    return other == one or other.startswith(f"{one}, ")


def _rulesets(old: Record, new: Record) -> Iterator[str]:
    here = [each.book.id for each in new.judged.chosen]
    for told, record in (("old", old), ("new", new)):
        own = own_rulesets(record.judged.session)
        if set(own) != set(here):
            yield (
                f"The {told} record was judged by {', '.join(own)}; here both are judged by "
                f"{', '.join(here)}."
            )


def _last_day(session: Session) -> datetime.date | None:
    return max((each.date for each in session.visits), default=None)
