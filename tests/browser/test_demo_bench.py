"""The demo as everybody starts it: the real command, the real solver, the real recordings, in a real browser."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import TABLET, PageMaker, opened

pytestmark = pytest.mark.browser
SLOW_MS = 60_000


def reading(page: Page, gate: str) -> str:
    """The large figure at a gate: the tallest text of its label."""
    figures: str = page.evaluate(
        """(gate) => { const label = document.querySelector(`#board [data-gate="${gate}"]`).closest(".gate");
            const texts = [...label.querySelectorAll("text")];
            return texts.sort((a, b) => parseFloat(b.getAttribute("font-size")) -
                parseFloat(a.getAttribute("font-size")))[0].textContent; }""",
        gate,
    )
    return figures


def test_more_wind_on_final_asks_for_a_higher_low_key(new_page: PageMaker, demo: str) -> None:
    page = opened(new_page, demo, "exercises")
    expect(page.locator("#board svg")).to_be_visible(timeout=SLOW_MS)
    lowest = page.locator('#ladder svg [data-gate="low key"]')
    before = lowest.text_content()
    page.locator("#field-wind_1").fill("250° 30 kt")
    page.locator("#field-wind_1").press("Enter")
    expect(page.locator("#sheet")).to_have_class("sheet", timeout=SLOW_MS)
    expect(page.locator("#field-faults")).to_be_empty()
    assert page.locator("#board svg").get_by_text("250°").count() >= 1
    assert lowest.text_content() != before
    assert reading(page, "low key").replace(",", "").isdigit()


def test_a_weight_without_unit_is_answered_with_the_units_accepted(new_page: PageMaker, demo: str) -> None:
    page = opened(new_page, demo, "exercises")
    page.locator("#field-weight").fill("3350")
    page.locator("#field-weight").press("Enter")
    fault = page.locator("#field-faults")
    expect(fault).to_contain_text('"3350"', timeout=SLOW_MS)
    expect(fault).to_contain_text("lb")


def test_the_card_of_the_demo_is_saved_with_a_reason(new_page: PageMaker, demo: str) -> None:
    page = opened(new_page, demo, "exercises")
    page.get_by_role("button", name="Print the card").click()
    reason = page.get_by_label("Reason to fly it all the same")
    if reason.count():
        reason.fill("Dual, at a quiet field.")
    with page.expect_download(timeout=SLOW_MS) as saved:
        page.get_by_role("button", name="Save the PDF").click()
    with open(saved.value.path(), "rb") as card:
        assert card.read(5) == b"%PDF-"


@pytest.mark.parametrize("index", [0, 1, 2])
def test_every_recording_of_the_demo_has_a_lesson_sheet(new_page: PageMaker, demo: str, index: int) -> None:
    page = new_page(f"{demo}/debriefs", TABLET)
    page.locator(".recordings a").nth(index).click()
    page.get_by_role("link", name="Skip the questions").click()
    expect(page.locator("h1.headline")).to_contain_text("dead engine", timeout=SLOW_MS)
    expect(page.locator(".lesson li figure.cut svg").first).to_be_visible()
    expect(page.locator("#board .cursor-bead")).to_be_visible()
    assert page.locator("#cursor-at").text_content()


def test_a_letter_is_no_recording(new_page: PageMaker, demo: str) -> None:
    page = new_page(f"{demo}/debriefs")
    page.locator("input[type=file]").set_input_files(
        {"name": "letter.txt", "mimeType": "text/plain", "buffer": b"Dear instructor,\nit was windy.\n"}
    )
    expect(page.locator("#upload-trouble")).to_contain_text("letter.txt", timeout=SLOW_MS)
    expect(page.get_by_role("heading", level=1)).to_have_text("Debriefs")
