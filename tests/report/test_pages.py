"""The pages for client, landlord and electrician hold what the judged data holds, and say it well."""

from __future__ import annotations

import csv
import datetime
import functools
import io
import itertools
import json
import re
from collections import Counter
from dataclasses import replace
from html import unescape
from pathlib import Path
from typing import Any

import pytest

from tests.report.homes import homes, record
from tests.report.pages import Page, numbers
from walkthrough.cli import main
from walkthrough.cli_plan import made_plan
from walkthrough.judge.under import judge_under
from walkthrough.remedy.files import remedy_file
from walkthrough.remedy.load import load_actions
from walkthrough.report.as_csv import COLUMNS, as_csv
from walkthrough.report.as_json import as_json
from walkthrough.report.as_text import as_text
from walkthrough.report.document import Document
from walkthrough.report.pages import as_html, as_markdown
from walkthrough.report.plan_json import plan_json
from walkthrough.report.words import READERS
from walkthrough.rulebook.files import ruleset_files
from walkthrough.rulebook.load import load
from walkthrough.survey import store
from walkthrough.survey.model import Recheck

__all__ = ["homes"]

ROOT = Path(__file__).resolve().parents[2]
RECORD = ROOT / "sessions" / "larkspur-house.toml"
FINDINGS = "Findings Where a section was not confirmed"
"""The heading, and not the entry of the contents."""
TEMPLATES = ROOT / "walkthrough" / "report" / "templates"

DRAWN = {"title", "desc", "rect", "path", "circle", "text"}
"""Plain shapes: nothing in a drawing loads, runs or leads anywhere."""

Output = pytest.CaptureFixture[str]

KEPT = """
[[finding]]
subject = "R-1"
of = "outlet"
rule = "town.reversed"
topic = "device"
kind = "defect"
severity = "hazard"
cite = ["Town 1"]
says = "Tested as wired wrong."
confidence = "memory"
"""


@functools.cache
def house() -> tuple[dict[str, Any], dict[str, Any]]:
    """The demonstration house as `replay` and `plan` tell it to other programs."""
    session, book = store.load(RECORD), load("nec-2020")
    plan = plan_json(made_plan(session, [book], load_actions(book), None))
    return as_json(judge_under(session, [book])), plan


def document(reader: str) -> Document:
    data, plan = house()
    return Document(data, reader, None if reader == "client" else plan)


@functools.cache
def html(reader: str) -> str:
    return as_html(document(reader))


@functools.cache
def page(reader: str) -> Page:
    return Page(html(reader))


def sections(reader: str) -> list[str]:
    return [text for level, text in page(reader).headings if level == 2]


def test_the_client_reads_what_matters_first() -> None:
    assert sections("client") == [
        "In short",
        "What this is and is not",
        "Words of the trade",
        "Rooms at a glance",
        "Findings",
        "Reset map",
        "Ask the authority having jurisdiction",
        "Limits: not tested, not reached",
        "Still open",
        "Notes and photos",
        "The rules",
    ]
    words = page("client").text
    assert words.index("It is not a code-compliance inspection") < words.index("In short 122")
    now = (
        "Tested as hot and neutral reversed. B3-2, Bedroom 3, window wall (C1). "
        "Danger: wired wrong, or protection that has failed. What to do: see finding 4"
    )
    assert now in words
    first = words.index("Then comes what is serious, in the order of the findings.")
    assert "Circuits are switched at: P1, Panel in the garage." in words
    assert (
        words.index(now)
        < first
        < words.index("No costs stand in this report")
        < words.index("Rooms at a glance How much")
    )
    says = "Tested as hot and neutral reversed. B3-2, Bedroom 3, window wall (C1) Defect. Recorded:"
    assert f"{says} What does the plug-in tester show? Hot and neutral reversed (tested)." in words
    assert "What to do: open this box, and the one before it if need be, with the circuit" in words
    assert "section 200.11 [read in one source: verify in the code book]" in words


