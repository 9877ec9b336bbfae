"""The instructor's files as pages: lists, the text of each, and keeping a changed text."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, JSONResponse
from pydantic import BaseModel, Field

from volplane.faces.web.airfield_page import airfield_page
from volplane.faces.web.exercises_page import exercises_page
from volplane.faces.web.file_page import PATHS, files_page, text_page
from volplane.faces.web.markup import el
from volplane.faces.web.rooms import Rooms
from volplane.services.kept import FileKind

LONGEST_TEXT = 200_000


class ChangedText(BaseModel):
    """A text written over, and which state of the file it was made of."""

    text: str = Field(max_length=LONGEST_TEXT)
    seen: int = Field(ge=1)


def file_routes(rooms: Rooms) -> APIRouter:
    """The routes of the files. Pages are plain functions, so each runs in a thread of the pool."""
    routes = APIRouter()

    @routes.get("/exercises", response_class=HTMLResponse, include_in_schema=False)
    def exercises(request: Request) -> HTMLResponse:
        return HTMLResponse(exercises_page(rooms.frame(request), rooms.house.shelf.exercises()))

    @routes.get("/airplanes", response_class=HTMLResponse, include_in_schema=False)
    def airplanes(request: Request) -> HTMLResponse:
        return _files(request, FileKind.AIRPLANE)

    @routes.get("/airfields", response_class=HTMLResponse, include_in_schema=False)
    def airfields(request: Request) -> HTMLResponse:
        return _files(request, FileKind.AIRFIELD)

    def _files(request: Request, kind: FileKind) -> HTMLResponse:
        new = el("a", "A new exercise", href="/exercises/new", class_="button")
        return HTMLResponse(files_page(rooms.frame(request), kind, rooms.house.shelf.files(kind), [new]))

    @routes.get("/airfields/{key}", response_class=HTMLResponse, include_in_schema=False)
    def airfield(request: Request, key: str) -> HTMLResponse:
        shelved = rooms.house.shelf.file(FileKind.AIRFIELD, key)
        read = rooms.house.airfield(shelved.file.name, shelved.text.text)
        return HTMLResponse(airfield_page(rooms.frame(request), shelved, read))

    @routes.get("/airplanes/{key}/text", response_class=HTMLResponse, include_in_schema=False)
    def airplane_text(request: Request, key: str) -> HTMLResponse:
        return _text(request, FileKind.AIRPLANE, key)

    @routes.get("/airfields/{key}/text", response_class=HTMLResponse, include_in_schema=False)
    def airfield_text(request: Request, key: str) -> HTMLResponse:
        return _text(request, FileKind.AIRFIELD, key)

    @routes.get("/exercises/{key}/text", response_class=HTMLResponse, include_in_schema=False)
    def exercise_text(request: Request, key: str) -> HTMLResponse:
        return _text(request, FileKind.EXERCISE, key)

    def _text(request: Request, kind: FileKind, key: str) -> HTMLResponse:
        return HTMLResponse(text_page(rooms.frame(request), rooms.house.shelf.file(kind, key)))

    @routes.post("/api/files/{kind}/{key}", summary="Keep a changed text of a file")
    def save(kind: FileKind, key: str, changed: ChangedText) -> JSONResponse:
        house = rooms.house
        text = changed.text.replace("\r\n", "\n")
        kept = house.shelf.save(kind, key, text, changed.seen, house.now_unix_s())
        return JSONResponse({"schema": "volplane/kept/1", "key": kept.file, "href": f"{PATHS[kind]}/{key}"})

    return routes
