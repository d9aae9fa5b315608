"""What is told is not cut at either size, and no meaning hangs on colour alone."""

from __future__ import annotations

import re

import pytest

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.app.screens.start import StartScreen
from walkthrough.app.screens.walk import WalkScreen

SIZES = pytest.mark.parametrize("size", [(80, 24), (120, 40)])


@SIZES
async def test_the_keys_of_a_trip_test(house: Record, size: tuple[int, int]) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("f7", "enter", "1")
        for told in (
            "d Died",
            "l Stayed live",
            "n Not looked at",
            "r Save; RESET, on again",
            "s Save; still off",
            "a Another device",
        ):
            assert told in inspector.sees
        # They can be clicked as well.
        await pilot.click(offset=(3, 1))
        await inspector.settle()
        assert inspector.sees.count("[dead]") == 1
    house.close()


@SIZES
async def test_the_circuit_in_hand_has_a_sign(house: Record, size: tuple[int, int]) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("f3")
        assert re.findall(r"> \S+ +(C\d+)", inspector.sees) == ["C1"]
        await inspector.press("down", "down")
        assert re.findall(r"> \S+ +(C\d+)", inspector.sees) == ["C3"]
        await inspector.press("up")
        assert re.findall(r"> \S+ +(C\d+)", inspector.sees) == ["C2"]
        await inspector.press("enter")
        assert inspector.at is house.session.circuit("C2")
    house.close()


async def test_no_circuit_with_deficiencies_looks_complete(house: Record) -> None:
    async with WalkthroughApp(house, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("f3")
        rows = [line for line in inspector.sees.splitlines() if re.match(r" [> ] \S+ +C\d", line)]
        assert len(rows) == len(house.session.circuits)
        # The last column is what was found; a row without it ends in its number of outlets.
        has = {line: bool(re.search(r"\d +\d+$", line)) for line in rows}
        assert {line[3:5].strip() for line in rows if has[line]} == {"!"}
        assert "!" not in {line[3:5].strip() for line in rows if not has[line]}
        # Nobody tested the range, so its circuit is not complete, though its own answers are.
        (of_range,) = [line for line in rows if " C10 " in line]
        assert of_range[3:5].strip() == "."
    house.close()


async def test_help_is_whole_where_there_is_room(house: Record) -> None:
    outlet = house.session.outlet("K-7")
    assert outlet is not None
    told = " ".join(house.question("dedicated_space").help.split())
    assert len(told) > 80
    async with WalkthroughApp(house, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        assert isinstance(inspector.app.screen, WalkScreen)
        inspector.app.screen.go(outlet, "dedicated_space")
        await inspector.settle()
        assert told in inspector.reads
        assert "[F1]" not in inspector.sees
    house.close()


@SIZES
async def test_what_fits_no_walk_leaves_the_list_and_opens_none(
    house: Record, size: tuple[int, int], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setenv("WALKTHROUGH_SESSIONS", str(house.path.parent))
    house.close()
    async with WalkthroughApp(today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.chooses("Resume a walk")
        assert "> house.toml" in inspector.sees
        await inspector.press("7")
        assert "house.toml" in inspector.sees
        assert "> house.toml" not in inspector.sees
        assert "nothing here has that in its name or words; Backspace" in inspector.sees
        await inspector.press("enter")
        assert isinstance(inspector.app.screen, StartScreen)
        await inspector.press("backspace", "enter")
        assert isinstance(inspector.app.screen, WalkScreen)
