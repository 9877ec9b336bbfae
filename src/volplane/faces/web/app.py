"""The workbench as a web application: its pages and the documents behind them."""

from __future__ import annotations

from collections.abc import Iterable
from importlib import metadata

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.middleware.gzip import GZipMiddleware
from fastapi.responses import HTMLResponse, Response
from starlette.exceptions import HTTPException

from volplane.errors import Refusal
from volplane.faces.documents.problems import http_status, refusal_sentence
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.web import faults
from volplane.faces.web.assets import AT_THE_ROOT, Assets, load_assets
from volplane.faces.web.guard import HEADERS, Guard
from volplane.faces.web.interface import describe
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import el
from volplane.faces.web.ports import House
from volplane.faces.web.rooms import Rooms
from volplane.faces.web.routes_airplane import airplane_routes
from volplane.faces.web.routes_asked import asked_routes
from volplane.faces.web.routes_card import card_routes
from volplane.faces.web.routes_columns import column_routes
from volplane.faces.web.routes_debrief import debrief_routes
from volplane.faces.web.routes_desk import desk_routes
from volplane.faces.web.routes_exercise import exercise_routes
from volplane.faces.web.routes_files import file_routes
from volplane.faces.web.routes_first_card import first_card_routes
from volplane.faces.web.routes_learned import learned_routes
from volplane.faces.web.routes_lesson_plans import lesson_plan_routes
from volplane.faces.web.routes_lessons import lesson_routes
from volplane.faces.web.routes_manual import manual_routes
from volplane.faces.web.routes_people import people_routes
from volplane.faces.web.routes_report import report_routes
from volplane.faces.web.routes_today import today_routes
from volplane.services.keeping import NotKept

FOR_EVER = "public, max-age=31536000, immutable"
A_DAY = "public, max-age=86400"


def create_app(house: House, *, allowed_hosts: Iterable[str] = (), units: Units = IMPERIAL) -> FastAPI:
    """The application over one house. Only names of this machine are answered, and those of `allowed_hosts`.

    :raises PagesNotBuiltError: the client was not built into this installation.
    """
    assets = load_assets()
    rooms = Rooms(house, assets, units)
    app = FastAPI(title="Volplane", version=_version(), docs_url=None, redoc_url=None, openapi_url="/api/openapi.json")
    # the form of a new exercise comes before the exercises by their keys
    for routes in (
        today_routes,
        first_card_routes,
        file_routes,
        airplane_routes,
        learned_routes,
        exercise_routes,
        asked_routes,
        card_routes,
        debrief_routes,
    ):
        app.include_router(routes(rooms))
    for routes in (
        desk_routes,
        report_routes,
        column_routes,
        people_routes,
        lesson_routes,
        lesson_plan_routes,
        manual_routes,
    ):
        app.include_router(routes(rooms))
    _files(app, assets)
    _answers_to_faults(app, rooms)
    describe(app)
    app.add_middleware(GZipMiddleware, minimum_size=1024)
    app.add_middleware(Guard, allowed_hosts=tuple(allowed_hosts))
    return app


def _version() -> str:
    return metadata.version("volplane")


def _files(app: FastAPI, assets: Assets) -> None:
    @app.get("/assets/{path:path}", include_in_schema=False)
    def asset(path: str) -> Response:
        found = assets.files.get(path)
        if found is None:
            raise HTTPException(404)
        return Response(found.body, media_type=found.media_type, headers={"cache-control": FOR_EVER})

    def at_the_root(request: Request) -> Response:
        found = assets.files[request.url.path.removeprefix("/")]
        return Response(found.body, media_type=found.media_type, headers={"cache-control": A_DAY})

    for name in AT_THE_ROOT:
        app.add_api_route(f"/{name}", at_the_root, include_in_schema=False)


def _answers_to_faults(app: FastAPI, rooms: Rooms) -> None:
    @app.exception_handler(Refusal)
    async def refused(request: Request, refusal: Refusal) -> Response:
        if request.url.path.startswith("/api/"):
            return faults.refusal_answer(refusal)
        html = _refused(rooms.frame(request), refusal_sentence(refusal, rooms.units_of(request)))
        return HTMLResponse(html, status_code=http_status(refusal))

    @app.exception_handler(NotKept)
    async def not_kept(request: Request, fault: NotKept) -> Response:
        if request.url.path.startswith("/api/"):
            return faults.refusal_answer(fault)
        return HTMLResponse(_lost(rooms.frame(request)), status_code=404)

    @app.exception_handler(RequestValidationError)
    async def not_a_wish(request: Request, fault: RequestValidationError) -> Response:
        return faults.wish_answer(fault)

    @app.exception_handler(HTTPException)
    async def no_such_page(request: Request, fault: HTTPException) -> Response:
        if request.url.path.startswith("/api/"):
            sentence = f"There is nothing at {request.url.path} for {request.method}."
            return faults.problem_answer(fault.status_code, "", sentence, "no-such-address")
        return HTMLResponse(_lost(rooms.frame(request)), status_code=fault.status_code)

    @app.exception_handler(Exception)
    async def own_fault(request: Request, fault: Exception) -> Response:
        # this answer is made outside the guard, so it brings the guard's headers itself; the server logs the traceback
        headers = {name.decode(): value.decode() for name, value in HEADERS}
        if request.url.path.startswith("/api/"):
            answer: Response = faults.problem_answer(500, "", faults.OUR_FAULT, "own-fault")
        else:
            answer = HTMLResponse(_broken(rooms.frame(request)), status_code=500)
        answer.headers.update({**headers, "cache-control": "no-store"})
        return answer


def _lost(frame: Frame) -> str:
    words = el("div", el("h1", "No such page"), class_="words")
    way = el("p", el("a", "To today", href="/", class_="button first"), class_="prose")
    return page(frame, title="No such page", room="", kind="lost", content=[el("div", words, class_="title-row"), way])


def _refused(frame: Frame, sentences: str) -> str:
    """What cannot be shown, and why; the sentences say what to do."""
    title = "This cannot be shown"
    words = el("div", el("h1", title), class_="words")
    said = el("div", [el("p", sentence) for sentence in sentences.splitlines()], class_="prose")
    way = el("p", el("a", "To today", href="/", class_="button first"), class_="prose")
    return page(frame, title=title, room="", kind="lost", content=[el("div", words, class_="title-row"), said, way])


def _broken(frame: Frame) -> str:
    words = el("div", el("h1", "Our own mistake"), class_="words")
    text = el("p", faults.OUR_FAULT, class_="prose")
    return page(
        frame, title="Our own mistake", room="", kind="lost", content=[el("div", words, class_="title-row"), text]
    )
