"""Debriefs: the list with the upload, a recording debriefed and kept, the lesson sheet."""

from __future__ import annotations

from collections.abc import Mapping
from urllib.parse import urlencode

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import HTMLResponse, JSONResponse, Response

from volplane.domain.debrief.results import Debrief
from volplane.errors import Refusal
from volplane.faces.documents.debrief import debrief_document
from volplane.faces.documents.quantities import as_text
from volplane.faces.web.bodies import LARGEST_FILE_BYTES, LONGEST_NAME, body_of, too_large
from volplane.faces.web.debrief_page import QUESTIONS, debrief_page, exercise_link, nothing_found_page, own_view_page
from volplane.faces.web.debriefs_page import Wish, debriefs_page
from volplane.faces.web.faults import refusal_answer
from volplane.faces.web.lessons import Recorded, lesson_of, who_of
from volplane.faces.web.rooms import Rooms
from volplane.services.kept import KeptDebrief, KeptRecording, Person, Role
from volplane.services.listing import DebriefSearch
from volplane.services.sent_recordings import Sent

LONGEST_SEARCH = 200


def debrief_routes(rooms: Rooms) -> APIRouter:
    """The routes of the debriefs."""
    routes = APIRouter()

    @routes.get("/debriefs", response_class=HTMLResponse, include_in_schema=False)
    def debriefs(request: Request) -> HTMLResponse:
        query = request.query_params
        text = query.get("text", "")[:LONGEST_SEARCH].strip()
        found = rooms.house.lists.debriefs(DebriefSearch(tuple(text.split())))
        shelf = rooms.house.shelf
        wish = Wish(
            exercises=shelf.exercises(),
            chosen=query.get("exercise"),
            trainees=shelf.store.find(Person, role=Role.TRAINEE),
            limit_bytes=LARGEST_FILE_BYTES,
        )
        return HTMLResponse(debriefs_page(rooms.frame(request), found, text, wish))

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


def _kept(rooms: Rooms, key: str, file_name: str, data: bytes, query: Mapping[str, str]) -> KeptDebrief:
    """Debrief a recording against the kept exercise and keep both; the debrief stays at hand for its page."""
    sent = Sent(file_name, data, query.get("trainee") or None, query.get("instructor") or None)
    kept, debrief = rooms.house.keep_sent(rooms.house.shelf.exercise(key), sent, _text_of)
    if debrief is not None:
        rooms.debriefs.keep(_at_hand(kept), debrief)
    return kept


def _text_of(debrief: Debrief) -> str:
    return as_text(debrief_document(debrief))


def debrief_of(rooms: Rooms, kept: KeptDebrief) -> Debrief:
    """A kept debrief as a value, from what is at hand or made again."""
    held = rooms.debriefs.get(_at_hand(kept))
    if held is None:
        held = rooms.house.debrief_again(kept)
        rooms.debriefs.keep(_at_hand(kept), held)
    return held


def _at_hand(kept: KeptDebrief) -> str:
    return f"{kept.key}-{kept.version}"


def _sheet(rooms: Rooms, request: Request, kept: KeptDebrief) -> HTMLResponse:
    """The trainee's questions first, then the lesson sheet of the exercise asked for."""
    frame, query, path = rooms.frame(request), request.query_params, request.url.path
    debrief, recorded = debrief_of(rooms, kept), _recorded(rooms, kept)
    attempts = debrief.attempts
    if not attempts:
        who = who_of(debrief, recorded, 0)
        return HTMLResponse(nothing_found_page(frame, _why_nothing(debrief, recorded), who))
    number = _number(query.get("exercise"), len(attempts))
    who = who_of(debrief, recorded, number)
    if query.get("own") not in ("told", "skipped"):
        return HTMLResponse(own_view_page(frame, path, who, {"exercise": str(number + 1)}))
    told = query.get("own") == "told"
    own = {key: query.get(key, "").strip() for key, _, _ in QUESTIONS} if told else {}
    others = [
        (exercise_link(index), f"{path}?{urlencode({'exercise': str(index + 1)})}") for index in range(len(attempts))
    ]
    return HTMLResponse(debrief_page(frame, lesson_of(debrief, number, who, frame.units), own, others))


def _recorded(rooms: Rooms, kept: KeptDebrief) -> Recorded:
    store = rooms.house.shelf.store
    names = [None if key is None else store.get(Person, key).name for key in (kept.trainee, kept.instructor)]
    return Recorded(store.get(KeptRecording, kept.recording).name, *names)


def _number(text: str | None, count: int) -> int:
    wanted = int(text) if text is not None and text.isascii() and text.isdigit() and len(text) < 4 else 1
    return min(max(wanted, 1), count) - 1


def _why_nothing(debrief: Debrief, recorded: Recorded) -> str:
    facts = debrief.recording
    return (
        f"{recorded.file_name} was read ({facts.format}, {facts.fixes:,} fixes), and no glide from a high or low key "
        "to this runway is in it. An exercise is a descent past the low key without level flight."
    )
