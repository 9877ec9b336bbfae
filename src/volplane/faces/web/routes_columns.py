"""Tables with unknown titles: their columns shown with what they hold, and what somebody says they mean, kept."""

from __future__ import annotations

from collections.abc import Sequence

from fastapi import APIRouter, Request
from fastapi.concurrency import run_in_threadpool
from fastapi.responses import JSONResponse, Response
from pydantic import BaseModel, Field

from volplane.errors import FilesRefused, Problem
from volplane.faces.documents import wording
from volplane.faces.web.bodies import LONGEST_NAME, body_of, too_large
from volplane.faces.web.markup import Markup, el
from volplane.faces.web.rooms import Rooms
from volplane.services.column_maps import SeenColumn
from volplane.services.recordings import Channel, Column, ColumnMap

MOST_COLUMNS = 200
_NEEDED = (Channel.LATITUDE, Channel.LONGITUDE)
_TIMES = (
    Channel.DATE_AND_TIME,
    Channel.DATE,
    Channel.TIME_OF_DAY,
    Channel.SECONDS_SINCE_1970,
    Channel.ELAPSED_TIME,
)


class MeantColumn(BaseModel):
    """A column of a table: what it means, if anything, and in which unit."""

    title: str = Field(max_length=200)
    channel: str = Field("", max_length=60)
    unit: str = Field("", max_length=40)


class MeantColumns(BaseModel):
    """Every column of a table in its order, and the offset of its times from UTC, in minutes, where it is known."""

    columns: list[MeantColumn] = Field(min_length=1, max_length=MOST_COLUMNS)
    utc_offset_min: float | None = Field(None, ge=-1080.0, le=1080.0)


def column_routes(rooms: Rooms) -> APIRouter:
    """The routes of tables with unknown titles."""
    routes = APIRouter()

    @routes.post("/api/columns", summary="The columns of a table sent as the body, with their first cells")
    async def columns(request: Request) -> Response:
        file_name = request.query_params.get("file_name", "recording")[:LONGEST_NAME]
        data = await body_of(request)
        if data is None:
            return too_large(file_name)
        seen = await run_in_threadpool(rooms.house.columns_seen, file_name, data)
        answer = {
            "schema": "volplane/columns/1",
            "columns": [
                {"title": each.title, "samples": each.samples, "channel": each.channel, "unit": each.unit}
                for each in seen
            ],
            "fragments": {"columns-rows": columns_rows(file_name, seen) if seen else ""},
        }
        return JSONResponse(answer)

    @routes.post("/api/column-maps", summary="Keep what the columns of a table mean", status_code=201)
    def keep(meant: MeantColumns) -> JSONResponse:
        column_map = _column_map(meant)
        kept = rooms.house.keep_column_map([each.title for each in meant.columns], column_map)
        return JSONResponse({"schema": "volplane/kept/1", "key": kept.file, "href": "/debriefs"}, 201)

    return routes


def columns_rows(file_name: str, seen: Sequence[SeenColumn]) -> Markup:
    """A row for each column: title, first cells, meaning and unit."""
    head = el("tr", [el("th", title, scope="col") for title in ("Title", "First lines", "Means", "Unit")])
    rows = [_row(number, each) for number, each in enumerate(seen)]
    offset = el(
        "label",
        el("span", "Times less UTC, if they are local", class_="label"),
        el("input", type="text", name="utc_offset", placeholder="such as +02:00", maxlength=6, autocomplete="off"),
        class_="select",
    )
    said = (
        f"{file_name} has titles that are not known. What is said here is kept for the next table with the same ones."
    )
    return el(
        "div",
        el("p", said, class_="sub"),
        el("div", el("table", el("thead", head), el("tbody", rows)), class_="scroll"),
        offset,
    )


def _row(number: int, seen: SeenColumn) -> Markup:
    choices = [("", "is not read"), *((each.value, wording.sentence_case(each.value)) for each in Channel)]
    options = [el("option", words, value=value, selected=value == (seen.channel or "")) for value, words in choices]
    select = el("select", options, name=f"channel-{number}", aria_label=f"What {seen.title} means")
    unit = el(
        "input",
        type="text",
        name=f"unit-{number}",
        value=seen.unit,
        placeholder="ft, kt, deg true",
        maxlength=40,
        aria_label=f"Unit of {seen.title}",
        autocomplete="off",
    )
    cells = [el("td", ", ".join(seen.samples), class_="cells"), el("td", select), el("td", unit)]
    return el("tr", el("th", seen.title, scope="row"), cells, data_title=seen.title)


def _column_map(meant: MeantColumns) -> ColumnMap:
    """The map as a value. :raises FilesRefused: it names no place or no time, or means what there is not."""
    known = {channel.value: channel for channel in Channel}
    problems = [
        _problem(each.title, each.channel, "what a column can mean", "Choose one.")
        for each in meant.columns
        if each.channel and each.channel not in known
    ]
    columns = {
        each.title: Column(each.title, known[each.channel], each.unit.strip())
        for each in meant.columns
        if each.channel in known
    }
    channels = {column.channel for column in columns.values()}
    problems += [
        _problem("", "no column", f"one of {channel}", f"Say which column is the {channel}.")
        for channel in _NEEDED
        if channel not in channels
    ]
    if channels.isdisjoint(_TIMES):
        problems.append(_problem("", "no column", "one of times", "Say which column tells the time."))
    if problems:
        raise FilesRefused(tuple(problems))
    offset_s = None if meant.utc_offset_min is None else 60.0 * meant.utc_offset_min
    return ColumnMap(tuple(columns.values()), offset_s)


def _problem(place: str, found: str, expected: str, remedy: str) -> Problem:
    return Problem("columns", place, found, expected, remedy, "column-map-incomplete")
