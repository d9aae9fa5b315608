"""One record under several rulesets: each finding says under which it stands."""

from __future__ import annotations

from pathlib import Path

import pytest

from walkthrough.app.record import Record
from walkthrough.judge.changes import changes_in
from walkthrough.judge.judge import judge
from walkthrough.judge.under import editions_of, judge_under
from walkthrough.report.as_json import as_json
from walkthrough.report.as_text import as_text
from walkthrough.rulebook.load import load
from walkthrough.rulebook.problems import Unusable
from walkthrough.rulebook.rulebook import Rulebook
from walkthrough.survey import store
from walkthrough.survey.model import JudgedBy

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
    # Each ruleset tells a subject a rule's finding once.
    told = [(e["subject"], e["rule"], name) for e in whole["deficiencies"] for name in e["under"]]
    assert len(set(told)) == len(told)


LOCAL = """\
format = 1
id = "local"
title = "Local"
extends = "nec-2020"
[rule."gfci.bathroom"]
topic = "gfci"
of = "outlet"
cite = "210.8(A)(1)"
when = "gfci_scope and 'bathroom' in place"
needs = "gfci_protected"
kind = "gap"
severity = "hazard"
says = "Bathroom receptacle without GFCI protection."
why = "The town says so."
cure = ["gfci"]
done_by = "qualified person"
duty = "Report it within a day."
confidence = "memory"
source = "invented for this test"
deadlines = [{ programme = "town", days = 1, confidence = "memory" }]
"""


@pytest.fixture
def local(tmp_path: Path) -> Rulebook:
    (tmp_path / "local.toml").write_text(LOCAL, encoding="utf-8")
    return load(tmp_path / "local.toml")


def test_what_one_ruleset_grades_otherwise_is_not_hidden_behind_another(local: Rulebook) -> None:
    for books in ([load("nec-2020"), local], [local, load("nec-2020")]):
        whole = as_json(judge_under(store.load(RECORD), books))
        told = [
            e
            for e in whole["deficiencies"]
            if (e["subject"], e["rule"]) == ("PB-1", "gfci.bathroom")
        ]
        assert sorted((e["severity"], e["duty"], *e["under"]) for e in told) == [
            ("hazard", "Report it within a day.", "local"),
            ("upgrade", "", "nec-2020"),
        ]
        assert [len(e["correct_within"]) for e in told if e["under"] == ["local"]] == [1]


def test_a_graver_finding_is_a_change_in_the_house(local: Rulebook) -> None:
    session = store.load(RECORD)
    old, new = (judge(session, book) for book in (load("nec-2020"), local))
    found = {each.subject: each.graded for each in changes_in(old, new)}
    assert found["PB-1"] == "gap, upgrade -> gap, hazard"


def test_states_are_kept_apart_under_several_rulesets(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    session = store.load(RECORD)
    session.judged_also.append(JudgedBy(ruleset="nec-2017"))
    session.findings = judge_under(session, [load("nec-2020"), load("nec-2017")]).to_record()
    twice = [e for e in session.findings if (e.subject, e.rule) == ("K-8", "gfci.dishwasher")]
    assert len(twice) == 2
    twice[0].state = "accepted"
    store.save(session, path)
    record = Record.open(path)
    record.answer(record.session.dwelling, "year_built", 1975)
    record.close()
    kept = [
        e for e in store.load(path).findings if (e.subject, e.rule) == ("K-8", "gfci.dishwasher")
    ]
    assert sorted(each.state for each in kept) == ["accepted", "open"]


def test_a_series_that_is_not_there_is_told_with_the_nearest() -> None:
    with pytest.raises(
        Unusable, match=r"--series: no series 'nce' of rulesets; did you mean 'nec'"
    ):
        editions_of("nce")
