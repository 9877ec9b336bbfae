"""The plan as GeoJSON: the path as a line, gates and touchdown point as points.

A third coordinate would be a height above the ellipsoid, which is not known here: altitudes above mean sea level stand
among the properties. (RFC 7946, The GeoJSON Format, IETF 2016, sections 3.1.1, 3.3 and 6.1.)
"""

from __future__ import annotations

import json
from typing import Any

from volplane.faces.report.exports.route import Place, Route


def write(route: Route) -> str:
    """The document."""
    path = {
        "type": "LineString",
        "coordinates": [_position(place) for place in route.path],
    }
    about = {
        "name": "Path as planned",
        "description": route.description,
        "altitude_msl_m": [round(place.altitude_msl_m, 1) for place in route.path],
        "time_s": [row["time_s"] for row in route.path_rows],
    }
    gates = [
        _point(gate.place, {"name": gate.name, "description": gate.words} | _window(row))
        for gate, row in zip(route.gates, route.gate_rows, strict=True)
    ]
    touchdown = _point(route.touchdown, {"name": "Touchdown point"})
    document = {
        "type": "FeatureCollection",
        "name": route.name,
        "description": route.description,
        "features": [{"type": "Feature", "geometry": path, "properties": about}, *gates, touchdown],
    }
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _window(row: dict[str, Any]) -> dict[str, Any]:
    keys = ("altimeter_ft", "altimeter_lowest_ft", "altimeter_highest_ft", "height_ft", "speed_kias")
    return {key: row[key] for key in keys}


def _point(place: Place, properties: dict[str, Any]) -> dict[str, Any]:
    return {
        "type": "Feature",
        "geometry": {"type": "Point", "coordinates": _position(place)},
        "properties": properties | {"altitude_msl_m": round(place.altitude_msl_m, 1)},
    }


def _position(place: Place) -> list[float]:
    return [round(place.longitude_deg, 7), round(place.latitude_deg, 7)]
