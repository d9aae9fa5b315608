"""The command line: parses arguments, prints, and turns problems into exit codes."""

from __future__ import annotations

import argparse
import sys
from collections.abc import Sequence

from walkthrough import __version__
from walkthrough.cli_replay import add_replay_command
from walkthrough.cli_rules import add_rules_command
from walkthrough.rulebook.problems import Unusable

UNUSABLE = 2


def main(arguments: Sequence[str] | None = None) -> int:
    """Run one command; returns the exit code."""
    parser = _parser()
    chosen = parser.parse_args(arguments)
    try:
        return int(chosen.run(chosen))
    except Unusable as error:
        print(error, file=sys.stderr)
        return UNUSABLE
    except BrokenPipeError:
        return 0


def _parser() -> argparse.ArgumentParser:
    parser = argparse.ArgumentParser(prog="walkthrough")
    parser.add_argument("--version", action="version", version=__version__)
    commands = parser.add_subparsers(title="commands", metavar="COMMAND", required=True)
    add_replay_command(commands)
    add_rules_command(commands)
    return parser
