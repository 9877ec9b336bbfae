"""The gates are handles: dragged with pointer and finger, moved with the arrow keys, given back with Escape."""

from __future__ import annotations

import pytest
from playwright.sync_api import Page, expect

from tests.browser.conftest import DESKTOP, TABLET, PageMaker

pytestmark = pytest.mark.browser


def place_of(page: Page, gate: str, figure: str = "#board .gate") -> tuple[float, float]:
    box = page.locator(f'{figure}[data-gate="{gate}"] .grab').bounding_box()
    assert box is not None
    return box["x"] + box["width"] / 2.0, box["y"] + box["height"] / 2.0


def drag(page: Page, start: tuple[float, float], across: float, down: float, *, lets_go: bool = True) -> None:
    page.mouse.move(*start)
    page.mouse.down()
    for part in range(1, 6):
        page.mouse.move(start[0] + across * part / 5.0, start[1] + down * part / 5.0)
    if lets_go:
        page.mouse.up()


@pytest.mark.parametrize("size", [pytest.param(DESKTOP, id="desktop"), pytest.param(TABLET, id="tablet")])
def test_the_low_key_dragged_up_and_out_asks_for_height_and_distance(
    new_page: PageMaker, bench: str, size: dict[str, int]
) -> None:
    page = new_page(f"{bench}/exercises/quill", size)
    drag(page, place_of(page, "low key"), -30.0, -40.0)
    expect(page.locator("#board svg")).to_contain_text("1,700 above field")
    expect(page.locator("#field-low_key_height")).to_have_value("1,700 ft")
    assert "low_key_height=1%2C700+ft" in page.url
    assert "low_key_offset=" in page.url
    page.go_back()
    expect(page.locator("#board svg")).to_contain_text("1,500 above field")
    expect(page.locator("#field-low_key_offset")).to_have_value("")


def test_while_it_is_dragged_the_gate_is_filled_the_scale_holds_and_the_reading_follows(
    new_page: PageMaker, bench: str
) -> None:
    page = new_page(f"{bench}/exercises/quill")
    scale = page.locator("#board svg").get_attribute("data-px-per-m")
    drag(page, place_of(page, "low key"), 0.0, -60.0, lets_go=False)
    expect(page.locator("#board svg")).to_contain_text("1,800 above field")
    assert page.locator("#board svg").get_attribute("data-px-per-m") == scale
    expect(page.locator('#board .held[data-gate="low key"]')).to_have_count(1)
    expect(page.locator("#board .drag-way")).to_have_count(2)
    page.mouse.up()
    expect(page.locator("#board .held")).to_have_count(0)


def test_the_high_key_dragged_in_the_ladder_changes_the_entry_by_the_scale_of_its_axis(
    new_page: PageMaker, bench: str
) -> None:
    page = new_page(f"{bench}/exercises/quill")
    ladder = page.locator("#ladder svg")
    feet_a_px = (
        float(ladder.get_attribute("data-axis-top") or 0) - float(ladder.get_attribute("data-axis-ground") or 0)
    ) / (float(ladder.get_attribute("data-plot-bottom") or 0) - float(ladder.get_attribute("data-plot-top") or 0))
    drag(page, place_of(page, "high key", "#ladder .rung"), 0.0, -10.0)
    wanted = 10.0 * round((2500.0 + 10.0 * feet_a_px) / 10.0)
    expect(page.locator("#field-entry_height")).to_have_value(f"{wanted:,.0f} ft")


def test_escape_gives_the_gate_back(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    drag(page, place_of(page, "low key"), 0.0, -60.0, lets_go=False)
    expect(page.locator("#board svg")).to_contain_text("1,800 above field")
    page.keyboard.press("Escape")
    expect(page.locator("#board svg")).to_contain_text("1,500 above field")
    assert "low_key_height" not in page.url
    page.mouse.up()
    assert "low_key_height" not in page.url


def test_the_arrow_keys_move_a_gate_and_the_focus_stays_on_it(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    page.locator('#board .gate[data-gate="low key"] .grab').focus()
    page.keyboard.press("ArrowUp")
    expect(page.locator("#board svg")).to_contain_text("1,550 above field")
    page.keyboard.press("Shift+ArrowUp")
    expect(page.locator("#board svg")).to_contain_text("1,750 above field")
    assert page.evaluate("document.activeElement.closest('[data-gate]')?.dataset.gate") == "low key"


def test_base_key_and_final_are_answers_and_stay(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill")
    drag(page, place_of(page, "final"), 20.0, -40.0)
    expect(page.locator(".held")).to_have_count(0)
    assert page.url.endswith("/exercises/quill")


def test_a_finger_drags_a_gate_without_scrolling_the_page(new_page: PageMaker, bench: str) -> None:
    page = new_page(f"{bench}/exercises/quill", TABLET, has_touch=True)
    x, y = place_of(page, "low key")
    session = page.context.new_cdp_session(page)
    session.send("Input.dispatchTouchEvent", {"type": "touchStart", "touchPoints": [{"x": x, "y": y}]})
    for part in range(1, 6):
        session.send("Input.dispatchTouchEvent", {"type": "touchMove", "touchPoints": [{"x": x, "y": y - 8.0 * part}]})
    session.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})
    expect(page.locator("#field-low_key_height")).to_have_value("1,700 ft")
    assert page.evaluate("window.scrollY") == 0
