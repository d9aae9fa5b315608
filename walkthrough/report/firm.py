"""The firm that puts its name under a report, from a TOML file of its own."""

from __future__ import annotations

from pathlib import Path

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from walkthrough.rulebook.files import read_toml
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.validation import field_names, problems_from

FORMAT = 1


class Firm(BaseModel):
    """Name, licence number, lines to reach it, and sentences that stand in each of its reports."""

    model_config = ConfigDict(extra="forbid", frozen=True, strict=True)

    format: int
    name: str = Field(min_length=1)
    licence: str = ""
    contact: list[str] = []
    sentences: list[str] = []


def load_firm(path: Path) -> Firm:
    """Read the file of a firm; raises Unusable with the place of every slip."""
    data, text = read_toml(path)
    if data.get("format", FORMAT) != FORMAT:
        message = f"format is {data['format']!r}; this program reads format {FORMAT}"
        raise Unusable([Problem(str(path), *locate(text, ("format",)), message)])
    try:
        return Firm.model_validate(data)
    except ValidationError as error:
        raise Unusable(problems_from(error, text, str(path), _fields_at)) from None


def _fields_at(path: TomlPath) -> tuple[str, ...]:
    return () if path else field_names(Firm)
