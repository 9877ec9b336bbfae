"""Every page against WCAG 2.2 A and AA by axe-core, light and dusk, at both widths, in a real browser.

axe-core is the outside judge; what it does not look at (finger-wide targets, a page that scrolls sideways) is held
beside it.
"""

from __future__ import annotations

import pathlib

import pytest
from playwright.sync_api import Page

from tests.browser.conftest import DESKTOP, TABLET, PageMaker

pytestmark = pytest.mark.browser
AXE = pathlib.Path(__file__).parents[2] / "web" / "node_modules" / "axe-core" / "axe.min.js"
TAGS = ["wcag2a", "wcag2aa", "wcag21a", "wcag21aa", "wcag22aa"]
PAGES = (
    "/",
    "/airplanes",
    "/airplanes/dunlin",
    "/airplanes/dunlin/text",
    "/airfields",
    "/airfields/meadow",
    "/exercises",
    "/exercises/new",
    "/exercises/quill",
    "/exercises/quill/text",
    "/debriefs",
    "/debriefs/high",
    "/debriefs/high?own=skipped",
    "/people",
    "/people/mara",
    "/manual",
    "/manual/files",
    "/no-such-page",
)
# a link inside a sentence, and what is only for a screen reader, need not be finger-wide (WCAG 2.2, 2.5.8, inline)
SMALL_TARGETS = """() => [...document.querySelectorAll(
        "button, .button, select, input:not([type=file]), summary, nav a")]
    .filter((each) => each.offsetParent !== null && !each.closest(".skip"))
    .map((each) => [each, (each.closest("label") ?? each).getBoundingClientRect()])
    .filter(([, box]) => box.height < 43.5 && box.height > 0)
    .map(([each, box]) => `${each.outerHTML.slice(0, 90)} ${box.height}`)"""
RUNS_OFF = "() => document.documentElement.scrollWidth - document.documentElement.clientWidth"


def judged(page: Page, tags: list[str]) -> list[str]:
    """What axe-core finds, a line each."""
    found: list[str] = page.evaluate(
        """async (tags) => (await axe.run(document, { runOnly: { type: "tag", values: tags } })).violations.flatMap(
            (each) => each.nodes.map((node) => `${each.id}: ${node.target} ${node.failureSummary}`))""",
        tags,
    )
    return found


@pytest.mark.parametrize("path", PAGES)
def test_axe_finds_nothing_on_any_page_light_or_dusk_wide_or_narrow(new_page: PageMaker, bench: str, path: str) -> None:
    page = new_page(f"{bench}{path}", DESKTOP)
    # scripts of the page's own world only are let in by its policy; axe runs in the world of the tests
    page.evaluate(AXE.read_text(encoding="utf-8"))
    for size in (DESKTOP, TABLET):
        page.set_viewport_size(size)  # type: ignore[arg-type]
        for theme in ("light", "dusk"):
            page.evaluate("(theme) => { document.documentElement.dataset.theme = theme }", theme)
            page.wait_for_timeout(150)
            assert judged(page, TAGS) == [], f"{path} {size} {theme}"
        assert page.evaluate(RUNS_OFF) <= 0
        assert page.evaluate(SMALL_TARGETS) == []


def test_axe_does_find_what_is_wrong(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/new")
    page.evaluate(AXE.read_text(encoding="utf-8"))
    page.evaluate("() => document.querySelector('label[for=\"today.qnh\"]').remove()")
    assert any(line.startswith("label") for line in judged(page, TAGS))
