"""The records of this user, and the editions that a dwelling can be judged by."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from tests.app.conftest import DAY
from walkthrough.app import sessions
from walkthrough.app.record import Record
from walkthrough.rulebook.problems import Unusable


def test_without_a_folder_there_is_no_record() -> None:
    assert sessions.found() == []


def test_the_record_changed_last_comes_first(folders: Path) -> None:
    for number, title in enumerate(("Elm", 'The "old" mill', "Oak")):
        path = sessions.path_for(title)
        Record.begin(path, title, "practice", DAY).close()
        os.utime(path, (number, number))
    os.utime(folders / "elm.toml", (9, 9))
    assert [each.title for each in sessions.found()] == ["Elm", "Oak", 'The "old" mill']


def test_a_title_used_twice_gets_a_file_of_its_own(folders: Path) -> None:
    Record.begin(sessions.path_for("Elm 12"), "Elm 12", "practice", DAY).close()
    assert sessions.path_for("Elm 12") == folders / "elm-12-2.toml"
    assert sessions.path_for("...") == folders / "walk.toml"


def test_a_file_that_is_no_record_keeps_its_place_in_the_list(folders: Path) -> None:
    folders.mkdir()
    (folders / "notes.toml").write_bytes(b"\xff\xfe")
    assert [each.title for each in sessions.found()] == ["cannot be read"]


def test_editions_are_what_extends_a_base() -> None:
    titles = sessions.editions().titles
    assert titles["practice"] == "An edition to practise on"
    assert "practice-base" not in titles
    assert {"nec-2020", "nec-2023"} <= set(titles)


def test_a_broken_ruleset_is_named_and_the_others_stay(folders: Path) -> None:
    broken = folders.parent / "rulesets" / "mine.toml"
    broken.write_text('format = 1\nid = "mine"\ntitle = "Mine"\nextends = "practis"\n')
    editions = sessions.editions()
    assert "mine" not in editions.titles
    (problem,) = editions.problems
    assert problem.startswith(f"{broken}:4:1")
    assert "practice" in problem


def test_no_demonstration_is_told(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(sessions, "demonstration", lambda: None)
    with pytest.raises(Unusable, match="no demonstration house"):
        sessions.own_demonstration()
