"""Puts what pydantic found wrong with a record into words for the person who mends it."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any, get_args

from pydantic import BaseModel, ValidationError
from pydantic_core import ErrorDetails

from walkthrough.rulebook.problems import nearest
from walkthrough.survey.canonical import key_of, written
from walkthrough.survey.model import Session
from walkthrough.survey.references import Path, Slip

_EXPECTED = {
    "string_type": "a text in quotes",
    "int_type": "a whole number",
    "bool_type": "true or false",
    "date_type": "a date such as 2026-11-10, without quotes",
    "list_type": "a list",
    "dict_type": "a table",
    "model_type": "a table",
}


def slips(error: ValidationError) -> Iterator[Slip]:
    """Each slip with its place in the file."""
    for each in error.errors(include_url=False):
        yield each["loc"], _message(each)


def _message(error: ErrorDetails) -> str:
    last = error["loc"][-1] if error["loc"] else "the record"
    context = error.get("ctx", {})
    match error["type"]:
        case "missing":
            return f"'{last}' is missing here; expected it to be given"
        case "extra_forbidden":
            hint = nearest(str(last), _words(error["loc"][:-1]))
            return f"'{last}' is not known here; expected a word of the record; {hint}"
        case "literal_error":
            expected = context["expected"]
            hint = nearest(str(error["input"]), re.findall("'([^']*)'", expected))
            return f"{last}: found {_shown(error['input'])}; expected {expected}; {hint}"
        case "value_error":
            return f"{last}: found {_shown(error['input'])}; {context['error']}"
        case kind:
            expected = _EXPECTED.get(kind, error["msg"][:1].lower() + error["msg"][1:])
            return f"{last}: found {_shown(error['input'])}; expected {expected}"


def _shown(value: Any) -> str:
    if isinstance(value, dict):
        return "a table"
    try:
        text = written(value)
    except TypeError:
        text = str(value)
    return text if len(text) <= 60 else f"{text[:57]}..."


def _words(path: Path) -> list[str]:
    """What may be written in the table at a path."""
    model: type[BaseModel] = Session
    for step in path:
        for name, field in model.model_fields.items():
            if key_of(name, field) == step:
                kinds = (field.annotation, *get_args(field.annotation))
                models = [k for k in kinds if isinstance(k, type) and issubclass(k, BaseModel)]
                if models:
                    model = models[0]
    return [key_of(name, field) for name, field in model.model_fields.items()]
