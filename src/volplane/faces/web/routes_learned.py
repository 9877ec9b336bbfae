"""The learned glide of an airplane: its page, flights to learn from, adopting it and taking that back."""

from __future__ import annotations

from collections.abc import Callable

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, RedirectResponse, Response

from volplane.errors import Refusal
from volplane.faces.documents.problems import http_status, refusal_sentence
from volplane.faces.web.fields import typed as as_typed
from volplane.faces.web.forms import Form
from volplane.faces.web.learned_page import LONGEST_REASON, LearnedSheet, Typed, learned_page
from volplane.faces.web.rooms import Rooms
from volplane.services.adopting import adopt, adoptions, keep_teaching_flight, learned_so_far, take_back
from volplane.services.kept import FileKind, KeptRecording, TeachingFlight
from volplane.services.quantities import WEIGHT, read_quantity

SEE_OTHER = 303


def learned_routes(rooms: Rooms) -> APIRouter:
    """The routes. Plain functions, so each runs in a thread of the pool; forms need no script."""
    routes = APIRouter(include_in_schema=False)

    @routes.get("/airplanes/{key}/learned", response_class=HTMLResponse)
    def learned(request: Request, key: str) -> HTMLResponse:
        return HTMLResponse(learned_page(rooms.frame(request), _sheet(rooms, key), Typed()))

    @routes.post("/airplanes/{key}/learned/flights")
    def teach(request: Request, key: str, form: Form) -> Response:
        house, weight = rooms.house, form.get("weight", "")[:40]

        def remember() -> None:
            store = house.shelf.store
            recording = store.get(KeptRecording, form.get("recording", ""))
            weight_kg = read_quantity(as_typed(weight), WEIGHT)
            keep_teaching_flight(store, _name(rooms, key), recording, weight_kg, house.now_unix_s())

        return _done(request, key, remember, Typed(weight=weight))

    @routes.post("/airplanes/{key}/learned/adopt")
    def take_over(request: Request, key: str, form: Form) -> Response:
        house, reason = rooms.house, form.get("reason", "")[:LONGEST_REASON]

        def write() -> None:
            glide = _sheet(rooms, key).learned.glide
            version, now, texts = house.code_version, house.now_unix_s(), house.airplane_texts()
            adopt(house.shelf.store, _name(rooms, key), glide, reason, texts, code_version=version, now_unix_s=now)

        return _done(request, key, write, Typed(reason=reason))

    @routes.post("/airplanes/{key}/learned/take-back")
    def give_back(request: Request, key: str) -> Response:
        def write() -> None:
            adopted = adoptions(rooms.house.shelf.store, _name(rooms, key))
            if adopted:
                take_back(rooms.house.shelf.store, adopted[-1], rooms.house.now_unix_s())

        return _done(request, key, write, Typed())

    def _done(request: Request, key: str, work: Callable[[], None], typed: Typed) -> Response:
        """The page again after the work, with a sentence and what was typed where it was refused."""
        try:
            work()
        except Refusal as refusal:
            told = Typed(refusal_sentence(refusal), typed.reason, typed.weight)
            html = learned_page(rooms.frame(request), _sheet(rooms, key), told)
            return HTMLResponse(html, http_status(refusal))
        return RedirectResponse(f"/airplanes/{key}/learned", SEE_OTHER)

    return routes


def _name(rooms: Rooms, key: str) -> str:
    """The name of the airplane's file. :raises NotKept: there is none."""
    return rooms.house.shelf.file(FileKind.AIRPLANE, key).file.name


def _sheet(rooms: Rooms, key: str) -> LearnedSheet:
    house = rooms.house
    shelved = house.shelf.file(FileKind.AIRPLANE, key)
    name, texts = shelved.file.name, house.airplane_texts()
    airplane = texts.read(name, shelved.text.text)
    with house.shelf.store.snapshot() as reader:
        recordings = {each.key: each for each in reader.find(KeptRecording)}
        flights = reader.find(TeachingFlight, airplane=key)
        learned = learned_so_far(reader, name, texts.read, house.read_recording)
        adopted = adoptions(reader, name)
    taught = {each.recording for each in flights}
    others = tuple(each for each in recordings.values() if each.key not in taught)
    return LearnedSheet(
        key, airplane, learned, [(each, recordings[each.recording]) for each in flights], others, adopted
    )
