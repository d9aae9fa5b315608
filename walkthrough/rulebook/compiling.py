"""Compiles the expressions of a ruleset, each after the terms that it names."""

from __future__ import annotations

import re
from collections.abc import Iterator

from walkthrough.rulebook.conditions import And, Fixed, Node, Not, Or, height, leaves, weight
from walkthrough.rulebook.declarations import SEES, Gather
from walkthrough.rulebook.expression import ExpressionError, parse
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.merged import Merged
from walkthrough.rulebook.rulebook import Condition
from walkthrough.rulebook.words import Vocabulary

MAX_WEIGHT = 2000
MAX_HEIGHT = 100


class Compiler:
    """Compiles against a vocabulary, and puts the terms, demands and gathers into it at once.

    `conditions` are those of terms, demands and gathers by name.
    """

    def __init__(self, merged: Merged, words: Vocabulary) -> None:
        """Resolve everything that has a name; slips go to `merged`."""
        self.words = words
        self.conditions: dict[str, Condition] = {}
        self._merged = merged
        self._open: list[str] = []
        self._weights: dict[str, int] = {}
        self._heights: dict[str, int] = {}
        for section in ("term", "demand", "gather"):
            for name in merged.of[section]:
                self._resolve(section, name)

    def _resolve(self, section: str, name: str) -> None:
        """Compile a term, demand or gather after everything that it names."""
        if name in self.conditions:
            return
        if len(self._open) > MAX_HEIGHT:
            self._merged.problem(
                section, name, f"more than {MAX_HEIGHT} terms lean on each other in a row"
            )
            self._settle(name, Condition("no", Fixed(False)))
            return
        if name in self._open:
            circle = " -> ".join([*self._open[self._open.index(name) :], name])
            self._merged.problem(section, name, f"defined in a circle: {circle}")
            self._settle(name, Condition("no", Fixed(False)))
            return
        self._open.append(name)
        for text in self._texts_behind(section, name):
            for other in set(re.findall(r"[A-Za-z_]\w*", re.sub(r"'[^']*'|\"[^\"]*\"", "", text))):
                for inner in ("term", "demand", "gather"):
                    if other in self._merged.of[inner]:
                        self._resolve(inner, other)
        self._open.pop()
        if name in self.conditions:
            return
        if section == "demand":
            made = Condition(name, self._demand(self._merged.of["demand"][name].topic))
        elif section == "gather":
            gather: Gather = self._merged.of["gather"][name]
            key = "any" if gather.any else "all"
            made = self.parse(gather.any or gather.all, section, name, gather.over, key)
        else:
            made = self.parse(self._merged.of["term"][name], section, name, None)
        if section == "gather":
            self.conditions[name] = made
        else:
            self._settle(name, made)

    def _settle(self, name: str, made: Condition) -> None:
        self.conditions[name] = made
        self.words.terms[name] = made.node
        self._weights[name] = weight(made.node, self._weights)
        self._heights[name] = height(made.node, self._heights)

    def _texts_behind(self, section: str, name: str) -> Iterator[str]:
        item = self._merged.of[section][name]
        if section == "term":
            yield item
        elif section == "gather":
            yield from (item.any, item.all)
        else:
            for rule in self._merged.of["rule"].values():
                if rule.topic == item.topic:
                    yield rule.when
                    yield from (each.when for each in rule.exceptions)

    def _demand(self, topic: str) -> Node:
        parts: list[Node] = []
        for name, rule in self._merged.of["rule"].items():
            if rule.topic == topic and rule.status != "withdrawn":
                when = self.parse(rule.when, "rule", name, None, "when").node
                exempt = [
                    Not(self.parse(each.when, "rule", name, None, "exceptions", i, "when").node)
                    for i, each in enumerate(rule.exceptions)
                ]
                parts.append(And((when, *exempt)) if exempt else when)
        return Or(tuple(parts)) if parts else Fixed(False)

    def parse(
        self, text: str, section: str, name: str, scope: str | None, *rest: str | int
    ) -> Condition:
        """The condition that stands at a place; a slip in it is noted, and it never holds then.

        `scope` is the kind of subject whose words it may name; None if that is not fixed.
        """
        file = self._merged.origin(section, name)
        path: TomlPath = (section, name, *rest)
        try:
            node = parse(text, self.words)
        except ExpressionError as error:
            if not any(
                f"'{each}'" in error.message.partition(";")[0] for each in self._merged.broken
            ):
                self._merged.problems.append(file.problem_in(path, error.offset, error.message))
            return Condition("no", Fixed(False))
        size, depth = weight(node, self._weights), height(node, self._heights)
        if size > MAX_WEIGHT or depth > MAX_HEIGHT:
            # Terms that name terms can double at every step; nothing of that kind is a rule.
            over = f"{size} parts" if size > MAX_WEIGHT else f"{depth} levels"
            limit = MAX_WEIGHT if size > MAX_WEIGHT else MAX_HEIGHT
            message = f"{over} once its terms are opened; at most {limit}"
            self._merged.problems.append(file.problem_in(path, 0, message))
            return Condition("no", Fixed(False))
        if scope is not None:
            for word in leaves(node):
                of = self.words.words[word].of
                if of and not set(of) & set(SEES[scope]):
                    message = f"'{word}' belongs to the {of[0]}; a {scope} rule cannot see it"
                    self._merged.problems.append(
                        file.problem_in(path, max(text.find(word), 0), message)
                    )
        return Condition(text, node)
