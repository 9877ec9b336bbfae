"""A person's page: what their exercises say together, their records, what is private, and going away."""

from __future__ import annotations

import functools
from collections.abc import Sequence
from dataclasses import dataclass

from volplane.faces.documents import progress_words, wording
from volplane.faces.documents.attempt_words import ending_words
from volplane.faces.documents.wording import Units
from volplane.faces.report.progress_charts import KEY_WORDS, over_time
from volplane.faces.report.touchdown_drawing import touchdown_drawing
from volplane.faces.web.airplane_page import table
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Child, Markup, el
from volplane.faces.web.people_page import BACKUPS, ROOM, area, el_input, field, told
from volplane.services.kept import Lesson, Person, Role
from volplane.services.lesson_records import LessonDay, LessonRecord
from volplane.services.progress import FlownExercise, GateProgress, Progress
from volplane.services.robust import Middle
from volplane.services.shelf import ShelvedExercise

LONGEST_NOTES = 4000
# the exercises changed last are those that are taught now
MOST_PLANS = 3


@dataclass(frozen=True, slots=True)
class PersonSheet:
    """What the page is about; `reminders` are sentences about what was not flown for long."""

    person: Person
    progress: Progress
    days: Sequence[LessonDay]
    lessons: Sequence[Lesson]
    reminders: Sequence[str]
    exercises: Sequence[ShelvedExercise]
    units: Units


def person_page(frame: Frame, sheet: PersonSheet, trouble: str = "", typed_notes: str | None = None) -> str:
    """The whole page."""
    person, progress = sheet.person, sheet.progress
    initials = f" ({person.initials})" if person.initials else ""
    words = el("div", el("h1", person.name), el("p", f"{person.role.value}{initials}", class_="sub"), class_="words")
    path = _path(sheet) if person.role is Role.TRAINEE or progress.exercises else []
    content = [
        el("div", words, class_="title-row"),
        told(trouble),
        *path,
        _notes(person, typed_notes),
        _away(person),
    ]
    return page(frame, title=person.name, room=ROOM, kind="person", content=content)


def forget_page(frame: Frame, person: Person, goes: str, trouble: str = "") -> str:
    """What goes with somebody, before it goes; the name is typed to say that it is meant."""
    words = el("div", el("h1", f"Forget {person.name}"), class_="words")
    said = [
        el("p", f"What goes, for good: {goes}."),
        el("p", "Files that others use stay, and so does the glide that was learned from many flights."),
        el("p", BACKUPS),
    ]
    form = el(
        "form",
        el("section", el("div", field("name", f"Type the name, {person.name}", el_input("name", "")), class_="rows")),
        el(
            "div",
            el("button", "Forget for good", type="submit"),
            el("a", "Back", href=f"/people/{person.key}", class_="button"),
            class_="row",
        ),
        method="post",
        class_="form",
    )
    content = [el("div", words, class_="title-row"), told(trouble), el("div", said, class_="prose"), form]
    return page(frame, title=f"Forget {person.name}", room=ROOM, kind="person", content=content)


def _path(sheet: PersonSheet) -> list[Child]:
    progress, units = sheet.progress, sheet.units
    if not progress.exercises:
        nothing = "No exercise yet. A recording becomes this trainee’s when it is dropped under their name."
        way = el("p", el("a", "Drop a recording", href="/debriefs", class_="button first"), class_="prose")
        return [_records(sheet), el("p", nothing, class_="prose"), way]
    return [
        _records(sheet),
        _summary(sheet),
        _touchdowns(sheet),
        _gates(progress, units),
        _heights(progress, units),
        _standards(progress),
        _exercises(progress, units),
    ]


def _records(sheet: PersonSheet) -> Markup | None:
    """Days that wait for a record first: that is what is to be done."""
    key = sheet.person.key
    waiting = [
        el("a", _waiting_words(day), href=f"/people/{key}/lessons/{day.number}", class_="button first")
        for day in sheet.days
    ]
    kept = [el("li", el("a", _kept_words(each), href=f"/lessons/{each.key}")) for each in sheet.lessons]
    reminders = [el("p", each, class_="sub") for each in sheet.reminders]
    plans = [
        el("a", _plan_words(each), href=f"/exercises/{each.file.key}/lesson?trainee={key}", class_="button")
        for each in sheet.exercises[:MOST_PLANS]
    ]
    if not (waiting or kept or reminders or plans):
        return None
    listed = el("ul", kept, class_="news") if kept else None
    return _section(
        "records",
        "Lessons",
        [*reminders, el("div", waiting, class_="choose") if waiting else None, listed, _plans(plans)],
    )


