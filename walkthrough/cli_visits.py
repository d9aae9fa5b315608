"""The command `compare`: what became of each deficiency from one record to a later one."""

from __future__ import annotations

import argparse
import dataclasses
import datetime
import json
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path
from typing import Any, TypeVar

from walkthrough.cli_arguments import wrong
from walkthrough.cli_judged import add_fail_on, add_notice_option, code, named_rulesets
from walkthrough.cli_output import output, refuse_to_write_over
from walkthrough.cli_report import (
    CLIENT,
    PAGES,
    add_reader_options,
    refuse_page_options,
    write_document,
)
from walkthrough.cli_sessions import Shelf, checked_session
from walkthrough.judge.alike import alike
from walkthrough.judge.under import judge_under, own_rulesets, refuse_missing
from walkthrough.judge.visits import STANDS, Visits
from walkthrough.remedy.load import words_of_work
from walkthrough.report.firm import load_firm
from walkthrough.report.visits_json import Record, visits_json
from walkthrough.report.visits_page import VisitsPage
from walkthrough.report.visits_text import visits_csv, visits_text
from walkthrough.report.visits_warnings import warnings
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.model import Session

A = TypeVar("A")
B = TypeVar("B")


def add_visits_command(commands: Any) -> None:
    """Add `compare` to the parser."""
    parser = commands.add_parser(
        "compare", help="what became of each deficiency from one record to a later one"
    )
    parser.add_argument("old", type=Path, help="the session file of the earlier visit")
    parser.add_argument("new", type=Path, help="the session file of the later visit")
    parser.add_argument(
        "--ruleset",
        action="append",
        default=[],
        metavar="ID",
        help="id or file of a ruleset for both, else those of NEW; may be given several times",
    )
    parser.add_argument("--format", choices=("text", "json", "csv", *PAGES), default="text")
    add_reader_options(parser)
    parser.add_argument("--out", type=Path, help="write to this file instead of the screen")
    add_notice_option(parser)
    add_fail_on(parser, "one of this kind or a graver one is not shown to be corrected")
    parser.set_defaults(run=_compare)


def _compare(chosen: argparse.Namespace) -> int:
    named = named_rulesets(chosen)
    refuse_page_options(chosen)
    refuse_to_write_over([chosen.old, chosen.new], chosen.out)
    data = _compared(chosen.old, chosen.new, named, chosen.notice)
    # Asked for before anything is written, so that a slip in it leaves no half a report.
    firm = load_firm(chosen.firm) if chosen.firm is not None else None
    if chosen.format in PAGES:
        write_document(chosen.format, VisitsPage(data, chosen.reader or CLIENT, firm), chosen.out)
    else:
        with output(chosen.out, "" if chosen.format == "csv" else None) as out:
            if chosen.format == "json":
                json.dump(data, out, indent=1, ensure_ascii=False)
                out.write("\n")
            else:
                out.write(visits_csv(data) if chosen.format == "csv" else visits_text(data))
    return code(
        chosen.fail_on, (each["kind"] for each in data["items"] if each["became"] in STANDS)
    )


def _compared(
    old_path: Path, new_path: Path, named: Sequence[str], notice: datetime.date | None
) -> dict[str, Any]:
    _refuse_the_same(old_path, new_path)
    was, now = _each(store.load, (old_path, new_path))
    if not named:
        refuse_missing(now, new_path)
    shelf = Shelf()
    books = shelf.distinct(named or own_rulesets(now))
    old, new = _each(
        lambda session: _judged(*session, books, shelf, notice), ((old_path, was), (new_path, now))
    )
    by_work = words_of_work()
    visits = [
        Visits(then, today, alike(then.house, today.house), by_work)
        for then, today in zip(old.judged.chosen, new.judged.chosen, strict=True)
    ]
    return visits_json(old, new, visits, list(warnings(old, new, visits[0].alike)))


def _each(read: Callable[[A], B], given: Iterable[A]) -> list[B]:
    """Read both records before anything is said, so that no slip of either is lost."""
    found: list[B] = []
    problems: list[Problem] = []
    for each in given:
        try:
            found.append(read(each))
        except Unusable as error:
            problems += error.problems
    if problems:
        raise Unusable(dict.fromkeys(problems))
    return found


def _judged(
    path: Path,
    session: Session,
    books: Sequence[Rulebook],
    shelf: Shelf,
    notice: datetime.date | None,
) -> Record:
    judged = judge_under(checked_session(session, path, shelf, books), books)
    return Record(path, dataclasses.replace(judged, notice=notice))


def _refuse_the_same(old: Path, new: Path) -> None:
    try:
        same = old.samefile(new)
    except OSError:
        # What cannot be found is told when it is read.
        return
    if same:
        raise wrong(str(new), "is OLD as well as NEW; expected two records")
