"""One record under several rulesets: each finding says under which it stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from walkthrough.judge.under import editions_of, judge_under
from walkthrough.report.as_json import as_json
from walkthrough.report.as_text import as_text
from walkthrough.rulebook.load import load
from walkthrough.rulebook.problems import Unusable
from walkthrough.survey import store

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"


def test_a_finding_of_two_rulesets_is_told_once_and_names_both() -> None:
    judged = judge_under(store.load(RECORD), [load("nec-2020"), load("nec-2023")])
    by = {(told.finding.subject, told.finding.rule): told.under for told in judged.findings}
    # Reversed polarity is wrong under any edition; the refrigerator is asked for since 2023.
    assert by["B3-2", "polarity.reversed"] == ["nec-2020", "nec-2023"]
    assert by["K-7", "gfci.kitchen"] == ["nec-2023"]
    assert by["K-4", "gfci.kitchen-counter"] == ["nec-2020"]


def test_the_record_keeps_under_what_a_finding_stands_only_where_there_are_several() -> None:
    session = store.load(RECORD)
    one = judge_under(session, [load("nec-2020")]).to_record()
    two = judge_under(session, [load("nec-2020"), load("hud-rental")]).to_record()
    assert not any(each.under for each in one)
    assert all(each.under for each in two)
    assert {name for each in two for name in each.under} == {"nec-2020", "hud-rental"}


def test_a_programme_brings_grade_deadlines_and_its_own_sections() -> None:
    """Source: a March 2024 newsletter and an October 2023 one on exposed conductors: LT, 24 h."""
    session = store.load(RECORD)
    session.dwelling.answers["programme"] = "voucher"
    whole = as_json(judge_under(session, [load("hud-rental")]))
    open_box = next(e for e in whole["deficiencies"] if e["subject"] == "R-3")
    assert open_box["grade"]["word"] == "Life-Threatening"
    assert [each["within"] for each in open_box["correct_within"]] == ["24 hours"]
    assert open_box["correct_within"][0]["programme"] == "voucher programmes"
    assert not any(cite.startswith("406") for cite in open_box["cite"])
    assert "406.6" in open_box["code"]
    assert any("no HUD inspection" in each for each in whole["notices"])


def test_an_unknown_programme_shows_the_times_of_each() -> None:
    whole = as_json(judge_under(store.load(RECORD), [load("hud-rental")]))
    wired = next(e for e in whole["deficiencies"] if e["subject"] == "B3-2")
    assert [each["within"] for each in wired["correct_within"]] == ["24 hours", "30 days"]


def test_a_report_duty_stands_apart_from_code_sections() -> None:
    text = as_text(judge_under(store.load(RECORD), [load("texas-inspection-2022")]))
    flat = " ".join(text.split())
    assert "report: Mark it Deficient, whatever the age of the house." in flat
    assert "for comparison, in the code: 240.4(D)" in flat
    assert "It is not that form" in flat


def test_the_text_names_every_ruleset_and_what_each_says() -> None:
    judged = judge_under(
        store.load(RECORD), [load("nec-2020"), load("hud-rental")], editions_of("nec")
    )
    text = as_text(judged)
    assert "under nec-2014, as built in 2016" in text
    assert "under hud-rental" in text
    whole = as_json(judged)
    assert whole["ruleset"]["id"] == "nec-2020"
    assert {"nec-2020", "hud-rental", "nec-2014, as built in 2016"} <= {
        each["under"] for each in whole["rulesets"]
    }
    porch = next(each for each in whole["outlets"] if each["id"] == "P-1")
    assert porch["under"]["nec-2014, as built in 2016"]["requires"]["gfci"] == ["210.8(A)(3)"]
    # The same sections, but a gap today and a defect then: told as two.
    told = [(e["subject"], e["rule"], e["kind"], *e["cite"]) for e in whole["deficiencies"]]
    assert len(set(told)) == len(told)


def test_a_series_that_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(Unusable, match=r"--series: which series of rulesets\? did you mean 'nec'"):
        editions_of("nce")
