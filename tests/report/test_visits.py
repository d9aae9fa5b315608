"""The command `compare`: the demonstration house and small pairs, as a reader and a script see it."""

from __future__ import annotations

import csv
import datetime
import io
import itertools
import json
import os
import re
import shutil
from collections import Counter
from collections.abc import Callable
from pathlib import Path
from typing import Any

import pytest
from markdown_it import MarkdownIt

from tests.judge.two_visits import AGAIN, FIRST, house, outlet, recheck, seen_again
from tests.report.pages import Page, numbers
from tests.report.test_hostile import HARMLESS, HOSTILE, markdown, shape
from walkthrough.app.record import Record
from walkthrough.cli import main
from walkthrough.judge.visits import BECAME
from walkthrough.report.cautions import CAUTIONS, NOT_A_CERTIFICATE
from walkthrough.report.firm import Firm
from walkthrough.report.pages import as_html, as_markdown
from walkthrough.report.visits_json import COMPARES_RECORDS, COUNTS_EACH
from walkthrough.report.visits_page import MEANS, VisitsPage
from walkthrough.report.visits_text import COLUMNS, visits_csv, visits_text
from walkthrough.report.words import READERS
from walkthrough.survey import store
from walkthrough.survey.model import Recheck, Session

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
ON = datetime.date(2026, 12, 5)

Output = pytest.CaptureFixture[str]
Pair = tuple[Path, Path]


def settle(session: Session, which: Callable[[Recheck], bool], **told: Any) -> None:
    """What the re-inspection tells of some of the deficiencies."""
    session.rechecks = [
        each.model_copy(update=told) if which(each) else each for each in session.rechecks
    ]


@pytest.fixture(scope="module")
def larkspur(tmp_path_factory: pytest.TempPathFactory) -> Pair:
    """The demonstration house, re-inspected in part: a bit of everything that can come of it."""
    folder = tmp_path_factory.mktemp("larkspur")
    old, new = folder / "larkspur-house.toml", folder / "again.toml"
    shutil.copy(RECORD, old)
    record = Record.reinspect(old, new, ON)
    session = record.session
    settle(session, lambda each: each.rule == "polarity.reversed", outcome="corrected")
    b3_2, k_4 = session.outlet("B3-2"), session.outlet("K-4")
    assert b3_2 is not None
    assert k_4 is not None
    b3_2.readings["tester"] = "correct"
    settle(session, lambda each: each.subject == "K-4", outcome="not corrected")
    settle(session, lambda each: each.subject == "PR-1", outcome="not checked", reason="locked")
    papers: dict[str, Any] = {"receipt": "R-77", "work_by": "Example Electric", "work_on": ON}
    settle(
        session,
        lambda each: each.rule == "conductor.cu14-breaker",
        outcome="corrected",
        looked=False,
        **papers,
    )
    settle(session, lambda each: each.subject == "PR-2", outcome="corrected")
    record.change(session.dwelling, "")
    record.close()
    return old, new


def compare(capsys: Output, pair: Pair, *options: str, code: int = 0) -> str:
    assert main(["compare", *map(str, pair), *options]) == code
    return capsys.readouterr().out


def data_of(capsys: Output, pair: Pair, *options: str) -> dict[str, Any]:
    data: dict[str, Any] = json.loads(compare(capsys, pair, "--format", "json", *options))
    return data


def saved(folder: Path, old: Session, new: Session) -> Pair:
    paths = folder / "elm.toml", folder / "again.toml"
    for session, path in zip((old, new), paths, strict=True):
        store.save(session, path)
    return paths


def test_the_json_contract(larkspur: Pair, capsys: Output) -> None:
    data = data_of(capsys, larkspur)
    assert set(data) == {
        *("old", "new", "rulesets", "warnings", "notices", "cautions", "counts", "items"),
        *(
            "work",
            "other_rechecks",
            "moved",
            "only_old",
            "only_new",
            "undecided",
            "not_tested",
            "copied",
        ),
    }
    assert data["old"]["session"] == "Larkspur House"
    assert data["new"]["reinspects"] == data["old"]["file"] == "larkspur-house.toml"
    assert (data["old"]["date"], data["new"]["date"]) == ("2026-11-10", "2026-12-05")
    counted = Counter(each["became"] for each in data["items"])
    assert data["counts"]["became"] == {each: counted[each] for each in BECAME}
    for each in data["items"]:
        assert {
            *("became", "subject", "of", "place", "rule", "topic", "kind", "severity", "cite"),
            *("says", "confidence", "under", "reason", "was", "now", "waits_for", "changes"),
            *("new_there", "told", "contradiction", "state_kept", "why", "cure", "done_by"),
        } <= set(each)


