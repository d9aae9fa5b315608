"""Pictures beside a record: the name that comes next, and what became of the files."""

from __future__ import annotations

import hashlib
import os
from pathlib import Path

import pytest

from walkthrough.survey import store
from walkthrough.survey.model import JudgedBy, Panel, Room, Session
from walkthrough.survey.photos import (
    Refused,
    check_name,
    checksums,
    file_of,
    folder_of,
    look,
    next_name,
    with_number,
)


def _session(*photos: str, sums: dict[str, str] | None = None) -> Session:
    return Session(
        title="Elm",
        judged_by=JudgedBy(ruleset="practice"),
        panels=[Panel(id="P1")],
        rooms=[Room(id="kitchen", name="Kitchen", photos=list(photos))],
        photo_sums=sums or {},
    )


@pytest.mark.parametrize(
    ("taken", "last", "offered"),
    [
        (["IMG_0412.jpg"], "", "IMG_0413.jpg"),
        (["IMG_0099.JPG"], "", "IMG_0100.JPG"),
        (["IMG_0412.jpg", "IMG_0413.jpg"], "IMG_0412.jpg", "IMG_0414.jpg"),
        # The highest number counts, wherever in the house it was taken.
        (["IMG_0420.jpg", "IMG_0413.jpg"], "", "IMG_0421.jpg"),
        # A second camera: the one that was named last.
        (["IMG_0420.jpg", "DSC00007.jpg"], "IMG_0420.jpg", "IMG_0421.jpg"),
        (["IMG_0420.jpg", "DSC00007.jpg"], "", "DSC00008.jpg"),
        (["IMG_9999.jpg"], "", "IMG_0001.jpg"),
        (["2026-11-10 kitchen 3.jpeg"], "", "2026-11-10 kitchen 4.jpeg"),
        (["scan.jp2"], "", ""),
        (["clip7.mp4"], "", "clip8.mp4"),
        (["kitchen.jpg"], "", ""),
        # Taken back since: it does not count.
        (["IMG_0412.jpg"], "IMG_0500.jpg", "IMG_0413.jpg"),
        ([], "", ""),
    ],
)
def test_the_name_that_comes_next(taken: list[str], last: str, offered: str) -> None:
    assert next_name(taken, last) == offered


def test_a_bare_number_is_enough() -> None:
    assert with_number("431", ["IMG_0412.jpg"]) == "IMG_0431.jpg"
    assert with_number("431", []) == "431"
    assert with_number("oven.jpg", ["IMG_0412.jpg"]) == "oven.jpg"


@pytest.mark.parametrize(
    "name",
    ["/etc/passwd", "../x.jpg", "..", ".", "", "a/b.jpg", "a\\b.jpg", "C:x.jpg", "x\n.jpg", "x/"],
)
def test_only_a_plain_file_name_is_taken(name: str) -> None:
    with pytest.raises(Refused, match=r"found '.*'; expected a plain file name"):
        check_name(name)


def test_the_folder_is_named_like_the_record_or_is_its_own(tmp_path: Path) -> None:
    record = tmp_path / "elm.toml"
    assert folder_of(record) == tmp_path
    (tmp_path / "elm").mkdir()
    assert folder_of(record) == tmp_path / "elm"


@pytest.mark.skipif(os.name == "nt", reason="links need a right of their own there")
def test_a_link_out_of_the_folder_is_refused_and_one_within_is_not(tmp_path: Path) -> None:
    folder = tmp_path / "elm"
    folder.mkdir()
    (tmp_path / "secret.txt").write_text("not a picture", encoding="utf-8")
    (folder / "out.jpg").symlink_to(tmp_path / "secret.txt")
    (folder / "gone.jpg").symlink_to(tmp_path / "nothing there")
    (folder / "real.jpg").write_bytes(b"picture")
    (folder / "within.jpg").symlink_to(folder / "real.jpg")
    (folder / "round.jpg").symlink_to(folder / "round.jpg")
    for name in ("out.jpg", "gone.jpg"):
        with pytest.raises(Refused, match="leads out of the photo folder"):
            file_of(name, folder)
    assert file_of("within.jpg", folder) == (folder / "real.jpg").resolve()
    assert file_of("round.jpg", folder) is None
    assert checksums(["out.jpg", "within.jpg"], folder).keys() == {"within.jpg"}


def test_what_became_of_each_picture(tmp_path: Path) -> None:
    path = tmp_path / "elm.toml"
    same, other = b"as taken", b"edited"
    (tmp_path / "IMG_1.jpg").write_bytes(same)
    (tmp_path / "IMG_2.jpg").write_bytes(other)
    (tmp_path / "IMG_4.jpg").write_bytes(same)
    sums = dict.fromkeys(("IMG_1.jpg", "IMG_2.jpg", "IMG_3.jpg"), hashlib.sha256(same).hexdigest())
    names = ("IMG_1.jpg", "IMG_2.jpg", "IMG_3.jpg", "IMG_4.jpg", "../IMG_5.jpg")
    looked_at = look(_session(*names, sums=sums), path)
    assert [(each.name, each.state) for each in looked_at] == [
        ("IMG_1.jpg", "as recorded"),
        ("IMG_2.jpg", "changed"),
        ("IMG_3.jpg", "missing"),
        ("IMG_4.jpg", "no checksum yet"),
        ("../IMG_5.jpg", "refused"),
    ]
    assert looked_at[1].told == "IMG_2.jpg is another picture than the one that was recorded"
    assert looked_at[2].told == f"IMG_3.jpg is not in the folder {tmp_path.name}"


def test_checksums_stand_at_the_end_of_the_record_and_come_back(tmp_path: Path) -> None:
    path = tmp_path / "elm.toml"
    store.save(_session("IMG 1.jpg", sums={"IMG 1.jpg": "ab12"}), path)
    text = path.read_text(encoding="utf-8")
    assert text.endswith('\n[photo_sums]\n"IMG 1.jpg" = "ab12"\n')
    assert store.load(path).photo_sums == {"IMG 1.jpg": "ab12"}
    store.save(_session(), tmp_path / "none.toml")
    assert "photo_sums" not in (tmp_path / "none.toml").read_text(encoding="utf-8")
