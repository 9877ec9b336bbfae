"""The airfield file: where the runway ends lie and what is above and below them."""

from __future__ import annotations

import math

from volplane.adapters.toml.airfield_keys import AIRFIELD
from volplane.adapters.toml.source import NamedText, parse
from volplane.adapters.toml.tables import Findings, Table
from volplane.domain.geometry.airfield import Airfield, Runway, Side
from volplane.domain.geometry.runway_ends import (
    LONGEST_M,
    MOST_BEARING_DIFFERENCE_RAD,
    MOST_LENGTH_DIFFERENCE_FRACTION,
    MOST_OFF_ITS_NUMBER_RAD,
    Stretch,
    named_direction_rad,
    off_its_number_rad,
    stretch_between,
)
from volplane.errors import FilesRefused, Problem, Refusal
from volplane.services.ports import MagneticVariation
from volplane.services.quantities import ANGLE, LENGTH, described, write_quantity

# nobody practises nearer the poles, and the runway frame is not meant for them
FARTHEST_LATITUDE_DEG = 85.0
# a threshold lies no farther above or below its airfield (ours)
FARTHEST_FROM_FIELD_ELEVATION_M = 150.0


def read_airfield(
    text: str, file_name: str, variation: MagneticVariation, time_unix_s: float
) -> tuple[Airfield | None, tuple[Problem, ...]]:
    """An airfield from its TOML text, or None and every problem found; variation is that of the day if not stated."""
    source = NamedText(file_name, text)
    try:
        data = parse(source)
    except FilesRefused as refused:
        return None, refused.problems
    findings = Findings(source)
    top = Table.top(data, AIRFIELD, findings)
    name, elevation_m = top.text("name"), top.quantity("elevation")
    tables = top.children("runway")
    if top.has("runway") and not tables and not findings.any:
        top.add("runway", "an empty list", "one runway end or more", "Write [[runway]] and its keys below.", "empty")
    runways = [_runway(table, elevation_m) for table in tables]
    east_rad = _variation(top, runways, variation, time_unix_s)
    _compare(top, tables, runways, elevation_m, east_rad)
    pattern_m = top.quantity_or_none("traffic_pattern_height")
    ceiling_m, floor_m = top.quantity_or_none("airspace_ceiling"), top.quantity_or_none("practice_floor")
    _compare_altitudes(top, elevation_m, ceiling_m, floor_m)
    if findings.any:
        return None, tuple(findings.problems)
    return Airfield(name, elevation_m, east_rad, tuple(runways), pattern_m, ceiling_m, floor_m), ()


def _runway(table: Table, field_elevation_m: float) -> Runway:
    latitude_deg, longitude_deg = read_position(table, "threshold")
    elevation_m = table.quantity_or_none("elevation")
    if elevation_m is not None and abs(elevation_m - field_elevation_m) > FARTHEST_FROM_FIELD_ELEVATION_M:
        table.add(
            "elevation",
            table.typed("elevation"),
            "about the elevation of the airfield",
            "Check both elevations and their units.",
            "elevation-differs",
        )
    bearing_rad, length_m = _bearing_and_length(table, latitude_deg, longitude_deg)
    return Runway(
        name=table.text("name"),
        threshold_latitude_deg=latitude_deg,
        threshold_longitude_deg=longitude_deg,
        bearing_true_rad=bearing_rad % (2.0 * math.pi),
        length_m=length_m,
        elevation_msl_m=field_elevation_m if elevation_m is None else elevation_m,
        pattern=Side(table.text("pattern") or Side.LEFT),
    )


def _bearing_and_length(table: Table, latitude_deg: float, longitude_deg: float) -> tuple[float, float]:
    """As written, else from the threshold to the far end; what is written beside the far end must fit it."""
    if not table.has("end"):
        for key in ("bearing_true", "length"):
            if not table.has(key):
                table.missing(key)
        return table.quantity("bearing_true"), table.quantity("length")
    end_latitude_deg, end_longitude_deg = read_position(table, "end")
    written_rad, written_m = table.quantity("bearing_true"), table.quantity("length")
    if math.isnan(latitude_deg + end_latitude_deg):
        return written_rad, written_m
    line = stretch_between(latitude_deg, longitude_deg, end_latitude_deg, end_longitude_deg)
    if not 0.0 < line.length_m <= LONGEST_M:
        found = f"{write_quantity(line.length_m, LENGTH, with_comma=True)} from the threshold"
        most = write_quantity(LONGEST_M, LENGTH, "m", with_comma=True)
        table.add("end", found, f"more than 0 m and {most} or less", "Check both positions.", "end-not-of-runway")
        return math.nan, math.nan
    _compare_with_end(table, line, written_rad, written_m)
    bearing_rad = line.bearing_true_rad if math.isnan(written_rad) else written_rad
    return bearing_rad, line.length_m if math.isnan(written_m) else written_m