def test_the_demonstration_house_re_inspected(larkspur: Pair, capsys: Output) -> None:
    data = data_of(capsys, larkspur)
    by = {(each["subject"], each["rule"]): each for each in data["items"]}
    assert len(by) == data["counts"]["deficiencies"] == 130
    corrected = by["B3-2", "polarity.reversed"]
    assert corrected["became"] == "corrected"
    assert corrected["told"]["outcome"] == "corrected"
    assert [(e["question"], e["was"], e["now"], e["tested"]) for e in corrected["changes"]] == [
        ("tester", "Hot and neutral reversed", "Correct", True)
    ]
    assert by["K-4", "gfci.kitchen-counter"]["became"] == "still open"
    assert by["PR-1", "aluminum.coalr"]["became"] == "not checked"
    assert by["PR-1", "aluminum.coalr"]["told"]["reason"] == "locked"
    papers = by["C11", "conductor.cu14-breaker"]
    assert papers["became"] == "corrected by papers alone"
    assert (papers["told"]["receipt"], papers["told"]["work_on"]) == ("R-77", "2026-12-05")
    against = by["PR-2", "aluminum.coalr"]
    assert against["became"] == "still open"
    assert "the rule still finds it" in against["contradiction"]
    assert data["counts"]["contradictions"] == 4
    assert data["warnings"] == []


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_each_form_tells_the_same(larkspur: Pair, capsys: Output, form: str) -> None:
    said = compare(capsys, larkspur, "--format", form)
    words = " ".join((Page(said).text if form == "html" else said).replace("\\", "").split())
    for told in (
        "B3-2, Bedroom 3, window wall (C1)",
        "tester: Hot and neutral reversed -> Correct (tested)",
        "re-check of 2026-12-05: corrected, by the papers alone, receipt or permit R-77, work by "
        "Example Electric, done 2026-12-05",
        "re-check of 2026-12-05: not checked, locked",
        "The re-check says corrected, but the rule still finds it by the answers that are recorded",
        "NEC 2020, dwelling units (nec-2020)",
        NOT_A_CERTIFICATE,
        COMPARES_RECORDS,
        COUNTS_EACH,
    ):
        assert told.replace("->", "-&gt;" if form == "md" else "->") in words
    plain = words.replace("! ", "")
    assert all(caution in plain for caution in CAUTIONS)
    for became, means in MEANS.items():
        assert became in words.lower()
        if form != "text":
            assert means in words


@pytest.mark.parametrize("reader", READERS)
def test_every_number_comes_from_the_data(larkspur: Pair, capsys: Output, reader: str) -> None:
    known = numbers(json.dumps(data_of(capsys, larkspur), ensure_ascii=False))
    page = compare(capsys, larkspur, "--format", "html", "--for", reader)
    assert numbers(Page(page).text) <= known
    assert numbers(compare(capsys, larkspur, "--format", "md", "--for", reader)) <= known
    assert numbers(compare(capsys, larkspur, "--format", "text")) <= known


@pytest.mark.parametrize("reader", READERS)
def test_every_deficiency_is_told(larkspur: Pair, capsys: Output, reader: str) -> None:
    words = Page(compare(capsys, larkspur, "--format", "html", "--for", reader)).text
    for each in data_of(capsys, larkspur)["items"]:
        for text in (each["says"], each["place"], *each["cite"]):
            assert " ".join(text.split()) in words


@pytest.mark.parametrize("reader", READERS)
def test_the_page_can_be_read_by_ear_and_needs_nothing(
    larkspur: Pair, capsys: Output, reader: str
) -> None:
    html = compare(capsys, larkspur, "--format", "html", "--for", reader)
    page = Page(html)
    assert page.still_open == []
    assert not {"script", "img", "link", "iframe", "form", "object"} & set(page.tags)
    assert not re.search(r"url\(|@import|https?:", html)
    assert page.tags.count("main") == page.tags.count("h1") == page.tags.count("title") == 1
    levels = [level for level, _ in page.headings]
    assert levels[0] == 1
    assert all(below - above <= 1 for above, below in itertools.pairwise(levels))
    assert all(text.strip() for _, text in page.headings)
    assert all(page.tables)
    assert all(said.get("scope") in ("col", "row") for tag, said in page.attributes if tag == "th")
    marked = [said["id"] for _, said in page.attributes if "id" in said]
    assert len(set(marked)) == len(marked)
    assert all(link[1:] in marked and text.strip() for link, text in page.links)


