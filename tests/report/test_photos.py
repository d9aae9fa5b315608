"""Photos that are at hand stand in the page, small and without what the camera wrote into them."""

from __future__ import annotations

import base64
import hashlib
import io
import re
from pathlib import Path

import pytest
from PIL import Image

from tests.report.pages import Page
from walkthrough.cli import main
from walkthrough.report import photo_files
from walkthrough.report.photo_files import LONGEST, Shown, shown
from walkthrough.survey import store
from walkthrough.survey.photos import Photo

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
Output = pytest.CaptureFixture[str]

UPRIGHT, TURNED = 1, 6
ORIENTATION, MAKER = 0x0112, 0x010F


def take(path: Path, size: tuple[int, int] = (1600, 1200), orientation: int = UPRIGHT) -> None:
    """A picture as a camera writes it, with who made it and how it was held."""
    tags = Image.Exif()
    tags[ORIENTATION], tags[MAKER] = orientation, "taken at Example Street 1"
    Image.linear_gradient("L").resize(size).convert("RGB").save(path, exif=tags)


def photo(name: str) -> Photo:
    return Photo("K-4", "outlet", name, "", "no checksum yet")


def opened(picture: Shown) -> Image.Image:
    kind, _, data = picture.uri.partition(",")
    assert kind == "data:image/jpeg;base64"
    return Image.open(io.BytesIO(base64.b64decode(data)))


@pytest.fixture
def record(tmp_path: Path) -> Path:
    """The demonstration house with four pictures named at K-4; three of the files are there."""
    session = store.load(RECORD)
    outlet = session.outlet("K-4")
    assert outlet is not None
    outlet.photos = ["IMG_1.jpg", "IMG_2.jpg", "IMG_3.jpg", "notes.jpg"]
    folder = tmp_path / "elm"
    folder.mkdir()
    take(folder / "IMG_1.jpg")
    take(folder / "IMG_2.jpg")
    (folder / "notes.jpg").write_text("no picture at all", encoding="utf-8")
    first = hashlib.sha256((folder / "IMG_1.jpg").read_bytes()).hexdigest()
    session.photo_sums = {"IMG_1.jpg": first, "IMG_2.jpg": "0" * 64}
    path = tmp_path / "elm.toml"
    store.save(session, path)
    return path


def test_each_photo_has_its_number_caption_and_state(record: Path, capsys: Output) -> None:
    assert main(["replay", str(record), "--format", "html"]) == 0
    html = capsys.readouterr().out
    page = Page(html)
    at = "K-4, Kitchen, counter right of sink"
    for told in (
        f"Photo 1: {at}; IMG_1.jpg; checksum as recorded",
        f"Photo 2: {at}; IMG_2.jpg; changed: another picture than the one that was recorded",
        f"Photo 3: {at}; IMG_3.jpg; missing; not at hand",
        f"Photo 4: {at}; notes.jpg; no checksum yet; not shown: not a kind of picture",
    ):
        assert told in page.text
    pictures = [said for tag, said in page.attributes if tag == "img"]
    assert [said["alt"] for said in pictures] == [f"Photo 1 of {at}", f"Photo 2 of {at}"]
    assert all((said["src"] or "").startswith("data:image/jpeg;base64,") for said in pictures)
    assert "img-src data:" in html


def test_a_finding_leads_to_the_photos_of_its_place(record: Path, capsys: Output) -> None:
    assert main(["replay", str(record), "--format", "html"]) == 0
    page = Page(capsys.readouterr().out)
    assert ("#photo-1", "photo 1") in page.links
    assert "photo-1" in [said.get("id") for _, said in page.attributes]


def test_markdown_names_them(record: Path, capsys: Output) -> None:
    assert main(["replay", str(record), "--format", "md"]) == 0
    assert "| 1 | K\\-4 | IMG\\_1.jpg | as recorded |" in capsys.readouterr().out.replace(
        "| K-4 |", "| K\\-4 |"
    )


def test_a_picture_is_made_smaller_and_turned_upright(tmp_path: Path) -> None:
    take(tmp_path / "wide.jpg", (3000, 2000))
    take(tmp_path / "turned.jpg", (3000, 2000), TURNED)
    found = shown([photo("wide.jpg"), photo("turned.jpg")], tmp_path)
    assert opened(found["wide.jpg"]).size == (LONGEST, LONGEST * 2 // 3)
    assert opened(found["turned.jpg"]).size == (LONGEST * 2 // 3, LONGEST)
    assert (found["turned.jpg"].width, found["turned.jpg"].height) == (800, 1200)


def test_nothing_that_the_camera_wrote_goes_into_the_page(tmp_path: Path) -> None:
    take(tmp_path / "a.jpg")
    assert b"Example Street" in (tmp_path / "a.jpg").read_bytes()
    picture = shown([photo("a.jpg")], tmp_path)["a.jpg"]
    assert not opened(picture).getexif()
    assert b"Example Street" not in base64.b64decode(picture.uri.partition(",")[2])


def test_a_page_does_not_become_too_large(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    take(tmp_path / "a.jpg")
    take(tmp_path / "b.jpg")
    one = len(shown([photo("a.jpg")], tmp_path)["a.jpg"].uri)
    monkeypatch.setattr(photo_files, "MOST_IN_ALL", one + 10)
    found = shown([photo("a.jpg"), photo("b.jpg")], tmp_path)
    assert found["a.jpg"].uri
    assert found["b.jpg"] == Shown(why_not="not shown, as the page would become too large")


@pytest.mark.parametrize("kept", [30, 700, 0])
def test_a_damaged_file_is_told_and_nothing_breaks(tmp_path: Path, kept: int) -> None:
    take(tmp_path / "a.jpg")
    (tmp_path / "a.jpg").write_bytes((tmp_path / "a.jpg").read_bytes()[:kept])
    assert re.match("not shown: ", shown([photo("a.jpg")], tmp_path)["a.jpg"].why_not)


def test_a_link_out_of_the_folder_is_not_followed(tmp_path: Path) -> None:
    folder = tmp_path / "elm"
    folder.mkdir()
    take(tmp_path / "private.jpg")
    (folder / "a.jpg").symlink_to(tmp_path / "private.jpg")
    assert "leads out of the photo folder" in shown([photo("a.jpg")], folder)["a.jpg"].why_not
