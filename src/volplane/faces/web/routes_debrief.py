"""Debriefs: the list with the upload, a recording debriefed and kept, the lesson sheet."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, JSONResponse, Response

from volplane.domain.debrief.results import Debrief
from volplane.errors import Refusal
from volplane.faces.web.bodies import LARGEST_FILE_BYTES, LONGEST_NAME, body_of, too_large
from volplane.faces.web.debrief_page import debrief_page, nothing_found_page, own_view_page
from volplane.faces.web.debriefs_page import Leaves, Wish, debriefs_page
from volplane.faces.web.desks import at_hand, debrief_of, desk_of, text_of
from volplane.faces.web.faults import refusal_answer
from volplane.faces.web.lessons import Recorded, exercise_link, lesson_of, who_of
from volplane.faces.web.overlays import overlay_answer
from volplane.faces.web.rooms import Rooms
from volplane.services.kept import KeptDebrief, KeptRecording, Person, Role
from volplane.services.listing import DebriefSearch
from volplane.services.sent_recordings import Sent

LONGEST_SEARCH = 200
LINES = 50


def debrief_routes(rooms: Rooms) -> APIRouter:
    """The routes of the debriefs."""
    routes = APIRouter()

    @routes.get("/debriefs", response_class=HTMLResponse, include_in_schema=False)
    def debriefs(request: Request) -> HTMLResponse:
        query = request.query_params
        text, leaf = query.get("text", "")[:LONGEST_SEARCH].strip(), _leaf(query.get("leaf"))
        search = DebriefSearch(tuple(text.split()), most=LINES, skipped=(leaf - 1) * LINES)
        store = rooms.house.shelf.store
        wish = Wish(
            exercises=rooms.house.shelf.exercises(),
            chosen=query.get("exercise"),
            trainees=store.find(Person, role=Role.TRAINEE),
            instructors=store.find(Person, role=Role.INSTRUCTOR),
            limit_bytes=LARGEST_FILE_BYTES,
        )
        leaves = Leaves(text, leaf, LINES)
        return HTMLResponse(debriefs_page(rooms.frame(request), rooms.house.lists.debriefs(search), leaves, wish))

    @routes.get("/debriefs/overlay", response_class=HTMLResponse, include_in_schema=False)
    def overlay(request: Request) -> HTMLResponse:
        return overlay_answer(rooms, request)

    @routes.get("/debriefs/{key}", response_class=HTMLResponse, include_in_schema=False)
    def debrief(request: Request, key: str) -> HTMLResponse:
        return _sheet(rooms, request, rooms.house.shelf.store.get(KeptDebrief, key))

    @routes.post("/api/exercises/{key}/debriefs", summary="Debrief a recording sent as the body, and keep both")
    async def send(request: Request, key: str) -> Response:
        query = request.query_params
        file_name = query.get("file_name", "recording")[:LONGEST_NAME]
        data = await body_of(request)
        if data is None:
            return too_large(file_name)
        try:
            kept = await run_in_threadpool(_kept, rooms, key, file_name, data, query)
        except Refusal as refusal:
            return refusal_answer(refusal)
        return JSONResponse({"schema": "volplane/kept/1", "key": kept.key, "href": f"/debriefs/{kept.key}"}, 201)

    @routes.get("/api/debriefs/{key}", summary="A kept debrief, as volplane/debrief/1")
    def document(key: str) -> Response:
        kept = rooms.house.shelf.store.get(KeptDebrief, key)
        return Response(kept.document, media_type="application/json")

    return routes


def _leaf(text: str | None) -> int:
    return (
        int(text) if text is not None and text.isascii() and text.isdigit() and 0 < len(text) < 6 and text != "0" else 1
    )


def _kept(rooms: Rooms, key: str, file_name: str, data: bytes, query: Mapping[str, str]) -> KeptDebrief:
    """Debrief a recording against the kept exercise and keep both; the debrief stays at hand for its page."""
    sent = Sent(file_name, data, query.get("trainee") or None, query.get("instructor") or None)
    kept, debrief = rooms.house.keep_sent(rooms.house.shelf.exercise(key), sent, text_of)
    if debrief is not None:
        at_hand(rooms, kept, debrief)
    return kept


def _sheet(rooms: Rooms, request: Request, kept: KeptDebrief) -> HTMLResponse:
    """The trainee's questions first, until they are answered or skipped, then the lesson sheet of one exercise."""
    frame, query, path = rooms.frame(request), request.query_params, request.url.path
    debrief, recorded = debrief_of(rooms, kept), _recorded(rooms, kept)
    attempts = debrief.attempts
    number = _number(query.get("exercise"), len(attempts))
    who = who_of(debrief, recorded, number)
    if not attempts:
        return HTMLResponse(nothing_found_page(frame, _why_nothing(debrief, recorded), who))
    desk = desk_of(rooms, kept, debrief, number, recorded.file_name)
    own = query.get("own")
    if own == "ask" or not (desk.own or own in ("told", "skipped")):
        return HTMLResponse(own_view_page(frame, who, desk))
    others = [
        (exercise_link(index), f"{path}?{urlencode({'exercise': str(index + 1)})}") for index in range(len(attempts))
    ]
    return HTMLResponse(debrief_page(frame, lesson_of(debrief, number, who, frame.units), desk, others))


def _recorded(rooms: Rooms, kept: KeptDebrief) -> Recorded:
    store = rooms.house.shelf.store
    names = [None if key is None else store.get(Person, key).name for key in (kept.trainee, kept.instructor)]
    return Recorded(store.get(KeptRecording, kept.recording).name, *names)


def _number(text: str | None, count: int) -> int:
    wanted = int(text) if text is not None and text.isascii() and text.isdigit() and len(text) < 4 else 1
    return min(max(wanted, 1), max(count, 1)) - 1


def _why_nothing(debrief: Debrief, recorded: Recorded) -> str:
    facts = debrief.recording
    return (
        f"{recorded.file_name} was read ({facts.format}, {facts.fixes:,} fixes), and no glide from a high or low key "
        "to this runway is in it. An exercise is a descent past the low key without level flight."
    )
