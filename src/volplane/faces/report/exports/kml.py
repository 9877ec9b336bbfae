"""KML: a path in space, gates, the touchdown point; altitudes absolute, above mean sea level.

(OGC KML 2.2, Open Geospatial Consortium 07-147r2, 2008: element order of AbstractFeature, `altitudeMode` absolute.)
"""

from __future__ import annotations

from collections.abc import Sequence

from volplane.faces.report.exports.route import Place, Route
from volplane.faces.report.svg import escaped

# ink, written as KML writes colours: opacity, blue, green, red
_INK = "ff261f1a"


def write(route: Route) -> str:
    """The document of a plan."""
    points = "".join(point(gate.name, gate.words, gate.place) for gate in route.gates)
    body = line("Path as planned", route.description, route.path) + points
    return document(route.name, route.description, body + point("Touchdown point", "", route.touchdown))


def document(name: str, description: str, body: str) -> str:
    """A document around placemarks."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
        f"<name>{escaped(name)}</name><open>1</open><description>{escaped(description)}</description>"
        f'<Style id="ink"><LineStyle><color>{_INK}</color><width>3</width></LineStyle></Style>\n'
        f"{body}</Document></kml>\n"
    )


def line(name: str, description: str, places: Sequence[Place]) -> str:
    """A path in space."""
    coordinates = " ".join(_coordinates(place) for place in places)
    return (
        f"<Placemark><name>{escaped(name)}</name><description>{escaped(description)}</description>"
        "<styleUrl>#ink</styleUrl>"
        "<LineString><extrude>0</extrude><tessellate>0</tessellate><altitudeMode>absolute</altitudeMode>"
        f"<coordinates>{coordinates}</coordinates></LineString></Placemark>\n"
    )


def point(name: str, words: str, place: Place) -> str:
    """A place with its name and what is said of it."""
    said = f"<description>{escaped(words)}</description>" if words else ""
    return (
        f"<Placemark><name>{escaped(name)}</name>{said}<Point><altitudeMode>absolute</altitudeMode>"
        f"<coordinates>{_coordinates(place)}</coordinates></Point></Placemark>\n"
    )


def _coordinates(place: Place) -> str:
    return f"{place.longitude_deg:.7f},{place.latitude_deg:.7f},{place.altitude_msl_m:.1f}"
