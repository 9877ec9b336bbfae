"""Lesson records: the form of a day, the record, its paper and its table."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from volplane.faces.documents import wording
from volplane.faces.documents.lesson_record import NamedLesson, first_words, record_csv
from volplane.faces.documents.problems import refusal_sentence
from volplane.faces.report.lesson_record import lesson_record_pdf
from volplane.faces.web.forms import Form, whole_number
from volplane.faces.web.lesson_page import RecordForm, record_form_page, record_page, words_of
from volplane.faces.web.rooms import Rooms
from volplane.faces.web.routes_people import SEE_OTHER
from volplane.services.keeping import ChangedMeanwhile, NotKept
from volplane.services.kept import FileKind, Lesson, Person
from volplane.services.lesson_records import (
    LessonDay,
    LessonRecord,
    RecordedExercise,
    change_record,
    day_without_record,
    keep_record,
)

LONGEST_FLIGHT_MIN = 1440


def lesson_routes(rooms: Rooms) -> APIRouter:
    """The routes of the records."""
    routes = APIRouter(include_in_schema=False)
    store = rooms.house.shelf.store

    @routes.get("/people/{key}/lessons/{number}", response_class=HTMLResponse)
    def new_record(request: Request, key: str, number: int) -> HTMLResponse:
        return HTMLResponse(
            record_form_page(rooms.frame(request), _first_form(rooms, request, _day(rooms, key, number)))
        )

    @routes.post("/people/{key}/lessons/{number}")
    def keep(request: Request, key: str, number: int, form: Form) -> Response:
        day = _day(rooms, key, number)
        minutes, trouble = _minutes(form)
        if trouble:
            first = _first_form(rooms, request, day)
            return _again(rooms, request, _retyped(first, form, trouble))
        made = keep_record(store, day, words_of(form), minutes)
        return RedirectResponse(f"/lessons/{made.key}", SEE_OTHER)

    @routes.get("/lessons/{key}", response_class=HTMLResponse)
    def record(request: Request, key: str) -> HTMLResponse:
        return HTMLResponse(record_page(rooms.frame(request), _named(rooms, key)))

    @routes.get("/lessons/{key}/change", response_class=HTMLResponse)
    def change(request: Request, key: str) -> HTMLResponse:
        return HTMLResponse(record_form_page(rooms.frame(request), _kept_form(store.get(Lesson, key))))

    @routes.post("/lessons/{key}/change")
    def keep_change(request: Request, key: str, form: Form) -> Response:
        lesson = store.get(Lesson, key)
        minutes, trouble = _minutes(form)
        try:
            if not trouble:
                seen = whole_number(form.get("seen", ""), 1, 999_999_999) or 0
                change_record(store, lesson, seen, words_of(form), minutes)
        except ChangedMeanwhile as refusal:
            trouble = refusal_sentence(refusal)
        if trouble:
            return _again(rooms, request, _retyped(_kept_form(lesson), form, trouble))
        return RedirectResponse(f"/lessons/{key}", SEE_OTHER)

    @routes.get("/lessons/{key}/record.pdf")
    def pdf(request: Request, key: str) -> Response:
        made = lesson_record_pdf(_named(rooms, key), units=rooms.units_of(request))
        return Response(made, media_type="application/pdf", headers=_named_file(store.get(Lesson, key), "pdf"))

    @routes.get("/lessons/{key}/record.csv")
    def table(key: str) -> Response:
        text = record_csv(_named(rooms, key))
        headers = _named_file(store.get(Lesson, key), "csv")
        return Response(text.encode("utf-8-sig"), media_type="text/csv; charset=utf-8", headers=headers)

    return routes


def _named_file(lesson: Lesson, ending: str) -> dict[str, str]:
    """By its date: a file name is read by everybody, a person's name is not for everybody."""
    day = wording.utc_date(lesson.begun_unix_s).lower().replace(" ", "-")
    return {"content-disposition": f'attachment; filename="lesson-{day}.{ending}"'}


def _day(rooms: Rooms, person: str, number: int) -> LessonDay:
    with rooms.house.shelf.store.snapshot() as reader:
        return day_without_record(reader, reader.get(Person, person).key, number)


def _named(rooms: Rooms, key: str) -> NamedLesson:
    with rooms.house.shelf.store.snapshot() as reader:
        lesson = reader.get(Lesson, key)
        instructor = "" if lesson.instructor is None else reader.get(Person, lesson.instructor).name
        trainee = reader.get(Person, lesson.trainee).name
    return NamedLesson(lesson, LessonRecord.of_text(lesson.document), trainee, instructor)


def _first_form(rooms: Rooms, request: Request, day: LessonDay) -> RecordForm:
    place, airplane = _title(rooms, FileKind.AIRFIELD, day.airfield), _title(rooms, FileKind.AIRPLANE, day.airplane)
    words = first_words(day, place, airplane, rooms.units_of(request))
    minutes = "" if day.duration_s is None else f"{day.duration_s / 60.0:.0f}"
    title = f"Lesson record of {wording.utc_date(day.begun_unix_s)}"
    exercises = [RecordedExercise.of(each) for each in day.exercises]
    return RecordForm(title, words, minutes, exercises, f"/people/{day.trainee}")


def _title(rooms: Rooms, kind: FileKind, key: str) -> str:
    try:
        return rooms.house.shelf.file(kind, key).title
    except NotKept:
        return ""


def _kept_form(lesson: Lesson) -> RecordForm:
    record = LessonRecord.of_text(lesson.document)
    minutes = "" if lesson.duration_s is None else f"{lesson.duration_s / 60.0:.0f}"
    title = f"Lesson record of {wording.utc_date(lesson.begun_unix_s)}"
    return RecordForm(title, record.words, minutes, record.exercises, f"/lessons/{lesson.key}", lesson.version)


def _retyped(form: RecordForm, typed: Mapping[str, str], trouble: str) -> RecordForm:
    """The form with what was typed: nothing is lost when something is wrong."""
    return RecordForm(
        form.title, words_of(typed), typed.get("minutes", ""), form.exercises, form.back, form.seen, trouble
    )


def _again(rooms: Rooms, request: Request, form: RecordForm) -> HTMLResponse:
    return HTMLResponse(record_form_page(rooms.frame(request), form), 422)


def _minutes(typed: Mapping[str, str]) -> tuple[float | None, str]:
    """Time in flight in seconds and "", or what is wrong with it."""
    text = typed.get("minutes", "").strip()
    minutes = whole_number(text, 1, LONGEST_FLIGHT_MIN)
    if text and minutes is None:
        said = f"Time in flight: “{text[:20]}” is no whole number of minutes from 1 to {LONGEST_FLIGHT_MIN:,}."
        return None, said
    return None if minutes is None else 60.0 * minutes, ""
