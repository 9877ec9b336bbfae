"""An airfield: its runways as they are planned on, and its file as text."""

from __future__ import annotations

from volplane.domain.geometry.airfield import Airfield, Runway
from volplane.faces.documents import wording
from volplane.faces.documents.wording import Units
from volplane.faces.report.airfield_drawing import airfield_drawing
from volplane.faces.web.file_page import text_form
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Markup, el
from volplane.services.shelf import ShelvedFile


def airfield_page(frame: Frame, shelved: ShelvedFile, airfield: Airfield) -> str:
    """Runways in a table, what is known of the place, the file below."""
    units = frame.units
    facts = (
        f"Elevation {units.height.text(airfield.elevation_msl_m)}, magnetic variation "
        f"{wording.variation(airfield.variation_east_rad)}"
    )
    words = el("div", el("h1", airfield.name), el("p", facts, class_="sub"), class_="words")
    return page(
        frame,
        title=airfield.name,
        room="Airfields",
        kind="airfield",
        content=[
            el("div", words, class_="title-row"),
            el(
                "div",
                el("figure", Markup(airfield_drawing(airfield, units).svg())),
                el("div", _runways(airfield, units), _limits(airfield, units)),
                class_="airfield-sheet",
            ),
            text_form(shelved),
        ],
    )


def _runways(airfield: Airfield, units: Units) -> Markup:
    names = (
        "Runway",
        "Bearing, true",
        "Bearing, magnetic",
        f"Landing distance, {units.length.unit}",
        "Elevation",
        "Pattern",
    )
    head = el(
        "tr",
        [el("th", name, scope="col", class_=None if number == 0 else "number") for number, name in enumerate(names)],
    )
    rows = [_runway(runway, airfield, units) for runway in airfield.runways]
    return el("section", el("table", el("thead", head), el("tbody", rows)), class_="runways")


def _runway(runway: Runway, airfield: Airfield, units: Units) -> Markup:
    values = (
        wording.direction(runway.bearing_true_rad),
        wording.direction(runway.bearing_true_rad - airfield.variation_east_rad),
        units.length.figure(runway.length_m),
        units.height.text(runway.elevation_msl_m),
        str(runway.pattern),
    )
    return el("tr", el("th", runway.name, scope="row"), [el("td", value, class_="number") for value in values])


def _limits(airfield: Airfield, units: Units) -> Markup | None:
    known = (
        ("traffic pattern", airfield.traffic_pattern_height_m, "above the field"),
        ("airspace ceiling", airfield.airspace_ceiling_msl_m, "above sea level"),
        ("practice floor", airfield.practice_floor_msl_m, "above sea level"),
    )
    said = [f"{name} {units.height.text(value)} {where}" for name, value, where in known if value is not None]
    return el("p", f"{wording.sentence_case(', '.join(said))}.", class_="sub") if said else None