@pytest.mark.parametrize("form", ["html", "md"])
def test_the_client_reads_what_it_may_cost_where_prices_are_named(
    form: str, capsys: pytest.CaptureFixture[str]
) -> None:
    prices = str(remedy_file("prices-demo.toml"))
    assert main(["replay", str(RECORD), "--format", form, "--prices", prices]) == 0
    told = unescape(capsys.readouterr().out)
    words = " ".join(re.sub(r"<[^>]+>|[*#\\]", " ", told).split())
    begins = words.index("What the correction may cost A calculation from what is recorded")
    assert f"{house()[1]['total']:.2f} USD; the list gives no range." in words[begins:]
    assert words.index("what is serious, in the order of the findings.") < begins
    assert "No costs stand in this report" not in words
    in_it = words[words.rindex("What the correction costs") :]
    for part in house()[1]["circuits"]:
        for action in part["actions"]:
            assert f"{action['at']}: {action['does']}" in in_it


def test_what_the_plan_leaves_open_is_named_beside_its_sum() -> None:
    """Marks and arc-fault protection that no work had to bring are none of the scope."""
    data, plan = house()
    cleared = {(each["of"], each["subject"], each["rule"]) for each in plan["cleared"]}
    left = {
        each["number"]
        for each in data["deficiencies"]
        if each["kind"] != "note"
        and each["counts_with"] in ("", each["rule"])
        and (each["of"], each["subject"], each["rule"]) not in cleared
    }
    assert left
    words = page("landlord").text
    told = re.search(r"or not at all of their places: findings ([\d, ]+)\.", words)
    assert told
    assert {int(each) for each in told[1].split(", ")} == left


def test_the_landlord_reads_times_costs_and_has_a_log_to_fill_in() -> None:
    assert {"Times for the correction", "What the correction costs", "Log of TESTs"} <= set(
        sections("landlord")
    )
    words = page("landlord").text
    assert "None of the rules by which the record was judged sets a time." in words
    assert f"{house()[1]['total']:.2f} USD; the list gives no range." in words
    assert "No costs stand in this report" not in words
    assert "where a programme sets a time" not in words
    log = words[words.index("Devices and breakers with a TEST button") :]
    assert "K-4, Kitchen, counter right of sink GFCI Button pops, own face stays LIVE" in log


def test_the_tenants_are_told_what_not_to_use_and_what_will_have_no_power() -> None:
    data, plan = house()
    words = page("landlord").text
    notice = words[
        words.rindex("Notice to the people who live here") : words.rindex("Log of TESTs")
    ]
    found = data["deficiencies"]
    dangerous = {each["place"] for each in found if each["severity"] == "hazard"}
    assert {each["place"] for each in found if f" {each['place']} " in notice} == dangerous
    worked = {name for part in plan["circuits"] if part["actions"] for name in part["circuits"]}
    assert worked
    for circuit in data["circuits"]:
        assert (f"{circuit['serves']} ({circuit['id']})" in notice) == (circuit["id"] in worked)
    assert "medical or alarm equipment" in notice


def test_the_electrician_reads_circuit_by_circuit() -> None:
    data, plan = house()
    circuits = [text for level, text in page("electrician").headings if level == 3]
    for each in data["circuits"]:
        assert f"{each['id']}: {each['serves']}" in circuits
    words = page("electrician").text
    assert "B2-2 hangs on B2-1; B3-1 hangs on B2-1 (inferred);" in words
    assert "B3-2 Bedroom 3, window wall B3-1 (inferred) Plain, no buttons" in words
    for line in plan["shopping_list"]:
        assert line["what"] in page("electrician").text
    for slot in plan["panel_schedule"]:
        assert slot["after"] in page("electrician").text


def test_each_ruleset_keeps_its_own_mark_and_grade() -> None:
    """Another ruleset may have the same rule in the same words, and be less sure of it."""
    session, book = store.load(RECORD), load("nec-2020")
    rule = book.rules["polarity.reversed"]
    declared = rule.declared.model_copy(update={"confidence": "disputed", "kind": "gap"})
    other = replace(
        book, id="elsewhere", rules={**book.rules, rule.id: replace(rule, declared=declared)}
    )
    judged = judge_under(session, [book, other])
    for words in (
        " ".join(as_text(judged).split()),
        *(Page(as_html(Document(as_json(judged), each))).text for each in READERS),
    ):
        assert "section 200.11 [read in one source: verify in the code book]" in words
        assert "section 200.11 [disputed: ask the authority having jurisdiction]" in words
    lines = as_markdown(Document(as_json(judged), "electrician")).splitlines()
    says = "Tested as hot and neutral reversed."
    here = [each for each in lines if each.startswith("- !!") and says in each]
    assert ["(defect)" in each for each in here] == [True, False]
    assert here[0].endswith("under nec-2020")
    assert "(gap)" in here[1]
    assert here[1].endswith("under elsewhere; counted with polarity.reversed under nec-2020")


