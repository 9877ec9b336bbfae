"""The list of debriefs with its search, and the place to drop recordings."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from urllib.parse import urlencode

from volplane.faces.documents import wording
from volplane.faces.documents.attempt_words import outcome_words
from volplane.faces.documents.wording import Units
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el, join
from volplane.services.kept import Person
from volplane.services.listing import DebriefLine, DebriefList
from volplane.services.shelf import ShelvedExercise

ACCEPTED = ".csv,.gpx,.kml,.kmz,.igc,.nmea,.geojson,.json,.txt,.log,.gz"


@dataclass(frozen=True, slots=True)
class Wish:
    """What a dropped recording may be debriefed against, and for whom."""

    exercises: Sequence[ShelvedExercise]
    chosen: str | None
    trainees: Sequence[Person]
    instructors: Sequence[Person]
    limit_bytes: int


@dataclass(frozen=True, slots=True)
class Leaves:
    """Which leaf of a long list is looked at, counted from 1, and what was searched for."""

    text: str
    leaf: int
    lines: int

    def address(self, leaf: int) -> str:
        """The address of another leaf of the same search."""
        return f"/debriefs?{urlencode({'text': self.text, 'leaf': leaf} if self.text else {'leaf': leaf})}"


def debriefs_page(frame: Frame, found: DebriefList, leaves: Leaves, wish: Wish) -> str:
    """Upload first, then the debriefs that answer the search, flown last first."""
    said = "Recordings are kept on this machine with what they were debriefed against."
    title = el("div", el("h1", "Debriefs"), el("p", said, class_="sub"), class_="words")
    return page(
        frame,
        title="Debriefs",
        room="Debriefs",
        kind="debriefs",
        content=[
            el("div", title, class_="title-row"),
            _upload(wish),
            _search(leaves.text),
            _list(found, leaves, frame.units),
        ],
    )


def debrief_row(line: DebriefLine, units: Units) -> Markup:
    """A debrief as a row: when and who, then each exercise flown."""
    when = line.start_unix_s if line.start_unix_s is not None else line.made_unix_s
    people = " with ".join(filter(None, (line.trainee, line.instructor))) or line.file_name
    flown = [outcome_words(attempt, units) for attempt in line.attempts] or ["No exercise found."]
    return el(
        "li",
        el(
            "a",
            el("b", people),
            el("span", [el("span", f"{wording.utc_date(when)}, {wording.utc_clock(when)} UTC. "), " ".join(flown)]),
            href=f"/debriefs/{line.key}",
        ),
    )


def exercise_words(exercise: ShelvedExercise) -> str:
    """An exercise as a choice: airplane, runway, airfield."""
    return f"{exercise.airplane}, runway {exercise.runway}, {exercise.airfield}"


def _upload(wish: Wish) -> Markup:
    if not wish.exercises:
        return el(
            "section",
            el("p", "A recording is debriefed against an exercise, and there is none yet."),
            el("p", el("a", "A new exercise", href="/exercises/new", class_="button first")),
            class_="upload",
        )
    exercises = [(each.file.key, exercise_words(each)) for each in wish.exercises]
    return el(
        "section",
        el("p", "Drop recordings here, from a phone or a panel: CSV, GPX, KML, IGC, NMEA 0183 or GeoJSON."),
        el(
            "div",
            _select("upload-exercise", "Against the exercise", exercises, wish.chosen),
            _select("upload-trainee", "Trainee", _people(wish.trainees), None) if wish.trainees else None,
            _select("upload-instructor", "Instructor", _people(wish.instructors), None) if wish.instructors else None,
            class_="choose",
        ),
        el(
            "label",
            el("span", "Choose recordings", class_="button first"),
            el("input", type="file", accept=ACCEPTED, multiple=True, aria_label="Choose recordings"),
            class_="pick",
        ),
        el("p", class_="telling", id="upload-progress", role="status"),
        el("div", class_="trouble", id="upload-trouble", role="alert", hidden=True),
        el("ul", class_="told", id="upload-told"),
        _columns_dialog(),
        id="upload",
        class_="upload",
        data_limit=wish.limit_bytes,
        data_send="/api/exercises",
        aria_label="Recordings to debrief",
    )


def _people(people: Sequence[Person]) -> list[tuple[str, str]]:
    return [("", "nobody named"), *((person.key, person.name) for person in people)]


def _columns_dialog() -> Markup:
    """Where a table with unknown titles is explained; the rows come with the table."""
    return el(
        "dialog",
        el(
            "form",
            el("h2", "Which column is what?", id="columns-title"),
            el("div", id="columns-rows"),
            el("div", class_="trouble", id="columns-trouble", role="alert", hidden=True),
            el(
                "div",
                el("button", "Leave it", type="button", id="columns-close"),
                el("button", "Keep this and read it", type="submit", class_="first"),
                class_="row",
            ),
        ),
        id="columns",
        class_="wide",
        aria_labelledby="columns-title",
    )


def _select(name: str, label: str, choices: Sequence[tuple[str, str]], chosen: str | None) -> Markup:
    options = [el("option", words, value=value, selected=value == chosen) for value, words in choices]
    return el("label", el("span", label, class_="label"), el("select", options, id=name), class_="select")


def _search(text: str) -> Markup:
    return el(
        "form",
        el("label", el("span", "Find by file, exercise or person", class_="label"), _search_input(text)),
        el("button", "Find", type="submit"),
        class_="search",
        method="get",
        role="search",
    )


def _search_input(text: str) -> Markup:
    return el("input", type="search", name="text", value=text, maxlength=200, spellcheck="false")


def _list(found: DebriefList, leaves: Leaves, units: Units) -> Markup:
    if not found.count:
        said = f"Nothing answers to “{leaves.text}”." if leaves.text else "No debrief yet."
        return el("p", said, class_="prose")
    head = el("h2", wording.counted(found.count, "debrief"), class_="block-head")
    rows = el("ul", [debrief_row(line, units) for line in found.lines])
    return el("section", join([head, rows, _turning(found, leaves)]), class_="recordings")


def _turning(found: DebriefList, leaves: Leaves) -> Markup | None:
    """Where in a long list this is, and the ways to newer and older ones."""
    last = -(-found.count // leaves.lines)
    if last < 2 and leaves.leaf == 1:
        return None
    first_line = (leaves.leaf - 1) * leaves.lines + 1
    here = f"{first_line:,} to {first_line + len(found.lines) - 1:,} of {found.count:,}" if found.lines else "no more"
    newer = el("a", "Newer", href=leaves.address(min(leaves.leaf - 1, last)), rel="prev", class_="button")
    older = el("a", "Older", href=leaves.address(leaves.leaf + 1), rel="next", class_="button")
    return el(
        "nav",
        newer if leaves.leaf > 1 else None,
        el("span", here, class_="sub"),
        older if leaves.leaf < last else None,
        class_="turning",
        aria_label="More debriefs",
    )
