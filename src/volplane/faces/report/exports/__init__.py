"""A plan as a file for other programs: open standards only, each with the cautions in its description."""

from __future__ import annotations

from volplane.domain.exercise.plan import Plan
from volplane.faces.documents.wording import IMPERIAL, Units

# the ending of the file's name says what is written
ENDINGS = (".svg", ".kml", ".gpx", ".geojson", ".csv")


def exported(plan: Plan, ending: str, units: Units = IMPERIAL) -> bytes:
    """The plan as the file that goes by this ending, one of `ENDINGS`; `units` are those of its sentences."""
    from volplane.faces.report.exports import board_file, geojson, gpx, kml, table
    from volplane.faces.report.exports.route import planned_route

    if ending == ".svg":
        return board_file.whiteboard_file(plan, units).encode()
    writers = {".kml": kml.write, ".gpx": gpx.write, ".geojson": geojson.write, ".csv": table.write}
    return writers[ending](planned_route(plan, units)).encode()
