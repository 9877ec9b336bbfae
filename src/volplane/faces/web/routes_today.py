"""The first page."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse

from volplane.faces.documents.currency_words import reminder_sentence
from volplane.faces.web.rooms import Rooms
from volplane.faces.web.today_page import SHOWN, News, today_page
from volplane.services.currency import all_reminders
from volplane.services.listing import DebriefSearch


def today_routes(rooms: Rooms) -> APIRouter:
    """The route of the first page."""
    routes = APIRouter()

    @routes.get("/", response_class=HTMLResponse, include_in_schema=False)
    def today(request: Request) -> HTMLResponse:
        house = rooms.house
        debriefs = house.lists.debriefs(DebriefSearch(most=SHOWN))
        with house.shelf.store.snapshot() as reader:
            reminders = all_reminders(reader, house.lists.flown(), house.now_unix_s())
        news = [News(reminder_sentence(each), f"/people/{each.person}") for each in reminders]
        return HTMLResponse(today_page(rooms.frame(request), house.shelf.exercises(), debriefs, news))

    return routes
