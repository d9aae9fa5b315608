"""Checks the recorded answers against the questions that were declared."""

from __future__ import annotations

import datetime
import math
from collections.abc import Iterator, Mapping, Sequence
from typing import Any, Protocol, TypeGuard

from walkthrough.rulebook.problems import nearest
from walkthrough.survey.canonical import written
from walkthrough.survey.model import AnswerValue, Session, Subject
from walkthrough.survey.references import Path, Slip, subjects_with_paths


class Asked(Protocol):
    """What has to be known of a question to check an answer to it."""

    @property
    def of(self) -> tuple[str, ...]: ...
    @property
    def kind(self) -> str: ...
    @property
    def choices(self) -> Mapping[str, str]: ...
    @property
    def min(self) -> float | None: ...
    @property
    def max(self) -> float | None: ...
    @property
    def step(self) -> float | None: ...
    @property
    def unit(self) -> str: ...
    @property
    def at_most(self) -> tuple[str, ...]: ...
    @property
    def none(self) -> Any: ...
    @property
    def reading(self) -> bool: ...
    @property
    def alone(self) -> Sequence[str]: ...


def check_answers(session: Session, questions: Mapping[str, Asked]) -> list[Slip]:
    """Every answer that does not fit its question, or that answers none that was declared."""
    return [
        slip
        for path, subject in subjects_with_paths(session)
        for slip in _subject(subject, path, questions)
    ]


def check_answer(value: AnswerValue, question: Asked) -> str:
    """What is wrong with a value as the answer to a question; "" when nothing is."""
    fits = _KINDS.get(question.kind)
    return fits(value, question) if fits else f"questions of kind '{question.kind}' are not known"


def check_beside(
    subject: Subject, word: str, value: AnswerValue | None, questions: Mapping[str, Asked]
) -> str:
    """What an answer cannot go with, in itself or beside it; "" where there is nothing.

    A straight line is no longer than the way of a cord, whichever of the two is told first. That
    there is none near is no length: how far "near" reaches is nobody's number.
    """
    if isinstance(value, list):
        alone = next((each for each in value if each in questions[word].alone), None)
        other = next((each for each in value if each != alone), None)
        if alone is not None and other is not None:
            return f"found {written(alone)} with {written(other)}; expected one or the other"
    for other, question in questions.items():
        if other in questions[word].at_most:
            low, high = value, subject.answer(other)
            limit = "most"
        elif word in question.at_most:
            low, high = subject.answer(other), value
            limit = "least"
        else:
            continue
        if _is_length(low) and _is_length(high) and low > high:
            held = written(subject.answer(other))
            return f"found {written(value)}; expected at {limit} {held}, which is '{other}' here"
    return ""


def _is_length(value: Any) -> TypeGuard[float]:
    return isinstance(value, int | float) and not isinstance(value, bool) and value != math.inf


def _subject(subject: Subject, path: Path, questions: Mapping[str, Asked]) -> Iterator[Slip]:
    for part, answers in (("answers", subject.answers), ("readings", subject.readings)):
        for name, value in answers.items():
            where = (*path, part, name)
            question = questions.get(name)
            wrong = _not_asked(name, question, subject.of, questions)
            if wrong or question is None:
                yield where, wrong
                continue
            home = "readings" if question.reading else "answers"
            if home != part:
                yield where, f"'{name}' stands among the {part}; expected it among the {home}"
            wrong = check_answer(value, question)
            if wrong:
                yield where, f"{name}: {wrong}"
    for place, name in enumerate(subject.cannot_tell):
        wrong = _not_asked(name, questions.get(name), subject.of, questions)
        if wrong:
            yield (*path, "cannot_tell", place), wrong


def _not_asked(name: str, question: Asked | None, of: str, questions: Mapping[str, Asked]) -> str:
    if question is None:
        known = [each for each, asked in questions.items() if of in asked.of]
        hint = nearest(name, known)
        return f"there is no question '{name}'; expected one asked of this {of}; {hint}"
    if of not in question.of:
        return f"'{name}' is not asked of this {of}; expected it at {_or(question.of)}"
    return ""


def _choice(value: AnswerValue, question: Asked) -> str:
    if isinstance(value, str) and value in question.choices:
        return ""
    return f"found {written(value)}; expected one of the choices; {_near(value, question)}"


def _tags(value: AnswerValue, question: Asked) -> str:
    if not isinstance(value, list):
        return f"found {written(value)}; expected a list such as [{_examples(question)}]"
    for tag in value:
        if tag not in question.choices:
            return f"found {written(tag)}; expected one of the choices; {_near(tag, question)}"
    twice = next((tag for tag in value if value.count(tag) > 1), None)
    if twice:
        return f"found {written(twice)} twice; expected it once"
    return ""


def _yes_no(value: AnswerValue, _: Asked) -> str:
    return "" if isinstance(value, bool) else f"found {written(value)}; expected true or false"


def _number(value: AnswerValue, question: Asked) -> str:
    found = f"found {written(value)}"
    if isinstance(value, bool) or not isinstance(value, (int, float)):
        return f"{found}; expected a number{question.unit and f' ({question.unit})'}"
    if value == math.inf and question.none:
        return ""
    low, high = question.min, question.max
    if (
        (isinstance(value, float) and math.isinf(value))
        or (low is not None and value < low)
        or (high is not None and value > high)
    ):
        none = ", or inf for none" if question.none else ""
        return f"{found}; expected a number{_range(low, high)}{none}"
    if question.step:
        steps = (value - (low or 0)) / question.step
        if abs(steps - round(steps)) > 1e-9:
            return f"{found}; expected steps of {question.step:g}"
    return ""


def _text(value: AnswerValue, _: Asked) -> str:
    return "" if isinstance(value, str) else f"found {written(value)}; expected a text in quotes"


def _date(value: AnswerValue, _: Asked) -> str:
    if isinstance(value, datetime.date):
        return ""
    return f"found {written(value)}; expected a date such as 2026-11-10, without quotes"


_KINDS = {
    "choice": _choice,
    "tags": _tags,
    "yes-no": _yes_no,
    "number": _number,
    "text": _text,
    "date": _date,
}


def _near(value: AnswerValue, question: Asked) -> str:
    return nearest(value if isinstance(value, str) else "", question.choices)


def _examples(question: Asked) -> str:
    return ", ".join(written(choice) for choice in list(question.choices)[:2])


def _range(low: float | None, high: float | None) -> str:
    if low is not None and high is not None:
        return f" from {low:g} to {high:g}"
    if low is not None:
        return f" of at least {low:g}"
    return f" of at most {high:g}" if high is not None else ""


def _or(words: tuple[str, ...]) -> str:
    return " or ".join(words)