def test_all_work_of_the_plan_stands_under_its_circuit_once() -> None:
    planned = [action for part in house()[1]["circuits"] for action in part["actions"]]
    sheets = document("electrician").circuits
    told = [action for each in sheets for group in each.work for action in group.places]
    assert sorted(map(str, told)) == sorted(map(str, planned))


def test_every_finding_stands_under_its_circuit_once() -> None:
    sheets = document("electrician").circuits
    told = [finding for each in sheets for group in each.groups for finding in group.places]
    assert sorted(map(str, told)) == sorted(map(str, house()[0]["deficiencies"]))


@pytest.mark.parametrize("reader", READERS)
def test_every_number_comes_from_the_judged_data(reader: str) -> None:
    known = numbers(json.dumps(house(), ensure_ascii=False))
    assert numbers(page(reader).text) <= known
    assert numbers(as_markdown(document(reader))) <= known


@pytest.mark.parametrize("reader", READERS)
def test_the_counts_are_those_of_the_data(reader: str) -> None:
    data, words = house()[0], page(reader).text
    counting = [each for each in data["deficiencies"] if not each["counts_with"]]
    found = Counter(each["severity"] for each in counting)
    kinds = Counter(each["kind"] for each in counting)
    assert f"{len(counting)} findings, and how grave they are" in words
    assert f"{len(data['deficiencies'])} are told: what needs the same at one place" in words
    assert f"!!! HAZARD - shock or fire danger now {found['hazard']} !! SERIOUS" in words
    assert f"SERIOUS - may become a danger {found['serious']} ! UPGRADE" in words
    assert f"UPGRADE - less than is asked {found['upgrade']} i INFORMATION" in words
    assert (
        f"INFORMATION {found['info']} ? NOT REACHED, OR NOT FULLY TESTED - more may be wrong "
        f"there {len(data['not_tested'])}" in words
    )
    assert f"{kinds['defect']} are defects" in words
    assert f"{kinds['gap']} are gaps" in words
    assert f"{kinds['note']} are notes" in words


def test_the_client_reads_questions_and_no_names_of_fields() -> None:
    words = page("client").text
    assert "Is a tamper-resistant mark (TR) on the face? no." in words
    seen = [seen for each in house()[0]["deficiencies"] for seen in each["seen"]]
    for each in seen:
        assert f" {each['question'].replace('_', ' ')}: {each['answer']}" not in words
    decided = [each for each in seen if each["decided"]]
    assert decided
    for each in decided:
        assert f"{each['ask']} {each['answer']}" in words


def test_every_test_is_told_once_with_all_places() -> None:
    """Where it decided nothing it stands in the table at the end alone."""
    words = page("client").text
    table = words[words.index("What was tested where something was found") :]
    for each in house()[0]["deficiencies"]:
        for seen in (seen for seen in each["seen"] if seen["tested"]):
            at = table[table.index(f"{seen['ask']} {seen['answer']} ") :]
            assert each["subject"] in at[: at.index("?", len(seen["ask"]))]


def test_one_reason_and_cure_is_told_once_for_all_rules_that_have_it() -> None:
    for grave in document("client").by_severity:
        said = [(block.common["why"], block.common["remedy"]) for block in grave.blocks]
        alone = [(group.common["why"], group.common["remedy"]) for group in grave.groups]
        assert set(map(str, said)) == set(map(str, alone))
        if grave.severity == "upgrade":
            assert len(said) < len(alone)


def test_what_was_found_at_circuits_and_panels_stands_beside_the_rooms() -> None:
    data, words = house()[0], page("client").text
    counted = Counter[str]()
    for each in (*data["rooms"], *data["besides_rooms"]):
        counted.update(each["by_severity"])
    assert counted == data["counts"]["by_severity"]
    at = [each["subject"] for each in data["deficiencies"] if each["of"] == "circuit"]
    assert at
    glance = words[words.index("Rooms at a glance") : words.index(FINDINGS)]
    assert f"Circuits 1 4 1 {', '.join(dict.fromkeys(at))} Panels 1 P1" in glance
    assert "Circuits: 1 hazard, 4 serious, 1 info (at C11," in html("client")


