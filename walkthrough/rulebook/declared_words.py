"""The words that the declarations of a ruleset make, with the slips found on the way."""

from __future__ import annotations

from walkthrough.rulebook.checks import table_slips
from walkthrough.rulebook.declarations import BELOW, Demand, Gather, Question
from walkthrough.rulebook.merged import Merged
from walkthrough.rulebook.problems import nearest
from walkthrough.rulebook.words import (
    DATE,
    DERIVED_WORDS,
    GIVEN_IN,
    Table,
    Vocabulary,
    Word,
    protection_words,
)


def declared_words(merged: Merged) -> Vocabulary:
    """The vocabulary of a ruleset; its terms are put there once they are compiled."""
    words = Vocabulary(words={word.name: word for word in (*DERIVED_WORDS, DATE)})
    tables = [merged.of["table"][name] for name in GIVEN_IN if name in merged.of["table"]]
    rows = (cell for table in tables for cell in table.rows.values())
    for kind in dict.fromkeys(str(each) for c in rows if isinstance(c, list) for each in c):
        # A device of another kind is traced like those that every ruleset knows.
        for word in protection_words(kind):
            words.words.setdefault(word.name, word)
    _check_names(merged, words)
    for name, question in merged.of["question"].items():
        _check_question(merged, name, question)
        words.words[name] = Word(
            name,
            question.kind,
            question.of,
            question.choices,
            question.min,
            question.max,
            bool(question.none),
            question.ask,
        )
    for name, gather in merged.of["gather"].items():
        _check_gather(merged, name, gather)
        words.words[name] = Word(name, "yes-no", (gather.of,), means=gather.means)
    for name, table in merged.of["table"].items():
        merged.tell("table", name, table_slips(table))
        words.tables[name] = Table(name, table.rows, table.cite)
    for name, demand in merged.of["demand"].items():
        _check_demand(merged, words, name, demand)
    return words


def _check_names(merged: Merged, words: Vocabulary) -> None:
    taken: dict[str, str] = dict.fromkeys(words.words, "derived word")
    for section in ("question", "gather", "table", "term", "demand"):
        for name in merged.of[section]:
            if not name.isidentifier():
                merged.problem(section, name, f"'{name}' cannot be a word: letters, digits, _")
            if name in taken:
                merged.problem(section, name, f"'{name}' is a {taken[name]} already")
            taken[name] = section


def _check_question(merged: Merged, name: str, question: Question) -> None:
    questions = merged.of["question"]
    for key, other in (("after", question.after), ("offered_by", question.offered_by)):
        if other and other not in questions:
            hint = nearest(other, questions)
            merged.problem("question", name, f"no question '{other}'; {hint}", key)
    if question.only_when_known and not question.when:
        merged.problem("question", name, "'only_when_known' needs 'when'", "only_when_known")
    for other in question.again_after:
        if other not in questions:
            hint = nearest(other, questions)
            merged.problem("question", name, f"no question '{other}'; {hint}", "again_after")
    for other in question.at_most:
        if other not in questions:
            hint = nearest(other, questions)
            merged.problem("question", name, f"no question '{other}'; {hint}", "at_most")
        elif question.kind != "number" or questions[other].kind != "number":
            merged.problem("question", name, "'at_most' is for numbers", "at_most")
    if question.kind in ("choice", "tags") and not question.choices:
        merged.problem("question", name, f"a {question.kind} question needs choices")
    if question.alone and question.kind != "tags":
        merged.problem("question", name, "makes sense only for a tags question", "alone")
    for each in question.alone:
        if each not in question.choices:
            hint = nearest(each, question.choices)
            merged.problem("question", name, f"no choice '{each}'; {hint}", "alone")
    if isinstance(question.presume, str) and question.presume not in question.choices:
        hint = nearest(question.presume, question.choices)
        merged.problem("question", name, f"presumes an unknown choice; {hint}", "presume")


def _check_gather(merged: Merged, name: str, gather: Gather) -> None:
    if bool(gather.any) == bool(gather.all):
        merged.problem("gather", name, "needs exactly one of 'any' and 'all'")
    if gather.over not in BELOW[gather.of]:
        hint = " or ".join(f"'{each}'" for each in BELOW[gather.of]) or "nothing"
        message = f"no {gather.over} belongs to a {gather.of}; expected {hint}"
        merged.problem("gather", name, message, "over")


def _check_demand(merged: Merged, words: Vocabulary, name: str, demand: Demand) -> None:
    if demand.topic not in merged.of["topic"]:
        hint = nearest(demand.topic, merged.of["topic"])
        merged.problem("demand", name, f"unknown topic '{demand.topic}'; {hint}", "topic")
    if demand.has not in words.words:
        hint = nearest(demand.has, words.words)
        merged.problem("demand", name, f"unknown word '{demand.has}'; {hint}", "has")
