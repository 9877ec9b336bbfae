"""The airplane on the bench: its page, and files measured in memory and shown."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, JSONResponse, Response

from volplane.domain.exercise.exercise import Exercise
from volplane.errors import Refusal
from volplane.faces.documents.problems import refusal_sentence
from volplane.faces.web.airplane_page import AirplaneSheet, airplane_page, section
from volplane.faces.web.bench import Bench, query_of
from volplane.faces.web.bodies import LARGEST_FILE_BYTES, LONGEST_NAME, body_of, too_large
from volplane.faces.web.faults import refusal_answer
from volplane.faces.web.held import HeldResults
from volplane.faces.web.markup import Markup, el
from volplane.faces.web.measured_page import measured_page, measurement_gone_page, stand_in_findings
from volplane.faces.web.measured_sections import stand_in_section
from volplane.services.measured_file import MeasuredFile


@dataclass(frozen=True, slots=True)
class HeldMeasurement:
    """A measured file with its name."""

    file_name: str
    measured: MeasuredFile


def airplane_routes(bench: Bench) -> APIRouter:
    """The routes over one bench. Pages are plain functions, so each runs in a thread of the pool."""
    routes = APIRouter()
    held: HeldResults[HeldMeasurement] = HeldResults()

    def measured_of(file_name: str, data: bytes, changes: Mapping[str, str]) -> str:
        name = held.name_of(data, {**changes, "file name": file_name})
        if held.get(name) is None:
            held.keep(name, HeldMeasurement(file_name, bench.workbench.measured(file_name, data, changes)))
        return name

    @routes.get("/airplane", response_class=HTMLResponse, include_in_schema=False)
    def airplane(request: Request) -> HTMLResponse:
        exercise, changes = exercise_asked(bench, request)
        sheet = AirplaneSheet(exercise.airplane, exercise.weight_kg, bench.workbench.checked_airplane(), bench.units)
        stand_in = _stand_in(bench, changes)
        return HTMLResponse(airplane_page(bench.frame(request), sheet, stand_in, LARGEST_FILE_BYTES))

    @routes.get("/airplane/measured/{name}", response_class=HTMLResponse, include_in_schema=False)
    def measured(request: Request, name: str) -> HTMLResponse:
        found = held.get(name)
        if found is None:
            return HTMLResponse(measurement_gone_page(bench.frame(request)), status_code=404)
        return HTMLResponse(measured_page(bench.frame(request), found.file_name, found.measured, bench.units))

    @routes.post("/api/measurements", summary="Measure a recording or table sent as the body; nothing is stored")
    async def send(request: Request) -> Response:
        file_name = request.query_params.get("file_name", "file")[:LONGEST_NAME]
        data = await body_of(request)
        if data is None:
            return too_large(file_name)
        changes = bench.changes(request.query_params)
        try:
            name = await run_in_threadpool(measured_of, file_name, data, changes)
        except Refusal as refusal:
            return refusal_answer(refusal)
        query = f"?{query_of(changes)}" if changes else ""
        document = {"schema": "volplane/held/1", "name": name, "href": f"/airplane/measured/{name}{query}"}
        return JSONResponse(document, 201)

    return routes


def exercise_asked(bench: Bench, request: Request) -> tuple[Exercise, dict[str, str]]:
    """The exercise with the changes of the address; where one is bad, the exercise of the file: its page says why."""
    changes = bench.changes(request.query_params)
    try:
        return bench.workbench.exercise(changes), changes
    except Refusal:
        return bench.workbench.exercise({}), {}


def _stand_in(bench: Bench, changes: Mapping[str, str]) -> Markup:
    try:
        answer = bench.workbench.stand_in(changes)
    except Refusal as refusal:
        return section("stand-in", "The stand-in", el("p", refusal_sentence(refusal)), None)
    return stand_in_section(answer, stand_in_findings(answer, bench.units), bench.units)
