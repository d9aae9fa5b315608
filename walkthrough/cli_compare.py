"""The command `rules compare`: what changes between two rulesets, or between them in one house."""

from __future__ import annotations

import argparse
import json
import sys
import textwrap
from collections.abc import Iterator
from pathlib import Path
from typing import Any

from walkthrough.cli_sessions import Shelf, load_session
from walkthrough.judge.changes import HouseChange, changes_in
from walkthrough.judge.judge import judge
from walkthrough.report.text import WIDTH, clean
from walkthrough.report.words import mark as marked
from walkthrough.rulebook.compare import Compared, TableChange, compare
from walkthrough.rulebook.declarations import Gather, Question
from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Rule, Rulebook
from walkthrough.rulebook.sentences import Sentence, gather_sentence, says, sentences

FEW = 2
_LEVELS = {"no": "nothing", "open": "still open", "ask": "ask the AHJ", "yes": "deficient"}


def add_compare_verb(verbs: Any) -> None:
    """Add `rules compare` to the parser."""
    verb = verbs.add_parser("compare", help="what changes from one ruleset to another")
    verb.add_argument("old", help="id or file of a ruleset")
    verb.add_argument("new", help="id or file of a ruleset")
    verb.add_argument("session", nargs="?", type=Path, help="say only what changes in this house")
    verb.add_argument("--json", action="store_true", help="print the changes as JSON")
    verb.set_defaults(run=_compare)


def _compare(chosen: argparse.Namespace) -> int:
    old, new = load(chosen.old), load(chosen.new)
    if chosen.session is not None:
        return _in_house(chosen, old, new)
    compared = compare(old, new)
    told = sentences(compared, old, new)
    if chosen.json:
        json.dump(_as_json(compared, told, old, new), sys.stdout, indent=1, ensure_ascii=False)
        print()
    else:
        for line in _lines(compared, told, old, new):
            print(clean(line))
    return 0


def _in_house(chosen: argparse.Namespace, old: Rulebook, new: Rulebook) -> int:
    session = load_session(chosen.session, Shelf(), [old, new])
    found = list(changes_in(judge(session, old), judge(session, new)))
    if chosen.json:
        whole = {
            "session": session.title,
            "from": old.id,
            "to": new.id,
            "changes": [_change_as_json(each) for each in found],
        }
        json.dump(whole, sys.stdout, indent=1, ensure_ascii=False)
        print()
        return 0
    print(clean(f"{session.title}: from {old.id} to {new.id}"))
    titles = {**old.topics, **new.topics}
    groups: dict[str, list[str]] = {}
    for each in found:
        turn = each.graded or f"{_LEVELS[each.was]} -> {_LEVELS[each.now]}"
        turn = f"{titles[each.topic]}, {turn}"
        told = f"{turn}: {_sections(each.verdict.decision.rule)}: {each.says}"
        groups.setdefault(told, []).append(each.subject)
    for told, subjects in groups.items():
        for line in (*_wrapped(told, "- "), *_wrapped(", ".join(subjects), "    ")):
            print(clean(line))
    if not found:
        print("Nothing comes out differently.")
    return 0


def _change_as_json(each: HouseChange) -> dict[str, Any]:
    rule = each.verdict.decision.rule
    return {
        "subject": each.subject,
        "topic": each.topic,
        "was": each.was,
        "now": each.now,
        "graded": each.graded,
        "rule": rule.id,
        "cite": list(rule.declared.cite),
        "says": each.says,
    }


def _lines(compared: Compared, told: list[Sentence], old: Rulebook, new: Rulebook) -> Iterator[str]:
    yield f"From {old.title} ({old.id}) to {new.title} ({new.id})"
    yield from _wrapped(
        "Where another rule of the same topic held the same before, nothing changes. Kinds of use "
        "and of place that a rule does not name are taken to be absent, and answers to be as "
        "presumed, wherever a change shows without them.",
        "",
    )
    titles = {**old.topics, **new.topics}
    for topic, title in titles.items():
        here = [each for each in told if each.topic == topic]
        if here:
            yield from ("", title)
        for each in here:
            yield from _wrapped(_told(each), "- ")
            yield from _rules(each, new.verify_in)
    gathers = [line for each in compared.gathers for line in gather_sentence(each, old, new)]
    if gathers:
        yield from ("", "Words that stand for several subjects")
        yield from (line for each in gathers for line in _wrapped(each, "- "))
    if compared.tables:
        yield from ("", "Figures for calculations")
        for row in compared.tables:
            yield from _wrapped(_row(row), "- ")
    if compared.counted:
        yield from ("", "Counted otherwise")
        for word, was_so, is_so in compared.counted:
            told_as = f"{_counting(was_so)} -> {_counting(is_so)}"
            yield from _wrapped(f"{is_so.means or word}: {told_as}", "- ")
    if compared.asked:
        yield from ("", "Asked, measured or presumed otherwise")
        for word, before_it, now_it in compared.asked:
            yield from _wrapped(f"{word.replace('_', ' ')}: {_asking(before_it, now_it)}", "- ")
    if compared.graded:
        yield from ("", "Graded otherwise")
        for one, other in compared.graded:
            yield from _wrapped(f"{other.id}: {_grading(one)} -> {_grading(other)}", "- ")
    if compared.moved or compared.moved_tables:
        yield from ("", "Under another section")
        for before, after in compared.moved:
            yield from _wrapped(f"{after.id}: {_sections(before)} -> {_sections(after)}", "- ")
        for table, was, at in compared.moved_tables:
            yield from _wrapped(f"{table}: {was} -> {at}", "- ")
    for name in dict.fromkeys(compared.too_many):
        yield from ("", f"Too many situations to tell: {name}")
    if not _as_json(compared, told, old, new)["differs"]:
        yield from ("", "Nothing comes out differently.")


