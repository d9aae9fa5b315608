"""Case files: their shape, and every slip in one told with its place."""

from __future__ import annotations

import contextlib
import datetime
import math
import sys
from collections.abc import Iterable, Iterator, Mapping
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError, model_validator

from walkthrough.rulebook.declarations import OUTCOMES, SEES, Confidence
from walkthrough.rulebook.files import CASES_SUFFIX, FORMAT, read_toml
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.locate import locate, locate_value
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.rulebook.validation import field_names, problems_from
from walkthrough.rulebook.words import Word
from walkthrough.survey.model import PANEL, Circuit, JudgedBy, Outlet, Panel, Room, Session, Trip
from walkthrough.survey.references import Slip, check_references
from walkthrough.survey.slips import slips

HERE = "here"
STRUCTURE = ("id", "fed_from", "side", "order_known_by")


class Case(BaseModel):
    """One situation. `given` holds words, flat or by the kind of subject they belong to.

    `wiring` lists outlets of the same circuit (their answers, and id, fed_from, side,
    order_known_by); the one with id `subject` is the outlet that is judged. `trips` is the
    trip-and-probe log. `expect_cites` are exactly the sections demanded within the topics of the
    expected rules; `expect_topics` the worst outcome in a topic; `waits_for` exactly the words or
    questions that an undecided outcome waits for.
    """

    model_config = ConfigDict(extra="forbid")

    @model_validator(mode="before")
    @classmethod
    def _wiring_may_stand_in_given(cls, data: Any) -> Any:
        given = data.get("given") if isinstance(data, dict) else None
        if (
            isinstance(given, dict)
            and isinstance(given.get("wiring"), list)
            and not data.get("wiring")
        ):
            rest = {word: value for word, value in given.items() if word != "wiring"}
            return {**data, "given": rest, "wiring": given["wiring"]}
        return data

    about: str
    ruleset: str = ""
    given: dict[str, Any]
    wiring: list[dict[str, Any]] = []
    trips: list[Trip] = []
    subject: str = HERE
    expect: dict[str, str] = {}
    expect_cites: list[str] | None = None
    expect_topics: dict[str, str] = {}
    waits_for: list[str] | None = None
    source: str = Field(min_length=1)
    confidence: Confidence | None = None


class CaseFile(BaseModel):
    """A file of cases; `ruleset` holds for every case that names none."""

    model_config = ConfigDict(extra="forbid")

    format: int = FORMAT
    ruleset: str = ""
    case: list[Case] = []


def read_cases(path: Path) -> tuple[CaseFile, str]:
    """A case file and its text; raises Unusable."""
    data, text = read_toml(path)
    found = data.get("format", FORMAT)
    if type(found) is not int or found != FORMAT:
        message = f"format is {found!r}; this program reads format {FORMAT}"
        raise Unusable([Problem(str(path), *locate(text, ("format",)), message)])
    try:
        cases = CaseFile.model_validate(data)
    except ValidationError as error:
        raise Unusable(problems_from(error, text, str(path), _fields_at)) from None
    if not cases.case:
        raise Unusable([Problem(str(path), 1, 1, "no [[case]] in this file")])
    return cases, text


def cases_beside(ruleset_path: Path) -> Path:
    """The case file that stands beside a ruleset file."""
    return ruleset_path.with_name(ruleset_path.stem + CASES_SUFFIX)


def flat(given: Mapping[str, Any]) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for word, value in given.items():
        if word in SEES and isinstance(value, dict):
            flat.update(value)
        else:
            flat[word] = value
    return flat


def meant(value: Any, word: Word | None) -> Any:
    """A value as its word takes it: one tag for a list, a date in quotes; None if unknown."""
    kind = word.kind if word is not None else "yes-no"
    match value:
        case "unknown":
            return None
        case "yes" | "no" if kind == "yes-no":
            return value == "yes"
        case str() if kind == "tags":
            return [value]
        case str() if kind == "date":
            with contextlib.suppress(ValueError):
                return datetime.date.fromisoformat(value)
    return value


def house_of(case: Case) -> Session:
    """The house of one circuit that a case is about, without answers.

    An outlet that is judged but stands in no wiring hangs on the panel.
    """
    outlets = [_outlet(each) for each in case.wiring]
    if not any(each.id == case.subject for each in outlets):
        outlets.append(_outlet({"id": case.subject}))
    return Session(
        title=case.about,
        judged_by=JudgedBy(ruleset=case.ruleset),
        panels=[Panel(id="P")],
        circuits=[Circuit(id="C", panel="P")],
        rooms=[Room(id="room", name="room")],
        outlets=outlets,
        trips=case.trips,
    )


def _outlet(given: Mapping[str, Any]) -> Outlet:
    hangs = {"id": HERE, "fed_from": PANEL, "side": "through", "order_known_by": "opened"}
    hangs |= {word: given[word] for word in STRUCTURE if word in given}
    return Outlet.model_validate({"room": "room", "circuit": "C", **hangs})


