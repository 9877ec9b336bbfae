"""People's pages: a season looked at, a record made from the debriefs of a day, what is private, and going away."""

from __future__ import annotations

import csv
import html
import io
import re
import zipfile

import httpx
import pytest

from tests.faces.web_fixture import NOW_UNIX_S, Browser, FixtureWorkbench
from tests.season import MAY_UNIX_S, keep_season
from volplane.services import kept

DAY = int(MAY_UNIX_S // 86_400)
SECRET = "looks at the dials too long"


@pytest.fixture
def client() -> Browser:
    browser = Browser(FixtureWorkbench())
    keep_season(browser.house.shelf.store)
    return browser


def send(client: Browser, path: str, **fields: str) -> httpx.Response:
    """A form, as a browser sends it."""
    return client.post(path, data=fields, headers={"origin": "http://127.0.0.1:8000"})


def page_text(client: Browser, path: str) -> str:
    answer = client.get(path)
    assert answer.status_code == 200, answer.text
    return html.unescape(re.sub(r"<[^>]+>", " ", answer.text)).replace("\u00a0", " ")


def test_the_list_names_everybody_and_what_they_flew(client: Browser) -> None:
    said = page_text(client, "/people")
    assert "Jonne Aalt" in said
    assert "Trainee. Three exercises flown, the last on 15 May 2026." in said
    assert said.index("Mara Quist") < said.index("Tobias Lund")


def test_a_path_has_landings_decisions_apart_and_no_score(client: Browser) -> None:
    said = page_text(client, "/people/jonne")
    assert "Two landings. One go-around: 1 late." in said
    assert "too few for a middle or a trend" in said
    for word in ("score", "rank", "streak", "grade", "badge"):
        assert word not in said.lower()


def test_touchdowns_are_drawn_one_dot_a_landing(client: Browser) -> None:
    drawn = client.get("/people/ilse").text
    assert drawn.count('class="touched"') - _legend_marks(drawn) == 1
    assert 'data-band="moderate"' in drawn


def _legend_marks(drawn: str) -> int:
    """Each band that occurs stands once more in the legend."""
    return len({part.split('"')[0] for part in drawn.split('data-band="')[1:]})


def test_a_record_is_made_of_the_debriefs_of_a_day_and_kept_with_them(client: Browser) -> None:
    store = client.house.shelf.store
    assert f"/people/jonne/lessons/{DAY + 3}" in client.get("/people/jonne").text
    form = client.get(f"/people/jonne/lessons/{DAY + 3}").text
    for filled in ("Quill Meadow", "Dunlin Tourer", "Runway 25 left", "lesson standard", "from the high key"):
        assert filled in form
    fields = {"place": "Quill Meadow", "airplane": "Dunlin Tourer", "rung": "from the high key", "minutes": "65"}
    made = send(client, f"/people/jonne/lessons/{DAY + 3}", **fields, own_assessment="Unsure on base.\r\nToo fast.")
    assert made.status_code == 303
    said = page_text(client, made.headers["location"])
    assert "1 h 05 min" in said
    assert "Touched 40 ft before the point" in said
    assert "Went around at 480 ft, late" in said
    assert "not an endorsement" in said
    lesson = store.find(kept.Lesson, trainee="jonne")[0]
    assert [each.lesson for each in store.find(kept.KeptDebrief, trainee="jonne")].count(lesson.key) == 1
    assert f"/people/jonne/lessons/{DAY + 3}" not in client.get("/people/jonne").text
    pdf = client.get(f"{made.headers['location']}/record.pdf")
    assert pdf.content.startswith(b"%PDF-")
    rows = list(
        csv.DictReader(io.StringIO(client.get(f"{made.headers['location']}/record.csv").content.decode("utf-8-sig")))
    )
    assert [(row["outcome"], row["touchdown_x_ft"], row["timely"]) for row in rows] == [
        ("landed", "-40.0", ""),
        ("went around", "", "false"),
    ]
    assert rows[0]["own_assessment"] == "Unsure on base.\nToo fast."


def test_a_day_has_one_record(client: Browser) -> None:
    path = f"/people/ilse/lessons/{DAY + 21}"
    assert send(client, path, minutes="").status_code == 303
    assert send(client, path, minutes="").status_code == 404
    assert len(client.house.shelf.store.find(kept.Lesson, trainee="ilse")) == 1


def test_a_bad_time_is_told_and_nothing_typed_is_lost(client: Browser) -> None:
    answer = send(client, f"/people/ilse/lessons/{DAY + 21}", minutes="one hour", remarks="Do the low key again.")
    assert answer.status_code == 422
    assert "“one hour” is no whole number of minutes" in answer.text
    assert "Do the low key again." in answer.text
    assert client.house.shelf.store.find(kept.Lesson) == ()


def test_a_record_changed_by_somebody_else_is_not_overwritten(client: Browser) -> None:
    made = send(client, f"/people/ilse/lessons/{DAY + 21}", minutes="40").headers["location"]
    assert send(client, f"{made}/change", seen="1", minutes="45").status_code == 303
    late = send(client, f"{made}/change", seen="1", minutes="50", remarks="Kept in the form.")
    assert late.status_code == 422
    assert "Kept in the form." in late.text
    assert client.house.shelf.store.find(kept.Lesson)[0].duration_s == 45 * 60.0


def test_a_cell_that_looks_like_a_formula_is_told_to_be_text(client: Browser) -> None:
    made = send(client, f"/people/ilse/lessons/{DAY + 21}", remarks="=1+1", minutes="").headers["location"]
    table = client.get(f"{made}/record.csv").content.decode("utf-8-sig")
    assert next(csv.DictReader(io.StringIO(table)))["remarks"] == "'=1+1"


def test_the_instructors_notes_are_in_no_record_and_no_export(client: Browser) -> None:
    person = client.house.shelf.store.get(kept.Person, "ilse")
    assert send(client, "/people/ilse/notes", notes=SECRET, seen=str(person.version)).status_code == 303
    assert SECRET in client.get("/people/ilse").text
    made = send(client, f"/people/ilse/lessons/{DAY + 21}", minutes="").headers["location"]
    assert SECRET not in client.get(made).text
    assert SECRET not in client.get(f"{made}/record.csv").text
    with zipfile.ZipFile(io.BytesIO(client.get("/people/ilse/export").content)) as files:
        everything = b"".join(files.read(name) for name in files.namelist())
    assert b"Ilse Brandner" in everything
    assert SECRET.encode() not in everything


def test_notes_written_over_by_somebody_else_are_given_back(client: Browser) -> None:
    assert send(client, "/people/ilse/notes", notes="first", seen="1").status_code == 303
    late = send(client, "/people/ilse/notes", notes="second", seen="1")
    assert late.status_code == 422
    assert "second" in late.text
    assert client.house.shelf.store.get(kept.Person, "ilse").notes == "first"


def test_forgetting_asks_for_the_name_and_leaves_nothing_in_any_file(client: Browser) -> None:
    send(client, f"/people/ilse/lessons/{DAY + 21}", minutes="40", remarks="Ilse Brandner: base too wide")
    asked = page_text(client, "/people/ilse/forget")
    assert "What goes, for good: 1 person, 1 recording, 1 lesson, 1 debrief" in asked
    assert "Backups, exports and printed pages are not reached" in asked
    wrong = send(client, "/people/ilse/forget", name="Ilse")
    assert wrong.status_code == 422
    assert client.house.shelf.store.get(kept.Person, "ilse")
    assert send(client, "/people/ilse/forget", name="ilse brandner").status_code == 303
    assert client.get("/people/ilse").status_code == 404
    for file in client.house.folder.rglob("*"):
        if file.is_file():
            data = file.read_bytes()
            assert b"Brandner" not in data, file
            assert b"recording of Ilse" not in data, file


def test_retention_previews_what_goes_and_removes_only_when_asked(client: Browser) -> None:
    assert send(client, "/people/retention", days="soon").status_code == 422
    assert send(client, "/people/retention", days="1").status_code == 303
    store = client.house.shelf.store
    before = len(store.find(kept.KeptDebrief))
    assert "Older than 1 days:" in page_text(client, "/people")
    assert len(store.find(kept.KeptDebrief)) == before
    assert send(client, "/people/expired").status_code == 303
    assert store.find(kept.KeptDebrief) == ()
    assert len(store.find(kept.Person)) == 4


def test_somebody_new_is_added_once(client: Browser) -> None:
    made = send(client, "/people", name="  Rike   Sund ", initials="RS", role="trainee")
    assert made.status_code == 303
    assert "Rike Sund" in page_text(client, made.headers["location"])
    assert send(client, "/people", name="rike sund", role="trainee").status_code == 422
    assert send(client, "/people", name=" ", role="trainee").status_code == 422


def test_a_form_of_another_page_is_not_answered(client: Browser) -> None:
    answer = client.post(
        "/people/ilse/forget", data={"name": "Ilse Brandner"}, headers={"origin": "http://other.example"}
    )
    assert answer.status_code == 403
    assert client.house.shelf.store.get(kept.Person, "ilse")


def test_the_fixture_is_of_the_days_it_says() -> None:
    assert MAY_UNIX_S < NOW_UNIX_S
