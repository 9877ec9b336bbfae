"""A file of the instructor as text: written over in place, its faults said line by line, nothing lost."""

from __future__ import annotations

from collections.abc import Sequence

from volplane.faces.documents import wording
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el
from volplane.services.kept import FileKind
from volplane.services.shelf import ShelvedFile

ROOMS = {FileKind.AIRPLANE: "Airplanes", FileKind.AIRFIELD: "Airfields", FileKind.EXERCISE: "Exercises"}
PATHS = {FileKind.AIRPLANE: "/airplanes", FileKind.AIRFIELD: "/airfields", FileKind.EXERCISE: "/exercises"}


def files_page(frame: Frame, kind: FileKind, files: Sequence[ShelvedFile], ways: Sequence[Markup]) -> str:
    """The files of a kind, the one changed last first."""
    words = el("div", el("h1", ROOMS[kind]), class_="words")
    rows = [
        el(
            "li",
            el(
                "a",
                el("b", each.title),
                el("span", f"{each.file.name}, changed {wording.utc_date(each.text.kept_unix_s)}"),
                href=f"{PATHS[kind]}/{each.file.key}",
            ),
        )
        for each in files
    ]
    nothing = el("p", f"No {kind.value} yet. It is asked for with the first exercise.", class_="prose")
    listed = el("section", el("ul", rows), class_="recordings") if rows else nothing
    head = el("div", words, el("div", ways, class_="actions"), class_="title-row")
    return page(frame, title=ROOMS[kind], room=ROOMS[kind], kind="list", content=[head, listed])


def text_page(frame: Frame, shelved: ShelvedFile) -> str:
    """The whole text in a field."""
    kind = shelved.file.kind
    words = el(
        "div",
        el("h1", shelved.title),
        el("p", f"{shelved.file.name}, state {shelved.text.number}", class_="sub"),
        class_="words",
    )
    manual = el("a", "What may stand in it", href=f"/manual/files#{kind.value}", class_="button")
    back = el("a", "Back", href=f"{PATHS[kind]}/{shelved.file.key}", class_="button")
    head = el("div", words, el("div", el("div", manual, back, class_="row"), class_="actions"), class_="title-row")
    return page(frame, title=shelved.title, room=ROOMS[kind], kind="file", content=[head, text_form(shelved)])


def text_form(shelved: ShelvedFile) -> Markup:
    """The field, where faults are told, and the button."""
    kind = shelved.file.kind
    rows = min(max(shelved.text.text.count("\n") + 3, 12), 40)
    return el(
        "form",
        el("label", "The file as it is kept", for_="text", class_="label"),
        el("textarea", shelved.text.text, id="text", name="text", rows=rows, spellcheck="false", class_="file-text"),
        el("div", class_="trouble", id="trouble", role="alert", hidden=True),
        el("p", class_="telling", id="progress", role="status"),
        el("div", el("button", "Keep it", type="submit", class_="first"), class_="row"),
        id="file-text",
        data_send=f"/api/files/{kind.value}/{shelved.file.key}",
        data_seen=shelved.text.number,
        class_="form",
    )
