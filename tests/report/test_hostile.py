"""Text of a record stays text, whatever is typed into it and whatever it is read with."""

from __future__ import annotations

import csv
import io
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import tomli_w
from markdown_it import MarkdownIt
from markdown_it.token import Token

from tests.report.pages import Page
from walkthrough.cli import main
from walkthrough.cli_plan import made_plan
from walkthrough.judge.under import Judged, judge_under
from walkthrough.remedy.load import load_actions
from walkthrough.report.as_csv import as_csv
from walkthrough.report.as_json import as_json
from walkthrough.report.document import Document
from walkthrough.report.firm import Firm
from walkthrough.report.pages import as_html, as_markdown
from walkthrough.report.plan_json import plan_json
from walkthrough.rulebook.load import load
from walkthrough.survey import store
from walkthrough.survey.photos import look

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
HARMLESS = "plain words"
HOSTILE = {
    "script": "<script>alert(1)</script>",
    "out of an attribute": "\" onmouseover='alert(1)' x=\"",
    "out of the style": "</style></title><img src=x onerror=alert(1)>",
    "template": "{{ 7 * 7 }}{% raw %}{# #}",
    "entity": "&lt;b&gt; &amp; &#60;",
    "link": "[here](javascript:alert(1)) ![x](http://a.invalid/x) <http://a.invalid>",
    "bare link": "see http://a.invalid/x and www.a.invalid and a@a.invalid",
    "markup": "**bold** __bold__ _i_ *i* ~~gone~~ `code` $x$ \\* a|b|c",
    "heading": "# heading",
    "list": "- one",
    "numbers": "1. one",
    "rule": "---",
    "quote": "> said",
    "fence": "```",
    "table": "|---|",
    "lines": "one\n\n# two\n- three\r\n\n    four\n\n***\n",
    "terminal": "\x1b[2J\x1b]0;title\x07",
    "reading direction": "\u202egnp.exe\u200f\u2066",
    "formula": '=HYPERLINK("http://a.invalid";"x")',
    "long": "w" * 10_000,
}


def typed_in(text: str, folder: Path) -> Judged:
    """The demonstration house with a text in every field that takes one, saved and loaded again."""
    session = store.load(RECORD)
    # A part of the house is enough, and quicker: two rooms with findings of every severity.
    session.outlets = [each for each in session.outlets if each.circuit in ("C1", "C5", "C7")]
    session.trips, session.findings = [], []
    session.title = text
    session.dwelling.note = text
    for panel in session.panels:
        panel.name = panel.note = text
    for circuit in session.circuits:
        circuit.serves = circuit.note = text
    for room in session.rooms:
        room.name = room.note = text
    for outlet in session.outlets:
        outlet.at = outlet.note = text
        for limit in outlet.limits:
            limit.reason = text
    for visit in session.visits:
        visit.by = text
    for survey_limit in session.limits:
        survey_limit.subject = survey_limit.reason = text
    path = folder / "house.toml"
    store.save(session, path)
    if text.isprintable():
        # Names of outlets have no control characters in them; the store refuses those.
        name = tomli_w.dumps({"": text.strip()}).partition(" = ")[2].strip()
        path.write_text(path.read_text("utf-8").replace('"B3-2"', name), encoding="utf-8")
    return judge_under(store.load(path), [load("nec-2020")])


def report(text: str, judged: Judged, plan: Any = None) -> Document:
    firm = Firm(format=1, name=text, licence=text, contact=[text], sentences=[text])
    data = as_json(judged, look(judged.session, RECORD))
    return Document(data, "electrician" if plan else "client", plan, firm)


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> Document:
    return report(HARMLESS, typed_in(HARMLESS, tmp_path_factory.mktemp("plain")))


@pytest.fixture(scope="module", params=HOSTILE.values(), ids=list(HOSTILE))
def hostile(request: pytest.FixtureRequest, tmp_path_factory: pytest.TempPathFactory) -> Document:
    return report(request.param, typed_in(request.param, tmp_path_factory.mktemp("hostile")))


def shape(tokens: list[Token]) -> Iterator[tuple[str, str]]:
    """What Markdown is made into, without the words."""
    for token in tokens:
        if token.type != "text":
            yield token.type, token.tag
        yield from shape(token.children or [])


