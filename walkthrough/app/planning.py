"""The plan of corrections as its screen asks for it, worked out where it holds nothing up."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from threading import Event

from walkthrough.remedy.actions import Actions
from walkthrough.remedy.files import remedy_file
from walkthrough.remedy.judges import Breach
from walkthrough.remedy.plan import Plan, make_plan
from walkthrough.remedy.planner import Planner
from walkthrough.remedy.prices import DEMONSTRATION, load_prices
from walkthrough.remedy.work import Work
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Session, Subject

SCOPE = "fix"
"""The scope of the command, where none is named there."""

Stamp = tuple[int, int]


@dataclass(frozen=True)
class Asked:
    """What is to be worked out; without `prices` by the list that the command takes."""

    scope: str = SCOPE
    prefer: str = ""
    prices: Path | None = None

    @property
    def plain(self) -> Asked:
        """The same without a preference."""
        return replace(self, prefer="")


@dataclass
class View:
    """How the plan was looked at last, so that one comes back to the same."""

    asked: Asked = Asked()
    row: str = ""
    by_gravity: bool = False


class AbandonedError(Exception):
    """Nobody waits for the plan any more."""


@dataclass(frozen=True)
class Leavable(Planner):
    """A planner that stops where `gone` is set: a thread cannot be ended from outside."""

    gone: Event = field(default_factory=Event, compare=False)

    def broken(
        self, works: Sequence[Work], subjects: Iterable[Subject] | None = None, exact: bool = True
    ) -> list[Breach]:
        """As every planner; raises AbandonedError."""
        if self.gone.is_set():
            raise AbandonedError
        return super().broken(works, subjects, exact)


@dataclass(frozen=True)
class Shown:
    """A plan with what it was asked for; `cheapest` is the one without a preference.

    It is None as long as the other ways are not worked out.
    """

    asked: Asked
    plan: Plan
    cheapest: Plan | None = None


def planner_for(
    session: Session, books: Sequence[Rulebook], actions: Actions, asked: Asked, gone: Event
) -> Leavable:
    """What works out a plan of a record, which is only read; raises Unusable."""
    if asked.scope not in actions.scopes:
        message = f"no '{asked.scope}'; {nearest(asked.scope, actions.scopes)}"
        raise Unusable([Problem("scope", 0, 0, message)])
    prices = load_prices(asked.prices, actions.codes)
    day = max((each.date for each in session.visits), default=datetime.date.today())
    book, *others = books
    return Leavable(
        session, book, actions, prices, asked.scope, day, others=tuple(others), gone=gone
    )


def sum_of(planner: Planner, asked: Asked) -> Shown:
    """The plan without what other ways cost: that is there first."""
    return Shown(asked, make_plan(planner, asked.prefer, alternatives=False))


def all_of(planner: Planner, asked: Asked, cheapest: Plan | None) -> Shown:
    """The plan with all other ways; `cheapest` where that is known already."""
    cheapest = cheapest or make_plan(planner)
    return Shown(asked, make_plan(planner, asked.prefer) if asked.prefer else cheapest, cheapest)


def stamp(prices: Path | None) -> Stamp | None:
    """What tells that a list of prices was changed; None where it is not there."""
    try:
        found = (prices or remedy_file(DEMONSTRATION)).stat()
    except (OSError, Unusable):
        return None
    return found.st_mtime_ns, found.st_size
