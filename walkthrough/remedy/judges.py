"""Judges a record before and after work, under every ruleset that a plan has to satisfy."""

from __future__ import annotations

import copy
import datetime
import re
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from walkthrough.judge.house import House, SubjectKey
from walkthrough.judge.judge import Judgement, Verdict, judge_house, verdicts_on
from walkthrough.judge.matter import counting, matter
from walkthrough.remedy.actions import Actions
from walkthrough.remedy.aim import Aim, kind_of
from walkthrough.remedy.loosen import Broken
from walkthrough.remedy.unsettle import Unsettled
from walkthrough.remedy.work import Changes, Work, applied
from walkthrough.rulebook.explain import spoken
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.survey.model import AnswerValue, Circuit, Outlet, Session, Subject
from walkthrough.trade.protection import Open

_PLACEHOLDER = re.compile(r"\{(\w+)\}")


@dataclass(frozen=True)
class Breach:
    """A rule that is broken at a subject, in its own words."""

    key: Broken
    rule: Rule
    says: str


def told_apart(books: Sequence[Rulebook]) -> tuple[Rulebook, ...]:
    """Rulesets whose rules have no id in common: those after the first put their name before it."""
    first, *others = books
    return (first, *(_renamed(each) for each in others))


def _renamed(book: Rulebook) -> Rulebook:
    rules = (replace(each, id=f"{book.id}/{each.id}") for each in book.rules.values())
    return replace(book, rules={each.id: each for each in rules})


