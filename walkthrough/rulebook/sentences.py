"""Tells what changes from one ruleset to another, in the fewest sentences."""

from __future__ import annotations

import datetime
import math
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from typing import Any

from walkthrough.rulebook.compare import Compared, GatherChange
from walkthrough.rulebook.covers import Cube
from walkthrough.rulebook.declarations import Confidence
from walkthrough.rulebook.diagram import Diagram
from walkthrough.rulebook.explain import spoken
from walkthrough.rulebook.residue import Atom
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.rulebook.turns import Change, Held

TURNS: Mapping[tuple[Held, Held], str] = {
    ("no", "yes"): "now asked",
    ("no", "ask"): "now in question: ask the AHJ",
    ("ask", "yes"): "now asked beyond question",
    ("yes", "ask"): "now in question, was asked",
    ("yes", "no"): "no longer asked",
    ("ask", "no"): "no longer in question",
}


_NOTED: Mapping[tuple[bool, bool], str] = {
    (False, True): "now noted",
    (True, False): "no longer noted",
    (True, True): "now noted otherwise",
}
MOST_MISSING = 3
"""More tags than these are not told one by one as missing."""
_SURENESS: tuple[Confidence, ...] = ("confirmed", "one-source", "inferred", "memory", "disputed")


@dataclass(frozen=True)
class Sentence:
    """One change: what turned, in which rules, and where; `unless`: sections that hold anyway.

    `confidence` is the weakest mark of all that makes the change.
    """

    topic: str
    turn: str
    where: tuple[str, ...]
    rules: tuple[Rule, ...]
    unless: tuple[str, ...]
    confidence: Confidence


def sentences(compared: Compared, old: Rulebook, new: Rulebook) -> list[Sentence]:
    """Every change of what is held against a subject; rules that change alike share a sentence."""
    found: dict[tuple[str, str, tuple[str, ...], Confidence], list[Change]] = {}
    for change in compared.changes:
        where = tuple(told(change.cube, change.diagram, old, new, change.named))
        key = (change.rule.declared.topic, _turn(change), where, _sureness(change))
        found.setdefault(key, []).append(change)
    return [
        Sentence(
            topic,
            turn,
            where,
            tuple(dict.fromkeys(each.rule for each in changes)),
            tuple(
                dict.fromkeys(
                    section
                    for each in changes
                    for rule in each.also
                    for section in rule.declared.cite
                )
            ),
            sureness,
        )
        for (topic, turn, where, sureness), changes in found.items()
    ]


def _turn(change: Change) -> str:
    if change.rule.declared.kind == "note":
        return _NOTED[change.was != "no", change.now != "no"]
    return TURNS[change.was, change.now]


def _sureness(change: Change) -> Confidence:
    """The weakest mark of the rule, of those it was set against, and of exceptions of one side."""
    rules = (change.rule, *change.close)
    marks = [rule.declared.confidence for rule in rules]
    texts = [{each.when.text for each in rule.exceptions} for rule in rules]
    shared = set.intersection(*texts)
    marks += [
        each.declared.confidence or rule.declared.confidence
        for rule in rules
        for each in rule.exceptions
        if each.when.text not in shared
    ]
    return max(marks, key=_SURENESS.index)


def says(rule: Rule) -> str:
    """The sentence of a rule where there is no record to take values from."""
    without = re.sub(r" ?\([^()]*\{\w+\}[^()]*\)", "", rule.declared.says)
    return re.sub(r"\{(\w+)\}", lambda found: found[1].replace("_", " "), without)


def gather_sentence(change: GatherChange, old: Rulebook, new: Rulebook) -> Iterator[str]:
    """What counts for a word over many subjects in one ruleset only."""
    verb = "now counts too" if change.now else "no longer counts"
    gather = new.gathers[change.word][0]
    for cube in change.cubes:
        where = "; ".join(told(cube, change.diagram, old, new, change.named))
        yield f"{gather.means or change.word}: {verb}: {where}"


