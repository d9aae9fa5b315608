"""A local amendment with kinds of protection of its own is drawn and listed like the usual ones."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

import pytest

from tests.report.pages import Page
from walkthrough.cli import main

# Made up: dual-function breakers of this town also hold surges back, and outlets may be marked.
RULES = """format = 1
id = "surge-town"
title = "A made-up town"
extends = "nec-2020"
section_forms = ["...", "Town {1-9}"]

[topic]
surge = "Surge protection"
ig = "Isolated ground"

[demand]
surge_required = { topic = "surge", has = "surge_protected" }
ig_required = { topic = "ig", has = "ig_mark" }

[table.breaker_protects]
confidence = "memory"
source = "made up for tests"
rows = { standard = [], gfci = ["gfci"], afci = ["afci"], dual_function = ["gfci", "afci", "surge"] }

[question.ig_mark]
of = "outlet"
ask = "Is there an orange triangle on the face?"
kind = "yes-no"

[rule."surge.all"]
topic = "surge"
of = "outlet"
cite = "Town 1"
when = "point == 'receptacle'"
needs = "surge_protected"
kind = "gap"
severity = "upgrade"
says = "No surge protection."
why = "Made up."
cure = ["surge"]
done_by = "qualified person"
confidence = "memory"
source = "made up for tests"

[rule."ig.all"]
topic = "ig"
of = "outlet"
cite = "Town 2"
when = "point == 'receptacle'"
needs = "ig_mark"
kind = "gap"
severity = "upgrade"
says = "No isolated ground."
why = "Made up."
done_by = "qualified person"
confidence = "memory"
source = "made up for tests"
"""

RECORD = """format = 1
title = "Town house"

[judged_by]
ruleset = "surge-town"

[[visit]]
date = 2026-11-02

[[panel]]
id = "P"

[[circuit]]
id = "1"
panel = "P"
serves = "hall"

[circuit.answers]
breaker = "dual_function"

[circuit.readings]
breaker_test_result = "trips"

[[circuit]]
id = "2"
panel = "P"
serves = "bath"

[circuit.answers]
breaker = "standard"

[[room]]
id = "hall"
name = "Hall"

[[outlet]]
id = "1"
room = "hall"
circuit = "2"
at = "by the stairs"
fed_from = "panel"
order_known_by = "opened"

[outlet.answers]
point = "receptacle"
device = "gfci"
ig_mark = true

[outlet.readings]
test_result = "trips"

[[outlet]]
id = "R-2"
room = "hall"
circuit = "1"
fed_from = "panel"
order_known_by = "opened"

[outlet.answers]
point = "receptacle"
device = "plain"
ig_mark = false
"""

Output = pytest.CaptureFixture[str]


@pytest.fixture
def record(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    rules = tmp_path / "rules"
    rules.mkdir()
    (rules / "surge-town.toml").write_text(RULES, encoding="utf-8")
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(rules))
    path = tmp_path / "house.toml"
    path.write_text(RECORD, encoding="utf-8")
    return path


def replayed(record: Path, capsys: Output, *options: str) -> str:
    assert main(["replay", str(record), *options]) == 0
    return capsys.readouterr().out


def data(record: Path, capsys: Output) -> Any:
    return json.loads(replayed(record, capsys, "--format", "json"))


@pytest.mark.usefixtures("record")
def test_the_ruleset_has_no_slip(capsys: Output) -> None:
    assert main(["rules", "check", "surge-town"]) == 0
    assert "no slip" in capsys.readouterr().out


def test_another_kind_is_traced_to_the_breaker_that_gives_it(record: Path, capsys: Output) -> None:
    first, second = data(record, capsys)["outlets"]
    assert (first["has"]["surge"], second["has"]["surge"]) == ("no", "yes")
    assert (first["has"]["ig"], second["has"]["ig"]) == ("yes", "no")
    told = {each["subject"]: each["rule"] for each in data(record, capsys)["deficiencies"]}
    assert (told["1"], told["R-2"]) == ("surge.all", "ig.all")


@pytest.mark.parametrize("form", ["html", "md"])
def test_the_electrician_has_a_column_for_each_kind(
    record: Path, capsys: Output, form: str
) -> None:
    page = replayed(record, capsys, "--format", form, "--for", "electrician")
    words = Page(page).text if form == "html" else " ".join(page.replace("|", " ").split())
    assert "Device GFCI AFCI TR WR SURGE IG Found Tested as" in words
    assert "yes by 1, asked" in words


def test_the_drawings_name_it(record: Path, capsys: Output) -> None:
    page = replayed(record, capsys, "--format", "html", "--for", "electrician")
    assert "SURGE by what has the letter" in page
    assert "SURGE of 1 covers R-2" in page
    client = replayed(record, capsys, "--format", "html")
    assert "SURGE is asked for; no working device is known" in client
    assert "SURGE asked for, no working device known: 1 " in Page(client).text


def test_an_outlet_and_a_circuit_of_one_name_cover_what_each_covers(
    record: Path, capsys: Output
) -> None:
    judged = data(record, capsys)
    covers = {(each["of"], each["at"]): each["covers"] for each in judged["devices"]}
    assert covers["outlet", "1"] == {"gfci": ["1"], "afci": [], "surge": []}
    assert covers["circuit", "1"] == {"gfci": ["R-2"], "afci": ["R-2"], "surge": ["R-2"]}
    words = Page(replayed(record, capsys, "--format", "html")).text
    assert "1 Hall, by the stairs GFCI: 1, Hall, by the stairs" in words
    assert "R-2 Hall GFCI: breaker of 1, hall AFCI: breaker of 1, hall SURGE: breaker of" in words
