"""A report as PDF: whole, with page numbers and a running head; and what is said where it cannot be."""

from __future__ import annotations

import functools
import sys
import tempfile
from pathlib import Path

import pytest
from pypdf import PdfReader

from tests.report.homes import homes
from walkthrough.cli import main
from walkthrough.report.as_pdf import PdfMissing, as_pdf
from walkthrough.report.seal import is_as_written

__all__ = ["homes"]

RECORD = Path(__file__).resolve().parents[2] / "sessions" / "larkspur-house.toml"
Output = pytest.CaptureFixture[str]


def can_make() -> str:
    """Why no PDF can be made on this machine; "" where it can."""
    try:
        as_pdf("<p>x</p>")
    except PdfMissing as missing:
        return str(missing)
    return ""


WHY_NOT = can_make()
needs_library = pytest.mark.skipif(bool(WHY_NOT), reason=f"a PDF {WHY_NOT}")


@functools.cache
def pages() -> list[str]:
    """The text of each page of the client's report."""
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "house.pdf"
        assert main(["replay", str(RECORD), "--format", "pdf", "--out", str(out)]) == 0
        return [page.extract_text() for page in PdfReader(out).pages]


@needs_library
def test_pages_are_numbered_and_tell_what_they_belong_to() -> None:
    told = pages()
    for number, text in enumerate(told, 1):
        assert f"Page {number} of {len(told)}" in text
        assert ("Larkspur House: receptacles and circuits, for the client" in text) is True
    assert all("2026-11-10" in text for text in told[1:3])


@needs_library
def test_what_is_dangerous_stands_in_it() -> None:
    whole = " ".join(" ".join(pages()).split())
    assert "Tested as hot and neutral reversed." in whole
    assert "It is not a code-compliance inspection" in whole


@needs_library
def test_one_that_nobody_changed_is_known_again(tmp_path: Path) -> None:
    """So that the app may write over it."""
    path = tmp_path / "house.pdf"
    path.write_bytes(as_pdf("<html lang='en'><title>t</title><h1>A house</h1></html>"))
    assert is_as_written(path)
    assert "A house" in PdfReader(path, strict=True).pages[0].extract_text()
    path.write_bytes(path.read_bytes().replace(b"%%EOF", b"%%eof"))
    assert not is_as_written(path)


@needs_library
def test_the_same_page_gives_the_same_bytes() -> None:
    page = "<html lang='en'><title>t</title><h1>A house</h1><p class='day'>2026-11-10</p></html>"
    first = as_pdf(page)
    assert first == as_pdf(page)
    assert first.startswith(b"%PDF-")


@needs_library
def test_a_row_of_a_table_is_not_parted() -> None:
    """Forty rows of two lines: on no page is one line of a row without the other."""
    rows = "".join(f"<tr><td>begins{n}<br>ends{n}</td></tr>" for n in range(80))
    style = "<style>tr { break-inside: avoid } td { border: 1px solid }</style>"
    with tempfile.TemporaryDirectory() as folder:
        out = Path(folder) / "rows.pdf"
        out.write_bytes(as_pdf(f"{style}<table>{rows}</table>"))
        told = [page.extract_text() for page in PdfReader(out).pages]
    assert len(told) > 1
    for text in told:
        assert text.count("begins") == text.count("ends")


@needs_library
def test_nothing_is_loaded_from_elsewhere(tmp_path: Path) -> None:
    secret = tmp_path / "secret.css"
    secret.write_text("p::after { content: 'from the disk' }", encoding="utf-8")
    out = tmp_path / "page.pdf"
    out.write_bytes(as_pdf(f"<link rel=stylesheet href='{secret.as_uri()}'><p>here</p>"))
    assert PdfReader(out).pages[0].extract_text().split()[0] == "here"
    assert "from the disk" not in PdfReader(out).pages[0].extract_text()


@needs_library
def test_the_overview_of_many_is_a_pdf_that_leads_to_the_reports(
    homes: Path, tmp_path: Path
) -> None:
    into = tmp_path / "into"
    assert main(["portfolio", str(homes), "--format", "pdf", "--into", str(into)]) == 0
    assert sorted(path.name for path in into.iterdir()) == [
        "overview.pdf",
        *(f"report-{name}.pdf" for name in ("ash", "birch", "cedar")),
    ]
    read = PdfReader(into / "overview.pdf")
    words = " ".join(" ".join(page.extract_text() for page in read.pages).split())
    assert words.index("Ash Cottage") < words.index("Cedar Cottage") < words.index("Birch Cottage")
    first = read.pages[0].mediabox
    # The table of many records is wide; the paper is letter, as for every report.
    assert (first.width, first.height) == (792, 612)
    linked = [note.get_object() for page in read.pages for note in page.get("/Annots", [])]
    assert [each["/A"]["/URI"] for each in linked] == [
        f"report-{name}.pdf" for name in ("ash", "cedar", "birch")
    ]
    told = PdfReader(into / "report-ash.pdf").pages[0].extract_text()
    assert "Ash Cottage: receptacles and circuits, for the client" in told


def test_without_the_library_no_record_of_many_is_judged_for_nothing(
    homes: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: Output
) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    out = tmp_path / "all.pdf"
    assert main(["portfolio", str(homes), "--format", "pdf", "--out", str(out)]) == 2
    assert capsys.readouterr().err.startswith("PDF: needs a library that is not installed;")
    assert not out.exists()


def test_without_the_library_its_extra_is_named(
    monkeypatch: pytest.MonkeyPatch, capsys: Output, tmp_path: Path
) -> None:
    monkeypatch.setitem(sys.modules, "weasyprint", None)
    out = tmp_path / "house.pdf"
    assert main(["replay", str(RECORD), "--format", "pdf", "--out", str(out)]) == 2
    told = capsys.readouterr().err
    assert told == ("PDF: needs a library that is not installed; pip install 'walkthrough[pdf]'\n")
    assert not out.exists()
