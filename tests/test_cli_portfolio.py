"""The overview of many sessions: three dwellings judged by hand, and what goes wrong with files."""

from __future__ import annotations

import csv
import io
import json
import os
import shutil
import signal
import subprocess
import sys
import time
from pathlib import Path
from typing import Any

import pytest
from markdown_it import MarkdownIt

from tests.app.terminal import Terminal
from tests.report.homes import ASH, CEDAR, homes, record
from tests.report.pages import Page
from walkthrough.cli import main
from walkthrough.report.seal import is_as_written

ROOT = Path(__file__).resolve().parents[1]
LARKSPUR = ROOT / "sessions" / "larkspur-house.toml"
DUPLEX = ROOT / "tests" / "judge" / "duplex.toml"
__all__ = ["homes"]

Output = pytest.CaptureFixture[str]


def overview(capsys: Output, *arguments: object, expected: int = 0) -> dict[str, Any]:
    assert main(["portfolio", *map(str, arguments), "--format", "json"]) == expected
    told: dict[str, Any] = json.loads(capsys.readouterr().out)
    return told


def names(told: dict[str, Any]) -> list[str]:
    return [each["session"] for each in told["records"]]


def test_the_worst_comes_first_and_the_sums_are_those_of_the_parts(
    homes: Path, capsys: Output
) -> None:
    told = overview(capsys, homes)
    assert names(told) == ["Ash Cottage", "Cedar Cottage", "Birch Cottage"]
    assert told["totals"]["records"] == 3
    assert told["totals"]["counts"] == {
        "deficiencies": 5,
        "not_tested": 1,
        "by_severity": {"hazard": 3, "serious": 0, "upgrade": 2, "info": 0},
        "by_kind": {"defect": 3, "gap": 2, "note": 0},
    }
    assert (told["totals"]["outlets"], told["totals"]["open_subjects"]) == (7, 1)
    assert told["unusable"] == told["earlier"] == []


def test_each_time_for_the_correction_is_told_with_its_programme(
    homes: Path, capsys: Output
) -> None:
    """At Ash both may hold, as the programme is not told; at Cedar only that of the county."""
    told = overview(capsys, homes)
    times = {
        each["session"]: [(e["within"], e["programme"], e["findings"]) for e in each["deadlines"]]
        for each in told["records"]
    }
    assert times == {
        "Ash Cottage": [("24 hours", "town homes", 2), ("30 days", "county homes", 2)],
        "Cedar Cottage": [("30 days", "county homes", 1)],
        "Birch Cottage": [],
    }
    assert [
        (each["within"], each["findings"], each["confidences"])
        for each in told["totals"]["deadlines"]
    ] == [("24 hours", 2, ["memory"]), ("30 days", 3, ["confirmed"])]


def test_the_numbers_are_those_of_replay(capsys: Output) -> None:
    for path in (LARKSPUR, DUPLEX):
        assert main(["replay", str(path), "--format", "json"]) == 0
        alone = json.loads(capsys.readouterr().out)
        (each,) = overview(capsys, path)["records"]
        assert each["counts"] == alone["counts"]
        assert each["outlets"] == len(alone["outlets"])
        assert each["undecided"] == len(alone["undecided"])
        assert each["open_subjects"] == len(
            {(item["of"], item["subject"]) for item in alone["undecided"]}
        )
        assert each["ask_the_ahj"] == len(alone["ask_the_ahj"])


def test_as_built_the_numbers_are_those_of_replay_too(capsys: Output) -> None:
    assert main(["replay", str(LARKSPUR), "--as-built", "--format", "json"]) == 0
    alone = json.loads(capsys.readouterr().out)
    (each,) = overview(capsys, LARKSPUR, "--as-built")["records"]
    assert (each["counts"], each["undecided"]) == (alone["counts"], len(alone["undecided"]))
    assert each["under"] == [rules["under"] for rules in alone["rulesets"]]


def test_the_units_of_a_building_are_told_apart(capsys: Output) -> None:
    (each,) = overview(capsys, DUPLEX)["records"]
    assert [unit["name"] for unit in each["units"]] == ["Ground floor", "Unit B", ""]
    assert sum(unit["deficiencies"] for unit in each["units"]) == each["counts"]["deficiencies"]


