"""The airfield file: where the runway ends lie and what is above and below them."""

from __future__ import annotations

import math
import re

from volplane.adapters.toml.airfield_keys import AIRFIELD
from volplane.adapters.toml.source import NamedText, parse
from volplane.adapters.toml.tables import Findings, Table
from volplane.domain.geometry.airfield import Airfield, Runway, Side
from volplane.errors import FilesRefused, Problem, Refusal
from volplane.services.ports import MagneticVariation
from volplane.services.quantities import described

# a runway's number is its magnetic direction to ten degrees, and may lag behind the variation by a few; more is a slip
MOST_OFF_ITS_NUMBER_RAD = math.radians(30.0)
# nobody practises nearer the poles, and the runway frame is not meant for them
FARTHEST_LATITUDE_DEG = 85.0


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
    latitude_deg, longitude_deg = _position(table)
    elevation_m = table.quantity_or_none("elevation")
    if elevation_m is not None and abs(elevation_m - field_elevation_m) > 150.0:
        table.add(
            "elevation",
            table.typed("elevation"),
            "about the elevation of the airfield",
            "Check both elevations and their units.",
            "elevation-differs",
        )
    return Runway(
        name=table.text("name"),
        threshold_latitude_deg=latitude_deg,
        threshold_longitude_deg=longitude_deg,
        bearing_true_rad=table.quantity("bearing_true") % (2.0 * math.pi),
        length_m=table.quantity("length"),
        elevation_msl_m=field_elevation_m if elevation_m is None else elevation_m,
        pattern=Side(table.text("pattern") or Side.LEFT),
    )


def _position(table: Table) -> tuple[float, float]:
    expected = "[latitude, longitude] in degrees, north and east positive"
    remedy = "Write for example threshold = [44.0, -40.0]."
    if not table.has("threshold"):
        table.missing("threshold")
        return math.nan, math.nan
    value = table.data["threshold"]
    is_pair = isinstance(value, list) and len(value) == 2
    if not is_pair or any(isinstance(each, bool) or not isinstance(each, (int, float)) for each in value):
        table.add("threshold", described(value), expected, remedy, "not-a-position")
        return math.nan, math.nan
    latitude_deg, longitude_deg = value
    found = f"[{latitude_deg}, {longitude_deg}]"
    if not (abs(latitude_deg) <= 90.0 and abs(longitude_deg) <= 180.0):
        swapped = " Latitude comes first." if abs(longitude_deg) <= 90.0 and abs(latitude_deg) <= 180.0 else ""
        table.add("threshold", found[:60], expected, f"Check the position.{swapped}", "out-of-range")
        return math.nan, math.nan
    if abs(latitude_deg) > FARTHEST_LATITUDE_DEG:
        limit = f"a latitude within {FARTHEST_LATITUDE_DEG:g} degrees of the equator"
        table.add("threshold", found, limit, "Check the position.", "out-of-range")
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
        number = re.match(r"(\d{1,2})(?!\d)", runway.name)
        if number is None:
            continue
        named_rad = math.radians(10.0 * int(number[1]))
        off_true = _apart(runway.bearing_true_rad, named_rad)
        off_magnetic = _apart(runway.bearing_true_rad - east_rad, named_rad)
        if min(off_true, off_magnetic) > MOST_OFF_ITS_NUMBER_RAD:
            table.add(
                "bearing_true",
                f"{table.typed('bearing_true')} for runway {runway.name}",
                f"about {10 * int(number[1])} degrees magnetic",
                "Check the bearing: it is that of the landing direction, true.",
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


def _apart(one_rad: float, other_rad: float) -> float:
    return abs((one_rad - other_rad + math.pi) % (2.0 * math.pi) - math.pi)
