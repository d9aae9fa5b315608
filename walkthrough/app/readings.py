"""The readings sheet of an outlet: its lines, what the record holds of them, what they leave."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import Decimal
from typing import Any

from walkthrough.app.prompt import Choice, Prompt, from_question
from walkthrough.app.record import Record
from walkthrough.app.sheet import LAST, Line, line_prompt
from walkthrough.report.text import clean
from walkthrough.survey.model import Outlet, Subject
from walkthrough.trade.diagnosis import Diagnosis
from walkthrough.trade.readings import READING_NAMES, Readings
from walkthrough.trade.readings_working import (
    NO_PROOF,
    blind_spots,
    diagnosis,
    easier_in_words,
    next_in_words,
)
from walkthrough.trade.tables import Tables
from walkthrough.trade.wiring_faults import TWO_WIRE

TESTER = "tester"
LAMPS = "tester_lamps"
BY_TESTER = "by the tester's answer"


def lines_of(record: Record, outlet: Outlet) -> list[Line]:
    """The lines that the record's rulesets ask, the circuit's first."""
    circuit = record.session.circuit(outlet.circuit)
    subjects: list[tuple[Subject | None, str]] = [(circuit, TWO_WIRE)]
    subjects += [(outlet, name) for name in READING_NAMES]
    asked = record.questions
    return [Line(each, word) for each, word in subjects if each is not None and word in asked]


def reading_prompt(record: Record, line: Line) -> Prompt:
    """The prompt of a line; Enter with nothing typed leaves it as it is.

    The lamps behind the tester's answer are offered as long as nothing else was read here: later
    that answer may be one that was taken over from the sheet.
    """
    subject = line.subject
    if line.word == LAMPS and not any(name in subject.readings for name in READING_NAMES):
        lit = _lamps(str(subject.answer(TESTER)), Tables(record.book.tables, record.book.id))
        prompt = from_question(line.word, record.question(line.word), lit, BY_TESTER)
        return replace(prompt, can_be_empty=True)
    return line_prompt(record, line)


def taken(record: Record, outlet: Outlet) -> Readings:
    """What the record holds of the sheet."""
    tables = Tables(record.book.tables, record.book.id)
    held: dict[str, Any] = {}
    for name in READING_NAMES:
        asked, value = record.questions.get(name), outlet.answer(name)
        if asked is not None and value == asked.presume:
            # That a reading was not taken is no reading.
            value = None
        is_number = isinstance(value, int | float) and not isinstance(value, bool)
        held[name] = Decimal(str(value)) if is_number else value
    return Readings(**held, two_wire=_is_two_wire(record, outlet, tables))


def _lamps(answer: str, tables: Tables) -> str | None:
    """The lamps behind an answer that only one pattern has."""
    lit = [
        row for row in tables.rows("tester_legend") if tables.word("tester_legend", row) == answer
    ]
    return lit[0] if len(lit) == 1 else None


def _is_two_wire(record: Record, outlet: Outlet, tables: Tables) -> bool:
    circuit = record.session.circuit(outlet.circuit)
    if circuit is not None and circuit.answer(TWO_WIRE) is not None:
        return circuit.answer(TWO_WIRE) is True
    return any(
        str(outlet.answer(row)) in tables.words("two_wire_answers", row)
        for row in tables.rows("two_wire_answers")
    )


def told(record: Record, outlet: Outlet) -> Iterator[str]:
    """What the readings leave possible, in lines, the most pressing first. Raises NoRow."""
    tables = Tables(record.book.tables, record.book.id)
    readings = taken(record, outlet)
    found, shown, faults = diagnosis(readings, tables)
    if not shown.seen:
        yield "Nothing read yet. Every line can be left out."
        return
    if not found.possibilities:
        yield "! The readings contradict each other: no fault of the table shows all of them."
        labels = (faults.observation(name).label for name in found.without if name != TWO_WIRE)
        yield f"  One of these may be wrong: {', '.join(labels) or 'more than one'}."
    if found.possibilities or found.stop:
        yield f"{'!' if found.stop else '>'} Next: {next_in_words(found)}"
    if found.easier is not None:
        yield f"> Or first: {easier_in_words(found)}"
    if readings.two_wire:
        yield f"! {NO_PROOF}"
    yield f"Possible: {len(found.possibilities)} of {len(faults.faults)}"
    for number, each in enumerate(found.possibilities, start=1):
        speaks = f"{len(each.usual)} for, {len(each.can_be)} against"
        yield f"{number:2}. {each.fault.says} ({speaks})"
    for caveat in shown.caveats:
        yield f"i {caveat}"
    for instrument, cannot in blind_spots(shown, faults, tables):
        yield f"i {instrument}: {cannot}"


def take_prompt(record: Record, outlet: Outlet) -> Prompt:
    """Asks whether a diagnosis is to be the tester's answer; Enter leaves that as it is."""
    tables = Tables(record.book.tables, record.book.id)
    found, _, _ = diagnosis(taken(record, outlet), tables)
    now = outlet.answer(TESTER)
    held = f"It is now: {clean(record.spoken(TESTER, now))}. " if now is not None else ""
    answers = tuple(_answers(record, found))
    ask = "Take a diagnosis over as what the plug-in tester shows?"
    if not answers:
        ask = "None of these is a pattern of the plug-in tester, so there is nothing to take over."
    return Prompt(
        LAST,
        ask,
        "choice",
        answers,
        f"{held}Only if you say so; Enter leaves it and closes the sheet.",
        can_skip=False,
        can_be_empty=True,
    )


def _answers(record: Record, found: Diagnosis) -> Iterator[Choice]:
    choices = record.question(TESTER).choices if TESTER in record.questions else {}
    behind: dict[str, list[str]] = {}
    for fault in found.faults:
        if fault.tester_answer in choices:
            behind.setdefault(fault.tester_answer, []).append(fault.says)
    for answer, faults in behind.items():
        yield Choice(answer, f"{choices[answer]} ({'; '.join(faults)})")
