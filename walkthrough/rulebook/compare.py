"""What really changes from one ruleset to another: found by deciding every distinguishable case.

For each topic and kind of subject, the rules of a ruleset together hold something against a
subject (deficient), leave it in question (ask the AHJ), or do not. Each rule of either ruleset is
set against all rules of its topic in the other one, over all situations that any of their
conditions tells apart; what comes out differently is a change. Wording, order and the names of
rules do not count.

Tags that a rule does not name, and that can only make the other ruleset hold more against a
subject, are left out: where a change shows with such a tag, it shows without it too. Tags that
matter only to the exceptions of rules about something else, and answers against the presumption
that the rule itself does not read, are looked at where nothing plainer changes: a dryer that hangs
from a ceiling support is no case to tell first.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal, NamedTuple

from walkthrough.rulebook.conditions import (
    And,
    Has,
    InRow,
    LookUp,
    Node,
    Not,
    OneOf,
    Or,
    Said,
    Term,
)
from walkthrough.rulebook.conditions import Compare as Comparison
from walkthrough.rulebook.covers import Cube, cover, holds_only, tightened
from walkthrough.rulebook.diagram import Diagram, TooManySituations
from walkthrough.rulebook.residue import Atom, open_atoms, simplified, with_tag
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.rulebook.words import Word

Held = Literal["no", "ask", "yes"]
"""What the rules of a topic hold against a subject: nothing, a question, a deficiency."""
_WEIGHT: tuple[Held, ...] = ("no", "ask", "yes")
MAX_BRANCHES = 60_000
OUTSIDE, SAME, ELSEWHERE = "outside", "same", "elsewhere"


class Turned(NamedTuple):
    """What was held, and what is held now."""

    was: Held
    now: Held


@dataclass(frozen=True)
class Change:
    """Situations of one rule that come out differently.

    `rule` belongs to the second ruleset, or to the first where what it held is gone. `cube`
    describes where, within the situations of the rule, the change is; an empty one means
    everywhere. Nothing changes where a rule of `also`, one of the other ruleset, holds the same
    anyway.
    """

    rule: Rule
    was: Held
    now: Held
    diagram: Diagram
    cube: Cube
    also: tuple[Rule, ...]


@dataclass(frozen=True)
class GatherChange:
    """Subjects that a word over all subjects below another one counts only in one ruleset."""

    word: str
    now: bool
    diagram: Diagram
    cubes: tuple[Cube, ...]


@dataclass(frozen=True)
class Compared:
    """All that changes from one ruleset to another."""

    changes: tuple[Change, ...]
    gathers: tuple[GatherChange, ...]
    tables: tuple[tuple[str, str, object, object], ...]
    moved: tuple[tuple[Rule, Rule], ...]
    too_many: tuple[str, ...]


def compare(old: Rulebook, new: Rulebook) -> Compared:
    """What changes from one ruleset to the other."""
    return _Comparer(old, new).all()


class _Comparer:
    def __init__(self, old: Rulebook, new: Rulebook) -> None:
        self._old, self._new = old, new
        self._opaque = {*old.demands, *new.demands, *(old.own_years & new.own_years)}
        self._words = _joined_words(old, new)
        self._words.update({name: Word(name, "yes-no") for name in self._opaque})
        self._too_many: list[str] = []

    def all(self) -> Compared:
        changes = [
            *(each for rule in _in_use(self._new) for each in self._held_now(rule)),
            *(each for rule in _in_use(self._old) for each in self._gone(rule)),
        ]
        return Compared(
            tuple(changes),
            tuple(self._gathers()),
            tuple(_table_changes(self._old, self._new)),
            tuple(_moved(self._old, self._new)),
            tuple(self._too_many),
        )

    def _held_now(self, rule: Rule) -> Iterator[Change]:
        """What a rule of the new ruleset holds against a subject more than the old one did."""
        # Only what is merely asked can be outweighed by another rule of its own ruleset.
        own = [each for each in _beside(rule, self._new) if each is not rule and rule.disputed]

        def told(mine: Held, close: Held, other: Held, own: Held) -> Hashable:
            was, now = _worse(close, other), _worse(mine, own)
            if now != mine:
                # Another rule of the new ruleset weighs more: the change is told there.
                return ELSEWHERE
            if was == now:
                return SAME if close == now else ELSEWHERE
            return Turned(was, now)

        yield from self._changes(rule, self._old, self._new, own, told)

    def _gone(self, rule: Rule) -> Iterator[Change]:
        """What a rule of the old ruleset held against a subject and the new one does not."""

        def told(mine: Held, close: Held, other: Held, _: Held) -> Hashable:
            if close != "no":
                return SAME
            return Turned(mine, "no") if other == "no" else ELSEWHERE

        yield from self._changes(rule, self._new, self._old, [], told)

    def _changes(
        self,
        rule: Rule,
        there: Rulebook,
        here: Rulebook,
        own: list[Rule],
        told: Callable[[Held, Held, Held, Held], Hashable],
    ) -> Iterator[Change]:
        """Set a rule against those of its topic in the other ruleset.

        Close to it are the rule of its name and those whose names its own ruleset does not know:
        where it begins and they end is told in full. Of the others only the sections are.
        """
        rivals = _beside(rule, there)
        if any(self._same(rule, each) for each in rivals):
            return
        strangers = [each for each in rivals if each.id not in here.rules]
        close = [each for each in rivals if each.id == rule.id]
        close += [each for each in strangers if self._meets(rule, each, self._plain(rule, each))]
        other = [each for each in rivals if each not in close]
        plain = self._absent(rule, close, [*other, *own])
        every = self._absent(rule, [*rivals, *own], [])
        usual = self._usual([rule, *close])
        nothing: Mapping[str, Any] = {}
        for absent, presumed in ((plain, usual), (plain, nothing), (every, nothing)):
            found = list(self._turned(rule, (close, other, own), absent, presumed, told))
            yield from found
            if found:
                break

    def _turned(
        self,
        rule: Rule,
        sides: tuple[list[Rule], list[Rule], list[Rule]],
        absent: frozenset[Atom],
        presumed: Mapping[str, Any],
        told: Callable[[Held, Held, Held, Held], Hashable],
    ) -> Iterator[Change]:
        def outcome(truths: tuple[bool, ...]) -> Hashable:
            mine, *rest = (_held(*truths[at : at + 2]) for at in range(0, 8, 2))
            return OUTSIDE if mine == "no" else told(mine, *rest)

        yes, ask = self._holding(rule, absent)
        # What the others hold matters only where the rule itself holds something.
        within = Or((yes, ask))
        nodes = [yes, ask]
        nodes += [And((within, each)) for side in sides for each in self._all(side, absent)]
        try:
            diagram = Diagram(tuple(nodes), self._words, outcome, presumed.get, MAX_BRANCHES)
        except TooManySituations:
            self._too_many.append(rule.id)
            return
        own = set(open_atoms((yes, ask)))
        foreign = [atom for atom in diagram.atoms if atom not in own]
        also = [each for each in sides[1] if self._meets(rule, each, absent, presumed)]
        for alike in _alike([each for each in diagram.leaves if isinstance(each, Turned)]):
            gravest = max(alike, key=lambda each: tuple(map(_WEIGHT.index, each)))
            for wide in cover(diagram, alike, {*alike, OUTSIDE, ELSEWHERE}):
                cube = tightened(diagram, wide, alike, foreign)
                clear = holds_only(diagram.root, cube, set(diagram.leaves) - {ELSEWHERE})
                yield Change(rule, *gravest, diagram, cube, () if clear else tuple(also))

    def _plain(self, rule: Rule, other: Rule) -> frozenset[Atom]:
        return self._absent(rule, [], [other])

    def _usual(self, rules: list[Rule]) -> dict[str, Any]:
        """What is presumed until answered otherwise, for words that these rules do not read."""
        read = {word for each in rules for word in each.words}
        return {
            word: question.presume
            for book in (self._old, self._new)
            for word, question in book.questions.items()
            if question.presume is not None and question.kind != "tags" and word not in read
        }

    def _meets(
        self,
        rule: Rule,
        other: Rule,
        absent: frozenset[Atom],
        presumed: Mapping[str, Any] | None = None,
    ) -> bool:
        """Whether both rules can hold something against the same subject."""
        both = And(tuple(Or(self._holding(each, absent)) for each in (rule, other)))
        known = (presumed or {}).get
        return True in Diagram((both,), self._words, lambda truths: truths[0], known).leaves

    def _holding(self, rule: Rule, absent: frozenset[Atom]) -> tuple[Node, Node]:
        """Where a rule comes out as deficient, and where it is left to the authority."""
        nodes = self._conditions(rule, absent)
        count = len(rule.exceptions)
        open_ways = tuple(Not(each) for each in nodes[1 : 1 + count])
        missing = And((nodes[0], *open_ways, Not(nodes[1 + count])))
        disputed = Or(nodes[2 + count :])
        return And((missing, Not(disputed))), And((missing, disputed))

    def _all(self, rules: list[Rule], absent: frozenset[Atom]) -> tuple[Node, Node]:
        held = [self._holding(each, absent) for each in rules]
        return Or(tuple(yes for yes, _ in held)), Or(tuple(ask for _, ask in held))

    def _gathers(self) -> Iterator[GatherChange]:
        for word, (_, condition) in self._new.gathers.items():
            if word not in self._old.gathers:
                continue
            before = opened(self._old.gathers[word][1].node, self._opaque)
            after = opened(condition.node, self._opaque)
            if before == after:
                continue
            try:
                diagram = Diagram((before, after), self._words, lambda truths: truths)
            except TooManySituations:
                self._too_many.append(word)
                continue
            for now in (True, False):
                wanted = (not now, now)
                if wanted in diagram.leaves:
                    cubes = cover(diagram, {wanted}, {wanted})
                    yield GatherChange(word, now, diagram, tuple(cubes))

    def _same(self, one: Rule, other: Rule) -> bool:
        return len(one.exceptions) == len(other.exceptions) and self._conditions(
            one, frozenset()
        ) == self._conditions(other, frozenset())

    def _conditions(self, rule: Rule, absent: frozenset[Atom]) -> tuple[Node, ...]:
        nodes = [simplified(opened(node, self._opaque)) for node in rule.conditions]
        for name, tag in absent:
            nodes = [with_tag(node, name, str(tag), False) for node in nodes]
        return tuple(simplified(node) for node in nodes)

    def _absent(self, rule: Rule, close: list[Rule], others: list[Rule]) -> frozenset[Atom]:
        """Tags that the rule does not name and that can only make those close to it hold more.

        Tags of `others` count as such too, whatever they do.
        """
        named = self._tags(rule).keys()
        free: set[Atom] = set()
        lessening: set[Atom] = set()
        for each in (*close, *others):
            for atom, less in self._tags(each).items():
                free.add(atom)
                if less and each in close:
                    lessening.add(atom)
        return frozenset(free - named - lessening)

    def _tags(self, rule: Rule) -> dict[Atom, bool]:
        """The tags that a rule reads, and whether having one can make it hold less."""
        found: dict[Atom, bool] = {}
        for place, node in enumerate(self._conditions(rule, frozenset())):
            adds = place == 0 or place > 1 + len(rule.exceptions)
            for atom, plain in _signed_tags(node):
                found[atom] = found.get(atom, False) or plain != adds
        return found


def _alike(turns: list[Turned]) -> Iterator[list[Turned]]:
    """Turns to tell as one: that a rule is disputed in part is said by the rule itself."""
    gone = [each for each in turns if each.now == "no"]
    for alike in (gone, *([t for t in turns if t.was == was and t.now != "no"] for was in _WEIGHT)):
        if alike:
            yield alike


def _worse(one: Held, other: Held) -> Held:
    return max(one, other, key=_WEIGHT.index)


def _held(yes: bool, ask: bool) -> Held:
    return "yes" if yes else "ask" if ask else "no"


def opened(node: Node, opaque: Iterable[str]) -> Node:
    """A condition with its terms opened, but for those that stand for themselves."""
    match node:
        case Term(name, body):
            return Said(name) if name in opaque else opened(body, opaque)
        case Not(part):
            return Not(opened(part, opaque))
        case And(parts):
            return And(tuple(opened(part, opaque) for part in parts))
        case Or(parts):
            return Or(tuple(opened(part, opaque) for part in parts))
        case _:
            return node


def _signed_tags(node: Node, plain: bool = True) -> Iterator[tuple[Atom, bool]]:
    """The tags that a condition reads, and whether having them makes it true or false."""
    match node:
        case Has(tag, name):
            yield (name, tag), plain
        case Not(part):
            yield from _signed_tags(part, not plain)
        case And(parts) | Or(parts):
            for part in parts:
                yield from _signed_tags(part, plain)
        case _:
            return


def _in_use(book: Rulebook) -> list[Rule]:
    return [rule for rule in book.rules.values() if rule.declared.status != "withdrawn"]


def _beside(rule: Rule, book: Rulebook) -> list[Rule]:
    """The rules of a ruleset that say something on the same topic of the same kind of subject."""
    return [
        each
        for each in _in_use(book)
        if (each.declared.topic, each.declared.of) == (rule.declared.topic, rule.declared.of)
    ]


def _joined_words(old: Rulebook, new: Rulebook) -> dict[str, Word]:
    words = dict(old.vocabulary.words)
    for name, word in new.vocabulary.words.items():
        before = words.get(name)
        if before is None or before.kind != word.kind:
            words[name] = word
        else:
            choices = {**before.choices, **word.choices}
            words[name] = Word(
                name,
                word.kind,
                word.of,
                choices,
                word.minimum,
                word.maximum,
                word.may_be_none,
                word.means,
            )
    return words


def _table_changes(old: Rulebook, new: Rulebook) -> Iterator[tuple[str, str, object, object]]:
    """Rows that calculations read; what rules read of tables shows in the rules."""
    read = {name for book in (old, new) for rule in _in_use(book) for name in _tables_of(rule)}
    for name, table in new.tables.items():
        before = old.tables[name].rows if name in old.tables else {}
        for row in dict.fromkeys([*before, *table.rows]):
            was, now = before.get(row), table.rows.get(row)
            if name not in read and was != now:
                yield name, row, was, now


def _tables_of(rule: Rule) -> Iterator[str]:
    def visit(node: Node) -> Iterator[str]:
        match node:
            case Term(_, body):
                yield from visit(body)
            case Not(part):
                yield from visit(part)
            case And(parts) | Or(parts):
                for part in parts:
                    yield from visit(part)
            case OneOf(_, _, table):
                yield table
            case InRow(_, row):
                yield row.table
            case Comparison(_, left, right):
                yield from (each.table for each in (left, right) if isinstance(each, LookUp))
            case _:
                return

    for node in rule.conditions:
        yield from visit(node)


def _moved(old: Rulebook, new: Rulebook) -> Iterator[tuple[Rule, Rule]]:
    """Rules that stand in both, under other sections or graded otherwise."""
    for rule in _in_use(new):
        before = old.rules.get(rule.id)
        if before is not None and _standing(before) != _standing(rule):
            yield before, rule


def _standing(rule: Rule) -> tuple[object, ...]:
    declared = rule.declared
    exceptions = tuple(each.declared.cite for each in rule.exceptions)
    return declared.cite, exceptions, declared.kind, declared.severity
