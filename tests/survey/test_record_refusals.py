"""A record that cannot be used is refused with the place and the nearest word, and left alone."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from walkthrough.rulebook.problems import Unusable
from walkthrough.survey.store import MAX_BYTES, RecordError, load

CASES = {
    "newer format": (
        "format = 1",
        "format = 2",
        "1:1: found record format 2; expected at most 1: a newer version of walkthrough wrote "
        "this file; use that version",
    ),
    "no format": ("format = 1\n", "", "1:1: found no 'format'; expected 'format = 1'"),
    "format in quotes": ("format = 1", 'format = "1"', "1:1: found a format that is none"),
    "format yes": ("format = 1", "format = true", "1:1: found a format that is none"),
    "broken TOML": ("ruleset = ", "ruleset ", "5:9: not TOML: "),
    "cut off": ('ruleset = "nec-2020"\n', 'ruleset = "nec', "5:15: not TOML: "),
    "key twice": ('id = "K-1"', 'id = "K-1"\nid = "K-1"', "33:11: not TOML: "),
    "misspelled field": (
        'circuit = "1"\nfed_from = "K-1"',
        'circuit = "1"\nfeed_from = "K-1"',
        "50:1: 'feed_from' is not known here; expected a word of the record; "
        "did you mean 'fed_from'?",
    ),
    "misspelled table": ("[[trip]]", "[[tripp]]", "59:3: 'tripp' is not known here"),
    "missing field": ('name = "Kitchen"\n', "", "24:3: 'name' is missing here"),
    "misspelled side": (
        'side = "load"',
        'side = "lode"',
        "51:1: side: found \"lode\"; expected 'through', 'load' or 'line'; did you mean 'load'?",
    ),
    "number for a text": (
        'panel = "A"',
        "panel = 1",
        "18:1: panel: found 1; expected a text in quotes",
    ),
    "text for a list": (
        'went_dead = ["K-1", "K-2"]',
        'went_dead = "K-1"',
        '62:1: went_dead: found "K-1"; expected a list',
    ),
    "table for an answer": (
        "breaker_amps = 20",
        "breaker_amps = { a = 1 }",
        "22:1: breaker_amps: found a table; expected yes or no, a number",
    ),
    "no number": (
        "breaker_amps = 20",
        "breaker_amps = nan",
        "22:1: breaker_amps: found nan; expected yes or no, a number",
    ),
    "empty id": ('id = "K-2"', 'id = ""', '47:1: id: found ""; expected a short name'),
    "dangling room": (
        'room = "kitchen"\ncircuit = "1"\nfed_from = "panel"',
        'room = "kichen"\ncircuit = "1"\nfed_from = "panel"',
        "33:1: there is no room 'kichen'; expected the id of one in this record; "
        "did you mean 'kitchen'?",
    ),
    "dangling circuit": (
        'circuit = "1"\nfed_from = "panel"',
        'circuit = "7"\nfed_from = "panel"',
        "34:1: there is no circuit '7'",
    ),
    "dangling feed": (
        'fed_from = "K-1"',
        'fed_from = "K-11"',
        "50:1: there is no outlet 'K-11'; expected 'panel' or the id of the outlet that feeds "
        "this one; did you mean 'K-1'?",
    ),
    "dangling panel": ('panel = "A"', 'panel = "B"', "18:1: there is no panel 'B'"),
    "dangling trip": (
        'went_dead = ["K-1", "K-2"]',
        'went_dead = ["K-1", "K-3"]',
        "62:21: there is no outlet 'K-3'",
    ),
    "trip at nothing": ('at = "K-1"', 'at = "K-9"', "60:1: there is no outlet or circuit 'K-9'"),
    "breaker of an outlet": (
        '"test button"',
        '"breaker off"',
        "60:1: there is no circuit 'K-1'",
    ),
    "dead and live": (
        'went_dead = ["K-1", "K-2"]',
        'went_dead = ["K-1"]\nstayed_live = ["K-1"]',
        "59:3: outlet 'K-1' went dead and stayed live",
    ),
    "same outlet twice": (
        "[[trip]]",
        '[[outlet]]\nid = "K-1"\nroom = "kitchen"\ncircuit = "1"\n\n[[trip]]',
        "60:1: outlet 'K-1' stands here a second time; expected an id of its own",
    ),
    "same circuit twice": (
        "[[room]]",
        '[[circuit]]\nid = "1"\npanel = "A"\n\n[[room]]',
        "25:1: panel 'A' has a circuit '1' already",
    ),
    "outlet called panel": (
        "[[trip]]",
        '[[outlet]]\nid = "panel"\nroom = "kitchen"\ncircuit = "1"\n\n[[trip]]',
        "60:1: 'panel' cannot be an outlet; expected another id",
    ),
    "feeds itself": (
        'fed_from = "panel"',
        'fed_from = "K-2"',
        "35:1: outlet K-1 from K-2 from K-1: the feed runs in a circle",
    ),
    "shares with itself": (
        'panel = "A"',
        'panel = "A"\nshares_neutral_with = "1"',
        "19:1: circuit '1' shares with itself",
    ),
    "sub-panel that feeds itself": (
        'id = "A"',
        'id = "A"\nfed_from = "1"',
        "15:1: panel A from A: the feed runs in a circle",
    ),
    "answered twice": (
        'test_result = "trips"',
        'device = "gfci"',
        "44:1: 'device' stands among the answers too; expected it once",
    ),
    "answered and not to be told": (
        'cannot_tell = ["device_year"]',
        'cannot_tell = ["device_year"]\nanswers = { device_year = 1998 }',
        "53:16: 'device_year' is answered too",
    ),
}


@pytest.mark.parametrize(("good", "bad", "message"), CASES.values(), ids=CASES)
def test_slip_is_told_with_its_place_and_the_file_is_untouched(
    record_file: Path, small_record: str, good: str, bad: str, message: str
) -> None:
    assert good in small_record
    record_file.write_bytes(small_record.replace(good, bad, 1).encode())
    before = record_file.read_bytes()
    with pytest.raises(RecordError) as refused:
        load(record_file)
    assert str(refused.value.problems[0]).startswith(f"{record_file}:{message}")
    assert len(refused.value.problems) == 1
    assert record_file.read_bytes() == before
    assert list(record_file.parent.iterdir()) == [record_file]


def test_all_slips_are_told_at_once_in_the_order_of_the_file(
    record_file: Path, small_record: str
) -> None:
    text = small_record.replace('side = "load"', 'side = "lode"').replace('name = "K', 'nam = "K')
    record_file.write_bytes(text.encode())
    with pytest.raises(RecordError) as refused:
        load(record_file)
    lines = [problem.line for problem in refused.value.problems]
    assert lines == [24, 26, 51]


def test_a_newer_format_is_told_before_anything_else_it_may_hold(record_file: Path) -> None:
    record_file.write_text('format = 9\nhouse = "unknown to us"\n')
    with pytest.raises(RecordError, match="record format 9") as refused:
        load(record_file)
    assert len(refused.value.problems) == 1


def test_bytes_that_are_no_text(record_file: Path) -> None:
    record_file.write_bytes(b'format = 1\ntitle = "\xff"\n')
    with pytest.raises(RecordError, match=r":2:10: found bytes that are no text; expected UTF-8"):
        load(record_file)


@pytest.mark.parametrize("text", ["a = " + "9" * 6000, "a = " + "[" * 5000])
def test_monstrous_values_are_refused_without_a_traceback(record_file: Path, text: str) -> None:
    record_file.write_text(text)
    with pytest.raises(RecordError, match="not TOML"):
        load(record_file)


def test_a_missing_file_is_told_plainly(tmp_path: Path) -> None:
    with pytest.raises(Unusable, match=r"nowhere\.toml: cannot be read: No such file"):
        load(tmp_path / "nowhere.toml")


def test_a_monstrous_file_is_refused(record_file: Path) -> None:
    with record_file.open("wb") as file:
        file.truncate(MAX_BYTES + 1)
    with pytest.raises(RecordError, match=r"cannot be read: it is larger than 20000000 bytes"):
        load(record_file)


def test_what_is_no_file_is_refused(tmp_path: Path) -> None:
    with pytest.raises(RecordError, match="not a regular file"):
        load(tmp_path)


@pytest.mark.skipif(not hasattr(os, "mkfifo"), reason="no such pipes here")
def test_a_pipe_is_refused_and_not_waited_for(tmp_path: Path) -> None:
    os.mkfifo(tmp_path / "pipe.toml")
    with pytest.raises(RecordError, match="not a regular file"):
        load(tmp_path / "pipe.toml")
