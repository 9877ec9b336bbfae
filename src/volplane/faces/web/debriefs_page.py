"""The list of recordings that can be debriefed, and the place to drop one's own."""

from __future__ import annotations

from collections.abc import Sequence
from urllib.parse import quote

from volplane.faces.web.layout import Frame, page, with_query
from volplane.faces.web.markup import Markup, el
from volplane.faces.web.ports import DemoRecording

ACCEPTED = ".csv,.gpx,.txt"


def debriefs_page(frame: Frame, recordings: Sequence[DemoRecording], limit_bytes: int) -> str:
    """Upload first, then the recordings of the demo."""
    title = el(
        "div",
        el(
            "div",
            el("h1", "Debrief a recording"),
            el("p", "Against the exercise as it now stands on the exercise page.", class_="sub"),
            class_="words",
        ),
        class_="title-row",
    )
    return page(
        frame,
        title="Debriefs",
        room="Debriefs",
        kind="debriefs",
        content=[title, _upload(limit_bytes), _list(frame, recordings)],
    )


def gone_page(frame: Frame) -> str:
    """The address of a debrief that is not held any more."""
    words = el("div", el("h1", "This debrief is gone"), class_="words")
    text = el(
        "p",
        "Recordings are debriefed in memory and not kept. Choose the recording again.",
        class_="prose",
    )
    way = el("p", el("a", "To the debriefs", href="/debrief", class_="button first"), class_="prose")
    return page(
        frame,
        title="Debrief gone",
        room="Debriefs",
        kind="debriefs",
        content=[el("div", words, class_="title-row"), text, way],
    )


def _upload(limit_bytes: int) -> Markup:
    return el(
        "section",
        el("p", "Drop a recording here, CSV or GPX, from a phone or a panel."),
        el("p", "It is debriefed in memory and not kept.", class_="sub"),
        el(
            "label",
            el("span", "Choose a recording", class_="button first"),
            el("input", type="file", accept=ACCEPTED, aria_label="Choose a recording"),
            class_="pick",
        ),
        el("p", class_="telling", id="upload-progress", role="status"),
        el("div", class_="trouble", id="upload-trouble", role="alert", hidden=True),
        id="upload",
        class_="upload",
        data_limit=limit_bytes,
        aria_label="Own recording",
    )


def _list(frame: Frame, recordings: Sequence[DemoRecording]) -> Markup | None:
    if not recordings:
        return None
    items = [
        el(
            "li",
            el(
                "a",
                el("b", f"{recording.trainee} with {recording.instructor}"),
                el("span", recording.note),
                href=with_query(f"/debrief/demo/{quote(recording.file_name)}", frame.query),
            ),
        )
        for recording in recordings
    ]
    return el(
        "section",
        el("h2", "Recordings of the demo, invented people", class_="block-head"),
        el("ul", items),
        class_="recordings",
    )