def _slips_in_wiring(case: Case) -> Iterator[Slip]:
    """What is wrong with how the outlets hang together, each with its path within the case."""
    found: list[Slip] = []
    parts: list[tuple[TomlPath, Mapping[str, Any]]] = [(("subject",), {"id": case.subject})]
    parts += [(("wiring", place), outlet) for place, outlet in enumerate(case.wiring)]
    for where, outlet in parts:
        try:
            _outlet(outlet)
        except ValidationError as error:
            is_subject = where == ("subject",)
            found += [
                (where if is_subject else (*where, *rest), message)
                for rest, message in slips(error)
            ]
    ids = [str(outlet.get("id", HERE)) for outlet in case.wiring]
    if not found and ids and case.subject not in (HERE, *ids):
        found.append((("subject",), f"no outlet '{case.subject}'; {nearest(case.subject, ids)}"))
    if found:
        yield from found
        return
    for (kind, *rest), message in check_references(house_of(case)):
        if kind == "trip":
            yield ("trips", *rest), message
        else:
            # One more outlet than the wiring has: the subject itself.
            is_listed = rest[0] in range(len(case.wiring))
            yield (("wiring", *rest) if is_listed else ("subject",)), message


def problems_of(case: Case, number: int, book: Rulebook, text: str, path: str) -> Iterable[Problem]:
    words = book.vocabulary

    def problem(where: TomlPath, message: str, *, value: bool = False) -> Problem:
        here: TomlPath = ("case", number)
        if where[:1] == ("wiring",) and locate(text, (*here, "wiring")) == locate(text, here):
            here = (*here, "given")
        find = locate_value if value else locate
        return Problem(path, *find(text, (*here, *where)), message)

    def check(
        where: TomlPath, word: str, value: Any, also: tuple[str, ...] = ()
    ) -> Iterable[Problem]:
        if word not in words.words and word not in words.terms:
            hint = nearest(word, [*words.names(), *also])
            yield problem(where, f"unknown word '{word}'; {hint}")
            return
        kind = words.words.get(word) or Word(word, "yes-no")
        slip = _misfit(meant(value, kind), kind)
        if slip:
            yield problem(where, f"'{word}': {slip}", value=True)

    for word, value in case.given.items():
        if word in SEES and isinstance(value, dict):
            for inner, each in value.items():
                yield from check(("given", word, inner), inner, each)
        else:
            yield from check(("given", word), word, value)
    for place, outlet in enumerate(case.wiring):
        for word, value in outlet.items():
            if word not in STRUCTURE:
                yield from check(("wiring", place, word), word, value, STRUCTURE)
    for where, message in _slips_in_wiring(case):
        yield problem(where, message, value=True)
    for name, outcome in case.expect.items():
        if name not in book.rules:
            yield problem(("expect", name), f"no rule '{name}'; {nearest(name, book.rules)}")
        if outcome not in OUTCOMES:
            hint = nearest(outcome, OUTCOMES)
            yield problem(("expect", name), f"'{outcome}' is no outcome; {hint}", value=True)
    for topic, outcome in case.expect_topics.items():
        if topic not in book.topics:
            hint = nearest(topic, book.topics)
            yield problem(("expect_topics", topic), f"no topic '{topic}'; {hint}")
        if outcome not in OUTCOMES:
            hint = nearest(outcome, OUTCOMES)
            yield problem(("expect_topics", topic), f"'{outcome}' is no outcome; {hint}")
    if not (case.expect or case.expect_topics or case.expect_cites is not None):
        yield problem((), "expects nothing: add expect, expect_topics or expect_cites")


def _misfit(value: Any, word: Word) -> str:
    """What is wrong with a value given for a word, or nothing."""
    match word.kind:
        case _ if value is None:
            return ""
        case "yes-no":
            return "" if isinstance(value, bool) else f"found {value!r}; expected true or false"
        case "number":
            if isinstance(value, bool) or not isinstance(value, int | float):
                return f"found {value!r}; expected a number"
            return _out_of_range(value, word)
        case "date":
            fits = isinstance(value, datetime.date) and not isinstance(value, datetime.datetime)
            return "" if fits else f"found {value!r}; expected a date such as 2026-09-01"
        case "tags":
            if not isinstance(value, list):
                return f"found {value!r}; expected a list of words"
            wrong = [str(each) for each in value if str(each) not in word.choices]
            return f"unknown '{wrong[0]}'; {nearest(wrong[0], word.choices)}" if wrong else ""
        case "choice":
            if isinstance(value, str) and value in word.choices:
                return ""
            return f"unknown choice {value!r}; {nearest(str(value), word.choices)}"
        case _:
            return "" if isinstance(value, str) else f"found {value!r}; expected a text"


def _out_of_range(value: float, word: Word) -> str:
    if value == math.inf and word.may_be_none:
        return ""
    low = -math.inf if word.minimum is None else word.minimum
    high = math.inf if word.maximum is None else word.maximum
    if abs(value) <= sys.float_info.max and low <= value <= high:
        return ""
    none = ", or inf for none" if word.may_be_none else ""
    return f"found {value!r}; expected a number from {low:g} to {high:g}{none}"


def _fields_at(path: TomlPath) -> tuple[str, ...]:
    if not path:
        return field_names(CaseFile)
    if len(path) == 2:
        return field_names(Case)
    return field_names(Trip) if path[2] == "trips" else ()
