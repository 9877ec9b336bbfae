"""What is done at a debrief besides reading it: notes, what if, whose lesson it is, taking it away."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass

from volplane.domain.debrief.results import Attempt
from volplane.faces.documents import wording
from volplane.faces.report.flown_board import zero_time_s
from volplane.faces.web.markup import Markup, el, join
from volplane.services import what_if_wishes
from volplane.services.kept import KeptDebrief, Lesson, Note, Person
from volplane.services.lesson_notes import OwnQuestion

LONGEST_NOTE = 2000
PRIVATE, FOR_TRAINEE = "private", "for the trainee"


@dataclass(frozen=True, slots=True)
class Desk:
    """What is kept about a debrief and what can be chosen for it; the exercise flown counts from nought."""

    kept: KeptDebrief
    number: int
    own: Mapping[OwnQuestion, str]
    notes: Sequence[Note]
    trainees: Sequence[Person]
    instructors: Sequence[Person]
    lessons: Sequence[Lesson]
    file_name: str
    is_older_code: bool
    is_only_debrief: bool
    has_others: bool

    @property
    def api(self) -> str:
        """The beginning of the addresses behind the page."""
        return f"/api/debriefs/{self.kept.key}"

    @property
    def path(self) -> str:
        """The address of the page of this exercise."""
        return f"/debriefs/{self.kept.key}?exercise={self.number + 1}"


def notes_list(notes: Sequence[Note], attempt: Attempt) -> Markup:
    """The notes, each with its second as a button that goes there, its words, and who may read it."""
    if not notes:
        return el("p", "No note yet.", class_="sub")
    return el("ul", [_note(note, attempt) for note in notes], class_="notes")


def notes_fold(desk: Desk, attempt: Attempt) -> Markup:
    """The notes and the field for a new one."""
    form = el(
        "form",
        el("label", el("span", "A new note", class_="label"), _note_text()),
        el("label", el("input", type="checkbox", name="pinned", checked=True), el("span"), class_="choice pin"),
        _readers(is_private=True),
        el("div", el("button", "Keep the note", type="submit"), class_="row"),
        class_="note-form",
    )
    return el(
        "div",
        el("div", notes_list(desk.notes, attempt), id="notes"),
        form,
        el("div", class_="trouble", role="alert", hidden=True),
        id="noting",
        data_send=f"{desk.api}/notes",
        data_exercise=desk.number + 1,
    )


def what_if_fold(desk: Desk, attempt: Attempt) -> Markup | None:
    """What might have been done otherwise from the bead's second on; nothing without wind or without a glide."""
    if attempt.air is None:
        return None
    drags = [(each.name, each.name) for each in what_if_wishes.drag_of(attempt.plan)]
    fields = [
        _select("turn", "Turn to base", [("", "as planned"), *_TURNS], None),
        _select("configuration", "Hang out", [("", "nothing"), *drags], None) if drags else None,
        _typed("speed", "Airspeed, indicated", "best glide"),
        _typed("bank", "Bank of the turns", "as planned"),
        _typed("wind", "Wind, true", "as found"),
    ]
    return el(
        "form",
        el("p", "A dead engine, flown on from the bead’s second.", class_="sub"),
        el("div", fields, class_="choose"),
        el(
            "div",
            el("button", "Fly it", type="submit", class_="first"),
            el("button", "Wipe it off", type="reset"),
            class_="row",
        ),
        el("p", class_="telling", id="what-if-progress", role="status"),
        el("div", class_="trouble", id="what-if-trouble", role="alert", hidden=True),
        el("div", id="what-if-said", class_="said", role="status"),
        id="what-if",
        data_send=f"{desk.api}/what-if",
        data_exercise=desk.number + 1,
    )


def whose_fold(desk: Desk) -> Markup:
    """Whose lesson it is, what can be taken along, making it again and taking it away."""
    kept = desk.kept
    people = el(
        "form",
        el(
            "div",
            _select("trainee", "Trainee", _people(desk.trainees), kept.trainee),
            _select("instructor", "Instructor", _people(desk.instructors), kept.instructor),
            _select("lesson", "Lesson", _lessons(desk.lessons), kept.lesson) if desk.lessons else None,
            class_="choose",
        ),
        el("div", el("button", "Keep this", type="submit"), class_="row"),
        id="whose",
        data_send=desk.api,
        data_version=kept.version,
    )
    return join([people, el("div", class_="trouble", id="whose-trouble", role="alert", hidden=True)])


