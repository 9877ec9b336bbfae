"""The exercise: its page, the answer to a change, the drawings during a drag, the plan as a document, keeping it."""

from __future__ import annotations

from typing import Annotated

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse
from pydantic import BaseModel, Field

from volplane.domain.exercise.plan import Plan
from volplane.errors import Refusal
from volplane.faces.documents.plan import plan_document
from volplane.faces.documents.wording import Units
from volplane.faces.report.board import Frame
from volplane.faces.report.heights import HeightAxis
from volplane.faces.web.exercise_page import drawn_pieces, exercise_page, fragments_of, page_title
from volplane.faces.web.faults import faults_by_place
from volplane.faces.web.fields import shown
from volplane.faces.web.figures import HeldScales, Layout, plan_figures
from volplane.faces.web.markup import Markup
from volplane.faces.web.rooms import Bench, Rooms
from volplane.services.kept import FileKind


class Held(BaseModel):
    """The scales of the drawings on the page, which hold still while a gate is dragged."""

    held_px_per_m: float = Field(gt=0.0, le=100.0)
    held_origin_x_px: float = Field(ge=-1e5, le=1e5)
    held_origin_y_px: float = Field(ge=-1e5, le=1e5)
    held_axis_ground_m: float = Field(ge=-1e5, le=1e5)
    held_axis_top_m: float = Field(ge=-1e5, le=1e5)
    layout: Layout = Layout.BOTH

    def scales(self, units: Units) -> HeldScales:
        """As the figures take them."""
        frame = Frame(self.held_px_per_m, (self.held_origin_x_px, self.held_origin_y_px))
        ground, top = (units.height.value(each) for each in (self.held_axis_ground_m, self.held_axis_top_m))
        return HeldScales(frame, HeightAxis(ground, max(top, ground + 1.0)))


def exercise_routes(rooms: Rooms) -> APIRouter:
    """The routes of every exercise. They are plain functions, so each runs in a thread of the pool."""
    routes = APIRouter()

    @routes.get("/exercises/{key}", response_class=HTMLResponse, include_in_schema=False)
    def exercise(request: Request, key: str) -> HTMLResponse:
        bench, frame = rooms.bench(key), rooms.frame(request)
        changes = bench.changes(request.query_params)
        plan, faults = _plan_and_faults(bench, changes)
        html = exercise_page(frame, bench, changes, _fragments(plan, frame.units), faults, page_title(plan))
        return HTMLResponse(html, status_code=422 if faults else 200)

    @routes.get("/api/exercises/{key}/view", summary="The pieces of the exercise page after a change")
    def view(request: Request, key: str) -> JSONResponse:
        bench = rooms.bench(key)
        changes = bench.changes(request.query_params)
        plan = bench.workbench.plan(changes)
        fields = {field.key: shown(changes.get(field.key, field.text)) for field in bench.fields}
        return JSONResponse(
            {
                "schema": "volplane/view/1",
                "title": f"{page_title(plan)}, Volplane",
                "fields": fields,
                "fragments": _fragments(plan, rooms.units_of(request)),
            }
        )

    @routes.get("/api/exercises/{key}/drag", summary="The drawings alone, in scales that hold still during a drag")
    def drag(request: Request, key: str, held: Annotated[Held, Query()]) -> JSONResponse:
        bench, units = rooms.bench(key), rooms.units_of(request)
        plan = bench.workbench.drawn(bench.changes(request.query_params))
        figures = plan_figures(plan, units, held.scales(units), held.layout)
        return JSONResponse({"schema": "volplane/view/1", "fragments": drawn_pieces(figures)})

    @routes.get("/api/exercises/{key}/plan", summary="The plan as volplane/plan/1")
    def plan(request: Request, key: str) -> JSONResponse:
        bench = rooms.bench(key)
        solved = bench.workbench.plan(bench.changes(request.query_params))
        return JSONResponse(plan_document(solved, rooms.units_of(request)))

    @routes.post("/api/exercises/{key}/keep", summary="Write the changes of the query into the kept exercise")
    def keep(request: Request, key: str, seen: Annotated[int | None, Query(ge=1)] = None) -> JSONResponse:
        # `seen` is the state of the file the values were typed over; without it they go over the newest
        bench, house = rooms.bench(key), rooms.house
        texts = bench.texts
        text = house.with_changes(texts.name, texts.texts, bench.changes(request.query_params))
        over = texts.exercise.number if seen is None else seen
        kept = house.shelf.save(FileKind.EXERCISE, key, text, over, house.now_unix_s())
        return JSONResponse({"schema": "volplane/kept/1", "key": kept.file, "href": bench.path})

    return routes


def _plan_and_faults(bench: Bench, changes: dict[str, str]) -> tuple[Plan, dict[str, str]]:
    """The plan with the changes; where some are bad, their sentences and the plan without them."""
    try:
        return bench.workbench.plan(changes), {}
    except Refusal as refusal:
        faults = faults_by_place(refusal)
    kept = {key: value for key, value in changes.items() if key not in faults} if "" not in faults else {}
    try:
        return bench.workbench.plan(kept), faults
    except Refusal as refusal:
        return bench.workbench.plan({}), {**faults_by_place(refusal), **faults}


def _fragments(plan: Plan, units: Units) -> dict[str, Markup]:
    return fragments_of(plan, plan_document(plan, units), plan_figures(plan, units), units)