def test_what_two_rulesets_tell_in_other_words_counts_once() -> None:
    session, book = store.load(RECORD), load("nec-2020")
    rule = book.rules["polarity.reversed"]
    declared = rule.declared.model_copy(update={"cite": ("999.9",), "severity": "hazard"})
    other = replace(
        book, id="elsewhere", rules={**book.rules, rule.id: replace(rule, declared=declared)}
    )
    data = as_json(judge_under(session, [book, other]))
    alone = house()[0]["counts"]
    assert len(data["deficiencies"]) == alone["told"] + 1 == data["counts"]["told"]
    for name in ("deficiencies", "by_severity", "by_kind"):
        assert data["counts"][name] == alone[name]
    assert sum(sum(each["by_severity"].values()) for each in data["rooms"]) == sum(
        sum(each["by_severity"].values()) for each in house()[0]["rooms"]
    )
    judged = judge_under(session, [book, other])
    for words in (
        Page(as_html(Document(data, "client"))).text,
        as_markdown(Document(data, "client")),
        " ".join(as_text(judged).split()),
    ):
        assert f"{alone['deficiencies']} findings" in words
        assert f"{data['counts']['told']} are told: what needs the same at one place" in words
        assert "section 200.11" in words
        assert "section 999.9" in words


@pytest.mark.parametrize("reader", ["client", "landlord"])
def test_every_finding_is_told(reader: str) -> None:
    words = page(reader).text
    for each in house()[0]["deficiencies"]:
        for text in (each["says"], each["place"], each["why"], *each["cite"]):
            assert " ".join(text.split()) in words
    for each in house()[0]["notes"]:
        with_it = document(reader).notes[each["note"]]
        assert each["subject"] in with_it
        assert f"{', '.join(with_it)}: {each['note']}" in words


@pytest.mark.parametrize("reader", READERS)
def test_the_page_needs_nothing_from_elsewhere(reader: str) -> None:
    assert not {"script", "img", "link", "iframe", "form", "object"} & set(page(reader).tags)
    assert {tag for tag, _ in page(reader).drawn} <= DRAWN
    for _, attributes in [*page(reader).attributes, *page(reader).drawn]:
        assert not {"src", "onclick", "onload", "style", "xlink:href"} & set(attributes)
    assert all(link.startswith("#") for link, _ in page(reader).links)
    assert not re.search(r"url\(|@import|https?:", html(reader))


@pytest.mark.parametrize("reader", READERS)
def test_the_page_can_be_read_by_ear(reader: str) -> None:
    here = page(reader)
    assert here.still_open == []
    assert ("html", {"lang": "en"}) in here.attributes
    assert here.tags.count("main") == here.tags.count("h1") == here.tags.count("title") == 1
    # Each picture has a name, and is told in words.
    pictures = [said for tag, said in here.attributes if tag == "svg"]
    assert pictures
    assert [tag for tag, _ in here.drawn].count("title") == len(pictures)
    assert [tag for tag, _ in here.drawn].count("desc") == len(pictures)
    for said in pictures:
        assert said["role"] == "img"
        assert said["aria-labelledby"]
        assert said["aria-describedby"]
    levels = [level for level, _ in here.headings]
    assert levels[0] == 1
    assert all(below - above <= 1 for above, below in itertools.pairwise(levels))
    assert all(text.strip() for _, text in here.headings)
    assert all(here.tables)
    assert all(said.get("scope") in ("col", "row") for tag, said in here.attributes if tag == "th")
    marked = [said["id"] for _, said in [*here.attributes, *here.drawn] if "id" in said]
    named = [said[name] for said in pictures for name in ("aria-labelledby", "aria-describedby")]
    assert set(named) <= set(marked)
    assert len(set(marked)) == len(marked)
    assert all(link[1:] in marked and text.strip() for link, text in here.links)


def test_how_grave_it_is_stands_in_words_and_in_a_sign() -> None:
    headings = [text for level, text in page("client").headings if level == 3]
    assert "!!! HAZARD - shock or fire danger now" in headings
    assert "! UPGRADE - less than is asked" in headings


def test_every_colour_of_letters_stands_out_from_the_page() -> None:
    """Source of the ratio and of how it is worked out: WCAG 2.1, success criterion 1.4.3."""
    style = (TEMPLATES / "style.css").read_text(encoding="utf-8")
    inks = re.findall(r"(?:--ink|--soft|[ {]color): (#[0-9a-f]{6})", style)
    shade = re.findall(r"--shade: (#[0-9a-f]{6})", style)[0]
    assert len(inks) == 3
    for ink in inks:
        for ground in ("#ffffff", shade):
            assert (light(ground) + 0.05) / (light(ink) + 0.05) >= 4.5


