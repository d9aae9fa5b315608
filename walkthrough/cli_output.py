"""Where the commands write to: the screen, or a file that is no record."""

from __future__ import annotations

import contextlib
import sys
from collections.abc import Iterable, Iterator
from pathlib import Path
from typing import BinaryIO, TextIO

from walkthrough.rulebook.problems import Problem, Unusable, clean


def tell(line: str) -> None:
    """Print one line; what it quotes of a file cannot steer the terminal."""
    print(clean(line))


def refuse_to_write_over(
    sessions: Iterable[Path], *outs: Path | None, others: Iterable[Path | str | None] = ()
) -> None:
    """Raise Unusable where a result would be written over a session or another file of rules.

    `others` are further files that were named: prices, a firm, rulesets.
    """
    there = {_file(Path(path)): f"is '{path}', which is read here" for path in others if path}
    there |= {_file(path): f"is the session '{path}'" for path in sessions}
    # A file that is not there cannot be written over.
    there.pop(None, None)
    for out in outs:
        if out is None:
            continue
        told = there.get(_file(out), "")
        if not told and _is_toml(out):
            # No result is TOML: this is the record of another house or its last copy, or rules.
            told = "is a TOML file, such as a record"
        if told:
            message = f"{told}; expected another file to write to"
            raise Unusable([Problem(str(out), 0, 0, message)])


def _file(path: Path) -> tuple[int, int] | None:
    """What is the same for all names of one file; None for a file that is not there."""
    with contextlib.suppress(OSError, ValueError):
        status = path.stat()
        return status.st_dev, status.st_ino
    return None


def _is_toml(path: Path) -> bool:
    with contextlib.suppress(OSError, ValueError, RuntimeError):
        return path.is_file() and ".toml" in path.resolve().suffixes
    return False


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
        raise _not_written(path, error) from None


@contextlib.contextmanager
def binary_output(path: Path) -> Iterator[BinaryIO]:
    """The file to write bytes to; raises Unusable where it cannot be written."""
    try:
        with path.open("wb") as out:
            yield out
    except OSError as error:
        raise _not_written(path, error) from None


def _not_written(path: Path, error: OSError) -> Unusable:
    message = f"cannot be written: {(error.strerror or 'error').lower()}"
    return Unusable([Problem(str(path), 0, 0, message)])
