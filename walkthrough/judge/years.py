"""Which year counts for a subject: of its own work, else of its room, its circuit, the dwelling."""

from __future__ import annotations

from collections.abc import Mapping
from typing import TYPE_CHECKING

from walkthrough.judge.units import answer_at, asked_at, holders
from walkthrough.rulebook.declarations import SEES
from walkthrough.rulebook.rulebook import YearSource
from walkthrough.survey.model import Subject
from walkthrough.trade.protection import Open

if TYPE_CHECKING:
    from walkthrough.judge.house import House

Above = Mapping[str, Subject]
"""A subject and what it belongs to, by kind."""

# How near a kind of subject is to the thing itself.
_DEPTH = {scope: place for place, scope in enumerate(SEES["outlet"])}


def year_made(house: House, above: Above) -> int | None:
    """The year that counts; None where it is not known, and a wider one would be a guess."""
    for source in _sources(house, above):
        year = answer_at(house.session, source.of, source.take, above)
        if isinstance(year, int | float):
            return int(year)
        if _is_missing(house, source, above):
            return None
    return None


def code_year(house: House, above: Above) -> int | None:
    """The year whose edition bound the subject: the year it was made, less the time to adoption."""
    made, lens = year_made(house, above), house.book.as_built.get(_nearest(above))
    if made is None or lens is None:
        return None
    less = house.value(lens.declared.less, above) if lens.declared.less else 0
    return None if less is None else made - int(less)


def open_years(house: House, above: Above) -> tuple[Open, ...]:
    """The year that is missing: of later work, else the widest, which settles the most."""
    sources = _sources(house, above)
    missing = [each for each in sources if _is_missing(house, each, above)] or sources[-1:]
    return tuple(
        (house.key(asked_at(house.session, each.of, each.take, above))[1], each.take)
        for each in missing[:1]
    )


def _sources(house: House, above: Above) -> list[YearSource]:
    lens = house.book.as_built.get(_nearest(above))
    facts = house.situation(above[_nearest(above)])
    return [
        each
        for each in (lens.years if lens is not None else ())
        if each.of in above and each.when.truth(facts) is not False
    ]


def _is_missing(house: House, source: YearSource, above: Above) -> bool:
    """Whether a year should be here: asked for in vain, or of work that was done here."""
    if any(source.take in each.cannot_tell for each in holders(house.session, source.of, above)):
        return True
    told = any(
        answer_at(house.session, each.of, source.take, above) is not None
        for each in _sources(house, above)
        if each.take == source.take
    )
    return not told and source.must.truth(house.situation(above[_nearest(above)])) is True


def _nearest(above: Above) -> str:
    """The kind of the subject itself, out of it and what it belongs to."""
    return min(above, key=lambda scope: _DEPTH[scope])
