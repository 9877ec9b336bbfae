"""The page of one measured file: what it told about the airplane, what it did not, and that nothing was kept."""

from __future__ import annotations

from volplane.domain.airplane.measured_glide import MeasuredGlide
from volplane.faces.documents import measure, standin_words
from volplane.faces.documents.problems import refusal_sentence
from volplane.faces.documents.wording import Units
from volplane.faces.web.airplane_page import ROOM
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el
from volplane.faces.web.measured_sections import (
    FindingLine,
    calibration_section,
    measured_glide_section,
    stand_in_section,
)
from volplane.services.measured_file import MeasuredFile, Untold
from volplane.services.standing_in import StandInAnswer

NOT_KEPT = (
    "This file is not kept: it was measured in memory and is gone when the workbench stops. The commands measure, "
    "airspeed and standin write a result into an airplane file."
)
_LOOKED_FOR = {"glide": "No measured glide.", "airspeed": "No airspeed calibration."}


def measured_page(frame: Frame, way_back: str, file_name: str, measured: MeasuredFile) -> str:
    """Every result of the file, each in its section; `way_back` is the airplane's page."""
    airplane, units = measured.airplane, frame.units
    sections: list[Markup] = []
    if measured.glide is not None:
        lines = glide_findings(measured.glide, units)
        sections.append(measured_glide_section(measured.glide, airplane, lines, units))
    if measured.airspeed is not None:
        sections.append(calibration_section(measured.airspeed, [], units))
    if measured.stand_in is not None:
        sections.append(stand_in_section(measured.stand_in, stand_in_findings(measured.stand_in, units), units))
    words = el("div", el("h1", f"{airplane.name}, measured"), el("p", file_name, class_="sub"), class_="words")
    back = el("a", "To the airplane", href=way_back, class_="button")
    return page(
        frame,
        title=f"{airplane.name}, measured",
        room=ROOM,
        kind="airplane",
        content=[
            el("div", words, back, class_="title-row"),
            sections,
            _untold(measured.untold),
            el("p", NOT_KEPT, class_="sub not-kept"),
        ],
    )


def measurement_gone_page(frame: Frame, way_back: str) -> str:
    """The address of a measurement that is not held any more."""
    words = el("div", el("h1", "This measurement is gone"), class_="words")
    text = el("p", "Files are measured in memory and not kept. Drop the file again.", class_="prose")
    way = el("a", "To the airplane", href=way_back, class_="button first")
    content = [el("div", words, class_="title-row"), text, el("p", way, class_="prose")]
    return page(frame, title="Measurement gone", room=ROOM, kind="airplane", content=content)


def stand_in_findings(answer: StandInAnswer, units: Units) -> list[FindingLine]:
    """Severity and sentence of every finding of a stand-in."""
    return [(str(found.severity), standin_words.finding_text(found, units)) for found in answer.findings]


def glide_findings(measured: MeasuredGlide, units: Units) -> list[FindingLine]:
    """Severity and sentence of every finding of a measured glide."""
    return [(str(found.severity), measure.finding_text(found, units)) for found in measured.findings]


def _untold(untold: tuple[Untold, ...]) -> list[Markup]:
    return [
        el("p", el("b", _LOOKED_FOR[each.what]), f" {refusal_sentence(each.refusal)}", class_="untold")
        for each in untold
    ]
