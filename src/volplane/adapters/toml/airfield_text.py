"""An airfield of the table of runway ends as an airfield file, ready to be completed by hand."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence

from volplane.adapters.toml.airfield import FARTHEST_FROM_FIELD_ELEVATION_M
from volplane.domain.geometry.runway_ends import LandingRunway
from volplane.services.airfields import AirfieldNotPlaced, FoundAirfield, TableOrigin
from volplane.services.quantities import ANGLE, HEIGHT, LENGTH, write_quantity


def write_airfield(found: FoundAirfield, origin: TableOrigin, notes: Mapping[str, Sequence[str]]) -> str:
    """The text of the file; `notes` are sentences to stand above a runway end, by its name.

    What the table does not hold is left as a comment for the pilot to fill in: the side of the pattern, the traffic
    pattern height, the airspace.

    :raises AirfieldNotPlaced: none of its ends can be used, or no elevation is known.
    """
    published = found.published
    usable = {each.name: each for each in reversed(found.runways) if each.is_usable}
    runways = [each for each in found.runways if usable.get(each.name) is each]
    if not runways:
        raise AirfieldNotPlaced(published.code, published.name, "runway end")
    elevation_m = _elevation_m(found, runways)
    lines = [
        f"# {published.code}: from {origin.source},",
        f"# table of {origin.dated}, {origin.licence}.",
        "# Positions, bearings and lengths are computed from it: compare them with the current chart before flying.",
        f"name = {json.dumps(published.name, ensure_ascii=False)}",
        f"elevation = {_text(write_quantity(round(elevation_m, 2), HEIGHT))}",
        '# traffic_pattern_height = "1000 ft"   look it up: above the field',
        '# airspace_ceiling = "3500 ft"         if there is one: above sea level',
    ]
    for runway in runways:
        lines += ["", *(f"# {note}" for note in notes.get(runway.name, ())), *_runway(runway, elevation_m)]
    return "\n".join(lines) + "\n"


def _runway(runway: LandingRunway, field_elevation_m: float) -> list[str]:
    assert runway.bearing_true_rad is not None
    assert runway.length_m is not None
    lines = [
        "[[runway]]",
        f"name = {json.dumps(runway.name, ensure_ascii=False)}",
        f"threshold = [{runway.threshold_latitude_deg:.7f}, {runway.threshold_longitude_deg:.7f}]",
        f"bearing_true = {_text(write_quantity(runway.bearing_true_rad, ANGLE))}",
        f"length = {_text(write_quantity(runway.length_m, LENGTH))}",
    ]
    own_m = runway.elevation_msl_m
    if own_m is not None and abs(own_m - field_elevation_m) <= FARTHEST_FROM_FIELD_ELEVATION_M:
        lines.append(f"elevation = {_text(write_quantity(own_m, HEIGHT))}")
    return [*lines, '# pattern = "left"                    look it up: the published side; left unless written']


def _elevation_m(found: FoundAirfield, runways: list[LandingRunway]) -> float:
    """The airfield's elevation, else the mean of its ends'."""
    if found.published.elevation_msl_m is not None:
        return found.published.elevation_msl_m
    known = [each.elevation_msl_m for each in runways if each.elevation_msl_m is not None]
    if not known:
        raise AirfieldNotPlaced(found.published.code, found.published.name, "elevation")
    return sum(known) / len(known)


def _text(quantity: str) -> str:
    return f'"{quantity}"'