def test_one_damaged_file_is_named_and_stops_nothing(homes: Path, capsys: Output) -> None:
    damaged = homes / "damaged.toml"
    damaged.write_text(record(*ASH).replace('id = "P"', "id = P"), encoding="utf-8")
    line = record(*ASH).partition('id = "P"')[0].count("\n") + 1
    assert main(["portfolio", str(homes), str(homes / "gone.toml"), "--format", "json"]) == 2
    said = capsys.readouterr()
    told = json.loads(said.out)
    assert names(told) == ["Ash Cottage", "Cedar Cottage", "Birch Cottage"]
    assert [each["file"] for each in told["unusable"]] == [
        str(damaged),
        str(homes / "gone.toml"),
    ]
    assert said.err.startswith(f"{damaged}:{line}:")
    assert f"{homes / 'gone.toml'}: cannot be read: No such file" in said.err
    assert "Traceback" not in said.err


def test_where_the_ruleset_is_at_fault_the_record_is_named_too(
    homes: Path, tmp_path: Path, capsys: Output
) -> None:
    broken = tmp_path / "rules" / "broken.toml"
    broken.write_text('format = 1\nid = "broken"\ntitel = "x"\n', encoding="utf-8")
    own = record(*CEDAR).replace("our-two-rules", "broken")
    (homes / "cedar.toml").write_text(own, encoding="utf-8")
    assert main(["portfolio", str(homes)]) == 2
    said = capsys.readouterr()
    assert "2 records, worst first" in said.out
    assert f"{homes / 'cedar.toml'}: {broken}:3:1:" in said.err


@pytest.mark.parametrize("form", ["text", "md", "html", "csv"])
def test_no_form_hides_a_file_that_could_not_be_used(
    form: str, homes: Path, capsys: Output
) -> None:
    (homes / "damaged.toml").write_text("format = 1\ntitle = 7\n", encoding="utf-8")
    assert main(["portfolio", str(homes), "--format", form]) == 2
    out = capsys.readouterr().out
    # A path may be longer than a line.
    assert "damaged.toml:2:1" in "".join(out.split())
    if form != "csv":
        assert "1 file could not be used and stands in none of these numbers." in out


def test_what_the_app_keeps_beside_a_record_is_no_record(homes: Path, capsys: Output) -> None:
    assert len(list(homes.iterdir())) == 7
    assert len(names(overview(capsys, homes))) == 3


def test_a_record_that_is_named_twice_counts_once(homes: Path, capsys: Output) -> None:
    again = homes.parent / "homes" / ".." / "homes" / "ash.toml"
    assert len(names(overview(capsys, homes, homes / "ash.toml", again))) == 3


def test_a_folder_without_records_is_told(tmp_path: Path, capsys: Output) -> None:
    assert main(["portfolio", str(tmp_path)]) == 2
    assert capsys.readouterr().err == (
        f"{tmp_path}: holds no session; expected files that end in .toml\n"
    )


def test_a_reinspection_takes_the_place_of_the_visit_before(homes: Path, capsys: Output) -> None:
    later = homes / "ash-2026-12-01.toml"
    title, year, programme, _ = ASH
    later.write_text(
        record(title, year, programme, ("correct",), more='reinspects = "ash.toml"\n'),
        encoding="utf-8",
    )
    told = overview(capsys, homes)
    assert names(told) == ["Cedar Cottage", "Ash Cottage", "Birch Cottage"]
    assert told["totals"]["counts"]["by_severity"]["hazard"] == 1
    assert told["earlier"] == [
        {
            "file": str(homes / "ash.toml"),
            "session": "Ash Cottage",
            "reinspected_in": str(later),
        }
    ]


def test_records_that_reinspect_each_other_are_all_counted(homes: Path, capsys: Output) -> None:
    """Else a circle would make both of them vanish."""
    for name, other in (("ash", "cedar"), ("cedar", "ash")):
        told = ASH if name == "ash" else CEDAR
        text = record(*told, more=f'reinspects = "{other}.toml"\n')
        (homes / f"{name}.toml").write_text(text, encoding="utf-8")
    assert len(names(overview(capsys, homes))) == 3


def test_a_name_that_leads_elsewhere_takes_no_place(homes: Path, capsys: Output) -> None:
    text = record(*CEDAR, more='reinspects = "../homes/ash.toml"\n')
    (homes / "cedar.toml").write_text(text, encoding="utf-8")
    assert len(names(overview(capsys, homes))) == 3


