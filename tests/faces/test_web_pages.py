"""The pages and the documents behind them, asked as a browser asks, over the hand-made plan and debrief."""

from __future__ import annotations

import hashlib
import re
from typing import Any

import pytest

from tests.faces.fixtures import default_findings, stop_finding
from tests.faces.pages import text_of
from tests.faces.web_fixture import NO_RECORDING, Browser, FixtureWorkbench
from volplane.faces.web.guard import CONTENT_SECURITY_POLICY
from volplane.faces.web.layout import ROOMS
from volplane.services.kept import FileKind, FileText, InstructorFile

LOOPBACK = "http://127.0.0.1:8000"
DEMO = "/debriefs/high"


@pytest.fixture(scope="module")
def client() -> Browser:
    return Browser(FixtureWorkbench())


def problems_of(answer: Any) -> list[dict[str, Any]]:
    document = answer.json()
    assert document["schema"] == "volplane/problems/1"
    return list(document["problems"])


def test_the_first_page_shows_the_exercises_at_hand_and_what_was_flown_last(client: Browser) -> None:
    html = client.get("/").text.replace("\u00a0", " ")
    assert "Dunlin Tourer, runway 25, Quill Meadow" in html
    assert 'href="/exercises/quill"' in html
    assert "Mara Quist with Tobias Lund" in html
    assert html.index('href="/debriefs/high"') < html.index('href="/debriefs/low"')


def test_the_exercise_page_shows_title_fields_gates_phases_ledger_findings_and_caution(client: Browser) -> None:
    html = client.get("/exercises/quill").text
    assert "Overhead to runway 25, left pattern" in html
    assert 'value="240° 8 kt"' in html
    for words in ("High key", "Low key", "Base key", "Final", "half turn", "from the high key", "Print the card"):
        assert words in html
    assert "Training aid, not for navigation, and no substitute for the approved flight manual." in html


def test_only_rooms_that_exist_are_named_in_the_head(client: Browser) -> None:
    html = client.get("/exercises/quill").text
    header = re.search(r'<nav class="rooms".*?</nav>', html, re.S)
    assert header is not None
    assert re.findall(r">([A-Z]\w+)</a>", header.group()) == [name for name, _ in ROOMS]


HELD = {
    "held_px_per_m": "0.135",
    "held_origin_x_px": "374.6",
    "held_origin_y_px": "207.5",
    "held_axis_ground_m": "286.512",
    "held_axis_top_m": "1584.96",
}


def test_while_a_gate_is_dragged_the_drawings_follow_in_scales_that_hold_still(client: Browser) -> None:
    answer = client.get("/api/exercises/quill/drag", params={**HELD, "low_key_height": "1,700 ft"})
    assert answer.status_code == 200
    pieces = answer.json()["fragments"]
    assert 'data-px-per-m="0.135000"' in pieces["board"]
    assert 'data-axis-top="5200.00"' in pieces["ladder"]
    assert "1,700 above field" in pieces["board"].replace("\u00a0", " ")
    assert set(pieces) == {"board", "profile", "ladder", "profile-tablet", "ladder-tablet"}


@pytest.mark.parametrize("key, value", [("held_px_per_m", "0"), ("held_px_per_m", "nan"), ("held_axis_top_m", "x")])
def test_a_scale_that_is_none_is_refused_in_a_sentence(client: Browser, key: str, value: str) -> None:
    answer = client.get("/api/exercises/quill/drag", params={**HELD, key: value})
    assert answer.status_code == 422
    assert answer.json()["problems"][0]["place"] == key


def test_a_change_moves_the_low_key_in_view_and_document_alike(client: Browser) -> None:
    calm, windy = (
        client.get("/api/exercises/quill/plan", params={"wind_0": f"240 deg {speed} kt"}).json()["gates"][1][
            "height_ft"
        ]
        for speed in (8, 28)
    )
    assert windy - calm == pytest.approx(200.0, abs=2.0)
    board = client.get("/api/exercises/quill/view", params={"wind_0": "240° 28 kt"}).json()["fragments"]["board"]
    assert "1,700 above field" in board.replace("\u00a0", " ")


def test_a_bad_value_is_answered_at_its_field_with_one_sentence(client: Browser) -> None:
    answer = client.get("/api/exercises/quill/view", params={"weight": "3400"})
    assert answer.status_code == 422
    problem = problems_of(answer)[0]
    assert problem["place"] == "weight"
    assert '"3400"' in problem["sentence"]


