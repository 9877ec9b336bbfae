"""What is taken along of a debrief: the report as PDF, and the flight second by second as files."""

from __future__ import annotations

from typing import Literal

from fastapi import APIRouter, Request
from fastapi.responses import Response

from volplane.domain.debrief.results import Debrief
from volplane.faces.report.debrief_report import ReportPeople, debrief_report_pdf
from volplane.faces.report.exports.flown import exported_flown
from volplane.faces.web.desks import debrief_of, spans_s
from volplane.faces.web.rooms import Rooms
from volplane.services.kept import KeptDebrief, Person
from volplane.services.lesson_notes import said_about

MEDIA_TYPES = {
    "csv": "text/csv; charset=utf-8",
    "gpx": "application/gpx+xml",
    "kml": "application/vnd.google-earth.kml+xml",
    "geojson": "application/geo+json",
}


def report_routes(rooms: Rooms) -> APIRouter:
    """The routes of the files of a debrief."""
    routes = APIRouter()
    store = rooms.house.shelf.store

    @routes.get("/api/debriefs/{key}/report", summary="The report of a debrief as PDF", response_class=Response)
    def report(request: Request, key: str, paper: Literal["A4", "A5"] = "A4") -> Response:
        kept = store.get(KeptDebrief, key)
        debrief = debrief_of(rooms, kept)
        pdf = debrief_report_pdf(debrief, _people(rooms, kept, debrief), paper=paper, units=rooms.units_of(request))
        return _file(pdf, "application/pdf", f"debrief-{key[:8]}.pdf")

    @routes.get(
        "/api/debriefs/{key}/flown.{ending}", summary="The flight second by second as a file", response_class=Response
    )
    def flown(request: Request, key: str, ending: Literal["csv", "gpx", "kml", "geojson"]) -> Response:
        debrief = debrief_of(rooms, store.get(KeptDebrief, key))
        data = exported_flown(debrief, f".{ending}", rooms.units_of(request))
        return _file(data, MEDIA_TYPES[ending], f"debrief-{key[:8]}.{ending}")

    return routes


def _people(rooms: Rooms, kept: KeptDebrief, debrief: Debrief) -> ReportPeople:
    """Names, and what the trainee said of each exercise; notes of the instructor stay with the instructor."""
    with rooms.house.shelf.store.snapshot() as store:
        names = [None if key is None else store.get(Person, key).name for key in (kept.trainee, kept.instructor)]
        spans = spans_s(debrief.attempts)
        said = [said_about(store, kept.key, spans, number).own for number in range(len(spans))]
    own = tuple(tuple((str(question), answer) for question, answer in each.items()) for each in said)
    return ReportPeople(names[0], names[1], own)


def _file(data: bytes, media_type: str, name: str) -> Response:
    return Response(data, media_type=media_type, headers={"content-disposition": f'attachment; filename="{name}"'})
