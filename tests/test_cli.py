"""The command line as a script sees it: output, exit codes, and one clear line for bad input."""

from __future__ import annotations

import json
import os
import shutil
import subprocess
import sys
from pathlib import Path
from typing import Any

import pytest

from walkthrough.cli import main
from walkthrough.survey import store

ROOT = Path(__file__).resolve().parents[1]
RECORD = ROOT / "sessions" / "larkspur-house.toml"

Output = pytest.CaptureFixture[str]


def replay(capsys: Output, *arguments: str) -> dict[str, Any]:
    assert main(["replay", str(RECORD), "--format", "json", *arguments]) == 0
    judged: dict[str, Any] = json.loads(capsys.readouterr().out)
    return judged


def test_the_json_contract(capsys: Output) -> None:
    judged = replay(capsys)
    assert {"session", "ruleset", "outlets", "deficiencies", "undecided", "not_tested"} <= set(
        judged
    )
    assert set(judged["ruleset"]) == {"id", "fingerprint"}
    outlet = next(each for each in judged["outlets"] if each["id"] == "K-4")
    assert outlet["requires"]["gfci"] == ["210.8(A)(6)", "210.8(A)(7)"]
    assert set(outlet["requires"]) == set(outlet["has"]) == {"gfci", "afci", "tr", "wr"}
    assert {value for each in judged["outlets"] for value in each["has"].values()} <= {
        "yes",
        "no",
        "unknown",
    }
    for finding in judged["deficiencies"]:
        assert {
            "subject",
            "of",
            "rule",
            "topic",
            "kind",
            "severity",
            "cite",
            "says",
            "confidence",
        } <= set(finding)
        assert finding["cite"]
        assert finding["trail"]
    assert all(each["waiting_for"] for each in judged["undecided"])
    assert {"subject", "of", "place", "reason", "in_part"} == set(judged["not_tested"][0])


def test_another_ruleset(capsys: Output) -> None:
    assert replay(capsys, "--ruleset", "nec-2023")["ruleset"]["id"] == "nec-2023"


def test_several_rulesets_at_once(capsys: Output) -> None:
    judged = replay(capsys, "--ruleset", "nec-2020", "--ruleset", "hud-rental")
    assert [each["id"] for each in judged["rulesets"]] == ["nec-2020", "hud-rental"]
    under = {name for each in judged["deficiencies"] for name in each["under"]}
    assert under == {"nec-2020", "hud-rental"}


def test_as_built_says_the_edition_and_the_year(capsys: Output) -> None:
    judged = replay(capsys, "--as-built")
    assert judged["ruleset"]["id"] == "as built"
    porch = {e["rule"]: e for e in judged["deficiencies"] if e["subject"] == "P-1"}
    assert porch["gfci.outdoors"]["under"] == ["nec-2014, as built in 2016"]
    assert porch["gfci.outdoors"]["kind"] == "defect"
    later = replay(capsys, "--as-built", "--adoption-lag", "3")
    porch = {e["rule"]: e for e in later["deficiencies"] if e["subject"] == "P-1"}
    assert porch["gfci.outdoors"]["under"] == ["nec-2011, as built in 2016"]


@pytest.mark.parametrize(
    ("arguments", "expected"),
    [
        (["--adoption-lag", "2"], "--adoption-lag: makes sense only with --as-built"),
        (
            ["--as-built", "--adoption-lag", "-1"],
            "--adoption-lag: found -1; expected 0 to 15 years",
        ),
        (
            ["--as-built", "--adoption-lag", "16"],
            "--adoption-lag: found 16; expected 0 to 15 years",
        ),
        (
            ["--as-built", "--series", "ncc"],
            "--series: no series 'ncc' of rulesets; did you mean 'nec'?",
        ),
        (
            ["--ruleset", "nec-2020", "--ruleset", "hud"],
            "ruleset: no 'hud'; did you mean 'hud-rental'?",
        ),
    ],
)
def test_what_replay_cannot_use_is_told_in_one_line(
    capsys: Output, arguments: list[str], expected: str
) -> None:
    assert main(["replay", str(RECORD), *arguments]) == 2
    told = capsys.readouterr().err
    assert told.startswith(expected)
    assert told.count("\n") == 1