def _plans(plans: Sequence[Markup]) -> Markup | None:
    if not plans:
        return None
    return el(
        "div", el("p", "The next lesson, planned on an exercise:", class_="sub"), el("div", plans, class_="choose")
    )


def _plan_words(exercise: ShelvedExercise) -> str:
    return f"{exercise.airplane}, runway {exercise.runway}, {exercise.airfield}"


def _waiting_words(day: LessonDay) -> str:
    count = wording.counted(len(day.exercises), "exercise")
    return f"Make the record of {wording.utc_date(day.begun_unix_s)}, {count}"


def _kept_words(lesson: Lesson) -> str:
    record = LessonRecord.of_text(lesson.document)
    count = wording.counted(len(record.exercises), "exercise")
    return f"{wording.utc_date(lesson.begun_unix_s)}, {count}{f', {record.words.rung}' if record.words.rung else ''}"


def _section(name: str, heading: str, inside: Child) -> Markup:
    return el(
        "section",
        el("h2", heading, id=f"{name}-heading"),
        el("div", inside, class_="wide"),
        class_="known",
        id=name,
        aria_labelledby=f"{name}-heading",
    )


def _summary(sheet: PersonSheet) -> Markup:
    progress, units = sheet.progress, sheet.units
    said: list[Child] = [el("p", " ".join(progress_words.outcome_sentences(progress.outcomes, units)))]
    if progress.is_too_few:
        said.append(el("p", progress_words.too_few_sentence(progress), class_="sub"))
        return _section("path", "The path so far", said)
    topics = [
        el("li", el("b", f"{progress_words.topic_title(each)}."), " ", progress_words.topic_sentence(each, units))
        for each in progress.topics
    ]
    better = [el("li", progress_words.improvement_sentence(each, units)) for each in progress.improved]
    said += [
        el("h3", "To train next", class_="block-head"),
        el("ul", topics, class_="topics") if topics else el("p", progress_words.NOTHING_STANDS_OUT),
        el("h3", "What got better", class_="block-head"),
        el("ul", better) if better else el("p", progress_words.NOTHING_BETTER_YET),
    ]
    return _section("path", "The path so far", said)


def _touchdowns(sheet: PersonSheet) -> Markup:
    progress, units = sheet.progress, sheet.units
    rows = [
        (
            wording.sentence_case(progress_words.band_words(each.band, units)),
            wording.figure(each.exercises),
            wording.figure(each.touchdowns),
            "too few" if each.middle is None else units.length.text(each.middle.median),
        )
        for each in progress.bands
    ]
    heads = ("Wind", "exercises", "landings", "median")
    drawing = el("figure", Markup(touchdown_drawing(progress, units=units)), id="touchdown-drawing")
    note = el("p", "Wind: mean over the heights it was found at.", class_="sub")
    return _beside("touchdowns", "Touchdowns", drawing, [table(heads, rows), note])


def _beside(name: str, heading: str, drawing: Child, beside: Child) -> Markup:
    return el(
        "section",
        el("h2", heading, id=f"{name}-heading"),
        el("div", drawing, class_="drawing"),
        el("div", beside, class_="figures"),
        class_="known",
        id=name,
        aria_labelledby=f"{name}-heading",
    )


def _gates(progress: Progress, units: Units) -> Markup | None:
    if not progress.gates:
        return None
    heads = ("Gate", "exercises", "median", "90 % between", "in the window")
    rows = [_gate_row(each, units) for each in progress.gates]
    drawings = [
        el(
            "figure",
            Markup(
                over_time(
                    f"gate-{each.gate.value.replace(' ', '-')}",
                    f"{wording.sentence_case(each.gate)}, height over planned",
                    progress.exercises,
                    functools.partial(FlownExercise.gate_error_m, gate=each.gate),
                    units=units,
                )
            ),
        )
        for each in progress.gates
    ]
    note = el("p", f"Heights over the planned ones. In the drawings: {KEY_WORDS}.", class_="sub")
    return _beside("gates", "Gates against plan", drawings, [table(heads, rows), note])


