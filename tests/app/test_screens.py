"""What is seen on the screens, at 80x24 and at 120x40."""

from __future__ import annotations

import asyncio
import contextlib
import datetime
import re
from collections.abc import AsyncIterator
from pathlib import Path

import pytest

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from walkthrough.app import sessions
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.report.cautions import CAUTIONS, NOT_A_CERTIFICATE
from walkthrough.survey import store
from walkthrough.survey.model import Outlet

SMALL, LARGE = (80, 24), (120, 40)
KEYS_TO_THE_FIRST_OUTLET = """
1 9 7 4 enter       enter               1
enter   enter       k i t c h e n enter  b enter  n
enter   C 2 enter   enter                b enter  n
2       K i t c h e n enter              1 enter
enter
"""


@contextlib.asynccontextmanager
async def inspecting(
    record: Record | None = None, size: tuple[int, int] = SMALL
) -> AsyncIterator[Inspector]:
    """The app on a record, with an inspector at its keyboard."""
    async with WalkthroughApp(record, today=DAY).run_test(size=size) as pilot:
        await pilot.pause()
        yield Inspector(pilot)


def flat(text: str) -> str:
    """Text without regard to where lines break."""
    return " ".join(text.split())


@pytest.mark.parametrize("size", [SMALL, LARGE])
async def test_the_cautions_come_first_and_whole(size: tuple[int, int]) -> None:
    async with inspecting(size=size) as inspector:
        seen = flat(inspector.sees)
        for caution in (*CAUTIONS, NOT_A_CERTIFICATE):
            assert flat(caution) in seen
        assert "Start a new walk" in seen
        assert "Open the demonstration house" in seen
        assert "Resume" not in seen


async def test_a_key_log_from_nothing_to_the_first_outlet(folders: Path) -> None:
    async with inspecting() as inspector:
        await inspector.press("1", *"Elm", "enter")
        choice = re.search(r"(\S)  An edition to practise on", inspector.sees)
        assert choice
        await inspector.press(choice[1], "enter")
        assert "By which others as well?" in inspector.sees
        await inspector.press("enter")
        assert "Enter: 2026-11-10 (today)" in inspector.sees
        await inspector.press("enter")
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split())
        assert "Kitchen > K-1, circuit C1" in inspector.sees
        assert "On which circuit is it?" in inspector.sees
        session = store.load(folders / "elm.toml")
        assert [each.id for each in session.circuits] == ["C1", "C2"]
        assert session.circuits[0].answers == {"breaker_amps": 20, "shares_neutral": False}
        assert "[saved]" in inspector.sees


async def test_a_plain_receptacle_by_the_sink(record: Record) -> None:
    async with inspecting(record, LARGE) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split())
        await inspector.press("enter", *"left", "enter", "enter", "1", "enter", "1", "1", "2")
        assert "Is a tamper-resistant mark on the face?" in inspector.sees
        await inspector.press("n", "3", "enter")
        seen = inspector.sees
        assert "GFCI  ? asked; not known" in seen
        assert "1.2" in seen
        assert "C1: breaker" in seen
        assert "TR    ! asked; missing" in seen
        assert "Deficiencies (2)" in seen
        await inspector.chooses("What is still open elsewhere")
        await inspector.chooses("Standard breaker")
        await inspector.press("f5")
        await inspector.press("down")
        seen = flat(inspector.sees)
        assert "3 deficiencies" in seen
        assert "HAZARD K-1: Tested as open ground." in seen
        assert "UPGRADE K-1: Receptacle 3 ft from a sink" in seen
        assert "What decided it" in seen
        await inspector.press("enter")
        assert "Kitchen > K-1, left, circuit C1" in inspector.sees