@pytest.mark.slow
def test_compare_tells_what_changes_and_where(capsys: Output) -> None:
    """The kitchen of 2023: a contractor's change page, all receptacles and not only the counter."""
    assert main(["rules", "compare", "nec-2020", "nec-2023"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "now asked where serves counter: no; feet to sink: more than 6 ft;" in text
    assert "210.8(A)(6): Kitchen receptacle without GFCI protection." in text
    assert "gfci.near-sink: 210.8(A)(7) -> 210.8(A)(8)" in text
    assert "box_count, terminal_block: 0.0 -> 1.0" in text


def test_compare_tells_what_changes_in_a_house(capsys: Output) -> None:
    """Source: the hand-worked list of where 2020 and 2023 differ in the demonstration house."""
    assert main(["rules", "compare", "nec-2020", "nec-2023", str(RECORD), "--json"]) == 0
    changes = json.loads(capsys.readouterr().out)["changes"]
    assert {(each["subject"], each["was"], each["now"]) for each in changes} == {
        ("WB-1", "no", "yes"),
        ("K-7", "no", "yes"),
        ("K-9", "no", "yes"),
        ("K-10", "no", "yes"),
        ("PB-2", "ask", "yes"),
    }


def test_compare_refuses_a_record_with_a_slip_in_one_line(capsys: Output, tmp_path: Path) -> None:
    session = store.load(RECORD)
    session.dwelling.answers["volts_to_ground"] = "abc"
    path = tmp_path / "house.toml"
    store.save(session, path)
    assert main(["rules", "compare", "nec-2020", "nec-2023", str(path)]) == 2
    told = capsys.readouterr().err
    assert told.startswith(f"{path}:")
    assert "volts to ground" in told or "volts_to_ground" in told
    assert told.count("\n") == 1


def test_nothing_changes_between_a_ruleset_and_itself(capsys: Output) -> None:
    assert main(["rules", "compare", "nec-2020", "nec-2020", "--json"]) == 0
    told = json.loads(capsys.readouterr().out)
    assert not any(told[each] for each in ("changes", "words", "tables", "moved", "too_many"))


def test_the_text_shows_cautions_sections_and_limits(capsys: Output) -> None:
    assert main(["replay", str(RECORD)]) == 0
    text = capsys.readouterr().out
    for expected in (
        "prove it dead",
        "Never take off a panel",
        "not a code-compliance inspection",
        "240.4(D)(3)",
        "verify in the code book",
        "PR-4",
        "Limits: not tested or not reached",
    ):
        assert expected in " ".join(text.split())
    assert "grandfathered" not in text.lower()
    assert all(len(line) <= 96 for line in text.splitlines())


def test_what_is_not_confirmed_is_sent_to_the_text_that_it_stands_in(capsys: Output) -> None:
    assert main(["replay", str(RECORD), "--ruleset", "hud-rental"]) == 0
    text = " ".join(capsys.readouterr().out.split())
    assert "verify in the current HUD standard]" in text
    assert "code book" not in text


def test_text_from_a_record_cannot_steer_the_terminal(tmp_path: Path, capsys: Output) -> None:
    path = tmp_path / "hostile.toml"
    text = RECORD.read_text(encoding="utf-8")
    path.write_text(
        text.replace('title = "Larkspur House"', 'title = "\\u001b[2J\\u202Ehouse"', 1),
        encoding="utf-8",
    )
    assert main(["replay", str(path)]) == 0
    out = capsys.readouterr().out
    assert "\x1b" not in out
    assert "\u202e" not in out


@pytest.mark.parametrize(("kind", "code"), [("defect", 1), ("gap", 1)])
def test_fail_on(kind: str, code: int, capsys: Output) -> None:
    assert main(["replay", str(RECORD), "--fail-on", kind]) == code
    assert capsys.readouterr().out


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ('title = "Larkspur House"', "title = ", "not TOML"),
        ('title = "Larkspur House"', 'titel = "Larkspur House"', "did you mean 'title'?"),
        (
            'ruleset = "nec-2020"',
            'ruleset = "nec-2002"',
            "nec-2002', which is not there; did you mean 'nec-20",
        ),
        ('point = "receptacle"', 'point = "receptical"', "did you mean 'receptacle'?"),
        ("format = 1", "format = 99", "format"),
    ],
)
def test_a_bad_record_gives_one_line_and_exit_code_2(
    tmp_path: Path, capsys: Output, old: str, new: str, expected: str
) -> None:
    path = tmp_path / "bad.toml"
    path.write_text(RECORD.read_text(encoding="utf-8").replace(old, new, 1), encoding="utf-8")
    before = path.read_bytes()
    assert main(["replay", str(path)]) == 2
    told = capsys.readouterr().err
    assert expected in told
    assert "Traceback" not in told
    assert path.read_bytes() == before


