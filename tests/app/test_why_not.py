"""Why something was not tested: by a key, or typed where that is asked; no word of it is lost."""

from __future__ import annotations

from pathlib import Path

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.survey import store
from walkthrough.survey.model import Circuit, Panel, Room


def reasons(inspector: Inspector, id: str = "B-1") -> list[tuple[str, str]]:
    """The limits of an outlet, as they are on disk."""
    outlet = store.load(inspector.record.path).outlet(id)
    assert outlet is not None
    return [(each.what, each.reason) for each in outlet.limits]


async def reaches_the_reason(inspector: Inspector) -> None:
    await inspector.press("ctrl+l")
    await inspector.chooses("Seen, but not reached")
    assert "Why not?" in inspector.sees


async def test_words_typed_instead_of_a_key_are_the_reason(inspector: Inspector) -> None:
    await reaches_the_reason(inspector)
    assert "or type the reason" in inspector.sees
    await inspector.types("a dog lies there, 2 m long", then="")
    assert "> a dog lies there, 2 m long_" in inspector.sees
    await inspector.press("enter")
    assert "What next?" in inspector.sees
    assert reasons(inspector) == [("seen only", "a dog lies there, 2 m long")]


async def test_a_typed_letter_can_be_taken_back(inspector: Inspector) -> None:
    await reaches_the_reason(inspector)
    await inspector.press("x", "backspace", "2")
    assert reasons(inspector) == [("seen only", "locked")]


async def test_another_kind_of_limit_keeps_the_words(inspector: Inspector) -> None:
    await reaches_the_reason(inspector)
    await inspector.chooses("Another reason")
    await inspector.types("a dog lies there")
    await inspector.press("ctrl+l")
    await inspector.chooses("Reached, but not tested")
    assert reasons(inspector) == [("not tested", "a dog lies there")]


async def test_who_steps_back_finds_the_words_again(inspector: Inspector) -> None:
    await reaches_the_reason(inspector)
    await inspector.chooses("Another reason")
    await inspector.types("a dog lies there")
    # To the words, to the reason, and forward again with Enter.
    await inspector.press("backspace", "backspace")
    assert "Another reason: a dog lies there" in inspector.sees
    await inspector.press("enter")
    assert "Enter: a dog lies there (your answer)" in inspector.sees
    await inspector.press("enter")
    assert reasons(inspector) == [("seen only", "a dog lies there")]


async def test_words_given_before_can_be_others(inspector: Inspector) -> None:
    await reaches_the_reason(inspector)
    await inspector.types("a dog lies there")
    await inspector.press("f2")
    await inspector.types("reason")
    await inspector.types("a bed")
    assert reasons(inspector) == [("seen only", "a bed")]


async def test_what_was_tested_has_no_reason_to_give(inspector: Inspector) -> None:
    await inspector.press("f2")
    await inspector.types("reason", then="")
    assert "reason: " not in inspector.sees
    assert "in words" not in inspector.sees


async def test_who_takes_the_limit_away_is_told_where_words_would_go(inspector: Inspector) -> None:
    await reaches_the_reason(inspector)
    await inspector.chooses("Locked")
    await inspector.press("ctrl+l")
    await inspector.chooses("Reached and tested")
    # Back to that, and over it to the reason.
    await inspector.press("backspace", "backspace")
    assert "Why not?" in inspector.sees
    await inspector.types("too dark")
    assert "it counts as reached and tested; Ctrl+L says first that it was not" in inspector.reads
    assert "too dark" in inspector.sees
    assert reasons(inspector) == []


async def test_no_reason_need_be_given(inspector: Inspector) -> None:
    await reaches_the_reason(inspector)
    await inspector.press("question_mark")
    assert reasons(inspector) == [("seen only", "no reason given")]


async def test_a_room_that_was_not_entered_is_a_limit_with_one_key_more(tmp_path: Path) -> None:
    record = Record.begin(tmp_path / "elm.toml", "Elm", "nec-2020", DAY)
    session = record.session
    session.panels.append(Panel(id="P1", answers={"panel_kind": "breakers"}))
    session.circuits.append(Circuit(id="C1", panel="P1"))
    session.rooms.append(Room(id="bedroom-2", name="Bedroom 2"))
    record.change(session.rooms[0], "")
    async with WalkthroughApp(record, today=DAY).run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        await inspector.settle()
        inspector.walking.go(session.rooms[0])
        await inspector.settle()
        await inspector.press("ctrl+l")
        assert "Bedroom 2: not entered (offered)" in inspector.sees
        await inspector.press("enter")
        (limit,) = inspector.record.session.limits
        assert (limit.subject, limit.reason) == ("Bedroom 2", "not entered")