async def test_help_in_full_and_in_short(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press("f1")
        assert "Range: from 1850 to 2100 year" in inspector.sees
        await inspector.press("f1")
        assert "Range" not in inspector.sees


async def test_cannot_tell_and_stepping_back(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press("question_mark")
        assert record.session.dwelling.cannot_tell == ["year_built"]
        await inspector.press("backspace")
        assert "In which year was it built?" in inspector.sees
        await inspector.types("1974")
        assert record.session.dwelling.answers == {"year_built": 1974}
        assert record.session.dwelling.cannot_tell == []
        await inspector.press("ctrl+z")
        assert record.session.dwelling.cannot_tell == ["year_built"]


async def test_keys_typed_ahead_go_to_the_questions_they_are_meant_for(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1974", "enter", *"Garage", "enter", "2")
        assert record.session.dwelling.answers == {"year_built": 1974}
        assert record.session.panels[0].name == "Garage"
        assert record.session.panels[0].answers == {"panel_kind": "fuses"}


async def test_a_failed_save_is_told_and_tried_again(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    def full(*_: object) -> None:
        raise store.SaveError(record.path, "No space left on device")

    async with inspecting(record) as inspector:
        with monkeypatch.context() as patched:
            patched.setattr(store, "save", full)
            await inspector.types("1974")
            seen = flat(inspector.sees)
            assert "[NOT SAVED]" in seen
            assert "No space left on device" in seen
            assert "Where is the panel" not in seen
            await inspector.press("enter")
            assert "[NOT SAVED]" in inspector.sees
        assert store.load(record.path).dwelling.answers == {}
        await inspector.press("enter")
        assert "[saved]" in inspector.sees
        assert "Where is the panel" in inspector.sees
    assert store.load(record.path).dwelling.answers == {"year_built": 1974}


async def test_a_second_writer_is_refused(record: Record) -> None:
    async with inspecting() as inspector:
        await inspector.chooses("Resume a walk")
        await inspector.press("enter")
        assert "is open in this process already; expected one writer" in flat(inspector.sees)
        record.close()
        await inspector.press("enter")
        assert "In which year was it built?" in inspector.sees


async def test_a_damaged_record_is_named_and_left_alone(folders: Path) -> None:
    folders.mkdir()
    path = folders / "damaged.toml"
    path.write_text('format = 1\ntitle = "Elm', encoding="utf-8")
    async with inspecting() as inspector:
        await inspector.chooses("Resume a walk")
        await inspector.press("enter")
        assert "damaged.toml:2:" in flat(inspector.sees).replace(" ", "")
        assert "not TOML" in flat(inspector.sees)
    assert path.read_text(encoding="utf-8") == 'format = 1\ntitle = "Elm'


async def test_the_demonstration_is_a_copy(folders: Path) -> None:
    shipped = sessions.demonstration()
    assert shipped is not None
    before = shipped.read_bytes()
    async with inspecting(size=LARGE) as inspector:
        await inspector.chooses("Open the demonstration house")
        assert inspector.record.session.title in inspector.sees
        inspector.app.screen.go(inspector.record.session.dwelling, "year_built")  # type: ignore[attr-defined]
        await inspector.types("1980")
        assert store.load(folders / shipped.name).dwelling.answers["year_built"] == 1980
        inspector.record.close()
    assert shipped.read_bytes() == before
    # Opened once more, the copy is gone on with.
    async with inspecting(size=LARGE) as inspector:
        await inspector.chooses("Open the demonstration house")
        assert inspector.record.session.dwelling.answers["year_built"] == 1980


async def test_an_edition_that_cannot_be_used_is_named(folders: Path) -> None:
    (folders.parent / "rulesets" / "mine.toml").write_text("format = 1\n", encoding="utf-8")
    async with inspecting(size=LARGE) as inspector:
        await inspector.chooses("Start a new walk")
        await inspector.types("Elm")
        await inspector.press("f1")
        assert "mine.toml:1:1:" in flat(inspector.sees).replace(" ", "")
        assert "An edition to practise on (practice)" in inspector.sees


@pytest.mark.slow
async def test_a_trip_test_is_marked_outlet_by_outlet(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split())
        await inspector.press("enter", "enter", "enter", "1", "enter", "1", "2")
        await inspector.press("f7")
        # The device in hand was not tried yet: its round begins at once.
        assert "Trip test: test button, K-1" in inspector.sees
        await inspector.press("a")
        assert "Which device or breaker?" in inspector.sees
        await inspector.press("enter")
        await inspector.chooses("Its own TEST button")
        assert "[    ] K-1, C1" in inspector.sees
        await inspector.press("s")
        assert record.session.trips == []
        await inspector.press("d")
        assert "[dead] K-1, C1" in inspector.sees
        await inspector.press("s")
        (trip,) = store.load(record.path).trips
        assert (trip.at, trip.action, trip.went_dead) == ("K-1", "test button", ["K-1"])
        # Nothing may be left off: a freezer may hang on it.
        assert trip.left_tripped
        assert "Is K-1 reset and on again?" in inspector.sees
        await inspector.press("n")
        assert "STILL TRIPPED: K-1 (F7)" in inspector.sees
        await inspector.press("f7", "y")
        assert "STILL TRIPPED" not in inspector.sees
        assert not store.load(record.path).trips[0].left_tripped
        assert "GFCI" in inspector.sees


async def test_answers_presumed_ones_too_are_changed_or_forgotten(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split())
        await inspector.press("enter", *"left", "enter", "enter", "1", "enter", "1", "1", "1", "y")
        await inspector.press("n", "enter")
        await inspector.changes("box_opened", True)
        assert "Are there too many wires in the box?" in inspector.sees
        await inspector.press("y", "f2")
        seen = inspector.sees
        assert "Was the box opened?  yes" in seen
        assert "at: left" in seen
        await inspector.press("escape", "f5")
        assert "Box with too many wires." in inspector.sees


async def test_an_answer_is_forgotten_with_delete(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.types("1974")
        inspector.app.screen.go(record.session.dwelling)  # type: ignore[attr-defined]
        await inspector.press("f2", "down", "delete", "escape")
        assert record.session.dwelling.answers == {}
        assert "In which year was it built?" in inspector.sees


async def test_the_panel_schedule(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split(), "f3")
        lines = inspector.sees.splitlines()
        # In hand, and open: nothing is told of its outlet yet.
        assert [">", ".", "C1", "20", "kitchen", "1"] in [line.split() for line in lines], lines
        await inspector.press("a")
        assert "Enter: C3 (offered)" in inspector.sees
        await inspector.press("f3")
        await inspector.press("enter")
        assert "Main panel > circuit C1, kitchen" in inspector.sees


async def test_rooms_show_the_state_of_each_outlet_and_a_room_that_of_the_gravest(
    record: Record,
) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split(), "f4")
        assert "      K-1, C1" in inspector.sees
        assert " . Kitchen" in inspector.sees
        await inspector.press("escape")
        await inspector.press("enter", *"left", "enter", "enter", "1", "enter", "1", "1", "2", "f4")
        assert " ! Kitchen" in inspector.sees
        assert " !     K-1, left, C1" in inspector.sees
        await inspector.press("delete")
        assert "ok Kitchen" in inspector.sees
        assert "K-1" not in inspector.sees.replace("Removed", "")
        assert record.session.outlets == []
        await inspector.press("escape", "ctrl+z")
        assert [each.id for each in store.load(record.path).outlets] == ["K-1"]


async def test_a_disputed_point_goes_to_the_authority(record: Record) -> None:
    async with inspecting(record, LARGE) as inspector:
        keys = KEYS_TO_THE_FIRST_OUTLET.replace("1 enter\nenter", "3 enter\nenter")
        await inspector.press(*keys.split())
        await inspector.press("enter", "enter", "enter", "1", "enter", "1", "1", "1", "n")
        assert "Ask the authority having jurisdiction (1)" in inspector.sees
        assert "halls count /" in inspector.sees
        assert "halls do not" in inspector.sees


async def test_the_small_screen_tells_in_short_and_shows_all_on_demand(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split())
        await inspector.press("enter", *"left", "enter", "enter", "1", "enter", "1", "1", "2")
        assert re.search(r"GFCI \?  TR \?  1 deficient, \d open \[F6\]", inspector.sees)
        assert "Still open" not in inspector.sees
        await inspector.press("f6")
        assert "Still open" in inspector.sees
        assert "Is a tamper-resistant mark" not in inspector.sees
        await inspector.press("f6")
        assert "Is a tamper-resistant mark" in inspector.sees


async def test_findings_are_written_while_nobody_types(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split())
        await inspector.press("enter", *"left", "enter", "enter", "1", "enter", "1", "1", "2")
        assert store.load(record.path).findings == []
        await inspector.app.workers.wait_for_complete(
            [worker for worker in inspector.app.workers if not worker.is_cancelled]
        )
        assert [each.rule for each in store.load(record.path).findings] == ["wiring.open-ground"]


async def test_a_record_cannot_steer_the_terminal(record: Record) -> None:
    record.session.title = "Elm \x1b[31m \u202e street"
    async with inspecting(record) as inspector:
        assert "\x1b" not in inspector.sees
        assert "\u202e" not in inspector.sees


async def test_without_colour_nothing_is_lost(
    record: Record, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("NO_COLOR", "1")
    async with inspecting(record, LARGE) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split())
        await inspector.press("enter", *"left", "enter", "enter", "1", "enter", "1", "1", "2", "n")
        assert "TR    ! asked; missing" in inspector.sees


async def test_the_day_of_the_visit_can_be_told(folders: Path) -> None:
    async with inspecting() as inspector:
        await inspector.press("1", *"Elm", "enter", "1", "enter")
        await inspector.types("2026-02-30")
        assert "expected a date such as" in inspector.sees
        await inspector.types("2025-06-01")
        visits = store.load(folders / "elm.toml").visits
        assert [each.date for each in visits] == [datetime.date(2025, 6, 1)]


@pytest.mark.parametrize("turns", range(12))
async def test_a_key_of_the_screen_typed_ahead_is_not_overtaken(record: Record, turns: int) -> None:
    """Undo between answers takes back the one before it, whenever the keys after it come in."""
    async with inspecting(record) as inspector:
        inspector.send(*"1974", "enter", "ctrl+z", *"1975", "enter")
        for _ in range(turns):
            await asyncio.sleep(0)
        await inspector.press(*"Garage", "enter", "ctrl+z", *"Hall", "enter", "2")
        assert record.session.dwelling.answers == {"year_built": 1975}
        assert [each.name for each in record.session.panels] == ["Hall"]
        assert record.session.panels[0].answers == {"panel_kind": "fuses"}


@pytest.mark.slow
async def test_the_row_in_hand_of_a_trip_test_is_told_by_a_sign_and_does_not_wrap(
    record: Record,
) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split())
        await inspector.press("enter", "enter", "enter", "1", "enter", "1", "2")
        for id in ("K-2", "K-3"):
            circuit = record.session.circuits[0]
            room = record.session.rooms[0]
            record.session.outlets.append(
                Outlet(id=id, room=room.id, circuit=record.session.reference(circuit))
            )
        record.change(record.session.dwelling, "")
        await inspector.press("f7", "a", "enter")
        await inspector.chooses("Its own TEST button")

        def in_hand() -> list[str]:
            lines = [line.strip() for line in inspector.sees.splitlines()]
            return [line for line in lines if line.startswith(">")]

        assert in_hand() == ["> [    ] K-1, C1"]
        await inspector.press("up")
        assert in_hand() == ["> [    ] K-1, C1"]
        await inspector.press("down", "down", "down")
        assert in_hand() == ["> [    ] K-3, C1"]
        await inspector.press("d")
        assert in_hand() == ["> [dead] K-3, C1"]


async def test_what_is_told_covers_no_line_of_a_small_screen(record: Record) -> None:
    async with inspecting(record, size=(80, 24)) as inspector:
        await inspector.press(*KEYS_TO_THE_FIRST_OUTLET.split())
        before = inspector.sees.splitlines()
        await inspector.press("ctrl+y")
        after = inspector.sees.splitlines()
        assert "Nothing was taken back." in after[0]
        assert after[1:] == before[1:]
        await inspector.press(*["f7", "enter"])
        await inspector.chooses("A plug-in tester")
        await inspector.press("l", "s")
        assert "Trip test noted." in inspector.sees.splitlines()[0]
        assert inspector.sees.splitlines()[1:] == before[1:]
