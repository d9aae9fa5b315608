"""What changes between two rulesets, on small ones and on the shipped editions."""

from __future__ import annotations

import functools
import itertools
from pathlib import Path
from typing import Any

import pytest

from walkthrough.rulebook.compare import compare
from walkthrough.rulebook.decide import decide
from walkthrough.rulebook.load import load
from walkthrough.rulebook.problems import Unusable
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.rulebook.sentences import Sentence, sentences
from walkthrough.rulebook.situation import Situation

BASE = """\
format = 1
id = "base"
title = "Base"
[topic]
gfci = "GFCI"
[question.place]
of = "outlet"
ask = "Place?"
kind = "tags"
choices = { kitchen = "Kitchen", garage = "Garage", attic = "Attic" }
[question.counter]
of = "outlet"
ask = "Counter?"
kind = "yes-no"
[question.feet]
of = "outlet"
ask = "Feet to the sink?"
kind = "number"
unit = "ft"
min = 0
max = 50
none = "No sink"
[question.device]
of = "outlet"
ask = "Device?"
kind = "choice"
choices = { plain = "Plain", gfci = "GFCI" }
"""


def rule(name: str, cite: str, when: str, more: str = "") -> str:
    return f"""
[rule."{name}"]
topic = "gfci"
of = "outlet"
cite = "{cite}"
when = "{when}"
needs = "device == 'gfci'"
kind = "gap"
severity = "upgrade"
says = "{name} without GFCI."
why = "Because."
done_by = "qualified person"
confidence = "memory"
source = "invented for this test"
{more}
"""


def told(folder: Path, old: str, new: str) -> list[tuple[str, tuple[str, ...], list[str]]]:
    one, other = books(folder, old, new)
    return [_plain(each) for each in sentences(compare(one, other), one, other)]


def _plain(each: Sentence) -> tuple[str, tuple[str, ...], list[str]]:
    return each.turn, each.where, [section for rule in each.rules for section in rule.declared.cite]


def books(folder: Path, old: str, new: str) -> tuple[Rulebook, Rulebook]:
    (folder / "base.toml").write_text(BASE, encoding="utf-8")
    for name, body in (("old", old), ("new", new)):
        head = f'format = 1\nid = "{name}"\ntitle = "{name}"\nextends = "base"\n'
        (folder / f"{name}.toml").write_text(head + body, encoding="utf-8")
    return load("old", [folder]), load("new", [folder])


COUNTER = rule("counter", "1", "'kitchen' in place and counter")
SINK = rule("sink", "2", "feet <= 6")
KITCHEN = rule("kitchen", "3", "'kitchen' in place")


def test_a_wider_rule_under_another_name_is_told_by_what_it_adds(tmp_path: Path) -> None:
    assert told(tmp_path, COUNTER + SINK, KITCHEN + SINK) == [
        ("now asked", ("counter: no", "feet: more than 6 ft"), ["3"])
    ]


def test_names_wording_and_order_do_not_count(tmp_path: Path) -> None:
    other = rule("by-the-sink", "2", "not feet > 6")
    assert told(tmp_path, COUNTER + SINK, other + COUNTER) == []


def test_a_moved_limit_is_told_by_both_of_its_sides(tmp_path: Path) -> None:
    assert told(tmp_path, SINK, rule("sink", "2", "feet < 8")) == [
        ("now asked", ("feet: more than 6 ft less than 8 ft",), ["2"])
    ]


def test_an_exception_and_a_dispute(tmp_path: Path) -> None:
    excepted = rule("sink", "2", "feet <= 6", "exceptions = [{ cite = '2 Exc', when = 'counter' }]")
    disputed = rule("sink", "2", "feet <= 6", "disputed = [{ readings = ['yes', 'no'] }]")
    assert told(tmp_path, SINK, excepted) == [("no longer asked", ("counter: yes",), ["2"])]
    assert told(tmp_path, SINK, disputed) == [("now in question, was asked", (), ["2"])]


def test_rules_that_change_alike_share_a_sentence(tmp_path: Path) -> None:
    old = rule("kitchen", "3", "'kitchen' in place and counter")
    old += rule("garage", "4", "'garage' in place and counter")
    new = KITCHEN + rule("garage", "4", "'garage' in place")
    assert told(tmp_path, old, new) == [("now asked", ("counter: no",), ["3", "4"])]


COUNTED = """
[gather.several]
of = "room"
over = "outlet"
any = "counter"
[topic]
gfci = "GFCI"
"""


def test_what_is_counted_presumed_or_graded_otherwise_is_told(tmp_path: Path) -> None:
    changed = KITCHEN.replace('kind = "gap"', 'kind = "defect"')
    question = (
        '[question.counter]\nof = "outlet"\nask = "Counter?"\nkind = "yes-no"\npresume = true\n'
    )
    one, other = books(
        tmp_path,
        COUNTED + COUNTER + KITCHEN,
        question
        + COUNTED.replace('any = "counter"', 'any = "counter"\nat_least = 2')
        + COUNTER
        + changed,
    )
    compared = compare(one, other)
    assert [word for word, _, _ in compared.counted] == ["several"]
    assert [word for word, _, _ in compared.asked] == ["counter"]
    assert [(was.declared.kind, now.declared.kind) for was, now in compared.graded] == [
        ("gap", "defect")
    ]