def test_to_re_inspect_a_record_must_be_named(capsys: Output) -> None:
    assert main(["walk", "--reinspect"]) == 2
    assert "found no SESSION; expected the record" in capsys.readouterr().err


def test_a_missing_file(capsys: Output) -> None:
    assert main(["replay", "nowhere.toml"]) == 2
    assert "nowhere.toml" in capsys.readouterr().err


@pytest.mark.parametrize(
    "command",
    [
        ["rules", "list"],
        ["rules", "show", "nec-2020"],
        ["rules", "show", "nec-2023", "gfci.bathroom"],
        ["rules", "words", "nec-2020", "--of", "outlet"],
        pytest.param(["rules", "check"], marks=pytest.mark.slow),
        ["rules", "cases", "--ruleset", "nec-2020"],
    ],
)
def test_commands_about_rules(command: list[str], capsys: Output) -> None:
    assert main(command) == 0
    assert capsys.readouterr().out


def test_words_tell_the_unit_of_a_number_and_where_a_record_keeps_an_answer(
    capsys: Output,
) -> None:
    assert main(["rules", "words", "nec-2020", "--of", "outlet"]) == 0
    lines = [line.split("  ") for line in capsys.readouterr().out.splitlines()]
    words = {line[0]: number for number, line in enumerate(lines) if line[0]}

    def told(word: str) -> list[str]:
        here = words[word] + 1
        end = next(n for n in range(here, len(lines)) if lines[n][0])
        return [line[-1].strip() for line in lines[here:end]]

    reading = "a reading: a record keeps it under readings"
    assert reading in told("tester")
    assert reading not in told("device")
    assert "unit: ft" in told("feet_to_sink")


