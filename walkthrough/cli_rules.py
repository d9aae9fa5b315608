"""The commands about rulesets: list, show, words, check, compare, cases, coverage."""

from __future__ import annotations

import argparse
import json
import sys
from pathlib import Path
from typing import Any

from walkthrough.cli_compare import add_compare_verb
from walkthrough.cli_output import tell
from walkthrough.judge.case_files import cases_beside
from walkthrough.judge.cases import Result, run_file
from walkthrough.judge.coverage import coverage
from walkthrough.rulebook.audit import audit
from walkthrough.rulebook.declarations import SEES, CaseDefault, Question
from walkthrough.rulebook.files import ruleset_files
from walkthrough.rulebook.idle import idle
from walkthrough.rulebook.load import load
from walkthrough.rulebook.problems import Problem, Unusable, nearest
from walkthrough.rulebook.rulebook import Rule, Rulebook

FAILED = 1


def add_rules_command(commands: Any) -> None:
    """Add `rules` and its sub-commands to the parser."""
    parser = commands.add_parser("rules", help="list, show, check and try rulesets")
    verbs = parser.add_subparsers(title="verbs", metavar="VERB", required=True)

    verb = verbs.add_parser("list", help="the rulesets that can be used")
    verb.set_defaults(run=_list)

    verb = verbs.add_parser("show", help="the rules of a ruleset, or one rule in full")
    verb.add_argument("ruleset")
    verb.add_argument("rule", nargs="?", help="id of one rule")
    verb.add_argument("--topic", help="only rules of this topic")
    verb.set_defaults(run=_show)

    verb = verbs.add_parser("words", help="every word that expressions and cases may use")
    verb.add_argument("ruleset")
    verb.add_argument("--of", choices=sorted(SEES), help="only words of this kind of subject")
    verb.set_defaults(run=_words)

    verb = verbs.add_parser("check", help="read rulesets and report every slip")
    verb.add_argument("ruleset", nargs="*", help="ids or files; all when none is named")
    verb.set_defaults(run=_check)

    add_compare_verb(verbs)

    verb = verbs.add_parser("cases", help="run rule cases")
    verb.add_argument("--ruleset", help="id or file of the ruleset; else as the case file says")
    verb.add_argument("--file", type=Path, help="a case file of your own")
    verb.add_argument("--json", action="store_true", help="print the results as JSON")
    verb.set_defaults(run=_cases)

    verb = verbs.add_parser(
        "coverage", help="conditions that no case shows deciding an outcome on their own"
    )
    verb.add_argument("ruleset", nargs="*", help="ids; all that have cases when none is named")
    verb.set_defaults(run=_coverage)


def _list(_: argparse.Namespace) -> int:
    problems: list[Problem] = []
    for name, path in ruleset_files().items():
        try:
            book = load(path)
        except Unusable as error:
            problems += error.problems
            continue
        extends = " <- ".join(source.path.stem for source in reversed(book.chain))
        tell(f"{name:20} {len(book.rules):4} rules  {book.title}  ({extends})")
    if problems:
        # What can be used has been listed; what cannot is told now.
        raise Unusable(dict.fromkeys(problems))
    return 0


def _show(chosen: argparse.Namespace) -> int:
    book = load(chosen.ruleset)
    if chosen.topic is not None and chosen.topic not in book.topics:
        message = f"no topic '{chosen.topic}'; {nearest(chosen.topic, book.topics)}"
        raise Unusable([Problem(book.id, 0, 0, message)])
    if chosen.rule:
        if chosen.rule not in book.rules:
            message = f"no rule '{chosen.rule}'; {nearest(chosen.rule, book.rules)}"
            raise Unusable([Problem(book.id, 0, 0, message)])
        _show_rule(book.rules[chosen.rule], book)
        return 0
    tell(f"{book.title} ({book.id}), fingerprint {book.fingerprint}")
    for topic, title in book.topics.items():
        rules = [rule for rule in book.rules.values() if rule.declared.topic == topic]
        if rules and chosen.topic in (None, topic):
            print()
            tell(title)
            for rule in rules:
                sections = ", ".join(rule.declared.cite)
                tell(f"  {rule.id:32} {sections:28} {rule.declared.confidence}")
    return 0


def _show_rule(rule: Rule, book: Rulebook) -> None:
    declared = rule.declared
    remedy = declared.remedy or "; ".join(book.cures.get(each, each) for each in declared.cure)
    rows = [
        ("rule", rule.id),
        ("topic", book.topics[declared.topic]),
        ("judges", declared.of),
        ("section", ", ".join(declared.cite)),
        ("applies when", declared.when),
        *(
            (f"exception {', '.join(each.cite)}", f"{each.when} ({each.confidence or 'no mark'})")
            for each in declared.exceptions
        ),
        ("needs", declared.needs),
        *((_disputed(each.when), " / ".join(each.readings)) for each in declared.disputed),
        (
            "kind",
            declared.kind
            + (f"; defect when {declared.defect_when}" if declared.defect_when else ""),
        ),
        ("severity", declared.severity),
        ("says", declared.says),
        ("why", declared.why),
        ("cure", ", ".join(declared.cure)),
        *([("what to do", remedy)] if remedy else []),
        *([("danger", rule.danger.declared.says)] if rule.danger else []),
        ("done by", declared.done_by),
        *(
            (f"within {each.told}", f"{each.programme}: {each.when} ({each.confidence})")
            for each in declared.deadlines
        ),
        ("status", declared.status),
        ("confidence", declared.confidence),
        ("source", declared.source),
    ]
    if declared.grade:
        rows.append(("grade", f"{declared.grade.word} ({declared.grade.confidence})"))
    if declared.duty:
        rows.append(("report duty", declared.duty))
    if declared.code:
        rows.append(("in the code", ", ".join(declared.code)))
    for name, text in rows:
        tell(f"{name + ':':26} {text}")
    terms = [
        name for name in book.terms if any(name in each for each in (declared.when, declared.needs))
    ]
    for name in terms:
        tell(f"{'where ' + name + ':':26} {book.terms[name].text}")


