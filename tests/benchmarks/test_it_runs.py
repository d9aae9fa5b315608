"""The benchmarks run, with tiny sizes: what they measure is for their own command."""

from __future__ import annotations

import sys

import pytest

from tests.benchmarks.__main__ import ALL, main
from tests.benchmarks.thirty_rules import by_hand, situations

ON_A_TERMINAL = ("question", "start")
OF_THEIR_OWN = ("replay", "many", "portfolio")


@pytest.mark.parametrize(
    "name",
    [
        pytest.param(name, marks=pytest.mark.slow)
        if name in (*ON_A_TERMINAL, *OF_THEIR_OWN)
        else name
        for name in ALL
    ],
)
def test_each_gives_rows_of_the_table(name: str, capsys: pytest.CaptureFixture[str]) -> None:
    if name in ON_A_TERMINAL and sys.platform == "win32":
        pytest.skip("needs a pseudo-terminal")
    assert main(["--small", name]) == 0
    _, head, _, *rows = capsys.readouterr().out.splitlines()
    assert head == "| what | figure | measured | beside it |"
    assert rows
    assert all(row.count("|") == head.count("|") for row in rows)


def test_an_unknown_name_is_told(capsys: pytest.CaptureFixture[str]) -> None:
    with pytest.raises(SystemExit):
        main(["speed"])
    assert "found 'speed'; expected one of judging, " in capsys.readouterr().err


def test_the_rules_by_hand_have_every_outcome() -> None:
    """Else the two would be compared on nothing."""
    seen = {outcome for each in situations(300) for outcome in by_hand(each)}
    assert seen == {"not applicable", "excepted", "met", "deficient"}
