"""The command `replay`: judges saved records again, under their own or another ruleset."""

from __future__ import annotations

import argparse
import functools
import itertools
import json
from dataclasses import dataclass
from pathlib import Path
from typing import Any

from walkthrough.cli_judged import (
    Wanted,
    add_fail_on,
    add_judging_options,
    add_notice_option,
    code,
    own_shelf,
    wanted,
)
from walkthrough.cli_output import output, refuse_to_write_over
from walkthrough.cli_report import PAGES, add_report_options, refuse_options, write_page
from walkthrough.cli_workers import add_jobs_option, spread
from walkthrough.judge.under import Judged
from walkthrough.report.as_csv import as_csv
from walkthrough.report.as_json import as_json
from walkthrough.report.as_text import as_text
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.survey.photos import look


@dataclass(frozen=True)
class _Told:
    """What is told of one record, and the kinds of its findings; or why it cannot be used."""

    text: str = ""
    kinds: frozenset[str] = frozenset()
    problems: tuple[Problem, ...] = ()


def add_replay_command(commands: Any) -> None:
    """Add `replay` to the parser."""
    parser = commands.add_parser("replay", help="judge saved sessions again")
    parser.add_argument("session", nargs="+", type=Path, help="saved session files")
    add_judging_options(parser)
    add_notice_option(parser)
    parser.add_argument("--format", choices=("text", "json", "csv", *PAGES), default="text")
    add_report_options(parser)
    parser.add_argument("--out", type=Path, help="write to this file instead of the screen")
    add_fail_on(parser)
    add_jobs_option(parser)
    parser.set_defaults(run=_replay)


def _replay(chosen: argparse.Namespace) -> int:
    asked = wanted(chosen)
    refuse_options(chosen)
    named = [chosen.prices, chosen.firm, *chosen.ruleset]
    refuse_to_write_over(chosen.session, chosen.out, others=named)
    own_shelf.cache_clear()
    if chosen.format in PAGES:
        path = chosen.session[0]
        judged = asked.judged(path)
        write_page(chosen, judged, path)
        return code(chosen.fail_on, _kinds(judged))
    do = functools.partial(_told, asked, chosen.format, len(chosen.session) > 1)
    told = list(spread(do, chosen.session, chosen.jobs))
    problems = [problem for each in told for problem in each.problems]
    if problems:
        # Every file is looked at before anything is printed, so that no slip is lost.
        raise Unusable(dict.fromkeys(problems))
    with output(chosen.out, "" if chosen.format == "csv" else None) as out:
        out.write(_joined(chosen.format, [each.text for each in told]))
    return code(chosen.fail_on, itertools.chain.from_iterable(each.kinds for each in told))


def _told(asked: Wanted, form: str, in_list: bool, path: Path) -> _Told:
    """One record as it stands in the whole; `in_list` is JSON one level deeper."""
    try:
        judged = asked.judged(path)
    except Unusable as error:
        return _Told(problems=error.problems)
    photos = look(judged.session, path)
    if form == "text":
        text = as_text(judged, photos)
    else:
        data = as_json(judged, photos)
        if form == "csv":
            text = as_csv([data])
        else:
            text = json.dumps([data] if in_list else data, indent=1, ensure_ascii=False)
    return _Told(text, _kinds(judged))


def _kinds(judged: Judged) -> frozenset[str]:
    return frozenset(told.finding.kind for told in judged.findings)


def _joined(form: str, texts: list[str]) -> str:
    """The whole out of what is told of each record."""
    if form == "text":
        return "\f\n".join(texts)
    if form == "csv":
        head = as_csv([])
        return head + "".join(each.removeprefix(head) for each in texts)
    if len(texts) == 1:
        return texts[0] + "\n"
    return "[\n" + ",\n".join(each[2:-2] for each in texts) + "\n]\n"
