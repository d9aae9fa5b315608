"""What stays standing of a house after an answer makes no difference to what is judged."""

from __future__ import annotations

import random
from pathlib import Path

import pytest

from tests.app.conftest import DAY
from walkthrough.app.record import Record
from walkthrough.judge.house import House
from walkthrough.judge.judge import verdicts_on
from walkthrough.rulebook.declarations import Question
from walkthrough.survey import store
from walkthrough.survey.model import AnswerValue

SESSIONS = Path(__file__).resolve().parents[2] / "sessions"


def other(question: Question, chance: random.Random) -> AnswerValue | None:
    """An answer to a question by chance; None for one that cannot be told."""
    if chance.random() < 0.1:
        return None
    if question.kind == "choice":
        return chance.choice(list(question.choices))
    if question.kind == "tags":
        return [chance.choice(list(question.choices))]
    if question.kind == "yes-no":
        return chance.random() < 0.5
    if question.kind == "date":
        return DAY
    return "a word" if question.kind == "text" else chance.choice([0, 1, 6, 15, 20, 30, 2019])


@pytest.mark.parametrize("seed", range(3))
def test_it_is_judged_as_if_built_anew(tmp_path: Path, seed: int) -> None:
    path = tmp_path / "house.toml"
    store.save(store.load(SESSIONS / "larkspur-house.toml"), path)
    record = Record.open(path, today=DAY)
    chance = random.Random(seed)
    kept = 0
    for _ in range(25):
        # What was looked at before is what could be left standing wrongly.
        before = record.house
        for subject in before.subjects.values():
            list(verdicts_on(before, subject))
        subject = chance.choice(list(before.subjects.values()))
        asked = [w for w, each in record.questions.items() if subject.of in each.of]
        word = chance.choice([w for w in asked if subject.answer(w) is not None] or asked)
        record.answer(subject, word, other(record.question(word), chance))
        after, fresh = record.house, House(record.session, record.book)
        kept += after.wiring is before.wiring
        for each in fresh.subjects.values():
            assert list(verdicts_on(after, each)) == list(verdicts_on(fresh, each)), (word, each)
        if chance.random() < 0.2:
            record.undo()
    record.close()
    assert kept > 10


def test_tests_of_a_device_that_is_another_one_by_now_are_gone(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    store.save(store.load(SESSIONS / "larkspur-house.toml"), path)
    record = Record.open(path, today=DAY)
    at = next(each.at for each in record.session.trips if each.action == "test button")
    outlet = record.session.outlet(at)
    assert outlet is not None
    assert record.house.wiring.tests[at]
    record.answer(outlet, "device", "plain")
    assert at not in record.house.wiring.tests
    record.close()
