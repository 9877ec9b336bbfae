"""The way to a first card, asked as the form asks: faults at their fields, a report, a runway by its two ends."""

from __future__ import annotations

import json

import pytest

from tests.faces.web_fixture import Browser, FixtureWorkbench
from volplane.adapters.store.store import open_store
from volplane.bootstrap import House
from volplane.faces.web.app import create_app
from volplane.services.kept import FileKind

SIX = {
    "airplane.name": "Heron",
    "airplane.weights.maximum": "3,400 lb",
    "airplane.glide.best_speed": "105 kt",
    "airplane.glide.ratio": "9.1",
    "airplane.stall.clean": "66 kt",
    "airplane.stall.landing": "58 kt",
}
BY_ENDS = {
    "airfield.name": "Alder Strip",
    "airfield.elevation": "120 ft",
    "airfield.runway[1].name": "18",
    "airfield.runway[1].threshold": "44.0, -40.0",
    # a hundredth of a degree of latitude further south
    "airfield.runway[1].far_end": "43.99, -40.0",
}
REPORT = "XXXX 141350Z 19009KT 9999 FEW035 18/10 Q1018"


@pytest.fixture
def client(tmp_path_factory: pytest.TempPathFactory) -> Browser:
    """An empty store, the real reading, solving and keeping."""
    browser = Browser(FixtureWorkbench())
    browser.house = House(open_store(str(tmp_path_factory.mktemp("empty") / "empty.sqlite")))  # type: ignore[assignment]
    browser.app = create_app(browser.house)
    return browser


def sentences(client: Browser, values: dict[str, str]) -> dict[str, str]:
    answer = client.post("/api/exercises", json={"values": values})
    assert answer.status_code == 422
    return {each["place"]: each["sentence"] for each in answer.json()["problems"]}


def kept_text(client: Browser, kind: FileKind) -> str:
    (file,) = client.house.shelf.files(kind)
    return file.text.text


def test_a_fault_is_said_in_words_without_file_and_key(client: Browser) -> None:
    typed = SIX | BY_ENDS | {"airplane.weights.maximum": "3400", "airplane.glide.ratio": "nine"}
    said = sentences(client, typed)
    assert said["airplane.weights.maximum"] == (
        'Found "3400" without a unit, expected a weight in lb or kg. Write "3400 lb" or "1542 kg".'
    )
    assert said["airplane.glide.ratio"] == (
        'Found "nine", expected a plain number from 2 to 30. Write for example "9.6".'
    )


def test_a_field_left_empty_is_asked_for_in_words(client: Browser) -> None:
    said = sentences(client, {**SIX, **BY_ENDS, "airplane.stall.clean": ""})
    assert said == {
        "airplane.stall.clean": (
            'Found nothing, expected the stall speed with gear and flap up. Write for example "68 kt".'
        )
    }


def test_examples_are_metric_for_who_reads_metric(client: Browser) -> None:
    answer = client.post(
        "/api/exercises",
        json={"values": {**SIX, **BY_ENDS, "airplane.stall.clean": ""}},
        headers={"cookie": "units=metric"},
    )
    assert answer.json()["problems"][0]["sentence"].endswith('Write for example "126 km/h".')
    assert "for example 1,656 kg" in client.get("/exercises/new", headers={"cookie": "units=metric"}).text


def test_two_ends_of_a_runway_give_its_bearing_and_length(client: Browser) -> None:
    answer = client.post("/api/exercises", json={"values": SIX | BY_ENDS})
    assert answer.status_code == 201
    text = kept_text(client, FileKind.AIRFIELD)
    read = client.house.airfield("alder.toml", text).runways[0]
    assert read.bearing_true_rad == pytest.approx(3.141592654, abs=1e-5)
    # length of a degree of latitude at 44 degrees: 111,122 m (from memory: 111,132.92 - 559.82 cos 2B + 1.175 cos 4B)
    assert read.length_m == pytest.approx(1111.2, abs=0.3)


@pytest.mark.parametrize("far_end", ["43.99", "north", "143.99, -40", "43.99, -40, 3"])
def test_an_end_that_is_no_place_is_said_at_its_field(client: Browser, far_end: str) -> None:
    said = sentences(client, SIX | BY_ENDS | {"airfield.runway[1].far_end": far_end})
    assert said["airfield.runway[1].far_end"].startswith(f'Found "{far_end}", expected latitude and longitude')


def test_a_report_gives_wind_setting_and_temperature_and_what_is_typed_beside_it_counts(client: Browser) -> None:
    answer = client.post("/api/exercises", json={"values": SIX | BY_ENDS | {"today.metar": REPORT}})
    assert answer.status_code == 201
    fields = client.get(f"/api{answer.json()['href']}/view").json()["fields"]
    assert (fields["wind_0"], fields["temperature"]) == ("190\N{DEGREE SIGN} 9 kt", "18 \N{DEGREE SIGN}C")
    assert fields["qnh"] == "30.06 inHg"
    typed = SIX | BY_ENDS | {"airplane.name": "Teal", "today.metar": REPORT, "today.wind_1": "210 deg 20 kt"}
    answer = client.post("/api/exercises", json={"values": typed | {"today.qnh": "1016 hPa"}})
    fields = client.get(f"/api{answer.json()['href']}/view").json()["fields"]
    assert (fields["wind_0"], fields["wind_1"]) == ("190\N{DEGREE SIGN} 9 kt", "210\N{DEGREE SIGN} 20 kt")
    assert fields["qnh"] == "30 inHg"


def test_what_is_no_report_and_a_wind_from_everywhere_are_said_at_the_report(client: Browser) -> None:
    said = sentences(client, SIX | BY_ENDS | {"today.metar": "nice day"})
    assert said["today.metar"].startswith('Found "nice day", expected a METAR')
    said = sentences(client, SIX | BY_ENDS | {"today.metar": REPORT.replace("19009KT", "VRB03KT")})
    assert said["today.metar"].endswith("Write the wind to plan for as the wind at the field.")


def test_without_a_runway_one_is_asked_for(client: Browser) -> None:
    said = sentences(client, SIX)
    assert "Find the airfield" in next(iter(said.values()))


def test_the_workbench_can_be_kept_as_an_application_of_its_own(client: Browser) -> None:
    assert 'rel="manifest" href="/manifest.webmanifest"' in client.get("/").text
    answer = client.get("/manifest.webmanifest")
    assert answer.headers["content-type"] == "application/manifest+json"
    manifest = json.loads(answer.text)
    assert (manifest["start_url"], manifest["display"]) == ("/", "standalone")
    for icon in manifest["icons"]:
        picture = client.get(icon["src"])
        assert picture.headers["content-type"] == icon["type"]
        # the sides of a PNG stand big-endian in its header (W3C, Portable Network Graphics, IHDR)
        sides = [int.from_bytes(picture.content[at : at + 4], "big") for at in (16, 20)]
        assert icon["sizes"] == "x".join(map(str, sides))
    assert "manifest-src 'self'" in client.get("/").headers["content-security-policy"]