def test_a_new_rule_that_settles_a_dispute_is_told(tmp_path: Path) -> None:
    disputed = rule("sink", "2", "feet <= 6", "disputed = [{ readings = ['yes', 'no'] }]")
    found = told(tmp_path, disputed, disputed + rule("near", "7", "feet <= 6"))
    assert ("now asked beyond question", (), ["7"]) in found


def test_a_rule_that_is_new_altogether_is_told_once_also_beside_a_dispute(tmp_path: Path) -> None:
    open_before = rule(
        "sink", "2", "feet <= 6", "disputed = [{ when = 'counter', readings = ['a', 'b'] }]"
    )
    garage = rule("garage", "4", "'garage' in place")
    assert told(tmp_path, open_before, open_before + garage) == [("now asked", (), ["4"])]


def test_a_word_of_another_kind_is_refused(tmp_path: Path) -> None:
    other = '[question.counter]\nof = "outlet"\nask = "Counters?"\nkind = "number"\n'
    one, two = books(tmp_path, SINK, other + SINK)
    with pytest.raises(
        Unusable, match=r"new.toml:5:2: 'counter' is a number here and a yes-no in 'old'"
    ):
        compare(one, two)


CORPUS = [
    COUNTER + SINK,
    KITCHEN,
    KITCHEN + rule("attic", "5", "'attic' in place and not counter"),
    rule("kitchen", "3", "'kitchen' in place", "exceptions = [{ cite = 'x', when = 'counter' }]")
    + SINK,
    rule("sink", "2", "feet <= 6 and not 'garage' in place"),
    rule("sink", "2", "feet <= 6", "disputed = [{ when = 'counter', readings = ['a', 'b'] }]"),
    rule("all", "6", "'kitchen' in place or 'garage' in place or feet < 3"),
]


@pytest.mark.parametrize(("old", "new"), list(itertools.permutations(CORPUS, 2)))
def test_there_is_a_change_where_brute_force_finds_one_and_nowhere_else(
    tmp_path: Path, old: str, new: str
) -> None:
    """There is a change if and only if some situation comes out differently, and of that kind."""
    one, other = books(tmp_path, old, new)
    changes = compare(one, other).changes
    differs = False
    for facts in _every_situation():
        was, now = (_worst(book, facts) for book in (one, other))
        turned = {(each.was, each.now) for each in changes}
        if was != now:
            differs = True
            # A dispute in part of a rule is told with the rule, not as a change of its own.
            assert ("no" not in (was, now) and turned) or any(
                (was == "no") == (a == "no") and (now == "no") == (b == "no") for a, b in turned
            )
    assert bool(changes) is differs


def _every_situation() -> list[dict[str, Any]]:
    places = [
        list(p) for n in range(4) for p in itertools.combinations(("kitchen", "garage", "attic"), n)
    ]
    return [
        {"place": place, "counter": counter, "feet": feet, "device": device}
        for place in places
        for counter in (True, False)
        for feet in (1.0, 3.0, 5.0, 6.0, 7.0, float("inf"))
        for device in ("plain", "gfci")
    ]


def _worst(book: Rulebook, facts: dict[str, Any]) -> str:
    came = {
        decide(rule, Situation(facts, book.terms), book).outcome for rule in book.rules.values()
    }
    return "yes" if "deficient" in came else "ask" if "ask the AHJ" in came else "no"


# Documented changes, each with where it is told.
DOCUMENTED = [
    ("nec-2020", "nec-2023", "gfci.kitchen", "now asked", "contractor's 2023 change page"),
    (
        "nec-2020",
        "nec-2023",
        "gfci.food-or-drink",
        "now asked",
        "training page on 2023 210.8(A)(7)",
    ),
    ("nec-2020", "nec-2023", "gfci.microwave", "now asked", "course page on 210.8(D), 2023"),
    ("nec-2017", "nec-2020", "gfci.garage", "now asked", "maker's 2020 page: 125 V through 250 V"),
    ("nec-2017", "nec-2020", "gfci.basement", "now asked", "2020: finished basements too"),
    ("nec-2011", "nec-2014", "gfci.laundry", "now asked", "2014: laundry areas"),
    ("nec-2011", "nec-2014", "afci.room", "now asked", "2014: kitchens, laundry areas, devices"),
    ("nec-2023", "nec-2026", "gfci.outdoor-outlet", "now asked", "2026: up to 60 A"),
]


@functools.cache
def told_of_editions(old: str, new: str) -> list[Sentence]:
    one, other = load(old), load(new)
    return sentences(compare(one, other), one, other)


TAKES_LONG = ("nec-2023", "nec-2026"), ("nec-2020", "nec-2023")
"""The command line compares the second pair in a test of its own."""


@pytest.mark.parametrize(
    ("old", "new", "name", "turn", "source"),
    [
        pytest.param(*each, marks=pytest.mark.slow) if each[:2] in TAKES_LONG else each
        for each in DOCUMENTED
    ],
)
def test_documented_changes_of_the_editions_are_told(
    old: str, new: str, name: str, turn: str, source: str
) -> None:
    found = told_of_editions(old, new)
    assert any(turn == each.turn and name in {r.id for r in each.rules} for each in found), source
