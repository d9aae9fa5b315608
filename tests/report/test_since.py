"""Replayed years later: what a record was judged by, and what comes out otherwise now."""

from __future__ import annotations

import csv
import io
import json
import re
from pathlib import Path
from typing import Any

import pytest

from tests.report.pages import Page
from walkthrough.cli import main
from walkthrough.judge.under import judge_under
from walkthrough.rulebook.load import load
from walkthrough.survey import store
from walkthrough.survey.model import JudgedBy

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
OLD_RULES = "sha256:" + "0" * 64
SECOND = "nec-2023"

Output = pytest.CaptureFixture[str]


@pytest.fixture
def years_ago(tmp_path: Path) -> Path:
    """The demonstration house as if two other versions of the rulesets had judged it.

    Then reversed polarity at B3-2 was not found, a loose plate at B3-2 was found by a rule that is
    gone, and the 14 AWG conductor at C11 weighed less.
    """
    session = store.load(RECORD)
    books = [load("nec-2020"), load(SECOND)]
    session.judged_by = JudgedBy(ruleset="nec-2020", fingerprint=OLD_RULES)
    session.judged_also = [JudgedBy(ruleset=SECOND, fingerprint=OLD_RULES)]
    kept = judge_under(session, books).to_record()
    reversed_ = next(each for each in kept if each.rule == "polarity.reversed")
    gone = reversed_.model_copy(update={"rule": "plate.loose", "says": "The plate is loose."})
    session.findings = [gone, *(each for each in kept if each is not reversed_)]
    for copper in (each for each in session.findings if each.rule == "conductor.cu14-breaker"):
        copper.severity = "serious"
    path = tmp_path / "years-ago.toml"
    store.save(session, path)
    return path


def replayed(capsys: Output, path: Path, form: str, *more: str) -> str:
    assert main(["replay", str(path), "--format", form, *more]) == 0
    return capsys.readouterr().out


def test_each_ruleset_of_the_record_is_told_with_what_came_and_went(
    years_ago: Path, capsys: Output
) -> None:
    data: dict[str, Any] = json.loads(replayed(capsys, years_ago, "json"))
    assert [each["id"] for each in data["judged_before"]] == ["nec-2020", SECOND]
    for each in data["judged_before"]:
        assert each["fingerprint"] == OLD_RULES != each["now"]
        assert each["other_rules"]
        assert [one["rule"] for one in each["came"]] == ["polarity.reversed"]
        assert [one["rule"] for one in each["went"]] == ["plate.loose"]
        graded = each["regraded"][0]
        assert (graded["rule"], graded["was"]["severity"], graded["severity"]) == (
            "conductor.cu14-breaker",
            "serious",
            "hazard",
        )
    # What stood there before goes on meaning the first ruleset.
    assert data["judged_before_by"] == {"id": "nec-2020", "fingerprint": OLD_RULES}


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_the_reports_say_what_differs(years_ago: Path, capsys: Output, form: str) -> None:
    said = replayed(capsys, years_ago, form)
    words = " ".join((Page(said).text if form == "html" else said).replace("\\", "").split())
    for name in ("nec-2020", SECOND):
        assert f"The record was last judged by other rules: {name}, {OLD_RULES}" in words
    assert "The rules have changed since." in words
    came, went = "B3-2: Tested as hot and neutral reversed.", "B3-2: The plate is loose."
    if form == "text":
        assert f"Found now: 1 - {came} (200.11)" in words
        assert f"No longer found: 1 - {went} (200.11)" in words
        assert "(defect, serious -> defect, hazard)" in words
    else:
        assert f"Found now: {came} (200.11)" in words
        assert f"No longer found: {went} (200.11)" in words
        assert "(was defect, serious; is defect, hazard)" in words


def test_the_table_says_it_in_columns_of_its_own(years_ago: Path, capsys: Output) -> None:
    rows = list(csv.DictReader(io.StringIO(replayed(capsys, years_ago, "csv"), newline="")))
    by_rule = {row["rule"]: row for row in rows}
    assert by_rule["polarity.reversed"]["since"] == f"nec-2020: found now; {SECOND}: found now"
    copper = {row["since"] for row in rows if row["rule"] == "conductor.cu14-breaker"}
    assert copper == {"nec-2020: graded otherwise", f"{SECOND}: graded otherwise"}
    assert {row["judged_before"] for row in rows} == {
        f"nec-2020: other rules; {SECOND}: other rules"
    }
    went = f"nec-2020: B3-2: plate.loose; {SECOND}: B3-2: plate.loose"
    assert [row["went_since"] for row in rows] == [went, *[""] * (len(rows) - 1)]


def test_a_ruleset_that_is_not_asked_for_is_named_and_not_compared(
    years_ago: Path, capsys: Output
) -> None:
    told = json.loads(replayed(capsys, years_ago, "json", "--ruleset", "nec-2020"))
    first, second = told["judged_before"]
    assert first["went"]
    assert (second["now"], second["came"], second["went"]) == (None, [], [])


def test_the_same_rules_and_the_same_answers_are_no_news(capsys: Output) -> None:
    told = json.loads(replayed(capsys, RECORD, "json"))["judged_before"]
    assert [(each["other_rules"], each["came"], each["went"]) for each in told] == [(False, [], [])]
    assert "Otherwise than when last judged" not in replayed(capsys, RECORD, "text")


def test_a_record_changed_outside_the_program_is_told_as_such(
    tmp_path: Path, capsys: Output
) -> None:
    path = tmp_path / "changed.toml"
    text = RECORD.read_text(encoding="utf-8")
    assert 'tester = "reversed"' in text
    path.write_text(text.replace('tester = "reversed"', 'tester = "correct"'), encoding="utf-8")
    said = " ".join(replayed(capsys, path, "text").split())
    assert "The rules are the same, but what is recorded comes out otherwise" in said
    assert "No longer found: 1 - B3-2: Tested as hot and neutral reversed. (200.11)" in said


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_what_is_open_is_told_as_it_is_asked(capsys: Output, form: str) -> None:
    said = " ".join(replayed(capsys, RECORD, form).replace("\\", "").split())
    asked = load("nec-2020").questions["damage"].ask
    opened = said[said.rindex("Still open") :]
    assert re.search(rf"K-10(, [A-Z]+-\d)*: ([^?]*\?; )*{re.escape(asked)}", opened)
    assert "cord as wiring" not in opened[: opened.index("Notes")]
