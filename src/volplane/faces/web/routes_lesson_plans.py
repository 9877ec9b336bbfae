"""Lesson plans: a page and a PDF for each exercise, by rung."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response

from volplane.faces.documents.problems import refusal_sentence
from volplane.faces.report.lesson_plan import lesson_plan_pdf, refuse_stopped
from volplane.faces.report.refusals import CardStopped
from volplane.faces.web.forms import whole_number
from volplane.faces.web.lesson_plan_page import LessonWish, lesson_plan_page
from volplane.faces.web.rooms import Rooms
from volplane.services.kept import Person, Role
from volplane.services.lesson_plans import LessonPlan, lesson_plan
from volplane.services.rungs import MOST_EXERCISES, Rung, rung_of_slug


def lesson_plan_routes(rooms: Rooms) -> APIRouter:
    """The routes of the lesson plans."""
    routes = APIRouter(include_in_schema=False)

    @routes.get("/exercises/{key}/lesson", response_class=HTMLResponse)
    def shown(request: Request, key: str) -> HTMLResponse:
        lesson, trainee = _lesson(rooms, request, key), _trainee(rooms, request)
        trainees = rooms.house.shelf.store.find(Person, role=Role.TRAINEE)
        wish = LessonWish(key, trainees, trainee, _why_stopped(lesson))
        return HTMLResponse(lesson_plan_page(rooms.frame(request), lesson, wish))

    @routes.get("/exercises/{key}/lesson.pdf")
    def printed(request: Request, key: str) -> Response:
        lesson, trainee = _lesson(rooms, request, key), _trainee(rooms, request)
        name = "" if trainee is None else trainee.name
        made = lesson_plan_pdf(lesson, trainee=name, units=rooms.units_of(request))
        named = {"content-disposition": f'attachment; filename="lesson-plan-{lesson.rung.slug}.pdf"'}
        return Response(made, media_type="application/pdf", headers=named)

    return routes


def _lesson(rooms: Rooms, request: Request, key: str) -> LessonPlan:
    query = request.query_params
    bench = rooms.bench(key)
    rung = rung_of_slug(query.get("rung", "")) or Rung.HIGH_KEY
    count = whole_number(query.get("exercises", ""), 1, MOST_EXERCISES) or MOST_EXERCISES
    return lesson_plan(bench.workbench.plan(bench.changes(query)), rung, count)


def _trainee(rooms: Rooms, request: Request) -> Person | None:
    key = request.query_params.get("trainee", "")
    found = rooms.house.shelf.store.find(Person, key=key) if key else ()
    return found[0] if found else None


def _why_stopped(lesson: LessonPlan) -> str:
    try:
        refuse_stopped(lesson)
    except CardStopped as refusal:
        return refusal_sentence(refusal)
    return ""
