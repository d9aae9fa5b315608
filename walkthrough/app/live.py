"""What is known of the subject in hand: asked for, there, deficient, and still open."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from walkthrough.app.demanded import Demanded, demanded
from walkthrough.app.describe import question_label, topic_label
from walkthrough.app.record import Record
from walkthrough.judge.house import House
from walkthrough.judge.judge import Judgement, verdicts_on
from walkthrough.report.cautions import how_sure
from walkthrough.report.text import clean
from walkthrough.rulebook.decide import decide
from walkthrough.rulebook.rulebook import Rule
from walkthrough.survey.model import Outlet, Subject

FEW_TESTED = 2
"""So few receptacles of a room are no sample of it."""


@dataclass(frozen=True)
class Told:
    """One thing to tell: its sign, the text, and the small print with the section."""

    sign: str
    text: str
    small: str = ""


@dataclass(frozen=True)
class Live:
    """Everything the live pane tells of one subject."""

    demanded: tuple[Demanded, ...]
    deficient: tuple[Told, ...]
    patterns: tuple[Told, ...]
    ask: tuple[Told, ...]
    open: tuple[Told, ...]
    kept: tuple[Told, ...]
    """What is put down about it and decides nothing: stale answers, its note and its pictures."""
    carried: int
    """So many answers were copied from another subject and not looked at here."""


def live(record: Record, subject: Subject) -> Live:
    """Judge one subject, and tell what follows."""
    first, *others = (
        Judgement(house, tuple(verdicts_on(house, subject))) for house in record.houses
    )
    every = (first, *others)
    return Live(
        demanded=demanded(every, subject) if isinstance(subject, Outlet) else (),
        deficient=_once((one, each) for one in every for each in _deficient(one)),
        patterns=tuple(_patterns(first, subject)) if isinstance(subject, Outlet) else (),
        ask=_once((one, each) for one in every for each in _ask(one)),
        open=tuple(dict.fromkeys(each for one in every for each in _open(one, record, subject))),
        kept=(*_idle(record, subject), *_kept(subject)),
        carried=len(subject.carried),
    )


def _idle(record: Record, subject: Subject) -> Iterator[Told]:
    """Answers that make no sense any more, since something else was told otherwise."""
    for word in (*subject.answers, *subject.readings):
        if not record.counts(subject, word):
            label, answer = question_label(word, record.questions), subject.answer(word)
            told = clean(f"{label}: {record.spoken(word, answer)}")
            yield Told("Does not count any more:", told, "by what else is told (F2)")


def _kept(subject: Subject) -> Iterator[Told]:
    if subject.note:
        yield Told("Note:", clean(" ".join(subject.note.split())))
    if subject.photos:
        yield Told(f"Photos ({len(subject.photos)}):", clean(", ".join(subject.photos)))


def _patterns(judged: Judgement, outlet: Outlet) -> Iterator[Told]:
    """Where the few that were tested in a room all show the same: a sample that is too small."""
    house = judged.house
    here = [each for each in judged.session.outlets if each.room == outlet.room]
    for verdict in judged.on(outlet):
        if verdict.decision.outcome != "deficient":
            continue
        rule = verdict.decision.rule
        read = [
            w for w in rule.words if w in house.book.questions and house.book.questions[w].reading
        ]
        if not read:
            continue
        tested = [each for each in here if all(each.answer(word) is not None for word in read)]
        bad = [each for each in tested if _fails(house, each, rule)]
        if len(bad) == len(tested) <= FEW_TESTED and len(tested) < len(here) + 1:
            told = f"{len(bad)} of {len(tested)} tested here show this: test more of this room."
            yield Told("i", clean(told), clean(judged.says(verdict)))


def _fails(house: House, outlet: Outlet, rule: Rule) -> bool:
    return decide(rule, house.situation(outlet), house.book).outcome == "deficient"


def _once(told: Iterable[tuple[Judgement, Told]]) -> tuple[Told, ...]:
    """What several rulesets tell alike, once; under which it stands is said where they differ."""
    found: dict[Told, list[str]] = {}
    names: dict[str, None] = {}
    for judged, each in told:
        names.setdefault(judged.under)
        found.setdefault(each, []).append(judged.under)
    if len(names) < 2:
        return tuple(found)
    return tuple(
        Told(each.sign, each.text, f"{each.small}; under {', '.join(under)}")
        for each, under in found.items()
    )


def _deficient(judged: Judgement) -> Iterator[Told]:
    for finding in judged.findings:
        mark = how_sure(finding.confidence, judged.book.verify_in)
        small = f"{finding.kind}, {finding.severity}: {', '.join(finding.cite)}"
        yield Told("!", clean(finding.says), small + (f" ({mark})" if mark else ""))


def _ask(judged: Judgement) -> Iterator[Told]:
    for verdict in judged.disputed:
        sections = ", ".join(verdict.decision.rule.declared.cite)
        readings = " / ".join(verdict.decision.readings)
        yield Told("A", clean(judged.says(verdict)), f"ask the AHJ, {sections}: {readings}")


def _open(judged: Judgement, record: Record, subject: Subject) -> Iterator[Told]:
    """The questions that are waited for, each with the topics that hang on it."""
    own = record.house.key(subject)[1]
    waiting: dict[tuple[str, str], dict[str, None]] = {}
    for verdict in judged.undecided:
        for open_at in verdict.asks:
            topic = topic_label(verdict.decision.rule.declared.topic, judged.book)
            waiting.setdefault(open_at, {}).setdefault(topic)
    for (at, word), topics in waiting.items():
        place = "" if at == own else f"{at}: "
        told = " (cannot be told)" if at == own and word in subject.cannot_tell else ""
        label = question_label(word, record.questions)
        yield Told("?", clean(f"{place}{label}{told}"), f"for {', '.join(topics)}")
