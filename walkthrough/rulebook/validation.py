"""Turns a model's complaints about a TOML file into problems with line, column and a hint."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from typing import Any

from pydantic import BaseModel, ValidationError

from walkthrough.rulebook.locate import Path, locate, locate_value
from walkthrough.rulebook.problems import Problem, nearest

FieldsAt = Callable[[Path], Iterable[str]]


def problems_from(
    error: ValidationError, text: str, file: str, fields_at: FieldsAt
) -> list[Problem]:
    """One problem per complaint; `fields_at(path)` tells which keys a table may have."""
    return [_problem(dict(each), text, file, fields_at) for each in error.errors()]


def field_names(model: type[BaseModel]) -> tuple[str, ...]:
    """The keys that a table of this model may have."""
    return tuple(info.alias or name for name, info in model.model_fields.items())


def _problem(each: Mapping[str, Any], text: str, file: str, fields_at: FieldsAt) -> Problem:
    path: Path = tuple(each["loc"])
    where = " ".join(f"'{part}'" if isinstance(part, str) else f"no {part + 1}" for part in path)
    found = each.get("input")
    kind = each["type"]
    if kind == "missing":
        message = f"{_table(path[:-1])} lacks '{path[-1]}'"
        return Problem(file, *locate(text, path[:-1]), message)
    if kind == "extra_forbidden":
        hint = nearest(str(path[-1]), fields_at(path[:-1]))
        message = f"{_table(path[:-1])} cannot have '{path[-1]}'; {hint}"
        return Problem(file, *locate(text, path), message)
    if kind == "literal_error":
        # The expected list comes as "'a', 'b' or 'c'".
        choices = str(each.get("ctx", {}).get("expected", "")).replace(" or ", ", ").split(", ")
        hint = nearest(str(found), (choice.strip("'") for choice in choices))
        message = f"{where} is {_shown(found)}, which is not one of its words; {hint}"
        return Problem(file, *locate_value(text, path), message)
    complaint = each["msg"].removeprefix("Value error, ").lower()
    if kind in ("model_type", "dict_type"):
        # The complaint names the program's own types.
        complaint = "expected a table"
    message = f"{where}: found {_shown(found)}; {complaint}"
    return Problem(file, *locate(text, path), message)


def _shown(found: Any) -> str:
    text = repr(found)
    return text if len(text) <= 80 else f"{text[:77]}..."


def _table(path: Path) -> str:
    if not path:
        return "the file"
    named = " ".join(f"'{part}'" if isinstance(part, str) else f"no {part + 1}" for part in path)
    return f"the table {named}"
