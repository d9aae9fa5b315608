"""Writes a record as TOML in one fixed form, so that equal records are equal files.

The order of the tables is set here; what is in one table is written by tomli_w. Given whole, it
would choose between tables and inline tables by length, and one more answer would turn the look
of a whole list.
"""

from __future__ import annotations

import functools
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, NamedTuple

import tomli_w
from pydantic import BaseModel
from pydantic.fields import FieldInfo

from walkthrough.survey.model import Session, Subject

# Fields that are written even where they hold their usual value: a reader looks for them.
_ALWAYS = frozenset({"format", "state"})
_MOST_WRITTEN = 8192
# What every subject has in common stands after what makes it what it is.
_COMMON = tuple(name for name in Subject.model_fields if name != "id")


def as_toml(session: Session, changed: Subject | None = None) -> str:
    """The record as text; raises TypeError or ValueError for a value that no record can hold.

    `changed` is given where it is the only subject that may be another one than when the record
    was written last: to look at all of them takes long in a large record.
    """
    return "\n".join(_table(session, "", changed)).strip("\n") + "\n"


def key_of(name: str, field: FieldInfo) -> str:
    """How a field is called in the file: a list of outlets is written as `[[outlet]]` tables."""
    return field.validation_alias if isinstance(field.validation_alias, str) else name


def written(value: Any) -> str:
    """One value as TOML on one line, for messages."""
    text = tomli_w.dumps({"value": value}).removeprefix("value = ").strip("\n")
    return text if not isinstance(value, list) else " ".join(text.split())


class _Plan(NamedTuple):
    """The fields of a kind of part as (name, key, usual value), in the order they are written."""

    plain: list[tuple[str, str, Any]]
    nested: list[tuple[str, str]]


class _Written(NamedTuple):
    """A part, how it was when it was written, and what was written."""

    part: BaseModel
    """It is held, so that no other one can have its number."""
    state: dict[str, Any]
    kinds: list[type]
    text: str

    def holds(self) -> bool:
        """Whether the part is as it was."""
        return self.state == self.part.__dict__ and self.kinds == _kinds(self.part)


class _Listed(NamedTuple):
    """A list of subjects as it was written last, and where in it each of them stands."""

    parts: list[Subject]
    texts: list[str]
    places: dict[int, int]


# Of a record that is saved after each answer, all parts but one are as they were.
_written: dict[tuple[str, int], _Written] = {}
_listed: dict[str, _Listed] = {}


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


def _table(part: BaseModel, path: str, changed: Subject | None = None) -> Iterator[str]:
    """The text of a part and of everything in it, table by table; `path` is its heading."""
    plan = _plan(type(part))
    values = ((key, getattr(part, name), usual) for name, key, usual in plan.plain)
    yield from _lines({key: value for key, value, usual in values if value != usual})
    for name, key in plan.nested:
        below = f"{path}.{key}" if path else key
        value = getattr(part, name)
        if isinstance(value, BaseModel):
            text = _text(value, below, may_differ=True, is_alone=True)
            if text:
                yield text
        elif isinstance(value, Mapping):
            yield from _answers(value, below)
        elif changed is None or not _stands_as_written(value, below):
            yield from _list(value, below, changed)
        else:
            yield from _list_with(changed, below)


def _answers(answers: Mapping[str, Any], path: str) -> Iterator[str]:
    if answers:
        yield from ("", f"[{path}]")
    yield from _lines(dict(sorted(answers.items())))


def _list(parts: Sequence[BaseModel], path: str, changed: Subject | None) -> list[str]:
    texts = []
    for part in parts:
        may_differ = changed is None or part is changed or not isinstance(part, Subject)
        texts.append(_text(part, path, may_differ))
    if isinstance(parts, list) and parts and isinstance(parts[0], Subject):
        _listed[path] = _Listed(parts, texts, {id(each): at for at, each in enumerate(parts)})
    return texts


def _stands_as_written(parts: object, path: str) -> bool:
    """Whether a list of subjects is the one that was written last, so that only one may differ."""
    known = _listed.get(path)
    return known is not None and known.parts is parts and len(known.parts) == len(known.texts)


def _list_with(changed: Subject, path: str) -> list[str]:
    known = _listed[path]
    at = known.places.get(id(changed))
    if at is not None and known.parts[at] is changed:
        known.texts[at] = _text(changed, path, may_differ=True)
    return known.texts


def _text(part: BaseModel, path: str, may_differ: bool, is_alone: bool = False) -> str:
    known = _written.get((path, id(part)))
    if known is None or (may_differ and not known.holds()):
        if len(_written) >= _MOST_WRITTEN:
            _written.clear()
        lines = list(_table(part, path))
        if not is_alone:
            lines[:0] = "", f"[[{path}]]"
        elif lines and lines[0]:
            lines[:0] = "", f"[{path}]"
        text = "\n".join(lines)
        known = _Written(part, _as_it_is(part.__dict__), _kinds(part), text)
        _written[path, id(part)] = known
    return known.text


def _kinds(part: BaseModel) -> list[type]:
    """What tells True from 1 and 1 from 1.0, which are equal and yet written otherwise."""
    if not isinstance(part, Subject):
        return []
    return [*map(type, part.answers.values()), *map(type, part.readings.values())]


def _as_it_is(value: Any) -> Any:
    """A copy that does not change when the record does."""
    if isinstance(value, dict):
        return {key: _as_it_is(each) for key, each in value.items()}
    if isinstance(value, list):
        return [_as_it_is(each) for each in value]
    return value.model_copy(deep=True) if isinstance(value, BaseModel) else value


def _lines(values: Mapping[str, Any]) -> Iterator[str]:
    for value in values.values():
        # TOML knows nan, but no reading is one, and the record would not load again.
        if isinstance(value, float) and math.isnan(value):
            raise ValueError("a record cannot hold nan")
    if values:
        yield tomli_w.dumps(values).removesuffix("\n")
