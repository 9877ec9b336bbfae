"""The plan as KML: the path in space, its gates, the touchdown point; altitudes absolute, above mean sea level.

(OGC KML 2.2, Open Geospatial Consortium 07-147r2, 2008: element order of AbstractFeature, `altitudeMode` absolute.)
"""

from __future__ import annotations

from volplane.faces.report.exports.route import Place, Route
from volplane.faces.report.svg import escaped

# ink, written as KML writes colours: opacity, blue, green, red
_INK = "ff261f1a"


def write(route: Route) -> str:
    """The document."""
    line = " ".join(_coordinates(place) for place in route.path)
    points = "".join(_point(gate.name, gate.words, gate.place) for gate in route.gates)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        '<kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
        f"<name>{escaped(route.name)}</name><open>1</open><description>{escaped(route.description)}</description>"
        f'<Style id="ink"><LineStyle><color>{_INK}</color><width>3</width></LineStyle></Style>\n'
        f"<Placemark><name>Path as planned</name><description>{escaped(route.description)}</description>"
        "<styleUrl>#ink</styleUrl>"
        "<LineString><extrude>0</extrude><tessellate>0</tessellate><altitudeMode>absolute</altitudeMode>"
        f"<coordinates>{line}</coordinates></LineString></Placemark>\n"
        f"{points}{_point('Touchdown point', '', route.touchdown)}"
        "</Document></kml>\n"
    )


def _point(name: str, words: str, place: Place) -> str:
    said = f"<description>{escaped(words)}</description>" if words else ""
    return (
        f"<Placemark><name>{escaped(name)}</name>{said}<Point><altitudeMode>absolute</altitudeMode>"
        f"<coordinates>{_coordinates(place)}</coordinates></Point></Placemark>\n"
    )


def _coordinates(place: Place) -> str:
    return f"{place.longitude_deg:.7f},{place.latitude_deg:.7f},{place.altitude_msl_m:.1f}"
