"""The manual in the workbench is the documents, whole, its links lead somewhere, and nothing leaves the machine."""

from __future__ import annotations

import re

import pytest

from tests.architecture.source import REPOSITORY
from tests.faces.web_fixture import Browser, FixtureWorkbench
from volplane.faces.web import manual


@pytest.fixture(scope="module")
def browser() -> Browser:
    return Browser(FixtureWorkbench())


def test_every_document_of_the_index_is_in_the_manual() -> None:
    linked = set(
        re.findall(r"\| \[[^\]]+\]\(([\w-]+)\.md\)", (REPOSITORY / "docs/index.md").read_text(encoding="utf-8"))
    )
    assert {page.name for page in manual.all_pages()} == linked


@pytest.mark.parametrize("page", list(manual.all_pages()), ids=lambda page: page.name)
def test_every_link_of_a_manual_page_leads_to_an_answer(page: manual.ManualPage, browser: Browser) -> None:
    answer = browser.get(f"/manual/{page.name}")
    assert answer.status_code == 200
    text = manual.rendered(page.name)
    assert text is not None
    targets = set(re.findall(r'(?:href|src)="([^"]+)"', text))
    assert [target for target in targets if "://" in target] == []
    for target in targets:
        path, _, place = target.partition("#")
        other = manual.rendered(path.rpartition("/")[2]) if path and not path.endswith(".png") else text
        assert browser.get(path or f"/manual/{page.name}").status_code == 200, target
        assert not place or other is None or f'id="{place}"' in other, target


def test_the_manual_opens_with_the_cautions(browser: Browser) -> None:
    assert manual.rendered("cautions") in browser.get("/manual").text


@pytest.mark.parametrize(
    "path", ["/manual/nothing", "/manual/index", "/manual/pictures/..%2f..%2fREADME.png", "/manual/pictures/x.png"]
)
def test_what_is_not_in_the_manual_is_not_found(path: str, browser: Browser) -> None:
    assert browser.get(path).status_code == 404


def test_html_in_a_document_is_shown_and_not_run() -> None:
    assert all("<script" not in (manual.rendered(page.name) or "") for page in manual.all_pages())
