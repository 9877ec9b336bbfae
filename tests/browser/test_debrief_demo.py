"""What needs a real flight: flown on otherwise from the bead, and a table whose titles nobody knows."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, TABLET, PageMaker
from volplane import bootstrap

pytestmark = pytest.mark.browser
SIZES = [pytest.param(DESKTOP, id="desktop"), pytest.param(TABLET, id="tablet")]


def sheet(new_page: PageMaker, demo: str, size: dict[str, int] | None = None) -> Page:
    page = new_page(f"{demo}/debriefs", size)
    address = page.locator(".recordings a", has_text="Mara Quist").last.get_attribute("href")
    page.goto(f"{demo}{address}?own=skipped")
    page.wait_for_selector("html[data-ready]")
    return page


@pytest.mark.parametrize("size", SIZES)
def test_the_rest_is_flown_otherwise_from_the_bead_and_drawn(
    new_page: PageMaker, demo: str, size: dict[str, int]
) -> None:
    page = sheet(new_page, demo, size)
    page.locator("#fold-what-if > summary").click()
    # past the low key, before the planned turn: turning now wins height
    page.get_by_role("slider", name="Second of the flight").focus()
    page.keyboard.press("Home")
    for _ in range(7):
        page.keyboard.press("PageUp")
    page.locator("#what-if select[name=turn]").select_option("now")
    page.get_by_role("button", name="Fly it").click()
    said = page.locator("#what-if-said")
    expect(said).to_contain_text("turn to base now")
    expect(said).to_contain_text("more height")
    expect(page.locator("#board .what-if path")).to_be_visible()
    # the same second with the gear out ends lower
    page.locator("#what-if select[name=turn]").select_option("")
    page.locator("#what-if select[name=configuration]").select_option(index=1)
    page.get_by_role("button", name="Fly it").click()
    expect(said).to_contain_text("less height")
    expect(page.locator("#board .what-if")).to_have_count(1)
    page.get_by_role("button", name="Wipe it off").click()
    expect(page.locator("#board .what-if")).to_have_count(0)


def test_a_wish_that_cannot_be_read_is_said_and_the_rest_works_on(new_page: PageMaker, demo: str) -> None:
    page = sheet(new_page, demo)
    page.locator("#fold-what-if > summary").click()
    page.locator("#what-if input[name=speed]").fill("fast")
    page.get_by_role("button", name="Fly it").click()
    expect(page.locator("#what-if-trouble")).to_contain_text("fast")
    page.locator("#what-if input[name=speed]").fill("125 kt")
    page.get_by_role("button", name="Fly it").click()
    expect(page.locator("#what-if-said")).to_contain_text("125 kt")
    expect(page.locator("#what-if-trouble")).to_be_hidden()


def test_a_table_with_unknown_titles_is_explained_once_and_known_from_then_on(new_page: PageMaker, demo: str) -> None:
    recording = next(each for each in bootstrap.demo_recordings() if each.file_name.endswith(".csv"))
    titles, _, rows = recording.data.decode().partition("\r\n")
    known = titles.split(",")
    strange = ",".join(f"K{number}" for number in range(len(known)))
    first, second = (f"{strange}\r\n{rows}{extra}".encode() for extra in ("", "\r\n"))
    page = new_page(f"{demo}/debriefs")
    chooser = page.locator("input[type=file]")
    chooser.set_input_files({"name": "strange.csv", "mimeType": "text/csv", "buffer": first})
    dialog = page.locator("#columns")
    expect(dialog).to_be_visible()
    expect(dialog.locator("tbody tr")).to_have_count(len(known))
    dialog.get_by_role("button", name="Keep this and read it").click()
    expect(page.locator("#columns-trouble")).to_contain_text("latitude")
    meant = {
        "UTC": ("date and time", ""),
        "Latitude (deg)": ("latitude", "deg"),
        "Longitude (deg)": ("longitude", "deg"),
    }
    for number, title in enumerate(known):
        channel, unit = meant.get(title, ("", ""))
        if "altitude" in title.lower():
            kind = "indicated altitude" if title.startswith("Indicated") else "GPS altitude"
            channel, unit = ("pressure altitude" if title.startswith("Pressure") else kind), "ft"
        dialog.locator("select").nth(number).select_option(channel)
        dialog.locator("td input").nth(number).fill(unit)
    dialog.get_by_role("button", name="Keep this and read it").click()
    expect(page.get_by_role("heading", level=1)).to_contain_text("own view", timeout=60_000)
    page.goto(f"{demo}/debriefs")
    page.wait_for_selector("html[data-ready]")
    chooser.set_input_files({"name": "strange-2.csv", "mimeType": "text/csv", "buffer": second})
    expect(page.get_by_role("heading", level=1)).to_contain_text("own view", timeout=60_000)
