"""What really changes from one ruleset to another: found by deciding every distinguishable case.

For each topic and kind of subject, the rules of a ruleset together hold something against a
subject (deficient), leave it in question (ask the AHJ), or do not. Each rule of either ruleset is
set against all rules of its topic in the other one. Wording, order and the names of rules do not
count.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from walkthrough.rulebook.conditions import Compare as Comparison
from walkthrough.rulebook.conditions import InRow, LookUp, OneOf
from walkthrough.rulebook.covers import Cube, cover
from walkthrough.rulebook.declarations import Gather, Question
from walkthrough.rulebook.diagram import Diagram, TooManySituations
from walkthrough.rulebook.idle import stated_in
from walkthrough.rulebook.locate import locate
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.rulebook.residue import Atom
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.rulebook.telling import base_conditions
from walkthrough.rulebook.turns import Change, Turns, in_use, opened, signed_tags


@dataclass(frozen=True)
class GatherChange:
    """Subjects that a word over all subjects below another one counts only in one ruleset."""

    word: str
    now: bool
    diagram: Diagram
    cubes: tuple[Cube, ...]
    named: frozenset[Atom]


@dataclass(frozen=True)
class TableChange:
    """A row of a table that calculations read; None where a ruleset does not have it."""

    table: str
    row: str
    was: object
    now: object


@dataclass(frozen=True)
class Compared:
    """All that changes from one ruleset to another."""

    changes: tuple[Change, ...]
    gathers: tuple[GatherChange, ...]
    tables: tuple[TableChange, ...]
    asked: tuple[tuple[str, Question, Question], ...]
    """Words that stand in rules of both and are asked, measured or presumed otherwise."""
    counted: tuple[tuple[str, Gather, Gather], ...]
    """Words over many subjects that count them otherwise: all for any, three for one."""
    graded: tuple[tuple[Rule, Rule], ...]
    """Rules that stand in both and weigh otherwise, or give another time for the correction."""
    moved: tuple[tuple[Rule, Rule], ...]
    moved_tables: tuple[tuple[str, str, str], ...]
    too_many: tuple[str, ...]


def compare(old: Rulebook, new: Rulebook) -> Compared:
    """What changes from one ruleset to the other."""
    _refuse_other_kinds(old, new)
    turns = Turns(old, new)
    changes = [
        *(each for rule in in_use(new) for each in turns.held_now(rule)),
        *(each for rule in in_use(old) for each in turns.gone(rule)),
    ]
    return Compared(
        tuple(changes),
        tuple(_gathers(old, new, turns)),
        tuple(_tables(old, new)),
        tuple(_asked(old, new)),
        tuple(_counted(old, new)),
        tuple(_graded(old, new)),
        tuple(_moved(old, new)),
        tuple(_moved_tables(old, new)),
        tuple(turns.too_many),
    )


def _gathers(old: Rulebook, new: Rulebook, turns: Turns) -> Iterator[GatherChange]:
    for word, (_, condition) in new.gathers.items():
        if word not in old.gathers:
            continue
        before = opened(old.gathers[word][1].node, turns.opaque)
        after = opened(condition.node, turns.opaque)
        if before == after:
            continue
        try:
            diagram = Diagram((before, after), turns.words, lambda truths: truths)
        except TooManySituations:
            turns.too_many.append(word)
            continue
        for now in (True, False):
            wanted = (not now, now)
            if wanted in diagram.leaves:
                # Within what counts on the side that counts more, that much is enough to say.
                beyond = (False, False)
                cubes = cover(diagram, {wanted}, {wanted, beyond})
                counting = signed_tags(after if now else before)
                named = frozenset(atom for atom, plain in counting if plain)
                yield GatherChange(word, now, diagram, tuple(cubes), named)


def _tables(old: Rulebook, new: Rulebook) -> Iterator[TableChange]:
    """Rows that calculations read; what rules read of tables shows in the rules."""
    read = {name for book in (old, new) for rule in in_use(book) for name in _tables_of(rule)}
    for name, table in new.tables.items():
        before = old.tables[name].rows if name in old.tables else {}
        for row in dict.fromkeys([*before, *table.rows]):
            was, now = before.get(row), table.rows.get(row)
            if name not in read and was != now:
                yield TableChange(name, row, was, now)


def _tables_of(rule: Rule) -> Iterator[str]:
    for condition in rule.conditions:
        for node in base_conditions(condition):
            match node:
                case OneOf(_, _, table):
                    yield table
                case InRow(_, row):
                    yield row.table
                case Comparison(_, left, right):
                    yield from (each.table for each in (left, right) if isinstance(each, LookUp))
                case _:
                    pass


def _asked(old: Rulebook, new: Rulebook) -> Iterator[tuple[str, Question, Question]]:
    read = [{word for rule in in_use(book) for word in rule.words} for book in (old, new)]
    for word, question in new.questions.items():
        before = old.questions.get(word)
        if before is None or word not in read[0] & read[1]:
            continue
        if _way_of_asking(before) != _way_of_asking(question):
            yield word, before, question


def _way_of_asking(question: Question) -> tuple[object, ...]:
    bounds = (question.min, question.max, question.none, tuple(question.choices))
    return question.ask, question.help, question.presume, *bounds


def _counted(old: Rulebook, new: Rulebook) -> Iterator[tuple[str, Gather, Gather]]:
    for word, (gather, _) in new.gathers.items():
        before = old.gathers[word][0] if word in old.gathers else gather
        ways = [(bool(g.all), g.at_least, g.of, g.over, g.settled_when) for g in (before, gather)]
        if ways[0] != ways[1]:
            yield word, before, gather


def _graded(old: Rulebook, new: Rulebook) -> Iterator[tuple[Rule, Rule]]:
    for rule in in_use(new):
        before = old.rules.get(rule.id)
        if before is not None and _grading(before) != _grading(rule):
            yield before, rule


def _grading(rule: Rule) -> tuple[object, ...]:
    declared = rule.declared
    always = declared.defect_when in ("yes", "no") and declared.defect_when
    return (declared.kind, declared.severity, always, declared.grade, declared.deadlines)


def _refuse_other_kinds(old: Rulebook, new: Rulebook) -> None:
    """Words that a ruleset asks as a number and another one as a choice cannot be set together."""
    problems = []
    for name, word in new.vocabulary.words.items():
        before = old.vocabulary.words.get(name)
        if before is not None and before.kind != word.kind:
            source = stated_in(new, name)
            place = locate(source.text, ("question", name))
            message = f"'{name}' is a {word.kind} here and a {before.kind} in '{old.id}'"
            problems.append(Problem(str(source.path), *place[:2], message))
    if problems:
        raise Unusable(problems)


def _moved(old: Rulebook, new: Rulebook) -> Iterator[tuple[Rule, Rule]]:
    """Rules that stand in both under other sections."""
    for rule in in_use(new):
        before = old.rules.get(rule.id)
        if before is not None and before.declared.cite != rule.declared.cite:
            yield before, rule


def _moved_tables(old: Rulebook, new: Rulebook) -> Iterator[tuple[str, str, str]]:
    for name, table in new.tables.items():
        before = old.tables.get(name)
        if before is not None and before.cite != table.cite:
            yield name, before.cite, table.cite
