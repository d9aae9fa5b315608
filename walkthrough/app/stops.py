"""The subjects at which something is undecided or deficient, in the order of the walk."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from walkthrough.app.describe import name_of, question_label, topic_label
from walkthrough.app.record import Record
from walkthrough.judge.judge import Judgement
from walkthrough.report.text import clean
from walkthrough.survey.history import SubjectKey
from walkthrough.survey.model import Finding, Outlet, Subject

Sought = Literal["undecided", "deficient"]
NONE: dict[Sought, str] = {
    "undecided": "Nothing is undecided so far.",
    "deficient": "No deficiency so far.",
}
_TITLES: dict[Sought, str] = {"undecided": "Undecided", "deficient": "Deficiency"}


@dataclass(frozen=True)
class Stop:
    """Where to go on: a subject, the prompt that settles something there ("" for none), and what
    to tell about it: which one of how many it is, and what for."""

    subject: Subject
    prompt: str
    told: str


def next_stop(record: Record, sought: Sought, after: Subject) -> Stop | None:
    """The next one behind a subject, from the end on to the beginning; None where there is none.

    It looks at the judgement of the whole record, which must be there or is made.
    """
    found = _undecided(record) if sought == "undecided" else _deficient(record)
    order = list(record.house.subjects)
    here = order.index(record.key(after))
    stops = [key for key in order if key in found]
    if not stops:
        return None
    key = next((each for each in stops if order.index(each) > here), stops[0])
    subject = record.house.subjects[key]
    prompts = list(found[key])
    more = f" (+{len(prompts) - 1} here)" if len(prompts) > 1 else ""
    number = f"{stops.index(key) + 1} of {len(stops)}"
    told = f"{_TITLES[sought]} {number}: {name_of(record, subject)}, {found[key][prompts[0]]}{more}"
    return Stop(subject, prompts[0] if sought == "undecided" else "", told)


def open_questions(record: Record) -> dict[SubjectKey, dict[str, list[str]]]:
    """Per subject the questions to it that something undecided, there or elsewhere, waits for.

    Each with the topics that hang on it; the questions in the order of the rulesets.
    """
    topics: dict[tuple[str, str], dict[str, None]] = {}
    for judgement in record.judged.chosen:
        for verdict in judgement.undecided:
            topic = topic_label(verdict.decision.rule.declared.topic, judgement.book)
            for asked in verdict.asks:
                topics.setdefault(asked, {}).setdefault(topic)
    questions, subjects = record.questions, record.house.subjects
    order = {word: number for number, word in enumerate(questions)}
    found: dict[SubjectKey, dict[str, list[str]]] = {}
    for id, word in sorted(
        (each for each in topics if each[1] in order), key=lambda e: order[e[1]]
    ):
        # An outlet and a circuit may share an id: the question tells which of them is meant.
        keys = [(of, id) for of in questions[word].of if (of, id) in subjects]
        for key in keys[:1]:
            found.setdefault(key, {})[word] = list(topics[id, word])
    return found


def _undecided(record: Record) -> dict[SubjectKey, dict[str, str]]:
    """Per subject the open questions to it, and what for; those to be answered yet come first."""
    found: dict[SubjectKey, dict[str, str]] = {}
    for key, waiting in open_questions(record).items():
        untold = record.house.subjects[key].cannot_tell
        for word in sorted(waiting, key=lambda word: word in untold):
            told = f"{question_label(word, record.questions)} for {', '.join(waiting[word])}"
            told += " (cannot be told)" if word in untold else ""
            found.setdefault(key, {})[word] = clean(told)
    return found


def _deficient(record: Record) -> dict[SubjectKey, dict[str, str]]:
    """Per subject what is deficient there, the gravest first."""
    found: dict[SubjectKey, dict[str, str]] = {}
    for told in record.judged.findings:
        finding = told.finding
        says = _in_short(told.judged[0], finding)
        found.setdefault((finding.of, finding.subject), {}).setdefault(says, says)
    return found


def _in_short(judgement: Judgement, finding: Finding) -> str:
    outlet = judgement.house.subjects[finding.of, finding.subject]
    if isinstance(outlet, Outlet) and judgement.has(outlet).get(finding.topic) == "no":
        return f"{finding.topic.upper()} missing"
    return clean(finding.says.rstrip("."))
