"""The plan as CSV: the path row by row with the gates among them, in trade units; the last column holds the words.

(RFC 4180, Common Format and MIME Type for CSV Files, IETF 2005.)
"""

from __future__ import annotations

import csv
import io
from typing import Any

from volplane.faces.report.exports.route import Place, Route
from volplane.units import FOOT_M

_OF_PATH = (
    "x_ft",
    "y_ft",
    "height_ft",
    "heading_true_deg",
    "track_true_deg",
    "bank_deg",
    "speed_kias",
    "configuration",
)
_OF_GATE = ("altimeter_ft", "altimeter_lowest_ft", "altimeter_highest_ft")
TITLES = ("time_s", "gate", "latitude_deg", "longitude_deg", "altitude_msl_ft", *_OF_PATH, *_OF_GATE, "note")


def write(route: Route) -> str:
    """The table, rows in order of time; the first row's note is the description with the cautions."""
    path = [_row(row, place, "", "") for row, place in zip(route.path_rows, route.path, strict=True)]
    gates = [
        _row(row, gate.place, gate.name, gate.words) for row, gate in zip(route.gate_rows, route.gates, strict=True)
    ]
    rows = sorted([*gates, *path], key=lambda row: float(row["time_s"]))
    rows[0]["note"] = " ".join(filter(None, (route.description, rows[0]["note"])))
    text = io.StringIO()
    writer = csv.DictWriter(text, TITLES, restval="")
    writer.writeheader()
    writer.writerows(rows)
    return text.getvalue()


def _row(row: dict[str, Any], place: Place, gate: str, note: str) -> dict[str, Any]:
    """A row of the document with its place; what is not known stays empty."""
    known = {key: row[key] for key in ("time_s", *_OF_PATH, *_OF_GATE) if row.get(key) is not None}
    return known | {
        "gate": gate,
        "latitude_deg": f"{place.latitude_deg:.7f}",
        "longitude_deg": f"{place.longitude_deg:.7f}",
        "altitude_msl_ft": round(place.altitude_msl_m / FOOT_M, 1),
        "note": note,
    }