def test_the_landlord_reads_the_times_of_what_stands(larkspur: Pair, capsys: Output) -> None:
    options = ("--ruleset", "hud-rental", "--for", "landlord", "--format", "html")
    words = Page(compare(capsys, larkspur, *options)).text
    times = words[words.rindex("Times for the correction") : words.rindex("Re-checks of what")]
    assert "24 hours" in times
    assert "(not checked)" in times
    assert "B3-2" not in times


def test_the_electrician_reads_why(larkspur: Pair, capsys: Output) -> None:
    words = Page(compare(capsys, larkspur, "--format", "html", "--for", "electrician")).text
    assert "why: applies: point: Receptacle" in words


def test_the_table_has_a_row_for_each(larkspur: Pair, capsys: Output) -> None:
    data = data_of(capsys, larkspur)
    rows = list(csv.DictReader(io.StringIO(compare(capsys, larkspur, "--format", "csv"))))
    assert list(rows[0]) == list(COLUMNS)
    assert [(row["subject"], row["rule"], row["became"]) for row in rows] == [
        (each["subject"], each["rule"], each["became"]) for each in data["items"]
    ]
    papers = next(row for row in rows if row["became"] == "corrected by papers alone")
    assert (papers["receipt"], papers["work_by"], papers["work_on"], papers["looked"]) == (
        "R-77",
        "Example Electric",
        "2026-12-05",
        "no",
    )
    assert (papers["was"], papers["now"]) == ("deficient: defect, hazard",) * 2


def test_several_rulesets_each_say_what_stands_under_them(larkspur: Pair, capsys: Output) -> None:
    options = ("--ruleset", "nec-2020", "--ruleset", "nec-2023")
    data = data_of(capsys, larkspur, *options)
    under = {tuple(e["under"]) for e in data["items"] if e["rule"] == "polarity.reversed"}
    assert under == {("nec-2020", "nec-2023")}
    assert {tuple(e["under"]) for e in data["items"] if e["subject"] == "K-7"} >= {("nec-2023",)}
    words = Page(compare(capsys, larkspur, *options, "--format", "html")).text
    assert "(defect, hazard; under nec-2020; nec-2023)" in words
    assert data["warnings"] == [
        "The old record was judged by nec-2020; here both are judged by nec-2020, nec-2023.",
        "The new record was judged by nec-2020; here both are judged by nec-2020, nec-2023.",
    ]


def test_both_are_judged_by_the_ruleset_of_the_new_record(tmp_path: Path, capsys: Output) -> None:
    old, new = house(outlet("B-1")), house(outlet("B-1", "reversed"), day=AGAIN)
    new.judged_by.ruleset = "nec-2023"
    data = data_of(capsys, saved(tmp_path, old, new))
    assert [each["id"] for each in data["rulesets"]] == ["nec-2023"]
    assert data["warnings"] == [
        "The old record was judged by nec-2020; here both are judged by nec-2023."
    ]


def test_what_is_in_one_record_only_or_moved_is_listed(tmp_path: Path, capsys: Output) -> None:
    old, new = house(outlet("B-1"), outlet("B-2")), house(outlet("B-1"), outlet("B-3"), day=AGAIN)
    hall = new.rooms[0].model_copy(update={"id": "hall", "name": "Hall"}, deep=True)
    new.rooms.append(hall)
    new.outlets[0].room = "hall"
    pair = saved(tmp_path, old, new)
    data = data_of(capsys, pair)
    assert [each["subject"] for each in data["only_old"]] == ["B-2"]
    assert [each["subject"] for each in data["only_new"]] == ["hall", "B-3"]
    assert [(e["subject"], e["question"], e["was"], e["now"]) for e in data["moved"]] == [
        ("B-1", "room", "bedroom", "hall")
    ]
    words = " ".join(compare(capsys, pair).split())
    assert "Only in the old record: 1" in words
    assert "- outlet B-2, Bedroom" in words
    assert "- outlet B-1: room: bedroom -> hall" in words


def test_where_nothing_stands_the_table_has_a_row_that_says_so(
    tmp_path: Path, capsys: Output
) -> None:
    pair = saved(tmp_path, house(outlet("B-1")), seen_again(outlet("B-1")))
    (row,) = csv.DictReader(io.StringIO(compare(capsys, pair, "--format", "csv")))
    assert (row["old"], row["became"], row["rule"]) == ("Elm", "", "")
    assert row["says"] == "No deficiency stands in either record"


