"""The command `replay`: judges saved records again, under their own or another ruleset."""

from __future__ import annotations

import argparse
import contextlib
import json
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import Any, TextIO

from walkthrough.judge.judge import KINDS, Judgement, judge
from walkthrough.report.as_json import as_json
from walkthrough.report.as_text import as_text
from walkthrough.rulebook.files import ruleset_files
from walkthrough.rulebook.load import load
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store

DEFICIENCIES_FOUND = 1


def add_replay_command(commands: Any) -> None:
    """Add `replay` to the parser."""
    parser = commands.add_parser("replay", help="judge saved sessions again")
    parser.add_argument("session", nargs="+", type=Path, help="saved session files")
    parser.add_argument("--ruleset", help="id or file of a ruleset; else the one of the session")
    parser.add_argument("--format", choices=("text", "json"), default="text")
    parser.add_argument("--out", type=Path, help="write to this file instead of the screen")
    parser.add_argument(
        "--fail-on",
        choices=KINDS,
        help="exit with 1 when there is a finding of this kind or a graver one",
    )
    parser.set_defaults(run=_replay)


def _replay(chosen: argparse.Namespace) -> int:
    if chosen.ruleset == "":
        raise Unusable([Problem("--ruleset", 0, 0, "names nothing; expected the id of a ruleset")])
    _refuse_to_write_over(chosen.session, chosen.out)
    problems: list[Problem] = []
    judged: list[Judgement] = []
    books: dict[str, Rulebook] = {}
    for path in chosen.session:
        try:
            judged.append(_judged(path, chosen.ruleset, books))
        except Unusable as error:
            problems += error.problems
    if problems:
        # Every file is looked at before anything is printed, so that no slip is lost.
        raise Unusable(problems)
    with _output(chosen.out) as out:
        if chosen.format == "json":
            whole = [as_json(each) for each in judged]
            json.dump(whole[0] if len(whole) == 1 else whole, out, indent=1, ensure_ascii=False)
            out.write("\n")
        else:
            out.write("\f\n".join(as_text(each) for each in judged))
    grave = KINDS[: KINDS.index(chosen.fail_on) + 1] if chosen.fail_on else ()
    found = any(finding.kind in grave for each in judged for finding in each.findings)
    return DEFICIENCIES_FOUND if found else 0


def _judged(path: Path, ruleset: str | None, books: dict[str, Rulebook]) -> Judgement:
    session = store.load(path)
    name = ruleset or session.judged_by.ruleset
    if not ruleset and name not in ruleset_files():
        message = f"judged by '{name}', which is not there; {nearest(name, ruleset_files())}"
        where = locate(path.read_text(encoding="utf-8"), ("judged_by", "ruleset"))
        raise Unusable([Problem(str(path), *where, message)])
    if name not in books:
        books[name] = load(name)
    # Answers are checked against the questions they were given to; another ruleset may ask others.
    own = session.judged_by.ruleset if session.judged_by.ruleset in ruleset_files() else name
    if own not in books:
        books[own] = load(own)
    store.load(path, books[own].questions)
    return judge(session, books[name])


def _refuse_to_write_over(sessions: Iterable[Path], out: Path | None) -> None:
    if out is None:
        return
    for path in sessions:
        # A file that is not there cannot be written over.
        with contextlib.suppress(OSError):
            if path.samefile(out):
                message = f"is the session '{path}'; expected another file to write to"
                raise Unusable([Problem(str(out), 0, 0, message)])


@contextlib.contextmanager
def _output(path: Path | None) -> Iterator[TextIO]:
    if path is None:
        yield sys.stdout
        return
    try:
        with path.open("w", encoding="utf-8") as out:
            yield out
    except OSError as error:
        message = f"cannot be written: {(error.strerror or 'error').lower()}"
        raise Unusable([Problem(str(path), 0, 0, message)]) from None
