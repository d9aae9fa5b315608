"""How subjects, answers and verdicts are put into words on the screens."""

from __future__ import annotations

from collections.abc import Iterable, Mapping

from walkthrough.app.fields import FIELD
from walkthrough.app.not_tested import TESTED
from walkthrough.app.photos import PHOTOS
from walkthrough.app.record import Record
from walkthrough.report.text import clean, joined
from walkthrough.rulebook.declarations import Question
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import (
    PANEL,
    AnswerValue,
    Circuit,
    Dwelling,
    Outlet,
    Panel,
    Room,
    Subject,
    Unit,
)

MARKS = {"deficient": "!", "open": ".", "complete": "ok", "untouched": ""}
"""The letter that stands for the state of a subject; no meaning hangs on colour."""


def where(record: Record, subject: Subject) -> str:
    """Where one is: "Unit A > Kitchen > K-4, counter right of sink, circuit C7"."""
    session = record.session
    home = session.home(subject)
    match subject:
        case Outlet():
            room = session.room(subject.room)
            parts = (subject.id, subject.at, f"circuit {subject.circuit}")
            told = f"{room.name if room else subject.room} > {joined(parts)}"
        case Circuit():
            panel = session.panel(subject.panel)
            name = panel.name or panel.id if panel else subject.panel
            told = f"{name} > {joined((f'circuit {subject.id}', subject.serves))}"
        case Panel():
            told = f"Panel {joined((subject.id, subject.name))}"
        case Room():
            told = f"{subject.name} > the room"
        case Unit():
            return clean(home)
        case _:
            return "The building, with its common areas" if home else "The dwelling"
    return clean(f"{home} > {told}" if home else told)


def name_of(record: Record, subject: Subject) -> str:
    """A subject in one or two words."""
    session = record.session
    home = session.home(subject)
    match subject:
        case Circuit():
            return f"circuit {clean(session.reference(subject))}"
        case Room():
            return clean(f"{subject.name} ({home})" if home else subject.name)
        case Unit():
            return clean(home)
        case Dwelling():
            return "the building" if home else "the dwelling"
    return clean(session.reference(subject))


def answer_in_words(record: Record, word: str, value: AnswerValue) -> str:
    """A recorded answer as the person gave it."""
    return clean(record.spoken(word, value))


def field_in_words(subject: Subject, name: str) -> str:
    """What the shape of the record says, "" where nothing is told."""
    if name == PHOTOS:
        return clean(joined(subject.photos))
    if isinstance(subject, Outlet):
        if name == "state":
            return joined(limit.what for limit in subject.limits) or TESTED
        if name == "in_words":
            return ""
        if name == "reason":
            return clean(joined(limit.reason for limit in subject.limits))
        if name == "fed_from" and subject.fed_from == PANEL:
            return "straight from the panel"
    return clean(str(getattr(subject, name)))


def question_label(word: str, questions: Mapping[str, Question]) -> str:
    """A short name of what is waited for: as its question has it, else the word itself."""
    name = word.removeprefix(FIELD)
    question = questions.get(word)
    return question.short if question is not None and question.short else name.replace("_", " ")


def topic_label(topic: str, book: Rulebook) -> str:
    """A topic as one says it: that of a kind of protection by its short name, others in full."""
    if any(each.topic == topic for each in book.demands.values()):
        return topic.upper()
    return book.topics.get(topic, topic)


def beginning(label: str) -> str:
    """A label that begins a line; abbreviations in it stay as they are written."""
    return label[:1].upper() + label[1:]


def state_of(record: Record, subject: Subject) -> str:
    """The state of a subject in the judgement of the whole record; a key of MARKS."""
    outcomes = {
        verdict.decision.outcome for one in record.judged.chosen for verdict in one.on(subject)
    }
    if "deficient" in outcomes:
        return "deficient"
    if not (subject.answers or subject.readings or subject.cannot_tell):
        return "untouched"
    return "open" if "undecided" in outcomes else "complete"


def state_of_all(record: Record, subject: Subject, outlets: Iterable[Outlet]) -> str:
    """The state of a subject with all the outlets at it; a key of MARKS."""
    states = [state_of(record, each) for each in (subject, *outlets)]
    if "deficient" in states:
        return "deficient"
    return "open" if "open" in states or "untouched" in states[1:] else states[0]
