"""The manual: its list of pages at the side, the page that is read beside it."""

from __future__ import annotations

from fastapi import APIRouter, Request
from fastapi.responses import HTMLResponse, Response
from starlette.exceptions import HTTPException

from volplane.faces.web import manual
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el
from volplane.faces.web.rooms import Rooms


def manual_routes(rooms: Rooms) -> APIRouter:
    """The routes of the manual."""
    routes = APIRouter()

    @routes.get("/manual", response_class=HTMLResponse, include_in_schema=False)
    def first(request: Request) -> HTMLResponse:
        return HTMLResponse(_manual_page(rooms.frame(request), manual.FIRST))

    @routes.get("/manual/{name}", response_class=HTMLResponse, include_in_schema=False)
    def one(request: Request, name: str) -> HTMLResponse:
        return HTMLResponse(_manual_page(rooms.frame(request), name))

    @routes.get("/manual/pictures/{name}", include_in_schema=False)
    def picture(name: str) -> Response:
        found = manual.picture(name)
        if found is None:
            raise HTTPException(404)
        return Response(found, media_type="image/png")

    return routes


def _manual_page(frame: Frame, name: str) -> str:
    text = manual.rendered(name)
    if text is None:
        raise HTTPException(404)
    title = next(page.title for page in manual.all_pages() if page.name == name)
    content = [_contents(name), el("article", text, class_="reading")]
    return page(frame, title=title, room="Manual", kind="manual", content=content)


def _contents(name: str) -> Markup:
    groups = [
        el("section", el("h2", chapter.title), el("ul", [_line(each, name) for each in chapter.pages]))
        for chapter in manual.chapters()
    ]
    return el("nav", groups, class_="contents", aria_label="Pages of the manual")


def _line(each: manual.ManualPage, name: str) -> Markup:
    current = "page" if each.name == name else None
    return el("li", el("a", each.title, href=f"/manual/{each.name}", aria_current=current))
