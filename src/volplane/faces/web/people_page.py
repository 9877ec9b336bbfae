"""People: everybody in the store, somebody new, and how long lessons are kept."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.faces.documents import wording
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Child, Markup, el
from volplane.services.kept import Role
from volplane.services.listing import PersonLine

ROOM = "People"
LONGEST_NAME = 80
BACKUPS = "Backups, exports and printed pages are not reached: delete those yourself."


@dataclass(frozen=True, slots=True)
class Keeping:
    """How long lessons are kept: days, None for ever; what is older as words, "" where nothing is.

    After `reminder_days` without an exercise one is reminded of a trainee; 0 is never.
    """

    days: int | None
    expired: str
    reminder_days: int


def people_page(frame: Frame, people: Sequence[PersonLine], keeping: Keeping, trouble: str = "") -> str:
    """Trainees first; then the forms."""
    said = "What is kept of people stays on this machine."
    title = el("div", el("h1", "People"), el("p", said, class_="sub"), class_="words")
    content = [
        el("div", title, class_="title-row"),
        told(trouble),
        _list(people),
        _someone_new(),
        _reminders(keeping),
        _retention(keeping),
    ]
    return page(frame, title="People", room=ROOM, kind="people", content=content)


def told(trouble: str) -> Markup | None:
    """What could not be done, in a sentence."""
    return el("div", el("p", trouble), class_="trouble", role="alert") if trouble else None


def _list(people: Sequence[PersonLine]) -> Markup:
    if not people:
        return el("p", "Nobody yet: add a trainee below, then say whose lesson a recording is.", class_="prose")
    return el("section", el("ul", [_row(each) for each in people]), class_="recordings")


def _row(person: PersonLine) -> Markup:
    count = wording.counted(person.exercises, "exercise")
    last = "" if person.last_unix_s is None else f", the last on {wording.utc_date(person.last_unix_s)}"
    verb = "flown" if person.role is Role.TRAINEE else "taught"
    said = f"{wording.sentence_case(person.role.value)}. {wording.sentence_case(count)} {verb}{last}."
    return el("li", el("a", el("b", person.name), el("span", said), href=f"/people/{person.key}"))


def _someone_new() -> Markup:
    roles = [el("option", role.value, value=role.value) for role in Role]
    return el(
        "form",
        el(
            "section",
            el("h2", "Somebody new"),
            el(
                "div",
                field("name", "Name, or initials alone", el_input("name", "", required=True)),
                field("initials", "Initials, if wished", el_input("initials", "", most=8)),
                field("role", "Role", el("select", roles, id="role", name="role")),
                class_="rows",
            ),
        ),
        el("div", el("button", "Add", type="submit", class_="first"), class_="row"),
        method="post",
        action="/people",
        class_="form",
    )


def field(key: str, label: str, control: Markup, note: str = "") -> Markup:
    """A field with its label over it and a note below."""
    below = el("p", note, class_="note") if note else None
    return el("div", el("label", label, for_=key), control, below, class_="row-field")


def el_input(key: str, value: str, *, most: int = LONGEST_NAME, required: bool = False, kind: str = "text") -> Markup:
    """A field of one line."""
    return el(
        "input",
        type=kind,
        id=key,
        name=key,
        value=value,
        maxlength=most,
        required=required,
        autocomplete="off",
        spellcheck="false",
    )


def area(key: str, value: str, *, rows: int = 3, most: int = 4000) -> Markup:
    """A field of several lines."""
    return el("textarea", value, id=key, name=key, rows=rows, maxlength=most)


def _reminders(keeping: Keeping) -> Markup:
    note = "Days since the last exercise kept here. Empty: never. No statement about what rules require."
    days = str(keeping.reminder_days) if keeping.reminder_days else ""
    return el(
        "form",
        el(
            "section",
            el("h2", "When to be reminded of somebody"),
            el("div", field("reminder", "After days", el_input("reminder", days, most=6), note), class_="rows"),
        ),
        el("div", el("button", "Set this", type="submit"), class_="row"),
        method="post",
        action="/people/reminder",
        class_="form",
    )


def _retention(keeping: Keeping) -> Markup:
    days = "" if keeping.days is None else str(keeping.days)
    note = "Nothing goes by itself. Empty: lessons are kept for ever."
    form = el(
        "form",
        el(
            "section",
            el("h2", "How long lessons are kept"),
            el("div", field("days", "Days", el_input("days", days, most=6), note), class_="rows"),
        ),
        el("div", el("button", "Keep this", type="submit"), class_="row"),
        method="post",
        action="/people/retention",
        class_="form",
    )
    return el("div", form, _expired(keeping))


def _expired(keeping: Keeping) -> Child:
    if keeping.days is None:
        return None
    if not keeping.expired:
        return el("p", "Nothing is older than that.", class_="prose")
    said = f"Older than {keeping.days:,} days: {keeping.expired}. Removed, it is gone for good. {BACKUPS}"
    button = el("button", "Remove what is older", type="submit")
    return el("form", el("p", said, class_="prose"), button, method="post", action="/people/expired")
