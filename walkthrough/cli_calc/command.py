"""The command `calc`: one calculation from the command line, with each step and its section."""

from __future__ import annotations

import argparse
import dataclasses
import functools
import json
import sys
from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from walkthrough.cli_calc.registry import CALCULATIONS, Calculation
from walkthrough.judge.under import series_files
from walkthrough.report.calculation import Calculated, as_json, as_text
from walkthrough.rulebook.files import read_toml, ruleset_files
from walkthrough.rulebook.load import load
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.trade.tables import NoRow, Tables
from walkthrough.trade.working import VERDICTS

_OWN = ("run", "session", "ruleset", "json")


def add_calc_command(commands: Any) -> None:
    """Add `calc` and its calculations to the parser."""
    names = [each.name for each in CALCULATIONS]
    parser = commands.add_parser(
        "calc",
        help="one calculation, step by step: " + ", ".join(names),
        description="One calculation by the figures of one edition, step by step.",
        epilog=_words(),
        formatter_class=argparse.RawDescriptionHelpFormatter,
    )
    verbs = parser.add_subparsers(title="calculations", metavar="CALCULATION", required=True)
    for each in CALCULATIONS:
        verb = verbs.add_parser(
            each.name,
            formatter_class=argparse.RawDescriptionHelpFormatter,
            help=each.help,
            description=each.help,
            epilog=f"{each.examples}\n\n{_words()}",
        )
        verb.add_argument(
            "--ruleset",
            "--edition",
            metavar="ID",
            help="id or file of a ruleset, or the year of an edition, e.g. nec-2020 or 2020; the "
            "newest stable edition if not told (`walkthrough rules list`)",
        )
        verb.add_argument("--json", action="store_true", help="print the answer as JSON")
        each.add(verb)
        verb.set_defaults(run=functools.partial(_calculate, each), ruleset=None)


def _words() -> str:
    lines = [f"  {word + ':':15} {means}" for word, means in VERDICTS.items()]
    return "verdicts:\n" + "\n".join(lines)


def _calculate(calculation: Calculation, chosen: argparse.Namespace) -> int:
    book = load(_ruleset(chosen.ruleset))
    try:
        working = calculation.work(chosen, Tables(book.tables, book.id))
    except NoRow as error:
        message = f"{error}; choose an edition of the code with --ruleset"
        raise Unusable([Problem(f"calc {calculation.name}", 0, 0, message)]) from None
    calculated = Calculated(calculation.name, calculation.help, book, _inputs(chosen), working)
    if chosen.json:
        json.dump(as_json(calculated), sys.stdout, indent=1, ensure_ascii=False)
        print()
    else:
        print(as_text(calculated), end="")
    return 0


def _ruleset(named: str | None) -> str:
    """The ruleset that is meant: a year means the edition of that year in a series."""
    series = series_files()
    if named is not None:
        editions = [f"{name}-{named}" for name in series]
        there = [each for each in editions if each in ruleset_files()]
        return there[0] if len(there) == 1 and named not in ruleset_files() else named
    dated = [
        (str(read_toml(path)[0].get("in_force_from", "")), path.stem)
        for paths in series.values()
        for path in paths
    ]
    if not dated:
        raise Unusable([Problem("--ruleset", 0, 0, "there is no edition to take; name a ruleset")])
    return max(dated)[1]


def _inputs(chosen: argparse.Namespace) -> dict[str, Any]:
    """What was told or taken, as JSON can hold it; what was left out is left out."""
    told = {name: value for name, value in vars(chosen).items() if name not in _OWN}
    plain = {name: _plain(value) for name, value in told.items()}
    return {name: value for name, value in plain.items() if value not in (None, [], {}, "", False)}


def _plain(value: Any) -> Any:
    if isinstance(value, Decimal):
        return float(value)
    if dataclasses.is_dataclass(value) and not isinstance(value, type):
        fields = dataclasses.fields(value)
        return {each.name: _plain(getattr(value, each.name)) for each in fields}
    if isinstance(value, Mapping):
        return {str(key): _plain(each) for key, each in value.items()}
    if isinstance(value, list | tuple):
        return [_plain(each) for each in value]
    return value
