"""Icons of the workbench, drawn once from web/public/favicon.svg: `python tools/make_icons.py` writes web/public/*.

PNG for the web application manifest and for tablets that put a page on their home screen, ICO for browsers that ask for
/favicon.ico without reading a page. The icon with a wide margin may be cut to any shape by the system (maskable).
"""

from __future__ import annotations

import io
import pathlib
import re
import sys

ROOT = pathlib.Path(__file__).resolve().parents[1]
sys.path.insert(0, str(ROOT))

from PIL import Image  # noqa: E402
from playwright.sync_api import Page, sync_playwright  # noqa: E402

from tests.browser.conftest import ARGUMENTS, chromium_path  # noqa: E402

PUBLIC = ROOT / "web" / "public"
# name, side in pixels, share of the side that the drawing takes
ICONS = (
    ("icon-180.png", 180, 0.86),
    ("icon-192.png", 192, 1.0),
    ("icon-512.png", 512, 1.0),
    ("icon-maskable-512.png", 512, 0.7),
)
ICO_SIDES = [(16, 16), (32, 32), (48, 48)]


def main() -> None:
    """Draw them all in the light colours."""
    svg = (PUBLIC / "favicon.svg").read_text(encoding="utf-8")
    paper = re.search(r"--p:(#\w{6})", svg)
    if paper is None:
        raise SystemExit("favicon.svg no longer names its paper")
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        page = browser.new_page(color_scheme="light")
        for name, side, share in ICONS:
            (PUBLIC / name).write_bytes(_drawn(page, svg, paper[1], side, share))
        largest = Image.open(io.BytesIO(_drawn(page, svg, paper[1], 256, 1.0)))
        largest.save(PUBLIC / "favicon.ico", sizes=ICO_SIDES)
        browser.close()


def _drawn(page: Page, svg: str, paper: str, side: int, share: float) -> bytes:
    """A square picture; where the drawing does not fill it, the paper does."""
    page.set_viewport_size({"width": side, "height": side})
    inner = round(side * share)
    body = f"margin:0;width:{side}px;height:{side}px;display:grid;place-items:center;background:{paper}"
    page.set_content(f'<body style="{body}"><div style="width:{inner}px;height:{inner}px">{svg}</div></body>')
    return page.screenshot()


if __name__ == "__main__":
    main()
