"""`calc spacing` as a script and a person see it: words, drawing, files, and slips in one line."""

from __future__ import annotations

import functools
import json
from pathlib import Path
from typing import Any

import pytest

from walkthrough.cli import main
from walkthrough.cli_calc import command
from walkthrough.cli_calc.spacing import EXAMPLES
from walkthrough.rulebook.load import load

Output = pytest.CaptureFixture[str]


@pytest.fixture(autouse=True)
def _load_each_ruleset_once(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr(command, "load", loaded)


loaded = functools.cache(load)


def as_json(capsys: Output, *arguments: str) -> dict[str, Any]:
    assert main(["calc", "spacing", "--ruleset", "nec-2020", *arguments, "--json"]) == 0
    found: dict[str, Any] = json.loads(capsys.readouterr().out)
    return found


def test_a_wall_for_scripts(capsys: Output) -> None:
    found = as_json(capsys, "--wall", "12ft, door 3ft, 8ft 6in", "--receptacle", "4ft")
    assert found["verdict"] == "fail"
    assert found["result"]["missing"] == 2
    first, second = found["result"]["spaces"]
    assert (first["from_in"], first["to_in"], first["receptacles_in"]) == (0, 144, [48])
    assert first["too_far"] == [
        {"from_in": 120, "to_in": 144, "farthest_in": 144, "distance_in": 96}
    ]
    assert second["add"] == [{"from_in": 210, "to_in": 252, "told": "between 17 ft 6 in and 21 ft"}]
    assert found["inputs"]["wall"] == ["12ft, door 3ft, 8ft 6in"]
    assert {"210.52(A)(1)"} <= {cite for step in found["steps"] for cite in step["cite"]}


def test_a_wall_for_a_person_fits_80_columns_where_it_is_drawn(capsys: Output) -> None:
    assert (
        main(["calc", "spacing", "--wall", "12ft, door 3ft, 8ft 6in", "--receptacle", "4ft"]) == 0
    )
    lines = capsys.readouterr().out.splitlines()
    drawn = next(n for n, each in enumerate(lines) if each.startswith("------------O"))
    assert lines[drawn : drawn + 4] == [
        "------------O-------------------xxxxxxx[  door  ]xxxxxxxxxxxxxxxxxxxxxxxxxxx",
        "                   (++++++++++++++++++)                 (++++++++++)",
        "0 ft                                  12 ft     15 ft             23 ft 6 in",
        "O receptacle  n not counted  - served  x too far  . too narrow  (++) add one",
    ]
    assert any("anywhere between 6 ft and 12 ft" in each for each in lines)


def test_feet_and_inches_fractions_and_metric_are_read_exactly(capsys: Output) -> None:
    for twelve in ("12ft", "12'", "144in", "11'12\"", "3.6576m", "365.76 cm", "10 ft 24 in"):
        found = as_json(capsys, "--wall", twelve, "--receptacle", "6'")
        assert (found["verdict"], found["result"]["missing"]) == ("pass", 0), twelve
    found = as_json(capsys, "--wall", "12ft 1/64in", "--receptacle", "6ft")
    assert found["result"]["missing"] == 1


def test_receptacles_in_the_line_and_apart_from_it_are_the_same(capsys: Output) -> None:
    inside = as_json(capsys, "--wall", "4ft, receptacle, 8ft, receptacle 6ft high, 1ft")
    apart = as_json(capsys, "--wall", "13ft", "--receptacle", "4ft; 12ft, 6ft high")
    several = as_json(
        capsys, "--wall", "13ft", "--receptacle", "4ft", "--receptacle", "12ft, 6ft high"
    )
    assert inside["result"]["missing"] == 1
    assert apart["result"]["spaces"] == several["result"]["spaces"] == inside["result"]["spaces"]


ROOM = """\
[[place]]
name = "living room"
wall = "12ft, door 3ft, 8ft 6in"
receptacle = ["4ft", "17ft, 18in from wall"]
around = true

[[place]]
island = "5ft x 9ft"
outlets = 1
"""


def test_a_file_of_places(capsys: Output, tmp_path: Path) -> None:
    path = tmp_path / "room.toml"
    path.write_text(ROOM, encoding="utf-8")
    found = as_json(capsys, "--file", str(path))
    living, island = found["result"]["places"]
    assert (living["name"], living["missing"], island["missing"]) == ("living room", 1, 2)
    assert (found["result"]["missing"], found["verdict"]) == (3, "fail")
    assert found["because"] == "living room, island (2)"


@pytest.mark.parametrize(
    ("change", "told"),
    [
        (
            ("around = true", 'around = "yes"'),
            ":5:1: 'around': found 'yes'; expected true or false",
        ),
        (("island =", "iland ="), ":8:1: found 'iland'; did you mean 'island'?"),
        (("door 3ft", "dor 3ft"), ":3:1: 'wall': found 'dor'; did you mean 'door'?"),
        (("outlets = 1", "outlets = 1.5"), ":9:1: 'outlets': found 1.5; expected text with units"),
        (("[[place]]\nisland", "[[places]]\nisland"), ":7:3: found 'places'; expected [[place]]"),
    ],
)
def test_slips_in_a_file_say_where(
    capsys: Output, tmp_path: Path, change: tuple[str, str], told: str
) -> None:
    path = tmp_path / "room.toml"
    path.write_text(ROOM.replace(*change), encoding="utf-8")
    assert main(["calc", "spacing", "--file", str(path)]) == 2
    assert f"{path}{told}" in capsys.readouterr().err


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--wall", "12ft, dor 3ft"], "--wall: found 'dor'; did you mean 'door'?"),
        (["--wall", "12"], "--wall: found '12'; expected a length with its unit"),
        (["--wall", "3,8ft"], "--wall: found '3,8ft'; put a blank after a comma"),
        (["--wall", "0ft"], "--wall: found '0ft'; expected"),
        (["--wall", "4ft", "--receptacle", "5ft"], "--receptacle: found one at 5 ft; the line is 4 ft"),
        (["--wall", "4ft", "--receptacle", "2ft, hihg 3ft"], "--receptacle: found 'hihg 3ft'"),
        (["--wall", "4ft", "--counter", "3ft"], "found several places"),
        (["--receptacle", "4ft"], "found no place"),
        (["--hallway", "10ft", "--power", "yes"], "--power: does not go with --hallway"),
        (["--garage", "2", "--outlet", "bay 3"], "--outlet: found bay 3; the garage has 2"),
        (["--garage", "two"], "--garage: found 'two'; expected a whole number"),
        (["--island", "5 x 9"], "--island: found '5'; expected a length with its unit"),
        (["--foyer", "80ft2"], "--foyer: expected --wall beside it"),
        (["--laundry", "--dwelling", "cabin"], "--dwelling: found 'cabin'"),
        (["--equipment", "furnace"], "--equipment: expected --distance beside it"),
        (["--ruleset", "nec-before-2008", "--wall", "4ft"], "has no row 'counts' in a table 'wall_space'"),
        (["--file", "nowhere.toml"], "nowhere.toml: cannot be read"),
        (["--file", "x.toml", "--wall", "4ft"], "--wall does not go with --file"),
    ],
)  # fmt: skip
def test_slips_are_told_in_one_line(capsys: Output, arguments: list[str], told: str) -> None:
    assert main(["calc", "spacing", *arguments]) == 2
    error = capsys.readouterr().err
    assert told in error
    assert error.count("\n") == 1


