"""The command `replay`: judges saved records again, under their own or another ruleset."""

from __future__ import annotations

import argparse
import json
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from walkthrough.cli_output import output, refuse_to_write_over
from walkthrough.cli_report import PAGES, add_report_options, refuse_options, write_page
from walkthrough.cli_sessions import Shelf, checked_session
from walkthrough.judge.judge import KINDS
from walkthrough.judge.under import Judged, judge_under, own_rulesets, refuse_missing
from walkthrough.report.as_csv import as_csv
from walkthrough.report.as_json import as_json
from walkthrough.report.as_text import as_text
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.photos import look

DEFICIENCIES_FOUND = 1


def add_replay_command(commands: Any) -> None:
    """Add `replay` to the parser."""
    parser = commands.add_parser("replay", help="judge saved sessions again")
    parser.add_argument("session", nargs="+", type=Path, help="saved session files")
    parser.add_argument(
        "--ruleset",
        action="append",
        default=[],
        metavar="ID",
        help="id or file of a ruleset, else those of the session; may be given several times",
    )
    parser.add_argument(
        "--as-built",
        action="store_true",
        help="by the edition in force when each thing was installed or last replaced",
    )
    parser.add_argument(
        "--adoption-lag",
        type=int,
        metavar="YEARS",
        help="years from an edition to its adoption here, for --as-built",
    )
    parser.add_argument(
        "--series", default="", help="the series of editions for --as-built, if there are several"
    )
    parser.add_argument("--format", choices=("text", "json", "csv", *PAGES), default="text")
    add_report_options(parser)
    parser.add_argument("--out", type=Path, help="write to this file instead of the screen")
    parser.add_argument(
        "--fail-on",
        choices=KINDS,
        help="exit with 1 when there is a finding of this kind or a graver one",
    )
    parser.set_defaults(run=_replay)


def _replay(chosen: argparse.Namespace) -> int:
    if "" in chosen.ruleset:
        raise _wrong("--ruleset", "names nothing; expected the id of a ruleset")
    if chosen.series and not chosen.as_built:
        raise _wrong("--series", "makes sense only with --as-built")
    refuse_options(chosen)
    refuse_to_write_over(chosen.session, chosen.out)
    problems: list[Problem] = []
    judged: list[Judged] = []
    shelf = Shelf()
    for path in chosen.session:
        try:
            judged.append(_judged(path, chosen, shelf))
        except Unusable as error:
            problems += error.problems
    if problems:
        # Every file is looked at before anything is printed, so that no slip is lost.
        raise Unusable(dict.fromkeys(problems))
    photos = [look(each.session, path) for each, path in zip(judged, chosen.session, strict=True)]
    if chosen.format in PAGES:
        write_page(chosen, judged[0], photos[0])
        return _code(chosen, judged)
    with output(chosen.out, "" if chosen.format == "csv" else None) as out:
        if chosen.format == "text":
            out.write("\f\n".join(as_text(*each) for each in zip(judged, photos, strict=True)))
        else:
            whole = [as_json(*each) for each in zip(judged, photos, strict=True)]
            if chosen.format == "csv":
                out.write(as_csv(whole))
            else:
                json.dump(whole[0] if len(whole) == 1 else whole, out, indent=1, ensure_ascii=False)
                out.write("\n")
    return _code(chosen, judged)


def _code(chosen: argparse.Namespace, judged: Sequence[Judged]) -> int:
    grave = KINDS[: KINDS.index(chosen.fail_on) + 1] if chosen.fail_on else ()
    found = any(told.finding.kind in grave for each in judged for told in each.findings)
    return DEFICIENCIES_FOUND if found else 0


def _judged(path: Path, chosen: argparse.Namespace, shelf: Shelf) -> Judged:
    session = store.load(path)
    asked = bool(chosen.ruleset or chosen.as_built)
    if not asked:
        refuse_missing(session, path)
    books = shelf.distinct(chosen.ruleset if asked else own_rulesets(session))
    editions: tuple[Rulebook, ...] = ()
    if chosen.as_built or (session.as_built and not asked):
        editions = shelf.editions(chosen.series or session.as_built)
    _refuse_lag(chosen.adoption_lag, editions)
    session = checked_session(session, path, shelf, [*books, *editions])
    return judge_under(session, books, editions, chosen.adoption_lag)


def _refuse_lag(years: int | None, editions: Sequence[Rulebook]) -> None:
    """The same range holds as for the question that the option answers."""
    if years is None:
        return
    if not editions:
        raise _wrong("--adoption-lag", "makes sense only with --as-built")
    lenses = editions[-1].as_built.values()
    asked = [editions[-1].questions[each.declared.less] for each in lenses if each.declared.less]
    for question in asked[:1]:
        if not (question.min or 0) <= years <= (question.max or years):
            message = (
                f"found {years}; expected {question.min or 0:g} to {question.max or 0:g} years"
            )
            raise _wrong("--adoption-lag", message)


def _wrong(option: str, message: str) -> Unusable:
    return Unusable([Problem(option, 0, 0, message)])
