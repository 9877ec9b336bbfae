"""The airplane on the bench: its page."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from volplane.domain.exercise.exercise import Exercise
from volplane.errors import Refusal
from volplane.faces.web.airplane_page import AirplaneSheet, airplane_page
from volplane.faces.web.bench import Bench


def airplane_routes(bench: Bench) -> APIRouter:
    """The routes over one bench. They are plain functions, so each runs in a thread of the pool."""
    routes = APIRouter()

    @routes.get("/airplane", response_class=HTMLResponse, include_in_schema=False)
    def airplane(request: Request) -> HTMLResponse:
        exercise = exercise_asked(bench, request)
        sheet = AirplaneSheet(exercise.airplane, exercise.weight_kg, bench.workbench.checked_airplane(), bench.units)
        return HTMLResponse(airplane_page(bench.frame(request), sheet))

    return routes


def exercise_asked(bench: Bench, request: Request) -> Exercise:
    """The exercise with the changes of the address; where one is bad, the exercise of the file: its page says why."""
    try:
        return bench.workbench.exercise(bench.changes(request.query_params))
    except Refusal:
        return bench.workbench.exercise({})