def downloads(desk: Desk) -> Markup:
    """The report, the flight second by second, the debrief as a document, and the recording as it was sent."""
    name = f"debrief-{desk.kept.key[:8]}"
    flown = [
        el("a", words, href=f"{desk.api}/flown{ending}", download=f"{name}{ending}", class_="button")
        for ending, words in ((".csv", "CSV"), (".gpx", "GPX"), (".kml", "KML"), (".geojson", "GeoJSON"))
    ]
    links = [
        el("a", "The report as PDF", href=f"{desk.api}/report", download=f"{name}.pdf", class_="button first"),
        *flown,
        el("a", "JSON", href=desk.api, download=f"{name}.json", class_="button"),
        el("a", "The recording as sent", href=f"{desk.api}/recording", download=desk.file_name, class_="button"),
    ]
    return el("div", links, class_="row")


def again_and_away(desk: Desk) -> Markup:
    """Make it again with the present code where an older one made it; take it away."""
    again = (
        el("button", "Debrief again with today’s code", type="button", id="again", data_send=f"{desk.api}/again")
        if desk.is_older_code
        else None
    )
    remove = "Remove this recording" if desk.is_only_debrief else "Remove this debrief"
    question = (
        "Remove this recording? The original file goes too."
        if desk.is_only_debrief
        else "Remove this debrief? The recording stays: another debrief stands on it."
    )
    dialog = el(
        "dialog",
        el("h2", question, id="away-title"),
        el("div", class_="trouble", id="away-trouble", role="alert", hidden=True),
        el(
            "div",
            el("button", "Keep it", type="button", id="away-close"),
            el("button", "Remove it", type="button", id="away-sure", class_="first"),
            class_="row",
        ),
        id="away",
        aria_labelledby="away-title",
        data_send=desk.api,
        data_version=desk.kept.version,
    )
    said = el("p", f"Made by version {desk.kept.code_version}.", class_="sub") if desk.is_older_code else None
    trouble = el("div", class_="trouble", id="again-trouble", role="alert", hidden=True)
    buttons = el("div", again, el("button", remove, type="button", id="away-open"), class_="row")
    return join([said, buttons, trouble, dialog])


_TURNS = (("now", "now"), ("2 s", "2 s later"), ("4 s", "4 s later"), ("6 s", "6 s later"), ("10 s", "10 s later"))


def _note(note: Note, attempt: Attempt) -> Markup:
    second = (
        el("span", "all of it", class_="when")
        if note.time_s is None
        else el(
            "button",
            f"At {wording.seconds(note.time_s - zero_time_s(attempt))}",
            type="button",
            class_="when",
            data_second=f"{note.time_s:.1f}",
        )
    )
    written = FOR_TRAINEE if not note.is_private else PRIVATE
    words = el("div", el("p", note.text), el("p", written, class_="sub"), class_="words")
    edit = el(
        "details",
        el("summary", "Change", class_="only-summary"),
        el(
            "form",
            _note_text(note.text),
            _readers(note.is_private),
            el(
                "div",
                el("button", "Keep", type="submit"),
                el("button", "Take it away", type="button", class_="take"),
                class_="row",
            ),
        ),
    )
    return el("li", second, words, edit, data_note=note.key, data_version=note.version)


def _note_text(text: str = "") -> Markup:
    return el("textarea", text, name="text", rows=2, maxlength=LONGEST_NOTE, aria_label="Note", required=True)


def _readers(is_private: bool) -> Markup:
    choices = [
        el(
            "label",
            el("input", type="radio", name="readers", value=value, checked=checked),
            el("span", words),
            class_="choice",
        )
        for value, words, checked in (("private", PRIVATE, is_private), ("trainee", FOR_TRAINEE, not is_private))
    ]
    return el("div", choices, class_="choices", role="group", aria_label="Who may read it")


def _people(people: Sequence[Person]) -> list[tuple[str, str]]:
    return [("", "nobody named"), *((person.key, person.name) for person in people)]


def _lessons(lessons: Sequence[Lesson]) -> list[tuple[str, str]]:
    said = [
        (each.key, f"{wording.utc_date(each.begun_unix_s)}, {wording.utc_clock(each.begun_unix_s)} UTC")
        for each in lessons
    ]
    return [("", "none"), *said]


def _select(name: str, label: str, choices: Sequence[tuple[str, str]], chosen: str | None) -> Markup:
    options = [el("option", words, value=value, selected=value == (chosen or "")) for value, words in choices]
    return el("label", el("span", label, class_="label"), el("select", options, name=name), class_="select")


def _typed(name: str, label: str, placeholder: str) -> Markup:
    field = el(
        "input", type="text", name=name, placeholder=placeholder, maxlength=40, spellcheck="false", autocomplete="off"
    )
    return el("label", el("span", label, class_="label"), field, class_="select")
