"""What is to be done first: in the order of the danger, and each danger at a place once."""

from __future__ import annotations

from typing import Any

from walkthrough.report.first_page import first_lines, urgent

FAULT = {"word": "fault", "says": "wired wrong", "rank": 3, "first": "", "tested": True}
WET = {**FAULT, "first": "near water"}
EMPTY = ("cite", "confidence", "status", "why", "remedy", "done_by", "verify_in", "duty", "code")


def finding(subject: str, rule: str, topic: str, under: str, **more: Any) -> dict[str, Any]:
    return {
        **dict.fromkeys((*EMPTY, "grade", "counts_with"), ""),
        "of": "outlet",
        "subject": subject,
        "rule": rule,
        "topic": topic,
        "says": rule,
        "under": [under],
        "severity": "hazard",
        "cure": ["rewire"],
        "danger": FAULT,
        **more,
    }


def test_a_rule_that_is_found_at_water_and_elsewhere_has_two_lines() -> None:
    """Else the dry open ground would stand before the wet failed device."""
    found = [
        finding("H-1", "open-ground", "grounding", "code", danger=WET),
        finding("H-2", "failed", "device", "code", danger=WET),
        finding("B-1", "open-ground", "grounding", "code"),
    ]
    lines = first_lines(urgent(found))
    assert [[each["subject"] for each in line.places] for line in lines] == [
        ["H-1"],
        ["H-2"],
        ["B-1"],
    ]


def test_another_ruleset_goes_with_the_line_that_is_most_like_it() -> None:
    found = [
        finding("H-1", "reversed", "polarity", "code"),
        finding("H-1", "failed", "device", "code", cure=["replace"]),
        finding("H-1", "law.fails", "device", "law", cure=["replace"]),
        finding("H-1", "law.reversed", "polarity", "law"),
    ]
    lines = urgent(found)
    assert [(each.finding["rule"], [one["rule"] for one in each.others]) for each in lines] == [
        ("reversed", ["law.reversed"]),
        ("failed", ["law.fails"]),
    ]


def test_two_defects_of_one_ruleset_and_two_dangers_each_have_a_line() -> None:
    found = [
        finding("H-1", "reversed", "polarity", "code"),
        finding("H-1", "hot-ground", "polarity", "code"),
        finding("H-1", "law.live", "polarity", "law", danger={**FAULT, "word": "live"}),
    ]
    assert all(not each.others for each in urgent(found))
    assert len(urgent(found)) == 3
