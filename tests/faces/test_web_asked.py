"""What is asked of an exercise beyond its page: other runways, ways to lose height, flights, files, the preview."""

from __future__ import annotations

import asyncio
import json
import re

import pytest

from tests.faces.web_fixture import Browser, FixtureWorkbench
from volplane.faces.documents.wording import IMPERIAL
from volplane.faces.web.routes_asked import Flights

Events = list[tuple[str, dict]]  # type: ignore[type-arg]


@pytest.fixture
def client() -> Browser:
    return Browser(FixtureWorkbench())


def fragment(client: Browser, path: str, place: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200
    return str(answer.json()["fragments"][place])


def events(text: str) -> Events:
    found = re.findall(r"event: (\w+)\ndata: (.*)\n\n", text)
    return [(name, json.loads(data)) for name, data in found]


def test_the_recommended_runway_stands_first_and_every_row_leads_to_its_exercise(client: Browser) -> None:
    html = fragment(client, "/api/exercises/quill/runways?wind_0=240+deg+12+kt", "runways-inside")
    names = re.findall(r"<th scope=\"row\">(?:<a [^>]*>)?([^<]*)", html)
    assert names == ["25, left pattern", "07, left pattern", "07, right pattern", "25, right pattern"]
    assert "recommended, planned now" in html
    assert "runway=07&amp;pattern=right" in html
    assert "wind_0=240%C2%B0+12+kt" in html
    # the runway that is planned now leads nowhere
    assert html.count("<a ") == 3


def test_what_speaks_against_a_runway_is_said_stops_first(client: Browser) -> None:
    html = fragment(client, "/api/exercises/quill/runways", "runways-inside")
    assert "Stop: tailwind." in html
    assert "Stop: does not come out; not the published side." in html
    assert "Not the published side; caution: crosswind, gusts." in html


def test_ways_stand_by_gate_in_two_columns_and_what_is_used_up_is_said(client: Browser) -> None:
    html = fragment(client, "/api/exercises/quill/ways", "ways-inside")
    assert re.findall(r"From the ([a-z ]+)<", html) == ["high key", "low key", "base key", "final"]
    assert '<th scope="row">gear</th><td class="number">–</td><td class="number">500</td>' in html
    assert re.search(r"Not from the final: gear \(flown [^)]*already\), wider turn \(no room left[^)]*\)\.", html)


def test_a_plan_that_cannot_come_out_has_no_ways_and_is_not_flown() -> None:
    client = Browser(FixtureWorkbench(feasible=False))
    assert "cannot come out" in fragment(client, "/api/exercises/quill/ways", "ways-inside")
    (name, answer), *others = events(client.get("/api/exercises/quill/dispersion?runs=500").text)
    assert (name, others) == ("answer", [])
    assert "cannot come out" in answer["fragments"]["dispersion-inside"]


def test_flights_tell_their_progress_and_end_with_short_of_the_runway_first(client: Browser) -> None:
    answer = client.get("/api/exercises/quill/dispersion?runs=2000&seed=7")
    assert answer.headers["content-type"].startswith("text/event-stream")
    told = events(answer.text)
    assert [each["done"] for name, each in told if name == "progress"] == [0, 500, 1000, 1500]
    name, last = told[-1]
    html = last["fragments"]["dispersion-inside"]
    assert name == "answer"
    assert "Flown 2,000 times, seed 7" in html
    outcomes = re.findall(r"<th scope=\"row\">([^<]*)</th>", html)
    assert outcomes[0] == "Short of the runway"
    assert 'class="figure touchdown-strip"' in html


@pytest.mark.parametrize("query", ["runs=5", "runs=many", "runs=2000&seed=-1", "runs=900000000"])
def test_flights_nobody_can_fly_are_refused_in_a_sentence(client: Browser, query: str) -> None:
    answer = client.get(f"/api/exercises/quill/dispersion?{query}")
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["sentence"]


def test_a_bad_value_is_refused_in_the_stream(client: Browser) -> None:
    ((name, said),) = events(client.get("/api/exercises/quill/dispersion?weight=heavy").text)
    assert name == "refused"
    assert said["problems"][0]["place"] == "weight"


def test_a_fault_of_our_own_is_said_in_the_stream(client: Browser) -> None:
    ((name, said),) = events(client.get("/api/exercises/quill/dispersion?reserve=999+ft").text)
    assert name == "refused"
    assert "report it" in said["problems"][0]["sentence"]


def test_whoever_leaves_stops_the_flights(client: Browser) -> None:
    bench = FixtureWorkbench(flights_at_once=100, pause_s=0.05)
    flights = Flights(_on_the_bench(bench), {}, 5000, 1)

    async def leaves_after_the_first_word() -> None:
        stream = flights.events(IMPERIAL)
        assert (await anext(stream)).startswith("event: progress")
        await stream.aclose()  # type: ignore[attr-defined]

    asyncio.run(leaves_after_the_first_word())
    # the loop waits for its threads before it ends, so the number is final
    assert bench.flown < 1000


def _on_the_bench(bench: FixtureWorkbench):  # type: ignore[no-untyped-def]
    from volplane.faces.web.rooms import Bench

    texts = Browser(bench).house.shelf.exercise("quill")
    return Bench("quill", texts, bench, bench.exercise_fields())


@pytest.mark.parametrize(
    ("ending", "media", "mark"),
    [
        ("svg", "image/svg+xml", b"<svg "),
        ("kml", "application/vnd.google-earth.kml+xml", b"<kml"),
        ("gpx", "application/gpx+xml", b"<gpx"),
        ("geojson", "application/geo+json", b"FeatureCollection"),
        ("csv", "text/csv", b","),
    ],
)
def test_a_plan_is_taken_along_as_a_file(client: Browser, ending: str, media: str, mark: bytes) -> None:
    answer = client.get(f"/api/exercises/quill/export/{ending}")
    assert answer.headers["content-type"].startswith(media)
    assert answer.headers["content-disposition"] == f'attachment; filename="exercise-25-left.{ending}"'
    assert mark in answer.content


def test_a_kind_of_file_nobody_writes_is_refused(client: Browser) -> None:
    assert client.get("/api/exercises/quill/export/exe").status_code == 422


def test_the_card_is_looked_at_before_its_reason_is_written_and_nothing_is_kept(client: Browser) -> None:
    answer = client.post("/api/exercises/quill/preview", json={"paper": "A5", "sheet": "card", "changes": {}})
    picture = re.findall(r'src="([^"]*)"', answer.json()["fragments"]["card-preview"])
    assert len(picture) == 1
    page = client.get(picture[0])
    assert (page.headers["content-type"], page.content[:4]) == ("image/png", b"\x89PNG")
    assert client.get(picture[0].replace("/1", "/2")).status_code == 404
    assert client.house.lists is not None


def test_the_instructor_sheet_on_small_paper_has_two_pages_to_look_at(client: Browser) -> None:
    answer = client.post("/api/exercises/quill/preview", json={"paper": "A5", "sheet": "instructor", "changes": {}})
    html = answer.json()["fragments"]["card-preview"]
    assert "page 1 of 2" in html
    assert "page 2 of 2" in html


def test_values_are_kept_over_the_state_that_was_seen_and_never_over_somebody_elses(client: Browser) -> None:
    first = client.post("/api/exercises/quill/keep?reserve=150+ft&seen=1")
    assert first.json()["href"] == "/exercises/quill"
    late = client.post("/api/exercises/quill/keep?reserve=200+ft&seen=1")
    assert late.status_code >= 400
    assert late.json()["problems"][0]["code"] == "changed-meanwhile"
    assert client.post("/api/exercises/quill/keep?reserve=200+ft").status_code == 200
    assert 'reserve = "200 ft"' in client.house.shelf.exercise("quill").exercise.text


def test_words_to_choose_from_are_a_list(client: Browser) -> None:
    html = client.get("/exercises/quill?runway=07").text
    assert re.search(r'<select id="field-runway"[^>]*>', html)
    assert '<option value="07" selected>07</option>' in html
    assert 'id="differs" hidden' not in html
    assert 'id="differs" hidden' in client.get("/exercises/quill").text
