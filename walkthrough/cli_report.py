"""The pages of `replay`: for whom, under whose name, and with which plan."""

from __future__ import annotations

import argparse
from collections.abc import Sequence
from pathlib import Path

from walkthrough.cli_output import output
from walkthrough.judge.under import Judged
from walkthrough.report.as_json import as_json
from walkthrough.report.document import READERS, Document
from walkthrough.report.firm import load_firm
from walkthrough.rulebook.problems import Problem, Unusable
from walkthrough.survey.photos import Photo

PAGES = ("md", "html")
CLIENT, LANDLORD = "client", "landlord"


def add_reader_options(parser: argparse.ArgumentParser) -> None:
    """Add what every page takes."""
    parser.add_argument(
        "--for",
        dest="reader",
        choices=tuple(READERS),
        help="for whom an md or html report is: the client, if nothing is said",
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
            raise _wrong(option, "makes sense only with --format md or html")


def refuse_options(chosen: argparse.Namespace) -> None:
    """Raise Unusable where an option of `replay` would say nothing."""
    refuse_page_options(chosen)
    if chosen.prices is not None and chosen.format not in PAGES:
        raise _wrong("--prices", "makes sense only with --format md or html")
    if chosen.prices is not None and chosen.reader in (None, CLIENT):
        raise _wrong("--prices", "makes sense only with --for landlord or electrician")
    if chosen.format in PAGES and len(chosen.session) > 1:
        raise _wrong(
            f"--format {chosen.format}",
            f"found {len(chosen.session)} sessions; expected one, as a report is about one",
        )


def write_page(chosen: argparse.Namespace, judged: Judged, photos: Sequence[Photo]) -> None:
    """Write the report of one record as Markdown or HTML; raises Unusable for a file it names."""
    # The planner and Jinja2 are imported only here: other formats need not wait for them.
    from walkthrough.cli_plan import made_plan
    from walkthrough.remedy.load import load_actions
    from walkthrough.report.pages import as_html, as_markdown
    from walkthrough.report.plan_json import plan_json

    reader = chosen.reader or CLIENT
    firm = load_firm(chosen.firm) if chosen.firm is not None else None
    plan = None
    if reader != CLIENT and judged.chosen:
        books = [each.book for each in judged.chosen]
        plan = plan_json(made_plan(judged.session, books, load_actions(books[0]), chosen.prices))
    document = Document(as_json(judged, photos), reader, plan, firm)
    page = as_html(document) if chosen.format == "html" else as_markdown(document)
    with output(chosen.out) as out:
        out.write(page)


def _wrong(option: str, message: str) -> Unusable:
    return Unusable([Problem(option, 0, 0, message)])
