"""The plan as GPX: gates as waypoints, the path as a route; never as a track, because nothing of it was flown.

(GPX 1.1 Schema Documentation, TopoGrafix, 2004: wptType, rteType, order of their elements.)
"""

from __future__ import annotations

from volplane.faces.report.exports.route import Place, Route
from volplane.faces.report.svg import escaped

_NAMESPACE = "http://www.topografix.com/GPX/1/1"


def write(route: Route) -> str:
    """The document."""
    said = f"<name>{escaped(route.name)}</name><desc>{escaped(route.description)}</desc>"
    waypoints = "".join(_waypoint(gate.place, gate.name, gate.words) for gate in route.gates)
    path = "".join(f"<rtept {_where(place)}><ele>{place.altitude_msl_m:.1f}</ele></rtept>\n" for place in route.path)
    return (
        '<?xml version="1.0" encoding="UTF-8"?>\n'
        f'<gpx xmlns="{_NAMESPACE}" xmlns:xsi="http://www.w3.org/2001/XMLSchema-instance" '
        f'xsi:schemaLocation="{_NAMESPACE} {_NAMESPACE}/gpx.xsd" version="1.1" creator="Volplane">\n'
        f"<metadata>{said}</metadata>\n"
        f"{waypoints}{_waypoint(route.touchdown, 'Touchdown point', '')}"
        f"<rte>{said}\n{path}</rte>\n</gpx>\n"
    )


def _waypoint(place: Place, name: str, words: str) -> str:
    said = f"<desc>{escaped(words)}</desc>" if words else ""
    return f"<wpt {_where(place)}><ele>{place.altitude_msl_m:.1f}</ele><name>{escaped(name)}</name>{said}</wpt>\n"


def _where(place: Place) -> str:
    return f'lat="{place.latitude_deg:.7f}" lon="{place.longitude_deg:.7f}"'
