"""A walk under several rulesets: chosen at the start, asked for by each, told apart."""

from __future__ import annotations

import datetime
from pathlib import Path

import pytest

from tests.app.inspector import Inspector
from walkthrough.app.asks import asks_under
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.survey import store
from walkthrough.survey.model import AnswerValue, Circuit, Outlet, Panel, Room

DAY = datetime.date(2026, 11, 10)


async def test_others_are_ticked_at_the_start_and_named_in_the_record(folders: Path) -> None:
    async with WalkthroughApp(today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.chooses("Start a new walk")
        await inspector.types("Elm")
        await inspector.chooses("NEC 2020")
        assert "By which others as well?" in inspector.sees
        await inspector.chooses("What was asked when")
        await inspector.chooses("HUD rental housing")
        await inspector.press("enter", "enter")
        session = store.load(folders / "elm.toml")
        assert session.judged_by.ruleset == "nec-2020"
        assert [each.ruleset for each in session.judged_also] == ["hud-rental"]
        assert session.as_built == "nec"
        # What only the programme asks is asked, and so is the time to adoption.
        asked = {each.word for each in asks_under(inspector.record, session.dwelling)}
        assert {"year_built", "programme", "adoption_lag_years"} <= asked


async def test_of_more_rulesets_than_fit_a_small_screen_one_is_picked_by_its_name(
    folders: Path, tmp_path: Path
) -> None:
    for number in range(20):
        (tmp_path / "rulesets" / f"town-{number}.toml").write_text(
            f'format = 1\nid = "town-{number}"\ntitle = "Town {number}"\nextends = "nec-2020"\n'
        )
    async with WalkthroughApp(today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.chooses("Start a new walk")
        await inspector.types("Elm")
        await inspector.types("town-7")
        await inspector.types("hud")
        assert "By which other as well? (so far: hud-rental)" in inspector.sees
        await inspector.types("town-9")
        # Enter alone: no more of them, and then the day that is offered.
        await inspector.press("enter", "enter")
        session = store.load(folders / "elm.toml")
        assert session.judged_by.ruleset == "town-7"
        assert [each.ruleset for each in session.judged_also] == ["hud-rental", "town-9"]


def _record(path: Path) -> Record:
    record = Record.begin(path, "Elm", "nec-2020", DAY, also=["hud-rental"], as_built="nec")
    session = record.session
    session.dwelling.answers["year_built"] = 1998
    session.panels.append(Panel(id="P"))
    session.circuits.append(Circuit(id="C", panel="P", answers={"breaker": "standard"}))
    session.rooms.append(Room(id="k", name="Kitchen", answers={"place": ["kitchen"]}))
    answers: dict[str, AnswerValue] = {
        "point": "receptacle", "device": "plain", "volts": 125, "amps": 15, "feet_to_sink": 4,
        "serves_counter": True, "serves": ["general"],
    }  # fmt: skip
    session.outlets.append(
        Outlet(id="K-1", room="k", circuit="C", fed_from="panel", order_known_by="opened",
               answers=answers)
    )  # fmt: skip
    record.answer(session.outlets[0], "plate", "indoor")
    return record


async def test_a_finding_says_under_which_it_stands(folders: Path) -> None:
    record = _record(folders / "elm.toml")
    async with WalkthroughApp(record, today=DAY).run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.press("f5")
        seen = " ".join(inspector.sees.split())
        assert "Kitchen counter receptacle without GFCI protection." in seen
        assert "Receptacle within 6 ft of a water source" in seen
        under = {
            (told.finding.rule, name)
            for told in record.judged.findings
            for name in told.under
            if told.finding.topic == "gfci"
        }
        assert under == {
            ("gfci.kitchen-counter", "nec-2020"),
            ("gfci.near-sink", "nec-2020"),
            ("gfci.kitchen-counter", "nec-before-2008, as built in 1998"),
            ("hud.water-source", "hud-rental"),
        }


def test_what_is_saved_is_read_again_and_judged_alike(folders: Path) -> None:
    path = folders / "elm.toml"
    record = _record(path)
    record.close()
    session = store.load(path)
    assert {name for each in session.findings for name in each.under} >= {
        "nec-2020",
        "hud-rental",
        "nec-before-2008, as built in 1998",
    }
    again = Record.open(path)
    try:
        assert [book.id for book in again.books] == ["nec-2020", "hud-rental"]
        assert again.judged.to_record() == session.findings
    finally:
        again.close()
    assert store.load(path) == session


def test_several_rulesets_ask_in_one_order(folders: Path) -> None:
    """RESET is asked by hud-rental only, and right after TEST, which nec-2020 asks as well."""
    record = Record.begin(folders / "elm.toml", "Elm", "nec-2020", DAY, also=["hud-rental"])
    session = record.session
    session.panels.append(Panel(id="P1"))
    session.circuits.append(Circuit(id="C1", panel="P1", answers={"breaker": "standard"}))
    session.rooms.append(Room(id="bath", name="Bath", answers={"place": ["bathroom"]}))
    outlet = Outlet(id="B-1", room="bath", circuit="C1", fed_from="panel")
    outlet.answers.update({"point": "receptacle", "device": "gfci"})
    outlet.readings["test_result"] = "trips"
    session.outlets.append(outlet)
    record.change(outlet, "")
    asked = [each.word for each in asks_under(record, outlet)]
    order = list(record.questions)
    assert asked[0] == "reset_restores"
    assert asked == sorted(asked, key=order.index)
    record.close()


async def test_what_was_named_on_the_command_line_is_not_asked_again(folders: Path) -> None:
    app = WalkthroughApp(rulesets=("nec-2020", "hud-rental"), today=DAY)
    async with app.run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.chooses("Start a new walk")
        await inspector.types("Elm")
        assert "Day of the visit?" in inspector.sees
        await inspector.press("enter")
        session = store.load(folders / "elm.toml")
        assert session.judged_by.ruleset == "nec-2020"
        assert [each.ruleset for each in session.judged_also] == ["hud-rental"]


async def test_with_one_named_it_is_asked_by_which_others(folders: Path) -> None:
    app = WalkthroughApp(rulesets=("nec-2020",), new_path=folders / "elm.toml", today=DAY)
    async with app.run_test(size=(120, 40)) as pilot:
        inspector = Inspector(pilot)
        await inspector.types("Elm")
        assert "By which others as well?" in inspector.sees
        await inspector.press("enter", "enter")
        session = store.load(folders / "elm.toml")
        assert (session.judged_by.ruleset, session.judged_also) == ("nec-2020", [])


@pytest.mark.parametrize(
    ("size", "told"),
    [
        ((80, 24), "AFCI missing"),
        ((120, 40), "AFCI ! asked; not protected, under nec-2020"),
    ],
)
@pytest.mark.parametrize(
    "rulesets", [("nec-before-2008", "nec-2020"), ("nec-2020", "nec-before-2008")]
)
async def test_the_status_is_that_of_the_strictest_ruleset(
    folders: Path, rulesets: tuple[str, str], size: tuple[int, int], told: str
) -> None:
    """A new kitchen circuit: arc protection is asked since NEC 2014, 210.12(A); one-source."""
    first, other = rulesets
    record = Record.begin(folders / "elm.toml", "Elm", first, DAY, also=[other])
    session = record.session
    session.dwelling.answers.update({"year_built": 1998, "work": "new", "circuit_work": "new"})
    session.panels.append(Panel(id="P", answers={"panel_kind": "breakers"}))
    circuit: dict[str, AnswerValue] = {
        "breaker": "standard", "breaker_amps": 20, "circuit_volts": 120,
    }  # fmt: skip
    session.circuits.append(Circuit(id="C", panel="P", answers=circuit))
    session.rooms.append(Room(id="k", name="Kitchen", answers={"place": ["kitchen"]}))
    answers: dict[str, AnswerValue] = {
        "point": "receptacle", "device": "plain", "volts": 125, "amps": 15, "serves": ["general"],
    }  # fmt: skip
    outlet = Outlet(id="K-1", room="k", circuit="C", fed_from="panel", order_known_by="opened")
    outlet.answers.update(answers)
    session.outlets.append(outlet)
    record.change(outlet, "")
    async with WalkthroughApp(record, today=DAY).run_test(size=size) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        inspector.walking.go(outlet)
        await inspector.settle()
        assert told in inspector.reads
