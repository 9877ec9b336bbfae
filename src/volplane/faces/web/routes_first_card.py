"""The first card: the form, the runway table behind its search, and what comes of it."""

from __future__ import annotations

from collections.abc import Mapping

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, JSONResponse
from pydantic import BaseModel, Field

from volplane.errors import FilesRefused, Problem
from volplane.faces.documents.airfields import runway_notes
from volplane.faces.documents.problems import http_status, problems_document
from volplane.faces.documents.wording import Units
from volplane.faces.web.fields import typed
from volplane.faces.web.first_card_page import LONGEST_REPORT, Choice, fault_sentence, first_card_page, found_airfields
from volplane.faces.web.rooms import Rooms
from volplane.services.first_card import FirstCard, NewFile, keep_first_card, with_far_end
from volplane.services.kept import FileKind, FileText
from volplane.services.shelf import Shelf

SHOWN_AIRFIELDS = 8
# how a runway is chosen: of a kept airfield or of the table, and which end
KEPT, TABLE = "kept", "table"


class FirstCardWish(BaseModel):
    """What the form sends: its fields by name."""

    values: dict[str, str] = Field(max_length=60)


def first_card_routes(rooms: Rooms) -> APIRouter:
    """The routes of the form."""
    routes = APIRouter()

    @routes.get("/exercises/new", response_class=HTMLResponse, include_in_schema=False)
    def form(request: Request) -> HTMLResponse:
        shelf = rooms.house.shelf
        airplanes = [Choice(each.file.name, each.title) for each in shelf.files(FileKind.AIRPLANE)]
        return HTMLResponse(first_card_page(rooms.frame(request), airplanes, _kept_runways(rooms, shelf)))

    @routes.get("/api/airfields", summary="Airfields of the runway table as choices of the form")
    def airfields(request: Request, text: str) -> JSONResponse:
        found = rooms.house.find_airfields(text[:80], SHOWN_AIRFIELDS)
        html = found_airfields(found, rooms.units_of(request))
        return JSONResponse({"schema": "volplane/view/1", "fragments": {"airfield-found": html}})

    @routes.post("/api/exercises", summary="Keep a new exercise, with its airplane and airfield where they are new")
    def keep(request: Request, wish: FirstCardWish) -> JSONResponse:
        try:
            kept = _kept(rooms, {key: typed(value[:LONGEST_REPORT]) for key, value in wish.values.items()})
        except FilesRefused as refused:
            return _faults(refused, rooms.units_of(request))
        return JSONResponse({"schema": "volplane/kept/1", "key": kept.file, "href": f"/exercises/{kept.file}"}, 201)

    return routes


def _kept(rooms: Rooms, values: Mapping[str, str]) -> FileText:
    house = rooms.house
    airfield, runway = _airfield(rooms, values)
    card = FirstCard(_airplane(rooms, values), airfield, runway, _part(values, "today"))
    return keep_first_card(house.shelf, card, house.with_changes, house.problems_of, house.now_unix_s())


def _faults(refused: FilesRefused, units: Units) -> JSONResponse:
    """Each problem with the sentence that stands below its field."""
    document = problems_document(refused)
    pairs = zip(document["problems"], refused.problems, strict=True)
    document["problems"] = [{**entry, "sentence": fault_sentence(problem, units)} for entry, problem in pairs]
    return JSONResponse(document, status_code=http_status(refused))


def _kept_runways(rooms: Rooms, shelf: Shelf) -> list[Choice]:
    return [
        Choice(f"{KEPT}:{each.file.name}:{runway.name}", f"{each.title}, runway {runway.name}")
        for each in shelf.files(FileKind.AIRFIELD)
        for runway in rooms.house.airfield(each.file.name, each.text.text).runways
    ]


def _part(values: Mapping[str, str], part: str) -> dict[str, str]:
    return {key.removeprefix(f"{part}."): value for key, value in values.items() if key.startswith(f"{part}.")}


def _airplane(rooms: Rooms, values: Mapping[str, str]) -> NewFile:
    if kept := values.get("airplane"):
        return NewFile(kept)
    made = _part(values, "airplane")
    name = rooms.house.shelf.free_name(FileKind.AIRPLANE, made.get("name", ""))
    return NewFile(name, rooms.house.made_text(made))


def _airfield(rooms: Rooms, values: Mapping[str, str]) -> tuple[NewFile, str]:
    """The airfield of the form and the name of the runway end."""
    house, shelf = rooms.house, rooms.house.shelf
    source, _, rest = values.get("runway", "").partition(":")
    place, _, runway = rest.rpartition(":")
    if source == KEPT:
        return NewFile(place), runway
    if source == TABLE:
        found = house.find_airfields(place, 1)
        text = house.airfield_text(found.the_one, found.origin, runway_notes(found.the_one))
        return NewFile(shelf.free_name(FileKind.AIRFIELD, found.the_one.published.name), text), runway
    made = _part(values, "airfield")
    if not any(made.values()):
        remedy = "Find the airfield, choose one that is kept, or write its runway by hand."
        raise FilesRefused((Problem("", "runway", "no runway", "the runway of the exercise", remedy, "key-missing"),))
    made = with_far_end(made)
    text = house.made_text(made)
    return NewFile(shelf.free_name(FileKind.AIRFIELD, made.get("name", "")), text), made.get("runway[1].name", "")
