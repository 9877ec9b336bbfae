"""The card and the instructor sheet: looked at in the dialog, saved as PDF, and what was printed is kept."""

from __future__ import annotations

import hashlib
import json
from typing import Annotated, Literal

from fastapi import APIRouter, Path, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field
from starlette.exceptions import HTTPException

from volplane.domain.exercise.hand_alter import hand_alterations
from volplane.domain.exercise.plan import Plan
from volplane.faces.documents.plan import plan_document
from volplane.faces.documents.quantities import as_text
from volplane.faces.documents.wording import Units
from volplane.faces.report.card import card_sheet
from volplane.faces.report.instructor_sheet import instructor_sheet
from volplane.faces.report.typesetting import Sheet
from volplane.faces.web.fields import typed
from volplane.faces.web.held import HeldResults
from volplane.faces.web.markup import Markup, el, join
from volplane.faces.web.ports import House
from volplane.faces.web.rooms import Bench, Rooms
from volplane.faces.web.routes_asked import file_name
from volplane.services.kept import KeptPlan, PrintedCard
from volplane.services.standing_in import stand_in_of

Paper = Literal["A5", "half-letter", "A4"]
# a card that is looked at before its reason is written
UNWRITTEN = "(still to be written)"


class CardWish(BaseModel):
    """What the card dialog sends."""

    changes: dict[str, str] = Field(default_factory=dict, max_length=40)
    paper: Paper = "A5"
    sheet: Literal["card", "instructor"] = "card"
    reason: str = Field(default="", max_length=300)
    trainee: str = Field(default="", max_length=60)


def card_routes(rooms: Rooms) -> APIRouter:
    """The routes of what is printed of an exercise."""
    routes = APIRouter()
    looked_at: HeldResults[tuple[bytes, ...]] = HeldResults(capacity=8)

    @routes.post("/api/exercises/{key}/card", summary="The card as PDF", response_class=Response)
    def card(request: Request, key: str, wish: CardWish) -> Response:
        bench = rooms.bench(key)
        plan = _planned(bench, wish)
        pdf = _sheet(plan, wish, rooms.units_of(request), wish.reason.strip() or None).pdf()
        _remember(rooms.house, bench, plan, wish)
        disposition = f'attachment; filename="{file_name(plan, wish.sheet, "pdf")}"'
        return Response(pdf, media_type="application/pdf", headers={"content-disposition": disposition})

    @routes.post("/api/exercises/{key}/preview", summary="The card as pictures, to be looked at; nothing is kept")
    def preview(request: Request, key: str, wish: CardWish) -> JSONResponse:
        bench = rooms.bench(key)
        reason = wish.reason.strip() or UNWRITTEN
        pages = _sheet(_planned(bench, wish), wish, rooms.units_of(request), reason).pictures()
        name = hashlib.sha256(b"".join(pages)).hexdigest()[:20]
        looked_at.keep(name, pages)
        return JSONResponse(
            {
                "schema": "volplane/view/1",
                "fragments": {"card-preview": _pictures(f"{bench.api}/preview/{name}", pages)},
            }
        )

    @routes.get("/api/exercises/{key}/preview/{name}/{page}", summary="A page of it as PNG", response_class=Response)
    def picture(key: str, name: str, page: Annotated[int, Path(ge=1, le=9)]) -> Response:
        pages = looked_at.get(name) or ()
        if page > len(pages):
            raise HTTPException(404)
        return Response(pages[page - 1], media_type="image/png")

    return routes


def _pictures(path: str, pages: tuple[bytes, ...]) -> Markup:
    count = len(pages)
    named = "as it will be printed" if count == 1 else "as it will be printed, page {number} of {count}"
    return join(
        [
            el("img", src=f"{path}/{number}", alt=f"The sheet {named.format(number=number, count=count)}")
            for number in range(1, count + 1)
        ]
    )


def _planned(bench: Bench, wish: CardWish) -> Plan:
    """The plan that is printed; the instructor's sheet tells the ways to lose height, too."""
    changes = bench.changes(wish.changes)
    return bench.workbench.plan(changes) if wish.sheet == "card" else bench.workbench.with_ways(changes)


def _sheet(plan: Plan, wish: CardWish, units: Units, reason: str | None) -> Sheet:
    """The card, or the instructor sheet, as it is wished."""
    paper, trainee, altered = wish.paper, typed(wish.trainee) or None, hand_alterations(plan)
    if wish.sheet == "card":
        return card_sheet(plan, paper=paper, reason=reason, trainee=trainee, units=units, altered=altered)
    return instructor_sheet(
        plan,
        paper=paper,
        reason=reason,
        trainee=trainee,
        units=units,
        altered=altered,
        stand_in=stand_in_of(plan.exercise),
    )


def _remember(house: House, bench: Bench, solved: Plan, wish: CardWish) -> None:
    """Keep what was printed and, where there were cautions, the reason to fly it all the same."""
    store, document, now = house.shelf.store, plan_document(solved), house.now_unix_s()
    texts = bench.texts
    plan = KeptPlan(
        key=store.new_key(),
        exercise_text=texts.exercise.key,
        airplane_text=texts.airplane.key,
        airfield_text=texts.airfield.key,
        document=as_text(document),
        code_version=house.code_version,
        planned_unix_s=now,
    )
    cautions = [finding["text"] for finding in document["findings"] if finding["severity"] == "caution"]
    card = PrintedCard(
        store.new_key(),
        plan.key,
        wish.sheet,
        wish.paper,
        json.dumps(cautions, ensure_ascii=False),
        wish.reason.strip(),
        now,
    )
    store.change([plan, card])
