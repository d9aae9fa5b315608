"""Trip tests told on the command line, as an electrician notes them down.

What they must tell is worked out by hand from what a TEST does (common practice, no source); the
inference itself is held against brute force in tests/trade/test_inference.py.
"""

from __future__ import annotations

import json

import pytest

from walkthrough.cli import main

Output = pytest.CaptureFixture[str]


def told(capsys: Output, *options: str) -> dict[str, object]:
    assert main(["calc", "trip-round", *options, "--json"]) == 0
    answer: dict[str, object] = json.loads(capsys.readouterr().out)
    return answer


def test_one_device_settled(capsys: Output) -> None:
    """K-1 takes K-2 and K-3 down, K-4 stays live."""
    answer = told(
        capsys, "--device", "K-1", "--outlets", "K-2 K-3 K-4", "--test", "K-1: K-1 K-2 K-3 / K-4"
    )
    assert answer["verdict"] == "calculated"
    result = answer["result"]
    assert isinstance(result, dict)
    assert result["reach of K-1"] == "K-2 K-3"
    assert result["places"]["K-4"] == {"within": [], "nearest": [], "perhaps": []}


def test_what_was_not_looked_at_is_open_and_names_the_next_test(capsys: Output) -> None:
    answer = told(capsys, "--devices", "G-1", "--outlets", "G-2 G-3", "--test", "G-1: G-1 G-2")
    assert answer["verdict"] == "cannot assess"
    result = answer["result"]
    assert isinstance(result, dict)
    assert result["next test"] == "G-1"
    assert result["places"]["G-3"]["perhaps"] == ["G-1"]


def test_looks_that_cannot_all_be_right(capsys: Output) -> None:
    """Two reaches lie apart or one inside the other; these overlap."""
    options = ["--devices", "A B", "--outlets", "1 2 3"]
    options += ["--test", "A: A 1 2 / 3 B", "--test", "B: B 2 3 / 1 A"]
    answer = told(capsys, *options)
    assert answer["verdict"] == "fail"


def test_the_breaker_kills_all_of_its_circuit(capsys: Output) -> None:
    options = ["--device", "A", "--outlet", "1", "--test", "breaker: A / 1"]
    assert told(capsys, *options)["verdict"] == "fail"


@pytest.mark.parametrize(
    ("test", "says"),
    [
        ("K-1: K-9", "found 'K-9'; expected a device or outlet that was told; did you mean"),
        ("K-2: K-2", "'K-2' is no device; name it with --device"),
        ("K-1", "expected 'AT: DEAD / LIVE'"),
        ("K-1: /", "expected 'AT: DEAD / LIVE'"),
    ],
)
def test_slips_are_told_in_one_line(test: str, says: str, capsys: Output) -> None:
    options = ["--device", "K-1", "--outlet", "K-2", "--test", test]
    try:
        code = main(["calc", "trip-round", *options])
    except SystemExit as stopped:
        code = int(str(stopped.code))
    assert code == 2
    assert says in capsys.readouterr().err
