"""Judging: beside rules written by hand, after one answer, and as a house grows."""

from __future__ import annotations

import statistics
from collections.abc import Iterator
from pathlib import Path

from tests.benchmarks.house import house
from tests.benchmarks.measure import Row, in_turn, ratio, told
from tests.benchmarks.thirty_rules import by_hand, rulebook, situations
from walkthrough.judge.house import House
from walkthrough.judge.judge import judge, verdicts_on
from walkthrough.rulebook.decide import decide_all
from walkthrough.rulebook.decision import Decision
from walkthrough.rulebook.load import load
from walkthrough.rulebook.situation import Situation


def beside_by_hand(folder: Path, count: int, repeats: int) -> Iterator[Row]:
    """Thirty rules on outlets of which everything is known, and on ones with gaps."""
    book = rulebook(folder)
    known = situations(count)

    def ours() -> list[list[Decision]]:
        return [decide_all("outlet", Situation(each, book.terms), book) for each in known]

    def theirs() -> list[list[str]]:
        return [by_hand(each) for each in known]

    assert [[each.outcome for each in decisions] for decisions in ours()] == theirs()
    mine, other = in_turn(ours, theirs, repeats=repeats)
    per_outlet = [[one / count for one in each] for each in (mine, other)]
    yield Row(
        "judging 30 rules on one outlet, all known",
        "at most 3x by hand",
        ratio(*per_outlet),
        "the same rules as one Python function",
    )
    gaps = [
        {word: value for at, (word, value) in enumerate(each.items()) if (at + number) % 10}
        for number, each in enumerate(known)
    ]

    def with_gaps() -> None:
        for each in gaps:
            facts = Situation(each, book.terms)
            decide_all("outlet", facts, book)

    mine, other = in_turn(with_gaps, theirs, repeats=repeats)
    per_outlet = [[one / count for one in each] for each in (mine, other)]
    yield Row(
        "the same, one word in ten unknown",
        "",
        ratio(*per_outlet),
        "by hand, all known; ours also finds what would decide it",
    )


def after_one_answer(outlets: int, repeats: int) -> Iterator[Row]:
    """What is judged anew before the next question: one subject of a large house."""
    session, book = house(outlets), load("nec-2020")
    outlet = session.outlets[-1]

    def again() -> None:
        outlet.answers["tr_mark"] = not outlet.answers.get("tr_mark")
        list(verdicts_on(House(session, book), outlet))

    def everything() -> None:
        judge(session, book)

    one, every = in_turn(again, everything, repeats=repeats)
    yield Row(
        f"judging anew after one answer, {outlets} outlets",
        "under 1 ms",
        f"median {told(statistics.median(one))}",
        f"the whole house: {told(statistics.median(every))}",
    )


def growth(sizes: tuple[int, ...], repeats: int) -> Iterator[Row]:
    """Whether twice the outlets take twice the time."""
    book = load("nec-2020")
    houses = [house(size) for size in sizes]
    columns = in_turn(*(lambda each=each: judge(each, book) for each in houses), repeats=repeats)
    for size, column in zip(sizes, columns, strict=True):
        median = statistics.median(column)
        yield Row(
            f"judging a house of {size} outlets",
            "linear in outlets",
            f"{told(median / size)} per outlet",
            told(median),
        )
