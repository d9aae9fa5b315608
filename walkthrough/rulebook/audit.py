"""Looks for what a ruleset says in vain: rules that never apply, ways out that never open."""

from __future__ import annotations

import re
from collections.abc import Hashable, Iterator
from typing import Any

from walkthrough.rulebook.diagram import TooManySituations
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.problems import Problem
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.rulebook.support import possible_outcomes


def audit(book: Rulebook) -> list[Problem]:
    """Warnings about the last file of a ruleset's chain; none of them stops it from being used."""
    return sorted((*_rules(book), *_words(book)))


def _rules(book: Rulebook) -> Iterator[Problem]:
    for rule in _own(book):
        try:
            outcomes = possible_outcomes(rule.conditions, book.vocabulary.words, rule.outcome)
            if not outcomes & {"met", "deficient", "ask the AHJ"}:
                yield _problem(book, ("rule", rule.id, "when"), f"'{rule.id}' can never apply")
                continue
            for number, exempt in enumerate(rule.exceptions):
                if not _can_open(book, rule, number):
                    where: TomlPath = ("rule", rule.id, "exceptions", number)
                    cites = ", ".join(exempt.declared.cite)
                    yield _problem(book, where, f"exception {cites} can never open")
            if rule.disputed and "ask the AHJ" not in outcomes:
                where = ("rule", rule.id, "disputed")
                yield _problem(book, where, f"the dispute of '{rule.id}' can never arise")
        except TooManySituations:
            yield _problem(book, ("rule", rule.id), f"'{rule.id}' has too many situations to check")


def _can_open(book: Rulebook, rule: Rule, number: int) -> bool:
    """Whether there is a situation in which this exception alone takes the rule away."""

    def alone(truths: tuple[bool, ...]) -> Hashable:
        others = [
            held for i, held in enumerate(truths[1 : 1 + len(rule.exceptions)]) if i != number
        ]
        return truths[0] and truths[1 + number] and not any(others)

    return True in possible_outcomes(rule.conditions, book.vocabulary.words, alone)


def _words(book: Rulebook) -> Iterator[Problem]:
    texts = [each for rule in book.rules.values() for each in _texts(rule)]
    texts += [condition.text for condition in book.terms.values()]
    texts += [condition.text for _, condition in book.gathers.values()]
    texts += [condition.text for condition in book.asked_when.values()]
    used = {word for text in texts for word in re.findall(r"[A-Za-z_]\w*", _unquoted(text))}
    for name in book.terms:
        if name not in used and name not in book.demands:
            yield from _unused(book, "term", name)
    for name in book.gathers:
        if name not in used:
            yield from _unused(book, "gather", name)


def _unused(book: Rulebook, section: str, name: str) -> Iterator[Problem]:
    # Told by the file that states the word: a later file may make use of it.
    if re.search(rf"(?m)^{re.escape(name)}\s*=|^\[{section}\.{re.escape(name)}\]", _text(book)):
        yield _problem(book, (section, name), f"{section} '{name}' is never used")


def _texts(rule: Rule) -> Iterator[str]:
    yield from (rule.when.text, rule.needs.text)
    yield from (exempt.when.text for exempt in rule.exceptions)
    yield from (dispute.when.text for dispute in rule.disputed)
    if rule.defect_when is not None:
        yield rule.defect_when.text


def _own(book: Rulebook) -> Iterator[Rule]:
    return (rule for name, rule in book.rules.items() if name in book.chain[-1].rules)


def _unquoted(text: str) -> str:
    return re.sub(r"'[^']*'", "", text)


def _text(book: Rulebook) -> str:
    return book.chain[-1].text


def _problem(book: Rulebook, path: TomlPath, message: str) -> Problem:
    source = book.chain[-1]
    place: Any = locate(source.text, path)
    return Problem(str(source.path), place[0], place[1], message)
