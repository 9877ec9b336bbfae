"""The airplane's page: what its figures imply, its configurations, stand-in and calibration, and a place to measure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from volplane.domain.airplane.airplane import Airplane
from volplane.faces.documents import wording
from volplane.faces.documents.check import contradiction_sentence
from volplane.faces.documents.wording import Units
from volplane.faces.report.calibration_charts import CALIBRATION_PX, NOT_CALIBRATED, calibration_chart
from volplane.faces.report.glide_lines import (
    ConfigurationRow,
    WeightRow,
    configuration_rows,
    polar_line,
    speeds_checked,
    weight_row,
    weights_of,
)
from volplane.faces.report.polar_charts import polar_by_weight
from volplane.faces.web.layout import Frame, page
from volplane.faces.web.markup import Child, Markup, el
from volplane.services.checking import CheckedFile
from volplane.units import m_from_ft

ACCEPTED = ".csv,.gpx,.kml,.kmz,.igc,.nmea,.geojson,.json,.txt,.log,.gz"
ROOM = "Airplanes"
SEA_LEVEL_NOTE = "In still air at sea level, clean, engine dead, propeller coarse."
# how far one carries from a round height says a ratio in the pilot's own words
_SPOKEN_HEIGHT_M = m_from_ft(1000.0)


@dataclass(frozen=True, slots=True)
class AirplaneSheet:
    """What the page is about: the airplane on the bench at today's weight, and what checking its file said."""

    airplane: Airplane
    weight_kg: float
    checked: CheckedFile
    units: Units


@dataclass(frozen=True, slots=True)
class Place:
    """Where the page is: the airplane on the shelf, the query it is looked at with, the largest file it takes."""

    key: str
    query: str
    limit_bytes: int


def airplane_page(frame: Frame, sheet: AirplaneSheet, stand_in: Child, place: Place) -> str:
    """The whole page; `stand_in` is the section of that name."""
    airplane, units = sheet.airplane, sheet.units
    glide = airplane.glide.at_weight(sheet.weight_kg)
    facts = (
        f"Maximum {units.weight.text(airplane.maximum_weight_kg)}, today {units.weight.text(sheet.weight_kg)}: "
        f"best glide {units.speed.text(glide.best_eas_mps)}, {wording.ratio(glide.best_ratio)}"
    )
    words = el("div", el("h1", airplane.name), el("p", facts, class_="sub"), class_="words")
    text = el(
        "div",
        el("a", "What lessons teach", href=f"/airplanes/{place.key}/learned", class_="button"),
        el("a", "The file as text", href=f"/airplanes/{place.key}/text", class_="button"),
        class_="row",
    )
    return page(
        frame,
        title=airplane.name,
        room=ROOM,
        kind="airplane",
        content=[
            el("div", words, el("div", text, class_="actions"), class_="title-row"),
            _glide(sheet),
            _configurations(sheet),
            stand_in,
            _calibration(sheet),
            _measure(place),
        ],
    )


def section(name: str, heading: str, drawing: Child, beside: Child) -> Markup:
    """One thing that is known: its drawing and, beside it, its figures."""
    return el(
        "section",
        el("h2", heading, id=f"{name}-heading"),
        el("div", drawing, class_="drawing"),
        el("div", beside, class_="figures"),
        class_="known",
        id=name,
        aria_labelledby=f"{name}-heading",
    )


def figure(svg: str, name: str) -> Markup:
    """A drawing of the figure kit."""
    return el("figure", Markup(svg), id=name)


def table(heads: Sequence[str], rows: Sequence[Sequence[str]], *, words: int = 1) -> Markup:
    """A table whose first `words` columns are words and whose others are figures."""
    return el(
        "table",
        el("thead", el("tr", [_head(text, column >= words) for column, text in enumerate(heads)])),
        el("tbody", [el("tr", [_cell(text, column, words) for column, text in enumerate(row)]) for row in rows]),
    )


def sentences(said: Sequence[str], class_: str = "sub") -> list[Markup]:
    """Each sentence as a paragraph."""
    return [el("p", text, class_=class_) for text in said]


def _head(text: str, is_number: bool) -> Markup:
    return el("th", text, scope="col", class_="number" if is_number else None)


def _cell(text: str, column: int, words: int) -> Markup:
    if column == 0:
        return el("th", text, scope="row")
    return el("td", text, class_="number" if column >= words else None)


