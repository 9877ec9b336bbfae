"""The desk of a debrief, asked as a browser asks: answers, notes, whose it is, made again, taken away, laid over."""

from __future__ import annotations

import dataclasses
import re

import httpx
import pytest

from tests.faces import fixtures
from tests.faces.test_web_pages import problems_of
from tests.faces.web_fixture import Browser, FixtureWorkbench
from volplane.faces.documents.wording import IMPERIAL
from volplane.faces.report.heights import HeightAxis
from volplane.faces.report.wind_chart import wind_by_height
from volplane.services.kept import KeptDebrief, KeptRecording, Note, Person, Role
from volplane.units import ft_from_m

SHEET = "/debriefs/high"
API = "/api/debriefs/high"


@pytest.fixture
def client() -> Browser:
    return Browser(FixtureWorkbench())


def code_of(answer: httpx.Response) -> str:
    """The code of a refusal."""
    assert 400 <= answer.status_code < 500
    return str(problems_of(answer)[0]["code"])


def notes_of(client: Browser, key: str = "high") -> tuple[Note, ...]:
    return client.house.shelf.store.find(Note, debrief=key)


def test_the_trainee_is_asked_until_the_questions_are_answered_or_skipped(client: Browser) -> None:
    assert "Where did it touch?" in client.get(SHEET).text
    assert 'class="headline"' not in client.get(SHEET).text
    assert 'class="headline"' in client.get(SHEET, params={"own": "skipped"}).text
    answer = client.post(f"{API}/own", json={"touched": "On <the> point", "next": "Sooner"})
    assert answer.json()["href"] == SHEET
    shown = client.get(SHEET).text
    assert "“On &lt;the&gt; point”" in shown
    assert 'class="headline"' in shown


def test_answers_are_notes_the_trainee_may_read_and_can_be_changed_and_taken_back(client: Browser) -> None:
    client.post(f"{API}/own", json={"touched": "Short", "sure": "On final"})
    kept = notes_of(client)
    assert {note.text for note in kept} == {
        "Where did it touch? Short",
        "When were you sure of the field? On final",
    }
    assert all(not note.is_private and note.author == "mara" for note in kept)
    client.post(f"{API}/own", json={"touched": "Long", "sure": ""})
    assert [note.text for note in notes_of(client)] == ["Where did it touch? Long"]
    assert 'value="Long"' in client.get(SHEET, params={"own": "ask"}).text


def test_a_note_is_pinned_changed_and_taken_away(client: Browser) -> None:
    wish = {"text": "Late <look>", "is_private": True, "time_s": 30.0}
    made = client.post(f"{API}/notes", json=wish)
    assert made.status_code == 201
    assert "Late &lt;look&gt;" in made.json()["fragments"]["notes"]
    (note,) = notes_of(client)
    assert (note.time_s, note.is_private, note.author) == (30.0, True, "tobias")
    changed = {"text": "Early", "is_private": False, "version": note.version}
    assert client.ask("PUT", f"/api/notes/{note.key}", json=changed).status_code == 200
    stale = client.ask("PUT", f"/api/notes/{note.key}", json=changed)
    assert code_of(stale) == "changed-meanwhile"
    (note,) = notes_of(client)
    assert (note.text, note.is_private) == ("Early", False)
    assert client.ask("DELETE", f"/api/notes/{note.key}?version={note.version}").status_code == 200
    assert notes_of(client) == ()


def test_a_note_of_no_words_or_to_no_debrief_is_refused(client: Browser) -> None:
    assert client.post(f"{API}/notes", json={"text": ""}).status_code == 422
    assert code_of(client.post("/api/debriefs/nothing/notes", json={"text": "x"})) == "not-kept"
    assert code_of(client.post(f"{API}/own?exercise=9", json={"touched": "x"})) == "not-kept"


def test_people_can_be_set_and_nobody_overwrites_somebody_else(client: Browser) -> None:
    store = client.house.shelf.store
    store.change([Person("nils", "Nils Varga", Role.TRAINEE, 0.0)])
    version = store.get(KeptDebrief, "high").version
    wish = {"trainee": "nils", "instructor": None, "lesson": None, "version": version}
    assert client.ask("PATCH", API, json=wish).status_code == 200
    kept = store.get(KeptDebrief, "high")
    assert (kept.trainee, kept.instructor) == ("nils", None)
    assert code_of(client.ask("PATCH", API, json=wish)) == "changed-meanwhile"
    unknown = {**wish, "trainee": "nobody", "version": kept.version}
    assert code_of(client.ask("PATCH", API, json=unknown)) == "not-kept"


def test_a_debrief_made_by_older_code_can_be_made_again_and_keeps_its_notes(client: Browser) -> None:
    store = client.house.shelf.store
    assert "today’s code" not in client.get(SHEET, params={"own": "skipped"}).text
    client.post(f"{API}/notes", json={"text": "Stays"})
    store.change([dataclasses.replace(store.get(KeptDebrief, "high"), code_version="0.0.1")])
    assert "Debrief again with today’s code" in client.get(SHEET, params={"own": "skipped"}).text
    assert client.post(f"{API}/again").status_code == 200
    kept = store.get(KeptDebrief, "high")
    assert (kept.code_version, kept.trainee) == ("fixture", "mara")
    assert [note.text for note in notes_of(client)] == ["Stays"]
    assert "today’s code" not in client.get(SHEET, params={"own": "skipped"}).text


