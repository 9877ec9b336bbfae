"""Whole stories as an instructor lives them: real server, real solver, a store that begins empty or as the demo.

Each is told at the laptop's width and at the tablet's, where fingers do what the mouse did.
"""

from __future__ import annotations

import pathlib
import re
from collections.abc import Iterator

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, TABLET, PageMaker, opened
from tests.browser.server import free_port, fresh_server, running

pytestmark = pytest.mark.browser
SLOW_MS = 60_000
SIX = {
    "airplane.name": "Heron",
    "airplane.weights.maximum": "3,400 lb",
    "airplane.glide.best_speed": "105 kt",
    "airplane.glide.ratio": "9.1",
    "airplane.stall.clean": "66 kt",
    "airplane.stall.landing": "58 kt",
}
BY_HAND = {
    "airfield.name": "Alder Strip",
    "airfield.elevation": "120 ft",
    "airfield.runway[1].name": "18",
    "airfield.runway[1].threshold": "44.0, -40.0",
    "airfield.runway[1].far_end": "43.988, -40.0",
}
WIDTHS = [(DESKTOP, {}), (TABLET, {"has_touch": True})]


@pytest.fixture(scope="module")
def fresh(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    """The program as it is served to somebody who has never used it: an empty store."""
    port, folder = free_port(), tmp_path_factory.mktemp("fresh")
    with running(fresh_server(port, folder), port, folder / "log.txt") as address:
        yield address


def press(page: Page, name: str, touch: bool, role: str = "button") -> None:
    button = page.get_by_role(role, name=name, exact=True)  # type: ignore[arg-type]
    button.tap() if touch else button.click()


def write(page: Page, values: dict[str, str]) -> None:
    for key, value in values.items():
        page.locator(f'[id="{key}"]').fill(value)


@pytest.mark.parametrize("size, options", WIDTHS)
def test_six_numbers_and_a_runway_become_a_first_card(
    new_page: PageMaker, fresh: str, size: dict[str, int], options: dict[str, bool]
) -> None:
    touch = bool(options)
    page = new_page(f"{fresh}/exercises/new", size, **options)
    if (another := page.locator("#part-airplane").get_by_text("another one")).count():
        another.click()
        page.locator("#part-airfield").get_by_text("another one").click()
    write(page, SIX | {"airplane.glide.ratio": "nine"})
    page.locator("#by-hand summary").click()
    write(page, BY_HAND)
    press(page, "Plan it", touch)
    fault = page.locator('[id="airplane.glide.ratio-fault"]')
    expect(fault).to_have_text('Found "nine", expected a plain number from 2 to 30. Write for example "9.6".')
    # a reload takes nothing away
    page.reload()
    page.wait_for_selector("html[data-ready]")
    expect(page.locator('[id="airplane.stall.landing"]')).to_have_value("58 kt")
    expect(page.locator('[id="airfield.runway[1].far_end"]')).to_have_value("43.988, -40.0")
    write(page, {"airplane.glide.ratio": "9.1", "today.wind_0": "190 deg 7 kt"})
    press(page, "Plan it", touch)
    page.wait_for_url(re.compile(r"/exercises/[0-9a-f]{32}$"), timeout=SLOW_MS)
    expect(page.locator("#board svg")).to_be_visible(timeout=SLOW_MS)
    press(page, "Print the card", touch)
    reason = page.get_by_label("Reason to fly it all the same")
    if reason.count():
        reason.fill("Dual, at a quiet field.")
    with page.expect_download(timeout=SLOW_MS) as saved:
        press(page, "Save the PDF", touch)
    assert pathlib.Path(saved.value.path()).read_bytes().startswith(b"%PDF-")


def test_the_first_page_of_an_empty_house_is_one_sentence_and_one_button(
    new_page: PageMaker, tmp_path: pathlib.Path
) -> None:
    port = free_port()
    with running(fresh_server(port, tmp_path), port, tmp_path / "log.txt") as address:
        page = new_page(address)
        assert page.locator("main .button").count() == 1
        page.get_by_role("link", name="Begin").click()
        expect(page.get_by_role("heading", level=1)).to_have_text("A new exercise")


@pytest.mark.parametrize("size", [DESKTOP, TABLET])
def test_a_recording_dropped_becomes_findings_and_a_finding_leads_to_its_second(
    new_page: PageMaker, demo: str, size: dict[str, int]
) -> None:
    page = opened(new_page, demo, "debriefs", size)
    key = page.url.partition("/debriefs/")[2].partition("?")[0]
    page.goto(f"{demo}/debriefs")
    page.wait_for_selector("html[data-ready]")
    # the flight as somebody's recorder would give it: the bytes the program keeps of a demo lesson
    transfer = page.evaluate_handle(
        """async (address) => { const bytes = await (await fetch(address)).blob(); const data = new DataTransfer();
            data.items.add(new File([bytes], "this-morning.csv", { type: "text/csv" })); return data; }""",
        f"/api/debriefs/{key}/recording",
    )
    page.dispatch_event("#upload", "drop", {"dataTransfer": transfer})
    page.wait_for_url(re.compile(r"/debriefs/[0-9a-f]{32}"), timeout=SLOW_MS)
    page.get_by_role("link", name="Skip the questions").click()
    expect(page.locator("h1.headline")).to_contain_text("dead engine", timeout=SLOW_MS)
    slider = page.get_by_role("slider", name="Second of the flight")
    slider.focus()
    page.keyboard.press("Home")
    finding = page.locator(".lesson .to-second").first
    finding.click()
    second = float(finding.get_attribute("data-second") or "nan")
    assert abs(float(slider.get_attribute("aria-valuenow") or "nan") - second) <= 1.0


def test_the_low_key_moved_with_the_keyboard_is_answered_with_another_reading(new_page: PageMaker, demo: str) -> None:
    page = opened(new_page, demo, "exercises", TABLET)
    gate = page.locator('#board [data-gate="low key"] .grab')
    expect(gate).to_be_visible(timeout=SLOW_MS)
    before = page.locator("#ladder-tablet svg").first.text_content()
    gate.focus()
    for _ in range(3):
        page.keyboard.press("ArrowUp")
    page.wait_for_url("**low_key_height=*", timeout=SLOW_MS)
    expect(page.locator("#ladder-tablet svg").first).not_to_have_text(before or "", timeout=SLOW_MS)


def test_metric_is_chosen_once_and_stays_over_pages(new_page: PageMaker, demo: str) -> None:
    page = opened(new_page, demo, "exercises")
    page.get_by_role("button", name="Switch to metric units").click()
    page.wait_for_selector('html[data-units="metric"][data-ready]')
    expect(page.locator("#ledger")).to_contain_text(re.compile(r"To spare, high to low key: \d+\sm\."))
    page.goto(f"{demo}/airfields")
    page.locator(".recordings a").first.click()
    expect(page.locator(".runways")).to_contain_text("1,341")


def test_the_way_to_an_exercise_is_walked_with_the_keyboard_alone(new_page: PageMaker, demo: str) -> None:
    page = new_page(demo)
    page.keyboard.press("Tab")
    expect(page.locator(".skip")).to_be_focused()
    page.keyboard.press("Enter")
    for _ in range(12):
        page.keyboard.press("Tab")
        if "/exercises/" in str(page.evaluate("document.activeElement.getAttribute('href') ?? ''")):
            break
    page.keyboard.press("Enter")
    page.wait_for_url(re.compile(r"/exercises/\w+"), timeout=SLOW_MS)
    page.go_back()
    expect(page.get_by_role("heading", level=1)).to_have_text("Today")


def test_text_written_and_not_kept_survives_a_reload_and_its_faults_name_the_line(
    new_page: PageMaker, demo: str
) -> None:
    page = new_page(f"{demo}/airplanes")
    page.locator(".recordings a").first.click()
    page.get_by_role("link", name="The file as text").click()
    area = page.locator("#text")
    whole = area.input_value()
    area.fill(whole.replace('maximum = "3650 lb"', 'maximum = "3650"'))
    page.reload()
    page.wait_for_selector("html[data-ready]")
    expect(page.locator("#progress")).to_contain_text("here again")
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("#trouble")).to_contain_text(re.compile(r'line \d+\): found "3650" without a unit'))


@pytest.mark.parametrize("path", ["/", "/exercises", "/airplanes", "/airfields", "/debriefs", "/exercises/new"])
def test_every_room_prints_without_buttons_and_with_its_caution(new_page: PageMaker, demo: str, path: str) -> None:
    page = new_page(f"{demo}{path}")
    page.emulate_media(media="print")
    assert page.locator("button:visible, .button:visible, header.top:visible").count() == 0
    expect(page.locator("footer.caution")).to_be_visible()
