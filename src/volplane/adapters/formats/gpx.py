"""GPX 1.0 and 1.1 track logs, read as a stream: nothing but the fixes is kept, and no document type is accepted.

Elevations are metres above the sea, times UTC unless they name an offset, speed (m/s) and course (degrees true) are
those of GPX 1.0; a 1.1 file that holds them all the same is believed as far as its positions agree. Extensions are
passed over.
(GPX 1.1 Schema Documentation, TopoGrafix, 2004; GPX 1.0 Developer's Manual, TopoGrafix, 2002.)
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from volplane.adapters.formats import channels, gathering, times, xml_stream
from volplane.domain.track.track import Track
from volplane.errors import Problem
from volplane.services.ports import MagneticVariation
from volplane.services.recordings import Channel, Column, ColumnMap

NAME = "GPX"
EXTENSIONS: tuple[str, ...] = (".gpx",)

Floats = NDArray[np.float64]

MOST_FIXES = xml_stream.MOST_FIXES
_ROOT = re.compile(rb"<(?:\w+:)?gpx[\s>/]")
_FIELDS = ("time", "ele", "speed", "course")
# a hole longer than this starts a new segment when written
_GAP_S = 10.0


def recognises(data: bytes) -> bool:
    """Whether the root element is that of a GPX file."""
    return xml_stream.is_rooted(data, _ROOT)


def read(
    name: str, data: bytes, column_map: ColumnMap | None = None, variation: MagneticVariation | None = None
) -> tuple[Track | None, tuple[Problem, ...]]:
    """The tracks of a file as one, in the order of the file; None when it holds no flight.

    A file that is cut or damaged gives what stands before the damage. There are no columns to map, and no magnetic
    directions.
    """
    points = _Points()
    damage = xml_stream.read(name, NAME, data, points, MOST_FIXES)
    if damage is not None and damage.code != "recording-damaged":
        return None, (damage,)
    problems = () if damage is None else (damage,)
    places = [points.column(each) for each in ("time", "lat", "lon")]
    track, faults = gathering.track_of_fixes(name, places[0], places[1], places[2], _raw_columns(points), variation)
    if track is None:
        return None, (*problems, _no_track(name, points))
    return replace(track, notes=(*track.notes, *points.notes())), (*problems, *faults)


def write(track: Track) -> bytes:
    """The track as GPX 1.1: places to 1e-7 degrees, elevations to a centimetre, times to a millisecond.

    That version has no place for speed and course. A hole in the recording starts a new segment, a missing altitude is
    left out.
    """
    out = [
        '<?xml version="1.0" encoding="UTF-8"?>',
        '<gpx version="1.1" creator="Volplane" xmlns="http://www.topografix.com/GPX/1/1">',
        "<trk>",
        "<trkseg>",
    ]
    seconds = track.time_s.tolist()
    altitudes = track.altitude_m.tolist() if track.altitude_m is not None else [math.nan] * len(seconds)
    last_s = seconds[0]
    for time_s, latitude, longitude, altitude in zip(
        seconds, track.latitude_deg.tolist(), track.longitude_deg.tolist(), altitudes, strict=True
    ):
        if time_s - last_s > _GAP_S:
            out += ["</trkseg>", "<trkseg>"]
        last_s = time_s
        if math.isnan(latitude) or math.isnan(longitude):
            continue
        elevation = "" if math.isnan(altitude) else f"<ele>{altitude:.2f}</ele>"
        moment = times.utc_text(track.start_unix_s + time_s)
        place = f'lat="{latitude:.7f}" lon="{_below_180(longitude)}"'
        out.append(f"<trkpt {place}>{elevation}<time>{moment}</time></trkpt>")
    return "\n".join([*out, "</trkseg>", "</trk>", "</gpx>", ""]).encode("ascii")


def _below_180(longitude_deg: float) -> str:
    """The schema wants longitudes below 180; the date line is written as its other side."""
    text = f"{longitude_deg:.7f}"
    return "-180.0000000" if text == "180.0000000" else text


@dataclass(slots=True)
class _Points:
    """What the elements leave behind: one number a fix in each column, and counts."""

    columns: dict[str, list[float]] = field(default_factory=lambda: {key: [] for key in ("lat", "lon", *_FIELDS)})
    point: dict[str, float] = field(default_factory=dict)
    point_depth: int = 0
    segments: int = 0
    tracks: int = 0
    other_points: int = 0

    @property
    def fixes(self) -> int:
        """How many track points were read."""
        return len(self.columns["lat"])

    def start(self, tag: str, attributes: dict[str, str], depth: int) -> bool:
        """A track point, something inside it, or something to count."""
        if tag == "trkpt":
            self.point = {key: gathering.number(attributes.get(key)) for key in ("lat", "lon")}
            self.point_depth = depth
        elif self.point_depth and depth == self.point_depth + 1 and tag in _FIELDS:
            return True
        elif tag == "trkseg":
            self.segments += 1
        elif tag == "trk":
            self.tracks += 1
        elif tag in ("wpt", "rtept"):
            self.other_points += 1
        return False

    def end(self, tag: str, text: str, depth: int) -> None:
        """A value of the open point, or the point itself."""
        if self.point_depth and depth == self.point_depth + 1 and tag in _FIELDS:
            self.point[tag] = gathering.moment_unix_s(text.strip()) if tag == "time" else gathering.number(text)
        elif self.point_depth and depth == self.point_depth:
            self.point_depth = 0
            for key, values in self.columns.items():
                values.append(self.point.get(key, math.nan))

    def column(self, key: str) -> Floats:
        """One number a fix, (n,), NaN where the file has none."""
        return np.array(self.columns[key], dtype=np.float64)

    def notes(self) -> tuple[str, ...]:
        """How the fixes were parted in the file."""
        if self.segments <= 1:
            return ()
        tracks = f" of {self.tracks} tracks" if self.tracks > 1 else ""
        return (f"{self.segments} segments{tracks} were joined.",)


def _raw_columns(points: _Points) -> list[channels.RawColumn]:
    columns = (
        ("ele", Channel.GPS_ALTITUDE, "m"),
        ("speed", Channel.GROUND_SPEED, "m/s"),
        ("course", Channel.TRACK, "deg true"),
    )
    return [channels.RawColumn.of(Column(key, channel, unit), points.column(key)) for key, channel, unit in columns]


def _no_track(name: str, points: _Points) -> Problem:
    timed = int(np.isfinite(points.column("time")).sum())
    return gathering.no_track(name, points.fixes, timed, points.other_points, "track points")