def told(
    cube: Cube,
    diagram: Diagram,
    old: Rulebook,
    new: Rulebook,
    named: frozenset[Atom] = frozenset(),
) -> Iterator[str]:
    """A description in words, one part for each word that matters.

    `named` are the tags of which one is there in any case.
    """
    book = _Books(old, new)
    tags: dict[str, dict[bool, list[str]]] = {}
    for (name, tag), taken in cube.items():
        if tag is not None:
            if len(taken) == 1:
                tags.setdefault(name, {}).setdefault(0 in taken, []).append(tag)
            continue
        values = diagram.values((name, tag))
        if len(taken) < len(values):
            yield f"{_label(name)}: {_values(name, values, taken, diagram.named(name), book)}"
    for name, held in tags.items():
        yield f"{_label(name)}: {_tags(name, held, book, named)}"


class _Books:
    """Two rulesets as one, for the labels of answers."""

    def __init__(self, old: Rulebook, new: Rulebook) -> None:
        self.old, self.new = old, new

    def spoken(self, name: str, value: Any) -> str:
        book = self.new if name in self.new.questions else self.old
        text = spoken(name, value, book)
        return text if text != str(value) else spoken(name, value, self.old)

    def choices(self, name: str) -> list[str]:
        every = [
            each
            for book in (self.old, self.new)
            if name in book.questions
            for each in book.questions[name].choices
        ]
        return list(dict.fromkeys(every))

    def bounds(self, name: str) -> tuple[float | None, float | None]:
        words = {**self.old.vocabulary.words, **self.new.vocabulary.words}
        return words[name].minimum, words[name].maximum


def _label(name: str) -> str:
    return name.replace("_", " ")


def _tags(name: str, held: Mapping[bool, list[str]], book: _Books, named: frozenset[Atom]) -> str:
    there = [book.spoken(name, [tag]) for tag in held.get(True, ())]
    missing = held.get(False, [])
    if len(missing) <= MOST_MISSING:
        return ", ".join([*there, *(f"not {book.spoken(name, [tag])}" for tag in missing)])
    if there:
        return f"{', '.join(there)}, and no other that counts"
    # Of what the rule names, what is left is shorter to tell than all that is not.
    left = [tag for tag in book.choices(name) if (name, tag) in named and tag not in missing]
    if left:
        return f"only {book.spoken(name, left)}"
    return f"none of {book.spoken(name, missing)}"


def _values(
    name: str, values: list[Any], taken: frozenset[int], named: set[Any], book: _Books
) -> str:
    kept = [values[number] for number in sorted(taken)]
    if isinstance(values[0], bool | str):
        left = [each for each in values if each not in kept]
        unnamed = [each for each in kept if isinstance(each, str) and each not in named]
        if unnamed and set(left) <= named:
            return "not " + " or ".join(book.spoken(name, each) for each in left)
        return " or ".join(book.spoken(name, each) for each in kept)
    return " or ".join(
        _range(name, values, run, named | set(book.bounds(name)), book) for run in _runs(taken)
    )


def _runs(taken: frozenset[int]) -> Iterator[tuple[int, int]]:
    """Unbroken runs of numbers, as first and last."""
    numbers = sorted(taken)
    first = numbers[0]
    for here, after in zip(numbers, [*numbers[1:], math.inf], strict=True):
        if after != here + 1:
            yield first, here
            first = int(after) if math.isfinite(after) else first


def _range(
    name: str, values: list[Any], run: tuple[int, int], named: set[Any], book: _Books
) -> str:
    first, last = run
    low, high = values[first], values[last]
    open_below = first > 0 and not {low, values[first - 1]} & named
    open_above = last < len(values) - 1 and not {high, values[last + 1]} & named
    if open_below or open_above:
        return "as it stands to another answer"
    if low == high and low in named:
        return book.spoken(name, low)
    parts = []
    if first > 0:
        parts.append(
            f"from {book.spoken(name, low)}"
            if low in named
            else f"more than {book.spoken(name, values[first - 1])}"
        )
    if last < len(values) - 1:
        parts.append(
            f"up to {book.spoken(name, high)}"
            if high in named
            else f"less than {book.spoken(name, values[last + 1])}"
        )
    if isinstance(low, datetime.date):
        parts = [
            part.replace("less than", "before").replace("more than", "after") for part in parts
        ]
    return " ".join(parts)
