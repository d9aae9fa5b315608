"""One subject under two rulesets: what each asks, what is there, and where they differ."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from walkthrough.app.describe import question_label
from walkthrough.judge.house import House
from walkthrough.judge.judge import Judgement, Verdict, verdicts_on
from walkthrough.report.cautions import how_sure
from walkthrough.report.text import clean
from walkthrough.rulebook.files import ruleset_files
from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.history import SubjectKey
from walkthrough.survey.model import Outlet, Session

SIGNS = ("!", "A", "?", "-", "ok")
"""What the saying of a rule begins with."""
_THERE = {"yes": "it is there", "no": "it is not there", "unknown": "not known whether it is there"}


@dataclass(frozen=True)
class Compared:
    """One topic: what is the same under both, and what only the one or the other says.

    Sayings of a rule begin with a sign: "!" deficient, "A" ask the authority, "?" open, "ok" met.
    """

    topic: str
    title: str
    both: tuple[str, ...]
    one: tuple[str, ...]
    other: tuple[str, ...]

    @property
    def differs(self) -> bool:
        return bool(self.one or self.other)


def rulesets_beside(own: str) -> dict[str, str]:
    """The titles of all rulesets to compare with, by id; bases, which judge nothing, left out."""
    found: dict[str, str] = {}
    for id, path in ruleset_files().items():
        text = path.read_text(encoding="utf-8", errors="replace")
        head = text.partition("\n[")[0]
        title = re.search(r'(?m)^title\s*=\s*"([^"\n]*)"', head)
        if id != own and re.search(r"(?m)^extends\s*=", head):
            found[id] = clean(title[1]) if title else id
    return found


def compared(
    session: Session, subject: SubjectKey, book: Rulebook, other: str
) -> tuple[Compared, ...]:
    """Both rulesets on one subject of a record, which is only read; raises Unusable.

    Of the topics that a receptacle can be asked for each is told, of all others those that differ.
    """
    sides = tuple(_judged(session, subject, each) for each in (book, load(other)))
    topics = {topic: title for each in reversed(sides) for topic, title in each.book.topics.items()}
    demanded = [d.topic for each in sides for d in each.book.demands.values()]
    found: list[Compared] = []
    for topic in dict.fromkeys([*demanded, *topics]):
        said = [list(dict.fromkeys(_said(each, subject, topic))) for each in sides]
        both = tuple(each for each in said[0] if each in said[1])
        one, other_only = (tuple(e for e in each if e not in both) for each in said)
        row = Compared(topic, clean(topics.get(topic, topic)), both, one, other_only)
        if row.differs or (topic in demanded and both):
            found.append(row)
    return tuple(found)


def _judged(session: Session, subject: SubjectKey, book: Rulebook) -> Judgement:
    house = House(session, book)
    return Judgement(house, tuple(verdicts_on(house, house.subjects[subject])))


def _said(judgement: Judgement, subject: SubjectKey, topic: str) -> Iterator[str]:
    here = judgement.house.subjects[subject]
    verdicts = [e for e in judgement.verdicts if e.decision.rule.declared.topic == topic]
    is_demand = topic in {each.topic for each in judgement.book.demands.values()}
    if isinstance(here, Outlet) and is_demand:
        yield _THERE[judgement.has(here)[topic]]
        if not any(each.decision.demanded for each in verdicts):
            yield _asking([each for each in verdicts if each.decision.outcome == "undecided"])
    for verdict in verdicts:
        is_asked = is_demand and verdict.decision.demanded
        if is_asked:
            yield f"asked by {_cited(judgement, verdict)}"
        yield from _outcome(
            judgement, verdict, "" if is_asked else f" {_cited(judgement, verdict)}"
        )


def _asking(undecided: Sequence[Verdict]) -> str:
    """Whether protection is asked where no rule says so for sure."""
    if any(each.asks for each in undecided):
        return "open whether it is asked"
    return "asked or not, nothing is missing" if undecided else "not asked"


def _outcome(judgement: Judgement, verdict: Verdict, cited: str) -> Iterator[str]:
    """How a rule comes out, with its section unless that was told just before."""
    decision, told = verdict.decision, clean(judgement.says(verdict))
    match decision.outcome:
        case "deficient":
            yield f"! {decision.kind}, {judgement.severity(verdict)}: {told}{cited}"
        case "ask the AHJ":
            yield clean(f"A ask the authority: {told}{cited}: {' / '.join(decision.readings)}")
        case "undecided" if verdict.asks:
            waiting = dict.fromkeys(question_label(word) for _, word in verdict.asks)
            yield clean(f"? open:{cited} waits for {', '.join(waiting)}")
        case "excepted":
            yield clean(f"- excepted by {_ways_out(judgement, verdict)}:{cited}")
        case "met" if cited:
            yield f"ok fulfilled:{cited}: {decision.rule.id}"


def _ways_out(judgement: Judgement, verdict: Verdict) -> str:
    """The exceptions that hold, each with a mark of its own where it has one."""
    told: dict[str, None] = {}
    for exempt in verdict.decision.rule.exceptions:
        sections, own = exempt.declared.cite, exempt.declared.confidence
        if set(sections) <= set(verdict.decision.excepted_by):
            mark = how_sure(own, judgement.book.verify_in) if own else ""
            told[", ".join(sections) + (f" ({mark})" if mark else "")] = None
    return ", ".join(told)


def _cited(judgement: Judgement, verdict: Verdict) -> str:
    declared = verdict.decision.rule.declared
    mark = how_sure(declared.confidence, judgement.book.verify_in)
    return clean(", ".join(declared.cite)) + (f" ({mark})" if mark else "")
