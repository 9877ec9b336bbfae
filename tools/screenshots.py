"""Pictures of the real pages for the manual: `python tools/screenshots.py` writes docs/pictures/*.png.

Starts the workbench on a free port, opens it in Chromium at both widths, by day and at dusk, and takes each picture
once the fonts are there.
"""

from __future__ import annotations

import pathlib
import sys
import tempfile

ROOT = pathlib.Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from playwright.sync_api import Browser, sync_playwright  # noqa: E402

from tests.browser.conftest import ARGUMENTS, DESKTOP, TABLET, chromium_path  # noqa: E402
from tests.browser.server import demo_server, free_port, running  # noqa: E402
from tests.browser.test_airplane_page import table_of_glides  # noqa: E402

PICTURES = ROOT / "docs" / "pictures"
OWN_VIEW = "own=told&touched=On+the+point.&sure=On+final.&next=Turn+sooner."


def main() -> None:
    """Take them all, of the demo's house."""
    PICTURES.mkdir(parents=True, exist_ok=True)
    port = free_port()
    with tempfile.TemporaryDirectory() as folder:
        log = pathlib.Path(folder) / "log.txt"
        with running(demo_server(port, pathlib.Path(folder)), port, log) as address, sync_playwright() as playwright:
            browser = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
            _all_pictures(browser, address)
            browser.close()


def _all_pictures(browser: Browser, address: str) -> None:
    exercise, airplane, airfield, person = (
        _first_of(browser, address, room) for room in ("exercises", "airplanes", "airfields", "people")
    )
    sheet = f"{_first_of(browser, address, 'debriefs')}?{OWN_VIEW}"
    wanted = (
        ("exercise", exercise, DESKTOP, "light"),
        ("exercise-dusk", exercise, DESKTOP, "dark"),
        ("exercise-tablet", exercise, TABLET, "light"),
        ("airplane", airplane, DESKTOP, "light"),
        ("airplane-tablet", airplane, TABLET, "light"),
        ("airplane-measured-dusk", _measured(browser, address, airplane), DESKTOP, "dark"),
        ("debrief", sheet, DESKTOP, "light"),
        ("debrief-tablet", sheet, TABLET, "light"),
        ("today", "/", DESKTOP, "light"),
        ("first-card", "/exercises/new", DESKTOP, "light"),
        ("airfield", airfield, DESKTOP, "light"),
        ("debriefs", "/debriefs", TABLET, "light"),
        ("person", person, DESKTOP, "light"),
    )
    for name, path, size, scheme in wanted:
        picture = PICTURES / f"{name}.png"
        _picture(browser, address + path, size, scheme, picture)
        print(picture.relative_to(ROOT))


def _first_of(browser: Browser, address: str, room: str) -> str:
    """The page of what stands first in a room's list."""
    page = browser.new_page()
    page.goto(f"{address}/{room}")
    path = page.locator("main a[href^='/" + room + "/']:not([href$='/new'])").first.get_attribute("href")
    page.close()
    if path is None:
        raise SystemExit(f"nothing stands in {room}")
    return path


def _measured(browser: Browser, address: str, airplane: str) -> str:
    """The page of a table of glides, measured."""
    page = browser.new_page()
    page.goto(f"{address}{airplane}")
    page.wait_for_selector("html[data-ready]")
    file = {"name": "glides.csv", "mimeType": "text/csv", "buffer": table_of_glides()}
    page.locator("input[type=file]").set_input_files(file)  # type: ignore[arg-type]
    page.wait_for_url("**/measured/*")
    path = page.url.removeprefix(address)
    page.close()
    return path


def _picture(browser: Browser, address: str, size: dict[str, int], scheme: str, picture: pathlib.Path) -> None:
    context = browser.new_context(viewport=size, color_scheme=scheme)  # type: ignore[arg-type]
    page = context.new_page()
    page.goto(address)
    page.wait_for_selector("html[data-ready]")
    page.evaluate("document.fonts.ready")
    page.screenshot(path=picture, full_page=True)
    context.close()


if __name__ == "__main__":
    main()
