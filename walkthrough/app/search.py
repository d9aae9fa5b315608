"""Every line of a record that a person may look for, and where each of them stands."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from walkthrough.app.describe import answer_in_words, field_in_words, name_of, where
from walkthrough.app.fields import FIELD, fields_of
from walkthrough.app.record import Record
from walkthrough.app.stops import open_questions
from walkthrough.report.text import clean
from walkthrough.survey.model import Subject


@dataclass(frozen=True)
class Line:
    """One thing that was told or found: its subject, its prompt ("" for none), its words."""

    subject: Subject
    prompt: str
    text: str


def lines_of(record: Record) -> list[Line]:
    """All there is to find: per subject its place, what was found, what is open, its answers."""
    found: dict[tuple[str, str], list[str]] = {}
    for told in record.judged.findings:
        finding = told.finding
        says = f"! {finding.says} ({', '.join((*finding.cite, *told.under))})"
        found.setdefault((finding.of, finding.subject), []).append(clean(says))
    waiting = open_questions(record)
    lines: list[Line] = []
    for key, subject in record.house.subjects.items():
        lines.append(Line(subject, "", where(record, subject)))
        lines += [Line(subject, "", says) for says in found.get(key, ())]
        for word in waiting.get(key, ()):
            lines.append(Line(subject, word, f"still open: {clean(record.question(word).ask)}"))
        lines += _told(record, subject)
    return lines


def matching(record: Record, lines: list[Line], sought: str) -> list[Line]:
    """The lines that hold every word sought, in any order; the subject's name counts as well.

    What is called exactly so comes first: R-3 before PR-3.
    """
    words = sought.casefold().split()
    named = [(line, f"{name_of(record, line.subject)} {line.text}".casefold()) for line in lines]
    found = [line for line, text in named if all(word in text for word in words)]
    return sorted(found, key=lambda e: name_of(record, e.subject).casefold() not in words)


def _told(record: Record, subject: Subject) -> Iterator[Line]:
    for name in fields_of(record, subject):
        told = field_in_words(subject, name)
        if told:
            yield Line(subject, FIELD + name, f"{name.replace('_', ' ')}: {told}")
    answers = {**subject.answers, **subject.readings, **dict.fromkeys(subject.cannot_tell)}
    for word, value in answers.items():
        question = record.questions.get(word)
        told = "cannot tell" if value is None else answer_in_words(record, word, value)
        yield Line(
            subject, word if question else "", f"{clean(question.ask if question else word)} {told}"
        )
