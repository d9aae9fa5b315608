"""The vocabulary that expressions may use: words with their kinds, terms and tables."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from walkthrough.rulebook.conditions import (
        Node,
    )


@dataclass(frozen=True)
class Word:
    """A word that has a value: a question, a derived fact, a gather, or the day judged.

    `kind` is one of choice, tags, yes-no, number, text, date.
    """

    name: str
    kind: str
    of: tuple[str, ...] = ()
    choices: Mapping[str, str] = field(default_factory=dict)
    minimum: float | None = None
    maximum: float | None = None
    may_be_none: bool = False
    means: str = ""
    protection: str = ""
    """The kind of protection of which it tells, traced along the wiring; else ""."""


@dataclass(frozen=True)
class Table:
    """Rows of data that rules and calculations read, with the section they stand for."""

    name: str
    rows: Mapping[str, float | str | list[float] | list[str]]
    cite: str = ""


@dataclass
class Vocabulary:
    """Everything an expression may name."""

    words: dict[str, Word] = field(default_factory=dict)
    terms: dict[str, Node] = field(default_factory=dict)
    tables: dict[str, Table] = field(default_factory=dict)

    def names(self) -> Iterator[str]:
        yield from self.words
        yield from self.terms
        yield from self.tables

    @property
    def traced(self) -> tuple[str, ...]:
        """The kinds of protection of which words tell, each once."""
        told = (word.protection for word in self.words.values() if word.protection)
        return tuple(dict.fromkeys(told))

    @cached_property
    def protection(self) -> frozenset[str]:
        """The words that tell of protection; all words are there by the time it is asked for."""
        return frozenset(name for name, word in self.words.items() if word.protection)


PROTECTED, REACHED = "_protected", "_protector_accessible"
"""How the words end that tell of a kind of protection."""
GIVEN_IN = ("device_protects", "breaker_protects")
"""The tables that say which kinds of protection a device and a breaker give."""


def protection_words(kind: str, said: str = "") -> tuple[Word, Word]:
    """The words that tell of a kind of protection: whether it is there, and within reach."""
    said = said or f"protection of the kind {kind}"
    return (
        Word(
            f"{kind}{PROTECTED}",
            "yes-no",
            ("outlet",),
            means=f"{said} can be credited: a device that works and is wired right",
            protection=kind,
        ),
        Word(
            f"{kind}{REACHED}",
            "yes-no",
            ("outlet",),
            means=f"the device or breaker that gives the {said} is readily accessible",
            protection=kind,
        ),
    )


VOID_TEST = "no_power_to_test"
"""A term of this name says of an outlet that the TEST of its device tells nothing."""

DERIVED_WORDS = (
    *protection_words("gfci", "ground-fault protection"),
    *protection_words("afci", "arc-fault protection"),
    Word(
        "box_fill_in3",
        "number",
        ("outlet",),
        minimum=0,
        means="what the opened box must hold, in cubic inches, by the edition's tables",
    ),
    Word(
        "receptacles_on_circuit",
        "number",
        ("circuit",),
        minimum=0,
        means="receptacles recorded on the branch circuit; a duplex counts as two",
    ),
    Word(
        "outlets_on_circuit",
        "number",
        ("circuit",),
        minimum=0,
        means="outlets recorded on the branch circuit, of every kind",
    ),
    Word(
        "afci_at_origin",
        "yes-no",
        ("circuit",),
        means="the breaker is a combination AFCI or dual-function one whose TEST was good",
    ),
    Word(
        "afci_at_first_receptacle",
        "yes-no",
        ("circuit",),
        means="a working AFCI or dual-function receptacle is the first receptacle outlet",
    ),
    Word(
        "room_left",
        "yes-no",
        ("room",),
        means="outlets of another room were entered after those of this room",
    ),
    Word(
        "in_unit",
        "yes-no",
        ("outlet", "room", "circuit", "panel"),
        means="belongs to one of several dwelling units that the record tells apart",
    ),
    Word(
        "in_common_area",
        "yes-no",
        ("outlet", "room", "circuit", "panel"),
        means="belongs to none of the dwelling units that the record tells apart",
    ),
    Word(
        "fed_from_other_unit",
        "yes-no",
        ("outlet",),
        means="its circuit comes from or through the panel of a dwelling unit that is not its own",
    ),
    Word(
        "supplies_several_units",
        "yes-no",
        ("circuit",),
        means="outlets of several dwelling units, or of a unit and the common areas, hang on it",
    ),
    Word(
        "code_year",
        "number",
        ("outlet", "room", "circuit", "panel", "dwelling"),
        minimum=1850,
        maximum=2100,
        means="the year whose edition bound this when it was made, as [as_built] of the ruleset "
        "tells it",
    ),
)
DATE = Word("date", "date", means="the day for which the judgement is made")
