"""Loads a ruleset: merges its files, compiles every expression, tells all slips at once."""

from __future__ import annotations

import functools
import hashlib
import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field
from pathlib import Path
from typing import Any

from walkthrough.rulebook.checks import (
    Slip,
    default_slips,
    lens_slips,
    table_slips,
    template_slips,
)
from walkthrough.rulebook.conditions import (
    And,
    Fixed,
    Node,
    Not,
    Or,
    height,
    leaves,
    weight,
)
from walkthrough.rulebook.declarations import (
    BELOW,
    SEES,
    AsBuilt,
    CaveatDeclared,
    DangerDeclared,
    Gather,
    RuleDeclared,
    TableDeclared,
)
from walkthrough.rulebook.expression import (
    ExpressionError,
    parse,
)
from walkthrough.rulebook.files import RulesetFile, read_chain, ruleset_files
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.order import in_order
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.rulebook import (
    Caveat,
    Condition,
    Danger,
    Disputed,
    Due,
    Exempt,
    Lens,
    Rule,
    Rulebook,
    Source,
    YearSource,
)
from walkthrough.rulebook.sections import joined
from walkthrough.rulebook.wording import caveat_slips, danger_slips, rule_slips
from walkthrough.rulebook.words import (
    DATE,
    DERIVED_WORDS,
    GIVEN_IN,
    Table,
    Vocabulary,
    Word,
    protection_words,
)

MAX_WEIGHT = 2000
MAX_HEIGHT = 100
EVERY_RULE = "*"
SECTIONS = (
    "question",
    "term",
    "table",
    "topic",
    "cure",
    "caveat",
    "danger",
    "danger_of",
    "explained",
    "demand",
    "gather",
    "rule",
    "as_built",
    "room_template",
)


def load(ruleset: str | Path, folders: Sequence[Path] | None = None) -> Rulebook:
    """Load a ruleset by id or by file; raises Unusable with every problem found.

    A file may extend rulesets of its own folder and of `folders`.
    """
    files = ruleset_files(folders)
    if isinstance(ruleset, Path) or ruleset.endswith(".toml"):
        path = Path(ruleset)
        files = {**files, **ruleset_files([path.parent]), path.stem: path}
        ruleset = path.stem
    if ruleset not in files:
        raise Unusable([Problem("ruleset", 0, 0, f"no '{ruleset}'; {nearest(ruleset, files)}")])
    return _compiled(tuple(read_chain(ruleset, files)))


# The start of a walk looks at every ruleset, and so do replays of many records.
@functools.lru_cache(maxsize=64)
def _compiled(chain: tuple[RulesetFile, ...]) -> Rulebook:
    return _Compiler(chain).rulebook()


