"""The page of the learned glide, asked as a browser asks it, over recordings simulated with known truth."""

from __future__ import annotations

import pytest

from tests.faces.web_fixture import Browser, FixtureWorkbench


@pytest.fixture(scope="module")
def client() -> Browser:
    return Browser(FixtureWorkbench())


FORM = {"content-type": "application/x-www-form-urlencoded"}


def test_without_a_flight_the_page_says_what_is_missing_and_offers_no_button_to_adopt(client: Browser) -> None:
    html = client.get("/airplanes/dunlin/learned").text
    assert "No flight has taught anything yet." in html
    assert "There is nothing to adopt" in html
    assert "Adopt it" not in html
    assert 'href="/airplanes/dunlin/learned"' in client.get("/airplanes/dunlin").text


def test_adopting_nothing_is_refused_in_a_sentence(client: Browser) -> None:
    answer = client.post("/airplanes/dunlin/learned/adopt", content="reason=because", headers=FORM)
    assert answer.status_code == 422
    assert "Nothing learned about" in answer.text


def test_a_weight_without_a_unit_is_said_and_stays_in_its_field(client: Browser) -> None:
    html = client.get("/airplanes/dunlin/learned").text
    recording = html.split('<option value="')[1].split('"')[0]
    answer = client.post(
        "/airplanes/dunlin/learned/flights", content=f"recording={recording}&weight=3350", headers=FORM
    )
    assert answer.status_code == 422
    assert 'value="3350"' in answer.text
    assert "without a unit" in answer.text


def test_a_recording_is_remembered_and_one_that_cannot_teach_says_so(client: Browser) -> None:
    html = client.get("/airplanes/dunlin/learned").text
    recording = html.split('<option value="')[1].split('"')[0]
    answer = client.post(
        "/airplanes/dunlin/learned/flights", content=f"recording={recording}&weight=3%2C350+lb", headers=FORM
    )
    assert (answer.status_code, answer.headers["location"]) == (303, "/airplanes/dunlin/learned")
    html = client.get("/airplanes/dunlin/learned").text
    assert f'<option value="{recording}"' not in html
    assert "3,350" in html
    # the bytes of the fixture are no track, so nothing was taught
    assert "There is nothing to adopt" in html
    again = client.post(
        "/airplanes/dunlin/learned/flights", content=f"recording={recording}&weight=3350+lb", headers=FORM
    )
    assert again.status_code == 409


def test_an_airplane_that_is_not_kept_is_a_page_not_a_fault(client: Browser) -> None:
    assert client.get("/airplanes/none/learned").status_code == 404
    assert client.post("/airplanes/none/learned/take-back", content="", headers=FORM).status_code == 404
