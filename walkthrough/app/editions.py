"""One subject under two rulesets: what each asks, what is there, and where they differ."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import NamedTuple

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


class Said(NamedTuple):
    """What a ruleset says, and how well its text is confirmed; `marked` holds both."""

    plain: str
    marked: str
    mark: str = ""


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
        said = [{each.plain: each for each in _said(side, subject, topic)} for side in sides]
        both = tuple(
            _same(book.id, each, other, said[1][plain])
            for plain, each in said[0].items()
            if plain in said[1]
        )
        one, other_only = (
            tuple(each.marked for plain, each in here.items() if plain not in there)
            for here, there in (said, said[::-1])
        )
        row = Compared(topic, clean(topics.get(topic, topic)), both, one, other_only)
        if row.differs or (topic in demanded and both):
            found.append(row)
    return tuple(found)


def _judged(session: Session, subject: SubjectKey, book: Rulebook) -> Judgement:
    house = House(session, book)
    return Judgement(house, tuple(verdicts_on(house, house.subjects[subject])))


def _same(own: str, here: Said, other: str, there: Said) -> str:
    """What both say; where it is not equally well confirmed, that is no difference in the rules."""
    if here.mark == there.mark:
        return here.marked
    notes = (f"{id}: {each.mark or 'confirmed'}" for id, each in ((own, here), (other, there)))
    return f"{here.plain} ({'; '.join(notes)})"


def _said(judgement: Judgement, subject: SubjectKey, topic: str) -> Iterator[Said]:
    here = judgement.house.subjects[subject]
    verdicts = [e for e in judgement.verdicts if e.decision.rule.declared.topic == topic]
    is_demand = topic in {each.topic for each in judgement.book.demands.values()}
    if isinstance(here, Outlet) and is_demand:
        yield _plainly(_THERE[judgement.has(here)[topic]])
        if not any(each.decision.demanded for each in verdicts):
            asking = _asking([each for each in verdicts if each.decision.outcome == "undecided"])
            yield _plainly(asking)
    for verdict in verdicts:
        is_asked = is_demand and verdict.decision.demanded
        if is_asked:
            yield _cited(judgement, verdict, "asked by")
        yield from _outcome(judgement, verdict, is_asked)


def _plainly(told: str) -> Said:
    return Said(told, told)


def _asking(undecided: Sequence[Verdict]) -> str:
    """Whether protection is asked where no rule says so for sure."""
    if any(each.asks for each in undecided):
        return "open whether it is asked"
    return "asked or not, nothing is missing" if undecided else "not asked"


def _outcome(judgement: Judgement, verdict: Verdict, is_cited: bool) -> Iterator[Said]:
    """How a rule comes out, with its section unless that was told just before."""
    decision, told = verdict.decision, judgement.says(verdict)

    def saying(before: str, after: str = "") -> Said:
        if is_cited:
            return _plainly(clean(before + after))
        return _cited(judgement, verdict, before, after)

    match decision.outcome:
        case "deficient":
            yield saying(f"! {decision.kind}, {judgement.severity(verdict)}: {told}")
        case "ask the AHJ":
            yield saying(f"A ask the authority: {told}", f": {' / '.join(decision.readings)}")
        case "undecided" if verdict.asks:
            waiting = dict.fromkeys(
                question_label(word, judgement.book.questions) for _, word in verdict.asks
            )
            yield saying("? open:", f" waits for {', '.join(waiting)}")
        case "excepted":
            out, mark = _ways_out(judgement, verdict)
            plain, marked, own = saying(f"- excepted by {out}:")
            marked = marked.replace(out, f"{out} ({mark})", 1) if mark else marked
            yield Said(plain, marked, "; ".join(each for each in (mark, own) if each))
        case "met" if not is_cited:
            yield saying("ok fulfilled:", f": {decision.rule.id}")


def _ways_out(judgement: Judgement, verdict: Verdict) -> tuple[str, str]:
    """The exceptions that hold, and how well those are confirmed that have a mark of their own."""
    told: dict[str, None] = {}
    marks: dict[str, None] = {}
    for exempt in verdict.decision.rule.exceptions:
        sections, own = exempt.declared.cite, exempt.declared.confidence
        if set(sections) <= set(verdict.decision.excepted_by):
            told[", ".join(sections)] = None
            if own and (mark := how_sure(own, judgement.book.verify_in)):
                marks[mark] = None
    return clean(", ".join(told)), clean("; ".join(marks))


def _cited(judgement: Judgement, verdict: Verdict, before: str, after: str = "") -> Said:
    declared = verdict.decision.rule.declared
    mark = clean(how_sure(declared.confidence, judgement.book.verify_in))
    sections = ", ".join(declared.cite)
    plain, marked = sections, f"{sections} ({mark})" if mark else sections
    return Said(clean(f"{before} {plain}{after}"), clean(f"{before} {marked}{after}"), mark)
