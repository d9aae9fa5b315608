"""Questions and choices that no ruleset makes use of, found over all rulesets together."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from collections.abc import Set as AbstractSet

from walkthrough.rulebook.conditions import Has, Node, leaves
from walkthrough.rulebook.declarations import Question
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.problems import Problem
from walkthrough.rulebook.rulebook import Rulebook, Source
from walkthrough.rulebook.telling import base_conditions, values_named


def idle(books: Sequence[Rulebook]) -> list[Problem]:
    """Warnings about words that rulesets ask for in vain; a base file is used by those above it."""
    found: dict[tuple[str, str], Problem] = {}
    bases = {base for book in books for node in _conditions(book) for base in base_conditions(node)}
    read = {word for base in bases for word in leaves(base)}
    read |= {word for book in books for word in _lens_words(book)}
    rows = {row for book in books for table in book.tables.values() for row in table.rows}
    for book in books:
        for name, question in book.questions.items():
            for message in _told(name, question, bases, read, rows):
                source = stated_in(book, name)
                place = locate(source.text, ("question", name))
                found[name, message] = Problem(str(source.path), *place[:2], message)
    return sorted(found.values())


def _told(
    name: str,
    question: Question,
    bases: AbstractSet[Node],
    read: AbstractSet[str],
    rows: AbstractSet[str],
) -> Iterator[str]:
    if name not in read:
        if not (question.record or question.feeds):
            yield f"question '{name}' is never read: no rule, calculation or record needs it"
        return
    if not question.choices:
        return
    named = values_named(name, bases) | {*question.record_only, *rows}
    unused = [each for each in question.choices if each not in named]
    unused = [each for each in unused if Has(each, name) not in bases]
    # One choice that no rule names is the rest; of two, rules cannot tell one from the other.
    if len(unused) > (question.kind != "tags"):
        listed = ", ".join(f"'{each}'" for each in unused)
        yield f"no rule makes use of {listed} of '{name}'"


def _conditions(book: Rulebook) -> Iterator[Node]:
    for rule in book.rules.values():
        yield from rule.conditions
        yield from (due.when.node for due in rule.deadlines)
        if rule.defect_when is not None:
            yield rule.defect_when.node
    yield from (condition.node for _, condition in book.gathers.values())
    yield from (condition.node for condition in book.settled_when.values())
    yield from (condition.node for condition in book.asked_when.values())
    yield from (each.first_when.node for each in book.dangers.values() if each.first_when)
    yield from (node for e in book.caveats.values() for node in (e.when.node, e.unless.node))


def _lens_words(book: Rulebook) -> Iterator[str]:
    for lens in book.as_built.values():
        for each in lens.years:
            yield each.take
            yield from (word for node in (each.when.node, each.must.node) for word in leaves(node))
        yield from lens.declared.made
        yield from (lens.declared.less, lens.declared.year_word)


def stated_in(book: Rulebook, name: str) -> Source:
    """The file of a ruleset's chain that states a question last."""
    heading = f"[question.{name}]"
    return next((each for each in reversed(book.chain) if heading in each.text), book.chain[-1])
