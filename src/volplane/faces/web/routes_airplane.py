"""The airplane on the bench: its page, and files measured in memory and shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, JSONResponse, Response

from volplane.domain.exercise.exercise import Exercise
from volplane.errors import Refusal
from volplane.faces.documents.problems import refusal_sentence
from volplane.faces.documents.wording import Units
from volplane.faces.web.airplane_page import AirplaneSheet, Place, airplane_page, section
from volplane.faces.web.bodies import LARGEST_FILE_BYTES, LONGEST_NAME, body_of, too_large
from volplane.faces.web.faults import refusal_answer
from volplane.faces.web.fields import changes_from
from volplane.faces.web.held import HeldResults
from volplane.faces.web.markup import Markup, el
from volplane.faces.web.measured_page import measured_page, measurement_gone_page, stand_in_findings
from volplane.faces.web.measured_sections import stand_in_section
from volplane.faces.web.ports import Workbench
from volplane.faces.web.rooms import Rooms
from volplane.services.measured_file import MeasuredFile


@dataclass(frozen=True, slots=True)
class HeldMeasurement:
    """A measured file with its name."""

    file_name: str
    measured: MeasuredFile


def airplane_routes(rooms: Rooms) -> APIRouter:
    """The routes of every airplane. Pages are plain functions, so each runs in a thread of the pool."""
    routes = APIRouter()
    held: HeldResults[HeldMeasurement] = HeldResults()

    @routes.get("/airplanes/{key}", response_class=HTMLResponse, include_in_schema=False)
    def airplane(request: Request, key: str) -> HTMLResponse:
        frame, seen = rooms.frame(request), _seen(rooms, request, key)
        exercise = seen.exercise
        sheet = AirplaneSheet(exercise.airplane, exercise.weight_kg, seen.workbench.checked_airplane(), frame.units)
        stand_in = _stand_in(seen, frame.units)
        place = Place(key, str(request.query_params), LARGEST_FILE_BYTES)
        return HTMLResponse(airplane_page(frame, sheet, stand_in, place))

    @routes.get("/airplanes/{key}/measured/{name}", response_class=HTMLResponse, include_in_schema=False)
    def measured(request: Request, key: str, name: str) -> HTMLResponse:
        found, frame = held.get(name), rooms.frame(request)
        if found is None:
            return HTMLResponse(measurement_gone_page(frame, _way_back(request, key)), status_code=404)
        return HTMLResponse(measured_page(frame, _way_back(request, key), found.file_name, found.measured))

    @routes.post("/api/airplanes/{key}/measurements", summary="Measure a recording or table sent as the body")
    async def send(request: Request, key: str) -> Response:
        file_name = request.query_params.get("file_name", "file")[:LONGEST_NAME]
        data = await body_of(request)
        if data is None:
            return too_large(file_name)
        try:
            name = await run_in_threadpool(measured_of, request, key, file_name, data)
        except Refusal as refusal:
            return refusal_answer(refusal)
        query = urlencode([(name, value) for name, value in request.query_params.items() if name != "file_name"])
        href = f"/airplanes/{key}/measured/{name}{'?' if query else ''}{query}"
        return JSONResponse({"schema": "volplane/held/1", "name": name, "href": href}, 201)

    def measured_of(request: Request, key: str, file_name: str, data: bytes) -> str:
        seen = _seen(rooms, request, key)
        name = held.name_of(data, {**seen.changes, "file name": file_name, "airplane": key})
        if held.get(name) is None:
            held.keep(name, HeldMeasurement(file_name, seen.workbench.measured(file_name, data, seen.changes)))
        return name

    return routes


def _way_back(request: Request, key: str) -> str:
    query = request.url.query
    return f"/airplanes/{key}{'?' if query else ''}{query}"


@dataclass(frozen=True, slots=True)
class _Seen:
    """What an airplane is looked at with: a workbench, the changes of the address, the exercise they make."""

    workbench: Workbench
    changes: Mapping[str, str]
    exercise: Exercise


def _seen(rooms: Rooms, request: Request, key: str) -> _Seen:
    """The exercise with the changes of the address; where one is bad, the exercise of the file: its page says why."""
    query = request.query_params
    workbench = rooms.airplane_workbench(key, query.get("exercise"))
    changes = changes_from(query, workbench.exercise_fields())
    try:
        return _Seen(workbench, changes, workbench.exercise(changes))
    except Refusal:
        return _Seen(workbench, {}, workbench.exercise({}))


def _stand_in(seen: _Seen, units: Units) -> Markup:
    try:
        answer = seen.workbench.stand_in(seen.changes)
    except Refusal as refusal:
        return section("stand-in", "The stand-in", el("p", refusal_sentence(refusal)), None)
    return stand_in_section(answer, stand_in_findings(answer, units), units)
