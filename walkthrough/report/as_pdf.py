"""A page of a report as PDF, by a library that is installed only where somebody wants it."""

from __future__ import annotations

from importlib import resources
from typing import Any

from walkthrough.report.seal import sealed_pdf

HOW = "pip install 'walkthrough[pdf]'"


class PdfMissing(Exception):
    """The library, or what it needs of the system, is not there; says what to do."""


def as_pdf(html: str) -> bytes:
    """The page as a tagged PDF on letter paper, with page numbers and a running head, sealed.

    The same page gives the same bytes where library and fonts are the same. Raises PdfMissing.
    """
    weasyprint = library()
    style = resources.files("walkthrough.report") / "templates" / "pdf.css"
    # Nothing is loaded: what a page shows is in the page.
    fetcher = weasyprint.urls.URLFetcher(allowed_protocols=["data"])
    page = weasyprint.HTML(string=html, url_fetcher=fetcher)
    sheet = weasyprint.CSS(string=style.read_text(encoding="utf-8"))
    return sealed_pdf(page.write_pdf(stylesheets=[sheet], pdf_variant="pdf/ua-1"))


def library() -> Any:
    """What makes PDFs; raises PdfMissing."""
    try:
        import weasyprint
    except ImportError:
        raise PdfMissing(f"needs a library that is not installed; {HOW}") from None
    except OSError:
        message = (
            "needs the library Pango of the system, which is not installed; on Debian or Ubuntu "
            "apt-get install libpango-1.0-0 libpangoft2-1.0-0 libharfbuzz-subset0, elsewhere as "
            "the handbook of WeasyPrint says"
        )
        raise PdfMissing(message) from None
    return weasyprint