def _disputed(when: str) -> str:
    return "disputed" if when == "yes" else f"disputed when {when}"


def _words(chosen: argparse.Namespace) -> int:
    book = load(chosen.ruleset)
    for word in book.vocabulary.words.values():
        if chosen.of and chosen.of not in word.of:
            continue
        choices = f" [{', '.join(word.choices)}]" if word.choices else ""
        tell(f"{word.name:28} {'/'.join(word.of) or '-':18} {word.kind}{choices}")
        if word.means:
            tell(f"{'':28} {word.means}")
        question = book.questions.get(word.name)
        if question is not None:
            for line in _taken(question):
                tell(f"{'':28} {line}")
    if not chosen.of:
        for name, condition in book.terms.items():
            text = (
                f"a rule of topic {book.demands[name].topic} applies"
                if name in book.demands
                else condition.text
            )
            tell(f"{name:28} {'term':18} {text}")
        for name, table in book.tables.items():
            tell(f"{name:28} {'table':18} {table.cite}: {dict(table.rows)}")
    return 0


def _meant_by_default(default: CaseDefault) -> str:
    number = "" if default.number is None else f"{default.number:g}"
    unless = f", unless it gives {' or '.join(default.unless)}" if default.unless else ""
    within = "".join(
        f", where {word} is none but {', '.join(map(_plain, listed))}"
        for word, listed in default.within.items()
    ) + "".join(f", where {word} is at least {least:g}" for word, least in default.at_least.items())
    return f"{default.choice or number or 'the year of its day'}{unless}{within}"


def _plain(value: str | float) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def _taken(question: Question) -> list[str]:
    """In what a word is told, where a record keeps it, and what holds where it is not given."""
    lines: list[str] = []
    if question.unit:
        lines.append(f"unit: {question.unit}")
    if question.reading:
        lines.append("a reading: a record keeps it under readings")
    if question.presume is not None:
        lines.append(f"presumed until answered: {question.presume}")
    lines += [
        f"a case that does not give it means: {_meant_by_default(each)}"
        for each in question.case_default
    ]
    if question.none:
        lines.append(f"inf means: {question.none.lower()}")
    return lines


def _check(chosen: argparse.Namespace) -> int:
    problems: list[Problem] = []
    books: list[Rulebook] = []
    names = chosen.ruleset or list(ruleset_files())
    for name in names:
        try:
            book = load(name)
        except Unusable as error:
            problems += error.problems
        else:
            books.append(book)
            tell(f"{book.id}: {len(book.rules)} rules, {len(book.questions)} questions, no slip")
            for warning in audit(book):
                tell(f"warning: {warning}")
    if not chosen.ruleset and not problems:
        # What one file asks may be of use to another: this needs all of them.
        for warning in idle(books):
            tell(f"warning: {warning}")
    if problems:
        raise Unusable(dict.fromkeys(problems))
    return 0


def _cases(chosen: argparse.Namespace) -> int:
    if chosen.file:
        runs = [run_file(chosen.file, chosen.ruleset)]
    else:
        files = list(ruleset_files().values())
        if chosen.ruleset is not None:
            files = [load(chosen.ruleset).chain[-1].path]
        beside = [cases_beside(path) for path in files if cases_beside(path).is_file()]
        if not beside:
            raise Unusable([Problem("cases", 0, 0, "no case file beside the ruleset")])
        runs = [run_file(path) for path in beside]
    results = [result for run in runs for result in run.results]
    problems = [problem for run in runs for problem in run.problems]
    if chosen.json:
        json.dump([_as_json(result) for result in results], sys.stdout, indent=1)
        print()
    else:
        for result in results:
            for slip in result.slips:
                tell(f"{result.path}:{result.line}: {result.about}: {slip}")
        passed = sum(result.passed for result in results)
        tell(f"{passed} of {len(results)} cases as expected")
    if problems:
        # The cases that are right have been run; the others are told now.
        raise Unusable(problems)
    return 0 if all(result.passed for result in results) else FAILED


def _coverage(chosen: argparse.Namespace) -> int:
    files = ruleset_files()
    paths = [load(name).chain[-1].path for name in chosen.ruleset] or list(files.values())
    complete = True
    for path in paths:
        if not cases_beside(path).is_file():
            continue
        found = coverage(cases_beside(path))
        complete = complete and not found.gaps
        for gap in found.gaps:
            tell(f"{found.ruleset}: {gap.rule}: no case decides by '{gap.told}' being {gap.said}")
        for gap in found.excused:
            tell(f"{found.ruleset}: {gap.rule}: '{gap.told}' being {gap.said}: beyond any case")
        share = 100 * found.shown / found.wanted if found.wanted else 100
        tell(f"{found.ruleset}: {found.shown} of {found.wanted} shown ({share:.1f} %)")
    return 0 if complete else FAILED


def _as_json(result: Result) -> dict[str, Any]:
    return {
        "about": result.about,
        "line": result.line,
        "ruleset": result.ruleset,
        "passed": result.passed,
        "slips": list(result.slips),
        "outcomes": {
            name: decision.outcome
            for name, decision in result.decisions.items()
            if decision.outcome != "not applicable"
        },
    }