def test_the_file_of_the_help_works(capsys: Output, tmp_path: Path) -> None:
    shown = EXAMPLES.partition("A file holds")[2].partition("\n")[2]
    lines = [each.strip() for each in shown.splitlines() if each.startswith("  ")]
    path = tmp_path / "room.toml"
    path.write_text("\n".join(lines), encoding="utf-8")
    assert [each["name"] for each in as_json(capsys, "--file", str(path))["result"]["places"]] == [
        "living room",
        "island (2)",
    ]


def test_a_ruleset_may_leave_out_a_rule(capsys: Output) -> None:
    # Wisconsin Administrative Code SPS 316.210: without 210.52(G)(1).
    assert main(["calc", "spacing", "--ruleset", "wisconsin-2017", "--garage", "2", "--json"]) == 0
    found = json.loads(capsys.readouterr().out)
    assert found["result"]["required"] == 0
    assert found["steps"][0]["cite"] == ["SPS 316.210"]


def test_other_words_for_the_parts_of_a_line_are_in_the_ruleset(capsys: Output) -> None:
    """Source: 210.52(A)(2): doorways break a wall; what can be moved is not in its list."""
    plain = as_json(capsys, "--wall", "12ft, door 5ft, 3ft, 3ft")
    spoken = as_json(capsys, "--wall", "12ft, closet 5ft, fridge 3ft, 3ft")
    assert spoken["result"] == plain["result"]


def test_a_slip_lists_the_choices_once(capsys: Output) -> None:
    assert main(["calc", "spacing", "--wall", "12ft, xyz 3ft"]) == 2
    told = capsys.readouterr().err
    assert told.count("fireplace") == 1
    assert main(["calc", "readings", "--lights", "hot-neutral"]) == 2
    told = capsys.readouterr().err
    assert "did you mean 'hot-neutral-reversed', or a lamp (HN: hot to neutral)?" in told


def test_what_is_not_told_of_a_deck_is_asked_in_plain_words(capsys: Output) -> None:
    told = as_json(capsys, "--edition", "2014", "--deck")
    assert "whether it is attached to the dwelling" in told["because"]
    assert "whether it can be reached from inside" in told["because"]
