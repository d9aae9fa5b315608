"""The plan of the demonstration house on its screen, by keys, beside what the command works out."""

from __future__ import annotations

import datetime
import os
import shutil
from collections.abc import Iterator
from contextlib import suppress
from dataclasses import replace
from pathlib import Path
from threading import Event

import pytest
from textual.worker import WorkerError

from tests.app.inspector import Inspector
from tests.remedy.houses import actions, book, larkspur, planner
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.planning import AbandonedError, Asked, planner_for, sum_of
from walkthrough.app.record import Record
from walkthrough.app.screens import plan as screen
from walkthrough.app.screens.plan import PlanScreen
from walkthrough.remedy.files import remedy_file
from walkthrough.remedy.items import known_cents
from walkthrough.remedy.plan import make_plan
from walkthrough.remedy.prices import DEMONSTRATION

HOUSE = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
DAY = datetime.date(2026, 11, 10)
SMALL = (80, 24)
PREFERRED = ("own-device", "54.00")
"""Source: the hand-worked key of the demonstration house: C17 108.00 by it instead of 54.00."""


@pytest.fixture
def record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Iterator[Record]:
    """A copy of the demonstration house, and a folder for lists of prices of one's own."""
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(tmp_path / "own"))
    (tmp_path / "own" / "remedy").mkdir(parents=True)
    path = tmp_path / "house.toml"
    shutil.copy(HOUSE, path)
    record = Record.open(path, today=DAY)
    yield record
    record.close()
    assert path.read_bytes() == HOUSE.read_bytes()


async def until(inspector: Inspector, told: str) -> str:
    """Wait for what is worked out apart; the screen then."""
    for _ in range(1000):
        for worker in [each for each in inspector.app.workers if each.group == "plan"]:
            # One that something else was asked of meanwhile is given up.
            with suppress(WorkerError):
                await worker.wait()
        await inspector.settle()
        if told in inspector.sees and "working out" not in inspector.sees:
            return inspector.sees
        await inspector.pilot.pause(0.02)
    raise AssertionError(f"no '{told}' on the screen:\n{inspector.sees}")


async def to_row(inspector: Inspector, begins: str) -> None:
    """Go down to a row."""
    shown = inspector.app.screen
    assert isinstance(shown, PlanScreen)
    texts = [each.text.strip() for each in shown._rows.values()]
    at = next(n for n, text in enumerate(texts) if text.startswith(begins))
    await inspector.press("home", *["down"] * at)


def own_prices(record: Record, rewire: str) -> Path:
    """The demonstration's list, but with another price of the part for REWIRE."""
    text = remedy_file(DEMONSTRATION).read_text(encoding="utf-8")
    line = 'REWIRE = { what = "no new part", material = 0.00'
    assert line in text
    own = record.path.parent / "own" / "remedy" / "prices-mine.toml"
    own.write_text(text.replace(line, line.replace("0.00", rewire)), encoding="utf-8")
    return own


