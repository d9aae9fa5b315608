"""Writes a record as TOML in one fixed form, so that equal records are equal files.

The form is written here and not by a general TOML writer: such writers choose between a table and
an inline table by length, and one more answer would turn the look of a whole list.
"""

from __future__ import annotations

import datetime
import functools
import json
import math
import re
from collections.abc import Iterable, Iterator, Mapping
from typing import Any, NamedTuple

from pydantic import BaseModel
from pydantic.fields import FieldInfo

from walkthrough.survey.model import Session, Subject

_BARE_KEY = re.compile(r"[A-Za-z0-9_-]+")
# Fields that are written even where they hold their usual value: a reader looks for them.
_ALWAYS = frozenset({"format", "state"})
# What every subject has in common stands after what makes it what it is.
_COMMON = tuple(name for name in Subject.model_fields if name != "id")


def as_toml(session: Session) -> str:
    """The record as text; raises TypeError or ValueError for a value that no record can hold."""
    return "\n".join(_table(session, "")).strip("\n") + "\n"


def key_of(name: str, field: FieldInfo) -> str:
    """How a field is called in the file: a list of outlets is written as `[[outlet]]` tables."""
    return field.validation_alias if isinstance(field.validation_alias, str) else name


def written(value: Any) -> str:
    """One value as TOML."""
    # A yes or no is a number to Python, so it is looked at first.
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        # JSON escapes are TOML escapes; only DEL passes JSON unescaped and is refused by TOML.
        return json.dumps(value, ensure_ascii=False).replace("\x7f", "\\u007f")
    if isinstance(value, int):
        return str(value)
    if isinstance(value, float) and not math.isnan(value):
        return repr(value)
    if isinstance(value, datetime.date) and not isinstance(value, datetime.datetime):
        return value.isoformat()
    if isinstance(value, list) and all(isinstance(each, str) for each in value):
        return f"[{', '.join(map(written, value))}]"
    raise TypeError(f"a record cannot hold {value!r}")


class _Plan(NamedTuple):
    """The fields of a kind of part as (name, key, usual value), in the order they are written."""

    plain: list[tuple[str, str, Any]]
    nested: list[tuple[str, str]]


@functools.cache
def _plan(kind: type[BaseModel]) -> _Plan:
    fields = kind.model_fields
    own = [name for name in fields if name not in _COMMON]
    plan = _Plan([], [])
    for name in (*own, *(name for name in _COMMON if name in fields)):
        field = fields[name]
        shape = str(field.annotation)
        if shape.startswith("dict") or "walkthrough" in shape:
            plan.nested.append((name, key_of(name, field)))
        else:
            usual = ... if name in _ALWAYS else field.get_default(call_default_factory=True)
            plan.plain.append((name, key_of(name, field), usual))
    # Answers and readings stand right under the part they belong to, further tables after them.
    plan.nested.sort(key=lambda pair: pair[0] not in _COMMON)
    return plan


def _table(part: BaseModel, path: str) -> Iterator[str]:
    """The lines of a part and of everything in it; `path` is its heading, "" for the whole file."""
    plan = _plan(type(part))
    for name, key, usual in plan.plain:
        value = getattr(part, name)
        if value != usual:
            yield f"{key} = {written(value)}"
    for name, key in plan.nested:
        below = f"{path}.{key}" if path else key
        value = getattr(part, name)
        if isinstance(value, BaseModel):
            lines = list(_table(value, below))
            if lines and lines[0]:
                yield from ("", f"[{below}]")
            yield from lines
        elif isinstance(value, Mapping):
            yield from _answers(value, below)
        else:
            yield from _list(value, below)


def _answers(answers: Mapping[str, Any], path: str) -> Iterator[str]:
    if answers:
        yield from ("", f"[{path}]")
    for question in sorted(answers):
        key = question if _BARE_KEY.fullmatch(question) else written(question)
        yield f"{key} = {written(answers[question])}"


def _list(parts: Iterable[BaseModel], path: str) -> Iterator[str]:
    for part in parts:
        yield from ("", f"[[{path}]]")
        yield from _table(part, path)