def test_a_page_with_a_bad_value_in_its_address_still_shows_the_rest(client: Browser) -> None:
    answer = client.get("/exercises/quill", params={"weight": "heavy", "wind_0": "240 deg 18 kt"})
    assert answer.status_code == 422
    html = answer.text.replace("\u00a0", " ")
    assert 'value="heavy"' in html
    assert 'aria-invalid="true"' in html
    assert "Before the change to heavy." in html
    assert "1,600 above field" in html


def test_two_bad_values_are_both_explained(client: Browser) -> None:
    answer = client.get("/api/exercises/quill/view", params={"weight": "heavy", "qnh": "30.05"})
    assert {problem["place"] for problem in problems_of(answer)} == {"weight", "qnh"}


def test_a_refusal_that_belongs_to_no_field_is_said_above_the_drawing(client: Browser) -> None:
    answer = client.get("/exercises/quill", params={"wind_0": "240 deg 120 kt"})
    assert answer.status_code == 422
    trouble = re.search(r'<div class="trouble" id="trouble" role="alert"><p>(.*?)</p>', answer.text)
    assert trouble is not None
    assert "wind" in trouble.group(1).lower()


def test_our_own_fault_says_how_to_report_it_and_shows_no_traceback(client: Browser) -> None:
    for path in ("/api/exercises/quill/view", "/exercises/quill"):
        answer = client.get(path, params={"reserve": "999 ft"})
        assert answer.status_code == 500
        assert "report" in answer.text
        assert "Traceback" not in answer.text
        assert FixtureWorkbench.own_fault not in answer.text
        assert answer.headers["content-security-policy"] == CONTENT_SECURITY_POLICY


def test_hostile_text_in_a_field_stays_text(client: Browser) -> None:
    html = client.get("/exercises/quill", params={"weight": '"><script>alert(1)</script>'}).text
    assert "<script>alert" not in html
    assert "&lt;script&gt;alert(1)" in html


def test_the_card_is_a_pdf_once_a_reason_is_given(client: Browser) -> None:
    answer = client.post(
        "/api/exercises/quill/card", json={"paper": "A5", "reason": "Dual, at a quiet field.", "changes": {}}
    )
    assert answer.status_code == 200
    assert answer.headers["content-type"] == "application/pdf"
    assert answer.headers["content-disposition"] == 'attachment; filename="card-25-left.pdf"'
    assert answer.content.startswith(b"%PDF-")


def test_the_instructor_sheet_comes_from_the_same_place_as_the_card(client: Browser) -> None:
    wish = {"paper": "A4", "sheet": "instructor", "reason": "Dual, at a quiet field.", "changes": {}}
    answer = client.post("/api/exercises/quill/card", json=wish)
    assert answer.status_code == 200
    assert answer.headers["content-disposition"] == 'attachment; filename="instructor-25-left.pdf"'
    assert "Instructor sheet. Quill Meadow" in text_of(answer.content)


def test_a_card_with_cautions_and_no_reason_is_refused_in_a_sentence(client: Browser) -> None:
    answer = client.post("/api/exercises/quill/card", json={"paper": "A5", "changes": {}})
    assert answer.status_code == 422
    assert "reason" in problems_of(answer)[0]["sentence"]


def test_a_card_wish_that_makes_no_sense_is_refused_as_problems(client: Browser) -> None:
    for wish in ({"paper": "poster", "reason": "x"}, {"changes": 7}, {"reason": "x" * 5000}):
        answer = client.post("/api/exercises/quill/card", json=wish)
        assert answer.status_code == 422
        assert problems_of(answer)[0]["sentence"]


def test_a_stop_turns_the_print_button_off_and_says_why() -> None:
    client = Browser(FixtureWorkbench(findings=(stop_finding(), *default_findings())))
    html = client.get("/exercises/quill").text
    assert 'id="print"' not in html
    assert "No card:" in html
    assert "<b>Stop</b>" in html
    assert client.post("/api/exercises/quill/card", json={"reason": "all the same"}).status_code == 422


def test_an_infeasible_exercise_is_a_page_not_an_error() -> None:
    client = Browser(FixtureWorkbench(feasible=False))
    answer = client.get("/exercises/quill")
    assert answer.status_code == 200
    assert "No card:" in answer.text
    assert "Any one of these makes it possible" in answer.text
    assert "Entry height: 2,740\u00a0ft instead of 2,500\u00a0ft." in answer.text
    assert client.get("/api/exercises/quill/plan").json()["feasible"] is False


