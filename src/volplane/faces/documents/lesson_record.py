"""The record of a lesson in words: what its form is filled with, its lines, its rows as CSV."""

from __future__ import annotations

import csv
import io
from collections.abc import Sequence
from dataclasses import dataclass

from volplane.domain.debrief.results import Outcome
from volplane.faces.documents import wording
from volplane.faces.documents.progress_words import past_words
from volplane.faces.documents.quantities import ft, kt, utc
from volplane.faces.documents.wording import Units
from volplane.services.kept import Lesson
from volplane.services.lesson_records import LessonDay, LessonRecord, LessonWords, RecordedExercise

NO_ENDORSEMENT = (
    "This is a record of training, not an endorsement, a certificate or a statement of competence. "
    "What the rules require is entered by a licensed instructor in the logbook."
)
CSV_TITLES = (
    *("date_utc", "trainee", "instructor", "airplane", "place", "flight_time_min", "rung", "exercise", "start_utc"),
    *("runway", "pattern", "outcome", "timely", "touchdown_x_ft", "go_around_height_ft", "dead_engine", "in_hand_ft"),
    *("headwind_kt", "crosswind_kt", "standard", "not_met", "gates_outside", "conditions", "deviations"),
    *("own_assessment", "remarks"),
)
# a cell a table program would take for a formula is told to be text
_FORMULA = ("=", "+", "-", "@", "\t", "\r")


@dataclass(frozen=True, slots=True)
class NamedLesson:
    """A lesson with its record and the names that belong to it; "" is nobody."""

    lesson: Lesson
    record: LessonRecord
    trainee: str
    instructor: str


def first_words(day: LessonDay, place: str, airplane: str, units: Units) -> LessonWords:
    """What the form of a day is filled with before anybody writes."""
    exercises = [RecordedExercise.of(each) for each in day.exercises]
    return LessonWords(
        place=place,
        airplane=airplane,
        rung="" if day.rung is None else day.rung.value,
        conditions=conditions_words(exercises, units),
        standard=wording.listed(day.standards),
        deviations=deviations_words(exercises),
        own_assessment="\n".join(day.own_words),
    )


def conditions_words(exercises: Sequence[RecordedExercise], units: Units) -> str:
    """The runways and the wind that was found, from the least to the most."""
    runways = sorted({f"{each.runway} {each.side}" for each in exercises})
    said = [f"Runway {wording.listed(runways)}"] if runways else []
    heads = [each.headwind_mps for each in exercises if each.headwind_mps is not None]
    crosses = [abs(each.crosswind_mps) for each in exercises if each.crosswind_mps is not None]
    if heads:
        said.append(f"headwind {_span(heads, units)}")
    if crosses:
        said.append(f"crosswind {_span(crosses, units)}")
    return ", ".join(said) + "." if said else ""


def _span(speeds_mps: Sequence[float], units: Units) -> str:
    low, high = units.speed.figure(min(speeds_mps)), units.speed.text(max(speeds_mps))
    return high if high.startswith(low + wording.NO_BREAK_SPACE) else f"{low} to {high}"


def deviations_words(exercises: Sequence[RecordedExercise]) -> str:
    """What lay outside a window or did not meet the standard, a line an exercise; nothing of a discontinued one."""
    lines = []
    for number, each in enumerate(exercises, start=1):
        if each.outcome == Outcome.DISCONTINUED:
            continue
        parts = [f"outside the window at the {wording.listed(each.gates_outside)}"] if each.gates_outside else []
        parts += [f"not met: {wording.listed(each.unmet)}"] if each.unmet else []
        if parts:
            lines.append(f"Exercise {number}: {'; '.join(parts)}.")
    return "\n".join(lines)


def exercise_words(exercise: RecordedExercise, units: Units) -> str:
    """How an exercise ended."""
    if exercise.touchdown_x_m is not None:
        return f"touched {past_words(exercise.touchdown_x_m, units)} the point"
    if exercise.outcome == Outcome.WENT_AROUND and exercise.go_around_height_m is not None:
        timely = {True: ", in time", False: ", late", None: ""}[exercise.is_timely]
        return f"went around at {units.height.text(exercise.go_around_height_m)}{timely}"
    return exercise.outcome


def standard_words(exercise: RecordedExercise) -> str:
    """How many items of the standard were met."""
    if not exercise.items_observed:
        return wording.NOT_OBSERVABLE
    return f"{exercise.items_observed - len(exercise.unmet)} of {exercise.items_observed} met"


def flight_time_words(duration_s: float | None) -> str:
    """Time in flight as a logbook has it: 1 h 12 min."""
    if duration_s is None:
        return wording.NOT_OBSERVABLE
    hours, minutes = divmod(round(duration_s / 60.0), 60)
    return f"{hours}{wording.NO_BREAK_SPACE}h {minutes:02d}{wording.NO_BREAK_SPACE}min"


def record_csv(named: NamedLesson) -> str:
    """The record as a table, a row an exercise; a lesson without one is one row."""
    out = io.StringIO()
    rows = csv.writer(out, lineterminator="\r\n")
    rows.writerow(CSV_TITLES)
    words, lesson = named.record.words, named.lesson
    minutes = "" if lesson.duration_s is None else f"{lesson.duration_s / 60.0:.0f}"
    head = [utc(lesson.begun_unix_s), named.trainee, named.instructor, words.airplane, words.place, minutes, words.rung]
    foot = [words.conditions, words.deviations, words.own_assessment, words.remarks]
    for number, each in enumerate(named.record.exercises, start=1):
        rows.writerow([*map(_safe, head), number, *_figures(each, words.standard), *map(_safe, foot)])
    if not named.record.exercises:
        rows.writerow([*map(_safe, head), *[""] * (len(CSV_TITLES) - len(head) - len(foot)), *map(_safe, foot)])
    return out.getvalue()


def _figures(each: RecordedExercise, standard: str) -> list[object]:
    timely = {True: "true", False: "false", None: ""}[each.is_timely]
    figures = [ft(each.touchdown_x_m), ft(each.go_around_height_m), each.verdict, ft(each.in_hand_m)]
    winds = [kt(each.headwind_mps), kt(each.crosswind_mps)]
    cells = [utc(each.start_unix_s), _safe(each.runway), each.side, each.outcome, timely, *figures, *winds]
    return [*cells, _safe(standard), "; ".join(each.unmet), "; ".join(each.gates_outside)]


def _safe(cell: object) -> str:
    text = "" if cell is None else str(cell)
    return f"'{text}" if text.startswith(_FORMULA) else text