def _counting(gather: Gather) -> str:
    settled = f", once {gather.settled_when}" if gather.settled_when else ""
    if gather.all:
        return f"all of them ({gather.over}){settled}"
    return f"at least {gather.at_least} ({gather.over}){settled}"


def _asking(was: Question, now: Question) -> str:
    if (was.ask, was.help) != (now.ask, now.help):
        return f"{now.ask} {now.help}"
    if was.presume != now.presume:
        return f"presumed {was.presume} -> {now.presume}"
    return "other answers or bounds"


def _grading(rule: Rule) -> str:
    declared = rule.declared
    parts: list[str] = [declared.kind, declared.severity]
    parts += [declared.grade.word] if declared.grade else []
    parts += [f"{due.told} ({due.programme})" for due in declared.deadlines]
    return ", ".join(parts)


def _told(each: Sentence) -> str:
    where = f" where {'; '.join(each.where)}" if each.where else ""
    unless = f" (unless asked anyway by {', '.join(each.unless)})" if each.unless else ""
    return f"{each.turn}{where}{unless}:"


def _rules(each: Sentence, verify_in: str) -> Iterator[str]:
    mark = marked(each.confidence, verify_in)
    if len(each.rules) > FEW:
        names = ", ".join(f"{_sections(rule)} {_name(rule)}" for rule in each.rules)
        yield from _wrapped(names + mark, "    ")
        return
    for rule in each.rules:
        yield from _wrapped(f"{_sections(rule)}: {says(rule)}{mark}", "    ")


def _row(change: TableChange) -> str:
    return f"{change.table}, {change.row}: {_cell(change.was)} -> {_cell(change.now)}"


def _name(rule: Rule) -> str:
    return rule.id.rpartition(".")[2].replace("-", " ")


def _sections(rule: Rule) -> str:
    return ", ".join(rule.declared.cite)


def _cell(value: object) -> str:
    return "not there" if value is None else str(value)


def _wrapped(text: str, first: str) -> Iterator[str]:
    yield from textwrap.wrap(
        text, WIDTH, initial_indent=first, subsequent_indent=" " * (len(first) + 2)
    )


def _as_json(
    compared: Compared, told: list[Sentence], old: Rulebook, new: Rulebook
) -> dict[str, Any]:
    parts: dict[str, Any] = {
        "changes": [
            {
                "topic": each.topic,
                "turn": each.turn,
                "where": list(each.where),
                "unless": list(each.unless),
                "confidence": each.confidence,
                "rules": [
                    {
                        "rule": rule.id,
                        "cite": list(rule.declared.cite),
                        "says": rule.declared.says,
                        "confidence": rule.declared.confidence,
                    }
                    for rule in each.rules
                ],
            }
            for each in told
        ],
        "words": [line for each in compared.gathers for line in gather_sentence(each, old, new)],
        "tables": [
            {"table": each.table, "row": each.row, "was": each.was, "now": each.now}
            for each in compared.tables
        ],
        "asked_otherwise": [
            {"word": word, "told": _asking(was, now)} for word, was, now in compared.asked
        ],
        "moved": [
            {"rule": now.id, "was": list(was.declared.cite), "now": list(now.declared.cite)}
            for was, now in compared.moved
        ],
        "counted": [
            {"word": word, "was": _counting(was), "now": _counting(now)}
            for word, was, now in compared.counted
        ],
        "graded": [
            {"rule": after.id, "was": _grading(before), "now": _grading(after)}
            for before, after in compared.graded
        ],
        "too_many": list(dict.fromkeys(compared.too_many)),
    }
    return {"from": old.id, "to": new.id, "differs": any(parts.values()), **parts}
