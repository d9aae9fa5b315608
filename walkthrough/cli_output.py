"""Where the commands write to: the screen, or a file that is no record."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import TextIO

from walkthrough.rulebook.problems import Problem, Unusable


def refuse_to_write_over(sessions: Iterable[Path], out: Path | None) -> None:
    """Raise Unusable where the result would be written over a session."""
    if out is None:
        return
    for path in sessions:
        # A file that is not there cannot be written over.
        with contextlib.suppress(OSError):
            if path.samefile(out):
                message = f"is the session '{path}'; expected another file to write to"
                raise Unusable([Problem(str(out), 0, 0, message)])


@contextlib.contextmanager
def output(path: Path | None, newline: str | None = None) -> Iterator[TextIO]:
    """The file to write to, or the screen; raises Unusable where it cannot be written.

    `newline` is what `open` takes: "" writes line ends as they are.
    """
    if path is None:
        yield sys.stdout
        return
    try:
        with path.open("w", encoding="utf-8", newline=newline) as out:
            yield out
    except OSError as error:
        message = f"cannot be written: {(error.strerror or 'error').lower()}"
        raise Unusable([Problem(str(path), 0, 0, message)]) from None