def markdown() -> MarkdownIt:
    """A reader that takes HTML, tables, struck-out text and bare links."""
    return MarkdownIt("gfm-like", {"html": True, "linkify": True})


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_no_text_changes_what_a_page_is_made_of(text: str, plain: Document, tmp_path: Path) -> None:
    hostile = report(text, typed_in(text, tmp_path))
    page = Page(as_html(hostile))
    assert page.tags == Page(as_html(plain)).tags
    assert page.still_open == []
    assert {(tag, *said) for tag, said in page.drawn} == {
        (tag, *said) for tag, said in Page(as_html(plain)).drawn
    }
    named = [set(said) for _, said in page.attributes]
    assert named == [set(said) for _, said in Page(as_html(plain)).attributes]
    assert list(shape(markdown().parse(as_markdown(hostile)))) == list(
        shape(markdown().parse(as_markdown(plain)))
    )


def test_no_character_steers_a_terminal_or_turns_the_reading(hostile: Document) -> None:
    for written in (as_html(hostile), as_markdown(hostile), as_csv([hostile.data])):
        steering = {each for each in written if unicodedata.category(each) in ("Cc", "Cf")}
        assert steering <= {"\n", "\r"}


@pytest.mark.parametrize("text", ["<b>x</b> & *y* [z](q) 1. #2", HOSTILE["long"]])
def test_what_was_typed_is_what_is_read(text: str, tmp_path: Path) -> None:
    hostile = report(text, typed_in(text, tmp_path))
    noted = f"{', '.join(hostile.notes[text])}: {text}"
    assert noted.startswith("dwelling, ")
    assert noted in Page(as_html(hostile)).text
    read = Page(markdown().render(as_markdown(hostile)).replace("<hr />", "")).text
    assert noted in read


@pytest.mark.parametrize("text", ["<script>x</script> | `y` - *z*"])
def test_the_sheets_of_the_electrician_are_as_harmless(text: str, tmp_path: Path) -> None:
    book = load("nec-2020")

    def planned(typed: str) -> Document:
        judged = typed_in(typed, tmp_path)
        plan = plan_json(made_plan(judged.session, [book], load_actions(book), None))
        return report(typed, judged, plan)

    hostile, harmless = planned(text), planned(HARMLESS)
    assert Page(as_html(hostile)).tags == Page(as_html(harmless)).tags
    assert list(shape(markdown().parse(as_markdown(hostile)))) == list(
        shape(markdown().parse(as_markdown(harmless)))
    )


@pytest.mark.parametrize("begins", ["=", "+", "-", "@", "\t=", "\r=", "＝"])  # noqa: RUF001
def test_a_spreadsheet_finds_no_formula(begins: str) -> None:
    finding = {
        **dict.fromkeys(("of", "severity", "kind", "topic", "rule", "why", "done_by"), ""),
        **dict.fromkeys(("place", "says", "confidence", "duty"), ""),
        **{name: [] for name in ("seen", "cure", "correct_within", "cite", "under", "code")},
        "subject": f"{begins}1+1",
        "danger": {"says": "", "first": ""},
    }
    data: dict[str, Any] = {"session": f"{begins}cmd", "date": None, "judged_before": []}
    data["deficiencies"] = [finding]
    row = next(csv.DictReader(io.StringIO(as_csv([data]), newline="")))
    for cell in (row["session"], row["subject"]):
        assert cell.startswith("'")
        assert cell[1] == begins.strip() or cell[1] == begins[-1]


FIRM = """format = 1
name = "Example Inspections"
licence = "HI-0000"
contact = ["Example Street, Exampleville"]
sentences = ["We look at what can be reached."]
"""


def asked(path: Path) -> list[str]:
    return ["replay", str(RECORD), "--format", "html", "--firm", str(path)]


def test_a_firm_puts_its_name_and_sentences_into_the_report(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    path = tmp_path / "firm.toml"
    path.write_text(FIRM, encoding="utf-8")
    assert main(asked(path)) == 0
    words = Page(capsys.readouterr().out).text
    assert "Example Inspections , licence HI-0000" in words.replace("Inspections,", "Inspections ,")
    assert "We look at what can be reached." in words


@pytest.mark.parametrize(
    ("was", "becomes", "told"),
    [
        ("licence =", "license =", ":3:1: the file cannot have 'license'; did you mean 'licence'?"),
        ('name = "Example Inspections"', "", ":1:1: the file lacks 'name'"),
        ('"HI-0000"', "7", ":3:1: 'licence': found 7; input should be a valid string"),
        ("format = 1", "format = 2", ":1:1: format is 2; this program reads format 1"),
        ("licence =", "licence", ":3:9: not valid TOML"),
    ],
)
def test_a_slip_in_the_file_of_the_firm_is_told_with_its_line(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], was: str, becomes: str, told: str
) -> None:
    path = tmp_path / "firm.toml"
    path.write_text(FIRM.replace(was, becomes), encoding="utf-8")
    assert main(asked(path)) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.startswith(f"{path}{told}")
    assert said.err.count("\n") == 1
