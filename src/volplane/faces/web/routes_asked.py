"""What is asked of an exercise beyond its page: other runways, ways to lose height, many flights, files."""

from __future__ import annotations

import asyncio
import json
import logging
import threading
from collections.abc import AsyncIterator
from dataclasses import dataclass, field
from enum import StrEnum
from typing import Annotated, Any

from fastapi import APIRouter, Query, Request
from fastapi.responses import JSONResponse, Response, StreamingResponse

from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.uncertainties import FEWEST_RUNS, LARGEST_SEED, MOST_RUNS
from volplane.errors import Refusal
from volplane.faces.documents.wording import Units
from volplane.faces.report.exports import exported
from volplane.faces.web.asked_sections import compared_inside, dispersed_inside, ways_inside
from volplane.faces.web.faults import own_fault_said, problems_said
from volplane.faces.web.markup import Markup
from volplane.faces.web.rooms import Bench, Rooms

NOT_STORED = {"cache-control": "no-store", "x-accel-buffering": "no"}


class Ending(StrEnum):
    """Kinds of files a plan is taken away as."""

    SVG = "svg"
    KML = "kml"
    GPX = "gpx"
    GEOJSON = "geojson"
    CSV = "csv"


MEDIA = {
    Ending.SVG: "image/svg+xml",
    Ending.KML: "application/vnd.google-earth.kml+xml",
    Ending.GPX: "application/gpx+xml",
    Ending.GEOJSON: "application/geo+json",
    Ending.CSV: "text/csv; charset=utf-8",
}
Runs = Annotated[int, Query(ge=FEWEST_RUNS, le=MOST_RUNS)]
Seed = Annotated[int, Query(ge=0, le=LARGEST_SEED)]


def asked_routes(rooms: Rooms) -> APIRouter:
    """The routes of the sections below an exercise, and of its files."""
    routes = APIRouter()

    @routes.get("/api/exercises/{key}/runways", summary="The exercise on every runway and side, as a piece of the page")
    def runways(request: Request, key: str) -> JSONResponse:
        bench = rooms.bench(key)
        changes = bench.changes(request.query_params)
        plan = bench.workbench.compared(changes)
        return _piece("runways-inside", compared_inside(plan, bench.path, changes, rooms.units_of(request)))

    @routes.get("/api/exercises/{key}/ways", summary="What each way to lose height costs, as a piece of the page")
    def ways(request: Request, key: str) -> JSONResponse:
        bench = rooms.bench(key)
        plan = bench.workbench.with_ways(bench.changes(request.query_params))
        return _piece("ways-inside", ways_inside(plan, rooms.units_of(request)))

    @routes.get(
        "/api/exercises/{key}/dispersion",
        summary="The plan flown many times: events progress, then answer or refused",
        response_class=StreamingResponse,
        responses={200: {"content": {"text/event-stream": {}}}},
    )
    def dispersion(request: Request, key: str, runs: Runs = 2000, seed: Seed = 1) -> Response:
        bench = rooms.bench(key)
        flights = Flights(bench, bench.changes(request.query_params), runs, seed)
        events = flights.events(rooms.units_of(request))
        return StreamingResponse(events, media_type="text/event-stream", headers=NOT_STORED)

    @routes.get("/api/exercises/{key}/export/{ending}", summary="The plan as a file", response_class=Response)
    def export(request: Request, key: str, ending: Ending) -> Response:
        bench = rooms.bench(key)
        plan = bench.workbench.plan(bench.changes(request.query_params))
        data = exported(plan, f".{ending}", rooms.units_of(request))
        disposition = f'attachment; filename="{file_name(plan, "exercise", ending)}"'
        return Response(data, media_type=MEDIA[ending], headers={"content-disposition": disposition})

    return routes


def file_name(plan: Plan, what: str, ending: str) -> str:
    """A file's name that every system takes: exercise-25-left.kml."""
    name = f"{what}-{plan.exercise.runway.name}-{plan.exercise.pattern}.{ending}"
    return "".join(letter for letter in name if letter.isascii() and (letter.isalnum() or letter in "-."))


def _piece(place: str, html: Markup) -> JSONResponse:
    return JSONResponse({"schema": "volplane/view/1", "fragments": {place: html}})


@dataclass(slots=True)
class Flights:
    """Many flights of one exercise, flown in a thread while their progress is told; whoever leaves stops them."""

    bench: Bench
    changes: dict[str, str]
    runs: int
    seed: int
    _left: threading.Event = field(default_factory=threading.Event)

    async def events(self, units: Units) -> AsyncIterator[str]:
        """Server-sent events: `progress` again and again, then `answer` with a piece of the page, or `refused`."""
        told: asyncio.Queue[str] = asyncio.Queue()
        loop = asyncio.get_running_loop()

        def progress(done: int, total: int) -> bool:
            if not self._left.is_set():
                loop.call_soon_threadsafe(told.put_nowait, _event("progress", {"done": done, "total": total}))
            return self._left.is_set()

        work = asyncio.create_task(asyncio.to_thread(self._answer, progress, units))
        # whoever waits is woken by the last word, too
        work.add_done_callback(lambda _: told.put_nowait(""))
        try:
            while (word := await told.get()) != "":
                yield word
            yield work.result()
        except Exception:
            # the answer has begun, so that a fault of ours is said in it
            logging.getLogger("uvicorn.error").exception("the flights came to a fault")
            yield _event("refused", own_fault_said())
        finally:
            self._left.set()

    def _answer(self, progress: Any, units: Units) -> str:
        """The last event, whatever came of it."""
        try:
            plan = self.bench.workbench.dispersed(self.changes, self.runs, self.seed, progress)
            return _event("answer", {"fragments": {"dispersion-inside": dispersed_inside(plan, units)}})
        except Refusal as refusal:
            return _event("refused", problems_said(refusal))


def _event(name: str, data: dict[str, Any]) -> str:
    return f"event: {name}\ndata: {json.dumps(data, ensure_ascii=False)}\n\n"