def _compare_with_end(table: Table, line: Stretch, written_rad: float, written_m: float) -> None:
    """A bearing that does not lead to the far end, or a length that goes beyond it, is a slip in one of the two."""
    remedy = "Take it out, or check both positions."
    off_rad = abs(math.remainder(written_rad - line.bearing_true_rad, 2.0 * math.pi))
    if off_rad > MOST_BEARING_DIFFERENCE_RAD:
        expected = f"{write_quantity(line.bearing_true_rad, ANGLE)}, which leads to the end"
        table.add("bearing_true", table.typed("bearing_true"), expected, remedy, "bearing-not-to-end")
    if written_m > line.length_m * (1.0 + MOST_LENGTH_DIFFERENCE_FRACTION):
        expected = f"at most {write_quantity(line.length_m, LENGTH, with_comma=True)}, where the end is"
        table.add("length", table.typed("length"), expected, remedy, "length-beyond-end")


def read_position(table: Table, key: str) -> tuple[float, float]:
    """Latitude and longitude at a required key; NaN where it is missing or wrong, which is filed."""
    expected = "[latitude, longitude] in degrees, north and east positive"
    remedy = f"Write for example {key} = [44.0, -40.0]."
    if not table.has(key):
        table.missing(key)
        return math.nan, math.nan
    value = table.data[key]
    is_pair = isinstance(value, list) and len(value) == 2
    if not is_pair or any(isinstance(each, bool) or not isinstance(each, (int, float)) for each in value):
        table.add(key, described(value), expected, remedy, "not-a-position")
        return math.nan, math.nan
    latitude_deg, longitude_deg = value
    found = f"[{latitude_deg}, {longitude_deg}]"
    if not (abs(latitude_deg) <= 90.0 and abs(longitude_deg) <= 180.0):
        swapped = " Latitude comes first." if abs(longitude_deg) <= 90.0 and abs(latitude_deg) <= 180.0 else ""
        table.add(key, found[:60], expected, f"Check the position.{swapped}", "out-of-range")
        return math.nan, math.nan
    if abs(latitude_deg) > FARTHEST_LATITUDE_DEG:
        limit = f"a latitude within {FARTHEST_LATITUDE_DEG:g} degrees of the equator"
        table.add(key, found, limit, "Check the position.", "out-of-range")
        return math.nan, math.nan
    return float(latitude_deg), float(longitude_deg)


def _variation(top: Table, runways: list[Runway], variation: MagneticVariation, time_unix_s: float) -> float:
    stated = top.quantity_or_none("variation")
    if stated is not None or top.has("variation"):
        return math.nan if stated is None else stated
    known = [each for each in runways if not math.isnan(each.threshold_latitude_deg + each.elevation_msl_m)]
    if not known:
        return math.nan
    first = known[0]
    try:
        return variation.variation_east_rad(
            first.threshold_latitude_deg, first.threshold_longitude_deg, first.elevation_msl_m, time_unix_s
        )
    except Refusal as refusal:
        top.add(
            "variation",
            f"nothing, and no magnetic model for that day ({refusal})",
            "the magnetic variation",
            'Write it from the chart: variation = "12 deg W".',
            refusal.code,
        )
        return math.nan


def _compare(top: Table, tables: tuple[Table, ...], runways: list[Runway], elevation_m: float, east_rad: float) -> None:
    seen: set[str] = set()
    for table, runway in zip(tables, runways, strict=True):
        if runway.name and runway.name in seen:
            table.add("name", f'"{runway.name}" for the second time', "each end once", "Rename one.", "name-twice")
        seen.add(runway.name)
        if off_its_number_rad(runway.name, runway.bearing_true_rad, east_rad) > MOST_OFF_ITS_NUMBER_RAD:
            is_written = table.has("bearing_true")
            shown = table.typed("bearing_true") if is_written else write_quantity(runway.bearing_true_rad, ANGLE)
            named = write_quantity(named_direction_rad(runway.name) or 0.0, ANGLE, "deg").removesuffix(" deg")
            what = "bearing: it is that of" if is_written else "positions: from threshold to end is"
            table.add(
                "bearing_true" if is_written else "end",
                f"{shown} for runway {runway.name}",
                f"about {named} degrees magnetic",
                f"Check the {what} the landing direction, true.",
                "bearing-not-of-runway",
            )


def _compare_altitudes(top: Table, elevation_m: float, ceiling_m: float | None, floor_m: float | None) -> None:
    if floor_m is not None and floor_m < elevation_m:
        top.add(
            "practice_floor",
            f"{top.typed('practice_floor')}, below the field",
            "an altitude above sea level over the field",
            f"Add the elevation {top.typed('elevation')} to the height meant.",
            "floor-below-field",
        )
    ground_m = elevation_m if floor_m is None else floor_m
    if ceiling_m is not None and ceiling_m <= ground_m:
        top.add(
            "airspace_ceiling",
            f"{top.typed('airspace_ceiling')}, not above the {'field' if floor_m is None else 'practice floor'}",
            "an altitude above sea level",
            "Check it; it is no height above the field.",
            "ceiling-below-ground",
        )
