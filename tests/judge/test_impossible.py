"""Answers of one outlet that cannot both be right are told, and the record is judged all the same."""

from __future__ import annotations

from pathlib import Path

import pytest

from walkthrough.cli import main
from walkthrough.judge.judge import judge
from walkthrough.rulebook.load import load
from walkthrough.survey import store

HOUSE = """format = 1
title = "One bath"
judged_by = { ruleset = "nec-2020" }

[[panel]]
id = "P"

[[circuit]]
id = "C"
panel = "P"

[[room]]
id = "B"
name = "Bath"

[[outlet]]
id = "B-1"
room = "B"
circuit = "C"
answers = { point = "receptacle", feet_to_tub = 5, feet_beside_tub = BESIDE }
"""


@pytest.mark.parametrize(("beside", "told"), [("5", 0), ("inf", 0), ("40", 1)])
def test_no_level_distance_is_longer_than_the_way_of_a_cord(
    beside: str, told: int, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Geometry: no way between two points is shorter than the straight one."""
    path = tmp_path / "bath.toml"
    path.write_text(HOUSE.replace("BESIDE", beside), encoding="utf-8")
    assert len(judge(store.load(path), load("nec-2020")).contradictions) == told
    assert main(["replay", str(path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert ("found 40; expected at most 5, which is 'feet_to_tub' here" in said) is bool(told)


def test_what_excludes_all_else_does_not_stand_beside_it(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "bath.toml"
    panel = 'id = "P"\nanswers = { breaker_condition = ["burned", "sound"] }'
    text = HOUSE.replace("BESIDE", "5").replace("nec-2020", "hud-rental")
    path.write_text(text.replace('id = "P"', panel, 1), encoding="utf-8")
    assert main(["replay", str(path)]) == 0
    said = " ".join(capsys.readouterr().out.split())
    assert 'found "sound" with "burned"; expected one or the other' in said
