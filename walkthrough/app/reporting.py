"""Writes a report of an open record to a file, where it holds nothing up."""

from __future__ import annotations

import contextlib
import itertools
import os
import stat
import tempfile
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path

from walkthrough.cli_report import made_document, pdf_page, text_page
from walkthrough.judge.under import judge_under
from walkthrough.report.firm import load_firm
from walkthrough.report.seal import is_as_written
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Session

FORMS = ("html", "pdf")


@dataclass(frozen=True)
class Asked:
    """A report to write: of which record, for whom, in which form, into which folder.

    `firm` and `prices` are files; without them it bears no name, and has the figures that are
    shipped.
    """

    record: Path
    reader: str
    form: str
    folder: Path
    firm: Path | None = None
    prices: Path | None = None

    @property
    def path(self) -> Path:
        """Where it goes, if nothing else stands there."""
        return self.folder / f"{self.record.stem}-{self.reader}.{self.form}"


def write_report(
    asked: Asked, session: Session, books: Sequence[Rulebook], editions: Sequence[Rulebook]
) -> Path:
    """Write the report, and say where it is; `session` is only read. Raises Unusable.

    A page that was written like this before is replaced. Anything else that stands there stays: the
    report then has a number in its name.
    """
    judged = judge_under(session, books, editions)
    firm = load_firm(asked.firm) if asked.firm is not None else None
    document = made_document(judged, asked.record, asked.reader, asked.prices, firm)
    if asked.form == "pdf":
        data = pdf_page(document)
    else:
        data = text_page("html", document).encode("utf-8")
    try:
        path = free_path(asked.path)
        _put(path, data)
    except OSError as error:
        message = f"cannot be written: {(error.strerror or 'error').lower()}"
        raise Unusable([Problem(str(asked.path), 0, 0, message)]) from None
    return path


def free_path(path: Path) -> Path:
    """The path itself, or with a number where a file is that nobody wants to lose; OSError."""
    numbered = (path.with_stem(f"{path.stem}-{number}") for number in itertools.count(2))
    for each in itertools.chain([path], numbered):
        # A link may lead to something else that is wanted.
        if not os.path.lexists(each) or (
            not each.is_symlink() and each.is_file() and is_as_written(each)
        ):
            return each
    raise AssertionError("there is always a next number")


def _mode(path: Path) -> int:
    """The permissions that an ordinary write would leave: of the file there, else of a new one."""
    with contextlib.suppress(OSError):
        return stat.S_IMODE(path.stat().st_mode)
    # There is no other way to ask for it; nothing else writes a file in that moment that matters.
    umask = os.umask(0o022)
    os.umask(umask)
    return 0o666 & ~umask


def _put(path: Path, data: bytes) -> None:
    """The file is there whole or not at all."""
    with tempfile.NamedTemporaryFile(dir=path.parent, prefix=f".{path.name}.", delete=False) as new:
        temporary = Path(new.name)
        try:
            new.write(data)
            new.close()
            temporary.chmod(_mode(path))
            temporary.replace(path)
        except BaseException:
            new.close()
            temporary.unlink(missing_ok=True)
            raise
