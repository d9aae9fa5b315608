"""The command line: parses arguments, prints, and turns problems into exit codes."""

from __future__ import annotations

import argparse
import io
import sys
from collections.abc import Callable, Sequence
from pathlib import Path
from typing import Any

from walkthrough import __version__
from walkthrough.cli_arguments import Parser
from walkthrough.rulebook.problems import Unusable

UNUSABLE = 2
STOPPED = 130
WALK = "walk"


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
    parser = _parser(arguments[0] if arguments else WALK)
    try:
        chosen = parser.parse_args(arguments)
        return int(chosen.run(chosen))
    except Unusable as error:
        print(error, file=sys.stderr)
        return UNUSABLE
    except BrokenPipeError:
        return 0
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        return STOPPED


def _parser(first: str) -> argparse.ArgumentParser:
    """The parser of the command that is asked for; of all where it is none, to tell which are.

    Each brings much with it, which no other has to wait for.
    """
    parser = Parser(prog="walkthrough")
    parser.add_argument("--version", action="version", version=__version__)
    parser.set_defaults(run=_walk, session=None, ruleset=[], reinspect=False)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND")
    for add in [_ADD[first]] if first in _ADD else _ADD.values():
        add(commands)
    return parser


def _add_walk_command(commands: Any) -> None:
    parser = commands.add_parser(WALK, help="walk a dwelling in the app (also without a command)")
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


def _add_replay_command(commands: Any) -> None:
    from walkthrough.cli_replay import add_replay_command

    add_replay_command(commands)


def _add_portfolio_command(commands: Any) -> None:
    from walkthrough.cli_portfolio import add_portfolio_command

    add_portfolio_command(commands)


def _add_plan_command(commands: Any) -> None:
    from walkthrough.cli_plan import add_plan_command

    add_plan_command(commands)


def _add_visits_command(commands: Any) -> None:
    from walkthrough.cli_visits import add_visits_command

    add_visits_command(commands)


def _add_rules_command(commands: Any) -> None:
    from walkthrough.cli_rules import add_rules_command

    add_rules_command(commands)


def _add_calc_command(commands: Any) -> None:
    from walkthrough.cli_calc.command import add_calc_command

    add_calc_command(commands)


_ADD: dict[str, Callable[[Any], None]] = {
    WALK: _add_walk_command,
    "replay": _add_replay_command,
    "portfolio": _add_portfolio_command,
    "plan": _add_plan_command,
    "compare": _add_visits_command,
    "rules": _add_rules_command,
    "calc": _add_calc_command,
}
