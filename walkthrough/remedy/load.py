"""Loads what can be done about a finding, and checks it against the questions of a ruleset."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from typing import Any

from pydantic import ValidationError

from walkthrough.judge.traced import device_tables
from walkthrough.remedy.actions import Action, Actions, Caution, Change, Choice, Clause
from walkthrough.remedy.declarations import (
    FORMAT,
    ActionDeclared,
    ActionsDeclared,
    CautionDeclared,
    ChoiceDeclared,
    GroupDeclared,
    Implied,
    ScopeDeclared,
)
from walkthrough.remedy.files import remedy_file
from walkthrough.rulebook.conditions import Fixed
from walkthrough.rulebook.expression import ExpressionError, parse
from walkthrough.rulebook.files import read_toml
from walkthrough.rulebook.locate import Path as TomlPath
from walkthrough.rulebook.locate import locate, locate_value
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.rulebook import Condition, Rulebook
from walkthrough.rulebook.validation import field_names, problems_from
from walkthrough.survey.answers import check_answer

ACTIONS = "actions.toml"
_JOINED = ("tags", "also", "forgets", "year", "needs", "bars", "warns", "only_for")


def load_actions(book: Rulebook, path: Path | None = None) -> Actions:
    """The actions for a ruleset, the shipped ones without a path; raises Unusable."""
    own = path or remedy_file(ACTIONS)
    declared, text = _declared(own)
    try:
        return _Compiler(book, declared, str(own), text).actions()
    except Unusable as error:
        if path is not None:
            raise
        # The shipped file fits the shipped rulesets: what does not fit is the ruleset at hand.
        raise Unusable([_does_not_fit(book, own, error.problems)]) from None


def _does_not_fit(book: Rulebook, path: Path, problems: Sequence[Problem]) -> Problem:
    found = f"{len(problems)} places of {path.name} do not fit the questions of '{book.id}'"
    message = (
        f"no plan can be made by this ruleset: {found}, the first at line {problems[0].line}: "
        f"{problems[0].message}; expected a ruleset that extends a shipped one and keeps its words"
    )
    return Problem(str(book.chain[-1].path), 1, 1, message)


def words_of_work(path: Path | None = None) -> frozenset[str]:
    """The answers that some work can change, whatever the ruleset; raises Unusable."""
    declared, _ = _declared(path or remedy_file(ACTIONS))
    parts = (*declared.action.values(), *declared.group.values())
    overs = (each.over.sets for each in parts if each.over is not None)
    also = (change.sets for each in parts for change in each.also)
    return frozenset(
        word for each in (*(part.sets for part in parts), *also, *overs) for word in each
    ).union(*(each.year for each in parts))


def _declared(path: Path) -> tuple[ActionsDeclared, str]:
    data, text = read_toml(path)
    if data.get("format", FORMAT) != FORMAT:
        message = f"format is {data['format']!r}; this program reads format {FORMAT}"
        raise Unusable([Problem(str(path), *locate(text, ("format",)), message)])
    try:
        return ActionsDeclared.model_validate(data), text
    except ValidationError as error:
        raise Unusable(problems_from(error, text, str(path), _fields_at)) from None


class _Compiler:
    """Puts groups and actions together, and collects every slip on the way."""

    def __init__(self, book: Rulebook, declared: ActionsDeclared, path: str, text: str) -> None:
        self.book = book
        self.declared = declared
        self.path = path
        self.text = text
        self.problems: list[Problem] = []
        self._compiled: dict[str, Condition] = {}

    def actions(self) -> Actions:
        declared = self.declared
        made = [self._action(name, each) for name, each in declared.action.items()]
        carried, binding = set(declared.assumed.carried), self._binding()
        self._check_answers(("assumed", "missing"), declared.assumed.missing, "outlet")
        implied = tuple(
            self._implied(("assumed", "implied", number), each)
            for number, each in enumerate(declared.assumed.implied)
        )
        keeps = self._condition(declared.keeps.when, ("keeps", "when"))
        choices = {
            name: Choice(
                each, self._condition(each.own, ("choice", name, "own")) if each.own else None
            )
            for name, each in declared.choice.items()
        }
        cautions = tuple(
            self._caution(("caution", number), each) for number, each in enumerate(declared.caution)
        )
        if self.problems:
            raise Unusable(self.problems)
        return Actions(
            self.book,
            tuple(sorted((each for each in made if each), key=lambda each: each.place)),
            keeps,
            frozenset(declared.keeps.words),
            binding,
            frozenset(n for n, each in self.book.questions.items() if each.carry in carried),
            declared.assumed.missing,
            implied,
            declared.opening,
            declared.scope,
            choices,
            cautions,
        )

    def _binding(self) -> frozenset[str]:
        """The answers by which rules bind work; a slip where there is no such question."""
        words = self.declared.binds.words
        for number, word in enumerate(words):
            if word not in self.book.questions:
                hint = nearest(word, self.book.questions)
                self._problem(("binds", "words", number), f"no question '{word}'; {hint}")
        return frozenset(words)

    def _problem(self, path: TomlPath, message: str) -> None:
        self.problems.append(Problem(self.path, *locate(self.text, path), message))

    def _action(self, name: str, own: ActionDeclared) -> Action | None:
        path: TomlPath = ("action", name)
        groups: list[GroupDeclared] = []
        for number, each in enumerate(own.groups):
            if each in self.declared.group:
                groups.append(self.declared.group[each])
            else:
                hint = nearest(each, self.declared.group)
                self._problem((*path, "groups", number), f"no group '{each}'; {hint}")
        whole = _merged(groups, own)
        for key in ("of", "step", "price", "does"):
            if not getattr(whole, key):
                self._problem(path, f"the action '{name}' lacks '{key}'")
        if whole.step not in self.declared.steps:
            self._problem(
                path, f"no step '{whole.step}'; {nearest(whole.step, self.declared.steps)}"
            )
            return None
        self._check(path, whole)
        clauses = [
            tuple(
                Clause(
                    self._condition(e.when, path),
                    e.says,
                    e.name,
                    e.quiet,
                    self._condition(e.unless, path) if e.unless else None,
                    e.another_kind,
                    e.untold,
                )
                for e in sorted(each, key=lambda e: not e.quiet)
            )
            for each in (whole.needs, whole.bars)
        ]
        changes = tuple(
            Change(self._condition(each.when, path), each.sets, each.label, each.does)
            for each in whole.also
        )
        over = None
        if whole.over is not None:
            over = Change(self._condition(whole.over.when, path), whole.over.sets)
        place = self.declared.steps.index(whole.step)
        return Action(name, whole, place, clauses[0], clauses[1], changes, over)

    def _implied(self, path: TomlPath, declared: Implied) -> Change:
        self._check_answers(path, declared.sets, "outlet")
        return Change(self._condition(declared.when, (*path, "when")), declared.sets)

    def _caution(self, path: TomlPath, declared: CautionDeclared) -> Caution:
        kinds = device_tables(self.book).kinds
        for each in declared.gives:
            if each not in kinds:
                self._problem((*path, "gives"), f"no protection '{each}'; {nearest(each, kinds)}")
        return Caution(declared, self._condition(declared.when, (*path, "when")))

    def _check(self, path: TomlPath, whole: ActionDeclared) -> None:
        every = [whole.sets, *(each.sets for each in whole.also)]
        for answers in every:
            self._check_answers(path, answers, whole.of or "")
        if whole.over:
            self._check_answers(path, whole.over.sets, whole.over.of)
        for word in (*whole.forgets, *whole.year):
            self._question(path, word, whole.of or "")

    def _check_answers(self, path: TomlPath, answers: Mapping[str, Any], of: str) -> None:
        for word, value in answers.items():
            question = self._question(path, word, of)
            wrong = check_answer(value, question) if question else ""
            if wrong:
                self._problem(path, f"{word}: {wrong}")

    def _question(self, path: TomlPath, word: str, of: str) -> Any:
        asked = {name: each for name, each in self.book.questions.items() if of in each.of}
        if word not in asked:
            self._problem(
                path, f"no question '{word}' is asked of this {of}; {nearest(word, asked)}"
            )
        return asked.get(word)

    def _condition(self, text: str, path: TomlPath) -> Condition:
        if text in self._compiled:
            return self._compiled[text]
        try:
            made = Condition(text, parse(text, self.book.vocabulary))
        except ExpressionError as error:
            where = locate_value(self.text, path, error.offset)
            self.problems.append(Problem(self.path, *where, f'in "{text}": {error.message}'))
            made = Condition("no", Fixed(False))
        self._compiled[text] = made
        return made


def _merged(groups: list[GroupDeclared], own: ActionDeclared) -> ActionDeclared:
    """An action with all that its groups say; lists are joined, what is nearer counts."""
    parts: list[GroupDeclared] = [*groups, own]
    given: dict[str, Any] = {}
    for part in parts:
        for key in part.model_fields_set - {"groups"}:
            value = getattr(part, key)
            if key in _JOINED:
                given[key] = (*given.get(key, ()), *value)
            elif key == "sets":
                given[key] = {**given.get(key, {}), **value}
            else:
                given[key] = value
    return ActionDeclared.model_construct(**given)


def _fields_at(path: TomlPath) -> Iterator[str]:
    models: dict[str, Any] = {
        "action": ActionDeclared,
        "group": GroupDeclared,
        "scope": ScopeDeclared,
        "choice": ChoiceDeclared,
        "caution": CautionDeclared,
    }
    if not path:
        yield from field_names(ActionsDeclared)
    elif path[0] in models and len(path) == 2:
        yield from field_names(models[str(path[0])])
