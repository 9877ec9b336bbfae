"""A lesson record: the form that comes filled from the debriefs of a day, and the record as kept."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from volplane.faces.documents import wording
from volplane.faces.documents.lesson_record import (
    NO_ENDORSEMENT,
    NamedLesson,
    exercise_words,
    flight_time_words,
    standard_words,
)
from volplane.faces.documents.wording import Units
from volplane.faces.web.airplane_page import table
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Child, Markup, el
from volplane.faces.web.people_page import ROOM, area, el_input, field, told
from volplane.services.lesson_records import LessonWords, RecordedExercise
from volplane.services.rungs import Rung

LINES = (("place", "Place"), ("airplane", "Airplane"), ("conditions", "Conditions"), ("standard", "Standard"))
TEXTS = (
    ("deviations", "Deviations"),
    ("own_assessment", "Trainee’s own assessment"),
    ("remarks", "Instructor’s remarks, read by the trainee"),
)
LONGEST_LINE, LONGEST_TEXT = 200, 4000


@dataclass(frozen=True, slots=True)
class RecordForm:
    """What the form holds; `minutes` is time in flight as typed, `seen` the version read, None of a new record."""

    title: str
    words: LessonWords
    minutes: str
    exercises: Sequence[RecordedExercise]
    back: str
    seen: int | None = None
    trouble: str = ""


def words_of(typed: Mapping[str, str]) -> LessonWords:
    """The words of a form that was sent, cut to what a record holds."""
    lines = {key: typed.get(key, "").strip()[:LONGEST_LINE] for key, _ in LINES}
    texts = {key: typed.get(key, "").replace("\r\n", "\n").strip()[:LONGEST_TEXT] for key, _ in TEXTS}
    return LessonWords(**lines, **texts, rung=typed.get("rung", "")[:LONGEST_LINE])


def record_form_page(frame: Frame, form: RecordForm) -> str:
    """The form: everything is filled that can be known; what is left are the trainee's and the instructor's words."""
    words = el("div", el("h1", form.title), el("p", NO_ENDORSEMENT, class_="sub"), class_="words")
    lines = [field(key, label, el_input(key, getattr(form.words, key), most=LONGEST_LINE)) for key, label in LINES]
    minutes = field("minutes", "Time in flight, minutes", el_input("minutes", form.minutes, most=4))
    seen = None if form.seen is None else el("input", type="hidden", name="seen", value=form.seen)
    sections = [
        el("section", el("h2", "The flight"), el("div", [*lines, minutes, _rung(form.words.rung)], class_="rows")),
        el("section", el("h2", "Exercises"), _exercises(form.exercises, frame.units)),
        el("section", el("h2", "What was said"), [_text(key, label, form.words) for key, label in TEXTS]),
    ]
    back = el("a", "Back", href=form.back, class_="button")
    keep = el("div", el("button", "Keep the record", type="submit", class_="first"), back, class_="row")
    sent = el("form", sections, seen, keep, method="post", class_="form", id="record")
    content = [el("div", words, class_="title-row"), told(form.trouble), sent]
    return page(frame, title=form.title, room=ROOM, kind="lesson", content=content)


def record_page(frame: Frame, named: NamedLesson) -> str:
    """The record as kept, with its ways onto paper."""
    lesson, words = named.lesson, named.record.words
    people = " with ".join(filter(None, (named.trainee, named.instructor)))
    title = f"Lesson of {wording.utc_date(lesson.begun_unix_s)}"
    head = el("div", el("h1", title), el("p", people, class_="sub"), class_="words")
    ways = [
        el("a", "The record as PDF", href=f"/lessons/{lesson.key}/record.pdf", class_="button first"),
        el("a", "As CSV", href=f"/lessons/{lesson.key}/record.csv", class_="button"),
        el("a", "Change", href=f"/lessons/{lesson.key}/change", class_="button"),
    ]
    facts = [
        *((label, getattr(words, key)) for key, label in LINES),
        ("Time in flight", flight_time_words(lesson.duration_s)),
        ("Rung", words.rung),
        *((label, getattr(words, key)) for key, label in TEXTS),
    ]
    content = [
        el("div", head, el("div", el("div", ways, class_="row"), class_="actions"), class_="title-row"),
        el("section", el("h2", "Exercises", class_="block-head"), _exercises(named.record.exercises, frame.units)),
        el("section", el("h2", "The lesson", class_="block-head"), _facts(facts)),
        el("p", NO_ENDORSEMENT, class_="sub prose"),
        el("p", el("a", f"To {named.trainee}", href=f"/people/{lesson.trainee}"), class_="more-way"),
    ]
    return page(frame, title=f"{title}, {named.trainee}", room=ROOM, kind="lesson", content=content)


def _facts(facts: Sequence[tuple[str, str]]) -> Markup:
    rows = [
        el("tr", el("th", label, scope="row"), el("td", _lines(text) if text else wording.NOT_OBSERVABLE))
        for label, text in facts
    ]
    return el("table", el("tbody", rows), class_="facts")


def _lines(text: str) -> list[Child]:
    parts: list[Child] = []
    for number, line in enumerate(text.split("\n")):
        parts += [el("br"), line] if number else [line]
    return parts


def _text(key: str, label: str, words: LessonWords) -> Markup:
    return field(key, label, area(key, getattr(words, key), rows=3, most=LONGEST_TEXT))


def _rung(chosen: str) -> Markup:
    choices = ["", *(rung.value for rung in Rung)]
    options = [el("option", each or "not said", value=each, selected=each == chosen) for each in choices]
    return field("rung", "Rung of the ladder", el("select", options, id="rung", name="rung"))


def _exercises(exercises: Sequence[RecordedExercise], units: Units) -> Markup:
    rows = [
        (
            str(number),
            f"{wording.utc_clock(each.start_unix_s)} UTC",
            f"{each.runway} {each.side}",
            wording.sentence_case(exercise_words(each, units)),
            each.verdict or wording.NOT_OBSERVABLE,
            standard_words(each),
        )
        for number, each in enumerate(exercises, start=1)
    ]
    return table(("", "when", "runway", "how it ended", "dead engine", "standard"), rows, words=6)
