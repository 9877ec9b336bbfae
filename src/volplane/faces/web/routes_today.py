"""The first page."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from volplane.faces.web.rooms import Rooms
from volplane.faces.web.today_page import SHOWN, today_page
from volplane.services.listing import DebriefSearch


def today_routes(rooms: Rooms) -> APIRouter:
    """The route of the first page."""
    routes = APIRouter()

    @routes.get("/", response_class=HTMLResponse, include_in_schema=False)
    def today(request: Request) -> HTMLResponse:
        house = rooms.house
        debriefs = house.lists.debriefs(DebriefSearch(most=SHOWN))
        return HTMLResponse(today_page(rooms.frame(request), house.shelf.exercises(), debriefs, ()))

    return routes
