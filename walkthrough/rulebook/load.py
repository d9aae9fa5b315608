"""Loads a ruleset: merges its files, compiles every expression, tells all slips at once."""

from __future__ import annotations

import functools
import hashlib
from collections.abc import Callable, Iterable, Sequence
from pathlib import Path

from walkthrough.rulebook.checks import default_slips, lens_slips, template_slips
from walkthrough.rulebook.compiling import Compiler
from walkthrough.rulebook.conditions import leaves
from walkthrough.rulebook.declarations import (
    AsBuilt,
    CaveatDeclared,
    DangerDeclared,
    RuleDeclared,
    RulesetDeclared,
)
from walkthrough.rulebook.declared_words import declared_words
from walkthrough.rulebook.files import RulesetFile, read_chain, ruleset_files
from walkthrough.rulebook.merged import Merged
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
from walkthrough.rulebook.wording import caveat_slips, danger_slips, rule_slips
from walkthrough.rulebook.words import VOID_TEST


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
    merged = Merged(chain)
    made = _Made(merged, Compiler(merged, declared_words(merged)))
    if merged.problems:
        raise Unusable(merged.problems)
    return made.rulebook()


class _Made:
    """What is made of the declarations, with the slips found on the way noted in `merged`."""

    def __init__(self, merged: Merged, compiler: Compiler) -> None:
        self._merged, self._compiler = merged, compiler
        of = merged.of
        self._dangers = {name: self._danger(name, each) for name, each in of["danger"].items()}
        self._caveats = {name: self._caveat(name, each) for name, each in of["caveat"].items()}
        for topic, word in of["danger_of"].items():
            merged.tell("danger_of", topic, danger_slips(topic, word, of["topic"], of["danger"]))
        rules = {name: self._rule(name, each) for name, each in of["rule"].items()}
        self._rules = {name: rule for name, rule in rules.items() if rule is not None}
        self._settled_when = {
            name: compiler.parse(gather.settled_when, "gather", name, gather.of, "settled_when")
            for name, gather in of["gather"].items()
            if gather.settled_when
        }
        self._asked_when = {
            name: compiler.parse(question.when, "question", name, question.of[0], "when")
            for name, question in of["question"].items()
            if question.when
        }
        self._lenses = {scope: self._lens(scope, each) for scope, each in of["as_built"].items()}
        for id in of["question"]:
            merged.tell("question", id, default_slips(id, of["question"]))
        for name, template in of["room_template"].items():
            merged.tell("room_template", name, template_slips(template, of["question"]))
        self._check_own_years()
        self._check_void_test()

    def rulebook(self) -> Rulebook:
        """The ruleset as it is used; of no use where there are slips."""
        chain, of = self._merged.chain, self._merged.of
        last, conditions = chain[-1].ruleset, self._compiler.conditions
        return Rulebook(
            id=last.id,
            title=last.title,
            chain=tuple(
                Source(file.path, file.text, frozenset(file.ruleset.rule)) for file in chain
            ),
            fingerprint=_fingerprint(chain),
            in_force_from=last.in_force_from,
            in_force_to=last.in_force_to,
            series=last.series,
            lineage=self._told_last(lambda each: each.series),
            vocabulary=self._compiler.words,
            questions=of["question"],
            asked_when=self._asked_when,
            tables=of["table"],
            topics=of["topic"],
            terms={name: conditions[name] for name in (*of["term"], *of["demand"])},
            demands=of["demand"],
            gathers={name: (gather, conditions[name]) for name, gather in of["gather"].items()},
            settled_when=self._settled_when,
            rules=self._rules,
            notices=tuple(self._merged.notices),
            verify_in=self._told_last(lambda each: each.verify_in) or "the text of the rule",
            section_forms=self._merged.section_forms,
            own_years=frozenset(each for file in chain for each in file.ruleset.own_years),
            as_built=self._lenses,
            room_templates=of["room_template"],
            cures=of["cure"],
            caveats=self._caveats,
            dangers=self._dangers,
            explained=of["explained"],
        )

    def _told_last(self, told: Callable[[RulesetDeclared], str]) -> str:
        files = reversed(self._merged.chain)
        return next((told(file.ruleset) for file in files if told(file.ruleset)), "")

    def _check_own_years(self) -> None:
        for file in self._merged.chain:
            for number, term in enumerate(file.ruleset.own_years):
                if term not in self._merged.of["term"]:
                    message = f"no term '{term}'; {nearest(term, self._merged.of['term'])}"
                    self._merged.problems.append(file.problem(("own_years", number), message))

    def _check_void_test(self) -> None:
        void = self._compiler.conditions.get(VOID_TEST)
        for word in leaves(void.node) if void else ():
            if word not in self._merged.of["question"]:
                # What is traced along the wiring leans on it, and would go round in a circle.
                message = f"'{VOID_TEST}' says what a TEST is worth; '{word}' is no question"
                self._merged.problem("term", VOID_TEST, message)

    def _lens(self, scope: str, lens: AsBuilt) -> Lens:
        self._merged.tell("as_built", scope, lens_slips(scope, lens, self._merged.of["question"]))
        years = tuple(
            YearSource(
                each.of,
                each.take,
                self._compiler.parse(each.when, "as_built", scope, scope, "years", number, "when"),
                self._compiler.parse(each.must, "as_built", scope, scope, "years", number, "must"),
            )
            for number, each in enumerate(lens.years)
        )
        return Lens(lens, years)

    def _rule(self, name: str, rule: RuleDeclared) -> Rule | None:
        of = self._merged.of
        slips = rule_slips(rule, self._compiler.words.words, of["topic"], of["danger"])
        self._merged.tell("rule", name, slips)
        before = len(self._merged.problems)

        def condition(text: str, *rest: str | int) -> Condition:
            return self._compiler.parse(text, "rule", name, rule.of, *rest)

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
            danger=self._dangers.get(
                rule.danger or self._merged.of["danger_of"].get(rule.topic, "")
            ),
        )
        return made if len(self._merged.problems) == before else None

    def _caveat(self, name: str, caveat: CaveatDeclared) -> Caveat:
        self._merged.tell(
            "caveat", name, caveat_slips(caveat, self._merged.of["cure"], self._merged.of["topic"])
        )
        return Caveat(
            caveat,
            self._compiler.parse(caveat.when, "caveat", name, None, "when"),
            self._compiler.parse(caveat.unless, "caveat", name, None, "unless"),
        )

    def _danger(self, name: str, danger: DangerDeclared) -> Danger:
        when = danger.first_when
        first = self._compiler.parse(when, "danger", name, None, "first_when") if when else None
        return Danger(name, danger, first)


def _fingerprint(chain: Iterable[RulesetFile]) -> str:
    digest = hashlib.sha256()
    for file in chain:
        # A checkout may turn line ends over: the same rules keep their fingerprint.
        text = file.text.replace("\r\n", "\n")
        digest.update(file.path.name.encode() + b"\0" + text.encode() + b"\0")
    return "sha256:" + digest.hexdigest()
