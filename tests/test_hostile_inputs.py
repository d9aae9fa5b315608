"""Hostile inputs: worked examples of what was once not refused, and a short run of the torture."""

from __future__ import annotations

import os
import re
import sys
import tomllib
from pathlib import Path

import pytest
import tomli_w

from tests.torture.good import AMENDMENT, CASES, RECORD
from tests.torture.hostile import EXPRESSIONS
from tests.torture.watched import MOST_SECONDS, called
from tests.torture.yard import laid_out
from walkthrough.cli import main

Output = pytest.CaptureFixture[str]

INPUTS, SEED = 200, 20261126


@pytest.fixture
def yard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """Good files to make bad ones of; returns their folder."""
    monkeypatch.setenv("WALKTHROUGH_RULESETS", os.environ.get("WALKTHROUGH_RULESETS", ""))
    return laid_out(tmp_path / "yard").folder


def refused(capsys: Output, *arguments: str | Path) -> str:
    """What is told where an input cannot be used."""
    assert main([str(each) for each in arguments]) == 2
    told = capsys.readouterr()
    assert not told.out
    return told.err


def test_a_message_quotes_a_file_on_one_line_and_steers_no_terminal(
    yard: Path, capsys: Output
) -> None:
    path = yard / "record.toml"
    path.write_text(RECORD.replace('room = "hall"', 'room = "\\u001b[2J\\n\\u202ehall"'), "utf-8")
    told = refused(capsys, "replay", path)
    assert told.startswith(f"{path}:84:1: there is no room '\ufffd[2J\ufffd\ufffdhall'; ")
    assert told.count("\n") == 1


def test_a_long_word_makes_no_long_message(yard: Path, capsys: Output) -> None:
    path = yard / "cases.toml"
    path.write_text(CASES.replace("about =", f"{'a' * 9000} =", 1), "utf-8")
    told = refused(capsys, "rules", "cases", "--file", path)
    assert "cannot have 'aaaa" in told
    assert "'about'" in told
    assert all(len(line) < 1400 for line in told.splitlines())


def test_a_number_beyond_all_numbers_is_out_of_range(yard: Path, capsys: Output) -> None:
    path = yard / "cases.toml"
    text = path.read_text(encoding="utf-8")
    spoiled = re.sub(r"feet_to_sink = [0-9.]+", f"feet_to_sink = 1{400 * '0'}", text, count=1)
    assert spoiled != text
    path.write_text(spoiled, encoding="utf-8")
    assert main(["rules", "cases", "--file", str(path)]) == 2
    told = capsys.readouterr().err
    assert "'feet_to_sink': found 1000" in told
    assert "expected a number from 0 to 100, or inf for none" in told


def test_rules_are_shown_in_words_that_cannot_steer_the_terminal(
    yard: Path, capsys: Output
) -> None:
    path = yard / "rulesets" / "third.toml"
    text = AMENDMENT.replace('"Water and current."', '"Water\\u001b]0;x\\u0007\\u202e"')
    path.write_text(text.replace("An amendment", "An\\u001b[31m amendment"), "utf-8")
    for command in (["show", "third"], ["show", "third", "gfci.anywhere"], ["words", "third"]):
        assert main(["rules", *command]) == 0
        out = capsys.readouterr().out
        assert all(each.isprintable() or each == "\n" for each in out)


@pytest.mark.parametrize("name", ["labor_per_hour", "minutes"])
def test_a_price_without_end_is_refused(yard: Path, capsys: Output, name: str) -> None:
    path = yard / "prices.toml"
    text = path.read_text("utf-8")
    spoiled = re.sub(rf"{name} = [0-9.]+", f"{name} = 1e308", text, count=1)
    assert spoiled != text
    path.write_text(spoiled, "utf-8")
    told = refused(capsys, "plan", yard / "house.toml", "--prices", path)
    assert re.match(
        rf"{re.escape(str(path))}:\d+:\d+: .*found 1e\+308; .* less than or equal", told
    )


def test_a_name_of_thousands_of_letters_is_told_in_a_line(capsys: Output) -> None:
    assert len(refused(capsys, "replay", "w" * 5000)) < 1400


MERGED = """\
<<<<<<< mine
breaker_amps = 20
=======
breaker_amps = 15
>>>>>>> theirs
"""


@pytest.mark.parametrize(
    ("good", "bad", "told"),
    [
        ("breaker_amps = 20\n", MERGED, ":28:1: not TOML: "),
        ("format = 1\n", "format = 2\n", ":1:1: found record format 2; expected at most 1"),
        ('name = "Kitchen"', 'name = "Kitchen', ":38:16: not TOML: "),
        ('serves = "kitchen"', 'serves = "kit\udcffhen"', ":24:14: found bytes that are no text"),
        ('fed_from = "K-1"', 'fed_from = "K-2"', ":69:1: outlet K-2 from K-2: the feed runs in"),
    ],
    ids=["merged by hand", "newer", "cut", "a bit flipped", "a circle"],
)
def test_a_spoiled_record_is_neither_walked_nor_replayed_nor_touched(
    yard: Path, capsys: Output, good: str, bad: str, told: str
) -> None:
    path = yard / "record.toml"
    spoiled = RECORD.replace(good, bad, 1)
    assert spoiled != RECORD
    path.write_text(spoiled, "utf-8", errors="surrogateescape")
    before = path.read_bytes(), path.stat().st_mtime_ns, sorted(yard.iterdir())
    for command in ("walk", "replay", "plan"):
        assert f"{path}{told}" in refused(capsys, command, path)
    assert (path.read_bytes(), path.stat().st_mtime_ns, sorted(yard.iterdir())) == before


def test_a_word_of_millions_of_letters_is_refused_at_once(yard: Path) -> None:
    path = yard / "record.toml"
    path.write_text(RECORD.replace('side = "load"', f'side = "{"load" * 1_000_000}"'), "utf-8")
    told = called("replay", str(path))
    assert told.err.startswith(f"{path}:70:1: side: found ")
    assert told.seconds < MOST_SECONDS


@pytest.mark.parametrize("key", ["when", "needs"])
@pytest.mark.parametrize("text", EXPRESSIONS)
def test_no_expression_reaches_further_than_its_words(yard: Path, text: str, key: str) -> None:
    path = yard / "rulesets" / "third.toml"
    tree = tomllib.loads(AMENDMENT)
    tree["rule"]["gfci.anywhere"][key] = text
    path.write_text(tomli_w.dumps(tree), "utf-8")
    before = sorted(yard.rglob("*"))
    told = called("rules", "check", str(path))
    assert told.code == 2
    assert re.match(rf"{re.escape(str(path))}:\d+:\d+: ", told.err)
    assert told.seconds < 1
    assert not told.touched
    assert not [each for each in told.opened if "passwd" in each]
    assert sorted(yard.rglob("*")) == before


@pytest.mark.skipif(sys.platform == "win32", reason="bounds memory and time as POSIX does")
@pytest.mark.slow
def test_a_short_run_of_the_torture(monkeypatch: pytest.MonkeyPatch) -> None:
    from tests.torture.test_fuzz import tortured

    monkeypatch.setenv("WALKTHROUGH_RULESETS", os.environ.get("WALKTHROUGH_RULESETS", ""))
    run = tortured(SEED, 1, 1 + INPUTS)
    assert not run.wrong, "\n\n".join(run.wrong)
    assert run.counts["ruleset: refused"]
    assert run.counts["record: accepted"]