def test_own_rulesets_come_first(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    monkeypatch.setenv("WALKTHROUGH_RULESETS", str(tmp_path))
    (tmp_path / "our-town.toml").write_text(
        'format = 1\nid = "our-town"\ntitle = "Our town"\nextends = "nec-2020"\n'
        'drop = ["gfci.bathroom"]\n',
        encoding="utf-8",
    )
    judged = replay(capsys, "--ruleset", "our-town")
    outlet = next(each for each in judged["outlets"] if each["id"] == "HB-1")
    assert outlet["requires"]["gfci"] == ["210.8(A)(7)"]


@pytest.mark.slow
def test_the_wheel_carries_rulesets_templates_and_the_demonstration(tmp_path: Path) -> None:
    def run(*command: str) -> str:
        done = subprocess.run(command, capture_output=True, text=True, cwd=tmp_path, check=True)
        return done.stdout

    copy = tmp_path / "source"
    shutil.copytree(ROOT, copy, ignore=shutil.ignore_patterns(".git", ".venv", "__pycache__"))
    run(sys.executable, "-m", "venv", "fresh")
    binaries = tmp_path / "fresh" / ("Scripts" if sys.platform == "win32" else "bin")
    run(str(binaries / "pip"), "install", "-q", str(copy))
    shutil.rmtree(copy)
    assert "nec-2023" in run(str(binaries / "walkthrough"), "rules", "list")
    where = run(
        str(binaries / "python"),
        "-c",
        "import walkthrough, pathlib; print(pathlib.Path(walkthrough.__file__).parent)",
    ).strip()
    record = Path(where) / "shipped" / "sessions" / "larkspur-house.toml"
    replayed = (str(binaries / "walkthrough"), "replay", str(record))
    assert "240.4(D)(3)" in run(*replayed)
    assert "240.4(D)(3)" in run(*replayed, "--format", "html")
    assert "240.4(D)(3)" in run(*replayed, "--format", "md")


def test_the_shipped_record_holds_the_findings_of_its_own_ruleset(capsys: Output) -> None:
    """Regenerate it with `python -m tests.demonstration` after a change of the rules."""
    session = store.load(RECORD)
    judged = replay(capsys)
    keys = ("subject", "of", "rule", "topic", "kind", "severity", "cite", "says", "confidence")
    assert [each.model_dump(include=set(keys)) for each in session.findings] == [
        {key: each[key] for key in keys} for each in judged["deficiencies"]
    ]
    assert session.judged_by.fingerprint == judged["ruleset"]["fingerprint"]


def test_other_rules_than_before_are_told(capsys: Output) -> None:
    assert main(["replay", str(RECORD), "--ruleset", "nec-2023"]) == 0
    assert "last judged by other rules: nec-2020" in " ".join(capsys.readouterr().out.split())


def test_a_record_is_never_written_over_by_its_report(tmp_path: Path, capsys: Output) -> None:
    path, link = tmp_path / "house.toml", tmp_path / "link.toml"
    shutil.copy(RECORD, path)
    os.link(path, link)
    for out in (path, link, tmp_path / "." / "house.toml"):
        assert main(["replay", str(RECORD), str(path), "--out", str(out)]) == 2
        assert "expected another file to write to" in capsys.readouterr().err
    assert path.read_bytes() == RECORD.read_bytes()
    assert main(["replay", str(path), "--out", str(tmp_path / "report.txt")]) == 0


def test_an_empty_ruleset_name_is_refused(capsys: Output) -> None:
    assert main(["replay", str(RECORD), "--ruleset", ""]) == 2
    assert "--ruleset: names nothing" in capsys.readouterr().err
    assert main(["rules", "cases", "--ruleset", ""]) == 2
    assert "no ''" in capsys.readouterr().err


def test_a_rule_shows_when_a_point_of_it_is_disputed(capsys: Output) -> None:
    assert main(["rules", "show", "nec-2023", "rating.ten-amp"]) == 0
    assert "disputed when single_alone: The ban on receptacles" in capsys.readouterr().out


def test_an_unknown_topic_is_told(capsys: Output) -> None:
    assert main(["rules", "show", "nec-2020", "--topic", "gfic"]) == 2
    assert "no topic 'gfic'; did you mean 'gfci'?" in capsys.readouterr().err


def test_a_pipe_that_lacks_a_character_gets_its_number(tmp_path: Path) -> None:
    path = tmp_path / "house.toml"
    text = RECORD.read_text(encoding="utf-8").replace("Larkspur House", "H\u00fctte \u2603", 1)
    path.write_text(text, encoding="utf-8")
    done = subprocess.run(
        [sys.executable, "-m", "walkthrough", "replay", str(path)],
        capture_output=True,
        cwd=ROOT,
        env={**os.environ, "PYTHONIOENCODING": "ascii", "PYTHONUTF8": "0"},
    )
    assert done.returncode == 0, done.stderr
    assert b"H\\xfctte \\u2603" in done.stdout


def test_the_same_slip_at_many_places_is_told_once(capsys: Output, tmp_path: Path) -> None:
    text = RECORD.read_text(encoding="utf-8")
    count = text.count('device = "plain"')
    path = tmp_path / "house.toml"
    path.write_text(text.replace('device = "plain"', 'device = "plian"'), encoding="utf-8")
    assert main(["replay", str(path)]) == 2
    lines = capsys.readouterr().err.splitlines()
    assert len(lines) == 1
    assert "did you mean 'plain'? (and " in lines[0]
    assert f"(and {count - 1} more places: lines " in lines[0]
