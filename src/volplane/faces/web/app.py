"""The workbench as a web application: its pages and the documents behind them."""

from __future__ import annotations

from collections.abc import Iterable
from importlib import metadata

from fastapi import FastAPI, Request
from fastapi.exceptions import RequestValidationError
from fastapi.middleware.gzip import GZipMiddleware
from fastapi.responses import HTMLResponse, RedirectResponse, Response
from starlette.exceptions import HTTPException

from volplane.errors import Refusal
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.web import faults
from volplane.faces.web.assets import Assets, load_assets
from volplane.faces.web.bench import Bench
from volplane.faces.web.guard import HEADERS, Guard
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import el
from volplane.faces.web.ports import Workbench
from volplane.faces.web.routes_airplane import airplane_routes
from volplane.faces.web.routes_debrief import debrief_routes
from volplane.faces.web.routes_exercise import exercise_routes
from volplane.faces.web.routes_manual import manual_routes

FOR_EVER = "public, max-age=31536000, immutable"
A_DAY = "public, max-age=86400"


def create_app(workbench: Workbench, *, allowed_hosts: Iterable[str] = (), units: Units = IMPERIAL) -> FastAPI:
    """The application over one workbench. Only names of this machine are answered, and those of `allowed_hosts`.

    :raises PagesNotBuiltError: the client was not built into this installation.
    """
    assets = load_assets()
    bench = Bench(workbench, assets, units)
    app = FastAPI(title="Volplane", version=_version(), docs_url=None, redoc_url=None, openapi_url="/api/openapi.json")
    app.include_router(airplane_routes(bench))
    app.include_router(exercise_routes(bench))
    app.include_router(debrief_routes(bench))
    app.include_router(manual_routes(bench))
    _files(app, assets)
    _answers_to_faults(app, bench)
    app.add_middleware(GZipMiddleware, minimum_size=1024)
    app.add_middleware(Guard, allowed_hosts=tuple(allowed_hosts))
    return app


def _version() -> str:
    return metadata.version("volplane")


def _files(app: FastAPI, assets: Assets) -> None:
    @app.get("/", include_in_schema=False)
    def home(request: Request) -> RedirectResponse:
        query = request.url.query
        return RedirectResponse(f"/exercise?{query}" if query else "/exercise", status_code=307)

    @app.get("/assets/{path:path}", include_in_schema=False)
    def asset(path: str) -> Response:
        found = assets.files.get(path)
        if found is None:
            raise HTTPException(404)
        return Response(found.body, media_type=found.media_type, headers={"cache-control": FOR_EVER})

    @app.get("/favicon.svg", include_in_schema=False)
    @app.get("/favicon.ico", include_in_schema=False)
    def favicon() -> Response:
        found = assets.files["favicon.svg"]
        return Response(found.body, media_type=found.media_type, headers={"cache-control": A_DAY})


def _answers_to_faults(app: FastAPI, bench: Bench) -> None:
    app.add_exception_handler(Refusal, faults.on_refusal)

    @app.exception_handler(RequestValidationError)
    async def not_a_wish(request: Request, fault: RequestValidationError) -> Response:
        return faults.wish_answer(fault)

    @app.exception_handler(HTTPException)
    async def no_such_page(request: Request, fault: HTTPException) -> Response:
        if request.url.path.startswith("/api/"):
            sentence = f"There is nothing at {request.url.path} for {request.method}."
            return faults.problem_answer(fault.status_code, "", sentence, "no-such-address")
        return HTMLResponse(_lost(bench.frame(request)), status_code=fault.status_code)

    @app.exception_handler(Exception)
    async def own_fault(request: Request, fault: Exception) -> Response:
        # this answer is made outside the guard, so it brings the guard's headers itself; the server logs the traceback
        headers = {name.decode(): value.decode() for name, value in HEADERS}
        if request.url.path.startswith("/api/"):
            answer: Response = faults.problem_answer(500, "", faults.OUR_FAULT, "own-fault")
        else:
            answer = HTMLResponse(_broken(bench.frame(request)), status_code=500)
        answer.headers.update({**headers, "cache-control": "no-store"})
        return answer


def _lost(frame: Frame) -> str:
    words = el("div", el("h1", "No such page"), class_="words")
    way = el("p", el("a", "To the exercise", href="/exercise", class_="button first"), class_="prose")
    return page(frame, title="No such page", room="", kind="lost", content=[el("div", words, class_="title-row"), way])


def _broken(frame: Frame) -> str:
    words = el("div", el("h1", "Our own mistake"), class_="words")
    text = el("p", faults.OUR_FAULT, class_="prose")
    return page(
        frame, title="Our own mistake", room="", kind="lost", content=[el("div", words, class_="title-row"), text]
    )
