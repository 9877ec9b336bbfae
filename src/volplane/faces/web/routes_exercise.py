"""The exercise: its page, the answer to a change, the plan as a document, the card."""

from __future__ import annotations

from typing import Annotated, Any, Literal

from fastapi import APIRouter, Query, Request
from fastapi.responses import HTMLResponse, JSONResponse, Response
from pydantic import BaseModel, Field

from volplane.domain.exercise.hand_alter import hand_alterations
from volplane.domain.exercise.plan import Plan
from volplane.errors import Refusal
from volplane.faces.documents.plan import plan_document
from volplane.faces.report.board import Frame
from volplane.faces.report.card import card_pdf
from volplane.faces.report.heights import HeightAxis
from volplane.faces.web.bench import Bench
from volplane.faces.web.exercise_page import drawn_pieces, exercise_page, fragments_of, page_title
from volplane.faces.web.faults import faults_by_place
from volplane.faces.web.fields import shown, typed
from volplane.faces.web.figures import HeldScales, plan_figures
from volplane.faces.web.markup import Markup

Paper = Literal["A5", "half-letter", "A4"]


class CardWish(BaseModel):
    """What the card dialog sends."""

    changes: dict[str, str] = Field(default_factory=dict, max_length=40)
    paper: Paper = "A5"
    reason: str = Field(default="", max_length=300)
    trainee: str = Field(default="", max_length=60)


class Held(BaseModel):
    """The scales of the drawings on the page, which hold still while a gate is dragged."""

    held_px_per_m: float = Field(gt=0.0, le=100.0)
    held_origin_x: float = Field(ge=-1e5, le=1e5)
    held_origin_y: float = Field(ge=-1e5, le=1e5)
    held_axis_ground: float = Field(ge=-1e5, le=1e5)
    held_axis_top: float = Field(ge=-1e5, le=1e5)

    def scales(self) -> HeldScales:
        """As the figures take them."""
        frame = Frame(self.held_px_per_m, (self.held_origin_x, self.held_origin_y))
        return HeldScales(
            frame, HeightAxis(self.held_axis_ground, max(self.held_axis_top, self.held_axis_ground + 1.0))
        )


def exercise_routes(bench: Bench) -> APIRouter:
    """The routes over one bench. They are plain functions, so each runs in a thread of the pool."""
    routes = APIRouter()

    @routes.get("/exercise", response_class=HTMLResponse, include_in_schema=False)
    def exercise(request: Request) -> HTMLResponse:
        changes = bench.changes(request.query_params)
        plan, faults = _plan_and_faults(bench, changes)
        html = exercise_page(
            bench.frame(request),
            bench.fields,
            changes,
            _fragments(bench, plan),
            faults,
            page_title(plan),
            bench.units,
        )
        return HTMLResponse(html, status_code=422 if faults else 200)

    @routes.get("/api/exercise/view", summary="The pieces of the exercise page after a change")
    def view(request: Request) -> JSONResponse:
        changes = bench.changes(request.query_params)
        plan = bench.workbench.plan(changes)
        fields = {field.key: shown(changes.get(field.key, field.text)) for field in bench.fields}
        return JSONResponse(
            {
                "schema": "volplane/view/1",
                "title": f"{page_title(plan)}, Volplane",
                "fields": fields,
                "fragments": _fragments(bench, plan),
            }
        )

    @routes.get("/api/exercise/drag", summary="The drawings alone, in scales that hold still while a gate is dragged")
    def drag(request: Request, held: Annotated[Held, Query()]) -> JSONResponse:
        plan = bench.workbench.plan(bench.changes(request.query_params))
        figures = plan_figures(plan, bench.units, _binding_words(_document(bench, plan)), held.scales())
        return JSONResponse({"schema": "volplane/view/1", "fragments": drawn_pieces(figures)})

    @routes.get("/api/plan", summary="The plan as volplane/plan/1")
    def plan(request: Request) -> JSONResponse:
        return JSONResponse(_document(bench, bench.workbench.plan(bench.changes(request.query_params))))

    @routes.post("/api/card", summary="The card as PDF", response_class=Response)
    def card(wish: CardWish) -> Response:
        solved = bench.workbench.plan(bench.changes(wish.changes))
        pdf = card_pdf(
            solved,
            paper=wish.paper,
            reason=wish.reason.strip() or None,
            trainee=typed(wish.trainee) or None,
            units=bench.units,
            altered=hand_alterations(solved),
        )
        name = f"card-{solved.exercise.runway.name}-{solved.exercise.pattern}.pdf"
        safe = "".join(letter for letter in name if letter.isascii() and (letter.isalnum() or letter in "-."))
        return Response(
            pdf, media_type="application/pdf", headers={"content-disposition": f'attachment; filename="{safe}"'}
        )

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


def _document(bench: Bench, plan: Plan) -> dict[str, Any]:
    return plan_document(plan, bench.units)


def _fragments(bench: Bench, plan: Plan) -> dict[str, Markup]:
    document = _document(bench, plan)
    figures = plan_figures(plan, bench.units, _binding_words(document))
    return fragments_of(plan, document, figures, bench.units)


def _binding_words(document: dict[str, Any]) -> str | None:
    binding = document["binding"]
    return None if binding is None else str(binding["text"])
