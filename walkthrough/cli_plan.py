"""The command `plan`: the least-cost work that clears what a record shows."""

from __future__ import annotations

import argparse
import datetime
import json
import re
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from walkthrough.cli_arguments import wrong
from walkthrough.cli_judged import named_rulesets
from walkthrough.cli_output import output, refuse_to_write_over
from walkthrough.cli_sessions import Shelf, checked_session
from walkthrough.judge.under import own_rulesets, refuse_missing
from walkthrough.remedy.actions import Actions
from walkthrough.remedy.budget import within
from walkthrough.remedy.load import load_actions
from walkthrough.remedy.plan import Plan, make_plan
from walkthrough.remedy.planner import Planner
from walkthrough.remedy.prices import load_prices
from walkthrough.report.plan_json import plan_json
from walkthrough.report.plan_text import plan_text
from walkthrough.rulebook.problems import nearest
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.model import Session

FIX = "fix"
_CURRENCY = r"(?:[A-Z]{3}|[$\u00a3\u20ac])"
_SUM = re.compile(
    rf"(?:{_CURRENCY}\s*)?(?P<sum>(?:\d{{1,3}}(?:,\d{{3}})+|\d{{1,12}})(?:\.\d+)?)(?:\s*{_CURRENCY})?"
)


def add_plan_command(commands: Any) -> None:
    """Add `plan` to the parser."""
    parser = commands.add_parser("plan", help="the cheapest work that clears what was found")
    parser.add_argument("session", type=Path, help="a saved session file")
    parser.add_argument(
        "--ruleset",
        action="append",
        default=[],
        metavar="ID",
        help="else all of the session; several have to be satisfied together",
    )
    parser.add_argument("--prices", type=Path, metavar="FILE", help="your own list of prices")
    parser.add_argument(
        "--scope", default=FIX, metavar="SCOPE", help="now, defects, fix (the default) or all"
    )
    parser.add_argument(
        "--prefer", default="", metavar="CHOICE", help="follow this choice wherever it can be"
    )
    parser.add_argument(
        "--budget", type=_money, metavar="SUM", help="what to do first for this sum"
    )
    parser.add_argument("--format", choices=("text", "json"), default="text")
    parser.add_argument("--out", type=Path, help="write to this file instead of the screen")
    parser.set_defaults(run=_plan)


def _plan(chosen: argparse.Namespace) -> int:
    refuse_to_write_over([chosen.session], chosen.out, others=[chosen.prices, *chosen.ruleset])
    shelf = Shelf()
    session = store.load(chosen.session)
    if not chosen.ruleset:
        refuse_missing(session, chosen.session)
    books = shelf.distinct(named_rulesets(chosen) or own_rulesets(session))
    session = checked_session(session, chosen.session, shelf, books)
    actions = load_actions(books[0])
    for option, named, known in (
        ("--scope", chosen.scope, actions.scopes),
        ("--prefer", chosen.prefer, actions.choices),
    ):
        if named and named not in known:
            raise wrong(option, f"no '{named}'; {nearest(named, known)}")
    plan = made_plan(session, books, actions, chosen.prices, chosen.scope, chosen.prefer)
    budget = None if chosen.budget is None else within(plan, chosen.budget)
    with output(chosen.out) as out:
        if chosen.format == "json":
            json.dump(plan_json(plan, budget), out, indent=1, ensure_ascii=False)
            out.write("\n")
        else:
            out.write(plan_text(plan, budget))
    return 0


def made_plan(
    session: Session,
    books: Sequence[Rulebook],
    actions: Actions,
    prices: Path | None,
    scope: str = FIX,
    prefer: str = "",
    alternatives: bool = True,
) -> Plan:
    """The plan for a record as on the day of its last visit; raises Unusable for the prices.

    It satisfies all of the rulesets; the actions are those of the first.
    """
    priced = load_prices(prices, actions.codes)
    day = max((each.date for each in session.visits), default=datetime.date.today())
    book, *others = books
    planner = Planner(session, book, actions, priced, scope, day, tuple(others))
    return make_plan(planner, prefer, alternatives)


def _money(text: str) -> int:
    """A sum in cents, also with a currency before or after it and commas between thousands."""
    found = _SUM.fullmatch(text.strip())
    if found is None:
        expected = "expected a sum such as 500, 1,000 or $1,000.50"
        raise wrong("--budget", f"found '{text}'; {expected}")
    return round(100 * float(found["sum"].replace(",", "")))
