"""What an instructor does after the flight, in a real browser over a real server."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, TABLET, PageMaker
from tests.faces.web_fixture import NO_RECORDING

pytestmark = pytest.mark.browser
SIZES = [pytest.param(DESKTOP, id="desktop"), pytest.param(TABLET, id="tablet")]
SHEET = "/debriefs/high?own=skipped"


def choose(page: Page, name: str, content: bytes) -> None:
    page.locator("input[type=file]").set_input_files(
        {"name": name, "mimeType": "application/octet-stream", "buffer": content}
    )


def test_a_recording_is_chosen_questions_are_skipped_and_findings_are_read(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/debriefs")
    choose(page, "flight.gpx", b"a flight")
    expect(page.get_by_role("heading", level=1)).to_contain_text("own view")
    page.get_by_role("link", name="Skip the questions").click()
    expect(page.locator("h1.headline")).to_contain_text("210")
    expect(page.locator(".lesson li")).to_have_count(3)
    expect(page.locator(".lesson li figure svg").first).to_be_visible()
    expect(page.locator(".caution")).to_be_visible()


def test_a_recording_is_dropped_on_the_page(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/debriefs")
    transfer = page.evaluate_handle(
        """() => { const data = new DataTransfer();
            data.items.add(new File(["a flight"], "flight.csv", { type: "text/csv" })); return data; }"""
    )
    page.dispatch_event("#upload", "dragover", {"dataTransfer": transfer})
    expect(page.locator("#upload")).to_have_class("upload over")
    page.dispatch_event("#upload", "drop", {"dataTransfer": transfer})
    expect(page.get_by_role("heading", level=1)).to_contain_text("own view")


def test_a_wrong_file_gives_a_sentence_and_the_page_works_on(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/debriefs")
    choose(page, "letter.txt", NO_RECORDING)
    expect(page.locator("#upload-trouble")).to_contain_text("letter.txt")
    choose(page, "flight.gpx", b"a flight")
    expect(page.get_by_role("heading", level=1)).to_contain_text("own view")


def test_what_the_trainee_said_stands_over_the_debrief_and_is_kept(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/debriefs")
    choose(page, "own-view.gpx", b"a flight with a view of it")
    page.get_by_label("Where did it touch?").fill("On the point, maybe just short.")
    page.get_by_label("When were you sure").fill("On final.")
    page.get_by_role("button", name="Show the debrief").click()
    expect(page.locator(".own")).to_contain_text("“On the point, maybe just short.”")
    page.goto(page.url.split("?")[0])
    expect(page.locator(".own")).to_contain_text("“On final.”")
    page.get_by_role("link", name="Change the answers").click()
    expect(page.get_by_label("When were you sure")).to_have_value("On final.")


def test_a_finding_leads_to_its_second_in_every_figure(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}{SHEET}")
    page.get_by_role("slider", name="Second of the flight").focus()
    page.keyboard.press("Home")
    before = beads_and_lines(page)
    page.locator(".lesson .to-second").first.click()
    told = page.locator(".lesson .to-second").first.get_attribute("data-second")
    slider = page.get_by_role("slider", name="Second of the flight")
    assert told is not None
    assert abs(int(slider.get_attribute("aria-valuenow") or "-9") - float(told)) <= 1.0
    assert beads_and_lines(page) != before


def test_the_arrows_step_wherever_nothing_else_wants_them(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}{SHEET}")
    said = page.locator("#cursor-at")
    before = said.text_content()
    page.keyboard.press("ArrowLeft")
    expect(said).not_to_have_text(before or "")
    page.locator("#fold-notes > summary").click()
    area = page.locator(".note-form textarea")
    area.fill("later")
    here = said.text_content() or ""
    area.press("ArrowLeft")
    expect(said).to_have_text(here)


def test_a_note_is_written_at_the_bead_changed_and_taken_away(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/debriefs/low?own=skipped")
    page.locator(".lesson .to-second").first.click()
    second = page.locator("#cursor-at").text_content() or ""
    page.locator("#fold-notes > summary").click()
    page.locator(".note-form textarea").fill("Looked at the runway late.")
    page.get_by_role("button", name="Keep the note").click()
    note = page.locator(".notes li")
    expect(note).to_contain_text("Looked at the runway late.")
    expect(note).to_contain_text("private")
    page.keyboard.press("Escape")
    page.get_by_role("slider", name="Second of the flight").focus()
    page.keyboard.press("Home")
    note.locator("button.when").click()
    expect(page.locator("#cursor-at")).to_have_text(second)
    note.locator("summary").click()
    note.locator("textarea").fill("Looked in time.")
    note.get_by_label("for the trainee").check()
    note.get_by_role("button", name="Keep", exact=True).click()
    expect(note).to_contain_text("Looked in time.")
    expect(note.locator(".words .sub")).to_have_text("for the trainee")
    page.reload()
    page.locator("#fold-notes > summary").click()
    page.locator(".notes li summary").click()
    page.locator(".notes li").get_by_role("button", name="Take it away").click()
    expect(page.locator(".notes li")).to_have_count(0)


@pytest.mark.parametrize("size", SIZES)
def test_one_chart_is_looked_at_closely_at_the_cursor_of_all(
    new_page: PageMaker, bench: str, size: dict[str, int]
) -> None:
    page = new_page(f"{bench}{SHEET}", size)
    page.locator("#fold-charts > summary").click()
    chart = page.locator("#chart .u-over")
    expect(chart).to_be_visible()
    assert page.locator("#chart .uplot").count() == 1
    page.locator("#chart-quantity").select_option(label="Height above the point, ft")
    box = chart.bounding_box()
    assert box is not None
    said = page.locator("#cursor-at")
    before = said.text_content() or ""
    chart.click(position={"x": 0.9 * box["width"], "y": 0.5 * box["height"]})
    expect(said).not_to_have_text(before)
    words = said.text_content()
    page.get_by_role("button", name="Closer").click()
    chart.click(position={"x": 0.9 * box["width"], "y": 0.5 * box["height"]})
    expect(said).not_to_have_text(words or "")
    page.get_by_role("button", name="All of it").click()


def test_no_more_exercises_are_chosen_than_can_be_told_apart(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/debriefs/overlay?attempt=high.1&attempt=low.1&attempt=high.2&attempt=low.2")
    boxes = page.locator(".laying input")
    assert page.locator(".laying input:checked").count() == 4
    assert page.locator(".laying input:not(:checked):enabled").count() == 0
    boxes.and_(page.locator(":checked")).first.uncheck()
    page.get_by_role("button", name="Lay them over each other").click()
    expect(page.locator(".laid li")).to_have_count(3)


def test_a_recording_is_removed_only_after_the_question(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/debriefs")
    choose(page, "to-remove.gpx", b"a flight to be removed")
    page.get_by_role("link", name="Skip the questions").click()
    address = page.url.split("?")[0]
    page.locator(".more summary", has_text="Again, or away").click()
    page.get_by_role("button", name="Remove this recording").click()
    expect(page.locator("#away")).to_contain_text("The original file goes too.")
    page.get_by_role("button", name="Keep it").click()
    expect(page.locator("#away")).to_be_hidden()
    page.get_by_role("button", name="Remove this recording").click()
    page.get_by_role("button", name="Remove it").click()
    page.wait_for_url("**/debriefs")
    page.goto(address)
    expect(page.get_by_role("heading", level=1)).to_have_text("No such page")


@pytest.mark.parametrize("size", SIZES)
def test_the_sheet_fits_the_screen(new_page: PageMaker, bench: str, size: dict[str, int]) -> None:
    page = new_page(f"{bench}{SHEET}", size)
    overflow = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert overflow == 0
    for wide in page.locator("figure svg").all():
        box = wide.bounding_box()
        assert box is None or box["x"] + box["width"] <= size["width"]


def test_the_arrow_keys_move_one_cursor_in_every_figure(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}{SHEET}")
    slider = page.get_by_role("slider", name="Second of the flight")
    slider.focus()
    page.keyboard.press("Home")
    said = page.locator("#cursor-at")
    expect(said).to_contain_text("At 0")
    before = beads_and_lines(page)
    page.keyboard.press("PageUp")
    expect(said).to_contain_text("At 10")
    after = beads_and_lines(page)
    assert len(before) == len(after) > 3
    assert sum(a != b for a, b in zip(before, after, strict=True)) >= 2
    for key, expected in (("ArrowRight", "At 11"), ("ArrowLeft", "At 10"), ("Shift+ArrowRight", "At 20")):
        page.keyboard.press(key)
        expect(said).to_contain_text(expected)
    page.keyboard.press("End")
    assert slider.get_attribute("aria-valuenow") == slider.get_attribute("aria-valuemax")


def test_the_bead_is_dragged_along_the_path(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}{SHEET}")
    slider = page.get_by_role("slider", name="Second of the flight")
    slider.focus()
    page.keyboard.press("Home")
    start = slider.bounding_box()
    for _ in range(3):
        page.keyboard.press("PageUp")
    later = slider.bounding_box()
    words = page.locator("#cursor-at").text_content()
    page.keyboard.press("Home")
    assert start is not None
    assert later is not None
    page.mouse.move(start["x"] + start["width"] / 2, start["y"] + start["height"] / 2)
    page.mouse.down()
    page.mouse.move(later["x"] + later["width"] / 2, later["y"] + later["height"] / 2, steps=12)
    page.mouse.up()
    assert words is not None
    expect(page.locator("#cursor-at")).to_contain_text(words.split(":")[0][:5])


def test_pointing_at_a_chart_moves_the_bead_on_the_board(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}{SHEET}")
    before = page.locator("#board .cursor-bead").bounding_box()
    chart = page.locator(".lesson svg[data-px-per-s] .cursor-handle").first
    box = chart.bounding_box()
    assert box is not None
    page.mouse.move(box["x"] + 0.2 * box["width"], box["y"] + box["height"] / 2)
    page.mouse.down()
    page.mouse.up()
    assert page.locator("#board .cursor-bead").bounding_box() != before


def test_folded_charts_open_with_the_keyboard(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}{SHEET}")
    fold = page.locator(".more summary", has_text="Flown against plan")
    fold.focus()
    page.keyboard.press("Enter")
    expect(page.locator(".more details[open] svg")).to_be_visible()


def test_an_address_of_no_debrief_leads_back(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/debriefs/0123456789")
    expect(page.get_by_role("heading", level=1)).to_have_text("No such page")
    expect(page.get_by_role("link", name="To today")).to_be_visible()


def test_there_is_no_transport_bar(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}{SHEET}")
    assert page.locator("audio, video, input[type=range]").count() == 0
    assert page.get_by_role("button", name="Play").count() == 0


def beads_and_lines(page: Page) -> list[str]:
    """Where the cursor stands in every figure."""
    places: list[str] = page.evaluate(
        """() => [...document.querySelectorAll(".cursor-bead, .cursor-line")].map((mark) =>
            [mark.getAttribute("cx"), mark.getAttribute("cy"), mark.getAttribute("x1"),
             mark.getAttribute("visibility")].join(" "))"""
    )
    return places
