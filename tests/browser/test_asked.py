"""What an instructor asks of a plan beyond its page: sections by button and address, files, keeping."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESKTOP, TABLET, PageMaker

pytestmark = pytest.mark.browser


@pytest.mark.parametrize("size", [pytest.param(DESKTOP, id="desktop"), pytest.param(TABLET, id="tablet")])
def test_runways_are_compared_and_one_is_taken(new_page: PageMaker, bench: str, size: dict[str, int]) -> None:
    page = new_page(f"{bench}/exercises/quill", size)
    page.get_by_role("link", name="Compare runways").click()
    expect(page.locator("#runways tbody tr").first).to_contain_text("recommended")
    assert page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth") == 0
    page.get_by_role("link", name="07, left pattern").click()
    page.wait_for_selector("html[data-ready]")
    assert "runway=07" in page.url
    expect(page.locator("#field-runway")).to_have_value("07")
    expect(page.locator(".seldom")).to_have_attribute("open", "")


def test_a_section_opens_by_its_address_follows_a_change_and_folds_away(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill#ways")
    expect(page.locator("#ways-inside")).to_contain_text("From the low key")
    with page.expect_response(re.compile("/ways")):
        page.locator("#field-reserve").fill("150 ft")
        page.locator("#field-reserve").press("Enter")
    assert page.url.endswith("#ways")
    page.locator("#ways .fold-away").click()
    expect(page.locator("#ways")).to_be_hidden()
    assert page.url.endswith("?reserve=150+ft")
    page.go_back()
    expect(page.locator("#ways")).to_be_visible()


def test_many_flights_tell_their_progress_and_are_old_after_a_change(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill#dispersion")
    page.locator("#flights select").select_option("10000")
    page.get_by_role("button", name="Fly it").click()
    expect(page.locator("#dispersion .telling")).to_contain_text("of 10,000 done")
    expect(page.locator("#dispersion-inside")).to_contain_text("Flown 10,000 times, seed 1")
    expect(page.locator("#dispersion-inside tbody tr").first).to_contain_text("Short of the runway")
    page.locator("#field-reserve").fill("150 ft")
    page.locator("#field-reserve").press("Enter")
    expect(page.locator("#dispersion .telling")).to_contain_text("fly it again")


def test_flights_are_stopped_by_a_button(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill#dispersion")
    page.locator("#flights select").select_option("10000")
    page.get_by_role("button", name="Fly it").click()
    page.get_by_role("button", name="Stop").click()
    expect(page.locator("#dispersion .telling")).to_have_text("Stopped.")
    expect(page.get_by_role("button", name="Fly it")).to_be_visible()
    expect(page.locator("#dispersion-inside")).to_be_empty()


def test_a_plan_is_saved_as_a_file(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    page.get_by_text("Save as a file").click()
    with page.expect_download() as saved:
        page.get_by_role("link", name="KML").click()
    assert saved.value.suggested_filename == "exercise-25-left.kml"


def test_values_not_kept_are_waiting_in_the_list_and_are_given_back(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    expect(page.locator("#differs")).to_be_hidden()
    page.locator("#field-reserve").fill("150 ft")
    page.locator("#field-reserve").press("Enter")
    expect(page.locator("#differs")).to_be_visible()
    page.get_by_role("link", name="Exercises").click()
    page.get_by_role("link", name="with values not kept").click()
    expect(page.locator("#field-reserve")).to_have_value("150 ft")
    page.get_by_role("button", name="Back to the kept values").click()
    expect(page.locator("#field-reserve")).to_have_value("100 ft")
    expect(page.locator("#differs")).to_be_hidden()


def test_whoever_keeps_second_is_told_and_has_both_ways_out(
    new_page: PageMaker, tmp_path_factory: pytest.TempPathFactory
) -> None:
    from tests.browser.server import fixture_server, free_port, running

    port = free_port()
    with running(fixture_server(port), port, tmp_path_factory.mktemp("kept") / "log.txt") as address:
        first, second = (new_page(f"{address}/exercises/quill?reserve={feet}+ft") for feet in (150, 200))
        first.get_by_role("button", name="Keep these values").click()
        first.wait_for_url(f"{address}/exercises/quill")
        second.get_by_role("button", name="Keep these values").click()
        expect(second.locator("#trouble")).to_contain_text("Somebody else has kept")
        expect(second.get_by_role("button", name="Read theirs, these values on top")).to_be_visible()
        second.get_by_role("button", name="Keep these over theirs").click()
        second.wait_for_url(f"{address}/exercises/quill")
