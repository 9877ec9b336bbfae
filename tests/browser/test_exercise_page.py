"""What an instructor does on the exercise page, in a real browser over a real server."""

from __future__ import annotations

import re

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, TABLET, PageMaker

pytestmark = pytest.mark.browser
SIZES = [pytest.param(DESKTOP, id="desktop"), pytest.param(TABLET, id="tablet")]


def field(page: Page, key: str):  # type: ignore[no-untyped-def]
    return page.locator(f"#field-{key}")


@pytest.mark.parametrize("size", SIZES)
def test_the_page_shows_the_four_gates_and_fits_the_screen(
    new_page: PageMaker, bench: str, size: dict[str, int]
) -> None:
    page = new_page(f"{bench}/exercises/quill", size)
    board = page.locator("#board svg")
    for gate in ("High key", "Low key", "Base key", "Final"):
        expect(board).to_contain_text(gate)
    expect(page.locator(".caution")).to_be_visible()
    overflow = page.evaluate("document.documentElement.scrollWidth - document.documentElement.clientWidth")
    assert overflow == 0


@pytest.mark.parametrize("size", SIZES)
def test_everything_that_can_be_pressed_is_large_enough_for_a_finger(
    new_page: PageMaker, bench: str, size: dict[str, int]
) -> None:
    page = new_page(f"{bench}/exercises/quill", size)
    small = page.evaluate(
        """() => [...document.querySelectorAll("a, button, .fields label, summary")]
            .filter((target) => target.getClientRects().length > 0)
            .filter((target) => !target.closest("dialog, .only-read, .skip") && !target.matches(".only-read, .skip"))
            .map((target) => [target.textContent, target.getBoundingClientRect()])
            .filter(([, box]) => box.height < 44 || box.width < 44)
            .map(([name, box]) => `${name} ${box.width} x ${box.height}`)"""
    )
    assert small == []


