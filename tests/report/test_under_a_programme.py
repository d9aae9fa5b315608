"""What a landlord reads of one house under the code and under a programme at once."""

from __future__ import annotations

import contextlib
import io
import re
from pathlib import Path

import pytest

from walkthrough.cli import main
from walkthrough.remedy.files import remedy_file

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"


@pytest.fixture(scope="module")
def landlord() -> str:
    """The landlord's report of the demonstration house under the code and a programme."""
    out = io.StringIO()
    asked = ["--ruleset", "nec-2020", "--ruleset", "hud-rental", "--from", "2026-11-30"]
    prices = ["--prices", str(remedy_file("prices-demo.toml"))]
    with contextlib.redirect_stdout(out):
        assert (
            main(["replay", str(RECORD), *asked, *prices, "--format", "md", "--for", "landlord"])
            == 0
        )
    return out.getvalue()


def test_the_first_page_says_which_time_ends_first(landlord: str) -> None:
    first = landlord[: landlord.index("## What this is and is not")]
    line = next(each for each in first.splitlines() if each.startswith("voucher programmes"))
    assert "the first time ends by 2026-12-01 (24 hours from the day of notice): R-3" in line
    assert "K-4" not in line
    times = landlord[landlord.index("## Times for the correction") :]
    assert "Counted from 2026-11-30, which was named as the day of the notice" in times


def test_what_the_plan_leaves_is_only_what_it_leaves_under_any_ruleset(landlord: str) -> None:
    """The defects of the programme are cleared by the work for those of the code."""
    told = re.search(r"or not at all of their places: findings ([\d, ]+)\.", landlord)
    assert told
    titles = dict(re.findall(r"(?m)^#### (\d+)\. (.*)$", landlord))
    assert {titles[each] for each in told[1].split(", ")} == {
        "Receptacle without tamper-resistant mark.",
        "Outlet or device in a listed room without arc-fault protection.",
    }


def test_what_is_told_of_several_findings_names_them(landlord: str) -> None:
    alike = re.findall(r"(?m)^(\d+) to (\d+) alike\. Why it matters", landlord)
    assert alike
    for first, last in alike:
        here = landlord[
            landlord.index(f"#### {first}. ") : landlord.index(f"{first} to {last} alike")
        ]
        assert f"#### {last}. " in here
        assert "Why it matters" not in here


def test_the_people_who_live_there_are_told_the_same_as_the_landlord(landlord: str) -> None:
    notice = landlord[landlord.index("## Notice to the people who live here") :]
    assert "keep children away. Where a circuit was switched off for it, leave it off:" in notice
    assert "circuit C11, both baths, rear outside (HB-1, PB-1, PB-2, OUT-2)" in notice
    assert "switch that circuit off (at P1, Panel in the garage; its labels may be wrong)" in notice