@dataclass
class _Compiler:
    """Merges the chain and compiles its expressions, collecting problems on the way."""

    chain: tuple[RulesetFile, ...]
    problems: list[Problem] = field(default_factory=list)

    def __post_init__(self) -> None:
        self._origin: dict[tuple[str, str], RulesetFile] = {}
        merged: dict[str, dict[str, Any]] = {}
        # What is wrong by itself is told once, and not again wherever it is named.
        self._broken = {name for file in self.chain for name in file.broken}
        self.problems += [each for file in self.chain for each in file.slips]
        self._notices: list[str] = []
        self._forms: tuple[str, ...] = ()
        for file in self.chain:
            rules = merged.setdefault("rule", {})
            for number, rule_id in enumerate(file.ruleset.drop):
                if rule_id == EVERY_RULE:
                    rules.clear()
                elif rules.pop(rule_id, None) is None and rule_id not in self._broken:
                    message = f"drops '{rule_id}', which is not there; {nearest(rule_id, rules)}"
                    self.problems.append(file.problem(("drop", number), message))
            self._notices += file.ruleset.notices
            if file.ruleset.section_forms:
                self._forms = joined(file.ruleset.section_forms, self._forms)
            for section in SECTIONS:
                for name, item in getattr(file.ruleset, section).items():
                    below = merged.setdefault(section, {}).get(name)
                    if isinstance(below, TableDeclared | RuleDeclared):
                        item = item.upon(below)
                    merged[section][name] = item
                    self._origin[section, name] = file
        merged["question"] = in_order(merged.get("question", {}))
        self._merged = merged
        self._conditions: dict[str, Condition] = {}
        self._open: list[str] = []
        self._weights: dict[str, int] = {}
        self._heights: dict[str, int] = {}
        self._words = Vocabulary(words={word.name: word for word in (*DERIVED_WORDS, DATE)})
        tables = [merged["table"][name] for name in GIVEN_IN if name in merged.get("table", {})]
        rows = (cell for table in tables for cell in table.rows.values())
        for kind in dict.fromkeys(str(each) for c in rows if isinstance(c, list) for each in c):
            # A device of another kind is traced like those that every ruleset knows.
            for word in protection_words(kind):
                self._words.words.setdefault(word.name, word)

    def rulebook(self) -> Rulebook:
        self._declare_words()
        for section in ("term", "demand", "gather"):
            for name in self._merged.get(section, {}):
                self._resolve(section, name)
        self._dangers = {
            name: self._danger(name, each) for name, each in self._merged["danger"].items()
        }
        caveats = {name: self._caveat(name, e) for name, e in self._merged["caveat"].items()}
        for topic, word in self._merged["danger_of"].items():
            slips = danger_slips(topic, word, self._merged["topic"], self._merged["danger"])
            self._tell("danger_of", topic, slips)
        rules = {name: self._rule(name, each) for name, each in self._merged["rule"].items()}
        settled_when = {
            name: self._parse(gather.settled_when, "gather", name, gather.of, "settled_when")
            for name, gather in self._merged["gather"].items()
            if gather.settled_when
        }
        asked_when = {
            name: self._parse(question.when, "question", name, question.of[0], "when")
            for name, question in self._merged["question"].items()
            if question.when
        }
        lenses = {
            scope: self._lens(scope, each) for scope, each in self._merged["as_built"].items()
        }
        for id in self._merged["question"]:
            self._tell("question", id, default_slips(id, self._merged["question"]))
        for name, template in self._merged["room_template"].items():
            self._tell("room_template", name, template_slips(template, self._merged["question"]))
        self._check_own_years()
        self._stop_at_problems()
        last = self.chain[-1].ruleset
        digest = hashlib.sha256()
        for file in self.chain:
            # A checkout may turn line ends over: the same rules keep their fingerprint.
            text = file.text.replace("\r\n", "\n")
            digest.update(file.path.name.encode() + b"\0" + text.encode() + b"\0")
        merged = self._merged
        return Rulebook(
            id=last.id,
            title=last.title,
            chain=tuple(
                Source(file.path, file.text, frozenset(file.ruleset.rule)) for file in self.chain
            ),
            fingerprint="sha256:" + digest.hexdigest(),
            in_force_from=last.in_force_from,
            in_force_to=last.in_force_to,
            series=last.series,
            lineage=next((f.ruleset.series for f in reversed(self.chain) if f.ruleset.series), ""),
            vocabulary=self._words,
            questions=merged["question"],
            asked_when=asked_when,
            tables=merged["table"],
            topics=merged["topic"],
            terms={name: self._conditions[name] for name in (*merged["term"], *merged["demand"])},
            demands=merged["demand"],
            gathers={
                name: (gather, self._conditions[name]) for name, gather in merged["gather"].items()
            },
            settled_when=settled_when,
            rules={name: rule for name, rule in rules.items() if rule is not None},
            notices=tuple(self._notices),
            verify_in=next(
                (f.ruleset.verify_in for f in reversed(self.chain) if f.ruleset.verify_in),
                "the text of the rule",
            ),
            section_forms=self._forms,
            own_years=frozenset(each for file in self.chain for each in file.ruleset.own_years),
            as_built=lenses,
            room_templates=merged["room_template"],
            cures=merged["cure"],
            caveats=caveats,
            dangers=self._dangers,
            explained=merged["explained"],
        )

    def _stop_at_problems(self) -> None:
        if self.problems:
            raise Unusable(self.problems)

    def _problem(self, section: str, name: str, message: str, *rest: str | int) -> None:
        file = self._origin[section, name]
        self.problems.append(file.problem((section, name, *rest), message))
        self._broken.add(name)

    def _declare_words(self) -> None:
        for section in SECTIONS:
            self._merged.setdefault(section, {})
        taken: dict[str, str] = dict.fromkeys(self._words.words, "derived word")
        for section in ("question", "gather", "table", "term", "demand"):
            for name in self._merged[section]:
                if not name.isidentifier():
                    self._problem(section, name, f"'{name}' cannot be a word: letters, digits, _")
                if name in taken:
                    self._problem(section, name, f"'{name}' is a {taken[name]} already")
                taken[name] = section
        for name, question in self._merged["question"].items():
            for key, other in (("after", question.after), ("offered_by", question.offered_by)):
                if other and other not in self._merged["question"]:
                    hint = nearest(other, self._merged["question"])
                    self._problem("question", name, f"no question '{other}'; {hint}", key)
            if question.kind in ("choice", "tags") and not question.choices:
                self._problem("question", name, f"a {question.kind} question needs choices")
            if isinstance(question.presume, str) and question.presume not in question.choices:
                hint = nearest(question.presume, question.choices)
                self._problem("question", name, f"presumes an unknown choice; {hint}", "presume")
            self._words.words[name] = Word(
                name,
                question.kind,
                question.of,
                question.choices,
                question.min,
                question.max,
                bool(question.none),
                question.ask,
            )
        for name, gather in self._merged["gather"].items():
            if bool(gather.any) == bool(gather.all):
                self._problem("gather", name, "needs exactly one of 'any' and 'all'")
            if gather.over not in BELOW[gather.of]:
                hint = " or ".join(f"'{each}'" for each in BELOW[gather.of]) or "nothing"
                message = f"no {gather.over} belongs to a {gather.of}; expected {hint}"
                self._problem("gather", name, message, "over")
            self._words.words[name] = Word(name, "yes-no", (gather.of,), means=gather.means)
        for name, table in self._merged["table"].items():
            self._tell("table", name, table_slips(table))
            self._words.tables[name] = Table(name, table.rows, table.cite)
        for name, demand in self._merged["demand"].items():
            if demand.topic not in self._merged["topic"]:
                hint = nearest(demand.topic, self._merged["topic"])
                self._problem("demand", name, f"unknown topic '{demand.topic}'; {hint}", "topic")
            if demand.has not in self._words.words:
                hint = nearest(demand.has, self._words.words)
                self._problem("demand", name, f"unknown word '{demand.has}'; {hint}", "has")

    def _resolve(self, section: str, name: str) -> None:
        """Compile a term, demand or gather after everything that it names."""
        if name in self._conditions:
            return
        if len(self._open) > MAX_HEIGHT:
            self._problem(
                section, name, f"more than {MAX_HEIGHT} terms lean on each other in a row"
            )
            self._settle(name, Condition("no", Fixed(False)))
            return
        if name in self._open:
            circle = " -> ".join([*self._open[self._open.index(name) :], name])
            self._problem(section, name, f"defined in a circle: {circle}")
            self._settle(name, Condition("no", Fixed(False)))
            return
        self._open.append(name)
        for text in self._texts_behind(section, name):
            for other in set(re.findall(r"[A-Za-z_]\w*", re.sub(r"'[^']*'|\"[^\"]*\"", "", text))):
                for inner in ("term", "demand", "gather"):
                    if other in self._merged[inner]:
                        self._resolve(inner, other)
        self._open.pop()
        if name in self._conditions:
            return
        if section == "demand":
            made = Condition(name, self._demand(self._merged["demand"][name].topic))
        elif section == "gather":
            gather: Gather = self._merged["gather"][name]
            key = "any" if gather.any else "all"
            made = self._parse(gather.any or gather.all, section, name, gather.over, key)
        else:
            made = self._parse(self._merged["term"][name], section, name, None)
        if section == "gather":
            self._conditions[name] = made
        else:
            self._settle(name, made)

    def _settle(self, name: str, made: Condition) -> None:
        self._conditions[name] = made
        self._words.terms[name] = made.node
        self._weights[name] = weight(made.node, self._weights)
        self._heights[name] = height(made.node, self._heights)

    def _texts_behind(self, section: str, name: str) -> Iterator[str]:
        item = self._merged[section][name]
        if section == "term":
            yield item
        elif section == "gather":
            yield from (item.any, item.all)
        else:
            for rule in self._merged["rule"].values():
                if rule.topic == item.topic:
                    yield rule.when
                    yield from (each.when for each in rule.exceptions)

    def _demand(self, topic: str) -> Node:
        parts: list[Node] = []
        for name, rule in self._merged["rule"].items():
            if rule.topic == topic and rule.status != "withdrawn":
                when = self._parse(rule.when, "rule", name, None, "when").node
                exempt = [
                    Not(self._parse(each.when, "rule", name, None, "exceptions", i, "when").node)
                    for i, each in enumerate(rule.exceptions)
                ]
                parts.append(And((when, *exempt)) if exempt else when)
        return Or(tuple(parts)) if parts else Fixed(False)

    def _parse(
        self, text: str, section: str, name: str, scope: str | None, *rest: str | int
    ) -> Condition:
        file = self._origin[section, name]
        path: TomlPath = (section, name, *rest)
        try:
            node = parse(text, self._words)
        except ExpressionError as error:
            if not any(f"'{each}'" in error.message.partition(";")[0] for each in self._broken):
                self.problems.append(file.problem_in(path, error.offset, error.message))
            return Condition("no", Fixed(False))
        size, depth = weight(node, self._weights), height(node, self._heights)
        if size > MAX_WEIGHT or depth > MAX_HEIGHT:
            # Terms that name terms can double at every step; nothing of that kind is a rule.
            over = f"{size} parts" if size > MAX_WEIGHT else f"{depth} levels"
            limit = MAX_WEIGHT if size > MAX_WEIGHT else MAX_HEIGHT
            message = f"{over} once its terms are opened; at most {limit}"
            self.problems.append(file.problem_in(path, 0, message))
            return Condition("no", Fixed(False))
        if scope is not None:
            for word in leaves(node):
                of = self._words.words[word].of
                if of and not set(of) & set(SEES[scope]):
                    message = f"'{word}' belongs to the {of[0]}; a {scope} rule cannot see it"
                    self.problems.append(file.problem_in(path, max(text.find(word), 0), message))
        return Condition(text, node)

    def _tell(self, section: str, name: str, found: Iterable[Slip]) -> None:
        for where, message in found:
            self._problem(section, name, message, *where)

    def _check_own_years(self) -> None:
        for file in self.chain:
            for number, term in enumerate(file.ruleset.own_years):
                if term not in self._merged["term"]:
                    message = f"no term '{term}'; {nearest(term, self._merged['term'])}"
                    self.problems.append(file.problem(("own_years", number), message))

    def _lens(self, scope: str, lens: AsBuilt) -> Lens:
        self._tell("as_built", scope, lens_slips(scope, lens, self._merged["question"]))
        years = tuple(
            YearSource(
                each.of,
                each.take,
                self._parse(each.when, "as_built", scope, scope, "years", number, "when"),
                self._parse(each.must, "as_built", scope, scope, "years", number, "must"),
            )
            for number, each in enumerate(lens.years)
        )
        return Lens(lens, years)

    def _rule(self, name: str, rule: RuleDeclared) -> Rule | None:
        merged = self._merged
        slips = rule_slips(rule, self._words.words, merged["topic"], merged["danger"])
        self._tell("rule", name, slips)
        before = len(self.problems)

        def condition(text: str, *rest: str | int) -> Condition:
            return self._parse(text, "rule", name, rule.of, *rest)

        made = Rule(
            id=name,
            declared=rule,
            when=condition(rule.when, "when"),
            exceptions=tuple(
                Exempt(each, condition(each.when, "exceptions", number, "when"))
                for number, each in enumerate(rule.exceptions)
            ),
            needs=condition(rule.needs, "needs"),
            disputed=tuple(
                Disputed(each.readings, condition(each.when, "disputed", number, "when"))
                for number, each in enumerate(rule.disputed)
            ),
            defect_when=condition(rule.defect_when, "defect_when") if rule.defect_when else None,
            deadlines=tuple(
                Due(each, condition(each.when, "deadlines", number, "when"))
                for number, each in enumerate(rule.deadlines)
            ),
            danger=self._dangers.get(rule.danger or self._merged["danger_of"].get(rule.topic, "")),
        )
        return made if len(self.problems) == before else None

    def _caveat(self, name: str, caveat: CaveatDeclared) -> Caveat:
        self._tell(
            "caveat", name, caveat_slips(caveat, self._merged["cure"], self._merged["topic"])
        )
        return Caveat(
            caveat,
            self._parse(caveat.when, "caveat", name, None, "when"),
            self._parse(caveat.unless, "caveat", name, None, "unless"),
        )

    def _danger(self, name: str, danger: DangerDeclared) -> Danger:
        when = danger.first_when
        first = self._parse(when, "danger", name, None, "first_when") if when else None
        return Danger(name, danger, first)
