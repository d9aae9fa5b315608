"""Finds and reads ruleset files, and follows `extends` down to the base."""

from __future__ import annotations

import functools
import os
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Any

import platformdirs
import tomli
from pydantic import BaseModel, ValidationError

from walkthrough.rulebook import declarations as declared
from walkthrough.rulebook.declarations import RulesetDeclared
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.locate import decode_error_point, locate, locate_value
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.validation import field_names, problems_from

FORMAT = 1
MAX_BYTES = 4_000_000
MAX_EXTENDS = 20
CASES_SUFFIX = ".cases.toml"


def ruleset_folders() -> list[Path]:
    """Where rulesets are looked for: the user's own folder first, then the shipped ones."""
    own = os.environ.get("WALKTHROUGH_RULESETS")
    user = Path(own) if own else platformdirs.user_data_path("walkthrough") / "rulesets"
    package = Path(__file__).resolve().parent.parent
    return [user, package / "shipped" / "rulesets", package.parent / "rulesets"]


def ruleset_files(folders: Sequence[Path] | None = None) -> dict[str, Path]:
    """All ruleset ids with their files; a file in an earlier folder hides a later one."""
    found: dict[str, Path] = {}
    for folder in folders if folders is not None else ruleset_folders():
        if folder.is_dir():
            for path in sorted(folder.glob("*.toml")):
                if not path.name.endswith(CASES_SUFFIX):
                    found.setdefault(path.stem, path)
    return found


@dataclass(frozen=True, eq=False)
class RulesetFile:
    """One ruleset file as read, with its text for the place of a slip.

    The same content is read once only, so one such object stands for it. What cannot be read of
    it stands in `slips` and is left out; `broken` names those words and rules, which others may
    name all the same.
    """

    path: Path
    text: str
    ruleset: RulesetDeclared
    slips: tuple[Problem, ...] = ()
    broken: frozenset[str] = frozenset()

    def problem(self, path: TomlPath, message: str) -> Problem:
        return Problem(str(self.path), *locate(self.text, path), message)

    def problem_in(self, path: TomlPath, offset: int, message: str) -> Problem:
        return Problem(str(self.path), *locate_value(self.text, path, offset), message)


def read_chain(ruleset: str, files: Mapping[str, Path]) -> list[RulesetFile]:
    """The file of a ruleset and all that it extends, the base first; raises Unusable."""
    chain: list[RulesetFile] = []
    seen: list[str] = []
    wanted = ruleset
    while wanted:
        if wanted in seen:
            circle = " -> ".join([*seen[seen.index(wanted) :], wanted])
            raise Unusable(
                [chain[-1].problem(("extends",), f"'extends' goes in a circle: {circle}")]
            )
        if len(seen) >= MAX_EXTENDS:
            raise Unusable([chain[-1].problem(("extends",), f"more than {MAX_EXTENDS} levels")])
        if wanted not in files:
            hint = nearest(wanted, files)
            message = f"extends '{wanted}', which is not there; {hint}"
            raise Unusable([chain[-1].problem(("extends",), message)])
        seen.append(wanted)
        read = _read(files[wanted])
        if read.ruleset.id != wanted:
            message = f"id is '{read.ruleset.id}' but the file is named '{wanted}.toml'"
            raise Unusable([read.problem(("id",), message)])
        chain.append(read)
        wanted = read.ruleset.extends
    return chain[::-1]


def _read(path: Path) -> RulesetFile:
    try:
        content = _bytes(path)
    except OSError as error:
        raise _unreadable(path, error) from None
    return _read_content(path, content)


@functools.lru_cache(maxsize=64)
def _read_content(path: Path, content: bytes) -> RulesetFile:
    data, text = _tables(path, content)
    if data.get("format", FORMAT) != FORMAT:
        message = f"format is {data['format']!r}; this program reads format {FORMAT}"
        raise Unusable([Problem(str(path), *locate(text, ("format",)), message)])
    try:
        return RulesetFile(path, text, RulesetDeclared.model_validate(data))
    except ValidationError as error:
        slips = problems_from(error, text, str(path), _fields_at)
        rest, broken = _rest(data, error)
        try:
            return RulesetFile(
                path, text, RulesetDeclared.model_validate(rest), tuple(slips), broken
            )
        except ValidationError:
            raise Unusable(slips) from None


