"""Real server, real Chromium: console errors and requests to anywhere else fail the test they happen in."""

from __future__ import annotations

import os
import pathlib
import shutil
from collections.abc import Callable, Iterator

import pytest
from playwright.sync_api import Browser, ConsoleMessage, Page, Request, sync_playwright

from tests.browser.server import demo_server, fixture_server, free_port, running

ARGUMENTS = [
    "--no-sandbox",
    "--disable-gpu",
    "--disable-background-networking",
    "--disable-component-update",
    "--disable-sync",
    "--no-first-run",
]
DESKTOP, TABLET = {"width": 1280, "height": 800}, {"width": 820, "height": 1180}
# an answer of 4xx is what a refusal looks like; Chromium writes it to the console all the same
EXPECTED_REFUSAL = "Failed to load resource: the server responded with a status of 4"
PageMaker = Callable[..., Page]


def chromium_path() -> str:
    """Where Chromium is; the suite cannot say anything about pages without it."""
    named = os.environ.get("VOLPLANE_CHROMIUM")
    found = named or shutil.which("chromium") or shutil.which("chromium-browser")
    if found is None:
        raise RuntimeError("The browser tests need Chromium: apt-get install chromium, or set VOLPLANE_CHROMIUM.")
    return found


@pytest.fixture(scope="package")
def browser() -> Iterator[Browser]:
    with sync_playwright() as playwright:
        opened = playwright.chromium.launch(executable_path=chromium_path(), args=ARGUMENTS)
        yield opened
        opened.close()


@pytest.fixture(scope="package")
def bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    port = free_port()
    log: pathlib.Path = tmp_path_factory.mktemp("server") / "log.txt"
    with running(fixture_server(port), port, log) as address:
        yield address


@pytest.fixture(scope="package")
def stopped_bench(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    port = free_port()
    log: pathlib.Path = tmp_path_factory.mktemp("server") / "log.txt"
    with running(fixture_server(port, "stopped"), port, log) as address:
        yield address


@pytest.fixture(scope="package")
def demo(tmp_path_factory: pytest.TempPathFactory) -> Iterator[str]:
    port, folder = free_port(), tmp_path_factory.mktemp("demo")
    with running(demo_server(port, folder), port, folder / "log.txt") as address:
        yield address


@pytest.fixture
def tolerated() -> list[str]:
    """Beginnings of console messages that are no fault; a test that provokes one adds it."""
    return [EXPECTED_REFUSAL]


@pytest.fixture
def new_page(browser: Browser, tolerated: list[str]) -> Iterator[PageMaker]:
    """Makes watched pages; `size` is DESKTOP unless given."""
    faults: list[str] = []
    contexts = []

    def on_console(message: ConsoleMessage) -> None:
        if message.type in ("error", "warning") and not message.text.startswith(tuple(tolerated)):
            faults.append(f"console: {message.text}")

    def on_request(request: Request) -> None:
        if not request.url.startswith(("http://127.0.0.1:", "blob:http://127.0.0.1:", "data:")):
            faults.append(f"request to {request.url}")

    def make(address: str, size: dict[str, int] | None = None, **options: object) -> Page:
        context = browser.new_context(viewport=size or DESKTOP, accept_downloads=True, **options)  # type: ignore[arg-type]
        contexts.append(context)
        page = context.new_page()
        page.on("console", on_console)
        page.on("pageerror", lambda error: faults.append(f"script: {error}"))
        page.on("request", on_request)
        page.goto(address)
        page.wait_for_selector("html[data-ready]")
        return page

    yield make
    for context in contexts:
        context.close()
    assert faults == []


def opened(new_page: PageMaker, address: str, room: str, size: dict[str, int] | None = None, index: int = 0) -> Page:
    """The page of what stands at a place of a room's list, reached as anybody would."""
    page = new_page(f"{address}/{room}", size)
    page.locator(".recordings a").nth(index).click()
    page.wait_for_selector("html[data-ready]")
    return page
