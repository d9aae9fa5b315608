"""Looks for what a ruleset says in vain or against itself, and for what it leaves unsaid."""

from __future__ import annotations

import itertools
import re
import tomllib
from collections.abc import Hashable, Iterator
from typing import Any

from walkthrough.rulebook.conditions import And, Not, leaves
from walkthrough.rulebook.diagram import TooManySituations
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.problems import Problem, nearest
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.rulebook.sections import misfits
from walkthrough.rulebook.support import possible_outcomes


def audit(book: Rulebook) -> list[Problem]:
    """Warnings about the last file of a ruleset's chain; none of them stops it from being used."""
    looks = (_rules, _words, _cures, _figures, _sections, _contradictions)
    return sorted(problem for look in looks for problem in look(book))


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


def _cures(book: Rulebook) -> Iterator[Problem]:
    """Rules of which a reader is not told what has to be done."""
    for rule in _own(book):
        unsaid = [each for each in rule.declared.cure if each not in book.cures]
        if unsaid and not rule.declared.remedy:
            hint = nearest(unsaid[0], book.cures)
            message = f"cure '{unsaid[0]}' has no plain words, and the rule no remedy; {hint}"
            yield _problem(book, ("rule", rule.id, "cure"), message)


def _figures(book: Rulebook) -> Iterator[Problem]:
    """Figures that a reader is told with no word on how well they are known."""
    own = tomllib.loads(_text(book))
    for word in own.get("explained", {}):
        each = book.explained[word]
        if re.search(r"\d", each.says) and not (each.confidence and each.source):
            message = f"'{word}' holds a figure: say its confidence and source"
            yield _problem(book, ("explained", word), message)
    for word, says in own.get("cure", {}).items():
        if re.search(r"\d", says):
            message = f"cure '{word}' holds a figure: it belongs into the remedy of a rule"
            yield _problem(book, ("cure", word), message)


def _sections(book: Rulebook) -> Iterator[Problem]:
    """Sections that no section of this edition looks like, and exceptions without a mark."""
    forms = book.section_forms
    if not forms:
        yield _problem(book, (), "no section_forms: a misprinted section would not be noticed")
    for rule in book.rules.values():
        own = rule.id in book.chain[-1].rules
        where: TomlPath = ("rule", rule.id) if own else ()
        sections = [*rule.declared.cite, *(c for e in rule.exceptions for c in e.declared.cite)]
        for section in dict.fromkeys(misfits(sections, forms) if forms else ()):
            hint = "" if own else f" (of '{rule.id}', stated in a file below)"
            yield _problem(book, where, f"'{section}' has none of the section forms{hint}")
        for number, exempt in enumerate(rule.exceptions):
            if own and exempt.declared.confidence is None:
                place: TomlPath = ("rule", rule.id, "exceptions", number)
                cites = ", ".join(exempt.declared.cite)
                yield _problem(book, place, f"exception {cites} says no confidence")


def _contradictions(book: Rulebook) -> Iterator[Problem]:
    """Pairs of rules that can bind one subject together and can never be fulfilled together."""
    own = book.chain[-1].rules
    rules = [rule for rule in book.rules.values() if rule.declared.status != "withdrawn"]
    for one, other in itertools.combinations(rules, 2):
        if one.declared.of != other.declared.of or not {one.id, other.id} & own:
            continue
        if one.needs.node == other.needs.node:
            continue
        # Only rules that ask about the very same can contradict; of others one has a way round.
        words = {*leaves(one.needs.node)}
        if words and words == {*leaves(other.needs.node)} and _contradict(one, other, book):
            here, there = (one, other) if one.id in own else (other, one)
            sections = f"{', '.join(here.declared.cite)} and {', '.join(there.declared.cite)}"
            message = f"'{here.id}' and '{there.id}' contradict each other ({sections})"
            yield _problem(book, ("rule", here.id, "needs"), message)


def _contradict(one: Rule, other: Rule, book: Rulebook) -> bool:
    bound = tuple(
        part
        for rule in (one, other)
        for part in (rule.when.node, *(Not(exempt.when.node) for exempt in rule.exceptions))
    )
    nodes = (And(bound), one.needs.node, other.needs.node)
    try:
        # Outcomes outside what binds both are of no interest: they are all told as one.
        found = possible_outcomes(
            (nodes[0], And(nodes[:2]), And((nodes[0], nodes[2]))),
            book.vocabulary.words,
            lambda truths: truths if truths[0] else None,
        )
    except TooManySituations:
        return False
    return (True, True, True) not in found and {(True, True, False), (True, False, True)} <= found


def _words(book: Rulebook) -> Iterator[Problem]:
    texts = [each for rule in book.rules.values() for each in _texts(rule)]
    texts += [condition.text for condition in book.terms.values()]
    texts += [condition.text for _, condition in book.gathers.values()]
    texts += [condition.text for condition in book.asked_when.values()]
    texts += [each.declared.first_when for each in book.dangers.values()]
    texts += [text for e in book.caveats.values() for text in (e.when.text, e.unless.text)]
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
