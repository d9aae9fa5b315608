"""What a ruleset says about years and rooms, set against the questions that it names."""

from __future__ import annotations

import math
from collections.abc import Iterator, Mapping

from walkthrough.rulebook.declarations import SEES, AsBuilt, Question, RoomTemplate, TableDeclared
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.problems import nearest

Slip = tuple[TomlPath, str]
"""Where in the table something is wrong, and what."""


def lens_slips(scope: str, lens: AsBuilt, questions: Mapping[str, Question]) -> Iterator[Slip]:
    """What is wrong with how a kind of subject is seen as it was when it was made."""
    for number, each in enumerate(lens.years):
        if each.of not in SEES[scope]:
            message = f"a {scope} does not belong to a {each.of}; {nearest(each.of, SEES[scope])}"
            yield ("years", number, "of"), message
        yield from _year_slips(("years", number, "take"), each.take, questions)
        question = questions.get(each.take)
        if question is not None and each.of not in question.of:
            message = f"'{each.take}' is not asked of a {each.of}"
            yield ("years", number, "take"), message
    if lens.year_word:
        yield from _year_slips(("year_word",), lens.year_word, questions)
    if lens.less and (lens.less not in questions or questions[lens.less].kind != "number"):
        numbers = [each for each in questions if questions[each].kind == "number"]
        yield ("less",), f"'{lens.less}' is no number question; {nearest(lens.less, numbers)}"
    for name, turned in lens.made.items():
        choices = {each: q.choices for each, q in questions.items() if q.kind == "choice"}
        if name not in choices:
            yield ("made", name), f"'{name}' is no choice question; {nearest(name, choices)}"
            continue
        for choice in (*turned, *turned.values()):
            if choice not in choices[name]:
                message = f"no choice '{choice}' of '{name}'; {nearest(choice, choices[name])}"
                yield ("made", name), message


def _year_slips(where: TomlPath, word: str, questions: Mapping[str, Question]) -> Iterator[Slip]:
    question = questions.get(word)
    if question is None or question.kind != "number":
        numbers = [each for each in questions if questions[each].kind == "number"]
        yield where, f"'{word}' is no number question; {nearest(word, numbers)}"
    elif question.min is None or question.max is None or question.step != 1:
        # Without them a year of 2005.5 or 10001 could be answered.
        yield where, f"'{word}' tells a year: its question needs min, max and step = 1"


def template_slips(template: RoomTemplate, questions: Mapping[str, Question]) -> Iterator[Slip]:
    """What is wrong with the answers that the name of a room lets expect."""
    for word, value in template.answers.items():
        question = questions.get(word)
        if question is None or "room" not in question.of:
            rooms = [each for each in questions if "room" in questions[each].of]
            yield ("answers", word), f"'{word}' is not asked of a room; {nearest(word, rooms)}"
            continue
        for each in value if isinstance(value, list) else [value]:
            if question.choices and each not in question.choices:
                message = f"no choice '{each}' of '{word}'; {nearest(str(each), question.choices)}"
                yield ("answers", word), message


def default_slips(id: str, questions: Mapping[str, Question]) -> Iterator[Slip]:
    """What is wrong with what a case means that does not give a word."""
    question = questions[id]
    for number, default in enumerate(question.case_default):
        several = len(question.case_default) > 1
        where: TomlPath = ("case_default", number) if several else ("case_default",)
        if default.choice and default.choice not in question.choices:
            message = f"no choice '{default.choice}'; {nearest(default.choice, question.choices)}"
            yield (*where, "choice"), message
        if default.number is not None:
            yield from _number_slips((*where, "number"), id, default.number, question)
        for word in default.unless:
            if word not in questions:
                message = f"'{word}' is no question; {nearest(word, questions)}"
                yield (*where, "unless"), message
        for word, listed in default.within.items():
            yield from _within_slips((*where, "within", word), word, listed, questions)
        for word in default.at_least:
            if word not in questions or questions[word].kind != "number":
                numbers = [each for each in questions if questions[each].kind == "number"]
                message = f"'{word}' is no number question; {nearest(word, numbers)}"
                yield (*where, "at_least", word), message


def _number_slips(where: TomlPath, id: str, value: float, question: Question) -> Iterator[Slip]:
    if question.kind != "number":
        yield where, f"'{id}' asks for no number"
    elif value == math.inf:
        if not question.none:
            yield where, f"'{id}' has no answer that means none"
    elif not _between(value, question):
        yield where, f"{value:g} is not between the min and the max of '{id}'"


def _between(value: float, question: Question) -> bool:
    low = -math.inf if question.min is None else question.min
    high = math.inf if question.max is None else question.max
    return low <= value <= high


def _within_slips(
    where: TomlPath,
    word: str,
    listed: tuple[str | float, ...],
    questions: Mapping[str, Question],
) -> Iterator[Slip]:
    question = questions.get(word)
    if question is None or not (question.choices or question.kind == "number"):
        known = [each for each, q in questions.items() if q.choices or q.kind == "number"]
        yield where, f"'{word}' is no question with choices or a number; {nearest(word, known)}"
        return
    for each in listed:
        if question.choices and each not in question.choices:
            yield where, f"no choice '{each}' of '{word}'; {nearest(str(each), question.choices)}"
        elif not question.choices and isinstance(each, str):
            yield where, f"'{word}' is a number, and '{each}' is none"


def table_slips(table: TableDeclared) -> Iterator[Slip]:
    """What is wrong with a table, once it is completed by the file below."""
    if not table.rows:
        yield (), "no rows, neither here nor in a file below"
    for name in ("sections", "marks", "sources"):
        for row in getattr(table, name):
            if row not in table.rows:
                yield (name, row), f"no row '{row}'; {nearest(row, table.rows)}"