def test_the_number_of_processes_changes_no_byte(homes: Path, tmp_path: Path) -> None:
    (homes / "damaged.toml").write_text("format = 1\n", encoding="utf-8")
    shutil.copy(LARKSPUR, homes)
    written: list[dict[str, bytes]] = []
    for jobs in ("1", "2", "3"):
        into = tmp_path / jobs
        asked = ["portfolio", str(homes), "--format", "html", "--into", str(into), "--jobs", jobs]
        assert main(asked) == 2
        written.append({each.name: each.read_bytes() for each in into.iterdir()})
    assert written[0] == written[1] == written[2]
    assert len(written[0]) == 5


def test_every_record_has_its_report_beside_the_overview(homes: Path, tmp_path: Path) -> None:
    other = tmp_path / "other"
    other.mkdir()
    shutil.copy(homes / "ash.toml", other / "ASH.toml")
    shutil.copy(homes / "ash.toml", other / "Ash (2) äöü.toml")
    into = tmp_path / "new" / "reports"
    assert main(["portfolio", str(homes), str(other), "--format", "html", "--into", str(into)]) == 0
    html = (into / "overview.html").read_text(encoding="utf-8")
    links = [href for href, _ in Page(html).links]
    assert links[:3] == [
        "report-ash.html",
        "report-ASH-2.html",
        "report-Ash-2-%C3%A4%C3%B6%C3%BC.html",
    ]
    assert sorted(each.name for each in into.iterdir()) == sorted(
        ["overview.html", "report-Ash-2-äöü.html", "report-ASH-2.html"]
        + [f"report-{name}.html" for name in ("ash", "birch", "cedar")]
    )
    report = Page((into / "report-cedar.html").read_text(encoding="utf-8")).text
    assert "Cedar Cottage: receptacles and circuits, for the client" in report


def test_in_markdown_the_links_are_links_too(homes: Path, tmp_path: Path) -> None:
    (homes / "ash.toml").rename(homes / "a_s_h [1](x).toml")
    assert main(["portfolio", str(homes), "--format", "md", "--into", str(tmp_path / "out")]) == 0
    text = (tmp_path / "out" / "overview.md").read_text(encoding="utf-8")
    page = Page(MarkdownIt("gfm-like", {"linkify": True}).render(text))
    hrefs = {href for href, _ in page.links}
    assert hrefs == {f"report-{name}.md" for name in ("a_s_h-1-x", "birch", "cedar")}
    assert all((tmp_path / "out" / href).is_file() for href in hrefs)


def test_with_a_plan_the_costs_are_those_of_plan(tmp_path: Path, capsys: Output) -> None:
    shutil.copy(LARKSPUR, tmp_path / "one.toml")
    shutil.copy(LARKSPUR, tmp_path / "two.toml")
    assert main(["plan", str(LARKSPUR), "--format", "json"]) == 0
    alone = json.loads(capsys.readouterr().out)
    told = overview(capsys, tmp_path, "--plan")
    for each in told["records"]:
        assert each["cost"]["total"] == alone["total"]
        assert each["cost"]["unsolved"] == len(alone["unsolved"])
    assert told["totals"]["cost"]["total"] == 2 * alone["total"]
    assert told["totals"]["cost"]["planned"] == 2
    assert main(["portfolio", str(tmp_path), "--plan", "--jobs", "1"]) == 0
    text = capsys.readouterr().out
    assert f"cost: {2 * alone['total']:.2f} USD" in text
    assert "no offer and no permit" in text


def test_a_price_that_has_to_be_asked_for_leaves_the_sum_open(
    tmp_path: Path, capsys: Output
) -> None:
    prices = (ROOT / "rulesets" / "remedy" / "prices-demo.toml").read_text(encoding="utf-8")
    own = tmp_path / "mine.toml"
    own.write_text(
        "\n".join(
            'UNCORD = "ask"' if each.startswith("UNCORD ") else each for each in prices.splitlines()
        ),
        encoding="utf-8",
    )
    cost = overview(capsys, LARKSPUR, DUPLEX, "--plan", "--prices", own)["totals"]["cost"]
    assert (cost["total"], cost["low"], cost["high"], cost["asks"]) == (
        "ask",
        "ask",
        "ask",
        # An outlet of the duplex hangs on the other unit: its own cable needs an offer.
        ["OWN-FEED", "UNCORD"],
    )
    assert cost["known"] > 0
    asked = ["portfolio", str(LARKSPUR), str(DUPLEX), "--plan", "--prices", str(own)]
    assert main(asked) == 0
    assert f"to be asked for; what is known comes to {cost['known']:.2f} USD" in " ".join(
        capsys.readouterr().out.split()
    )


