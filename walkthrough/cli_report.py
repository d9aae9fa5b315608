"""The pages of `replay`: for whom, under whose name, and with which plan."""

from __future__ import annotations

import argparse
from pathlib import Path
from typing import TYPE_CHECKING

from walkthrough.cli_arguments import wrong
from walkthrough.cli_output import binary_output, output
from walkthrough.judge.under import Judged
from walkthrough.report.as_json import as_json
from walkthrough.report.photo_files import shown
from walkthrough.report.words import READERS
from walkthrough.survey.photos import folder_of, look

if TYPE_CHECKING:
    from walkthrough.remedy.plan import Plan
    from walkthrough.report.document import Document
    from walkthrough.report.firm import Firm
    from walkthrough.report.portfolio_view import Overview
    from walkthrough.report.visits_page import VisitsPage

TEXT_PAGES = ("md", "html")
PAGES = (*TEXT_PAGES, "pdf")
NO_TEXT = "as a PDF is no text for a screen"
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
        "--prices",
        type=Path,
        metavar="FILE",
        help="your own prices; only with them a report for the client tells costs",
    )


def refuse_page_options(chosen: argparse.Namespace) -> None:
    """Raise Unusable where an option for pages would say nothing."""
    for option, value in {"--for": chosen.reader, "--firm": chosen.firm}.items():
        if value is not None and chosen.format not in PAGES:
            raise wrong(option, "makes sense only with --format md, html or pdf")
    if chosen.format == "pdf" and chosen.out is None:
        raise wrong("--format pdf", f"expected --out FILE, {NO_TEXT}")


def refuse_options(chosen: argparse.Namespace) -> None:
    """Raise Unusable where an option of `replay` would say nothing."""
    refuse_page_options(chosen)
    if chosen.prices is not None and chosen.format not in PAGES:
        raise wrong("--prices", "makes sense only with --format md, html or pdf")
    if chosen.format in PAGES and len(chosen.session) > 1:
        raise wrong(
            f"--format {chosen.format}",
            f"found {len(chosen.session)} sessions; expected one, as a report is about one",
        )


def write_page(chosen: argparse.Namespace, judged: Judged, record: Path) -> None:
    """Write the report of one record as a page; raises Unusable for a file it names."""
    # What only pages need is imported only for pages: `replay` starts in less time without it.
    from walkthrough.report.firm import load_firm

    firm = load_firm(chosen.firm) if chosen.firm is not None else None
    reader = chosen.reader or CLIENT
    document = made_document(judged, record, reader, chosen.prices, firm)
    write_document(chosen.format, document, chosen.out)


def write_document(form: str, document: Document | VisitsPage | Overview, to: Path | None) -> None:
    """Write a page in one of `PAGES`; only a text goes to the screen."""
    if form == "pdf" and to is not None:
        written = pdf_page(document)
        with binary_output(to) as file:
            file.write(written)
        return
    page = text_page(form, document)
    with output(to) as out:
        out.write(page)


def made_document(
    judged: Judged,
    record: Path,
    reader: str,
    prices: Path | None = None,
    firm: Firm | None = None,
) -> Document:
    """A report for one reader, with the plan that it needs; raises Unusable."""
    plan = None
    if (reader != CLIENT or prices is not None) and judged.chosen:
        # The planner is imported only here: other formats need not wait for it.
        from walkthrough.cli_plan import made_plan
        from walkthrough.remedy.load import load_actions

        books = [each.book for each in judged.chosen]
        plan = made_plan(judged.session, books, load_actions(books[0]), prices)
    return document_with(judged, record, reader, plan, firm)


def document_with(
    judged: Judged, record: Path, reader: str, plan: Plan | None, firm: Firm | None
) -> Document:
    """A report for one reader with a plan or none, and the pictures beside the record."""
    from walkthrough.report.document import Document

    data = None
    if plan is not None:
        from walkthrough.report.plan_json import plan_json

        data = plan_json(plan)
    photos = look(judged.session, record)
    return Document(as_json(judged, photos), reader, data, firm, shown(photos, folder_of(record)))


def text_page(form: str, document: Document | VisitsPage | Overview) -> str:
    """A page as one of `TEXT_PAGES`."""
    # Jinja2 is imported only here: other formats need not wait for it.
    from walkthrough.report.pages import as_html, as_markdown

    return as_html(document) if form == "html" else as_markdown(document)


def pdf_page(document: Document | VisitsPage | Overview) -> bytes:
    """A report as PDF; raises Unusable where the library for it is not there."""
    from walkthrough.report.as_pdf import as_pdf

    refuse_without_pdf()
    return as_pdf(text_page("html", document))


def refuse_without_pdf() -> None:
    """Raise Unusable where no PDF can be made."""
    from walkthrough.report.as_pdf import PdfMissing, library

    try:
        library()
    except PdfMissing as missing:
        raise wrong("PDF", str(missing)) from None
