"""Debriefs: the list with the upload, a recording debriefed in memory, the lesson sheet."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import quote, urlencode

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, JSONResponse, Response

from volplane.errors import Refusal
from volplane.faces.documents.debrief import debrief_document
from volplane.faces.web.bench import Bench
from volplane.faces.web.bodies import LARGEST_FILE_BYTES, LONGEST_NAME, body_of, too_large
from volplane.faces.web.debrief_page import (
    QUESTIONS,
    debrief_page,
    exercise_link,
    nothing_found_page,
    own_view_page,
)
from volplane.faces.web.debriefs_page import debriefs_page, gone_page
from volplane.faces.web.faults import problem_answer, refusal_answer
from volplane.faces.web.held import Held
from volplane.faces.web.lessons import lesson_of, who_of
from volplane.faces.web.ports import DemoRecording


def debrief_routes(bench: Bench) -> APIRouter:
    """The routes over one bench."""
    routes = APIRouter()
    demo = {recording.file_name: recording for recording in bench.workbench.demo_recordings()}

    @routes.get("/debrief", response_class=HTMLResponse, include_in_schema=False)
    def debriefs(request: Request) -> HTMLResponse:
        return HTMLResponse(debriefs_page(bench.frame(request), tuple(demo.values()), LARGEST_FILE_BYTES))

    @routes.get("/debrief/demo/{file_name}", response_class=HTMLResponse, include_in_schema=False)
    def demo_debrief(request: Request, file_name: str) -> HTMLResponse:
        recording = demo.get(file_name)
        if recording is None:
            return HTMLResponse(gone_page(bench.frame(request)), status_code=404)
        held = _debriefed(bench, file_name, recording.data, bench.changes(request.query_params))[1]
        return _sheet(bench, request, held, recording)

    @routes.get("/debrief/{name}", response_class=HTMLResponse, include_in_schema=False)
    def debrief(request: Request, name: str) -> HTMLResponse:
        held = bench.debriefs.get(name)
        if held is None:
            return HTMLResponse(gone_page(bench.frame(request)), status_code=404)
        return _sheet(bench, request, held, None)

    @routes.post("/api/debriefs", summary="Debrief a recording sent as the body; nothing is stored")
    async def send(request: Request) -> Response:
        file_name = request.query_params.get("file_name", "recording")[:LONGEST_NAME]
        data = await body_of(request)
        if data is None:
            return too_large(file_name)
        changes = bench.changes(request.query_params)
        try:
            name, _ = await run_in_threadpool(_debriefed, bench, file_name, data, changes)
        except Refusal as refusal:
            return refusal_answer(refusal)
        query = f"?{urlencode(changes)}" if changes else ""
        return JSONResponse({"schema": "volplane/held/1", "name": name, "href": f"/debrief/{name}{query}"}, 201)

    @routes.get("/api/debriefs/{name}", summary="A debrief held in memory, as volplane/debrief/1")
    def document(name: str) -> Response:
        held = bench.debriefs.get(name)
        if held is None:
            return problem_answer(404, "", "This debrief is no longer held in memory.", "debrief-gone")
        return JSONResponse(debrief_document(held.debrief, bench.units))

    return routes


def _debriefed(bench: Bench, file_name: str, data: bytes, changes: Mapping[str, str]) -> tuple[str, Held]:
    name = bench.debriefs.name_of(data, changes)
    held = bench.debriefs.get(name)
    if held is None:
        held = Held(file_name, changes, bench.workbench.debrief(file_name, data, changes))
        bench.debriefs.keep(name, held)
    return name, held


def _sheet(bench: Bench, request: Request, held: Held, demo: DemoRecording | None) -> HTMLResponse:
    """The trainee's questions first, then the lesson sheet of the exercise asked for."""
    frame, query, path = bench.frame(request), request.query_params, quote(request.url.path)
    attempts = held.debrief.attempts
    if not attempts:
        return HTMLResponse(nothing_found_page(frame, _why_nothing(held), who_of(held, demo, 0, bench.units)))
    number = _number(query.get("exercise"), len(attempts))
    who = who_of(held, demo, number, bench.units)
    changes = {key: value for key, value in query.items() if key in {field.key for field in bench.fields}}
    if query.get("own") not in ("told", "skipped"):
        return HTMLResponse(own_view_page(frame, path, who, {**changes, "exercise": str(number + 1)}))
    told = query.get("own") == "told"
    own = {key: query.get(key, "").strip() for key, _, _ in QUESTIONS} if told else {}
    others = [
        (exercise_link(index), f"{path}?{urlencode({**changes, 'exercise': str(index + 1)})}")
        for index in range(len(attempts))
    ]
    return HTMLResponse(debrief_page(frame, lesson_of(held.debrief, number, who, bench.units), own, others))


def _number(text: str | None, count: int) -> int:
    wanted = int(text) if text is not None and text.isascii() and text.isdigit() and len(text) < 4 else 1
    return min(max(wanted, 1), count) - 1


def _why_nothing(held: Held) -> str:
    facts = held.debrief.recording
    return (
        f"{held.file_name} was read ({facts.format}, {facts.fixes:,} fixes), and no glide from a high or low key to "
        "this runway is in it. An exercise is a descent past the low key without level flight."
    )
