"""The overview of many records is well made, and what stands in a record stays text in it."""

from __future__ import annotations

import csv
import io
import json
import unicodedata
from pathlib import Path

import pytest

from tests.report.homes import ASH, homes, record
from tests.report.pages import Page
from tests.report.test_hostile import HARMLESS, HOSTILE, markdown, shape, typed_in
from walkthrough.cli import main
from walkthrough.report.firm import Firm
from walkthrough.report.pages import as_html, as_markdown
from walkthrough.report.portfolio import Unread, of_record, overview
from walkthrough.report.portfolio_text import overview_csv, overview_text
from walkthrough.report.portfolio_view import Overview
from walkthrough.rulebook.problems import Problem

__all__ = ["homes"]

Output = pytest.CaptureFixture[str]


def view(text: str, folder: Path) -> Overview:
    """An overview with a text wherever a file or a record can bring one in."""
    judged = of_record(typed_in(text, folder), text, report="report-x.html")
    units = [{"id": "A", "name": text, **judged["counts"]}]
    earlier = {**judged, "file": f"{folder}/old.toml"}
    later = {**judged, "file": f"{folder}/new.toml", "reinspects": "old.toml", "units": units}
    unread = Unread(text, (Problem(text, 1, 1, text),))
    firm = Firm(format=1, name=text, licence=text, contact=[text], sentences=[text])
    return Overview(overview([judged, earlier, later, unread]), firm)


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Overview:
    return view(HARMLESS, tmp_path_factory.mktemp("plain"))


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_no_text_changes_what_the_overview_is_made_of(
    text: str, plain: Overview, tmp_path: Path
) -> None:
    hostile = view(text, tmp_path)
    page, other = (Page(as_html(each)) for each in (hostile, plain))
    assert page.tags == other.tags
    assert page.still_open == []
    assert [set(said) for _, said in page.attributes] == [set(s) for _, s in other.attributes]
    assert [href for href, _ in page.links] == ["report-x.html"] * 2
    one, two = (as_markdown(each) for each in (hostile, plain))
    assert list(shape(markdown().parse(one))) == list(shape(markdown().parse(two)))
    for written in (as_html(hostile), one, overview_text(hostile)):
        steering = {each for each in written if unicodedata.category(each) in ("Cc", "Cf")}
        assert steering <= {"\n"}
    assert all(len(line) <= 96 for line in overview_text(hostile).splitlines())


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_a_spreadsheet_finds_no_formula_in_it(text: str, tmp_path: Path) -> None:
    table = overview_csv(view(text, tmp_path))
    rows = list(csv.DictReader(io.StringIO(table, newline="")))
    assert len(rows) == 4
    for row in rows:
        assert not any(cell.startswith(("=", "+", "-", "@")) for cell in row.values())
        assert all(cell.isprintable() for cell in row.values())


def test_every_table_tells_what_its_cells_are_of(homes: Path, capsys: Output) -> None:
    assert main(["portfolio", str(homes), "--format", "html", "--plan"]) == 0
    html = capsys.readouterr().out
    page = Page(html)
    heads = [said for tag, said in page.attributes if tag == "th"]
    assert {said.get("scope") for said in heads} == {"col", "row"}
    assert all(page.tables)
    levels = [level for level, _ in page.headings]
    assert levels[0] == 1
    assert set(levels[1:]) == {2}
    assert "script" not in page.tags
    assert not [said for _, said in page.attributes if "src" in said]
    assert page.links == []
    # A reader without a mouse can reach the wide table and move it.
    assert ("div", "0") in [(tag, said.get("tabindex")) for tag, said in page.attributes]


def test_the_page_says_it_in_the_order_in_which_it_matters(homes: Path, capsys: Output) -> None:
    (homes / "damaged.toml").write_text("format = 1\ntitle = 7\n", encoding="utf-8")
    assert main(["portfolio", str(homes), "--format", "html"]) == 2
    page = Page(capsys.readouterr().out)
    assert [text for level, text in page.headings if level == 2] == [
        "Could not be used",
        "What this is and is not",
        "In short",
        "Each record, worst first",
        "Times for the correction",
        "The rules",
    ]
    words = page.text
    for said in (
        "It is not a code-compliance inspection",
        "5 findings in all, and how grave they are",
        "24 hours: 2 findings, town homes [from memory: verify in the town ordinance]",
        "Ash Cottage: 2",
        "Cedar Cottage: 1",
    ):
        assert said in words, said


def test_where_no_rule_sets_a_time_that_is_said(capsys: Output) -> None:
    larkspur = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
    for form in ("html", "md"):
        assert main(["portfolio", str(larkspur), "--format", form]) == 0
        assert "judged sets a time" in capsys.readouterr().out


def test_a_firm_stands_above_the_overview_and_each_report(
    homes: Path, tmp_path: Path, capsys: Output
) -> None:
    firm = tmp_path / "firm.toml"
    firm.write_text('format = 1\nname = "Example Inspections"\n', encoding="utf-8")
    into = tmp_path / "out"
    asked = ["portfolio", str(homes), "--format", "md", "--into", str(into), "--firm", str(firm)]
    assert main(asked) == 0
    assert capsys.readouterr().out == ""
    pages = list(into.iterdir())
    assert len(pages) == 4
    assert all(each.read_text("utf-8").startswith("**Example Inspections**") for each in pages)


def test_a_building_of_the_same_severity_is_worse_when_its_time_is_nearer(
    homes: Path, capsys: Output
) -> None:
    for name, programme in (("oak", "county"), ("pine", "town"), ("yew", "")):
        title, year, _, tests = ASH
        told = (f"{title} {name}", year, programme, tests)
        (homes / f"{name}.toml").write_text(record(*told), encoding="utf-8")
    assert main(["portfolio", *map(str, sorted(homes.glob("*.toml"))), "--format", "json"]) == 0
    told_of = json.loads(capsys.readouterr().out)["records"]
    assert [each["session"] for each in told_of][:4] == [
        "Ash Cottage",
        "Ash Cottage pine",
        "Ash Cottage yew",
        "Ash Cottage oak",
    ]
