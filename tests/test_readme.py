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

README = (Path(__file__).resolve().parents[1] / "README.md").read_text(encoding="utf-8")
RULESET, CASES = re.findall(r"```toml\n(.*?)```", README, flags=re.DOTALL)


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