def _rest(data: dict[str, Any], error: ValidationError) -> tuple[dict[str, Any], frozenset[str]]:
    """What is left of a file without the tables that have a slip, and the names of those."""
    rest = {key: dict(each) if isinstance(each, dict) else each for key, each in data.items()}
    broken: set[str] = set()
    for each in error.errors():
        if not each["loc"]:
            continue
        first, *more = each["loc"]
        inside = rest.get(str(first))
        if more and isinstance(inside, dict):
            inside.pop(str(more[0]), None)
            broken.add(str(more[0]))
        elif each["type"] != "missing":
            rest.pop(str(first), None)
    return rest, frozenset(broken)


def read_toml(path: Path) -> tuple[dict[str, Any], str]:
    """The tables of a TOML file and its text; raises Unusable with the place of a slip."""
    try:
        content = _bytes(path)
    except OSError as error:
        raise _unreadable(path, error) from None
    return _tables(path, content)


def _unreadable(path: Path, error: OSError) -> Unusable:
    message = f"cannot be read: {(error.strerror or str(error)).lower()}"
    return Unusable([Problem(str(path), 0, 0, message)])


def _tables(path: Path, content: bytes) -> tuple[dict[str, Any], str]:
    name = str(path)
    try:
        text = content.decode("utf-8")
        return tomli.loads(text.replace("\r\n", "\n")), text
    except UnicodeDecodeError as error:
        line = error.object[: error.start].count(b"\n") + 1
        raise Unusable([Problem(name, line, 1, "not UTF-8 text")]) from None
    except tomli.TOMLDecodeError as error:
        said = str(error).partition(" (at ")[0]
        line, column = decode_error_point(error)
        if not line:
            line = text.count("\n") + 1
        problem = Problem(name, line, max(column, 1), f"not valid TOML: {said.lower()}")
        raise Unusable([problem]) from None
    except RecursionError:
        raise Unusable([Problem(name, 1, 1, "nested too deep")]) from None
    except ValueError:
        # What the standard library says of a whole number of thousands of digits.
        raise Unusable([Problem(name, 1, 1, "holds a number that is too long")]) from None


def _bytes(path: Path) -> bytes:
    # Looked at before it is opened: a pipe would wait for a writer, and a device never end.
    if path.exists() and not path.is_file():
        raise OSError("it is not a regular file")
    with path.open("rb") as file:
        data = file.read(MAX_BYTES + 1)
    if len(data) > MAX_BYTES:
        raise OSError(f"it is larger than {MAX_BYTES} bytes")
    return data


_MODELS: Mapping[str, type[BaseModel]] = {
    "question": declared.Question,
    "table": declared.TableDeclared,
    "gather": declared.Gather,
    "demand": declared.Demand,
    "rule": declared.RuleDeclared,
    "caveat": declared.CaveatDeclared,
    "danger": declared.DangerDeclared,
    "explained": declared.Explained,
    "as_built": declared.AsBuilt,
    "room_template": declared.RoomTemplate,
}


def _fields_at(path: TomlPath) -> tuple[str, ...]:
    if not path:
        return field_names(RulesetDeclared)
    if len(path) > 2 and path[0] in ("rule", "as_built"):
        inner: dict[str, type[BaseModel]] = {
            "years": declared.YearFrom,
            "grade": declared.Grade,
            "deadlines": declared.Deadline,
            "unexercised": declared.Unexercised,
            "exceptions": declared.ExceptionDeclared,
            "disputed": declared.Dispute,
        }
        return field_names(inner[str(path[2])]) if path[2] in inner else ()
    model = _MODELS.get(str(path[0]))
    return field_names(model) if model else ()
