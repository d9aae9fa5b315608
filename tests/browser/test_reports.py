"""The pages of the demonstration house in a real browser: all is there, leads on, and can be used.

The checker of accessibility is axe-core (MPL-2.0), which comes with its Python package. Where no
browser is on the machine these tests are skipped, and say so.
"""

from __future__ import annotations

import io
import os
import shutil
import unicodedata
from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright
from pypdf import PdfReader

from tests.report.test_pages import document, house, html
from walkthrough.report.words import READERS

BROWSERS = ("chromium", "chromium-browser", "google-chrome", "google-chrome-stable", "msedge")
SHOWN = [
    each if each == "client" else pytest.param(each, marks=pytest.mark.slow) for each in READERS
]
SIZES = {"desktop": (1280, 900), "telephone": (390, 844)}


@pytest.fixture(scope="module")
def browser() -> Iterator[Browser]:
    named = os.environ.get("WALKTHROUGH_BROWSER")
    program = named or next(filter(None, map(shutil.which, BROWSERS)), None)
    if program is None:
        pytest.skip(f"no browser on this machine: looked for {', '.join(BROWSERS)}")
    with sync_playwright() as playwright:
        # Inside a container the browser's own sandbox cannot be set up; the page is our own.
        started = playwright.chromium.launch(executable_path=program, args=["--no-sandbox"])
        yield started
        started.close()


def opened(browser: Browser, page: str, folder: Path, size: tuple[int, int]) -> Page:
    path = folder / "report.html"
    path.write_text(page, encoding="utf-8")
    shown = browser.new_page(viewport={"width": size[0], "height": size[1]})
    shown.goto(path.as_uri())
    return shown


def seen(page: Page) -> str:
    return " ".join(page.inner_text("main").split())


def wrong(page: Page) -> list[str]:
    """What the checker finds, each with the elements it is about."""
    found: list[dict[str, Any]] = Axe().run(page).response["violations"]
    return [f"{each['id']}: {[node['html'] for node in each['nodes']][:3]}" for each in found]


@pytest.mark.parametrize("reader", SHOWN)
def test_every_deficiency_is_to_be_seen(reader: str, browser: Browser, tmp_path: Path) -> None:
    page = opened(browser, html(reader), tmp_path, SIZES["desktop"])
    words = seen(page)
    found = house()[0]["deficiencies"]
    assert found
    for each in found:
        assert " ".join(each["says"].split()) in words
        assert each["subject"] in words
    page.close()


@pytest.mark.parametrize("reader", SHOWN)
def test_every_link_leads_to_a_place_on_the_page(
    reader: str, browser: Browser, tmp_path: Path
) -> None:
    page = opened(browser, html(reader), tmp_path, SIZES["desktop"])
    links = page.locator("a")
    assert links.count() >= 5
    for number in range(links.count()):
        page.evaluate("scrollTo(0, 0)")
        link = links.nth(number)
        address = link.get_attribute("href") or ""
        link.click()
        assert page.url.endswith(address)
        at = page.locator(f"[id='{address[1:]}']").bounding_box()
        assert at is not None
        assert -1 <= at["y"] <= SIZES["desktop"][1], address
    page.close()


@pytest.mark.parametrize("size", ["desktop", pytest.param("telephone", marks=pytest.mark.slow)])
@pytest.mark.parametrize("reader", SHOWN)
def test_the_checker_of_accessibility_finds_nothing(
    reader: str, size: str, browser: Browser, tmp_path: Path
) -> None:
    page = opened(browser, html(reader), tmp_path, SIZES[size])
    assert wrong(page) == []
    # Nothing makes the page itself wider than the screen.
    assert page.evaluate("document.documentElement.scrollWidth") <= SIZES[size][0]
    page.close()


def test_a_client_need_not_turn_many_pages(browser: Browser, tmp_path: Path) -> None:
    """132 findings: with each of them told in full at each place there were eighteen pages."""
    page = opened(browser, html("client"), tmp_path, SIZES["desktop"])
    printed = PdfReader(io.BytesIO(page.pdf(prefer_css_page_size=True)))
    assert 5 < len(printed.pages) <= 16
    # What is dangerous now is to be read without turning further than to the second page.
    first = " ".join(" ".join(each.extract_text() for each in printed.pages[:2]).split())
    # A font may join letters such as f and i.
    first = unicodedata.normalize("NFKC", first)
    for each in document("client").now:
        assert each.common["says"] in first
    page.close()


def test_the_checker_does_find_what_is_wrong(browser: Browser, tmp_path: Path) -> None:
    faulty = (
        html("client").replace("<main>", '<main><img src="data:,">').replace("#1a1a1a", "#bbbbbb")
    )
    page = opened(browser, faulty, tmp_path, SIZES["desktop"])
    told = " ".join(wrong(page))
    assert "image-alt" in told
    assert "color-contrast" in told
    page.close()


@pytest.mark.parametrize("size", ["desktop", pytest.param("telephone", marks=pytest.mark.slow)])
@pytest.mark.parametrize("reader", SHOWN)
def test_every_text_of_a_drawing_has_the_room_that_was_reckoned(
    reader: str, size: str, browser: Browser, tmp_path: Path
) -> None:
    """With the fonts of this machine no text is longer than it was taken to be at most."""
    page = opened(browser, html(reader), tmp_path, SIZES[size])
    drawn = page.evaluate(
        """[...document.querySelectorAll('svg')].map(svg => ({
            whole: [svg.viewBox.baseVal.width, svg.viewBox.baseVal.height],
            texts: [...svg.querySelectorAll('text')].map(text => {
                const box = text.getBBox();
                return [text.textContent, box.x, box.y, box.x + box.width, box.y + box.height];
            })
        }))"""
    )
    assert drawn
    for each in drawn:
        for text, left, top, right, bottom in each["texts"]:
            assert left >= 0, text
            assert top >= 0, text
            assert right <= each["whole"][0], text
            assert bottom <= each["whole"][1] + 1, text
        for number, (text, left, top, right, bottom) in enumerate(each["texts"]):
            for other, left2, top2, right2, bottom2 in each["texts"][number + 1 :]:
                # The box of a text is higher than its letters; half of it is theirs.
                apart = right <= left2 or right2 <= left
                apart = apart or (bottom - top) * 0.8 + top <= top2 + (bottom2 - top2) * 0.2
                apart = apart or (bottom2 - top2) * 0.8 + top2 <= top + (bottom - top) * 0.2
                assert apart, (text, other)
    page.close()


def test_no_drawing_is_parted_when_it_is_printed(browser: Browser, tmp_path: Path) -> None:
    """On letter paper each drawing is lower than what a page has room for."""
    page = opened(browser, html("electrician"), tmp_path, (716, 900))
    page.emulate_media(media="print")
    heights = page.evaluate(
        "[...document.querySelectorAll('figure.drawing')].map(f => f.getBoundingClientRect().height)"
    )
    assert heights
    # 11 inches less the margins of 16 mm, in pixels of a page: 96 to the inch (CSS).
    assert max(heights) <= 11 * 96 - 2 * 16 / 25.4 * 96
    page.close()


def test_every_circuit_with_outlets_has_its_picture(browser: Browser, tmp_path: Path) -> None:
    page = opened(browser, html("electrician"), tmp_path, SIZES["desktop"])
    for each in document("electrician").data["circuits"]:
        name = f"Wiring of circuit {each['id']}"
        count = page.get_by_role("img", name=name, exact=True).count()
        assert count == (1 if each["wiring"] else 0), name
    page.close()