@pytest.fixture
def garage(tmp_path: Path) -> Pair:
    """A garage: the first outlet got a GFCI that protects the next one; the breaker is an AFCI now.

    The last outlet hangs on another way and is protected by nothing that works.
    """
    old, new = (
        house(*(outlet(name) for name in ("G-1", "G-2", "G-3")), title="Elm", day=day)
        for day in (FIRST, AGAIN)
    )
    for session in (old, new):
        session.rooms[0].answers.update(place=["garage"])
        for each, above in zip(session.outlets, ("panel", "G-1", "panel"), strict=True):
            each.fed_from, each.order_known_by = above, "opened"
    old.circuits[0].answers["breaker"] = "standard"
    old.circuits[0].readings.clear()
    new.outlets[0].answers["device"] = "gfci"
    new.outlets[0].readings["test_result"] = "trips"
    new.outlets[1].side = "load"
    return saved(tmp_path, old, new)


def test_the_old_and_the_new_device_are_told_with_what_went_with_it(
    garage: Pair, capsys: Output
) -> None:
    data = data_of(capsys, garage)
    circuit, device = data["work"]
    assert (circuit["of"], circuit["subject"]) == ("circuit", "C1")
    assert [(each["was"], each["now"]) for each in circuit["changes"]] == [
        ("Standard breaker", "AFCI breaker, combination type")
    ]
    # The breaker feeds all of them, but it is the device that gives ground-fault protection.
    assert [each for each in circuit["corrected"] if each["rule"] == "gfci.garage"] == []
    assert (device["subject"], device["changes"][0]["now"]) == ("G-1", "GFCI")
    gone = [each["subject"] for each in device["corrected"] if each["rule"] == "gfci.garage"]
    assert gone == ["G-1", "G-2"]


@pytest.mark.parametrize("form", ["text", "md", "html"])
def test_the_reader_sees_it(garage: Pair, capsys: Output, form: str) -> None:
    said = compare(capsys, garage, "--format", form)
    words = " ".join((Page(said).text if form == "html" else said.replace("|", " ")).split())
    part = words[words.rindex("What is another one now") :]
    assert {
        "text": "device: Plain, no buttons -> GFCI",
        "md": "What kind of receptacle or device is it? Plain, no buttons, now GFCI",
        "html": "What kind of receptacle or device is it? Plain, no buttons \N{RIGHTWARDS ARROW} GFCI",
    }[form] in part
    assert "G-1, G-2: Garage receptacle without GFCI protection." in part


def test_different_dwellings_are_a_warning_and_no_refusal(tmp_path: Path, capsys: Output) -> None:
    old, new = house(outlet("B-1")), house(outlet("B-1"), title="Oak", day=AGAIN)
    [told] = data_of(capsys, saved(tmp_path, old, new))["warnings"]
    assert "different titles, 'Elm' and 'Oak': they may be of different dwellings" in told
    new.panels[0].id, new.circuits[0].id, new.rooms[0].id = "Q1", "D1", "den"
    new.circuits[0].panel = "Q1"
    new.outlets[0].id, new.outlets[0].room, new.outlets[0].circuit = "D-1", "den", "D1"
    pair = saved(tmp_path, old, new)
    [told] = data_of(capsys, pair)["warnings"]
    assert told.startswith("The two records share no panel, circuit, room or outlet")
    assert "WARNING: The two records share no panel" in compare(capsys, pair)
    assert "Warning: The two records share no panel" in compare(capsys, pair, "--format", "md")
    assert "The two records share no panel" in compare(capsys, pair, "--format", "html")


def test_records_in_the_wrong_order_are_a_warning(larkspur: Pair, capsys: Output) -> None:
    told = data_of(capsys, (larkspur[1], larkspur[0]))["warnings"]
    assert any("before the old one on 2026-12-05: OLD and NEW may be exchanged" in e for e in told)
    assert any("re-inspects larkspur-house.toml itself" in each for each in told)


def test_a_re_inspection_of_another_record_is_a_warning(tmp_path: Path, capsys: Output) -> None:
    again = seen_again(outlet("B-1"), rechecks=[recheck("B-1", "polarity.reversed", "corrected")])
    again.reinspects = "spring.toml"
    data = data_of(capsys, saved(tmp_path, house(outlet("B-1")), again))
    assert data["warnings"] == [
        "The new record says that it re-inspects spring.toml, not elm.toml."
    ]
    # A re-check of what the rules do not find in the old record is told all the same.
    assert [each["rule"] for each in data["other_rechecks"]] == ["polarity.reversed"]