def light(colour: str) -> float:
    parts = [int(colour[at : at + 2], 16) / 255 for at in (1, 3, 5)]
    red, green, blue = (c / 12.92 if c <= 0.03928 else ((c + 0.055) / 1.055) ** 2.4 for c in parts)
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def test_the_table_has_a_row_for_each_finding() -> None:
    data, _ = house()
    rows = list(csv.DictReader(io.StringIO(as_csv([data]), newline="")))
    assert list(rows[0]) == list(COLUMNS)
    assert [(row["subject"], row["rule"], row["says"]) for row in rows] == [
        (each["subject"], each["rule"], each["says"]) for each in data["deficiencies"]
    ]
    assert [row["cite"] for row in rows] == ["; ".join(e["cite"]) for e in data["deficiencies"]]


def test_a_record_without_findings_has_a_row_that_says_so(homes: Path, capsys: Output) -> None:
    sound = homes / "sound.toml"
    sound.write_text(record("Sound House", 2001, "town", ("correct", "")), encoding="utf-8")
    asked = ["replay", str(homes / "cedar.toml"), str(sound), "--format", "csv"]
    assert main(asked) == 0
    cedar, row = csv.DictReader(io.StringIO(capsys.readouterr().out))
    assert (cedar["session"], cedar["severity"]) == ("Cedar Cottage", "hazard")
    assert (row["session"], row["date"], row["under"]) == (
        "Sound House",
        "2026-11-02",
        "our-two-rules",
    )
    assert (row["severity"], row["kind"], row["rule"]) == ("", "", "")
    assert row["says"] == "No findings (not tested or not reached: 1; open: 1)"


def test_what_went_is_in_the_table_also_where_nothing_is_left(homes: Path, capsys: Output) -> None:
    told = (homes / "cedar.toml").read_text(encoding="utf-8").replace('"reversed"', '"correct"')
    named = 'ruleset = "our-two-rules"\n'
    told = told.replace(named, f'{named}fingerprint = "sha256:{"0" * 64}"\n')
    (homes / "mended.toml").write_text(told + KEPT, encoding="utf-8")
    assert main(["replay", str(homes / "mended.toml"), "--format", "csv"]) == 0
    (row,) = csv.DictReader(io.StringIO(capsys.readouterr().out))
    assert row["went_since"] == "our-two-rules: R-1: town.reversed"


def test_lines_of_the_table_end_as_rfc_4180_has_it(tmp_path: Path) -> None:
    path = tmp_path / "house.csv"
    assert main(["replay", str(RECORD), "--format", "csv", "--out", str(path)]) == 0
    written = path.read_bytes()
    assert written.count(b"\r\n") == written.count(b"\n") == 133


def test_every_cure_of_the_shipped_rules_says_what_is_to_be_put_where() -> None:
    books = [load(name) for name in ruleset_files([ROOT / "rulesets"])]
    for book in books:
        for rule in book.rules.values():
            declared = rule.declared
            assert declared.remedy or {*declared.cure} <= {*book.cures}, f"{book.id}: {rule.id}"
            said = [declared.remedy, *(book.cures[each] for each in declared.cure)]
            for empty in ("belongs there", "as the rule asks", "correct the wiring"):
                assert not any(empty in each for each in said), f"{book.id}: {rule.id}"


def test_times_of_a_programme_are_set_out_for_the_landlord(capsys: Output) -> None:
    asked = ["replay", str(RECORD), "--ruleset", "hud-rental"]
    assert main([*asked, "--format", "json"]) == 0
    found = json.loads(capsys.readouterr().out)["deficiencies"]
    due = [(each["place"], time) for each in found for time in each["correct_within"]]
    assert due
    assert main([*asked, "--format", "html", "--for", "landlord"]) == 0
    words = Page(capsys.readouterr().out).text
    times = words[words.index("Times for the correction") : words.index("What the correction")]
    for place, time in due:
        assert time["programme"] in words
        assert time["within"] in words
        assert place in words
    assert "sets a time" not in times
    assert "and where a programme sets a time, it asks for the correction)" in words


