"""Sets one rule of a ruleset against all rules of its topic in another one.

What comes out differently is found over all situations that any of their conditions tells apart.
Tags that a rule does not name, and that can only make the other ruleset hold more against a
subject, are left out: where a change shows with such a tag, it shows without it too. Tags that
matter only to the exceptions of rules about something else, and answers against the presumption
that the rule itself does not read, are looked at where nothing plainer changes: a dryer that hangs
from a ceiling support is no case to tell first.
"""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any, Literal, NamedTuple

from walkthrough.rulebook.conditions import And, Has, Node, Not, Or, Said, Term, leaves
from walkthrough.rulebook.covers import Cube, cover, reached, tightened
from walkthrough.rulebook.diagram import Diagram, TooManySituations
from walkthrough.rulebook.residue import Atom, simplified, with_tag
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
    everywhere. Nothing changes where a rule of `also`, one of the other ruleset, holds something
    anyway. `close` are the rules of the other one that it was set against in full, and `named`
    the tags one of which the rule asks for.
    """

    rule: Rule
    was: Held
    now: Held
    diagram: Diagram
    cube: Cube
    also: tuple[Rule, ...]
    close: tuple[Rule, ...]
    named: frozenset[Atom]


Told = Callable[[Held, Held, Held, Held], Hashable]
"""What a situation is called: by what the rule holds, those close to it, the others, its own."""


class Turns:
    """The rules of two rulesets, set against each other one by one."""

    def __init__(self, old: Rulebook, new: Rulebook) -> None:
        self._old, self._new = old, new
        self._own_years = old.own_years & new.own_years
        self.opaque = {*old.demands, *new.demands, *self._own_years}
        self.words = _joined_words(old, new)
        self.words.update({name: Word(name, "yes-no") for name in self.opaque})
        self.too_many: list[str] = []

    def held_now(self, rule: Rule) -> Iterator[Change]:
        """What a rule of the new ruleset holds against a subject more than the old one did."""
        # Only what is merely asked can be outweighed by another rule of its own ruleset.
        own = [each for each in beside(rule, self._new) if each is not rule and rule.disputed]

        def told(mine: Held, close: Held, other: Held, own: Held) -> Hashable:
            was, now = _worse(close, other), _worse(mine, own)
            if now != mine:
                # Another rule of the new ruleset weighs more: the change is told there.
                return ELSEWHERE
            if was == now:
                return SAME if close == now else ELSEWHERE
            return Turned(was, now)

        yield from self._changes(rule, self._old, self._new, own, told)

    def gone(self, rule: Rule) -> Iterator[Change]:
        """What a rule of the old ruleset held against a subject and the new one does not."""

        def told(mine: Held, close: Held, other: Held, _: Held) -> Hashable:
            if close != "no":
                return SAME
            return Turned(mine, "no") if other == "no" else ELSEWHERE

        yield from self._changes(rule, self._new, self._old, [], told)

    def _changes(
        self, rule: Rule, there: Rulebook, here: Rulebook, own: list[Rule], told: Told
    ) -> Iterator[Change]:
        """Set a rule against those of its topic in the other ruleset.

        Close to it are the rule of its name and those whose names its own ruleset does not know:
        where it begins and they end is told in full. Of the others only the sections are.
        """
        try:
            yield from self._all_changes(rule, there, here, own, told)
        except TooManySituations:
            self.too_many.append(rule.id)

    def _all_changes(
        self, rule: Rule, there: Rulebook, here: Rulebook, own: list[Rule], told: Told
    ) -> Iterator[Change]:
        rivals = beside(rule, there)
        if any(self._same(rule, each) for each in rivals):
            return
        strangers = [each for each in rivals if each.id not in here.rules]
        close = [each for each in rivals if each.id == rule.id]
        close += [each for each in strangers if self._meets(rule, each)]
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
        told: Told,
    ) -> Iterator[Change]:
        close, other, own = sides

        def outcome(truths: tuple[bool, ...]) -> Hashable:
            mine, *rest = (_held(*truths[at : at + 2]) for at in range(0, 8, 2))
            if mine == "no":
                return OUTSIDE
            # Beside a rule that is new altogether, what held as much is named and not told apart.
            as_much = _WEIGHT.index(rest[1]) >= _WEIGHT.index(mine)
            return ELSEWHERE if not close and as_much else told(mine, *rest)

        # What the others hold matters only where the rule itself holds something.
        yes, ask = self._possible(self._holding(rule, absent), [rule, *close, *other, *own])
        within = Or((yes, ask))
        nodes = [yes, ask]
        nodes += [And((within, each)) for side in sides for each in self._all(side, absent)]
        diagram = Diagram(tuple(nodes), self.words, outcome, presumed.get, MAX_BRANCHES)
        turns = {each for each in diagram.leaves if isinstance(each, Turned)}
        inside = set(diagram.leaves) - {OUTSIDE}
        everywhere = tightened(diagram, {}, inside, diagram.atoms)
        also: tuple[Rule, ...] | None = None
        named = frozenset(atom for atom, plain in signed_tags(within) if plain)
        for alike in _alike(turns, bool(close)):
            for wide in cover(diagram, alike, {*alike, OUTSIDE, ELSEWHERE}):
                tight = tightened(diagram, wide, alike, diagram.atoms)
                # What the rule alone does not say must be said: it makes the difference.
                cube = {
                    atom: taken
                    for atom, taken in tight.items()
                    if atom in wide or taken != everywhere.get(atom, taken | {-1})
                }
                came = reached(diagram.root, tight)
                gravest = max(
                    (each for each in alike if each in came),
                    key=_weight,
                )
                if ELSEWHERE in came and also is None:
                    also = tuple(e for e in other if self._meets(rule, e, absent, presumed))
                met = also or () if ELSEWHERE in came else ()
                yield Change(rule, *gravest, diagram, cube, met, tuple(close), named)

    def _possible(self, holding: tuple[Node, Node], rules: Iterable[Rule]) -> tuple[Node, Node]:
        """Without situations that cannot be: work of a year before the ruleset it is said to be of.

        A term for work under a ruleset's own edition stands for both rulesets alike; the years
        that they mean by it still bound it.
        """
        words = {word for each in rules for word in each.words}
        parts: list[Node] = []
        for name in sorted(self._own_years):
            meant = [opened(book.terms[name].node, ()) for book in (self._old, self._new)]
            if words & {word for node in meant for word in leaves(node)}:
                parts += [Or((Not(Said(name)), *meant)), Or((Said(name), *(Not(e) for e in meant)))]
        return And((*parts, holding[0])), And((*parts, holding[1]))

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
        absent: frozenset[Atom] | None = None,
        presumed: Mapping[str, Any] | None = None,
    ) -> bool:
        """Whether both rules can hold something against the same subject."""
        missing = self._absent(rule, [], [other]) if absent is None else absent
        both = And(tuple(Or(self._holding(each, missing)) for each in (rule, other)))
        known = (presumed or {}).get
        return True in Diagram((both,), self.words, lambda truths: truths[0], known).leaves

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

    def _same(self, one: Rule, other: Rule) -> bool:
        nothing: frozenset[Atom] = frozenset()
        return len(one.exceptions) == len(other.exceptions) and self._conditions(
            one, nothing
        ) == self._conditions(other, nothing)

    def _conditions(self, rule: Rule, absent: frozenset[Atom]) -> tuple[Node, ...]:
        nodes = [simplified(opened(node, self.opaque)) for node in rule.conditions]
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
            for atom, plain in signed_tags(node):
                found[atom] = found.get(atom, False) or plain != adds
        return found


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


def in_use(book: Rulebook) -> list[Rule]:
    """The rules of a ruleset that hold."""
    return [rule for rule in book.rules.values() if rule.declared.status != "withdrawn"]


def beside(rule: Rule, book: Rulebook) -> list[Rule]:
    """The rules of a ruleset that say something on the same topic of the same kind of subject."""
    return [
        each
        for each in in_use(book)
        if (each.declared.topic, each.declared.of) == (rule.declared.topic, rule.declared.of)
    ]


def signed_tags(node: Node, plain: bool = True) -> Iterator[tuple[Atom, bool]]:
    """The tags that a condition reads, and whether having them makes it true or false."""
    match node:
        case Has(tag, name):
            yield (name, tag), plain
        case Not(part):
            yield from signed_tags(part, not plain)
        case And(parts) | Or(parts):
            for part in parts:
                yield from signed_tags(part, plain)
        case _:
            return


def _alike(turns: set[Turned], has_close: bool) -> Iterator[set[Turned]]:
    """Turns to tell as one: that a rule is disputed in part is said by the rule itself.

    A rule that is new altogether is told once, also where another one left something to ask.
    """
    came = {each for each in turns if each.now != "no"}
    apart = [{each for each in came if each.was == was} for was in _WEIGHT]
    yield from filter(None, [turns - came, *(apart if has_close else [came])])


def _weight(turned: Turned) -> tuple[int, int]:
    """Of turns told as one: most of what is gone, and what came anew before what grew."""
    was, now = map(_WEIGHT.index, turned)
    return (was if turned.now == "no" else -was), now


def _worse(one: Held, other: Held) -> Held:
    return max(one, other, key=_WEIGHT.index)


def _held(yes: bool, ask: bool) -> Held:
    return "yes" if yes else "ask" if ask else "no"


def _joined_words(old: Rulebook, new: Rulebook) -> dict[str, Word]:
    words = dict(old.vocabulary.words)
    for name, word in new.vocabulary.words.items():
        before = words.get(name)
        alike = before is not None and before.kind == word.kind
        choices = {**(before.choices if before and alike else {}), **word.choices}
        words[name] = replace(word, choices=choices)
    return words
