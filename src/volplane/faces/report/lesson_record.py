"""The record of a lesson as PDF: what was flown, what was said of it, and a place to sign."""

from __future__ import annotations

from typing import Any

from volplane.faces.documents import wording
from volplane.faces.documents.lesson_record import (
    NO_ENDORSEMENT,
    NamedLesson,
    exercise_words,
    flight_time_words,
    standard_words,
)
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report.typesetting import Paper, typeset

HEADS = ("", "UTC", "Runway", "How it ended", "Dead engine", "In hand", "Standard")


def lesson_record_pdf(named: NamedLesson, *, paper: Paper = "A4", units: Units = IMPERIAL) -> bytes:
    """The record as PDF bytes; the same record gives the same bytes."""
    return typeset("lesson.typ", record_data(named, units), paper)


def record_data(named: NamedLesson, units: Units) -> dict[str, Any]:
    """Every text of the record."""
    lesson, words = named.lesson, named.record.words
    people = " with ".join(filter(None, (named.trainee, named.instructor)))
    flown = [entries("The flight", _flight(named)), _exercises(named, units)]
    written = (
        ("Standard", words.standard),
        ("Deviations", words.deviations),
        ("Trainee’s own assessment", words.own_assessment),
        ("Instructor’s remarks", words.remarks),
    )
    said = entries("What was said", [(name, text or wording.NOT_OBSERVABLE) for name, text in written])
    return {
        "title": "Lesson record",
        "under": f"{people}. {wording.utc_date(lesson.begun_unix_s)}.",
        "parts": [*flown, said],
        "signatures": ["Trainee, date", "Instructor, date and licence number"],
        "declaration": NO_ENDORSEMENT,
        "caution": list(wording.CAUTION_LINES),
    }


def entries(title: str, rows: list[tuple[str, str]]) -> dict[str, Any]:
    """Names with their words."""
    return {"kind": "entries", "title": title, "rows": [list(row) for row in rows], "notes": []}


def _flight(named: NamedLesson) -> list[tuple[str, str]]:
    lesson, words = named.lesson, named.record.words
    return [
        ("Date", f"{wording.utc_date(lesson.begun_unix_s)}, {wording.utc_clock(lesson.begun_unix_s)} UTC"),
        ("Place", words.place or wording.NOT_OBSERVABLE),
        ("Airplane", words.airplane or wording.NOT_OBSERVABLE),
        ("Time in flight", flight_time_words(lesson.duration_s)),
        ("Rung", words.rung or wording.NOT_OBSERVABLE),
        ("Conditions", words.conditions or wording.NOT_OBSERVABLE),
    ]


def _exercises(named: NamedLesson, units: Units) -> dict[str, Any]:
    rows = [
        [
            str(number),
            wording.utc_clock(each.start_unix_s),
            f"{each.runway} {each.side}",
            wording.sentence_case(exercise_words(each, units)),
            each.verdict or wording.NOT_OBSERVABLE,
            units.height.text(each.in_hand_m),
            standard_words(each),
        ]
        for number, each in enumerate(named.record.exercises, start=1)
    ]
    notes = ["Dead engine: whether the airplane would have reached the point without power, height in hand beside it."]
    if any(each.outcome == "discontinued" for each in named.record.exercises):
        notes.append("A discontinued exercise is neither a success nor a failure.")
    heads = list(HEADS)
    return {"kind": "table", "title": "Exercises", "heads": heads, "wide": 3, "rows": rows, "notes": notes}
