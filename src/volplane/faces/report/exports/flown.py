"""Exercises flown as files for other programs: the path second by second, the gates as flown and as planned.

Open standards only: CSV (RFC 4180), GPX 1.1 (a track, because it was flown), KML 2.2, GeoJSON (RFC 7946). Altitudes are
true, above mean sea level. What was not observed stays empty, and every file carries the cautions.
"""

from __future__ import annotations

import csv
import io
import json
import math
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Any

import numpy as np

from volplane import units as si
from volplane.domain.debrief.results import Attempt, Debrief
from volplane.domain.exercise.pilot_limits import frame_of
from volplane.faces.documents import debrief_words, wording
from volplane.faces.documents.quantities import utc
from volplane.faces.documents.wording import IMPERIAL, Units
from volplane.faces.report.exports import gpx, kml
from volplane.faces.report.exports.route import Gate, Place
from volplane.faces.report.svg import escaped

ENDINGS = (".csv", ".gpx", ".kml", ".geojson")
TITLES = (
    "exercise",
    "utc",
    "phase",
    "latitude_deg",
    "longitude_deg",
    "altitude_msl_ft",
    "x_ft",
    "y_ft",
    "height_ft",
    "ground_speed_kt",
    "track_true_deg",
    "vertical_speed_fpm",
    "bank_deg",
    "speed_kcas",
    "in_hand_ft",
    "in_hand_sd_ft",
    "room_above_ft",
    "note",
)


@dataclass(frozen=True, slots=True)
class FlownLine:
    """One exercise flown over the earth: its places with their times, and its gates as flown and as planned."""

    name: str
    description: str
    places: tuple[Place, ...]
    utc: tuple[str, ...]
    gates: tuple[Gate, ...]


def exported_flown(debrief: Debrief, ending: str, units: Units = IMPERIAL) -> bytes:
    """The exercises of a debrief as the file that goes by this ending, one of `ENDINGS`."""
    if ending == ".csv":
        return _csv(debrief, units).encode()
    lines = [_line(debrief, number, units) for number in range(len(debrief.attempts))]
    writers: dict[str, Callable[[list[FlownLine]], str]] = {".gpx": _gpx, ".kml": _kml, ".geojson": _geojson}
    return writers[ending](lines).encode()


def _line(debrief: Debrief, number: int, units: Units) -> FlownLine:
    attempt = debrief.attempts[number]
    exercise = attempt.plan.exercise
    frame, ground_m, path = frame_of(exercise), exercise.ground_msl_m, attempt.path
    start = debrief.recording.start_unix_s

    def place(x_m: float, y_m: float, height_m: float) -> Place:
        return Place(*frame.latitude_longitude_deg(x_m, y_m), ground_m + height_m)

    # a moment is written in tenths of a second: what would be the same moment is written once
    moments: dict[str, Place] = {}
    for time_s, *where in zip(path.time_s, path.x_m, path.y_m, path.height_m, strict=True):
        if np.isfinite(where[2]):
            moments.setdefault(str(utc(start + float(time_s))), place(*map(float, where)))
    flown = [
        Gate(
            f"{wording.sentence_case(gate.name)}, flown",
            place(gate.x_m, gate.y_m, gate.height_m),
            _height(gate.height_m, units),
        )
        for gate in attempt.gates
    ]
    planned = [
        Gate(
            f"{wording.sentence_case(gate.name)}, planned",
            place(gate.x_m, gate.y_m, gate.height_m),
            _height(gate.height_m, units),
        )
        for gate in attempt.plan.gates
    ]
    return FlownLine(
        name=f"{exercise.airfield.name}, runway {exercise.runway.name}, exercise {number + 1}",
        description=" ".join((debrief_words.headline(attempt, units), *wording.CAUTION_LINES)),
        places=tuple(moments.values()),
        utc=tuple(moments),
        gates=(*flown, *planned),
    )


def _height(height_m: float, units: Units) -> str:
    return f"{units.height.text(height_m)} above the touchdown point."


def _csv(debrief: Debrief, units: Units) -> str:
    text = io.StringIO()
    writer = csv.DictWriter(text, TITLES, restval="")
    writer.writeheader()
    note = " ".join(wording.CAUTION_LINES)
    for number, attempt in enumerate(debrief.attempts, start=1):
        for row in _rows(debrief, attempt):
            writer.writerow({"exercise": number, **row, "note": note})
            note = ""
    return text.getvalue()


