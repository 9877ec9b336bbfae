"""The airplane's page in a real browser: read at both widths and themes, a file measured, nothing kept."""

from __future__ import annotations

import math

import pytest
from playwright.sync_api import expect

from tests.browser.conftest import DESKTOP, TABLET, PageMaker, opened
from tests.browser.test_exercise_page import CONTRAST
from tests.faces.web_fixture import NO_RECORDING

pytestmark = pytest.mark.browser
SLOW_MS = 60_000


def table_of_glides() -> bytes:
    """Glides of 9.3 to 1 at 106 kt and 3,400 lb near sea level, read to 20 ft, as the contract's table; one climbs."""
    lines = ["speed_kias,height_start_ft,height_end_ft,time_s,temperature_degc,weight_lb"]
    for time_s in (50, 65):
        for kt in (80, 86, 92, 98, 104, 110, 116, 124, 132, 140):
            part = kt / 106.0
            drag = (part**2 + part**-2) / (2.0 * 9.3)
            # a knot is 101.27 ft a minute
            lost_ft = 101.27 * kt * math.sin(math.atan(drag)) * time_s / 60.0
            lines.append(f"{kt},1000,{20.0 * round((1000.0 - lost_ft) / 20.0):.0f},{time_s},15,3400")
    lines.append("100,500,900,60,15,3400")
    return "\n".join(lines).encode()


@pytest.mark.parametrize("size", [DESKTOP, TABLET], ids=["desktop", "tablet"])
def test_every_section_is_there_and_nothing_runs_off_the_side(
    new_page: PageMaker, bench: str, size: dict[str, int]
) -> None:
    page = new_page(f"{bench}/airplanes/dunlin", size)
    for name in ("The glide", "Configurations", "The stand-in", "Airspeed", "Measure"):
        expect(page.get_by_role("heading", name=name, exact=True)).to_be_visible()
    for figure in ("#polar svg", "#stand-in-chart svg", "#honesty-chart svg"):
        expect(page.locator(figure)).to_be_visible()
    assert page.evaluate("document.documentElement.scrollWidth <= window.innerWidth")


def test_text_stands_out_from_its_paper_in_both_themes(new_page: PageMaker, bench: str) -> None:
    for scheme in ("light", "dark"):
        page = new_page(f"{bench}/airplanes/dunlin", color_scheme=scheme)
        assert page.evaluate(CONTRAST) == []


def test_the_honesty_table_is_opened_with_the_keyboard(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/airplanes/dunlin")
    summary = page.get_by_text("Honesty table")
    table = page.locator("details.fold table")
    expect(table).to_be_hidden()
    summary.focus()
    page.keyboard.press("Enter")
    expect(table).to_be_visible()


@pytest.mark.parametrize("kind", ["glides", "legs", "settings", "recording"])
def test_a_file_is_measured_and_shown_and_the_way_back_leads_to_the_airplane(
    new_page: PageMaker, bench: str, kind: str
) -> None:
    page = new_page(f"{bench}/airplanes/dunlin?weight=3200+lb")
    file = {"name": f"{kind}.csv", "mimeType": "text/csv", "buffer": kind.encode()}
    page.locator("input[type=file]").set_input_files(file)
    expect(page.get_by_role("heading", level=1)).to_have_text("Dunlin Tourer, measured", timeout=SLOW_MS)
    expect(page.locator("main")).to_contain_text(f"{kind}.csv")
    expect(page.locator("main .drawing svg").first).to_be_visible()
    expect(page.locator("main")).to_contain_text("This file is not kept")
    assert page.evaluate(CONTRAST) == []
    page.get_by_role("link", name="To the airplane").click()
    expect(page.locator(".sub").first).to_contain_text("today 3,200")


def test_a_letter_is_refused_at_the_place_it_was_dropped(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/airplanes/dunlin")
    page.locator("input[type=file]").set_input_files(
        {"name": "letter.txt", "mimeType": "text/plain", "buffer": NO_RECORDING}
    )
    expect(page.locator("#upload-trouble")).to_contain_text("letter.txt")
    expect(page.get_by_role("heading", level=1)).to_have_text("Dunlin Tourer")


def test_on_paper_the_upload_vanishes_and_the_caution_stays(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/airplanes/dunlin")
    page.emulate_media(media="print")
    expect(page.locator("#upload")).to_be_hidden()
    expect(page.locator(".caution")).to_be_visible()


def test_the_demo_measures_a_table_of_glides_end_to_end(new_page: PageMaker, demo: str) -> None:
    page = opened(new_page, demo, "airplanes")
    expect(page.locator("#stand-in-chart svg")).to_be_visible(timeout=SLOW_MS)
    file = {"name": "glides.csv", "mimeType": "text/csv", "buffer": table_of_glides()}
    page.locator("input[type=file]").set_input_files(file)
    expect(page.get_by_role("heading", level=1)).to_have_text("Dunlin Tourer, measured", timeout=SLOW_MS)
    ratio = page.locator("#measured-glide tbody tr", has_text="ratio").locator("td").first.text_content()
    assert ratio is not None
    # what the table was made of
    assert float(ratio) == pytest.approx(9.3, abs=0.2)
    page.get_by_text("Every glide").click()
    expect(page.locator("#measured-glide details tr", has_text="line 22")).to_contain_text("does not come down")