def test_a_removed_recording_is_gone_with_its_original_and_only_it(client: Browser) -> None:
    store = client.house.shelf.store
    kept = store.get(KeptDebrief, "high")
    page = client.get(SHEET, params={"own": "skipped"}).text
    assert "Remove this recording? The original file goes too." in page
    assert code_of(client.ask("DELETE", f"{API}?version={kept.version + 1}")) == "changed-meanwhile"
    assert client.ask("DELETE", f"{API}?version={kept.version}").json()["href"] == "/debriefs"
    assert store.find(KeptRecording, key=kept.recording) == ()
    assert client.get(SHEET).status_code == 404
    assert client.get("/debriefs/low").status_code == 200


def test_the_recording_comes_back_byte_for_byte(client: Browser) -> None:
    answer = client.get(f"{API}/recording")
    assert answer.content == b"high"
    assert "quist-high.csv" in answer.headers["content-disposition"]


def test_exercises_of_one_trainee_are_laid_over_each_other_each_with_its_line(client: Browser) -> None:
    names = ["high.1", "high.2", "low.1", "low.2", "low.9"]
    page = client.get("/debriefs/overlay", params={"attempt": names}).text
    assert "four exercises" in page
    assert len(re.findall(r'class="path flown"', page)) == 4
    assert len(set(re.findall(r'stroke-dasharray="([^"]*)" class="path flown"', page))) == 3
    assert client.get("/debriefs/overlay").status_code == 404
    assert client.get("/debriefs/overlay", params={"attempt": ["high.7"]}).status_code == 404
    assert client.get("/debriefs/overlay", params={"attempt": ["nothing.1"]}).status_code == 404


def test_somebody_elses_exercise_is_not_laid_over(client: Browser) -> None:
    store = client.house.shelf.store
    store.change([Person("nils", "Nils Varga", Role.TRAINEE, 0.0)])
    store.change([dataclasses.replace(store.get(KeptDebrief, "low"), trainee="nils")])
    page = client.get("/debriefs/overlay", params={"attempt": ["high.1", "low.1"]}).text
    assert "Mara Quist, one exercise." in page


def test_flying_on_without_a_wind_found_is_refused_in_a_sentence(client: Browser) -> None:
    answer = client.post(f"{API}/what-if", json={"time_s": 60.0, "turn": "now"})
    assert answer.status_code == 422
    assert "wind" in problems_of(answer)[0]["sentence"].lower()


def test_wishes_that_cannot_be_read_are_told_each(client: Browser) -> None:
    wish = {"time_s": 60.0, "speed": "fast", "bank": "120 deg", "wind": "north", "configuration": "hook down"}
    answer = client.post(f"{API}/what-if", json=wish)
    assert answer.status_code == 422
    assert {problem["place"] for problem in problems_of(answer)} == {"speed", "bank", "wind", "configuration"}


def test_a_long_list_is_turned_leaf_by_leaf(client: Browser) -> None:
    for number in range(52):
        client.post(f"/api/exercises/quill/debriefs?file_name=leaf{number}.csv", content=str(number).encode())
    first = client.get("/debriefs").text
    assert "1 to 50 of 54" in first
    second = client.get("/debriefs", params={"leaf": "2"}).text
    assert "51 to 54 of 54" in second
    keys = [set(re.findall(r'href="(/debriefs/[0-9a-z]+)"', page)) for page in (first, second)]
    assert len(keys[0] | keys[1]) == 54
    for odd in ("0", "x", "999", "-1", "²"):
        assert client.get("/debriefs", params={"leaf": odd}).status_code == 200


def test_the_report_and_the_flight_are_taken_along(client: Browser) -> None:
    client.post(f"{API}/notes", json={"text": "Private words", "is_private": True})
    report = client.get(f"{API}/report")
    assert report.headers["content-type"] == "application/pdf"
    assert report.content.startswith(b"%PDF-")
    first = {"csv": b"exercise,", "gpx": b"<?xml", "kml": b"<?xml", "geojson": b"{"}
    for ending, begins in first.items():
        answer = client.get(f"{API}/flown.{ending}")
        assert answer.content.startswith(begins)
        assert f'.{ending}"' in answer.headers["content-disposition"]
    assert client.get(f"{API}/flown.exe").status_code == 422
    page = client.get(SHEET, params={"own": "skipped"}).text
    assert "The report as PDF" in page


def test_the_wind_stands_at_the_height_the_ladder_beside_it_shows() -> None:
    attempt = fixtures.attempt()
    axis = HeightAxis.of(attempt.plan, IMPERIAL, attempt.gates)
    drawn = wind_by_height(attempt, size_px=(316.0, 340.0), shared=axis)
    lines = [float(y) for y in re.findall(r'<line x1="44" y1="([\d.]+)"', drawn)]
    wish = attempt.plan.exercise
    base_m = wish.ground_msl_m - wish.weather.atmosphere.field_elevation_msl_m
    lowest = min(each.height_m for each in attempt.wind)
    reading_ft = ft_from_m(float(wish.weather.atmosphere.altimeter_msl_m(lowest + base_m)))
    # the ladder runs from its ground at the foot, 24 px, to its top, 34 px under the edge
    share = (reading_ft - axis.ground) / (axis.top - axis.ground)
    assert max(lines) == pytest.approx(340.0 - 24.0 - share * (340.0 - 24.0 - 34.0), abs=0.1)