def test_places_that_wait_for_the_same_are_one_line(capsys: Output) -> None:
    """HUD asks for a distance to water everywhere: the demonstration house does not tell it."""
    asked = ["replay", str(RECORD), "--ruleset", "hud-rental", "--format"]
    assert main([*asked, "md", "--for", "landlord"]) == 0
    page = capsys.readouterr().out
    still = page[page.index("## Still open") : page.index("## Notes and photos")]
    lines = [line for line in still.splitlines() if line.startswith("- ")]
    questions = [line.split(": ", 1)[1] for line in lines]
    assert len(questions) == len(set(questions))
    assert "- B2-1, B2-2, B3-1, B3-2, B3-3, PR-1" in still
    assert main([*asked, "json"]) == 0
    open_at = {each["subject"] for each in json.loads(capsys.readouterr().out)["undecided"]}
    assert open_at <= {name for line in lines for name in line[2:].split(": ")[0].split(", ")}


@pytest.mark.parametrize(
    ("price", "told"),
    [
        ('"ask"', "To be asked for: not every price is known. What is known comes to 1241.50 USD"),
        ("{ minutes = 20, low = 20.0, high = 60.0 }", "1271.50 USD, from 1261.50 to 1301.50."),
    ],
)
def test_a_range_and_a_price_to_ask_for_are_said(
    tmp_path: Path, capsys: Output, price: str, told: str
) -> None:
    prices = (ROOT / "rulesets" / "remedy" / "prices-demo.toml").read_text(encoding="utf-8")
    mine = tmp_path / "mine.toml"
    mine.write_text(
        re.sub(r"(?m)^DIRECTORY = .*$", f"DIRECTORY = {price}", prices), encoding="utf-8"
    )
    asked = ["replay", str(RECORD), "--format", "md", "--for", "landlord", "--prices", str(mine)]
    assert main(asked) == 0
    assert told in capsys.readouterr().out


def test_as_built_alone_there_is_no_plan_and_that_is_said(capsys: Output) -> None:
    asked = ["replay", str(RECORD), "--as-built", "--format", "html", "--for", "electrician"]
    assert main(asked) == 0
    assert "There is no plan of the work" in capsys.readouterr().out


@pytest.mark.parametrize(
    ("arguments", "told"),
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
        (
            [str(RECORD), "--format", "html"],
            "--format html: found 2 sessions; expected one, as a report is about one",
        ),
    ],
)
def test_an_option_that_would_say_nothing_is_refused(
    capsys: Output, arguments: list[str], told: str
) -> None:
    assert main(["replay", str(RECORD), *arguments]) == 2
    assert capsys.readouterr().err == f"{told}\n"


def test_a_re_inspection_tells_what_became_of_each(tmp_path: Path, capsys: Output) -> None:
    session = store.load(RECORD)
    session.reinspects = "the visit of autumn"
    seen = session.findings[0]
    common: dict[str, Any] = {
        "on": datetime.date(2026, 11, 24),
        "of": seen.of,
        "severity": seen.severity,
    }
    session.rechecks = [
        Recheck(
            **common,
            subject=seen.subject,
            rule=seen.rule,
            says=seen.says,
            cite=seen.cite,
            outcome="not corrected",
            reason="nobody came",
        ),
        Recheck(
            **common,
            subject="C12",
            rule="conductor.cu14-breaker",
            says="14 AWG copper behind a 20 A fuse or breaker; 15 A at most.",
            cite=["240.4(D)(3)"],
            outcome="corrected",
            looked=False,
            receipt="R-77",
        ),
    ]
    path = tmp_path / "again.toml"
    store.save(session, path)
    assert main(["replay", str(path), "--format", "html"]) == 0
    words = Page(capsys.readouterr().out).text
    told = words[words.rindex("Re-inspection of the visit of autumn") :]
    assert f"Not corrected: 1 {seen.subject}: {seen.says} (nobody came)" in told
    assert "15 A at most. (by the papers alone, not looked at) (receipt or permit R-77)" in told
    assert main(["replay", str(path), "--format", "json"]) == 0
    new = json.loads(capsys.readouterr().out)["recheck"]["counts"]["new"]
    assert f"New: {new} " in told
    assert main(["replay", str(path), "--format", "md"]) == 0
    assert f"- {seen.subject}: {seen.says} (nobody came)\n" in capsys.readouterr().out


