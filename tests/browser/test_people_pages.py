"""A season in a real browser: a path is read, a record made in a few touches, somebody takes their lessons and goes."""

from __future__ import annotations

import pathlib
import time
import zipfile

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, TABLET, PageMaker

pytestmark = pytest.mark.browser


def person(new_page: PageMaker, bench: str, size: dict[str, int]) -> Page:
    """The page of the fixture's trainee, reached from the head of the first page."""
    page = new_page(bench, size)
    page.get_by_role("link", name="People", exact=True).click()
    page.get_by_role("link", name="Mara Quist").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Mara Quist")
    return page


def test_a_record_is_made_in_under_two_minutes_and_a_handful_of_touches(new_page: PageMaker, bench: str) -> None:
    """Typing is the instructor's: at one word a second the forty words of both comments take forty seconds."""
    begun = time.monotonic()
    touches = 0
    page = person(new_page, bench, TABLET)
    touches += 2
    page.get_by_role("link", name="Make the record of 14 May 2026").click()
    touches += 1
    for label in ("Place", "Airplane", "Conditions", "Standard"):
        assert page.get_by_label(label, exact=True).input_value() != ""
    page.get_by_label("Trainee’s own assessment").fill("Sure of the field at the low key, fast on final.")
    page.get_by_label("Instructor’s remarks").fill("Trim before the turn to base.")
    touches += 2
    page.get_by_role("button", name="Keep the record").click()
    touches += 1
    expect(page.get_by_role("heading", level=1)).to_have_text("Lesson of 14 May 2026")
    expect(page.locator("main")).to_contain_text("Sure of the field at the low key, fast on final.")
    expect(page.locator("main")).to_contain_text("not an endorsement")
    with page.expect_download() as saved:
        page.get_by_role("link", name="The record as PDF").click()
    touches += 1
    assert pathlib.Path(saved.value.path()).read_bytes().startswith(b"%PDF-")
    assert touches <= 7
    typed_s = 40.0
    assert time.monotonic() - begun + typed_s < 120.0


@pytest.mark.parametrize("size", [DESKTOP, TABLET], ids=["desktop", "tablet"])
def test_nothing_of_a_path_or_a_plan_stands_beyond_the_page(
    new_page: PageMaker, bench: str, size: dict[str, int]
) -> None:
    page = person(new_page, bench, size)
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    page.get_by_role("link", name="Dunlin Tourer, runway 25, Quill Meadow").click()
    page.get_by_label("Rung of the ladder").select_option(label="6. surprise")
    page.get_by_role("button", name="Show").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("Lesson plan, rung 6: surprise")
    expect(page.locator("main")).to_contain_text("The box: altimeter")
    assert page.evaluate("document.documentElement.scrollWidth <= innerWidth")
    with page.expect_download() as saved:
        page.get_by_role("link", name="The plan as PDF").click()
    assert pathlib.Path(saved.value.path()).read_bytes().startswith(b"%PDF-")


def test_somebody_is_added_by_keyboard_takes_their_files_and_is_forgotten(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/people")
    page.get_by_label("Name, or initials alone").focus()
    page.keyboard.type("Rike Sund")
    page.keyboard.press("Enter")
    expect(page.get_by_role("heading", level=1)).to_have_text("Rike Sund")
    with page.expect_download() as saved:
        page.get_by_role("link", name="Everything of theirs as open files").click()
    with zipfile.ZipFile(saved.value.path()) as files:
        assert any("person" in name for name in files.namelist())
    page.get_by_role("link", name="Forget this person").click()
    page.get_by_label("Type the name, Rike Sund").fill("Rike")
    page.get_by_role("button", name="Forget for good").click()
    expect(page.get_by_role("alert")).to_contain_text("Nothing was removed")
    page.get_by_label("Type the name, Rike Sund").fill("rike sund")
    page.get_by_role("button", name="Forget for good").click()
    expect(page.get_by_role("heading", level=1)).to_have_text("People")
    expect(page.locator("main")).not_to_contain_text("Rike Sund")