def test_more_than_five_findings_are_folded() -> None:
    many = tuple(default_findings()) * 3
    client = Browser(FixtureWorkbench(findings=many))
    html = client.get("/exercises/quill").text
    assert "<summary>4 more</summary>" in html


def test_every_exercise_of_a_recording_has_its_own_sheet(client: Browser) -> None:
    second = client.get(DEMO, params={"own": "skipped", "exercise": "2"}).text
    assert "second of two" in second
    for odd in ("0", "99", "-1", "x", "1e9", "²"):
        assert client.get(DEMO, params={"own": "skipped", "exercise": odd}).status_code == 200


def test_a_sent_recording_is_debriefed_and_kept_once(client: Browser) -> None:
    address = "/api/exercises/quill/debriefs?file_name=a.gpx"
    answers = [client.post(address, content=b"flight") for _ in range(2)]
    assert [answer.status_code for answer in answers] == [201, 201]
    first, second = (answer.json() for answer in answers)
    assert first["href"] == second["href"]
    assert client.get(first["href"], params={"own": "skipped"}).status_code == 200
    assert client.house.shelf.store.original(hashlib.sha256(b"flight").hexdigest()) == b"flight"
    assert client.get(f"/api/debriefs/{first['key']}").json()["schema"] == "volplane/debrief/1"


def test_a_debrief_that_is_looked_at_again_is_not_made_again() -> None:
    workbench = FixtureWorkbench()
    client = Browser(workbench)
    before = workbench.debriefs
    for _ in range(3):
        client.get(DEMO, params={"own": "skipped"})
    assert workbench.debriefs == before + 1


def test_a_file_that_is_no_recording_is_refused_in_a_sentence(client: Browser) -> None:
    answer = client.post("/api/exercises/quill/debriefs?file_name=letter.txt", content=NO_RECORDING)
    assert answer.status_code == 422
    assert "letter.txt" in problems_of(answer)[0]["sentence"]


