"""The command `portfolio`: one overview of many saved records, and the report of each beside it."""

from __future__ import annotations

import argparse
import contextlib
import json
import re
import sys
import urllib.parse
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from walkthrough.cli_arguments import wrong
from walkthrough.cli_judged import (
    Wanted,
    add_fail_on,
    add_judging_options,
    code,
    own_shelf,
    wanted,
)
from walkthrough.cli_output import output, refuse_to_write_over
from walkthrough.cli_plan import made_plan
from walkthrough.cli_report import (
    CLIENT,
    LANDLORD,
    NO_TEXT,
    PAGES,
    document_with,
    refuse_without_pdf,
    write_document,
)
from walkthrough.cli_workers import add_jobs_option, counted, spread
from walkthrough.judge.under import Judged
from walkthrough.remedy.actions import Actions
from walkthrough.remedy.load import load_actions
from walkthrough.remedy.plan import Plan
from walkthrough.report.firm import Firm, load_firm
from walkthrough.report.portfolio import Data, Unread, of_record, overview
from walkthrough.report.portfolio_text import overview_csv, overview_text
from walkthrough.report.portfolio_view import Overview
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.record_files import may_be_record

UNUSABLE = 2
OVERVIEW = "overview"
_LONGEST_NAME = 80


@dataclass(frozen=True)
class _Task:
    """One record, and where its own report goes."""

    record: Path
    page: Path | None = None


@dataclass(frozen=True)
class _Portfolio:
    """What is done with each record; it goes to other processes."""

    wanted: Wanted
    plan: bool
    prices: Path | None
    firm: Firm | None

    def of(self, task: _Task) -> Data | Unread | tuple[Problem, ...]:
        """What the overview tells of a record, or why it tells nothing.

        Bare problems are those that no other record would be spared.
        """
        try:
            judged = self.wanted.judged(task.record)
            actions = _actions(judged.chosen[0].book) if self.plan and judged.chosen else None
        except Unusable as error:
            return Unread(str(task.record), error.problems)
        try:
            plan = self._planned(judged, actions) if actions is not None else None
            if task.page is not None:
                self._write(task.page, judged, task.record, plan)
        except Unusable as error:
            return error.problems
        link = urllib.parse.quote(task.page.name) if task.page is not None else ""
        return of_record(judged, str(task.record), plan, link)

    def _planned(self, judged: Judged, actions: Actions) -> Plan:
        books = [each.book for each in judged.chosen]
        return made_plan(judged.session, books, actions, self.prices, alternatives=False)

    def _write(self, page: Path, judged: Judged, record: Path, plan: Plan | None) -> None:
        reader = LANDLORD if self.plan else CLIENT
        document = document_with(judged, record, reader, plan, self.firm)
        write_document(page.suffix.removeprefix("."), document, page)


_actions_under: dict[str, Actions] = {}


def _actions(book: Rulebook) -> Actions:
    """What can be done, checked against a ruleset once in each process."""
    if book.fingerprint not in _actions_under:
        _actions_under[book.fingerprint] = load_actions(book)
    return _actions_under[book.fingerprint]


def add_portfolio_command(commands: Any) -> None:
    """Add `portfolio` to the parser."""
    parser = commands.add_parser("portfolio", help="one overview of many sessions, worst first")
    parser.add_argument(
        "session", nargs="+", type=Path, help="saved session files, or folders that hold them"
    )
    add_judging_options(parser)
    parser.add_argument("--plan", action="store_true", help="with what the correction costs")
    parser.add_argument(
        "--prices", type=Path, metavar="FILE", help="your own list of prices, for --plan"
    )
    parser.add_argument("--format", choices=("text", "json", "csv", *PAGES), default="text")
    parser.add_argument(
        "--firm", type=Path, metavar="FILE", help="name, licence and sentences of your firm"
    )
    out = parser.add_mutually_exclusive_group()
    out.add_argument("--out", type=Path, help="write to this file instead of the screen")
    out.add_argument(
        "--into",
        type=Path,
        metavar="FOLDER",
        help="write the overview as a page there, and beside it the report of each session",
    )
    add_fail_on(parser)
    add_jobs_option(parser)
    parser.set_defaults(run=_portfolio)


