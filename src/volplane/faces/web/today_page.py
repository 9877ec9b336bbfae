"""Today: the exercises at hand, the newest debriefs, and what is new about the airplanes."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.faces.web.debriefs_page import debrief_row
from volplane.faces.web.exercises_page import exercise_list
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el
from volplane.services.listing import DebriefList
from volplane.services.shelf import ShelvedExercise

SHOWN = 5


@dataclass(frozen=True, slots=True)
class News:
    """A sentence about an airplane or a person, and where it leads."""

    sentence: str
    href: str


def today_page(frame: Frame, exercises: Sequence[ShelvedExercise], debriefs: DebriefList, news: Sequence[News]) -> str:
    """The first page; on an empty shelf it is one sentence and one button."""
    if not exercises and not debriefs.lines:
        return _empty(frame)
    recent = [debrief_row(line, frame.units) for line in debriefs.lines[:SHOWN]]
    content = [
        el("div", el("div", el("h1", "Today"), class_="words"), class_="title-row"),
        _block("Exercises", exercise_list(exercises[:SHOWN]), "/exercises", "All exercises"),
        _block(
            "Flown last",
            el("section", el("ul", recent), class_="recordings")
            if recent
            else el("p", "No debrief yet: drop a recording.", class_="prose"),
            "/debriefs",
            "All debriefs, and a place to drop recordings",
        ),
        _news(news),
    ]
    return page(frame, title="Today", room="Today", kind="today", content=content)


def _block(title: str, inside: Markup, href: str, more: str) -> Markup:
    return el(
        "section", el("h2", title, class_="block-head"), inside, el("p", el("a", more, href=href), class_="more-way")
    )


def _news(news: Sequence[News]) -> Markup | None:
    if not news:
        return None
    lines = [el("li", el("a", each.sentence, href=each.href)) for each in news]
    return el("section", el("h2", "News of airplanes and people", class_="block-head"), el("ul", lines, class_="news"))


def _empty(frame: Frame) -> str:
    words = el("div", el("h1", "The first card"), class_="words")
    said = (
        "Name, maximum weight, best glide speed and ratio, two stall speeds and a runway: that is enough for a first "
        "plan and its card. Everything else has a default that is marked as an estimate."
    )
    way = el("p", el("a", "Begin", href="/exercises/new", class_="button first"), class_="prose")
    demo = el("p", "On invented data everything is shown by the command volplane demo.", class_="sub prose")
    content = [el("div", words, class_="title-row"), el("p", said, class_="prose"), way, demo]
    return page(frame, title="The first card", room="Today", kind="today", content=content)