def test_only_as_built_nothing_is_planned(capsys: Output) -> None:
    told = overview(capsys, LARKSPUR, "--as-built", "--plan")
    assert told["records"][0]["cost"] is told["totals"]["cost"] is None


def test_a_slip_in_the_prices_spares_no_record_and_is_told_once(
    homes: Path, tmp_path: Path, capsys: Output
) -> None:
    own = tmp_path / "mine.toml"
    own.write_text("format = 1\ntitel = 'x'\n", encoding="utf-8")
    assert main(["portfolio", str(homes), "--plan", "--prices", str(own), "--jobs", "2"]) == 2
    said = capsys.readouterr()
    assert said.out == ""
    assert said.err.count("did you mean 'title'?") == 1


@pytest.mark.parametrize(
    ("arguments", "told"),
    [
        (["--prices", "x.toml"], "--prices: makes sense only with --plan"),
        (["--into", "x"], "--into: makes sense only with --format md, html or pdf"),
        (["--firm", "x"], "--firm: makes sense only with --format md, html or pdf"),
        (
            ["--format", "pdf"],
            "--format pdf: expected --out FILE or --into FOLDER, as a PDF is no text",
        ),
        (["--jobs", "0"], "--jobs: found '0'; expected a number of processes from 1"),
        (["--jobs", "two"], "--jobs: found 'two'; expected a number of processes from 1"),
        (["--ruleset", "nec-2202"], "ruleset: no 'nec-2202'; did you mean 'nec-20"),
        (["--adoption-lag", "2"], "--adoption-lag: makes sense only with --as-built"),
        (["--series", "nec"], "--series: makes sense only with --as-built"),
    ],
)
def test_what_it_cannot_use_is_told_in_one_line(
    capsys: Output, arguments: list[str], told: str
) -> None:
    assert main(["portfolio", str(LARKSPUR), str(DUPLEX), *arguments]) == 2
    said = capsys.readouterr()
    assert (said.out, said.err.count("\n")) == ("", 1)
    assert said.err.startswith(told)


def test_nothing_is_written_over_a_session(homes: Path, capsys: Output) -> None:
    before = (homes / "ash.toml").read_bytes()
    assert main(["portfolio", str(homes), "--out", str(homes / "ash.toml")]) == 2
    (homes / "ash.toml").rename(homes / "report-ash.md")
    asked = ["portfolio", str(homes / "report-ash.md"), str(homes / "cedar.toml")]
    (homes / "report-cedar.md").write_bytes(before)
    asked.append(str(homes / "report-cedar.md"))
    assert main([*asked, "--format", "md", "--into", str(homes)]) == 2
    assert "expected another file to write to" in capsys.readouterr().err
    assert (homes / "report-cedar.md").read_bytes() == before


@pytest.mark.parametrize(("kind", "expected"), [("defect", 1), ("note", 1)])
def test_findings_can_fail_it(homes: Path, kind: str, expected: int, capsys: Output) -> None:
    assert main(["portfolio", str(homes), "--fail-on", kind]) == expected
    assert main(["portfolio", str(homes / "birch.toml"), "--fail-on", "defect"]) == 0
    assert "Birch" in capsys.readouterr().out


def test_a_spreadsheet_gets_one_row_for_each(homes: Path, capsys: Output) -> None:
    assert main(["portfolio", str(homes), "--format", "csv"]) == 0
    rows = list(csv.DictReader(io.StringIO(capsys.readouterr().out, newline="")))
    assert [(each["session"], each["hazard"], each["upgrade"]) for each in rows] == [
        ("Ash Cottage", "2", "1"),
        ("Cedar Cottage", "1", "0"),
        ("Birch Cottage", "0", "1"),
    ]
    assert rows[1]["correct_within"] == "30 days: 1 finding, county homes"


def program(*arguments: object) -> list[str]:
    return [sys.executable, "-m", "walkthrough", *map(str, arguments)]


