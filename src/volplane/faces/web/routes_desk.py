"""What is done at a debrief: answers and notes kept, flown on otherwise, given to somebody, made again, removed."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from typing import Annotated, Any
from urllib.parse import quote

from fastapi import APIRouter, Query, Request
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field

from volplane.domain.debrief.results import Attempt
from volplane.domain.debrief.what_if import AS_PLANNED
from volplane.faces.documents.quantities import ft
from volplane.faces.documents.what_if_words import what_if_note, what_if_sentences
from volplane.faces.web.debrief_desk import LONGEST_NOTE, notes_list
from volplane.faces.web.desks import at_hand, debrief_of, spans_s, text_of
from volplane.faces.web.rooms import Rooms
from volplane.services.forgetting import forget_debrief
from volplane.services.keeping import ChangedMeanwhile, NotKept
from volplane.services.keeping_debriefs import replace_debrief
from volplane.services.kept import KeptDebrief, KeptRecording, Lesson, Note, Person
from volplane.services.lesson_notes import (
    OwnQuestion,
    keep_own_view,
    rewrite_note,
    said_about,
    take_note_away,
    write_note,
)
from volplane.services.what_if_wishes import NOW, TURN, actions_of

# an hour of flight is no exercise; ours
MOST_SECONDS = 864_000.0
# the path of an answer, every so many steps of the integrator
_EVERY = 5
Exercise = Annotated[int, Query(ge=1, le=999, description="which exercise of the recording, counted from 1")]
Seen = Annotated[int, Query(ge=1, description="the version that was read")]


class OwnView(BaseModel):
    """The trainee's answers; an empty one takes an earlier answer back."""

    touched: str = Field("", max_length=300)
    sure: str = Field("", max_length=300)
    next: str = Field("", max_length=300)


class NoteText(BaseModel):
    """A note: its words, who may read it, and the second of the recording it is pinned to, if to any."""

    text: str = Field(min_length=1, max_length=LONGEST_NOTE)
    is_private: bool = True
    time_s: float | None = Field(None, ge=0.0, le=MOST_SECONDS)


class ChangedNote(BaseModel):
    """A note written over, and the version that was read."""

    text: str = Field(min_length=1, max_length=LONGEST_NOTE)
    is_private: bool
    version: int = Field(ge=1)


class Whose(BaseModel):
    """Whose debrief it is: keys of people and of a lesson, None for nobody; and the version that was read."""

    trainee: str | None = Field(None, max_length=64)
    instructor: str | None = Field(None, max_length=64)
    lesson: str | None = Field(None, max_length=64)
    version: int = Field(ge=1)


class WhatIf(BaseModel):
    """A second of the recording, and what is done otherwise from it on, as typed; empty is as planned or found."""

    time_s: float = Field(ge=0.0, le=MOST_SECONDS)
    turn: str = Field("", max_length=40, description='"now", or after how long: "4 s"')
    configuration: str = Field("", max_length=80, description="a configuration of the airplane to hang out")
    speed: str = Field("", max_length=40, description='indicated airspeed, "115 kt"')
    bank: str = Field("", max_length=40, description='bank of the turns to come, "30 deg"')
    wind: str = Field("", max_length=40, description='true wind instead of the one found, "240 deg 12 kt"')


def desk_routes(rooms: Rooms) -> APIRouter:
    """The routes behind the page of a debrief."""
    routes = APIRouter()
    store = rooms.house.shelf.store

    def attempt_of(key: str, exercise: int) -> tuple[KeptDebrief, tuple[Attempt, ...], int]:
        kept = store.get(KeptDebrief, key)
        attempts = debrief_of(rooms, kept).attempts
        if exercise > len(attempts):
            raise NotKept("exercise", str(exercise))
        return kept, attempts, exercise - 1

    def notes_answer(key: str, exercise: int, status: int = 200) -> JSONResponse:
        kept, attempts, number = attempt_of(key, exercise)
        notes = said_about(store, kept.key, spans_s(attempts), number).notes
        fragments = {"notes": notes_list(notes, attempts[number])}
        return JSONResponse({"schema": "volplane/fragments/1", "fragments": fragments}, status)

    @routes.post("/api/debriefs/{key}/own", summary="Keep the trainee's own view of an exercise flown")
    def own(key: str, answers: OwnView, exercise: Exercise = 1) -> JSONResponse:
        kept, attempts, number = attempt_of(key, exercise)
        said = {
            OwnQuestion.TOUCHED: answers.touched,
            OwnQuestion.SURE: answers.sure,
            OwnQuestion.NEXT: answers.next,
        }
        keep_own_view(store, kept, attempts[number].start_time_s, said, rooms.house.now_unix_s())
        return _kept(key)

    @routes.post("/api/debriefs/{key}/notes", summary="Note something about a debrief", status_code=201)
    def note(key: str, wish: NoteText, exercise: Exercise = 1) -> JSONResponse:
        kept = store.get(KeptDebrief, key)
        now = rooms.house.now_unix_s()
        write_note(store, Note(store.new_key(), key, wish.text, now, wish.is_private, wish.time_s, kept.instructor))
        return notes_answer(key, exercise, 201)

    @routes.put("/api/notes/{key}", summary="Change a note that was read")
    def rewrite(key: str, wish: ChangedNote, exercise: Exercise = 1) -> JSONResponse:
        return notes_answer(rewrite_note(store, key, wish.text, wish.is_private, wish.version).debrief, exercise)

    @routes.delete("/api/notes/{key}", summary="Take away a note that was read")
    def take_away(key: str, version: Seen, exercise: Exercise = 1) -> JSONResponse:
        return notes_answer(take_note_away(store, key, version).debrief, exercise)

    @routes.post("/api/debriefs/{key}/what-if", summary="Fly on otherwise from a second of an exercise flown")
    def what_if(request: Request, key: str, wish: WhatIf, exercise: Exercise = 1) -> JSONResponse:
        _, attempts, number = attempt_of(key, exercise)
        return JSONResponse(_flown_on(rooms, request, attempts[number], wish))

    _changing(routes, rooms)
    return routes


