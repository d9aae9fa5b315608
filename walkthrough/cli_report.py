"""The pages of `replay`: for whom, under whose name, and with which plan."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from walkthrough.cli_output import binary_output, output
from walkthrough.judge.under import Judged
from walkthrough.report.as_json import as_json
from walkthrough.report.document import READERS, Document
from walkthrough.report.firm import Firm, load_firm
from walkthrough.report.photo_files import shown
from walkthrough.report.visits_page import VisitsPage
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.survey.photos import Photo, folder_of

TEXT_PAGES = ("md", "html")
PAGES = (*TEXT_PAGES, "pdf")
CLIENT, LANDLORD = "client", "landlord"


def add_reader_options(parser: argparse.ArgumentParser) -> None:
    """Add what every page takes."""
    parser.add_argument(
        "--for",
        dest="reader",
        choices=tuple(READERS),
        help="for whom an md, html or pdf report is: the client, if nothing is said",
    )
    parser.add_argument(
        "--firm", type=Path, metavar="FILE", help="name, licence and sentences of your firm"
    )


def add_report_options(parser: argparse.ArgumentParser) -> None:
    """Add what only the pages take."""
    add_reader_options(parser)
    parser.add_argument(
        "--prices", type=Path, metavar="FILE", help="your own prices, for landlord and electrician"
    )


def refuse_page_options(chosen: argparse.Namespace) -> None:
    """Raise Unusable where an option for pages would say nothing."""
    for option, value in {"--for": chosen.reader, "--firm": chosen.firm}.items():
        if value is not None and chosen.format not in PAGES:
            raise _wrong(option, "makes sense only with --format md, html or pdf")
    if chosen.format == "pdf" and chosen.out is None:
        raise _wrong("--format pdf", "expected --out FILE, as a PDF is no text for a screen")


def refuse_options(chosen: argparse.Namespace) -> None:
    """Raise Unusable where an option of `replay` would say nothing."""
    refuse_page_options(chosen)
    if chosen.prices is not None and chosen.format not in PAGES:
        raise _wrong("--prices", "makes sense only with --format md, html or pdf")
    if chosen.prices is not None and chosen.reader in (None, CLIENT):
        raise _wrong("--prices", "makes sense only with --for landlord or electrician")
    if chosen.format in PAGES and len(chosen.session) > 1:
        raise _wrong(
            f"--format {chosen.format}",
            f"found {len(chosen.session)} sessions; expected one, as a report is about one",
        )


def write_page(
    chosen: argparse.Namespace, judged: Judged, photos: Sequence[Photo], record: Path
) -> None:
    """Write the report of one record as a page; raises Unusable for a file it names."""
    firm = load_firm(chosen.firm) if chosen.firm is not None else None
    reader = chosen.reader or CLIENT
    write_document(chosen, made_document(judged, photos, record, reader, chosen.prices, firm))


def write_document(chosen: argparse.Namespace, document: Document | VisitsPage) -> None:
    """Write a page in the format that was chosen among `PAGES`."""
    if chosen.format == "pdf":
        written = pdf_page(document)
        with binary_output(chosen.out) as file:
            file.write(written)
        return
    # Jinja2 is imported only here: other formats need not wait for it.
    from walkthrough.report.pages import as_html, as_markdown

    page = as_html(document) if chosen.format == "html" else as_markdown(document)
    with output(chosen.out) as out:
        out.write(page)


def made_document(
    judged: Judged,
    photos: Sequence[Photo],
    record: Path,
    reader: str,
    prices: Path | None = None,
    firm: Firm | None = None,
) -> Document:
    """A report for one reader, with the plan that it needs and the pictures beside the record."""
    plan = None
    if reader != CLIENT and judged.chosen:
        # The planner is imported only here: other formats need not wait for it.
        from walkthrough.cli_plan import made_plan
        from walkthrough.remedy.load import load_actions
        from walkthrough.report.plan_json import plan_json

        books = [each.book for each in judged.chosen]
        plan = plan_json(made_plan(judged.session, books, load_actions(books[0]), prices))
    return Document(as_json(judged, photos), reader, plan, firm, shown(photos, folder_of(record)))


def pdf_page(document: Document | VisitsPage) -> bytes:
    """A report as PDF; raises Unusable where the library for it is not there."""
    from walkthrough.report.as_pdf import PdfMissing, as_pdf
    from walkthrough.report.pages import as_html

    try:
        return as_pdf(as_html(document))
    except PdfMissing as missing:
        raise _wrong("--format pdf", str(missing)) from None


def _wrong(option: str, message: str) -> Unusable:
    return Unusable([Problem(option, 0, 0, message)])
