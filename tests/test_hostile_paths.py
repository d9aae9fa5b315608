"""Names of files that lead elsewhere: nothing else is read, waited for, or written over."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import pytest

from tests.app.conftest import EDITION
from tests.torture.watched import called
from tests.torture.yard import Yard, laid_out

pytestmark = pytest.mark.skipif(sys.platform == "win32", reason="needs links, pipes and devices")


@pytest.fixture
def yard(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Yard:
    monkeypatch.setenv("WALKTHROUGH_RULESETS", os.environ.get("WALKTHROUGH_RULESETS", ""))
    return laid_out(tmp_path / "yard")


def commands(yard: Yard, path: Path) -> list[list[str]]:
    """Every command that reads a file, with this one."""
    record, house = str(yard.path("record.toml")), str(yard.path("house.toml"))
    return [
        ["replay", str(path)],
        ["plan", str(path)],
        ["rules", "check", str(path)],
        ["rules", "compare", "practice", "third", str(path)],
        ["rules", "cases", "--file", str(path)],
        ["plan", house, "--prices", str(path)],
        ["replay", record, "--format", "html", "--firm", str(path)],
        ["calc", "spacing", "--file", str(path)],
    ]


def refused(yard: Yard, command: list[str], *, reads: bool = True) -> str:
    """What is told; every file is as it was, and none outside was opened."""
    before = yard.snapshot()
    told = called(*command)
    assert not told.trace
    assert told.code == 2, told.out
    assert not told.out
    assert yard.snapshot() == before
    if not reads:
        names = ("/etc", "/dev", "/proc")
        assert not [each for each in told.opened if each.startswith(names)]
    return told.err


@pytest.mark.parametrize("kind", ["a pipe", "a folder", "a link to itself", "a link to a device"])
def test_what_is_no_file_is_refused_and_not_waited_for(yard: Yard, kind: str) -> None:
    path = yard.path("odd.toml")
    match kind:
        case "a pipe":
            os.mkfifo(path)
        case "a folder":
            path.mkdir()
        case "a link to itself":
            path.symlink_to(path)
        case _:
            path.symlink_to("/dev/zero")
    for command in commands(yard, path):
        told = refused(yard, command)
        assert told.startswith(f"{path}: cannot be read: "), command
        assert "not a regular file" in told or "symbolic links" in told


def test_a_monstrous_file_is_not_read_whole(yard: Yard) -> None:
    path = yard.path("huge.toml")
    with path.open("wb") as file:
        file.truncate(2**36)
    for command in commands(yard, path):
        told = called(*command)
        assert told.code == 2
        assert told.err.startswith(f"{path}: cannot be read: it is larger than ")


@pytest.mark.parametrize(
    "name",
    [
        "../../etc/passwd",
        "/etc/passwd",
        "../rulesets/practice-base",
        ".",
        "..",
        "practice-base.toml",
    ],
)
def test_a_ruleset_extends_only_what_stands_among_the_rulesets(yard: Yard, name: str) -> None:
    path = yard.rulesets / "odd.toml"
    text = EDITION.replace('"practice-base"', f'"{name}"').replace('"practice"', '"odd"')
    path.write_text(text, "utf-8")
    told = refused(yard, ["rules", "check", str(path)], reads=False)
    assert told.startswith(f"{path}:5:1: extends '{name}', which is not there; ")


@pytest.mark.parametrize(
    ("name", "state"),
    [
        ("../record.toml", "refused"),
        ("/etc/passwd", "refused"),
        ("..", "refused"),
        ("C:\\\\x.jpg", "refused"),
        ("\\u0000.jpg", "refused"),
        ("out.jpg", "refused"),
        ("circle.jpg", "missing"),
        ("pipe.jpg", "missing"),
    ],
)
def test_a_photo_that_leads_elsewhere_is_not_opened(yard: Yard, name: str, state: str) -> None:
    yard.path("out.jpg").symlink_to("/etc/passwd")
    yard.path("circle.jpg").symlink_to(yard.path("circle.jpg"))
    os.mkfifo(yard.path("pipe.jpg"))
    path = yard.path("record.toml")
    path.write_text(yard.texts["record"].replace("IMG_1.jpg", name), "utf-8")
    told = called("replay", str(path), "--format", "json")
    assert told.code == 0, told.err
    assert f'"state": "{state}"' in told.out
    assert not [each for each in told.opened if each.endswith((".jpg", "passwd"))]


def ways_to_the_record(yard: Yard) -> list[Path]:
    """Other names of the same record."""
    record = yard.path("record.toml")
    yard.path("soft").symlink_to(record)
    os.link(record, yard.path("hard"))
    return [record, yard.path("soft"), yard.path("hard"), yard.rulesets / ".." / "record.toml"]


def test_no_report_is_written_over_the_record_by_any_name(yard: Yard) -> None:
    record = str(yard.path("record.toml"))
    for way in ways_to_the_record(yard):
        for command in (["replay", record], ["plan", record, "--ruleset", "nec-2020"]):
            told = refused(yard, [*command, "--out", str(way)])
            assert f"{way}: is the session '{record}'; expected another file" in told


def test_no_report_is_written_over_what_it_is_made_of_or_another_record(yard: Yard) -> None:
    record, firm = str(yard.path("record.toml")), str(yard.path("firm.toml"))
    yard.path("own-firm").write_text(yard.texts["firm"], "utf-8")
    yard.path("units.toml.previous").write_text(yard.texts["units"], "utf-8")
    own = str(yard.path("own-firm"))
    html = ["replay", record, "--format", "html"]
    read_here = [
        ([*html, "--firm", firm], firm),
        ([*html, "--firm", own], own),
        (
            ["replay", record, "--ruleset", str(yard.rulesets / "third.toml")],
            str(yard.rulesets / "third.toml"),
        ),
        (
            ["plan", str(yard.path("house.toml")), "--prices", str(yard.path("prices.toml"))],
            str(yard.path("prices.toml")),
        ),
    ]
    for command, out in read_here:
        assert f"is '{out}', which is read here" in refused(yard, [*command, "--out", out])
    for name in ("units.toml", "units.toml.previous"):
        told = refused(yard, ["replay", record, "--out", str(yard.path(name))])
        assert "is a TOML file, such as a record; expected another file" in told


def test_where_nothing_can_be_written_is_told(yard: Yard) -> None:
    record = str(yard.path("record.toml"))
    yard.path("circle").symlink_to(yard.path("circle"))
    for out, said in (
        (yard.rulesets, "is a directory"),
        (yard.path("gone") / "report.txt", "no such file or directory"),
        (yard.path("circle"), "too many levels of symbolic links"),
        (Path("/dev/full"), "no space left on device"),
    ):
        assert f"{out}: cannot be written: {said}" in refused(
            yard, ["replay", record, "--out", str(out)]
        )