def test_several_rulesets_each_say_what_stands_under_them(capsys: Output) -> None:
    asked = ["replay", str(RECORD), "--ruleset", "nec-2020", "--ruleset", "nec-2023"]
    assert main([*asked, "--format", "html"]) == 0
    words = Page(capsys.readouterr().out).text
    assert "B3-2, Bedroom 3, window wall (C1) Defect; under nec-2020; nec-2023." in words
    assert words.count("sha256:") == 2


@pytest.mark.parametrize("form", ["html", "md"])
def test_other_rules_than_before_are_told(capsys: Output, form: str) -> None:
    told = "The record was last judged by other rules: nec-2020, sha256:"
    assert main(["replay", str(RECORD), "--format", form]) == 0
    assert told not in capsys.readouterr().out
    assert main(["replay", str(RECORD), "--ruleset", "nec-2023", "--format", form]) == 0
    assert told in capsys.readouterr().out


def first_part(reader: str) -> str:
    """What stands on the first printed page."""
    words = page(reader).text
    return words[: words.index("What this is and is not A visual")]


@pytest.mark.parametrize("reader", READERS)
def test_the_first_page_says_what_to_do_first_in_the_order_of_the_danger(reader: str) -> None:
    words = first_part(reader)
    hazards = [each for each in house()[0]["deficiencies"] if each["severity"] == "hazard"]
    at = [words.index(each["place"]) for each in hazards]
    assert at == sorted(at)
    assert [each["danger"]["rank"] for each in hazards] == sorted(
        each["danger"]["rank"] for each in hazards
    )
    near = "Protective device failed: its TEST does nothing. HB-1, Hall bath, right of basin (C11),"
    assert f"{near} near water. Danger: wired wrong, or protection that has failed." in words
    links = page(reader).links
    leads = [href for href, text in links if text.startswith("What to do: see ")]
    assert len(leads) == len({each["rule"] for each in hazards})
    anchors = {attrs.get("id") for _, attrs in page(reader).attributes}
    assert {href.removeprefix("#") for href in leads} <= anchors


@pytest.mark.parametrize("reader", ["client", "landlord"])
def test_the_first_page_says_at_which_finding_it_stands_what_to_do(reader: str) -> None:
    """On paper no link leads anywhere: the number stands at the finding itself."""
    words = page(reader).text
    first, rest = first_part(reader), words[words.index(FINDINGS) :]
    for each in house()[0]["deficiencies"]:
        if each["severity"] == "hazard":
            assert f" What to do: see finding {each['number']} " in first
            assert f" {each['number']}. {each['says']} " in rest
    markdown = as_markdown(document(reader))
    assert "What to do: see finding 3.\n" in markdown
    assert "\n#### 3. Protective device failed: its TEST does nothing.\n" in markdown


@pytest.mark.parametrize("reader", READERS)
def test_the_first_page_tells_what_is_not_known_from_what_was_tested_in_part(reader: str) -> None:
    """Nobody saw PR-4; K-10, LA-2 and R-4 were seen, and the alarms were left out as a whole."""
    words = first_part(reader)
    missed = house()[0]["not_tested"]
    told = words[words.index(f"? Not reached, or not fully tested: {len(missed)}") :]
    assert (
        "Not reached: nothing is known there, and a danger as grave as any may hide there: "
        "PR-4, Primary bedroom, behind headboard (C2). Seen or tested in part only; what was not "
        "tested may be wrong as well: K-10, Kitchen, behind range (C10); LA-2, Laundry closet, "
        "behind dryer (C14); R-4, Rec room, behind sofa (C15). Left out of the survey, in whole or "
        "in part: smoke alarms; insides of boxes." in told
    )
    assert ("#limits", "limits") in page(reader).links


