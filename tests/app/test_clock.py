"""A clock that goes backwards: a record with visits after today is opened, gone on with and judged."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from tests.torture.good import RECORD
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.cli import main
from walkthrough.survey import store

Output = pytest.CaptureFixture[str]

LATER = datetime.date(2026, 11, 10)
TODAY = datetime.date(2026, 11, 3)
"""What the clock says: a week before the day of the visit in the record."""


@pytest.fixture
def path(folders: Path) -> Path:
    """The practice record, visited on a day that has not come yet."""
    folders.mkdir(exist_ok=True)
    (folders / "later.toml").write_text(RECORD, encoding="utf-8")
    # One sitting on that day: what is judged then belongs to no later step.
    record = Record.open(folders / "later.toml", today=LATER)
    record.answer(record.session.dwelling, "year_built", 1975)
    record.close()
    return folders / "later.toml"


async def test_an_answer_given_before_the_last_visit_belongs_to_it(path: Path) -> None:
    app = WalkthroughApp(Record.open(path, today=TODAY))
    async with app.run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await pilot.pause()
        await pilot.press("ctrl+t", *"wet", "enter")
        await inspector.settle()
    session = store.load(path)
    assert [each.date for each in session.visits] == [LATER]
    assert "wet" in [each.note for each in session.subjects()]


def test_what_was_done_is_taken_back_though_the_clock_went_back(path: Path) -> None:
    before = store.load(path)
    record = Record.open(path, today=LATER + datetime.timedelta(days=1))
    record.session.dwelling.note = "looked again"
    record.change(record.session.dwelling, "note")
    record.close()
    assert len(store.load(path).visits) == 2
    record = Record.open(path, today=TODAY)
    assert record.undo()
    record.close()
    assert store.load(path).visits == before.visits
    assert store.load(path).dwelling.note == ""


def test_visits_out_of_order_are_kept_and_the_last_day_counts(path: Path) -> None:
    text = RECORD.replace(
        "[[visit]]\n", "[[visit]]\ndate = 9999-12-31\n\n[[visit]]\ndate = 0001-01-01\n\n[[visit]]\n"
    )
    path.write_text(text, encoding="utf-8")
    record = Record.open(path, today=TODAY)
    record.session.dwelling.note = "looked"
    record.change(record.session.dwelling, "note")
    record.close()
    days = [each.date for each in store.load(path).visits]
    assert days == [datetime.date.max, datetime.date.min, LATER]


@pytest.mark.parametrize("day", ["2026-11-10", "9999-12-31", "0001-01-01"])
@pytest.mark.parametrize("ways", [(), ("--format", "html")])
def test_replay_takes_any_day(path: Path, day: str, ways: tuple[str, ...], capsys: Output) -> None:
    path.write_text(RECORD.replace("2026-11-10", day), encoding="utf-8")
    before = path.read_bytes()
    assert main(["replay", str(path), *ways]) == 0
    assert day in capsys.readouterr().out
    assert main(["replay", str(path), "--as-built", "--adoption-lag", "2"]) == 0
    assert path.read_bytes() == before


def test_a_re_inspection_before_the_visit_it_checks(path: Path) -> None:
    path.write_text(RECORD.replace('"correct"', '"open_ground"'), encoding="utf-8")
    fresh = path.with_name("again.toml")
    record = Record.reinspect(path, fresh, TODAY)
    record.close()
    told = store.load(fresh)
    assert {each.on for each in told.rechecks} >= {TODAY}
    assert main(["replay", str(fresh)]) == 0