@pytest.mark.parametrize(
    ("tester", "fail_on", "code"),
    [
        ("reversed", "defect", 1),
        ("reversed", "gap", 1),
        ("correct", "defect", 0),
        ("correct", "note", 0),
    ],
)
def test_fail_on_looks_at_what_is_not_shown_to_be_corrected(
    tmp_path: Path, capsys: Output, tester: str, fail_on: str, code: int
) -> None:
    pair = saved(tmp_path, house(outlet("B-1", "reversed")), house(outlet("B-1", tester)))
    compare(capsys, pair, "--fail-on", fail_on, code=code)


def test_it_writes_to_a_file_and_never_over_a_record(larkspur: Pair, capsys: Output) -> None:
    old, new = larkspur
    out = new.parent / "report.csv"
    assert compare(capsys, larkspur, "--format", "csv", "--out", str(out)) == ""
    written = out.read_bytes()
    assert written.count(b"\r\n") == written.count(b"\n") == 131
    before = old.read_bytes()
    assert main(["compare", str(old), str(new), "--out", str(old)]) == 2
    assert old.read_bytes() == before
    assert f"{old}: is the session" in capsys.readouterr().err


def refused(capsys: Output, *arguments: str) -> list[str]:
    assert main(["compare", *arguments]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    return said.err.splitlines()


def test_the_same_file_twice_is_refused(tmp_path: Path, capsys: Output) -> None:
    link = tmp_path / "link.toml"
    link.symlink_to(RECORD)
    told = "is OLD as well as NEW; expected two records"
    assert refused(capsys, str(RECORD), str(RECORD)) == [f"{RECORD}: {told}"]
    assert refused(capsys, str(RECORD), str(link)) == [f"{link}: {told}"]


def test_slips_of_both_records_are_told_with_their_lines(tmp_path: Path, capsys: Output) -> None:
    old, new = saved(tmp_path, house(outlet("B-1")), house(outlet("B-1")))
    old.write_text(old.read_text().replace("format = 1", "format = 2"))
    new.write_text(new.read_text().replace('panel = "P1"', 'panel = "P9"'))
    [newer, missing] = sorted(refused(capsys, str(old), str(new)), reverse=True)
    assert newer.startswith(f"{old}:1:")
    assert "newer" in newer
    assert re.match(rf"{re.escape(str(new))}:\d+:\d+: .*P9", missing)


def test_an_answer_that_does_not_fit_is_told_with_its_line(tmp_path: Path, capsys: Output) -> None:
    old, new = saved(tmp_path, house(outlet("B-1")), house(outlet("B-1")))
    for path in (old, new):
        path.write_text(path.read_text().replace('"plain"', '"plane"'))
    told = refused(capsys, str(old), str(new))
    assert [re.sub(r":\d+:\d+: .*", "", each) for each in told] == sorted([str(old), str(new)])
    assert all("plane" in each for each in told)


def test_what_is_no_record_is_refused(tmp_path: Path, capsys: Output) -> None:
    gone = tmp_path / "gone.toml"
    assert refused(capsys, str(RECORD), str(gone)) == [
        f"{gone}: cannot be read: No such file or directory"
    ]
    [told] = refused(capsys, str(tmp_path), str(RECORD))
    assert told == f"{tmp_path}: cannot be read: it is not a regular file"


@pytest.mark.parametrize(
    ("options", "told"),
    [
        (["--for", "client"], "--for: makes sense only with --format md, html or pdf"),
        (
            ["--format", "csv", "--firm", "x"],
            "--firm: makes sense only with --format md, html or pdf",
        ),
        (
            ["--format", "pdf"],
            "--format pdf: expected --out FILE, as a PDF is no text for a screen",
        ),
        (["--ruleset", ""], "--ruleset: names nothing; expected the id of a ruleset"),
        (["--format", "htm"], "compare: --format: found 'htm'; did you mean 'html'?"),
        (["--fail-on", "defects"], "compare: --fail-on: found 'defects'; did you mean 'defect'?"),
    ],
)
def test_an_option_that_says_nothing_is_refused(
    larkspur: Pair, capsys: Output, options: list[str], told: str
) -> None:
    assert refused(capsys, *map(str, larkspur), *options) == [told]


def test_a_ruleset_that_is_not_there_is_told_with_its_line(tmp_path: Path, capsys: Output) -> None:
    old, new = saved(tmp_path, house(outlet("B-1")), house(outlet("B-1")))
    new.write_text(new.read_text().replace('"nec-2020"', '"nec-2032"'))
    [told] = refused(capsys, str(old), str(new))
    assert told.startswith(f"{new}:5:")
    assert "'nec-2032', which is not there" in told


def typed_in(text: str, folder: Path) -> VisitsPage:
    """Two records with a text in every field that takes one, compared."""
    told: dict[str, Any] = {"receipt": text, "work_by": text, "looked": False, "reason": text}
    rechecks = [
        recheck("B-1", "polarity.reversed", "corrected", **told),
        recheck("B-2", "polarity.reversed", "not checked", reason=text),
        recheck("B-9", text, "corrected", says=text, **told),
    ]
    old = house(outlet("B-1", "reversed"), outlet("B-2", "reversed"), outlet("B-3"))
    again = seen_again(outlet("B-1"), outlet("B-2", "reversed"), outlet("B-4"), rechecks=rechecks)
    again.rechecks[2].new = [text]
    for session in (old, again):
        session.title = session.rooms[0].name = session.circuits[0].serves = text
        session.panels[0].name = text + ("" if session is old else "2")
        session.visits[0].by = text
        for each in session.outlets:
            each.at = text
    again.reinspects = text
    paths = saved(folder, old, again)
    out = folder / "out.json"
    assert main(["compare", *map(str, paths), "--format", "json", "--out", str(out)]) == 0
    firm = Firm(format=1, name=text, licence=text, contact=[text], sentences=[text])
    return VisitsPage(json.loads(out.read_text("utf-8")), "landlord", firm)


@pytest.fixture(scope="module")
def plain(tmp_path_factory: pytest.TempPathFactory) -> VisitsPage:
    return typed_in(HARMLESS, tmp_path_factory.mktemp("plain"))


@pytest.mark.parametrize("text", HOSTILE.values(), ids=HOSTILE)
def test_no_text_changes_what_a_comparison_is_made_of(
    text: str, plain: VisitsPage, tmp_path: Path
) -> None:
    hostile = typed_in(text, tmp_path)
    page, other = Page(as_html(hostile)), Page(as_html(plain))
    assert page.tags == other.tags
    assert page.still_open == []
    assert [set(said) for _, said in page.attributes] == [set(s) for _, s in other.attributes]
    assert list(shape(markdown().parse(as_markdown(hostile)))) == list(
        shape(markdown().parse(as_markdown(plain)))
    )
    written = (as_html(hostile), as_markdown(hostile), visits_csv(hostile.data))
    for each in (*written, visits_text(hostile.data)):
        assert not set(each) & set("\x1b\x07\u202e\u200f\u2066\t")
    for row in csv.reader(io.StringIO(visits_csv(hostile.data), newline="")):
        assert not any(cell.startswith(tuple("=+-@\t\r")) for cell in row)


def test_what_was_typed_is_what_is_read(tmp_path: Path) -> None:
    text = "<b>x</b> & *y* [z](q) 1. #2"
    page = typed_in(text, tmp_path)
    assert f"work by {text}" in Page(as_html(page)).text
    rendered: str = MarkdownIt("gfm-like", {"html": True}).render(as_markdown(page))
    assert f"work by {text}" in Page(rendered.replace("<hr />", "")).text


def test_a_long_name_leaves_room_for_the_text(tmp_path: Path) -> None:
    page = typed_in(HARMLESS, tmp_path)
    data: dict[str, Any] = json.loads(json.dumps(page.data))
    open_question = {"subject": "w" * 10_000, "question": "tester", "ask": "What is shown? " * 9}
    data["undecided"] = [{"subject": "w" * 10_000, "questions": [open_question]}]
    assert len(visits_text(data)) < 40_000


def test_the_name_of_a_file_may_be_any_bytes(larkspur: Pair, tmp_path: Path) -> None:
    old, new = larkspur
    odd = tmp_path / os.fsdecode(b"old\xff\x1b[2J.toml")
    shutil.copy(old, odd)
    for form in ("text", "json", "csv", "md", "html"):
        out = tmp_path / f"out.{form}"
        assert main(["compare", str(odd), str(new), "--format", form, "--out", str(out)]) == 0
        assert b"\x1b" not in out.read_bytes()
