"""F1 has something to say to every question, whatever asks it."""

from __future__ import annotations

import datetime
import functools
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from walkthrough.app.field_prompts import field_prompt
from walkthrough.app.fields import fields_of
from walkthrough.app.keys import Entry
from walkthrough.app.layout import lay_out
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.prompt import from_question
from walkthrough.app.record import Record
from walkthrough.rulebook.files import ruleset_files
from walkthrough.rulebook.load import load
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey.model import Limit, Outlet

ROOT = Path(__file__).resolve().parents[2]
DAY = datetime.date(2026, 11, 10)


@functools.cache
def _book(ruleset: str) -> Rulebook:
    return load(str(ROOT / "rulesets" / f"{ruleset}.toml"))


@pytest.mark.parametrize("ruleset", sorted(ruleset_files([ROOT / "rulesets"])))
def test_every_question_says_what_is_meant_or_how_to_measure(ruleset: str) -> None:
    for word, question in _book(ruleset).questions.items():
        # In words of its own: who reads it does not see other questions.
        assert len(question.help) >= 15, word
        assert not question.help.startswith("As for"), word


def test_every_field_does_too(house: Record) -> None:
    for subject in house.session.subjects():
        if isinstance(subject, Outlet):
            subject.limits = [Limit(what="seen only", reason="locked")]
        for name in (*fields_of(house, subject), "photos"):
            assert len(field_prompt(house, subject, name).help) >= 15, (subject.id, name)
    house.close()


async def test_help_in_a_trip_test(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("f7")
        assert "f1 Help" in inspector.sees
        await inspector.types("K-4")
        assert "What was done at K-4?" in inspector.sees
        await inspector.press("f1")
        assert "There is no more to say here." not in inspector.sees
        await inspector.press("1")
        assert "f1 Help" not in inspector.sees
        await inspector.press("escape")
    house.close()


@pytest.mark.parametrize("ruleset", sorted(ruleset_files([ROOT / "rulesets"])))
@pytest.mark.parametrize(("width", "rows"), [(78, 18), (54, 26)])
def test_no_question_needs_scrolling_even_with_all_of_its_help(
    ruleset: str, width: int, rows: int
) -> None:
    """At 80x24, and beside the live pane at 100x30."""
    book = _book(ruleset)
    for word, question in book.questions.items():
        decides = tuple(each.id for each in book.rules.values() if word in each.words)[:9]
        entry = Entry(from_question(word, question, decides=decides))
        for full in (False, True):
            assert len(lay_out(entry, width, rows, full)) <= rows, word
