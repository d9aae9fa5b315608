"""Runs rule cases: small situations with the outcome that each rule must give."""

from __future__ import annotations

import datetime
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from walkthrough.judge.case_files import (
    STRUCTURE,
    Case,
    flat,
    house_of,
    meant,
    problems_of,
    read_cases,
)
from walkthrough.judge.house import House
from walkthrough.rulebook.decide import decide
from walkthrough.rulebook.decision import Decision
from walkthrough.rulebook.declarations import Outcome
from walkthrough.rulebook.load import load
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.rulebook.situation import Situation
from walkthrough.survey.model import Session, Subject, Visit


@dataclass(frozen=True)
class Result:
    """How one case came out; `slips` is empty when all was as expected."""

    path: str
    line: int
    about: str
    ruleset: str
    decided: _Decisions = field(repr=False)
    slips: tuple[str, ...]

    @property
    def decisions(self) -> Mapping[str, Decision]:
        """What every rule says of the case."""
        return {name: self.decided[name] for name in self.decided.book.rules}

    @property
    def passed(self) -> bool:
        return not self.slips


@dataclass(frozen=True)
class Run:
    """The cases of one file that could be run, and what is wrong with the others."""

    results: tuple[Result, ...]
    problems: tuple[Problem, ...]


def run_file(
    path: Path, ruleset: str | Path | None = None, folders: Sequence[Path] | None = None
) -> Run:
    """Run the cases of a file; raises Unusable if the file as a whole cannot be read.

    `ruleset` replaces the one that the file names.
    """
    cases, text = read_cases(path)
    books: dict[str, Rulebook] = {}
    problems: list[Problem] = []
    results: list[Result] = []
    for number, case in enumerate(cases.case):
        name = case.ruleset or cases.ruleset if ruleset is None else str(ruleset)
        if not name and ruleset is None:
            message = 'no ruleset named: write ruleset = "..." at the top or in the case'
            raise Unusable([Problem(str(path), *locate(text, ("case", number)), message)])
        if name not in books:
            books[name] = load(name if ruleset is None else ruleset, folders)
        slips = list(problems_of(case, number, books[name], text, str(path)))
        problems += slips
        if not slips:
            line = locate(text, ("case", number))[0]
            results.append(_run(case, books[name], str(path), line))
    return Run(tuple(results), tuple(problems))


def situation_of(case: Case, book: Rulebook) -> tuple[Situation, House]:
    """The facts of a case: its words as given, the rest traced in a house of one circuit."""
    words = book.vocabulary.words
    given = {word: meant(value, words.get(word)) for word, value in flat(case.given).items()}
    day = given.get("date") or book.in_force_from
    given = _with_defaults(given, book, day)
    house = House(_session_of(case, given, book), book)
    subject = house.wiring.outlets[case.subject]
    inner = house.situation(subject)
    # Counts need the whole circuit: without a wiring they are not known.
    counted = ("receptacles_on_circuit", "outlets_on_circuit") if not case.wiring else ()

    def provide(word: str) -> Any:
        return None if word in counted else inner.known(word)

    values = {word: value for word, value in given.items() if value is not None}
    hidden = {word for word, value in given.items() if value is None}
    return Situation(
        values, book.terms, lambda word: None if word in hidden else provide(word)
    ), house


def _with_defaults(given: Mapping[str, Any], book: Rulebook, day: Any) -> dict[str, Any]:
    """What a case gives, and what it means by leaving other words out."""
    meant_too: dict[str, Any] = {}
    for word, question in book.questions.items():
        default = next((each for each in question.case_default if each.holds_for(given)), None)
        if default is None:
            continue
        if default.choice:
            meant_too[word] = default.choice
        elif default.number is not None:
            meant_too[word] = default.number
        elif default.year_of_the_day and isinstance(day, datetime.date):
            meant_too[word] = day.year
    return {**meant_too, **given}