def _glide(sheet: AirplaneSheet) -> Markup:
    airplane, units = sheet.airplane, sheet.units
    weights = weights_of(airplane, sheet.weight_kg)
    drawing = polar_by_weight([polar_line(airplane, weight, units) for weight in weights], units=units)
    height = units.height.text(_SPOKEN_HEIGHT_M)
    heads = ("Weight", f"best, {units.speed.unit}", f"sink, {units.sink.unit}", "ratio", f"from {height}", "least sink")
    rows = [_weight_cells(weight_row(airplane, weight), units) for weight in weights]
    said = [SEA_LEVEL_NOTE]
    implied = sheet.checked.implied_sink_mps
    if implied is not None:
        stated = f"The stated best speed and ratio imply a sink of {units.sink.text(implied)} at sea level."
        said.append(stated)
    said += [contradiction_sentence(found, units) for found in sheet.checked.contradictions]
    if implied is not None and not sheet.checked.contradictions:
        said.append("No two stated figures contradict each other by more than a tenth.")
    return section(
        "glide",
        "The glide",
        figure(drawing, "polar"),
        [table(heads, rows), el("p", " ".join(said), class_="sub")],
    )


def _weight_cells(row: WeightRow, units: Units) -> tuple[str, ...]:
    return (
        units.weight.text(row.weight_kg),
        units.speed.figure(row.best_ias_mps),
        units.sink.figure(row.best_sink_mps),
        wording.figure(row.best_ratio, 1),
        units.distance.text(row.best_ratio * _SPOKEN_HEIGHT_M),
        f"{units.sink.figure(row.minimum_sink_mps)} at {units.speed.text(row.minimum_sink_ias_mps)}",
    )


def _configurations(sheet: AirplaneSheet) -> Markup:
    rows = configuration_rows(sheet.airplane, sheet.weight_kg)
    units = sheet.units
    heads = ("Configuration", "propeller", "known from", "extra drag", "ratio", f"sink, {units.sink.unit}")
    speed = units.speed.text(sheet.airplane.glide.at_weight(sheet.weight_kg).best_eas_mps)
    said = [
        f"At {speed}, today’s best glide. Extra drag is in parts of the clean airplane’s parasite drag.",
        "Propeller fine is also the glide without oil pressure: most governors go there when it is lost.",
    ]
    if any(row.configuration.is_estimate for row in rows):
        said.append("An estimate is a stated default until somebody measures it.")
    body = table(heads, [_configuration_cells(row, sheet.airplane, units) for row in rows], words=3)
    return el(
        "section",
        el("h2", "Configurations", id="configurations-heading"),
        el("div", body, el("p", " ".join(said), class_="sub"), class_="wide"),
        class_="known",
        id="configurations",
        aria_labelledby="configurations-heading",
    )


def _configuration_cells(row: ConfigurationRow, airplane: Airplane, units: Units) -> tuple[str, ...]:
    configuration = row.configuration
    is_reference = configuration.extra_drag_factor == 0.0 and configuration.thrust_power_per_weight_mps == 0.0
    known = "estimate" if configuration.is_estimate else "the reference" if is_reference else "the airplane file"
    return (
        configuration.name,
        str(configuration.propeller),
        known,
        wording.percent(configuration.extra_drag_factor),
        wording.figure(row.ratio, 1),
        units.sink.figure(row.sink_mps),
    )


def _calibration(sheet: AirplaneSheet) -> Markup:
    speeds, units = speeds_checked(sheet.airplane), sheet.units
    drawing = calibration_chart(speeds, units=units, size_px=CALIBRATION_PX if speeds else (CALIBRATION_PX[0], 52.0))
    if not speeds:
        said = "Legs in several directions at one speed, recorded by satellite, tell wind and position error apart."
        return section("calibration", "Airspeed", el("p", NOT_CALIBRATED), sentences([said]))
    unit = units.speed
    rows = [
        (
            unit.figure(speed.ias_mps),
            unit.figure(speed.ias_mps - speed.position_error_mps),
            wording.signed(unit.value(speed.position_error_mps), 1),
        )
        for speed in speeds
    ]
    heads = (f"Indicated, {unit.unit}", "calibrated", "position error")
    note = "The table of the airplane file, used wherever speeds are converted; beyond its ends the last error is kept."
    return section(
        "calibration", "Airspeed", figure(drawing, "position-error"), [table(heads, rows), sentences([note])]
    )


def _measure(place: Place) -> Markup:
    """The place to drop a measurement."""
    return el(
        "section",
        el("h2", "Measure", id="measure-heading"),
        el(
            "div",
            el(
                "p",
                "Drop a recording of steady glides or of legs in several directions, or a table of glides, of legs, "
                "or of powered descents in the stand-in configuration.",
            ),
            el("p", "It is measured in memory against this airplane, shown, and not kept.", class_="sub"),
            el(
                "label",
                el("span", "Choose a file", class_="button first"),
                el("input", type="file", accept=ACCEPTED, aria_label="Choose a file to measure"),
                class_="pick",
            ),
            el("p", class_="telling", id="upload-progress", role="status"),
            el("div", class_="trouble", id="upload-trouble", role="alert", hidden=True),
            id="upload",
            class_="upload",
            data_limit=place.limit_bytes,
            data_send=f"/api/airplanes/{place.key}/measurements",
            data_query=place.query,
        ),
        class_="known",
        id="measure",
        aria_labelledby="measure-heading",
    )
