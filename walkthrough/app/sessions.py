"""The records of this user: where they are, which there are, and the demonstration house.

What loads rulesets and records is imported where it is used: the first screen does without.
"""

from __future__ import annotations

import datetime
import os
import re
from dataclasses import dataclass
from pathlib import Path

import platformdirs
import tomli

from walkthrough.report.text import clean
from walkthrough.rulebook.problems import Problem, Unusable, closest, nearest
from walkthrough.survey.record_files import may_be_record


@dataclass(frozen=True)
class Found:
    """A record in the user's folder."""

    path: Path
    title: str


@dataclass(frozen=True)
class Editions:
    """What can be judged by: titles by id; and what is wrong with the files that cannot be used."""

    titles: dict[str, str]
    problems: tuple[str, ...]


def folder() -> Path:
    """Where records are kept."""
    own = os.environ.get("WALKTHROUGH_SESSIONS")
    return Path(own) if own else platformdirs.user_data_path("walkthrough") / "sessions"


def found() -> list[Found]:
    """Every record there, the one changed last first; one that cannot be read keeps its name."""
    if not folder().is_dir():
        return []
    dated: list[tuple[float, Path]] = []
    for path in folder().glob("*.toml"):
        if not may_be_record(path):
            continue
        try:
            dated.append((path.stat().st_mtime, path))
        except OSError:
            continue
    newest_first = [path for _, path in sorted(dated, reverse=True)]
    return [Found(path, _title(path)) for path in newest_first]


def path_for(title: str) -> Path:
    """A new file for a record of that title, beside the others."""
    stem = "-".join(re.findall(r"[^\W_]+", title.lower()))[:60] or "walk"
    path, number = folder() / f"{stem}.toml", 2
    while path.exists():
        path, number = folder() / f"{stem}-{number}.toml", number + 1
    return path


def check_new(path: Path) -> None:
    """Raises Unusable where no record can be begun under the name of a file that is not there."""
    if path.suffix != ".toml":
        message = "there is no such file; expected the name of a record, which ends in .toml"
        raise Unusable([Problem(str(path), 0, 0, f"{message}{_meant(path)}")])
    # One new folder for records is made; more than one is rather a slip in the path.
    if not path.absolute().parent.parent.is_dir():
        message = "there is no such file, and no such folder in which it could be begun"
        raise Unusable([Problem(str(path), 0, 0, message)])


def told_of_new(path: Path) -> str:
    """That a file is not there, and what is done about it."""
    near = _meant(path) or "."
    return (
        f"There is no file {clean(path.name)}{clean(near)} A new record is begun under that name."
    )


def _meant(path: Path) -> str:
    near = closest(path.stem, (each.stem for each in path.absolute().parent.glob("*.toml")))
    return f"; did you mean {near}.toml?" if near else ""


def path_to_reinspect(old: Path, day: datetime.date) -> Path:
    """A new file for the re-inspection of a record on a day, beside it."""
    path, number = old.with_name(f"{old.stem}-{day}.toml"), 2
    while path.exists():
        path, number = old.with_name(f"{old.stem}-{day}-{number}.toml"), number + 1
    return path


def demonstration() -> Path | None:
    """The shipped demonstration record; None where none was shipped."""
    package = Path(__file__).resolve().parent.parent
    for shipped in (package / "shipped" / "sessions", package.parent / "sessions"):
        records = sorted(shipped.glob("*.toml")) if shipped.is_dir() else []
        if records:
            return records[0]
    return None


def own_demonstration() -> Path:
    """A copy of the demonstration in the user's folder; the shipped one is never written."""
    shipped = demonstration()
    if shipped is None:
        raise Unusable([Problem("sessions", 0, 0, "no demonstration house was found")])
    copy = folder() / shipped.name
    if not copy.exists():
        from walkthrough.survey import store

        store.save(store.load(shipped), copy)
    return copy


def editions() -> Editions:
    """The rulesets a dwelling can be judged by: those that extend another.

    Editions and their amendments come first, the newest at the top; then programmes and the like.

    Raises Unusable where there is none.
    """
    from walkthrough.rulebook.files import ruleset_files
    from walkthrough.rulebook.load import load

    fit: list[tuple[bool, str, str, str]] = []
    problems: list[Problem] = []
    for id in ruleset_files():
        try:
            book = load(id)
        except Unusable as error:
            problems += error.problems
            continue
        # A file that extends nothing is a base for others and judges by no edition.
        if len(book.chain) > 1 and book.rules:
            fit.append((bool(book.lineage), str(book.in_force_from or ""), id, book.title))
    if not fit:
        raise Unusable(problems or [Problem("rulesets", 0, 0, "no edition was found")])
    newest_first = {id: title for _, _, id, title in sorted(fit, reverse=True)}
    return Editions(newest_first, tuple(str(problem) for problem in problems))


def series() -> list[str]:
    """The series of editions among which can be looked up what was asked in a year."""
    from walkthrough.judge.under import series_files

    return sorted(series_files())


def check_edition(id: str) -> None:
    """Raises Unusable where a dwelling cannot be judged by a ruleset of that id."""
    titles = editions().titles
    if id in titles:
        return
    from walkthrough.rulebook.files import ruleset_files
    from walkthrough.rulebook.load import load

    if id in ruleset_files():
        # Where the file has a slip, that is what is told.
        load(id)
    expected = "expected an edition that a new walk can be judged by"
    raise Unusable([Problem("--ruleset", 0, 0, f"found '{id}'; {expected}; {nearest(id, titles)}")])


def _title(path: Path) -> str:
    """The title from the head of a record, without reading all of it."""
    try:
        with path.open(encoding="utf-8") as file:
            head = file.read(4096)
    except (OSError, UnicodeDecodeError):
        return "cannot be read"
    written = re.search(r'(?m)^title = "(?:[^"\\]|\\.)*"', head)
    try:
        return clean(tomli.loads(written[0])["title"]) if written else "cannot be read"
    except tomli.TOMLDecodeError:
        return "cannot be read"
