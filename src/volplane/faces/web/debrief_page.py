"""The debrief page: the trainee's own view first, then the lesson sheet of one exercise flown."""

from __future__ import annotations

import json
import re
from collections.abc import Sequence

from volplane.faces.documents import wording
from volplane.faces.web.debrief_desk import Desk
from volplane.faces.web.debrief_folds import budget_table, causes_table, more
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.lessons import SHOWN_FINDINGS, FindingWords, Lesson
from volplane.faces.web.markup import Child, Markup, el, join
from volplane.faces.web.series import series_of
from volplane.services.lesson_notes import OwnQuestion

# name of the field, the question, and what stands over the answer
QUESTIONS = (
    ("touched", OwnQuestion.TOUCHED, "Trainee: where did it touch?"),
    ("sure", OwnQuestion.SURE, "When were you sure?"),
    ("next", OwnQuestion.NEXT, "What next time?"),
)


def own_view_page(frame: Frame, who: str, desk: Desk) -> str:
    """Three short questions before anything is shown; all of them may be skipped. What was answered stands there."""
    questions = [
        el(
            "label",
            el("span", question),
            el("input", type="text", name=key, value=desk.own.get(question), maxlength=300, autocomplete="off"),
        )
        for key, question, _ in QUESTIONS
    ]
    form = el(
        "form",
        el("h1", "First, the trainee’s own view"),
        el("p", who, class_="sub"),
        questions,
        el("div", class_="trouble", role="alert", hidden=True),
        el(
            "div",
            el("button", "Show the debrief", type="submit", class_="first"),
            el("a", "Skip the questions", href=f"{desk.path}&own=skipped", class_="button"),
            class_="row",
        ),
        id="own-view",
        class_="ask",
        data_send=f"{desk.api}/own?exercise={desk.number + 1}",
        data_next=f"{desk.path}&own=told",
    )
    return page(frame, title="The trainee’s own view", room="Debriefs", kind="debrief", content=form)


def debrief_page(frame: Frame, lesson: Lesson, desk: Desk, others: Sequence[tuple[str, str]]) -> str:
    """The lesson sheet; `others` are name and address of every exercise of the recording."""
    left = [
        _others(others, lesson.number),
        el("p", lesson.who, class_="sub"),
        _own(desk),
        el("h1", _sentences(lesson.headline), class_="headline"),
        el("p", lesson.subline, class_="under-headline"),
        _lesson(lesson),
        more(lesson, desk),
    ]
    beside = [
        el("figure", Markup(lesson.figures.board), id="board"),
        el("figure", Markup(lesson.figures.legend), class_="legend"),
        el("p", "", class_="cursor-at", id="cursor-at", role="status"),
        el("figure", Markup(lesson.figures.ladder), class_="ladder", id="ladder"),
        el("div", causes_table(lesson), budget_table(lesson), class_="tables"),
    ]
    content = el(
        "div",
        el("div", left),
        el("aside", beside, class_="beside", aria_label="The whole exercise"),
        class_="debrief",
    )
    island = Markup(json.dumps(series_of(lesson.attempt, lesson.units), allow_nan=False).replace("<", "\\u003c"))
    return page(
        frame,
        title=lesson.headline,
        room="Debriefs",
        kind="debrief",
        content=[content, el("script", island, type="application/json", id="flight")],
    )


def nothing_found_page(frame: Frame, sentence: str, who: str) -> str:
    """A recording without any exercise in it."""
    content = [
        el("div", el("div", el("h1", "No exercise in this recording"), class_="words"), class_="title-row"),
        el("div", el("p", who, class_="sub"), el("p", sentence), class_="prose"),
        el("p", el("a", "Choose another recording", href="/debriefs", class_="button first"), class_="prose"),
    ]
    return page(frame, title="No exercise found", room="Debriefs", kind="debrief", content=content)


def _sentences(text: str) -> Markup:
    """Sentences that each keep together on a line where they fit."""
    parts = re.split(r"(?<=\.) (?=[A-Z])", text)
    return Markup(" ".join(el("span", part) for part in parts))


def _others(others: Sequence[tuple[str, str]], number: int) -> Markup | None:
    if len(others) < 2:
        return None
    links = [
        el("a", name, href=address, aria_current="page" if index == number else None)
        for index, (name, address) in enumerate(others)
    ]
    return el("nav", links, class_="others", aria_label="Exercises in this recording")


def _own(desk: Desk) -> Markup:
    if not desk.own:
        return el("p", el("a", "The trainee’s own view", href=f"{desk.path}&own=ask"), class_="own-later")
    cells = [
        el("div", el("dt", short), el("dd", f"“{desk.own[key]}”" if key in desk.own else wording.NOT_OBSERVABLE))
        for _, key, short in QUESTIONS
    ]
    change = el("p", el("a", "Change the answers", href=f"{desk.path}&own=ask"), class_="own-later")
    return join([el("dl", cells, class_="own"), change])


def _lesson(lesson: Lesson) -> Markup:
    items = [_finding(number, words) for number, words in enumerate(lesson.findings[:SHOWN_FINDINGS], start=1)]
    return el("ol", items, class_="lesson") if items else el("p", "Nothing stands out.", class_="under-headline")


def _finding(number: int, words: FindingWords) -> Markup:
    second = None if words.finding.time_s is None else f"{words.finding.time_s:.1f}"
    title: Child = words.title
    if second is not None:
        title = el("button", words.title, type="button", class_="to-second", data_second=second)
    text = el(
        "div",
        el("span", str(number), class_="mark", aria_hidden="true"),
        el("h2", title),
        el("p", words.text),
        el("p", f"Next time: {words.next_time}", class_="next") if words.next_time else None,
        class_="words",
    )
    if words.figures.cutout is None or words.figures.chart is None:
        return el("li", text, class_="bare")
    return el(
        "li",
        text,
        el("figure", Markup(words.figures.cutout), class_="cut", data_second=second),
        el("figure", Markup(words.figures.chart)),
    )
