"""Beginning and opening a record: nothing is written over, no other ruleset slips in."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.app.conftest import DAY
from tests.app.inspector import Inspector
from tests.app.test_screens import LARGE, flat, inspecting
from walkthrough.app.main import WalkthroughApp
from walkthrough.app.record import Record
from walkthrough.cli import main
from walkthrough.rulebook.problems import Unusable
from walkthrough.survey.lock import lock

Output = pytest.CaptureFixture[str]

STRICT = """
format = 1
id = "strict"
title = "A second edition to practise on"
extends = "practice"

[rule."wiring.newer"]
topic = "wiring"
of = "dwelling"
cite = "9.1"
when = "year_built >= 1900"
needs = "no"
kind = "gap"
defect_when = "year_built >= 1970"
severity = "upgrade"
says = "Work that had to comply when it was done."
why = "It was required then."
cure = ["rewire"]
done_by = "qualified person"
confidence = "confirmed"
source = "invented for tests"
"""


@pytest.fixture
def strict(folders: Path) -> None:
    """A second edition beside the first."""
    (folders.parent / "rulesets" / "strict.toml").write_text(STRICT, encoding="utf-8")


def test_a_new_record_is_never_written_over_another(record: Record) -> None:
    record.close()
    before = record.path.read_bytes()
    with pytest.raises(Unusable, match=r"practice\.toml: a file is there already"):
        Record.begin(record.path, "Another", "practice", DAY)
    assert record.path.read_bytes() == before
    # The lock was given back.
    lock(record.path).release()


@pytest.mark.usefixtures("strict")
def test_another_ruleset_is_refused_for_a_record(record: Record, capsys: Output) -> None:
    record.close()
    before = record.path.read_bytes()
    assert main(["walk", str(record.path), "--ruleset", "strict"]) == 2
    told = capsys.readouterr().err
    assert told.startswith(f"{record.path}: this record is judged by 'practice', not 'strict'")
    assert "replay --ruleset strict" in told
    assert record.path.read_bytes() == before
    lock(record.path).release()


def test_its_own_ruleset_may_be_named_by_id_or_file(record: Record, folders: Path) -> None:
    record.close()
    for ruleset in (None, "practice", str(folders.parent / "rulesets" / "practice.toml")):
        again = Record.open(record.path, ruleset)
        assert again.book.id == "practice"
        again.close()


@pytest.mark.parametrize(
    ("ruleset", "expected"),
    [("practise", "did you mean 'practice'?"), ("practice-base", "did you mean 'practice'?")],
)
@pytest.mark.parametrize("named", [True, False])
def test_an_unknown_edition_for_a_new_record(
    folders: Path, capsys: Output, ruleset: str, expected: str, named: bool
) -> None:
    path = [str(folders / "new.toml")] if named else []
    assert main(["walk", *path, "--ruleset", ruleset]) == 2
    told = capsys.readouterr().err
    assert told.count("\n") == 1
    assert told.startswith(f"--ruleset: found '{ruleset}'; expected an edition")
    assert expected in told
    assert not folders.exists()


def test_a_slip_in_the_named_edition_is_told(folders: Path, capsys: Output) -> None:
    broken = folders.parent / "rulesets" / "mine.toml"
    broken.write_text('format = 1\nid = "mine"\ntitle = "Mine"\nextends = "practis"\n')
    assert main(["walk", "--ruleset", "mine"]) == 2
    assert capsys.readouterr().err.startswith(f"{broken}:4:1")


@pytest.mark.usefixtures("strict")
async def test_a_defect_is_never_shown_as_an_upgrade(folders: Path) -> None:
    record = Record.begin(folders / "elm.toml", "Elm", "strict", DAY)
    record.answer(record.session.dwelling, "year_built", 1974)
    async with inspecting(record, LARGE) as inspector:
        await inspector.press("f5")
        seen = flat(inspector.sees)
        assert "SERIOUS" in seen
        assert "defect, serious: section 9.1" in seen
        assert "upgrade" not in seen.lower()


async def test_a_circuit_is_numbered_as_panels_do(record: Record) -> None:
    async with inspecting(record) as inspector:
        await inspector.press(*"1974", "enter", "enter", "question_mark")
        await inspector.chooses("Next circuit of this panel")
        assert "Number of the next circuit?" in inspector.sees
        await inspector.types("what")
        told = flat(inspector.sees)
        assert "found 'what'; expected what stands at the breaker, such as 1, 12, 2/4" in told
        assert record.session.circuits == []
        await inspector.press("ctrl+u")
        await inspector.types("2/4")
        assert [each.id for each in record.session.circuits] == ["2-4"]


async def test_a_named_file_that_is_not_there_is_told_and_begun(
    record: Record, tmp_path: Path
) -> None:
    record.close()
    (tmp_path / "elm.toml").write_bytes(record.path.read_bytes())
    app = WalkthroughApp(None, (), tmp_path / "elmm.toml", today=DAY)
    async with app.run_test(size=(80, 24)) as pilot:
        inspector = Inspector(pilot)
        told = flat(inspector.sees)
        assert "There is no file elmm.toml; did you mean elm.toml?" in told
        assert "A new record is begun under that name. What is this walk called?" in told


def test_a_name_that_no_record_can_have_is_refused(tmp_path: Path, capsys: Output) -> None:
    (tmp_path / "elm.toml").write_text("", encoding="utf-8")
    assert main(["walk", str(tmp_path / "elm")]) == 2
    assert "there is no such file; expected the name of a record" in capsys.readouterr().err
    assert main(["walk", str(tmp_path / "nowhere" / "there" / "elm.toml")]) == 2
    assert "no such folder" in capsys.readouterr().err
    assert [each.name for each in tmp_path.glob("elm*")] == ["elm.toml"]