def test_replay_says_the_same_on_any_number_of_cores(homes: Path, tmp_path: Path) -> None:
    paths = sorted(homes.glob("*.toml"))
    for form in ("text", "json", "csv"):
        outs = [tmp_path / f"{form}-{jobs}" for jobs in (1, 2)]
        for jobs, out in enumerate(outs, 1):
            asked = ["replay", *map(str, paths), "--format", form, "--jobs", str(jobs)]
            assert main([*asked, "--out", str(out)]) == 0
        assert outs[0].read_bytes() == outs[1].read_bytes()


@pytest.mark.skipif(sys.platform == "win32", reason="signals of one process")
def test_an_interrupt_stops_it_without_a_traceback_or_a_torn_page(tmp_path: Path) -> None:
    folder, into = tmp_path / "many", tmp_path / "into"
    folder.mkdir()
    for number in range(200):
        shutil.copy(LARKSPUR, folder / f"{number}.toml")
    asked = program("portfolio", folder, "--format", "html", "--into", into, "--jobs", 2)
    with subprocess.Popen(
        asked, stdout=subprocess.PIPE, stderr=subprocess.PIPE, text=True, start_new_session=True
    ) as running:
        while running.poll() is None and not (into.is_dir() and list(into.glob("report-*"))):
            pass
        # As from a keyboard: to every process of the group.
        os.killpg(running.pid, signal.SIGINT)
        out, err = running.communicate(timeout=60)
    assert (running.returncode, out, err) == (130, "", "stopped\n")
    pages = list(into.iterdir())
    assert 0 < len(pages) < 200
    assert all(is_as_written(page) for page in pages)


@pytest.mark.skipif(sys.platform != "linux", reason="reads /proc")
def test_no_process_outlives_one_that_was_killed(tmp_path: Path) -> None:
    for number in range(60):
        shutil.copy(LARKSPUR, tmp_path / f"{number}.toml")
    asked = program("portfolio", tmp_path, "--jobs", 2)
    with subprocess.Popen(
        asked, stdout=subprocess.DEVNULL, stderr=subprocess.DEVNULL, start_new_session=True
    ) as running:
        while running.poll() is None and len(group_of(running.pid)) < 3:
            pass
        running.kill()
        running.wait()
    patience = time.monotonic() + 60
    while group_of(running.pid) and time.monotonic() < patience:
        pass
    assert group_of(running.pid) == []


def group_of(leader: int) -> list[int]:
    """The living processes of a group."""
    found: list[int] = []
    for stat in Path("/proc").glob("[0-9]*/stat"):
        try:
            state, _, group, *_ = stat.read_text().rpartition(")")[2].split()
        except OSError:
            continue
        if int(group) == leader and state != "Z":
            found.append(int(stat.parent.name))
    return found


@pytest.mark.skipif(sys.platform == "win32", reason="needs a pseudo-terminal")
def test_on_a_terminal_one_sees_how_far_it_is(homes: Path, capfd: Output) -> None:
    with Terminal("portfolio", str(homes)) as terminal:
        terminal.wait_for("1 of 3 judged", "3 of 3 judged", "Ash Cottage")
    assert main(["portfolio", str(homes)]) == 0
    assert capfd.readouterr().err == ""


def test_it_never_imports_textual(homes: Path) -> None:
    says = (
        "import sys; from walkthrough.cli import main; code = main(sys.argv[1:]); "
        "assert 'textual' not in sys.modules; sys.exit(code)"
    )
    done = subprocess.run(
        [sys.executable, "-c", says, "portfolio", str(homes), "--plan"],
        capture_output=True,
        text=True,
    )
    assert done.returncode == 0, done.stderr


def test_where_processes_are_not_forked_it_says_the_same(homes: Path, tmp_path: Path) -> None:
    """As on Windows and macOS: each process reads everything for itself."""
    says = (
        "import multiprocessing, sys; multiprocessing.set_start_method('spawn'); "
        "from walkthrough.cli import main; sys.exit(main(sys.argv[1:]))"
    )
    outs = [tmp_path / "here", tmp_path / "spawned"]
    for jobs, out in enumerate(outs, 1):
        asked = ["portfolio", str(homes), "--plan", "--format", "html", "--into", str(out)]
        done = subprocess.run(
            [sys.executable, "-c", says, *asked, "--jobs", str(jobs)],
            capture_output=True,
            text=True,
        )
        assert (done.returncode, done.stderr) == (0, "")
    here, spawned = ({each.name: each.read_bytes() for each in out.iterdir()} for out in outs)
    assert here == spawned