def _changing(routes: APIRouter, rooms: Rooms) -> None:
    store = rooms.house.shelf.store

    @routes.patch("/api/debriefs/{key}", summary="Say whose debrief it is")
    def whose(key: str, wish: Whose) -> JSONResponse:
        kept = _as_seen(store.get(KeptDebrief, key), wish.version)
        for kind, named in ((Person, wish.trainee), (Person, wish.instructor), (Lesson, wish.lesson)):
            if named:
                store.get(kind, named)
        people = [named or None for named in (wish.trainee, wish.instructor, wish.lesson)]
        store.change([replace(kept, trainee=people[0], instructor=people[1], lesson=people[2])])
        return _kept(key)

    @routes.post("/api/debriefs/{key}/again", summary="Make a kept debrief again with the present code")
    def again(key: str) -> JSONResponse:
        house, kept = rooms.house, store.get(KeptDebrief, key)
        debrief = house.debrief_again(kept)
        made = replace_debrief(store, kept, debrief, text_of(debrief), house.code_version, house.now_unix_s())
        at_hand(rooms, made, debrief)
        return _kept(key)

    @routes.delete("/api/debriefs/{key}", summary="Remove a debrief, and its recording unless another one needs it")
    def remove(key: str, version: Seen) -> JSONResponse:
        forget_debrief(store, _as_seen(store.get(KeptDebrief, key), version))
        return JSONResponse({"schema": "volplane/kept/1", "key": key, "href": "/debriefs"})

    @routes.get("/api/debriefs/{key}/recording", summary="The recording of a debrief, byte for byte as it was sent")
    def recording(key: str) -> Response:
        kept = store.get(KeptDebrief, key)
        name = quote(store.get(KeptRecording, kept.recording).name)
        headers = {"content-disposition": f"attachment; filename*=UTF-8''{name}"}
        return Response(store.original(kept.recording), media_type="application/octet-stream", headers=headers)


def _kept(key: str) -> JSONResponse:
    return JSONResponse({"schema": "volplane/kept/1", "key": key, "href": f"/debriefs/{key}"})


def _as_seen(kept: KeptDebrief, version: int) -> KeptDebrief:
    if kept.version != version:
        raise ChangedMeanwhile("debrief", kept.key)
    return kept


def _flown_on(rooms: Rooms, request: Request, attempt: Attempt, wish: WhatIf) -> dict[str, Any]:
    """The answer: sentences, the note at the path, and the path in the runway frame."""
    typed = wish.model_dump(exclude={"time_s"})
    actions = actions_of(attempt, typed)
    flown = rooms.house.what_if(attempt, wish.time_s, actions)
    unchanged = flown if actions == AS_PLANNED else rooms.house.what_if(attempt, wish.time_s, AS_PLANNED)
    path = flown.path
    rows = [*range(0, len(path.time_s) - 1, _EVERY), len(path.time_s) - 1]
    return {
        "schema": "volplane/what-if/1",
        "sentences": what_if_sentences(flown, unchanged, rooms.units_of(request)),
        "note": what_if_note(_parts(typed)),
        "to_spare_ft": ft(flown.to_spare_m),
        "touchdown_beyond_ft": None if flown.touchdown_x_m is None else ft(flown.touchdown_x_m),
        "time_s": [round(float(path.time_s[row]) + wish.time_s, 2) for row in rows],
        "x_m": [round(float(path.x_m[row]), 1) for row in rows],
        "y_m": [round(float(path.y_m[row]), 1) for row in rows],
        "height_m": [round(float(path.height_m[row]), 1) for row in rows],
    }


def _parts(typed: dict[str, str]) -> list[str]:
    """What is done otherwise, in the order of the form."""
    said: dict[str, Callable[[str], str]] = {
        TURN: lambda text: "turn to base now" if text == NOW else f"turn to base {text} later",
        "configuration": lambda text: text,
        "speed": lambda text: text,
        "bank": lambda text: f"bank {text}",
        "wind": lambda text: f"wind {text}",
    }
    return [words(typed[key].strip()) for key, words in said.items() if typed[key].strip()]