def _rows(debrief: Debrief, attempt: Attempt) -> Iterator[dict[str, Any]]:
    """The seconds of an exercise; a value that is not known is left out."""
    exercise, path, hand = attempt.plan.exercise, attempt.path, attempt.height_in_hand
    frame, ground_m = frame_of(exercise), exercise.ground_msl_m
    bearing = exercise.runway.bearing_true_rad
    for row, time_s in enumerate(path.time_s):
        latitude, longitude = frame.latitude_longitude_deg(float(path.x_m[row]), float(path.y_m[row]))
        value = {
            "altitude_msl_ft": (ground_m + path.height_m[row]) / si.FOOT_M,
            "x_ft": path.x_m[row] / si.FOOT_M,
            "y_ft": path.y_m[row] / si.FOOT_M,
            "height_ft": path.height_m[row] / si.FOOT_M,
            "ground_speed_kt": path.ground_speed_mps[row] / si.KNOT_MPS,
            "track_true_deg": math.degrees(bearing - path.track_rad[row]) % 360.0,
            "vertical_speed_fpm": path.vertical_speed_mps[row] / si.FOOT_PER_MINUTE_MPS,
            "bank_deg": math.degrees(path.bank_rad[row]),
            "speed_kcas": math.nan if path.cas_mps is None else path.cas_mps[row] / si.KNOT_MPS,
        }
        if hand is not None and hand.time_s[0] - 0.5 <= time_s <= hand.time_s[-1] + 0.5:
            nearest = int(np.argmin(np.abs(hand.time_s - time_s)))
            value["in_hand_ft"] = hand.in_hand_m[nearest] / si.FOOT_M
            value["in_hand_sd_ft"] = hand.sd_m[nearest] / si.FOOT_M
            value["room_above_ft"] = hand.room_above_m[nearest] / si.FOOT_M
        yield {
            "utc": utc(debrief.recording.start_unix_s + float(time_s)),
            "phase": _phase(attempt, float(time_s)),
            "latitude_deg": f"{latitude:.7f}",
            "longitude_deg": f"{longitude:.7f}",
            **{key: f"{each:.1f}" for key, each in value.items() if math.isfinite(each)},
        }


def _phase(attempt: Attempt, time_s: float) -> str:
    """After which gate it was flown."""
    passed = [gate.name for gate in attempt.gates if gate.time_s <= time_s + 1e-9]
    return f"from the {passed[-1]}" if passed else "before the first gate"


def _gpx(lines: list[FlownLine]) -> str:
    waypoints = "".join(gpx.waypoint(gate.place, gate.name, gate.words) for line in lines for gate in line.gates)
    tracks = "".join(
        f"<trk><name>{escaped(line.name)}</name><desc>{escaped(line.description)}</desc><trkseg>\n"
        + "".join(
            f"<trkpt {gpx.where(place)}><ele>{place.altitude_msl_m:.1f}</ele><time>{time}</time></trkpt>\n"
            for place, time in zip(line.places, line.utc, strict=True)
        )
        + "</trkseg></trk>\n"
        for line in lines
    )
    return gpx.document("Exercises flown", " ".join(wording.CAUTION_LINES), waypoints + tracks)


def _kml(lines: list[FlownLine]) -> str:
    parts = []
    for line in lines:
        parts.append(kml.line(line.name, line.description, line.places))
        parts += [kml.point(gate.name, gate.words, gate.place) for gate in line.gates]
    return kml.document("Exercises flown", " ".join(wording.CAUTION_LINES), "".join(parts))


def _geojson(lines: list[FlownLine]) -> str:
    features: list[dict[str, Any]] = []
    for line in lines:
        about = {
            "name": line.name,
            "description": line.description,
            "altitude_msl_m": [round(place.altitude_msl_m, 1) for place in line.places],
            "coordTimes": list(line.utc),
        }
        coordinates = [_position(place) for place in line.places]
        geometry = {"type": "LineString", "coordinates": coordinates}
        features.append({"type": "Feature", "geometry": geometry, "properties": about})
        for gate in line.gates:
            said = {"name": gate.name, "description": gate.words, "altitude_msl_m": round(gate.place.altitude_msl_m, 1)}
            spot = {"type": "Point", "coordinates": _position(gate.place)}
            features.append({"type": "Feature", "geometry": spot, "properties": said})
    document = {"type": "FeatureCollection", "description": " ".join(wording.CAUTION_LINES), "features": features}
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=1) + "\n"


def _position(place: Place) -> list[float]:
    return [round(place.longitude_deg, 7), round(place.latitude_deg, 7)]