class Judges:
    """A record under some rulesets whose rules are told apart; protection not shown is none.

    `only` are the deficiencies that are to be cleared, if it is not all of the scope.
    """

    def __init__(
        self,
        session: Session,
        books: Sequence[Rulebook],
        actions: Actions,
        scope: str,
        day: datetime.date,
        only: Collection[Broken] | None = None,
    ) -> None:
        self.session, self.books, self.actions, self.day = session, tuple(books), actions, day
        self._scope, self._only = scope, only
        self.houses = self.of(session)
        self._settled: dict[tuple[int, SubjectKey], Unsettled] = {}

    def of(self, record: Session) -> tuple[House, ...]:
        """A record as each of the rulesets sees it."""
        return tuple(House(record, book, self.day, unsure=False) for book in self.books)

    @cached_property
    def found(self) -> tuple[Judgement, ...]:
        """What each ruleset finds before the work."""
        return tuple(judge_house(house) for house in self.houses)

    @cached_property
    def deficient(self) -> Mapping[Broken, Verdict]:
        """The verdicts that are deficient before the work."""
        return {
            (each.of, each.subject, each.decision.rule.id): each
            for judgement in self.found
            for each in judgement.verdicts
            if each.decision.outcome == "deficient"
        }

    @cached_property
    def unshown(self) -> Mapping[Broken, tuple[Open, ...]]:
        """What is deficient only because protection was not shown, and the answers it waits for.

        A plan may not rely on such protection, but nobody has found that it is not there.
        """
        found: dict[Broken, tuple[Open, ...]] = {}
        for book in self.books:
            house = House(self.session, book, self.day)
            for subject in dict.fromkeys(key[:2] for key in self.deficient):
                for each in verdicts_on(house, house.subjects[subject]):
                    key = (each.of, each.subject, each.decision.rule.id)
                    if key in self.deficient and each.decision.outcome == "undecided":
                        found[key] = each.waits_for
        return found

    @cached_property
    def aim(self) -> Aim:
        """What the plan has to clear."""
        kinds = {key: each.decision.kind for key, each in self.deficient.items()}
        cures: dict[tuple[str, str], frozenset[str]] = {}
        for (of, name, _), each in self.deficient.items():
            here = cures.get((of, name), frozenset())
            cures[of, name] = here.union(each.decision.rule.declared.cure)
        return Aim(self.actions.scopes[self._scope], kinds, cures, self._only)

    def narrowed(self, only: Collection[Broken] | None) -> Judges:
        """The same with other deficiencies to clear; what was found is not judged again."""
        made = copy.copy(self)
        made._only = only
        made.found, made.deficient, made.unshown = self.found, self.deficient, self.unshown
        made.__dict__.pop("aim", None)
        return made

    def told_once(self, key: Broken) -> Broken:
        """One name for what counts once, as in every report: what one cure clears at one place."""
        return self._once.get(key) or self._once.get(self._unnamed(key)) or self._unnamed(key)

    @cached_property
    def _once(self) -> dict[Broken, Broken]:
        keys = list(self.deficient)
        matters = [
            matter(each, self.severity(each), self._unnamed(key)[2])
            for key, each in self.deficient.items()
        ]
        leads = [keys[number] for number in counting(matters)]
        once = {self._unnamed(key): lead for key, lead in zip(keys, leads, strict=True)}
        return {**once, **dict(zip(keys, leads, strict=True))}

    def _unnamed(self, key: Broken) -> Broken:
        """A rule that is broken, without the name of its ruleset before it."""
        of, name, rule = key
        by = next((each for each in self.books[1:] if rule.startswith(f"{each.id}/")), None)
        return (of, name, rule.removeprefix(f"{by.id}/")) if by is not None else key

    def severity(self, verdict: Verdict) -> str:
        """How grave a verdict is."""
        return self.found[0].severity(verdict)

    def says(self, verdict: Verdict) -> str:
        """A verdict in the words of its ruleset."""
        at = next(each for each in self.found if verdict.decision.rule.id in each.book.rules)
        return at.says(verdict)

    @cached_property
    def disputed(self) -> list[Verdict]:
        """What only the authority having jurisdiction can settle."""
        return [verdict for each in self.found for verdict in each.disputed]

    @cached_property
    def undecided(self) -> list[Verdict]:
        """What is open, as something was not told."""
        return [verdict for each in self.found for verdict in each.undecided]

    def broken(
        self, works: Sequence[Work], subjects: Iterable[Subject] | None, exact: bool
    ) -> list[Breach]:
        """What is still found in the scope after the work, or what the work brings about.

        Added outlets whose device is changed are judged twice: as replaced, and as what they were.
        `exact` is the judge's own decision; without it Kleene's tables do, which find no more.
        """
        after = applied(self.session, works, self.books[0].questions)
        keys = None if subjects is None else {self.houses[0].key(each) for each in subjects}
        found: dict[Broken, Breach] = {}
        changes = self._changes(works)
        kept = self.actions.kept_words
        as_before = {
            key: {word: value for word, value in each.items() if word not in kept}
            for key, each in changes.items()
        }
        for record, by_work in ((after, changes), (self._as_before(after), as_before)):
            for number, house in enumerate(() if record is None else self.of(record)):
                for key, subject in house.subjects.items():
                    if keys is None or key in keys:
                        here = by_work.get(key, {})
                        for rule in self._deficient(number, house, subject, exact, here):
                            name = (*key, rule.id)
                            found.setdefault(name, Breach(name, rule, _says(rule, house, subject)))
        return list(found.values())

    def _changes(self, works: Iterable[Work]) -> Mapping[SubjectKey, Changes]:
        """By place, the answers that work sets; a circuit's hold on it."""
        house, found = self.houses[0], dict[SubjectKey, dict[str, AnswerValue | None]]()
        for done in (done for work in works for done in work.done):
            circuit = house.subjects.get((done.of, done.at))
            on = house.wiring.on(circuit) if isinstance(circuit, Circuit) else ()
            for key in ((done.of, done.at), *map(house.key, on)):
                found.setdefault(key, {}).update(done.changes)
        return found

    def _unsettled(self, number: int, key: SubjectKey) -> Unsettled | None:
        house = self.houses[number]
        if (number, key) not in self._settled and key in house.subjects:
            self._settled[number, key] = Unsettled(house, house.subjects[key])
        return self._settled.get((number, key))

    def _deficient(
        self, number: int, house: House, subject: Subject, exact: bool, changes: Changes
    ) -> Iterator[Rule]:
        key = house.key(subject)
        anew = self.actions.binding & changes.keys()
        if exact:
            unsettled = self._unsettled(number, key) if changes else None
            for decision in house.decisions(subject):
                before = self.deficient.get((*key, decision.rule.id))
                # What was found and is now merely not known any more is not cleared.
                is_open = decision.outcome == "undecided"
                open_now = before is not None and is_open
                kind = before.decision.kind if before and open_now else decision.kind
                deficient = open_now or decision.outcome == "deficient"
                if is_open and not deficient and unsettled is not None:
                    after = house.situation(subject)
                    deficient = unsettled.by(decision.rule, changes, after)
                if deficient and self.aim.counts(decision.rule, kind, key, anew):
                    yield decision.rule
            return
        facts = house.situation(subject)
        for rule in house.book.rules_of.get(subject.of, ()):
            if rule.is_deficient(facts) and self.aim.counts(rule, kind_of(rule, facts), key, anew):
                yield rule

    def _as_before(self, after: Session) -> Session | None:
        """The record after the work, but added outlets still said to be added ones."""
        words = self.actions.kept_words
        was = self.session.references(self.session.outlets)
        outlets: list[Outlet] = []
        differs = False
        for name, each in after.references(after.outlets).items():
            old = was.get(name, each)
            keeps = self.actions.keeps.truth(self.houses[0].situation(old)) is True
            if keeps and any(old.answer(word) != each.answer(word) for word in words):
                differs = True
                kept = {w: v for w, v in each.answers.items() if w not in words}
                kept.update({w: v for w, v in old.answers.items() if w in words})
                outlets.append(each.model_copy(update={"answers": kept}))
            else:
                outlets.append(each)
        return after.model_copy(update={"outlets": outlets}) if differs else None


def _says(rule: Rule, house: House, subject: Subject) -> str:
    facts = house.situation(subject)
    return _PLACEHOLDER.sub(
        lambda match: spoken(match[1], facts.known(match[1]), house.book), rule.declared.says
    )
