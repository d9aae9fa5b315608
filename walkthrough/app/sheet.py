"""What every sheet has: lines that can be left out, and what follows from them told below."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from walkthrough.app.prompt import YOUR_ANSWER, Prompt, from_question
from walkthrough.app.record import Record
from walkthrough.report.calculation import rests_on, sum_of
from walkthrough.report.text import clean
from walkthrough.survey.model import Subject
from walkthrough.trade.working import Step

LAST = "last:"
"""The id of the prompt after the last line."""


@dataclass(frozen=True)
class Line:
    """One line of a sheet: a question, and the subject that answers it."""

    subject: Subject
    word: str


def lines_about(record: Record, subject: Subject, words: Iterable[str]) -> list[Line]:
    """The lines that the record's rulesets ask."""
    asked = record.questions
    return [Line(subject, word) for word in words if word in asked]


def makes_sense(record: Record, line: Line) -> bool:
    """Whether a line is asked as things stand; what is asked on the walk as well always is."""
    for house in record.houses:
        question, sense = house.book.questions.get(line.word), house.book.asked_when.get(line.word)
        if question is None:
            continue
        if not question.feeds or sense is None:
            return True
        if sense.truth(house.situation(line.subject)) is not False:
            return True
    return False


def line_prompt(record: Record, line: Line) -> Prompt:
    """The prompt of a line; Enter with nothing typed leaves it as it is.

    A text that was told stands there to be typed on: it is too long to be typed again.
    """
    question, held = record.question(line.word), line.subject.answer(line.word)
    if question.kind == "text":
        prompt = from_question(line.word, question)
        return replace(prompt, can_be_empty=True, typed=clean(str(held or "")))
    return replace(from_question(line.word, question, held, YOUR_ANSWER), can_be_empty=True)


def last_prompt() -> Prompt:
    """Stands after the last line, so that what follows can be read."""
    return Prompt(
        LAST,
        "That was the last line.",
        "choice",
        help="Enter closes the sheet; PgDn turns the page below.",
        can_skip=False,
        can_be_empty=True,
    )


def steps_told(steps: Iterable[Step]) -> Iterator[str]:
    """The steps of a sum, numbered, each with its sections and the mark of the weakest."""
    for number, step in enumerate(steps, start=1):
        rests = rests_on(step.ground)
        yield f"{number:2}. {sum_of(step)}" + (f"  ({rests})" if rests else "")
