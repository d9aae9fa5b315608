"""The room sheet: walls and a counter told in words, and where receptacles are wanting."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from walkthrough.app.record import Record
from walkthrough.app.sheet import Line, lines_about, steps_told
from walkthrough.cli_calc.spacing_subjects import Reader, Told, Wrong, reckon
from walkthrough.cli_calc.spacing_words import RECEPTACLE
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Room
from walkthrough.trade.spacing_tables import SpacingTables
from walkthrough.trade.tables import NoRow, Tables
from walkthrough.trade.working import Working


@dataclass(frozen=True)
class _Part:
    """One thing to be judged: its name as it is told, and its questions by option."""

    name: str
    option: str
    words: dict[str, str]
    marks: tuple[str, ...]


_PARTS = (
    _Part(
        "Walls",
        "wall",
        {
            "wall": "wall_line",
            "around": "wall_line_around",
            "receptacle": "wall_receptacles",
        },
        ("receptacle_not_counted", "wall_not_counted"),
    ),
    _Part(
        "Counter",
        "counter",
        {"counter": "counter_line", "receptacle": "counter_receptacles"},
        ("counter_not_counted",),
    ),
)
WORDS = tuple(word for part in _PARTS for word in part.words.values())
"""The questions of the sheet in their order."""


def lines_of(record: Record, room: Room) -> list[Line]:
    """The lines that the record's rulesets ask."""
    return lines_about(record, room, WORDS)


def slip(record: Record, room: Room, word: str, value: object) -> str:
    """What cannot be understood in an answer, and what was expected; "" where all is well."""
    part = next(each for each in _PARTS if word in each.words.values())
    option = next(each for each, asked in part.words.items() if asked == word)
    given = {**_told(room, part), option: value}
    for book in record.books:
        try:
            if part.option in given:
                reckon(given, _tables(book))
            else:
                Reader(given, _tables(book)).receptacles(*part.marks)
        except NoRow:
            continue
        except Wrong as wrong:
            # What is wrong in another line is told below, where it does not hold this one up.
            return str(wrong) if wrong.option == option else ""
    return ""


def told(record: Record, room: Room, here: str = "") -> Iterator[str]:
    """Each line drawn, and what is too far or to be added; that with the word `here` first."""
    parts = sorted(_PARTS, key=lambda each: here not in each.words.values())
    there = [each for each in parts if each.option in _told(room, each)]
    if not there:
        yield "No wall and no counter told yet. Every line can be left out."
    for part in there:
        for book in record.books:
            yield from _by(book, part, _told(room, part))


def _by(book: Rulebook, part: _Part, given: Told) -> Iterator[str]:
    by = f"{part.name}, by {book.title}:"
    try:
        _, working = reckon(given, _tables(book))
    except NoRow as error:
        yield f"{by} no figures for this: {error}."
    except Wrong as wrong:
        yield f"{by} cannot be understood."
        yield f"! {wrong.option}: {wrong}"
    else:
        # Only the line is measured; what room it is in plays no part.
        yield f"{part.name}, by {book.title}, if it asks for this spacing here:"
        yield from _judged(working, _are_receptacles_told(part, given))


def _are_receptacles_told(part: _Part, given: Told) -> bool:
    """Whether any stands beside the line or in it; 'none' tells it too."""
    return "receptacle" in given or any(
        each in str(given[part.option]).lower() for each in RECEPTACLE
    )


def _judged(working: Working, are_told: bool) -> Iterator[str]:
    """The drawing stands before the sum: it says at a glance where."""
    because = f"{working.because[:1].upper()}{working.because[1:]}."
    if are_told or working.verdict != "fail":
        yield f"{'!' if working.verdict == 'fail' else '>'} Verdict: {working.verdict}. {because}"
    else:
        yield f"> No receptacle told yet ('none' says there is none). Without one: {because}"
    yield from working.drawing
    yield from steps_told(working.steps)
    yield from (f"i {each}" for each in working.caveats)


def _told(room: Room, part: _Part) -> dict[str, object]:
    """What the record holds, by the options of the calculation."""
    held = {option: room.answers.get(word) for option, word in part.words.items()}
    return {option: value for option, value in held.items() if value not in (None, "", False)}


def _tables(book: Rulebook) -> SpacingTables:
    return SpacingTables.of(Tables(book.tables, book.id))
