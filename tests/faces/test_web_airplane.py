"""The airplane's page, asked as a browser asks, over the hand-made exercise."""

from __future__ import annotations

import re

import pytest

from tests.faces.web_fixture import NO_RECORDING, Browser, FixtureWorkbench


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
    rows = rows_of(client.get("/airplanes/dunlin").text, "glide")
    assert [row[0] for row in rows] == ["3,350 lb", "3,650 lb", "2,920 lb"]
    # speeds go with the root of the weight, the ratio stays (any textbook); 9.6 x 1,000 ft is 1.58 NM
    assert [row[1] for row in rows] == ["104", "109", "97"]
    assert {row[3] for row in rows} == {"9.6"}
    assert {row[4] for row in rows} == {"1.58 NM"}


def test_what_the_handbook_implies_is_said_and_a_contradiction_named(client: Browser) -> None:
    html = client.get("/airplanes/dunlin").text.replace("\u00a0", " ")
    # 5.81 m/s is 1,144 ft a minute
    assert "imply a sink of 1,144 fpm" in html
    assert "No two stated figures contradict" in html
    odd = Browser(FixtureWorkbench(contradicts=True)).get("/airplanes/dunlin").text
    assert "Check which of them is right." in odd
    assert "No two stated figures contradict" not in odd


def test_estimates_among_the_configurations_are_marked(client: Browser) -> None:
    rows = {row[0]: row for row in rows_of(client.get("/airplanes/dunlin").text, "configurations")}
    assert rows["landing"][2] == "estimate"
    assert rows["clean"][2] == "the reference"
    assert rows["gear and approach flap"][2] == "the airplane file"
    assert float(rows["landing"][4]) < float(rows["gear and approach flap"][4]) < float(rows["clean"][4])


def test_the_weight_of_the_address_is_todays(client: Browser) -> None:
    html = client.get("/airplanes/dunlin", params={"weight": "3000 lb"}).text
    assert rows_of(html, "glide")[0][0] == "3,000 lb"
    # a bad one is explained on the exercise page; here the exercise of the file is shown
    answer = client.get("/airplanes/dunlin", params={"weight": "heavy"})
    assert answer.status_code == 200
    assert rows_of(answer.text, "glide")[0][0] == "3,350 lb"


def test_without_a_calibration_the_page_says_what_is_assumed(client: Browser) -> None:
    assert "the indicated airspeed is taken as the calibrated one" in client.get("/airplanes/dunlin").text


def test_the_caution_stands_on_the_page(client: Browser) -> None:
    assert "no substitute for the approved flight manual" in client.get("/airplanes/dunlin").text


def section(html: str, name: str) -> str:
    """A section of the page as text a reader sees, tags taken out."""
    found = re.search(rf'<section[^>]*id="{name}".*?</section>', html, re.S)
    assert found is not None, name
    return re.sub(r"\s+", " ", re.sub(r"<[^>]*>", " ", found[0]).replace("\u00a0", " "))


def sent(client: Browser, kind: str) -> str:
    """The page of a measured file."""
    answer = client.post(f"/api/airplanes/dunlin/measurements?file_name={kind}.csv", content=kind.encode())
    assert answer.status_code == 201
    return client.get(answer.json()["href"]).text


def test_the_stand_in_says_setting_source_pressure_by_height_and_honesty(client: Browser) -> None:
    said = section(client.get("/airplanes/dunlin").text, "stand-in")
    for words in (
        "from the model, an estimate",
        "throttle left, in",
        "Whole exercise, ft",
        "Honesty table",
        "look it up",
    ):
        assert words in said
    # speeds 10 kt slower to 20 kt faster and three banks, as the honesty of a stand-in is told
    for words in ("94 kt", "104 kt, best glide", "124 kt", "15° of bank", "45° of bank", "final, power off"):
        assert words in said


def test_a_stand_in_that_cannot_be_is_said_in_a_sentence() -> None:
    html = Browser(FixtureWorkbench(can_stand_in=False)).get("/airplanes/dunlin").text
    assert "gear and approach flap" in section(html, "stand-in")
    assert "Configurations" in html


def test_a_table_of_glides_is_shown_with_every_glide_and_why_one_was_left_out(client: Browser) -> None:
    html = sent(client, "glides")
    said = section(html, "measured-glide")
    assert "1 left out" in said
    assert "climb" in said
    rows = {row[0]: row for row in rows_of(html, "measured-glide")}
    assert float(rows["ratio"][1]) == pytest.approx(9.6, abs=0.3)
    assert rows["ratio"][3] == "9.6"
    assert "This file is not kept" in html


def test_legs_are_shown_with_position_error_and_wind(client: Browser) -> None:
    html = sent(client, "legs")
    rows = rows_of(html, "measured-airspeed")
    assert [row[0] for row in rows] == ["80", "105", "130"]
    assert all(float(row[4].replace("\u2212", "-")) == pytest.approx(-2.0, abs=0.1) for row in rows)
    assert "wind of these legs: 300° 15 kt" in section(html, "measured-airspeed")


def test_settings_flown_stand_behind_the_match(client: Browser) -> None:
    assert "from three settings flown" in section(sent(client, "settings"), "stand-in")


def test_a_recording_says_what_it_did_not_tell(client: Browser) -> None:
    html = sent(client, "recording")
    assert section(html, "measured-glide")
    assert "No airspeed calibration." in html
    assert "measured-airspeed" not in html


def test_the_same_file_is_measured_once_and_a_forgotten_one_says_so() -> None:
    workbench = FixtureWorkbench()
    browser = Browser(workbench)
    first, second = (sent(browser, "legs") for _ in range(2))
    assert first == second
    assert workbench.measurements == 1
    gone = browser.get("/airplanes/dunlin/measured/0123456789abcdef0123")
    assert gone.status_code == 404
    assert "This measurement is gone" in gone.text


def test_a_file_that_is_nothing_of_the_kind_is_refused_in_a_sentence(client: Browser) -> None:
    answer = client.post("/api/airplanes/dunlin/measurements?file_name=letter.txt", content=NO_RECORDING)
    assert answer.status_code == 422
    assert answer.json()["schema"] == "volplane/problems/1"
    assert "letter.txt" in answer.json()["problems"][0]["sentence"]


def test_a_file_over_the_limit_is_refused(client: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("volplane.faces.web.bodies.LARGEST_FILE_BYTES", 1_000_000)
    assert (
        client.post("/api/airplanes/dunlin/measurements?file_name=long.csv", content=b"x" * 1_000_001).status_code
        == 413
    )