def test_one_danger_at_a_place_has_one_line_also_under_two_rulesets(capsys: Output) -> None:
    """The failed device at HB-1 and the wire of C11 are found under both; each stands once."""
    asked = ["--ruleset", "nec-2020", "--ruleset", "texas-inspection-2022"]
    assert main(["replay", str(RECORD), *asked, "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    report = Document(data, "client")
    lines = [each for group in report.now for each in group.places]
    assert len({each["place"] for each in lines}) == len(lines)
    (failed,) = (each for each in lines if each["subject"] == "HB-1")
    (other,) = report.others(failed)
    assert (failed["rule"], other["rule"]) == ("device.test-fails", "tx.device-fails")
    told = f"(also under texas-inspection-2022: {other['says']} See finding {other['number']})"
    assert told in Page(as_html(report)).text
    assert told in as_markdown(report)


def test_each_format_says_with_what_and_under_which_ruleset_a_finding_counts(
    capsys: Output,
) -> None:
    asked = ["--ruleset", "nec-2020", "--ruleset", "texas-inspection-2022"]
    told = {}
    for form in ("text", "html", "md", "csv", "json"):
        assert main(["replay", str(RECORD), *asked, "--format", form]) == 0
        told[form] = capsys.readouterr().out
    (wire,) = (
        each
        for each in json.loads(told["json"])["deficiencies"]
        if each["rule"] == "tx.breaker-conductor"
    )
    assert wire["counts_with"] == "conductor.cu14-breaker"
    assert wire["counts_with_under"] == ["nec-2020"]
    for words in (told["text"], Page(told["html"]).text, told["md"]):
        said = "counted with conductor.cu14-breaker under nec-2020"
        assert said in " ".join(words.replace("\\", "").split())
    rows = csv.DictReader(io.StringIO(told["csv"], newline=""))
    (row,) = (each for each in rows if each["rule"] == "tx.breaker-conductor")
    assert (row["counts_with"], row["counts_with_under"]) == ("conductor.cu14-breaker", "nec-2020")


def test_a_room_says_what_was_not_tested_there() -> None:
    glance = page("client").text
    glance = glance[glance.index("Rooms at a glance How much") : glance.index(FINDINGS)]
    assert "Rec room 1 12 R-1, R-2, R-3, R-4 R-4" in glance
    assert "Primary bedroom 3 7 PR-1, PR-2, PR-3, SA-4 PR-4" in glance


@pytest.mark.parametrize("reader", ["client", "landlord"])
def test_words_of_the_trade_are_explained_right_after_the_first_page(reader: str) -> None:
    words = page(reader).text
    ended = words.index("Rooms at a glance How")
    began = words.rindex("Words of the trade", 0, ended)
    told, rest = words[began:ended], words[:began] + words[ended:]
    explained = house()[0]["explained"]
    for each in explained:
        occurs = any(
            re.search(rf"(?<!\w){re.escape(form)}(?!\w)", rest, re.I if form.islower() else 0)
            for form in each["written"]
        )
        assert occurs == (f": {each['says']}." in told), each["written"]
    assert ": ground-fault circuit interrupter" in told
    assert "SPGFCI" not in words


def test_a_gap_that_a_graver_defect_counts_is_told_beside_it() -> None:
    """The receptacle of 2019 and its room ask for the same AFCI."""
    data, words = house()[0], page("client").text
    (gap,) = (
        each
        for each in data["deficiencies"]
        if (each["subject"], each["rule"]) == ("L-2", "afci.room")
    )
    assert gap["counts_with"] == "replacement.afci"
    block = words[words.index("Receptacle replaced in a listed room without") :]
    block = block[: block.index("Why it matters")]
    assert (
        f"Counted here, as the same is asked by: {gap['says']} {gap['why']} Gap, upgrade." in block
    )
    assert "Rule afci.room, section 210.12(A)" in block
    assert data["counts"]["told"] == len(data["deficiencies"]) > data["counts"]["deficiencies"]


def test_what_a_rule_on_reports_grades_stands_by_itself_also_where_it_counts_with_another(
    capsys: Output,
) -> None:
    asked = ["--ruleset", "texas-inspection-2022", "--ruleset", "nec-2020"]
    assert main(["replay", str(RECORD), *asked, "--format", "json"]) == 0
    data = json.loads(capsys.readouterr().out)
    graded = [each for each in data["deficiencies"] if each["counts_with"] and each["duty"]]
    assert {"added.gfci-outdoors"} <= {each["counts_with"] for each in graded}
    page = Page(as_html(Document(data, "client")))
    words = page.text[page.text.index(FINDINGS) :]
    for each in graded:
        # What is to be minded differs from place to place, and so the same words may stand twice.
        _, *blocks = words.split(f" {each['says']} ")
        (block,) = [e for e in blocks if each["place"] in e[: e.index("Why it matters")]]
        assert f"Report: {each['duty']}" in words[words.index(block) :]


def test_every_finding_says_what_is_to_be_put_where() -> None:
    for each in house()[0]["deficiencies"]:
        assert bool(each["remedy"]) == bool(each["cure"])
        assert "{" not in each["remedy"]
        assert each["remedy"] in page("landlord").text or each["counts_with"]