def _gate_row(gate: GateProgress, units: Units) -> tuple[str, ...]:
    middle, height = gate.middle, units.height
    inside = f"{gate.inside} of {gate.with_window}" if gate.with_window else wording.NOT_OBSERVABLE
    name = wording.sentence_case(gate.gate)
    if middle is None:
        return name, wording.figure(gate.count), "too few", wording.NOT_OBSERVABLE, inside
    return name, wording.figure(gate.count), height.signed(middle.median), _between(middle, units), inside


def _between(middle: Middle, units: Units) -> str:
    low, high = units.height.value(middle.median_low), units.height.value(middle.median_high)
    return f"{wording.signed(low)} and {wording.signed(high)}"


def _heights(progress: Progress, units: Units) -> Markup:
    charts = [
        over_time(
            "in-hand",
            "Height in hand at the verdict",
            progress.exercises,
            lambda each: each.attempt.in_hand_m,
            units=units,
        ),
        over_time(
            "room-above",
            "Room above, the least",
            progress.exercises,
            lambda each: each.attempt.least_room_above_m,
            units=units,
        ),
    ]
    said = [
        "Height in hand below nought: a dead engine would not have made it from there.",
        "Room above below nought: higher than could still be lost.",
        f"In the drawings: {KEY_WORDS}.",
    ]
    figures = [el("figure", Markup(each)) for each in charts]
    return _beside("heights", "Height in hand and room above", figures, [el("p", each, class_="sub") for each in said])


def _standards(progress: Progress) -> Markup | None:
    if not progress.items:
        return None
    rows = [
        (wording.sentence_case(each.item), each.source, f"{each.met} of {each.observed}") for each in progress.items
    ]
    note = el("p", "Counted where it could be observed; an item says nothing of the others.", class_="sub")
    return _section("standards", "Standard items met", [table(("Item", "source", "met"), rows, words=2), note])


def _exercises(progress: Progress, units: Units) -> Markup:
    rows = [el("li", _exercise(each, units)) for each in reversed(progress.exercises)]
    return el(
        "section",
        el("h2", "Every exercise, the last first", class_="block-head"),
        el("ul", rows),
        class_="recordings",
        id="exercises",
    )


def _exercise(flown: FlownExercise, units: Units) -> Markup:
    attempt = flown.attempt
    when = f"{wording.utc_date(attempt.start_unix_s)}, {wording.utc_clock(attempt.start_unix_s)} UTC"
    ending = wording.sentence_case(ending_words(attempt, units))
    dead = f" A dead engine: {attempt.verdict}." if attempt.verdict else ""
    said = f"Runway {attempt.runway}, {attempt.side}. {ending}.{dead}"
    return el("a", el("b", when), el("span", said), href=f"/debriefs/{flown.debrief}?exercise={attempt.number}")


def _notes(person: Person, typed: str | None) -> Markup:
    note = "For the instructor alone: they stand in no report, no record and no export for the trainee."
    return el(
        "form",
        el(
            "section",
            el("h2", "Instructor’s own notes"),
            field("notes", "Notes", area("notes", person.notes if typed is None else typed, rows=4), note),
            el("input", type="hidden", name="seen", value=person.version),
        ),
        el("div", el("button", "Keep the notes", type="submit"), class_="row"),
        method="post",
        action=f"/people/{person.key}/notes",
        class_="form",
    )


def _away(person: Person) -> Markup:
    export = el("a", "Everything of theirs as open files", href=f"/people/{person.key}/export", class_="button")
    forget = el("a", "Forget this person", href=f"/people/{person.key}/forget", class_="button")
    said = "The files hold lessons, debriefs, notes that are not private, and recordings as they were sent."
    inside = [el("p", said, class_="sub"), el("div", export, forget, class_="choose")]
    return el("section", el("h2", "Taking away and forgetting", class_="block-head"), inside)
