"""The files of a chain merged into one set of declarations, and where each of them stands."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from walkthrough.rulebook.checks import Slip
from walkthrough.rulebook.declarations import RuleDeclared, TableDeclared
from walkthrough.rulebook.files import RulesetFile
from walkthrough.rulebook.order import in_order
from walkthrough.rulebook.problems import Problem, nearest
from walkthrough.rulebook.sections import joined

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


@dataclass
class Merged:
    """What a chain of files declares: `of` by section and name, the later file over the earlier.

    `problems` are all slips found so far, `broken` the names that have one: what is wrong by itself
    is told once, and not again wherever it is named.
    """

    chain: tuple[RulesetFile, ...]
    of: dict[str, dict[str, Any]] = field(default_factory=dict)
    problems: list[Problem] = field(default_factory=list)
    broken: set[str] = field(default_factory=set)
    notices: list[str] = field(default_factory=list)
    section_forms: tuple[str, ...] = ()

    def __post_init__(self) -> None:
        """Merge, file by file."""
        self._origin: dict[tuple[str, str], RulesetFile] = {}
        self.of = {section: {} for section in SECTIONS}
        for file in self.chain:
            self.broken |= set(file.broken)
            self.problems += file.slips
        for file in self.chain:
            self._drop_rules(file)
            self.notices += file.ruleset.notices
            if file.ruleset.section_forms:
                self.section_forms = joined(file.ruleset.section_forms, self.section_forms)
            self._lay_over(file)
        self.of["question"] = in_order(self.of["question"])

    def origin(self, section: str, name: str) -> RulesetFile:
        """The file that declares it last."""
        return self._origin[section, name]

    def problem(self, section: str, name: str, message: str, *rest: str | int) -> None:
        """Note what is wrong with a declaration."""
        self.problems.append(self._origin[section, name].problem((section, name, *rest), message))
        self.broken.add(name)

    def tell(self, section: str, name: str, found: Iterable[Slip]) -> None:
        """Note the slips that a check found in a declaration."""
        for where, message in found:
            self.problem(section, name, message, *where)

    def _drop_rules(self, file: RulesetFile) -> None:
        rules = self.of["rule"]
        for number, rule_id in enumerate(file.ruleset.drop):
            if rule_id == EVERY_RULE:
                rules.clear()
            elif rules.pop(rule_id, None) is None and rule_id not in self.broken:
                message = f"drops '{rule_id}', which is not there; {nearest(rule_id, rules)}"
                self.problems.append(file.problem(("drop", number), message))

    def _lay_over(self, file: RulesetFile) -> None:
        for section in SECTIONS:
            for name, item in getattr(file.ruleset, section).items():
                below = self.of[section].get(name)
                if isinstance(below, TableDeclared | RuleDeclared):
                    item = item.upon(below)
                self.of[section][name] = item
                self._origin[section, name] = file