def _session_of(case: Case, given: Mapping[str, Any], book: Rulebook) -> Session:
    session = house_of(case)
    for outlet, told in zip(session.outlets, case.wiring, strict=False):
        for word, value in told.items():
            if word not in STRUCTURE:
                reading = word in book.questions and book.questions[word].reading
                (outlet.readings if reading else outlet.answers)[word] = meant(
                    value, book.vocabulary.words.get(word)
                )
    holders: dict[str, Subject] = {
        "outlet": next(each for each in session.outlets if each.id == case.subject),
        "room": session.rooms[0],
        "circuit": session.circuits[0],
        "panel": session.panels[0],
    }
    for word, value in given.items():
        question = book.questions.get(word)
        if question is not None and value is not None:
            holder = holders.get(question.of[0], session.dwelling)
            (holder.readings if question.reading else holder.answers)[word] = value
    day = given.get("date") or book.in_force_from
    if isinstance(day, datetime.date):
        session.visits.append(Visit(date=day))
    return session


def _run(case: Case, book: Rulebook, path: str, line: int) -> Result:
    facts, house = situation_of(case, book)
    decisions = _Decisions(facts, book)
    slips: list[str] = []
    for name, wanted in case.expect.items():
        came = decisions[name].outcome
        if came != wanted:
            waits = ", ".join(decisions[name].waits_for)
            slips.append(
                f"{name}: expected {wanted}, came out {came}" + (f" ({waits})" if waits else "")
            )
    topics = {book.rules[name].declared.topic for name in case.expect} | set(case.expect_topics)
    if case.expect_cites is not None:

        def demands(rule: Rule) -> bool:
            # A rule that stays open for want of words that the case does not give says nothing.
            decision = decisions[rule.id]
            return decision.demanded and (decision.outcome != "undecided" or rule.id in case.expect)

        topics |= {
            rule.declared.topic
            for rule in book.rules.values()
            if not set(rule.declared.cite).isdisjoint(case.expect_cites) and demands(rule)
        }
        found = {
            section
            for rule in book.rules.values()
            if rule.declared.topic in topics and demands(rule)
            for section in rule.declared.cite
        }
        if found != set(case.expect_cites):
            slips.append(
                f"sections: expected {_listed(case.expect_cites)}, came out {_listed(found)}"
            )
    for topic, wanted in case.expect_topics.items():
        worst_came = of_topic(
            [decisions[name] for name, rule in book.rules.items() if rule.declared.topic == topic]
        )
        if worst_came != wanted:
            slips.append(f"topic {topic}: expected {wanted}, came out {worst_came}")
    if case.waits_for is not None:
        waiting = {
            word
            for name in case.expect
            if decisions[name].outcome == "undecided"
            for word in decisions[name].waits_for
        }
        subject = house.wiring.outlets[case.subject]
        opened = {
            question
            for word in waiting
            for question in (
                [each for _, each in house.open_questions(subject, word)]
                if word not in case.waits_for
                else [word]
            )
        }
        if opened != set(case.waits_for):
            slips.append(f"waits for: expected {_listed(case.waits_for)}, came {_listed(opened)}")
    return Result(path, line, case.about, book.id, decisions, tuple(slips))


class _Decisions(dict[str, Decision]):
    """What the rules say of a case, each judged when it is asked for: most cases ask for few."""

    def __init__(self, facts: Situation, book: Rulebook) -> None:
        super().__init__()
        self._facts = facts
        self.book = book

    def __missing__(self, name: str) -> Decision:
        self[name] = decide(self.book.rules[name], self._facts, self.book)
        return self[name]


def of_topic(decisions: Sequence[Decision]) -> Outcome:
    """The outcome of a topic: the worst one of its rules.

    A rule that stays open but can turn out no worse than met takes nothing from another that is.
    """
    settled = worst(each.outcome for each in decisions if each.outcome != "undecided" or each.asks)
    if settled in ("excepted", "not applicable"):
        return worst(each.outcome for each in decisions)
    return settled


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """The outcome that weighs most among several."""
    order: tuple[Outcome, ...] = (
        "deficient",
        "ask the AHJ",
        "undecided",
        "met",
        "excepted",
        "not applicable",
    )
    return min(outcomes, key=order.index, default="not applicable")


def _listed(words: Iterable[str]) -> str:
    return ", ".join(sorted(words)) or "none"
