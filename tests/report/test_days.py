"""Times for the correction are dates where the day of the notice is told."""

from __future__ import annotations

import csv
import datetime
import io
import json
from pathlib import Path

import pytest

from tests.report.homes import homes
from tests.report.pages import Page
from walkthrough.cli import main
from walkthrough.rulebook.declarations import Deadline

__all__ = ["homes"]

Output = pytest.CaptureFixture[str]


def told(capsys: Output, *asked: str) -> str:
    assert main(list(asked)) == 0
    return capsys.readouterr().out


def words(capsys: Output, form: str, *asked: str) -> str:
    """What a reader sees, as one line."""
    said = told(capsys, *asked, "--format", form)
    return Page(said).text if form == "html" else " ".join(said.replace("\\", "").split())


@pytest.mark.parametrize("form", ["text", "md", "html", "csv"])
def test_with_the_day_of_notice_the_last_day_is_told(
    homes: Path, capsys: Output, form: str
) -> None:
    # By hand: 30 days after 30 January 2028, a leap year, are 29 February.
    said = words(capsys, form, "replay", str(homes / "cedar.toml"), "--from", "2028-01-30")
    assert "by 2028-02-29 (30 days from the day of notice): county homes" in said


@pytest.mark.parametrize("form", ["text", "md", "html", "csv"])
def test_without_it_the_days_count_from_the_day_of_notice(
    homes: Path, capsys: Output, form: str
) -> None:
    said = words(capsys, form, "replay", str(homes / "cedar.toml"))
    assert "within 30 days from the day of notice: county homes" in said


def test_the_landlord_has_them_by_day(homes: Path, capsys: Output) -> None:
    said = words(
        capsys,
        "html",
        *("replay", str(homes / "ash.toml"), "--for", "landlord", "--from", "2026-11-30"),
    )
    times = said[said.index("town homes To be corrected") :]
    assert "By 2026-12-01 (24 hours from the day of notice) R-1, Hall (C1)" in times
    assert "By 2026-12-30 (30 days from the day of notice) R-1, Hall (C1)" in times


def test_the_json_has_the_day(homes: Path, capsys: Output) -> None:
    asked = ("replay", str(homes / "cedar.toml"), "--format", "json")
    plain, dated = (
        json.loads(told(capsys, *asked)),
        json.loads(told(capsys, *asked, "--from", "2026-11-30")),
    )
    assert (plain["notice_day"], dated["notice_day"]) == (None, "2026-11-30")
    assert plain["deficiencies"][0]["correct_within"][0]["by"] is None
    assert dated["deficiencies"][0]["correct_within"][0]["by"] == "2026-12-30"


def test_a_second_visit_has_it_too(homes: Path, capsys: Output) -> None:
    (homes / "later.toml").write_text((homes / "cedar.toml").read_text("utf-8"), "utf-8")
    both = ("compare", str(homes / "cedar.toml"), str(homes / "later.toml"))
    (row,) = csv.DictReader(
        io.StringIO(told(capsys, *both, "--from", "2026-11-30", "--format", "csv"))
    )
    assert row["correct_within"] == "by 2026-12-30 (30 days from the day of notice): county homes"


@pytest.mark.parametrize("day", ["tomorrow", "2026-02-30", "30.11.2026"])
def test_what_is_no_day_is_refused(homes: Path, capsys: Output, day: str) -> None:
    assert main(["replay", str(homes / "cedar.toml"), "--from", day]) == 2
    expected = f"--from: found '{day}'; expected a day such as 2026-11-30\n"
    assert capsys.readouterr().err == expected


def test_hours_count_as_whole_days_and_no_day_is_too_far() -> None:
    """Nobody knows at which hour the notice came, so a part of a day is not given away."""
    day = datetime.date(2026, 11, 30)
    for hours, last in (
        (12, day),
        (24, datetime.date(2026, 12, 1)),
        (36, datetime.date(2026, 12, 1)),
    ):
        assert Deadline(programme="x", hours=hours, confidence="memory").ends(day) == last
    endless = Deadline(programme="x", days=10**7, confidence="memory")
    assert endless.ends(day) == datetime.date.max
