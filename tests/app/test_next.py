"""From one undecided or deficient subject to the next, in the order of the walk."""

from __future__ import annotations

import re
import shutil
from pathlib import Path

from tests.app.conftest import DAY, HOUSE, opened_house
from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.stops import next_stop
from walkthrough.survey import store
from walkthrough.survey.model import Outlet, Subject

SMALL = (80, 24)


def _outlet(record: Record, id: str) -> Outlet:
    outlet = record.session.outlet(id)
    assert outlet is not None
    return outlet


def test_all_that_are_deficient_come_once_and_then_the_first_again(tmp_path: Path) -> None:
    record = opened_house(tmp_path)
    wanted = {(told.finding.of, told.finding.subject) for told in record.judged.findings}
    order = [key for key in record.house.subjects if key in wanted]
    here: Subject = record.session.dwelling
    seen: list[tuple[str, str]] = []
    for number in range(1, len(order) + 1):
        stop = next_stop(record, "deficient", here)
        assert stop is not None
        here = stop.subject
        seen.append(record.key(here))
        if seen[0] == order[0]:
            assert stop.told.startswith(f"Deficiency {number} of {len(order)}: ")
    again = next_stop(record, "deficient", here)
    assert seen == order
    assert again is not None
    assert record.key(again.subject) == order[0]
    record.close()


async def test_a_key_leads_on_and_says_which_it_is_and_what_for(tmp_path: Path) -> None:
    before = HOUSE.read_bytes()
    record = opened_house(tmp_path)
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+d")
        first = inspector.at
        assert re.search(r"Deficiency \d+ of \d+: \S+", inspector.sees)
        await inspector.press("ctrl+d")
        assert inspector.at is not first
        top = inspector.sees.splitlines()[0]
        numbers = re.search(r"Deficiency (\d+) of (\d+)", top)
        assert numbers
        await inspector.press("ctrl+n")
        assert re.search(r"Undecided \d+ of \d+: ", inspector.sees)
        # The very question that is waited for is put.
        verdicts = [v for one in record.judged.chosen for v in one.undecided]
        assert inspector.prompt.id in {word for v in verdicts for _, word in v.asks}
        await inspector.press("escape")
        assert "Undecided" not in inspector.sees.splitlines()[0]
    record.close()
    # Who only looked changed nothing.
    assert (tmp_path / "house.toml").read_bytes() == before


async def test_keys_typed_while_it_judges_answer_the_question_it_goes_to(tmp_path: Path) -> None:
    record = opened_house(tmp_path)
    # One reading is missing: the tester at K-5.
    _outlet(record, "K-5").readings.pop("tester")
    store.save(record.session, record.path)
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        stops = len(_undecided_after(tmp_path))
        assert not record.is_judged
        for _ in range(stops + 1):
            await inspector.press("ctrl+n")
            if (inspector.at.id, inspector.prompt.id) == ("K-5", "tester"):
                break
        assert (inspector.at.id, inspector.prompt.id) == ("K-5", "tester")
        assert "K-5, tester for" in inspector.sees.splitlines()[0]
        # Away, a change so that all must be judged anew, and the answer typed right behind the key.
        await inspector.press("ctrl+t", "ctrl+u", "x", "enter")
        outlet = _outlet(record, "K-5")
        assert outlet.note == "x"
        record._judged = None
        before = record.key(inspector.at)
        inspector.app.screen.go(record.session.outlets[record.session.outlets.index(outlet) - 1])  # type: ignore[attr-defined]
        await inspector.press("ctrl+n", "1")
        assert before == ("outlet", "K-5")
        assert outlet.readings["tester"] == "correct"
    record.close()


def _undecided_after(tmp_path: Path) -> set[tuple[str, str]]:
    copy = tmp_path / "copy.toml"
    shutil.copy(tmp_path / "house.toml", copy)
    record = Record.open(copy, today=DAY)
    found = {v for one in record.judged.chosen for e in one.undecided for v in e.asks}
    record.close()
    return found


async def test_a_notice_where_there_is_none(record: Record) -> None:
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+d")
        assert "No deficiency so far." in inspector.sees
        assert "In which year was it built?" in inspector.sees
        await inspector.press("ctrl+n")
        assert "Nothing is undecided so far." in inspector.sees
        # Typing goes on as if nothing had been.
        await inspector.types("1974")
        assert record.session.dwelling.answers == {"year_built": 1974}
    record.close()


async def test_the_live_pane_can_be_read_to_its_end_by_keys(tmp_path: Path) -> None:
    record = opened_house(tmp_path)
    async with WalkthroughApp(record, today=DAY).run_test(size=SMALL) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("ctrl+f")
        await inspector.types("k-4 circuit")
        # The short form is one line, whatever is missing.
        assert (
            "GFCI missing  AFCI missing  TR missing  WR -  5 deficient, 0 open [F6]"
            in inspector.sees
        )
        last = "Note: Its cable comes through"
        assert last not in inspector.sees
        await inspector.press("f6")
        assert last not in inspector.sees
        await inspector.press("pagedown")
        assert last in inspector.sees
        await inspector.press("pageup", "f6")
        assert "is complete. What next?" in inspector.sees
    record.close()
