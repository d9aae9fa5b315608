"""What can be done at one place, judged by the rules themselves with the rest left open.

Whatever an action elsewhere could change (gathers over a circuit, counts, years) is unknown here.
A choice is left out only where a rule is deficient by Kleene's tables all the same: by their
monotony it is then deficient however the rest turns out, so nothing that the judge would accept
is ever lost.
"""

from __future__ import annotations

import copy
import itertools
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from typing import Any

from walkthrough.remedy.actions import Action, Actions, Change
from walkthrough.remedy.aim import Aim, kind_of
from walkthrough.remedy.loosen import ELSEWHERE, Loosened
from walkthrough.remedy.tree import expected_fill_in3
from walkthrough.remedy.unsettle import Unsettled
from walkthrough.remedy.work import Changes, changed
from walkthrough.rulebook.decide import decide
from walkthrough.rulebook.declarations import FindingKind
from walkthrough.rulebook.rulebook import Rule
from walkthrough.rulebook.situation import Situation
from walkthrough.survey.model import Outlet, Subject

Around = tuple[tuple[str, Any], ...]
_AFCI_AT = ("afci_at_origin", "afci_at_first_receptacle")
_BOX = "box_"
_FILL = "box_fill_in3"


@dataclass(frozen=True)
class Ruled:
    """Why a set of actions does not do at a place: what has to change for it."""

    words: frozenset[str]
    chosen: tuple[Action, ...] = ()
    rule: Rule | None = None
    says: str = ""
    quiet: bool = False
    another_kind: bool = False


