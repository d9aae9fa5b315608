"""A parser of arguments that tells a slip in one line, with the nearest option or word."""

from __future__ import annotations

import argparse
import re
from typing import Any, NoReturn

from walkthrough.rulebook.problems import Problem, Unusable, nearest

_CHOICE = re.compile(r"(argument [^:]*: )?invalid choice: '?([^' ]*)'? \(choose from ([^)]*)\)")


def wrong(option: str, message: str) -> Unusable:
    """A slip in an option, as it is told."""
    return Unusable([Problem(option, 0, 0, message)])


class Parser(argparse.ArgumentParser):
    """Raises Unusable where the standard library would print the usage and leave the program."""

    def __init__(self, *arguments: Any, **options: Any) -> None:
        # What is a beginning of one option today may be that of two tomorrow.
        options.setdefault("allow_abbrev", False)
        super().__init__(*arguments, **options)

    def error(self, message: str) -> NoReturn:
        """Tell the slip."""
        choice = _CHOICE.search(message)
        if choice:
            known = re.findall(r"[\w./-]+", choice[3])
            message = f"{choice[1] or ''}found '{choice[2]}'; {nearest(choice[2], known)}"
        message = re.sub(r"^argument (-\S+?)(?:/\S+)?: ", r"\1: ", message)
        message = re.sub(r"^argument [A-Z]+: ", "", message)
        raise wrong(self.prog.removeprefix("walkthrough "), message)

    def parse_known_args(self, args: Any = None, namespace: Any = None) -> Any:
        """Refuse what is not known here, where the nearest option can still be named."""
        found, rest = super().parse_known_args(args, namespace)
        if rest:
            word = rest[0].partition("=")[0]
            hint = "no more was expected, or it lacks its option"
            if word.startswith("-"):
                options = (each for each in self._option_string_actions if each.startswith("--"))
                hint = nearest(word, options)
            self.error(f"found '{rest[0]}'; {hint}")
        return found, rest