def _portfolio(chosen: argparse.Namespace) -> int:
    asked = wanted(chosen)
    _refuse_options(chosen)
    own_shelf.cache_clear()
    _actions_under.clear()
    asked.refuse_options()
    records = list(_records(chosen.session))
    tasks, out = _tasks(records, chosen.into, chosen.format), chosen.out
    if chosen.into is not None:
        out = chosen.into / f"{OVERVIEW}.{chosen.format}"
        _make(chosen.into)
    refuse_to_write_over(records, out)
    firm = load_firm(chosen.firm) if chosen.firm is not None else None
    portfolio = _Portfolio(asked, chosen.plan, chosen.prices, firm)
    data = overview(_judged(portfolio, tasks, chosen.jobs))
    _write(chosen.format, Overview(data, firm), out)
    for each in data["unusable"]:
        print("\n".join(each["problems"]), file=sys.stderr)
    if data["unusable"]:
        return UNUSABLE
    kinds = data["totals"]["counts"]["by_kind"]
    return code(chosen.fail_on, (kind for kind, count in kinds.items() if count))


def _refuse_options(chosen: argparse.Namespace) -> None:
    if chosen.prices is not None and not chosen.plan:
        raise wrong("--prices", "makes sense only with --plan")
    for option, value in {"--firm": chosen.firm, "--into": chosen.into}.items():
        if value is not None and chosen.format not in PAGES:
            raise wrong(option, "makes sense only with --format md, html or pdf")
    if chosen.format == "pdf":
        if chosen.out is None and chosen.into is None:
            raise wrong("--format pdf", f"expected --out FILE or --into FOLDER, {NO_TEXT}")
        # Said before many records are judged for nothing.
        refuse_without_pdf()


def _records(named: Sequence[Path]) -> Iterator[Path]:
    """The record files, each once; of a folder those that end as records do, by name.

    What the app keeps beside a record ends otherwise: its history, lock and last good state.
    """
    seen: set[Path] = set()
    for path in named:
        found = [path]
        if path.is_dir():
            found = sorted(each for each in path.glob("*.toml") if _may_be_record(each))
            if not found:
                raise wrong(str(path), "holds no session; expected files that end in .toml")
        for each in found:
            if each.resolve() not in seen:
                seen.add(each.resolve())
                yield each


def _may_be_record(path: Path) -> bool:
    return not path.name.startswith(".") and not path.is_dir() and may_be_record(path)


def _tasks(records: Sequence[Path], folder: Path | None, form: str) -> list[_Task]:
    if folder is None:
        return [_Task(each) for each in records]
    pages = [folder / f"{name}.{form}" for name in _names(records)]
    refuse_to_write_over(records, *pages)
    return [_Task(*each) for each in zip(records, pages, strict=True)]


def _names(records: Iterable[Path]) -> Iterator[str]:
    """A name for the report of each record that any system takes, and that is no other's."""
    taken: set[str] = set()
    for each in records:
        stem = "-".join(re.findall(r"\w+", each.stem))[:_LONGEST_NAME] or "record"
        name, number = f"report-{stem}", 2
        while name.casefold() in taken:
            name, number = f"report-{stem}-{number}", number + 1
        taken.add(name.casefold())
        yield name


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        reason = (error.strerror or "error").lower()
        raise wrong(str(folder), f"cannot be made a folder: {reason}") from None


def _judged(
    portfolio: _Portfolio, tasks: Sequence[_Task], jobs: int | None
) -> Iterator[Data | Unread]:
    """What is told of each record as it comes; raises Unusable for what spares none of them."""
    results = spread(portfolio.of, tasks, jobs)
    with (
        contextlib.closing(results),
        contextlib.closing(counted(results, len(tasks), "judged")) as told,
    ):
        for each in told:
            if isinstance(each, tuple):
                raise Unusable(each)
            yield each


def _write(form: str, view: Overview, out: Path | None) -> None:
    if form in PAGES:
        write_document(form, view, out)
        return
    with output(out, "" if form == "csv" else None) as file:
        if form == "json":
            json.dump(view.data, file, indent=1, ensure_ascii=False)
            file.write("\n")
        elif form == "csv":
            file.write(overview_csv(view))
        else:
            file.write(overview_text(view))
