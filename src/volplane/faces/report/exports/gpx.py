"""GPX: gates as waypoints; a plan as a route, never as a track, because nothing of it was flown.

(GPX 1.1 Schema Documentation, TopoGrafix, 2004: wptType, rteType, order of their elements.)
"""

from __future__ import annotations

from volplane.faces.report.exports.route import Place, Route
from volplane.faces.report.svg import escaped

_NAMESPACE = "http://www.topografix.com/GPX/1/1"


def write(route: Route) -> str:
    """The document of a plan."""
    said = f"<name>{escaped(route.name)}</name><desc>{escaped(route.description)}</desc>"
    waypoints = "".join(waypoint(gate.place, gate.name, gate.words) for gate in route.gates)
    path = "".join(f"<rtept {where(place)}><ele>{place.altitude_msl_m:.1f}</ele></rtept>\n" for place in route.path)
    body = f"{waypoints}{waypoint(route.touchdown, 'Touchdown point', '')}<rte>{said}\n{path}</rte>\n"
    return document(route.name, route.description, body)


def document(name: str, description: str, body: str) -> str:
    """A document around waypoints, then routes, then tracks."""
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<gpx xmlns="{_NAMESPACE}" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
        f'xsi:schemaLocation="{_NAMESPACE} {_NAMESPACE}/gpx.xsd" version="1.1" creator="Volplane">\n'
        f"<metadata><name>{escaped(name)}</name><desc>{escaped(description)}</desc></metadata>\n"
        f"{body}</gpx>\n"
    )


def waypoint(place: Place, name: str, words: str) -> str:
    """A place with its name and what is said of it."""
    said = f"<desc>{escaped(words)}</desc>" if words else ""
    return f"<wpt {where(place)}><ele>{place.altitude_msl_m:.1f}</ele><name>{escaped(name)}</name>{said}</wpt>\n"


def where(place: Place) -> str:
    """A position as attributes."""
    return f'lat="{place.latitude_deg:.7f}" lon="{place.longitude_deg:.7f}"'
