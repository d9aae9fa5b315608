"""The examples of the README work as they stand."""

from __future__ import annotations

import re
from pathlib import Path

import pytest

from tests.judge.two_visits import compared_elm
from walkthrough.cli import main
from walkthrough.judge.cases import run_file
from walkthrough.rulebook.files import ruleset_folders
from walkthrough.rulebook.load import load
from walkthrough.survey import store
from walkthrough.survey.model import (
    Circuit,
    Outlet,
    Panel,
    Room,
    Session,
    Subject,
    SurveyLimit,
    Trip,
    Unit,
    Visit,
)

README = (Path(__file__).resolve().parents[1] / "README.md").read_text(encoding="utf-8")
SESSION, RULESET, CASES = re.findall(r"```toml\n(.*?)```", README, flags=re.DOTALL)


def test_the_local_amendment_loads_and_its_case_passes(tmp_path: Path) -> None:
    (tmp_path / "our-town.toml").write_text(RULESET, encoding="utf-8")
    cases = tmp_path / "our-town.cases.toml"
    cases.write_text(CASES, encoding="utf-8")
    folders = [tmp_path, *ruleset_folders()]
    book = load("our-town", folders)
    assert "gfci.boathouse" not in book.rules
    run = run_file(cases, folders=folders)
    assert run.problems == ()
    assert [each.slips for each in run.results] == [()]


def test_the_session_written_by_hand_is_judged(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "flats.toml"
    path.write_text(SESSION, encoding="utf-8")
    assert main(["replay", str(path)]) == 0
    printed = capsys.readouterr().out
    assert "Not tested or not reached: 2" in printed
    session = store.load(path)
    assert {each.unit for each in session.panels} == {"A", "B"}


def test_every_field_of_a_session_stands_in_its_chapter() -> None:
    chapter = README[README.index("## The session file") : README.index("## Reports\n")]
    parts = (Session, Subject, Unit, Panel, Circuit, Room, Outlet, Trip, Visit, SurveyLimit)
    fields = {
        str(each.validation_alias or name) for p in parts for name, each in p.model_fields.items()
    }
    assert sorted(each for each in fields if not re.search(rf"[`\[]{each}[`\]]", chapter)) == []


def test_the_example_of_compare_is_what_it_prints(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    found = re.search(r"<!-- compare example -->\n```\n(.*?)```", README, flags=re.DOTALL)
    assert found is not None
    assert main(["compare", *map(str, compared_elm(tmp_path))]) == 0
    printed = capsys.readouterr().out
    for part in found[1].split("[...]\n"):
        assert part.strip()
        assert part in printed
