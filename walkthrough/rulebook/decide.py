"""One rule on one subject: the outcome, and for an open one exactly what would decide it."""

from __future__ import annotations

import functools
from collections.abc import Hashable
from dataclasses import dataclass
from typing import Any, cast

from walkthrough.rulebook.decision import Decision
from walkthrough.rulebook.declarations import Outcome
from walkthrough.rulebook.diagram import TooManySituations
from walkthrough.rulebook.kleene import either
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.rulebook.situation import Situation
from walkthrough.rulebook.support import deciding_words

_HELD_AGAINST = ("deficient", "ask the AHJ")


def decide(rule: Rule, situation: Situation, book: Rulebook) -> Decision:
    """Judge one rule; Kleene's logic first, and the deciding words where that leaves it open."""
    applies = rule.when.truth(situation)
    if applies is False:
        return rule.not_applicable
    excepted = either(exempt.when.truth(situation) for exempt in rule.exceptions)
    if applies and excepted:
        return _finish(rule, situation, "excepted")
    if applies and excepted is False:
        fulfilled = rule.needs.truth(situation)
        if fulfilled:
            return _finish(rule, situation, "met")
        if fulfilled is False:
            asked = either(dispute.when.truth(situation) for dispute in rule.disputed)
            if asked is not None:
                return _finish(rule, situation, "ask the AHJ" if asked else "deficient")
    demanded = bool(applies and excepted is False)
    waits_for, outcome, asks = _open_words(rule, situation, book)
    if outcome is not None:
        # Every way of answering the open questions leads to the same outcome.
        return _finish(rule, situation, outcome)
    kind = rule.declared.kind
    return Decision(rule, "undecided", kind, waits_for, demanded=demanded, asks=asks)


def decide_all(of: str, situation: Situation, book: Rulebook) -> list[Decision]:
    """Judge every rule on one kind of subject, in the order of `book.rules_of`."""
    if of not in book.together:
        return []
    return book.together[of](situation, _finish, lambda rule, facts: decide(rule, facts, book))


def _finish(rule: Rule, situation: Situation, outcome: Outcome) -> Decision:
    kind = rule.declared.kind
    if rule.defect_when is not None and rule.defect_when.truth(situation):
        kind = "defect"
    excepted_by: tuple[str, ...] = ()
    readings: tuple[str, ...] = ()
    if outcome == "excepted":
        excepted_by = tuple(
            section
            for exempt in rule.exceptions
            if exempt.when.truth(situation)
            for section in exempt.declared.cite
        )
    elif outcome == "ask the AHJ":
        readings = tuple(
            reading
            for dispute in rule.disputed
            if dispute.when.truth(situation) is not False
            for reading in dispute.readings
        )
    return rule.decided(outcome)._replace(kind=kind, excepted_by=excepted_by, readings=readings)


def _open_words(
    rule: Rule, situation: Situation, book: Rulebook
) -> tuple[tuple[str, ...], Outcome | None, tuple[str, ...]]:
    known = tuple((word, _frozen(situation.known(word))) for word in sorted(rule.words))
    return _cached_words(_ByIdentity(rule, book), known)


def _frozen(value: Any) -> Hashable:
    return tuple(value) if isinstance(value, list) else cast(Hashable, value)


@dataclass(frozen=True, eq=False)
class _RuleInBook:
    rule: Rule
    book: Rulebook


class _ByIdentity(_RuleInBook):
    """A cache key: rules of a loaded ruleset never change, so identity is enough."""

    def __eq__(self, other: object) -> bool:
        return isinstance(other, _ByIdentity) and other.rule is self.rule

    def __hash__(self) -> int:
        return id(self.rule)


@functools.lru_cache(maxsize=50_000)
def _cached_words(
    key: _ByIdentity, known: tuple[tuple[str, Hashable], ...]
) -> tuple[tuple[str, ...], Outcome | None, tuple[str, ...]]:
    values = dict(known)
    rule = key.rule
    try:
        words, outcome = deciding_words(
            rule.conditions, values.get, key.book.vocabulary.words, rule.outcome
        )
    except TooManySituations:
        every = tuple(word for word, value in known if value is None)
        return every, None, every
    if outcome is not None:
        return words, cast("Outcome | None", outcome), ()

    def held(truths: tuple[bool, ...]) -> Hashable:
        came = rule.outcome(truths)
        return came if came in _HELD_AGAINST else None

    asks, _ = deciding_words(rule.conditions, values.get, key.book.vocabulary.words, held)
    return words, None, asks
