"""The airplane's page, asked as a browser asks, over the hand-made exercise."""

from __future__ import annotations

import re

import pytest

from tests.faces.web_fixture import Browser, FixtureWorkbench


@pytest.fixture(scope="module")
def client() -> Browser:
    return Browser(FixtureWorkbench())


def rows_of(html: str, section: str) -> list[list[str]]:
    """The cells of every row of a section's first table, heads left out."""
    found = re.search(rf'<section[^>]*id="{section}".*?<tbody>(.*?)</tbody>', html, re.S)
    assert found is not None
    rows = re.findall(r"<tr>(.*?)</tr>", found[1], re.S)
    return [[cell.replace("\u00a0", " ") for cell in re.findall(r"<t[dh][^>]*>(.*?)</t[dh]>", row)] for row in rows]


def test_the_page_tells_the_glide_at_three_weights_today_first(client: Browser) -> None:
    rows = rows_of(client.get("/airplane").text, "glide")
    assert [row[0] for row in rows] == ["3,350 lb", "3,650 lb", "2,920 lb"]
    # speeds go with the root of the weight, the ratio stays (any textbook); 9.6 x 1,000 ft is 1.58 NM
    assert [row[1] for row in rows] == ["104", "109", "97"]
    assert {row[3] for row in rows} == {"9.6"}
    assert {row[4] for row in rows} == {"1.58 NM"}


def test_what_the_handbook_implies_is_said_and_a_contradiction_named(client: Browser) -> None:
    html = client.get("/airplane").text.replace("\u00a0", " ")
    # 5.81 m/s is 1,144 ft a minute
    assert "imply a sink of 1,144 fpm" in html
    assert "No two stated figures contradict" in html
    odd = Browser(FixtureWorkbench(contradicts=True)).get("/airplane").text
    assert "Check which of them is right." in odd
    assert "No two stated figures contradict" not in odd


def test_estimates_among_the_configurations_are_marked(client: Browser) -> None:
    rows = {row[0]: row for row in rows_of(client.get("/airplane").text, "configurations")}
    assert rows["landing"][2] == "estimate"
    assert rows["clean"][2] == "the reference"
    assert rows["gear and approach flap"][2] == "the airplane file"
    assert float(rows["landing"][4]) < float(rows["gear and approach flap"][4]) < float(rows["clean"][4])


def test_the_weight_of_the_address_is_todays(client: Browser) -> None:
    html = client.get("/airplane", params={"weight": "3000 lb"}).text
    assert rows_of(html, "glide")[0][0] == "3,000 lb"
    # a bad one is explained on the exercise page; here the exercise of the file is shown
    answer = client.get("/airplane", params={"weight": "heavy"})
    assert answer.status_code == 200
    assert rows_of(answer.text, "glide")[0][0] == "3,350 lb"


def test_without_a_calibration_the_page_says_what_is_assumed(client: Browser) -> None:
    assert "the indicated airspeed is taken as the calibrated one" in client.get("/airplane").text


def test_the_caution_stands_on_the_page(client: Browser) -> None:
    assert "no substitute for the approved flight manual" in client.get("/airplane").text
