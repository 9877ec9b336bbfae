"""The sheet every page is written on: head, the rooms that exist, the caution at the foot."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from volplane.faces.documents.wording import CAUTION_LINES, Units
from volplane.faces.web.assets import Assets
from volplane.faces.web.markup import Child, Markup, el, join

ThemeChoice = Literal["light", "dusk"] | None
ROOMS = (
    ("Today", "/"),
    ("Airplanes", "/airplanes"),
    ("Airfields", "/airfields"),
    ("Exercises", "/exercises"),
    ("Debriefs", "/debriefs"),
    ("People", "/people"),
    ("Manual", "/manual"),
)


@dataclass(frozen=True, slots=True)
class Frame:
    """What a page needs to know of the request: files to load, the theme and the units chosen."""

    assets: Assets
    theme: ThemeChoice
    units: Units


def page(frame: Frame, *, title: str, room: str, kind: str, content: Child) -> str:
    """A whole page; `room` is the name of the room it belongs to, `kind` a class for its layout."""
    head = el(
        "head",
        el("meta", charset="utf-8"),
        el("title", f"{title}, Volplane"),
        el("meta", name="viewport", content="width=device-width, initial-scale=1"),
        el("link", rel="icon", href="/favicon.svg", type="image/svg+xml"),
        el("link", rel="apple-touch-icon", href="/icon-180.png"),
        el("link", rel="manifest", href="/manifest.webmanifest"),
        [
            el("link", rel="preload", href=font, as_="font", type="font/woff2", crossorigin=True)
            for font in frame.assets.preload_fonts
        ],
        [el("link", rel="stylesheet", href=style) for style in frame.assets.styles],
        el("script", type="module", src=frame.assets.script),
    )
    body = el(
        "body",
        el("a", "To the page", class_="skip", href="#main"),
        _header(frame, room),
        el("main", content, id="main"),
        el("footer", el("p", CAUTION_LINES[0]), el("p", CAUTION_LINES[1]), class_="caution"),
        class_=f"page-{kind}",
    )
    return "<!doctype html>\n" + el(
        "html", head, body, lang="en", data_theme=frame.theme, data_units=frame.units.system
    )


def with_query(path: str, query: str, joiner: str = "?") -> str:
    """An address that keeps the exercise's changes."""
    return f"{path}{joiner}{query}" if query else path


def _header(frame: Frame, room: str) -> Markup:
    links = [el("a", name, href=path, aria_current="page" if name == room else None) for name, path in ROOMS]
    other = "Metric" if frame.units.system == "imperial" else "Imperial"
    return el(
        "header",
        el("a", "Volplane", class_="brand", href="/"),
        el("nav", join(links), class_="rooms", aria_label="Rooms"),
        el(
            "div",
            el("button", other, id="units", type="button", class_="plain", hidden=True),
            el("button", "Dusk", id="theme", type="button", class_="plain", hidden=True),
            class_="end",
        ),
        class_="top",
    )
