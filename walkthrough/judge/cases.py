"""Runs rule cases: small situations with the outcome that each rule must give."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from pydantic import BaseModel, ConfigDict, Field, ValidationError

from walkthrough.judge.house import House
from walkthrough.rulebook.decide import Decision, decide
from walkthrough.rulebook.declarations import OUTCOMES, SEES, Confidence
from walkthrough.rulebook.load import CASES_SUFFIX, load, read_toml
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.locate import locate, locate_value
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.rulebook.situation import Situation
from walkthrough.rulebook.validation import field_names, problems_from
from walkthrough.rulebook.words import Word
from walkthrough.survey.model import (
    Circuit,
    JudgedBy,
    Outlet,
    Panel,
    Room,
    Session,
    Trip,
    Visit,
)

_SUBJECT = "here"
_STRUCTURE = ("id", "fed_from", "side", "order_known_by")


class Case(BaseModel):
    """One situation. `given` holds words, flat or by the kind of subject they belong to.

    `wiring` lists outlets of the same circuit (their answers, and id, fed_from, side,
    order_known_by); the one with id `subject` is the outlet that is judged. `trips` is the
    trip-and-probe log. `expect_cites` are exactly the sections demanded within the topics of the
    expected rules; `expect_topics` the worst outcome in a topic; `waits_for` exactly the words or
    questions that an undecided outcome waits for.
    """

    model_config = ConfigDict(extra="forbid")

    about: str
    ruleset: str = ""
    given: dict[str, Any]
    wiring: list[dict[str, Any]] = []
    trips: list[Trip] = []
    subject: str = _SUBJECT
    expect: dict[str, str] = {}
    expect_cites: list[str] | None = None
    expect_topics: dict[str, str] = {}
    waits_for: list[str] | None = None
    source: str = Field(min_length=1)
    confidence: Confidence | None = None


class CaseFile(BaseModel):
    """A file of cases; `ruleset` holds for every case that names none."""

    model_config = ConfigDict(extra="forbid")

    format: int = 1
    ruleset: str = ""
    case: list[Case] = []


@dataclass(frozen=True)
class Result:
    """How one case came out; `slips` is empty when all was as expected."""

    path: str
    line: int
    about: str
    ruleset: str
    decisions: Mapping[str, Decision] = field(repr=False)
    slips: tuple[str, ...]

    @property
    def passed(self) -> bool:
        return not self.slips


def run_file(
    path: Path, ruleset: str | Path | None = None, folders: Sequence[Path] | None = None
) -> list[Result]:
    """Run every case of a file; raises Unusable if the file or one of its words is not right.

    `ruleset` replaces the one that the file names.
    """
    data, text = read_toml(path)
    try:
        cases = CaseFile.model_validate(data)
    except ValidationError as error:
        raise Unusable(problems_from(error, text, str(path), _fields_at)) from None
    if not cases.case:
        raise Unusable([Problem(str(path), 1, 1, "no [[case]] in this file")])
    books: dict[str, Rulebook] = {}
    problems: list[Problem] = []
    results: list[Result] = []
    for number, case in enumerate(cases.case):
        name = str(ruleset) if ruleset else case.ruleset or cases.ruleset
        if not name:
            message = 'no ruleset named: write ruleset = "..." at the top or in the case'
            raise Unusable([Problem(str(path), *locate(text, ("case", number)), message)])
        if name not in books:
            books[name] = load(ruleset if ruleset else name, folders)
        slips = list(_problems_of(case, number, books[name], text, str(path)))
        problems += slips
        if not slips:
            line = locate(text, ("case", number))[0]
            results.append(_run(case, books[name], str(path), line))
    if problems:
        raise Unusable(problems)
    return results


def cases_beside(ruleset_path: Path) -> Path:
    """The case file that stands beside a ruleset file."""
    return ruleset_path.with_name(ruleset_path.stem + CASES_SUFFIX)


def situation_of(case: Case, book: Rulebook) -> tuple[Situation, House]:
    """The facts of a case: its words as given, the rest traced in a house of one circuit."""
    given = {word: _value(value) for word, value in _flat(case.given).items()}
    house = House(_session_of(case, given, book), book)
    subject = house.wiring.outlets[case.subject]
    inner = house.situation(subject)
    # Counts need the whole circuit: without a wiring they are not known.
    counted = ("receptacles_on_circuit", "outlets_on_circuit") if not case.wiring else ()

    def provide(word: str) -> Any:
        return None if word in counted else inner.known(word)

    values = {word: value for word, value in given.items() if value is not None}
    hidden = {word for word, value in given.items() if value is None}
    return Situation(
        values, book.terms, lambda word: None if word in hidden else provide(word)
    ), house


def _session_of(case: Case, given: Mapping[str, Any], book: Rulebook) -> Session:
    panel, circuit = Panel(id="P"), Circuit(id="C", panel="P")
    room = Room(id="room", name="room")
    outlets = [Outlet(id=case.subject, room="room", circuit="C", fed_from="panel")]
    if case.wiring:
        outlets = [_outlet_of(each, book) for each in case.wiring]
        if not any(each.id == case.subject for each in outlets):
            outlets.append(Outlet(id=case.subject, room="room", circuit="C", fed_from="panel"))
    here = next(each for each in outlets if each.id == case.subject)
    session = Session(
        title=case.about,
        judged_by=JudgedBy(ruleset=book.id),
        panels=[panel],
        circuits=[circuit],
        rooms=[room],
        outlets=outlets,
        trips=case.trips,
    )
    holders = {"outlet": here, "room": room, "circuit": circuit, "panel": panel}
    for word, value in given.items():
        question = book.questions.get(word)
        if question is not None and value is not None:
            holder = holders.get(question.of[0], session.dwelling)
            (holder.readings if question.reading else holder.answers)[word] = value
    day = given.get("date") or book.in_force_from
    if isinstance(day, datetime.date):
        session.visits.append(Visit(date=day))
    return session


def _outlet_of(given: Mapping[str, Any], book: Rulebook) -> Outlet:
    outlet = Outlet(
        id=str(given.get("id", _SUBJECT)),
        room="room",
        circuit="C",
        fed_from=str(given.get("fed_from", "panel")),
        side=given.get("side", "through"),
        order_known_by=given.get("order_known_by", "opened"),
    )
    for word, value in given.items():
        if word not in _STRUCTURE:
            reading = word in book.questions and book.questions[word].reading
            (outlet.readings if reading else outlet.answers)[word] = _value(value)
    return outlet


def _run(case: Case, book: Rulebook, path: str, line: int) -> Result:
    facts, house = situation_of(case, book)
    decisions = {name: decide(rule, facts, book) for name, rule in book.rules.items()}
    slips: list[str] = []
    for name, wanted in case.expect.items():
        came = decisions[name].outcome
        if came != wanted:
            waits = ", ".join(decisions[name].waits_for)
            slips.append(
                f"{name}: expected {wanted}, came out {came}" + (f" ({waits})" if waits else "")
            )
    topics = {book.rules[name].declared.topic for name in case.expect} | set(case.expect_topics)
    if case.expect_cites is not None:
        # A rule that stays open for want of words that the case does not give says nothing.
        demanding = [
            decision.rule
            for name, decision in decisions.items()
            if decision.demanded and (decision.outcome != "undecided" or name in case.expect)
        ]
        topics |= {
            rule.declared.topic
            for rule in demanding
            if set(rule.declared.cite) & set(case.expect_cites)
        }
        found = {
            section
            for rule in demanding
            if rule.declared.topic in topics
            for section in rule.declared.cite
        }
        if found != set(case.expect_cites):
            slips.append(
                f"sections: expected {_listed(case.expect_cites)}, came out {_listed(found)}"
            )
    for topic, wanted in case.expect_topics.items():
        worst_came = worst(
            each.outcome for each in decisions.values() if each.rule.declared.topic == topic
        )
        if worst_came != wanted:
            slips.append(f"topic {topic}: expected {wanted}, came out {worst_came}")
    if case.waits_for is not None:
        waiting = {
            word
            for name in case.expect
            if decisions[name].outcome == "undecided"
            for word in decisions[name].waits_for
        }
        subject = house.wiring.outlets[case.subject]
        opened = {
            question
            for word in waiting
            for question in (
                [each for _, each in house.open_questions(subject, word)]
                if word not in case.waits_for
                else [word]
            )
        }
        if opened != set(case.waits_for):
            slips.append(f"waits for: expected {_listed(case.waits_for)}, came {_listed(opened)}")
    return Result(path, line, case.about, book.id, decisions, tuple(slips))


def worst(outcomes: Iterable[str]) -> str:
    """The outcome that weighs most among several rules of one topic."""
    order = ("deficient", "ask the AHJ", "undecided", "met", "excepted", "not applicable")
    return min(outcomes, key=order.index, default="not applicable")


def _listed(words: Iterable[str]) -> str:
    return ", ".join(sorted(words)) or "none"


def _flat(given: Mapping[str, Any]) -> dict[str, Any]:
    flat: dict[str, Any] = {}
    for word, value in given.items():
        if word in SEES and isinstance(value, dict):
            flat.update(value)
        else:
            flat[word] = value
    return flat


def _value(value: Any) -> Any:
    if value == "unknown":
        return None
    if value in ("yes", "no"):
        return value == "yes"
    return value


def _problems_of(
    case: Case, number: int, book: Rulebook, text: str, path: str
) -> Iterable[Problem]:
    words = book.vocabulary

    def problem(where: TomlPath, message: str, *, value: bool = False) -> Problem:
        find = locate_value if value else locate
        return Problem(path, *find(text, ("case", number, *where)), message)

    def check(where: TomlPath, word: str, value: Any) -> Iterable[Problem]:
        if word not in words.words and word not in words.terms:
            yield problem(where, f"unknown word '{word}'; {nearest(word, words.names())}")
            return
        kind = words.words.get(word) or Word(word, "yes-no")
        slip = _misfit(_value(value), kind)
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
            if word not in _STRUCTURE:
                yield from check(("wiring", place, word), word, value)
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
            fits = isinstance(value, int | float) and not isinstance(value, bool)
            return "" if fits else f"found {value!r}; expected a number"
        case "date":
            fits = isinstance(value, datetime.date)
            return "" if fits else f"found {value!r}; expected a date such as 2026-09-01"
        case "tags":
            if not isinstance(value, list):
                return f"found {value!r}; expected a list of words"
            wrong = [each for each in value if each not in word.choices]
            return f"unknown '{wrong[0]}'; {nearest(str(wrong[0]), word.choices)}" if wrong else ""
        case "choice":
            if isinstance(value, str) and value in word.choices:
                return ""
            return f"unknown choice {value!r}; {nearest(str(value), word.choices)}"
        case _:
            return "" if isinstance(value, str) else f"found {value!r}; expected a text"


def _fields_at(path: TomlPath) -> tuple[str, ...]:
    if not path:
        return field_names(CaseFile)
    if len(path) == 2:
        return field_names(Case)
    return field_names(Trip) if path[2] == "trips" else ()