def test_a_changed_wind_is_planned_again_and_a_new_low_key_is_read(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    expect(page.locator("#board svg")).to_contain_text("1,500 above field")
    field(page, "wind_0").fill("240° 28 kt")
    field(page, "wind_0").press("Enter")
    expect(page.locator("#board svg")).to_contain_text("1,700 above field")
    assert "wind_0=240" in page.url
    expect(page.locator("#sheet")).not_to_have_class(re.compile("stale"))


def test_values_survive_a_reload_and_go_back_one_by_one(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    for wind in ("240° 18 kt", "240° 28 kt"):
        field(page, "wind_0").fill(wind)
        field(page, "wind_0").press("Enter")
    expect(page.locator("#board svg")).to_contain_text("1,700 above field")
    page.reload()
    expect(field(page, "wind_0")).to_have_value("240° 28 kt")
    page.go_back()
    expect(page.locator("#board svg")).to_contain_text("1,600 above field")
    page.go_back()
    expect(field(page, "wind_0")).to_have_value("240° 8 kt")
    expect(page.locator("#board svg")).to_contain_text("1,500 above field")


def test_a_bad_value_gives_a_sentence_at_its_field_and_the_last_drawing_stays(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    weight = field(page, "weight")
    weight.fill("heavy")
    weight.press("Enter")
    fault = page.locator("#field-faults")
    expect(fault).to_contain_text('Weight: found "heavy"')
    expect(weight).to_have_attribute("aria-invalid", "true")
    expect(weight).to_have_attribute("aria-describedby", "field-weight-fault")
    expect(page.locator("#sheet")).to_have_class(re.compile("stale"))
    expect(page.locator("#stale")).to_have_text("Before the change to heavy.")
    expect(page.locator("#board svg")).to_contain_text("Low key")
    weight.press("Escape")
    expect(weight).to_have_value("3,350 lb")
    expect(fault).to_be_empty()
    expect(page.locator("#sheet")).not_to_have_class(re.compile("stale"))


def test_what_belongs_to_no_field_is_said_above_the_drawing(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    field(page, "wind_0").fill("240° 120 kt")
    field(page, "wind_0").press("Enter")
    expect(page.locator("#trouble")).to_be_visible()
    expect(page.locator("#trouble")).to_contain_text(re.compile("wind", re.IGNORECASE))


def test_a_fault_of_our_own_is_said_plainly(new_page: PageMaker, bench: str, tolerated: list[str]) -> None:
    tolerated.append("Failed to load resource: the server responded with a status of 500")
    page = new_page(f"{bench}/exercises/quill")
    field(page, "reserve").fill("999 ft")
    field(page, "reserve").press("Enter")
    expect(page.locator("#trouble")).to_contain_text("report it")


def test_the_card_is_saved_as_pdf_after_a_reason(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    page.get_by_role("button", name="Print the card").click()
    dialog = page.get_by_role("dialog")
    expect(dialog).to_contain_text("Caution")
    page.get_by_role("button", name="Save the PDF").click()
    # an empty reason is held back by the form itself
    expect(dialog).to_be_visible()
    page.get_by_label("Reason to fly it all the same").fill("Dual, at a quiet field, go-around briefed.")
    with page.expect_download() as saved:
        page.get_by_role("button", name="Save the PDF").click()
    assert saved.value.suggested_filename == "card-25-left.pdf"
    with open(saved.value.path(), "rb") as card:
        assert card.read(5) == b"%PDF-"
    expect(dialog).to_be_hidden()


def test_a_stop_turns_printing_off_and_says_why(new_page: PageMaker, stopped_bench: str) -> None:
    page = new_page(f"{stopped_bench}/exercises/quill")
    expect(page.get_by_role("button", name="Print the card")).to_be_disabled()
    expect(page.locator("#actions")).to_contain_text("No card:")
    expect(page.locator("#findings li").first).to_contain_text("Stop")


def test_the_page_is_walked_with_the_keyboard_and_the_focus_is_seen(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    seen = []
    for _ in range(32):
        page.keyboard.press("Tab")
        seen.append(
            page.evaluate(
                """() => {
                    const at = document.activeElement;
                    const outlined = at.closest("label") ?? at;
                    return [at.id || at.textContent, getComputedStyle(outlined).outlineStyle,
                            getComputedStyle(outlined).outlineWidth];
                }"""
            )
        )
    names = [name for name, _, _ in seen]
    assert names[0] == "To the page"
    assert (
        names.index("theme")
        < names.index("print")
        < names.index("field-wind_0")
        < names.index("field-break_off_height")
    )
    assert {(style, width) for name, style, width in seen if name != "BODY"} >= {("solid", "2px")}
    assert all(
        (style, width) == ("solid", "2px") for name, style, width in seen[: names.index("field-break_off_height")]
    )


def test_the_theme_switch_stays_over_pages_and_reload(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    paper = "getComputedStyle(document.documentElement).backgroundColor"
    assert page.evaluate(paper) == "rgb(250, 250, 247)"
    page.get_by_role("button", name="Switch to the dusk page").click()
    assert page.evaluate(paper) == "rgb(20, 23, 27)"
    page.get_by_role("link", name="Debriefs").click()
    assert page.evaluate(paper) == "rgb(20, 23, 27)"
    page.reload()
    assert page.evaluate(paper) == "rgb(20, 23, 27)"
    page.emulate_media(media="print")
    assert page.evaluate(paper) == "rgb(255, 255, 255)"


def test_the_system_setting_decides_until_the_switch_is_used(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill", color_scheme="dark")
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(20, 23, 27)"
    page.get_by_role("button", name="Switch to the light page").click()
    assert page.evaluate("getComputedStyle(document.documentElement).backgroundColor") == "rgb(250, 250, 247)"


def test_changes_are_there_again_on_the_way_back_from_another_room(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    field(page, "wind_0").fill("240° 28 kt")
    field(page, "wind_0").press("Enter")
    expect(page.locator("#board svg")).to_contain_text("1,700 above field")
    page.get_by_role("link", name="Debriefs").click()
    page.go_back()
    expect(field(page, "wind_0")).to_have_value("240° 28 kt")


def test_paper_has_no_buttons_and_keeps_the_caution(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    page.emulate_media(media="print")
    expect(page.locator(".top")).to_be_hidden()
    expect(page.locator("#print")).to_be_hidden()
    expect(page.get_by_text("For 14 May 2026, 14:00 UTC.")).to_be_visible()
    expect(page.locator(".caution")).to_be_visible()


def test_text_stands_out_from_its_paper_in_both_themes(new_page: PageMaker, bench: str) -> None:
    for scheme in ("light", "dark"):
        page = new_page(f"{bench}/exercises/quill", color_scheme=scheme)
        weak = page.evaluate(CONTRAST)
        assert weak == []


# WCAG 2.2, success criterion 1.4.3 and its definition of relative luminance: at least 4.5 to 1 for text under 24 px
CONTRAST = """() => {
    const part = (value) => (value / 255 <= 0.04045 ? value / 255 / 12.92 : ((value / 255 + 0.055) / 1.055) ** 2.4);
    const luminance = (colour) => {
        const [r, g, b] = colour.match(/[\\d.]+/g).map(Number);
        return 0.2126 * part(r) + 0.7152 * part(g) + 0.0722 * part(b);
    };
    const paper = luminance(getComputedStyle(document.documentElement).backgroundColor);
    const weak = [];
    for (const element of document.querySelectorAll("body *")) {
        const own = [...element.childNodes].some((node) => node.nodeType === 3 && node.textContent.trim() !== "");
        if (!own || element.closest("script, title, desc, dialog")) continue;
        const style = getComputedStyle(element);
        const colour = element instanceof SVGElement ? style.fill : style.color;
        const [high, low] = [luminance(colour), paper].sort((a, b) => b - a);
        const ratio = (high + 0.05) / (low + 0.05);
        if (ratio < 4.5) weak.push(`${element.textContent}: ${ratio.toFixed(2)}`);
    }
    return weak;
}"""
