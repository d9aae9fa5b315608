"""A report as one HTML page or as Markdown: the templates, and what makes record text harmless."""

from __future__ import annotations

import functools
import re
from typing import Any

from jinja2 import Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from walkthrough.report.cautions import how_sure
from walkthrough.report.document import Document
from walkthrough.report.drawing import letter
from walkthrough.report.explained import used
from walkthrough.report.portfolio_view import Overview
from walkthrough.report.seal import sealed
from walkthrough.report.text import counted, one_line
from walkthrough.report.visits_page import VisitsPage, change_words, told_words
from walkthrough.report.words import COPIED, differ, due_words, since_told

_MARKUP = re.compile(r"([\\`*_\[\]#|~$@])")
# What would begin a list, a heading or a rule where it stands at the beginning of a line.
_BEGINS = re.compile(r"^(?:(?=[-+=:])|(\d+)(?=[.)](?:\s|$)))")
# What would become a link by itself.
_LINK = re.compile(r":(?=//)|(?<=www)\.", re.IGNORECASE)


def as_html(document: Document | VisitsPage | Overview) -> str:
    """The report as one page that needs no network and no script, sealed."""
    return sealed(_rendered(document, f"{_template(document)}.html", _safe_html))


def as_markdown(document: Document | VisitsPage | Overview) -> str:
    """The report as Markdown; text of the record holds no markup in it."""
    text = _rendered(document, f"{_template(document)}.md", _safe_markdown)
    return re.sub(r"\n{3,}", "\n\n", text).strip() + "\n"


def _template(document: Document | VisitsPage | Overview) -> str:
    if isinstance(document, Overview):
        return "overview"
    return "visits" if isinstance(document, VisitsPage) else "report"


def _rendered(document: Document | VisitsPage | Overview, template: str, finalize: Any) -> str:
    page = _environment(finalize).get_template(template)
    return page.render(report=document, how_sure=how_sure)


# To read the templates takes longer than to fill them in, and a portfolio fills in many.
@functools.cache
def _environment(finalize: Any) -> Environment:
    environment = Environment(
        loader=PackageLoader("walkthrough.report"),
        autoescape=True,
        finalize=finalize,
        undefined=StrictUndefined,
        trim_blocks=True,
        lstrip_blocks=True,
    )
    environment.filters.update(
        amount=_amount,
        changed=lambda change, subject: change_words(subject, change),
        counted=counted,
        deep=_deep,
        due=due_words,
        letter=letter,
        money=_money,
        differ=differ,
        used=used,
        since=since_told,
        told=told_words,
    )
    environment.globals["copied_told"] = COPIED
    return environment


def _safe_html(value: Any) -> Any:
    """What autoescape does not do: characters that steer. Escaping itself comes after."""
    return value if isinstance(value, Markup) else one_line(str(value))


def _safe_markdown(value: Any) -> Markup:
    """The text with all that Markdown or HTML would read as markup escaped."""
    if isinstance(value, Markup):
        return value
    text = _MARKUP.sub(r"\\\1", one_line(str(value)))
    text = _LINK.sub(lambda found: "\\" + found.group(), text)
    text = _BEGINS.sub(r"\1\\", text)
    return Markup(text.replace("&", "&amp;").replace("<", "&lt;").replace(">", "&gt;"))


def _money(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:.2f}"


def _amount(value: float | str) -> str:
    return value if isinstance(value, str) else f"{value:g}"


def _deep(branches: str) -> Markup:
    """The blanks before an outlet in nested lists; each level of the tree is three marks wide."""
    return Markup("  " * (len(branches) // 3))
