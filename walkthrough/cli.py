"""The command line: parses arguments, prints, and turns problems into exit codes."""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Sequence
from pathlib import Path
from typing import Any

from walkthrough import __version__
from walkthrough.cli_arguments import Parser
from walkthrough.rulebook.problems import Unusable

UNUSABLE = 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    for stream in (sys.stdout, sys.stderr):
        if isinstance(stream, io.TextIOWrapper):
            # A terminal or pipe that lacks a character is shown its number instead.
            stream.reconfigure(errors="backslashreplace")
    arguments = sys.argv[1:] if arguments is None else list(arguments)
    if arguments[:1] == ["calc"]:
        from walkthrough.cli_calc.inputs import quoted

        arguments = quoted(arguments)
    parser = _parser(only_walk=arguments[:1] in ([], ["walk"]))
    try:
        chosen = parser.parse_args(arguments)
        return int(chosen.run(chosen))
    except Unusable as error:
        print(error, file=sys.stderr)
        return UNUSABLE
    except BrokenPipeError:
        return 0


def _parser(only_walk: bool) -> argparse.ArgumentParser:
    parser = Parser(prog="walkthrough")
    parser.add_argument("--version", action="version", version=__version__)
    parser.set_defaults(run=_walk, session=None, ruleset=[], reinspect=False)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    _add_walk_command(commands)
    if not only_walk:
        # They bring the judge with them, which the first screen must not wait for.
        from walkthrough.cli_calc.command import add_calc_command
        from walkthrough.cli_plan import add_plan_command
        from walkthrough.cli_replay import add_replay_command
        from walkthrough.cli_rules import add_rules_command
        from walkthrough.cli_visits import add_visits_command

        add_replay_command(commands)
        add_plan_command(commands)
        add_visits_command(commands)
        add_rules_command(commands)
        add_calc_command(commands)
    return parser


def _add_walk_command(commands: Any) -> None:
    parser = commands.add_parser("walk", help="walk a dwelling in the app (also without a command)")
    parser.add_argument("session", nargs="?", type=Path, help="a saved session to go on with")
    parser.add_argument(
        "--ruleset",
        action="append",
        default=[],
        metavar="ID",
        help="ruleset for a new session; may be given several times",
    )
    parser.add_argument(
        "--reinspect",
        action="store_true",
        help="check the open deficiencies of SESSION, in a new record beside it",
    )


def _walk(chosen: argparse.Namespace) -> int:
    # Imported only here: headless commands must not wait for the app's library.
    from walkthrough.app.main import run, run_again

    if chosen.reinspect:
        return run_again(chosen.session)
    return run(chosen.session, chosen.ruleset)