def test_a_recording_over_the_limit_is_refused(client: Browser, monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("volplane.faces.web.bodies.LARGEST_FILE_BYTES", 1_000_000)
    answer = client.post("/api/exercises/quill/debriefs?file_name=long.csv", content=b"x" * 1_000_001)
    assert answer.status_code == 413
    assert "1 MB" in problems_of(answer)[0]["sentence"]


def test_a_recording_without_an_exercise_says_so(client: Browser) -> None:
    answer = client.post("/api/exercises/quill/debriefs?file_name=cruise.csv", content=b"")
    page = client.get(answer.json()["href"])
    assert page.status_code == 200
    assert "No exercise in this recording" in page.text


def test_the_list_finds_a_debrief_by_person_and_file_and_says_when_nothing_answers(client: Browser) -> None:
    client.post("/api/exercises/quill/debriefs?file_name=evening_50%.csv", content=b"evening")
    assert 'href="/debriefs/high"' in client.get("/debriefs", params={"text": "mara HIGH"}).text
    assert "evening_50%.csv" in client.get("/debriefs", params={"text": "50%"}).text
    assert 'href="/debriefs/high"' not in client.get("/debriefs", params={"text": "50%"}).text
    assert "Nothing answers to “nobody”" in client.get("/debriefs", params={"text": "nobody"}).text


def test_the_flight_for_the_cursor_is_safe_inside_the_page(client: Browser) -> None:
    html = client.get(DEMO, params={"own": "skipped"}).text
    island = re.search(r'<script type="application/json" id="flight">(.*?)</script>', html, re.S)
    assert island is not None
    assert "<" not in island.group(1)
    assert "NaN" not in island.group(1)


def test_no_page_asks_for_anything_from_elsewhere(client: Browser) -> None:
    for path in ("/exercises/quill", "/debriefs", f"{DEMO}?own=skipped", DEMO, "/nowhere"):
        html = client.get(path).text
        addresses = re.findall(r'(?:href|src|action)="([^"]*)"', html)
        assert addresses
        assert all(address.startswith(("/", "#")) and not address.startswith("//") for address in addresses)
        assert not re.search(r'\sstyle="|<style|\son[a-z]+="|javascript:', html)


def test_every_asset_a_page_names_is_served_and_kept_for_ever(client: Browser) -> None:
    html = client.get("/exercises/quill").text
    for address in re.findall(r'(?:href|src)="(/assets/[^"]*)"', html):
        answer = client.get(address)
        assert answer.status_code == 200
        assert "immutable" in answer.headers["cache-control"]
    tokens = next(address for address in re.findall(r'href="(/assets/tokens[^"]*)"', html))
    for font in re.findall(r'url\("([^"]*)"\)', client.get(tokens).text):
        assert client.get(font).headers["content-type"] == "font/woff2"
    assert client.get("/favicon.svg").headers["content-type"] == "image/svg+xml"
    assert client.get("/favicon.ico").headers["content-type"] == "image/x-icon"
    assert client.get("/assets/../app.py").status_code == 404
    assert client.get("/assets/%2e%2e/app.py").status_code == 404


def test_pages_are_never_stored_and_carry_the_policy(client: Browser) -> None:
    for path in ("/exercises/quill", "/debriefs", "/api/exercises/quill/plan", "/nowhere"):
        headers = client.get(path).headers
        assert headers["cache-control"] == "no-store"
        assert headers["content-security-policy"] == CONTENT_SECURITY_POLICY
        assert headers["x-content-type-options"] == "nosniff"


def test_the_theme_follows_the_cookie_and_nothing_else(client: Browser) -> None:
    assert "data-theme" not in client.get("/exercises/quill").text
    assert 'data-theme="dusk"' in client.get("/exercises/quill", headers={"cookie": "theme=dusk"}).text
    assert "data-theme" not in client.get("/exercises/quill", headers={"cookie": 'theme="><b>'}).text


def test_other_hosts_are_not_answered(client: Browser) -> None:
    for host in ("evil.example", "127.0.0.1.evil.example", "", "[::1", "10.0.0.7:8000"):
        answer = client.get("/exercises/quill", headers={"host": host})
        assert answer.status_code == 421
        assert answer.headers["content-security-policy"] == CONTENT_SECURITY_POLICY
    for host in ("localhost:8000", "127.0.0.1", "[::1]:8000", "LOCALHOST"):
        assert client.get("/favicon.svg", headers={"host": host}).status_code == 200


def test_a_host_can_be_allowed() -> None:
    client = Browser(FixtureWorkbench(), allowed_hosts=("bench.example",), base_url="http://bench.example")
    assert client.get("/favicon.svg").status_code == 200


def test_listening_everywhere_answers_addresses_but_still_no_foreign_name() -> None:
    client = Browser(FixtureWorkbench(), allowed_hosts=("0.0.0.0",))
    assert client.get("/favicon.svg", headers={"host": "192.0.2.7:8100"}).status_code == 200
    assert client.get("/favicon.svg", headers={"host": "evil.example"}).status_code == 421


def test_requests_from_another_page_change_nothing(client: Browser) -> None:
    for origin in ("http://evil.example", "null", "http://127.0.0.1:9999"):
        answer = client.post("/api/exercises/quill/debriefs?file_name=a.csv", content=b"a", headers={"origin": origin})
        assert answer.status_code == 403
    own = client.post("/api/exercises/quill/debriefs?file_name=a.csv", content=b"a", headers={"origin": LOOPBACK})
    assert own.status_code == 201


def test_the_interface_is_described_and_no_documentation_page_loads_from_elsewhere(client: Browser) -> None:
    assert "/api/exercises/{key}/plan" in client.get("/api/openapi.json").json()["paths"]
    assert client.get("/docs").status_code == 404
    assert client.get("/redoc").status_code == 404


def test_an_unknown_address_answers_in_the_form_it_was_asked(client: Browser) -> None:
    assert problems_of(client.get("/api/nowhere"))[0]["code"] == "no-such-address"
    assert "No such page" in client.get("/nowhere").text
    assert client.get("/debriefs/doesnotexist").status_code == 404
    assert client.ask("DELETE", "/exercises/quill").status_code == 405


def test_the_same_question_gives_the_same_bytes(client: Browser) -> None:
    for path in ("/exercises/quill", "/api/exercises/quill/plan", f"{DEMO}?own=skipped"):
        assert client.get(path).content == client.get(path).content


def test_a_page_whose_files_cannot_be_used_says_so_as_a_page_and_to_programs_as_problems(client: Browser) -> None:
    store = client.house.shelf.store
    text = 'airplane = "nowhere.toml"\nairfield = "quill_meadow.toml"\nrunway = "25"\n'
    store.change([InstructorFile("lost", FileKind.EXERCISE, "lost.toml"), FileText("lost-1", "lost", 1, text, 0.0)])
    shown = client.get("/exercises/lost")
    assert (shown.status_code, "This cannot be shown" in shown.text, "nowhere.toml" in shown.text) == (422, True, True)
    assert problems_of(client.get("/api/exercises/lost/plan"))[0]["code"] == "file-missing"
    assert client.get("/exercises").status_code == 200
