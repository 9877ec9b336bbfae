"""People: the list, a person's path, notes, what they take away, and forgetting them."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from volplane.faces.documents.currency_words import reminder_sentence
from volplane.faces.documents.problems import refusal_sentence
from volplane.faces.documents.store import belongings_text
from volplane.faces.web.forms import Form, whole_number
from volplane.faces.web.people_page import LONGEST_NAME, Keeping, people_page
from volplane.faces.web.person_page import LONGEST_NOTES, PersonSheet, forget_page, person_page
from volplane.faces.web.rooms import Rooms
from volplane.services import forgetting
from volplane.services.currency import keep_reminder_days, reminder_days, reminders_of
from volplane.services.keeping import ChangedMeanwhile
from volplane.services.kept import Lesson, Person, Role
from volplane.services.lesson_records import days_without_record
from volplane.services.people import add_person, change_notes
from volplane.services.progress import exercises_of, progress_of

SEE_OTHER = 303
LONGEST_KEPT_DAYS = 36_500


def people_routes(rooms: Rooms) -> APIRouter:
    """The routes of the people. Plain functions, so each runs in a thread of the pool; forms need no script."""
    routes = APIRouter(include_in_schema=False)

    @routes.get("/people", response_class=HTMLResponse)
    def people(request: Request) -> HTMLResponse:
        return _list(rooms, request)

    @routes.post("/people")
    def add(request: Request, form: Form) -> Response:
        name = " ".join(form.get("name", "").split())[:LONGEST_NAME]
        initials = form.get("initials", "").strip()[:8]
        role = Role.INSTRUCTOR if form.get("role") == Role.INSTRUCTOR else Role.TRAINEE
        if not name:
            return _list(rooms, request, "A person needs a name, or initials at least.")
        house = rooms.house
        made = add_person(house.shelf.store, name, initials, role, house.now_unix_s())
        if made is None:
            return _list(rooms, request, f"There is somebody called {name} already. Add what tells them apart.")
        return RedirectResponse(f"/people/{made.key}", SEE_OTHER)

    @routes.post("/people/retention")
    def retention(request: Request, form: Form) -> Response:
        typed = form.get("days", "").strip()
        days = whole_number(typed, 1, LONGEST_KEPT_DAYS)
        if typed and days is None:
            said = f"“{typed[:20]}” is no number of days from 1 to {LONGEST_KEPT_DAYS:,}. Empty is for ever."
            return _list(rooms, request, said)
        forgetting.keep_retention(rooms.house.shelf.store, days)
        return RedirectResponse("/people", SEE_OTHER)

    @routes.post("/people/reminder")
    def reminder(request: Request, form: Form) -> Response:
        typed = form.get("reminder", "").strip()
        days = whole_number(typed, 1, LONGEST_KEPT_DAYS)
        if typed and days is None:
            said = f"“{typed[:20]}” is no number of days from 1 to {LONGEST_KEPT_DAYS:,}. Empty is never."
            return _list(rooms, request, said)
        keep_reminder_days(rooms.house.shelf.store, days or 0)
        return RedirectResponse("/people", SEE_OTHER)

    @routes.post("/people/expired")
    def expired() -> Response:
        forgetting.forget_expired(rooms.house.shelf.store, rooms.house.now_unix_s())
        return RedirectResponse("/people", SEE_OTHER)

    @routes.get("/people/{key}", response_class=HTMLResponse)
    def person(request: Request, key: str) -> HTMLResponse:
        return _person(rooms, request, key)

    @routes.post("/people/{key}/notes")
    def notes(request: Request, key: str, form: Form) -> Response:
        typed = form.get("notes", "").replace("\r\n", "\n")[:LONGEST_NOTES]
        seen = whole_number(form.get("seen", ""), 1, 999_999_999) or 0
        try:
            change_notes(rooms.house.shelf.store, key, typed, seen)
        except ChangedMeanwhile as refusal:
            return _person(rooms, request, key, refusal_sentence(refusal), typed)
        return RedirectResponse(f"/people/{key}", SEE_OTHER)

    @routes.get("/people/{key}/export")
    def export(key: str) -> Response:
        made = rooms.house.export_person(rooms.house.shelf.store.get(Person, key).key)
        named = {"content-disposition": 'attachment; filename="lessons.zip"'}
        return Response(made, media_type="application/zip", headers=named)

    @routes.get("/people/{key}/forget", response_class=HTMLResponse)
    def ask_to_forget(request: Request, key: str) -> HTMLResponse:
        return _forget(rooms, request, key)

    @routes.post("/people/{key}/forget")
    def forget(request: Request, key: str, form: Form) -> Response:
        store = rooms.house.shelf.store
        person = store.get(Person, key)
        if form.get("name", "").strip().casefold() != person.name.strip().casefold():
            return _forget(rooms, request, key, f"Nothing was removed: the name typed is not {person.name}.")
        forgetting.forget_person(store, person)
        rooms.debriefs.clear()
        return RedirectResponse("/people", SEE_OTHER)

    return routes


def _list(rooms: Rooms, request: Request, trouble: str = "") -> HTMLResponse:
    house = rooms.house
    with house.shelf.store.snapshot() as reader:
        days = forgetting.retention_days(reader)
        old = forgetting.expired(reader, house.now_unix_s())
        reminder = reminder_days(reader)
    keeping = Keeping(days, belongings_text(old) if old.goes else "", reminder)
    return HTMLResponse(
        people_page(rooms.frame(request), house.lists.people(), keeping, trouble), 422 if trouble else 200
    )


def _person(
    rooms: Rooms, request: Request, key: str, trouble: str = "", typed_notes: str | None = None
) -> HTMLResponse:
    frame, house = rooms.frame(request), rooms.house
    flown = [each for each in house.lists.flown() if each.trainee == key]
    with house.shelf.store.snapshot() as reader:
        person = reader.get(Person, key)
        exercises = exercises_of(reader, key)
        lessons = reader.find(Lesson, trainee=key)
        sheet = PersonSheet(
            person=person,
            progress=progress_of(exercises),
            days=days_without_record(reader, key),
            lessons=sorted(lessons, key=lambda each: each.begun_unix_s, reverse=True),
            reminders=[
                reminder_sentence(each)
                for each in reminders_of(person, flown, lessons, reminder_days(reader), house.now_unix_s())
            ],
            exercises=house.shelf.exercises() if person.role is Role.TRAINEE else (),
            units=frame.units,
        )
    return HTMLResponse(person_page(frame, sheet, trouble, typed_notes), 422 if trouble else 200)


def _forget(rooms: Rooms, request: Request, key: str, trouble: str = "") -> HTMLResponse:
    with rooms.house.shelf.store.snapshot() as reader:
        person = reader.get(Person, key)
        goes = belongings_text(forgetting.belongings(reader, person))
    return HTMLResponse(forget_page(rooms.frame(request), person, goes, trouble), 422 if trouble else 200)