@pytest.mark.parametrize("size", [SMALL, pytest.param((120, 40), marks=pytest.mark.slow)])
async def test_one_key_shows_what_to_do_where_why_and_for_how_much(
    record: Record, size: tuple[int, int]
) -> None:
    """Source: the hand-worked key of the demonstration house, with its list of assumed prices."""
    async with WalkthroughApp(record, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+g")
        # The cautions stand there before anything else does.
        assert "This work can injure or kill." in inspector.sees
        seen = await until(inspector, "other wishes (w)")
        assert "1,271.50 USD  parts 562.00, 7 h 53 min  nec-2020" in seen
        assert "Prices of 2026-11-01, DEMONSTRATION, NO OFFER: " in seen
        assert "[3 fix]" in seen
        assert "C1            45.00  0 h 30 min" in seen
        assert "  B2-2        22.50  REWIRE         Tested as " in seen
        assert "c Cautions" in seen
        await to_row(inspector, "B2-2")
        assert "B2-2  REWIRE  0.00 + 15 min = 22.50" in inspector.sees
        assert "Clears B2-2: Tested as open ground" in inspector.sees
        assert "Cheaper, but it fails" in inspector.sees
        assert "DUP15-TR 21.00 at B2-2 instead of REWIRE" in inspector.sees
        # One key away, and back.
        await inspector.press("c")
        assert "This work can injure or kill." in inspector.sees
        await inspector.press("l")
        assert "Shopping list" in inspector.sees
        await inspector.press("l")
        assert "Clears B2-2" in inspector.sees


async def test_every_row_of_the_plan_is_there(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+g")
        await until(inspector, "other wishes (w)")
        shown = inspector.app.screen
        assert isinstance(shown, PlanScreen)
        plan = make_plan(planner(larkspur("nec-2020"), "nec-2020"))
        items = [row for id, row in shown._rows.items() if id.startswith("item ")]
        assert [row.text.split()[0] for row in items] == [each.done.at for each in plan.items]
        assert [row.text.split()[2] for row in items] == [each.price.code for each in plan.items]
        # Enter leads to a subject from every row but that of the whole house.
        goals = [row.subject for row in shown._rows.values()][1:]
        assert all(goal is not None and record.subject(goal) is not None for goal in goals)
        # The gravest first, and back.
        await inspector.press("o")
        parts = [id.removeprefix("part ") for id in shown._rows if id.startswith("part ")]
        assert parts == [each.name for each in plan.in_order]


async def test_another_scope_is_one_digit(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        # Typed ahead, before it is known which scopes there are.
        inspector.send("ctrl+g", "1")
        await until(inspector, "[1 now]")
        for number, scope in ((2, "defects"), (1, "now"), (3, "fix")):
            await inspector.press(str(number))
            of_scope = replace(
                planner(larkspur("nec-2020"), "nec-2020"), scope=scope, _benches={}, _places={}
            )
            items = make_plan(of_scope, alternatives=False).items
            seen = await until(inspector, f"[{number} {scope}]")
            assert f"{known_cents(items) / 100:,.2f} USD" in seen
        assert "1,271.50 USD" in inspector.sees


@pytest.mark.slow
async def test_a_wish_tells_what_it_costs_more(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+g")
        await until(inspector, "other wishes (w)")
        wish, more = PREFERRED
        shown = inspector.app.screen
        assert isinstance(shown, PlanScreen)
        assert shown._shown is not None
        assert shown._shown.cheapest is not None
        names = [each.name for each in shown._shown.cheapest.preferences]
        # Those that are gone past are given up.
        await inspector.press(*["w"] * (names.index(wish) + 1))
        seen = await until(inspector, f"Wish {names.index(wish) + 1} of {len(names)}: ")
        assert f"{wish} +{more}: " in seen
        assert f"{1271.50 + float(more):,.2f} USD" in seen
        # The other scope keeps the wish; the first one is at hand again at once.
        await inspector.press("1", "3")
        assert f"{1271.50 + float(more):,.2f} USD" in await until(inspector, "[3 fix]")


async def test_enter_goes_there_and_one_comes_back_to_the_same_row(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+g", "2")
        await until(inspector, "[2 defects]")
        await to_row(inspector, "PR-2")
        await inspector.press("enter")
        assert record.key(inspector.at) == ("outlet", "PR-2")
        await inspector.press("ctrl+g")
        seen = await until(inspector, "[2 defects]")
        assert "PR-2  PIGTAIL-AL  12.00 + 25 min = 49.50" in seen
        await to_row(inspector, "C5 + C7")
        await inspector.press("enter")
        assert record.key(inspector.at) == ("circuit", "C5")


async def test_keys_are_taken_while_it_is_worked_out(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        asked = inspector.prompt
        await inspector.press("ctrl+g")
        assert "working out 'fix'" in inspector.sees
        await inspector.press("4", "w", "c", "escape")
        assert inspector.prompt == asked


@pytest.mark.slow
async def test_own_prices_are_taken_up_and_so_is_every_change_of_them(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    """Source: the hand-worked key of the demonstration house: REWIRE at B2-2, B3-2 and K-4."""
    monkeypatch.setattr(screen, "_SECONDS_BETWEEN_LOOKS", 0.02)
    own = own_prices(record, "1.00")
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+g")
        # There is one list of one's own: by nothing else is it counted unasked.
        seen = await until(inspector, "1,274.50 USD")
        assert "Prices of 2026-11-01, your own: " in seen
        own_prices(record, "2.00")
        # Two writes within one tick of the clock of the disk.
        os.utime(own, (2_000_000_000, 2_000_000_000))
        await until(inspector, "1,277.50 USD")
        own.write_text(own.read_text(encoding="utf-8").replace("REWIRE =", "REWIRES ="))
        seen = await until(inspector, "Not worked out")
        assert "no action has the price 'REWIRES'" in seen
        await inspector.press("r")
        await until(inspector, "1,271.50 USD")


async def test_where_nothing_was_found_that_is_no_certificate(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(tmp_path / "own"))
    record = Record.begin(tmp_path / "elm.toml", "Elm", "nec-2020", DAY)
    async with WalkthroughApp(record, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+g")
        seen = await until(inspector, "0.00 USD")
        assert "Nothing is recorded yet" in seen
        assert "Order of the work" not in seen
        # The row of the whole house leads nowhere.
        await inspector.press("enter")
        assert isinstance(inspector.app.screen, PlanScreen)
    record.close()


def test_a_plan_that_nobody_waits_for_is_given_up() -> None:
    gone = Event()
    house = larkspur("nec-2020")
    asked = Asked()
    working = planner_for(house, [book("nec-2020")], actions("nec-2020"), asked, gone)
    assert known_cents(sum_of(working, asked).plan.items) == 127150
    gone.set()
    with pytest.raises(AbandonedError):
        sum_of(working, asked)