class Place:
    """One outlet or circuit: what actions change there, and which rules are broken then.

    `lifts` names conditions that do not bar. With `exact`, a rule also counts as broken where
    every way of knowing what is unknown leads there, as the judge has it; that takes longer.
    """

    def __init__(
        self,
        loosened: Sequence[Loosened],
        subject: Subject,
        actions: Actions,
        aim: Aim,
        year: int,
        lifts: Collection[str] = (),
        exact: bool = False,
    ) -> None:
        self._loose, *others = loosened
        house = self._loose.house
        self.house, self.subject, self.actions, self.lifts = house, subject, actions, lifts
        self.exact = exact
        self.aim, self.year = aim, year
        self.key = house.key(subject)
        self.above = house.above(subject)
        self.keeps = actions.keeps.truth(house.situation(subject)) is True
        # What a choice of protection settles: rules that read none of it are judged once for all.
        self._fixed = house.book.vocabulary.protection | {*_AFCI_AT}
        self._movable = actions.changeable[subject.of] | self._fixed
        self._found: dict[str, Any] = {}
        self._performed: dict[Any, tuple[dict[str, Any], Ruled | None]] = {}
        self._besides: dict[Any, dict[str, tuple[Change, ...]]] = {}
        self._judged: dict[Any, Rule | None] = {}
        self._came: dict[Any, dict[str, list[tuple[FindingKind, frozenset[str]]]]] = {}
        self._known: dict[Any, list[Situation]] = {}
        self._after: dict[Any, Situation] = {}
        self._expected = expected_fill_in3(house, subject) if isinstance(subject, Outlet) else None
        self._steady: Mapping[str, Any] = {}
        self._unsettled = Unsettled(house, subject)
        own = tuple(self._live(house.book.rules_of.get(subject.of, ())))
        self._plain = [each for each in own if not each.words & self._fixed]
        self._protecting = [each for each in own if each.words & self._fixed]
        # What is done is worked out once; each further ruleset judges it with words of its own.
        self._also = tuple(Place([e], subject, actions, aim, year, lifts, exact) for e in others)
        for each in self._also:
            each._performed = self._performed
        self.rules: tuple[Rule, ...] = (*own, *(rule for each in self._also for rule in each.rules))
        self.here = self._possible()

    def aimed(self, aim: Aim) -> Place:
        """The same place with something else to clear; what was worked out is worked out."""
        other = copy.copy(self)
        other.aim, other._judged = aim, {}
        other._also = tuple(each.aimed(aim) for each in self._also)
        other.here = other._possible()
        return other

    def _possible(self) -> tuple[Action, ...]:
        """The actions here; those that are there for one cure only where that is asked for."""
        before, counts = self.aim.before, self.aim.counts
        asked = {
            cure
            for rule in self.rules
            for cure in rule.declared.cure
            if (kind := before.get((*self.key, rule.id))) and counts(rule, kind, self.key)
        }
        here = self.actions.at[self.subject.of]
        return tuple(e for e in here if not e.declared.only_for or asked & set(e.declared.only_for))

    def facts(self, changes: Changes, around: Changes) -> Situation:
        """What is known here after changes at the place and around it."""
        questions = self.house.book.questions

        def provide(word: str) -> Any:
            if word in changes or word in around:
                value = changes[word] if word in changes else around[word]
                return questions[word].presume if value is None else value
            if word == _FILL and any(each.startswith(_BOX) for each in changes):
                after = changed(self.subject, changes, questions)
                return self.house.value(word, {**self.above, self.subject.of: after})
            return self._as_found(word)

        return Situation(self._steady, self.house.book.terms, provide)

    def _as_found(self, word: str) -> Any:
        """What is known here before any change, as far as nothing elsewhere can change it."""
        if word in ELSEWHERE or word in self._fixed:
            return None
        if word in self.house.book.gathers:
            return self._gathered(word)
        if word not in self._found:
            self._found[word] = self.house.situation(self.subject).known(word)
        return self._found[word]

    def perform(
        self, chosen: Sequence[Action], around: Around
    ) -> tuple[dict[str, Any], Ruled | None]:
        """What actions change here, one after the other, and the first condition that rules out."""
        key = (*chosen, around)
        if key not in self._performed:
            also = self._besides[key] = {}
            self._performed[key] = self._perform(chosen, around, also)
        return self._performed[key]

    def perform_anyway(self, chosen: Sequence[Action], around: Around) -> dict[str, Any]:
        """What actions would change here if nothing ruled any of them out."""
        return self._perform(chosen, around, {}, anyway=True)[0]

    def besides(self, chosen: Sequence[Action], around: Around) -> Mapping[str, tuple[Change, ...]]:
        """Those further changes of each action, by its id, whose condition held in its turn."""
        self.perform(chosen, around)
        return self._besides[(*chosen, around)]

    def _perform(
        self,
        chosen: Sequence[Action],
        around: Around,
        told: dict[str, tuple[Change, ...]],
        anyway: bool = False,
    ) -> tuple[dict[str, Any], Ruled | None]:
        changes: dict[str, Any] = {}
        for number, action in enumerate(chosen):
            done = (*chosen[:number], around)
            facts = self._facts_after(done, changes)
            if not anyway and (ruled := self._ruled_out(action, facts)) is not None:
                return changes, ruled
            declared = action.declared
            also = tuple(each for each in action.changes if each.condition.truth(facts) is True)
            told[action.id] = also
            changes.update(dict.fromkeys(declared.forgets))
            changes.update(declared.sets)
            changes.update(dict.fromkeys(declared.year, self.year))
            for each in also:
                changes.update(each.sets)
        return changes, None

    def _facts_after(self, done: Any, changes: Changes) -> Situation:
        """What is known here once some actions have changed what they change; kept."""
        if done not in self._after:
            self._after[done] = self.facts(dict(changes), dict(done[-1]))
        return self._after[done]

    def _ruled_out(self, action: Action, facts: Situation) -> Ruled | None:
        """What speaks against an action as things stand; None where nothing does."""
        lacking = (each for each in action.needs if each.condition.truth(facts) is not True)
        barring = (e for e in action.bars if e.name not in self.lifts and e.bars(facts))
        for each in itertools.chain(lacking, barring):
            kind = each.another_kind
            return Ruled(each.words, (action,), None, each.told(facts), each.quiet, kind)
        if action.declared.fits_box and (full := self._too_full(facts)):
            return Ruled(frozenset({"box_volume_in3"}), (action,), says=full)
        return None

    def _too_full(self, facts: Situation) -> str:
        """What tells that a box which was not opened is too small by the wiring tree."""
        volume = facts.known("box_volume_in3")
        if volume is None or facts.known(_FILL) is not None or self._expected is None:
            return ""
        if self._expected <= volume:
            return ""
        return f"by the wiring the box holds about {self._expected:g} in3, and it has {volume:g}"

    def broken(
        self,
        chosen: Sequence[Action],
        around: Around,
        protection: Mapping[str, Any] | None,
        left: frozenset[str] = frozenset(),
    ) -> Rule | None:
        """A rule that is broken here whatever happens elsewhere, after actions that do not bar.

        None where there is none but those `left`, which are named by their ids. Without
        `protection` only rules that read none of it are looked at.
        """
        done = (*chosen, around)
        for rules, fixed in ((self._plain, {}), (self._protecting, protection)):
            if fixed is None:
                continue
            key = (done, tuple(fixed.items()), left)
            if key not in self._judged:
                self._judged[key] = self._first_broken(rules, done, fixed, left)
            if self._judged[key] is not None:
                return self._judged[key]
        others = (each.broken(chosen, around, protection, left) for each in self._also)
        return next((each for each in others if each is not None), None)

    def _readings(self, done: Any, fixed: Mapping[str, Any]) -> list[Situation]:
        """What is known here after the work: as replaced, and as what was there before."""
        if done not in self._known:
            changes, around = self._performed[done][0], done[-1]
            self._known[done] = [self._facts_after(done, changes)]
            kept = self.actions.kept_words
            if self.keeps and not kept.isdisjoint(changes):
                was = {word: value for word, value in changes.items() if word not in kept}
                self._known[done].append(self.facts(was, dict(around)))
        return [each.with_more(fixed) for each in self._known[done]] if fixed else self._known[done]

    def _first_broken(
        self, rules: list[Rule], done: Any, fixed: Mapping[str, Any], left: frozenset[str]
    ) -> Rule | None:
        readings: list[Situation] = []
        by_reading: tuple[Changes, ...] = ()
        came = self._came.setdefault((done, tuple(fixed.items())), {})
        for number, rule in enumerate(rules):
            if rule.id in left:
                continue
            found = came.get(rule.id)
            if found is None:
                if not readings:
                    readings = self._readings(done, fixed)
                    by_reading = self._changes(done)
                found = came[rule.id] = [
                    (kind, self.actions.binding & changes.keys())
                    for facts, changes in zip(readings, by_reading, strict=False)
                    if (kind := self._outcome(rule, facts, changes)) is not None
                ]
            if found and any(self.aim.counts(rule, kind, self.key, anew) for kind, anew in found):
                # What was broken once is likely to be broken again: it is looked at first.
                rules.insert(0, rules.pop(number))
                return rule
        return None

    def _changes(self, done: Any) -> tuple[Changes, Changes]:
        """What the work here and at the panel changes, for each of the readings."""
        anew = {**dict(done[-1]), **self._performed[done][0]}
        kept = self.actions.kept_words
        return anew, {word: value for word, value in anew.items() if word not in kept}

    def _outcome(self, rule: Rule, facts: Situation, changes: Changes) -> FindingKind | None:
        """The kind of a deficiency by a rule, or of what may be one by the work; None for none."""
        if self.exact:
            decision = decide(rule, facts, self.house.book)
            if decision.outcome == "deficient":
                return decision.kind
        elif rule.is_deficient(facts):
            return kind_of(rule, facts)
        return kind_of(rule, facts) if self._unsettled.by(rule, changes, facts) else None

    def _live(self, rules: Iterable[Rule]) -> Iterator[Rule]:
        """The rules whose outcome here can come to be deficient by anything that can change."""
        facts = Situation({}, self.house.book.terms, self._loosened)
        # What comes out with everything open that can change is the same in every case.
        self._steady = facts
        for rule in rules:
            if rule.declared.kind != "note" and rule.deficient.truth(facts) is not False:
                yield rule

    def _loosened(self, word: str) -> Any:
        return None if word in self._movable else self._as_found(word)

    def _gathered(self, word: str) -> bool | None:
        gather, _ = self.house.book.gathers[word]
        return self._loose.gathered(word, self.above) if gather.of in self.above else None
