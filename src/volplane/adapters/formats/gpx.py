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
from xml.parsers import expat

import numpy as np
from numpy.typing import NDArray

from volplane.adapters.formats import channels, times
from volplane.adapters.formats.fixes import sound_fixes
from volplane.domain.track.track import Track
from volplane.errors import Problem
from volplane.services.ports import MagneticVariation
from volplane.services.recordings import Channel, Column, ColumnMap

NAME = "GPX"
EXTENSIONS: tuple[str, ...] = (".gpx",)

Floats = NDArray[np.float64]

# a day at ten fixes a second; ours
MOST_FIXES = 900_000
# elements inside elements; a track point with extensions needs some eight
_DEEPEST = 64
# what stands before, between and inside track points, generously; ours
_MOST_ELEMENTS = 200_000
_MOST_ELEMENTS_A_FIX = 40
_CHUNK_BYTES = 262_144
# no tag, text or comment of a recording is that long
_LONGEST_TOKEN_BYTES = 4 * _CHUNK_BYTES
_LONGEST_TEXT = 64
_ROOT = re.compile(rb"<(?:\w+:)?gpx[\s>/]")
_DOCUMENT_TYPE = re.compile(rb"<!(?:DOCTYPE|ENTITY)")
_HEAD_BYTES = 65_536
_ENDS_EARLY = tuple(
    expat.errors.codes[each] for each in (expat.errors.XML_ERROR_NO_ELEMENTS, expat.errors.XML_ERROR_UNCLOSED_TOKEN)
)
_FIELDS = ("time", "ele", "speed", "course")
# a hole longer than this starts a new segment when written
_GAP_S = 10.0


def recognises(data: bytes) -> bool:
    """Whether the root element is that of a GPX file."""
    head = data[:_HEAD_BYTES]
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        head = head.decode("utf-16", errors="replace").encode("utf-8")
    return head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<") and _ROOT.search(head) is not None


def read(
    name: str, data: bytes, column_map: ColumnMap | None = None, variation: MagneticVariation | None = None
) -> tuple[Track | None, tuple[Problem, ...]]:
    """The tracks of a file as one, in the order of the file; None when it holds no flight.

    A file that is cut or damaged gives what stands before the damage. There are no columns to map, and no magnetic
    directions.
    """
    if _DOCUMENT_TYPE.search(data[:_HEAD_BYTES]):
        return None, (_document_type(name),)
    parser = _Parser()
    damage = parser.parse(name, data)
    if damage is not None and damage.code != "recording-damaged":
        return None, (damage,)
    problems = () if damage is None else (damage,)
    sound = sound_fixes(parser.column("unix_s"), parser.column("lat"), parser.column("lon"))
    if len(sound.index) < 2:
        return None, (*problems, _no_fixes(name, parser))
    keep = sound.index
    fixes = channels.Fixes(*(parser.column(each)[keep] for each in ("unix_s", "lat", "lon")))
    track, _, faults = channels.track_of(name, fixes, _raw_columns(parser, keep), variation)
    notes = (*sound.notes, *parser.notes())
    return replace(track, notes=notes), (*problems, *faults)


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


class _Refused(Exception):  # raised inside the parser's callbacks to stop it, and caught here
    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.found)
        self.problem = problem


@dataclass(slots=True)
class _Parser:
    """What the events of the XML parser leave behind: one number a fix in each column, and counts."""

    name: str = ""
    columns: dict[str, list[float]] = field(default_factory=lambda: {key: [] for key in ("lat", "lon", *_FIELDS)})
    point: dict[str, float] = field(default_factory=dict)
    point_depth: int = 0
    depth: int = 0
    elements: int = 0
    text: str | None = None
    segments: int = 0
    tracks: int = 0
    other_points: int = 0

    def parse(self, name: str, data: bytes) -> Problem | None:
        """Read the whole file; a problem when it ended early."""
        self.name = name
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        parser.StartDoctypeDeclHandler = self._doctype
        parser.EntityDeclHandler = self._doctype
        data = data.lstrip(b" \t\r\n")  # nothing may stand before the declaration, and some recorders leave a line
        try:
            for start in range(0, len(data), _CHUNK_BYTES):
                chunk = data[start : start + _CHUNK_BYTES]
                parser.Parse(chunk, False)
                if start + len(chunk) - max(parser.CurrentByteIndex, 0) > _LONGEST_TOKEN_BYTES:
                    raise _Refused(_hostile(name, f"line {parser.CurrentLineNumber}", "a tag or text without end"))
            parser.Parse(b"", True)
        except _Refused as refused:
            return refused.problem
        except expat.ExpatError as error:
            is_cut = error.code in _ENDS_EARLY
            found = "the end of the file in the middle" if is_cut else f"damaged XML ({expat.ErrorString(error.code)})"
            return _damaged(name, error.lineno, found)
        except (LookupError, ValueError):
            return _damaged(name, parser.CurrentLineNumber, "an unknown encoding")
        return None

    def _doctype(self, *_: object) -> None:
        raise _Refused(_document_type(self.name))

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self.depth += 1
        self.elements += 1
        if self.depth > _DEEPEST:
            raise _Refused(_hostile(self.name, "", f"elements more than {_DEEPEST} deep"))
        if self.elements > _MOST_ELEMENTS + _MOST_ELEMENTS_A_FIX * len(self.columns["lat"]):
            raise _Refused(_hostile(self.name, "", f"{self.elements:,} elements and hardly a track point"))
        tag = tag.rpartition(":")[2]
        if tag == "trkpt":
            self.point = {"lat": _number(attributes.get("lat")), "lon": _number(attributes.get("lon"))}
            self.point_depth = self.depth
        elif self.point_depth and self.depth == self.point_depth + 1 and tag in _FIELDS:
            self.text = ""
        elif tag == "trkseg":
            self.segments += 1
        elif tag == "trk":
            self.tracks += 1
        elif tag in ("wpt", "rtept"):
            self.other_points += 1

    def _characters(self, text: str) -> None:
        if self.text is not None and len(self.text) < _LONGEST_TEXT:
            self.text += text[:_LONGEST_TEXT]

    def _end(self, tag: str) -> None:
        if self.text is not None and self.depth == self.point_depth + 1:
            tag = tag.rpartition(":")[2]
            self.point[tag] = _unix_s(self.text) if tag == "time" else _number(self.text)
            self.text = None
        elif self.point_depth and self.depth == self.point_depth:
            self.point_depth = 0
            for key, values in self.columns.items():
                values.append(self.point.get(key, math.nan))
            if len(self.columns["lat"]) > MOST_FIXES:
                raise _Refused(_hostile(self.name, "", f"more than {MOST_FIXES:,} fixes"))
        self.depth -= 1

    def column(self, key: str) -> Floats:
        """One number a fix, (n,), NaN where the file has none."""
        return np.array(self.columns["time" if key == "unix_s" else key], dtype=np.float64)

    def notes(self) -> tuple[str, ...]:
        """How the fixes were parted in the file."""
        if self.segments <= 1:
            return ()
        tracks = f" of {self.tracks} tracks" if self.tracks > 1 else ""
        return (f"{self.segments} segments{tracks} were joined.",)


def _raw_columns(parser: _Parser, keep: NDArray[np.intp]) -> list[channels.RawColumn]:
    columns = (
        ("ele", Channel.GPS_ALTITUDE, "m"),
        ("speed", Channel.GROUND_SPEED, "m/s"),
        ("course", Channel.TRACK, "deg true"),
    )
    return [
        channels.RawColumn.of(Column(key, channel, unit), value)
        for key, channel, unit in columns
        if np.isfinite(value := parser.column(key)[keep]).any()
    ]


def _number(text: str | None) -> float:
    if text is None or len(text) > _LONGEST_TEXT:
        return math.nan
    try:
        value = float(text)
    except ValueError:
        return math.nan
    return value if math.isfinite(value) else math.nan


def _unix_s(text: str) -> float:
    """A time of the schema (ISO 8601); UTC when it names no offset."""
    seconds, zone_s = times.moment_s(text)
    return seconds - (zone_s or 0.0)


def _document_type(name: str) -> Problem:
    remedy = "A recording needs none; export it once more from the recorder's own program."
    return Problem(name, "", "a document type or an entity", "plain GPX", remedy, "document-type-refused")


def _hostile(name: str, place: str, found: str) -> Problem:
    remedy = "Export the recording of the lesson once more."
    return Problem(name, place, found, "track points of a flight", remedy, "recording-refused")


def _damaged(name: str, line: int, found: str) -> Problem:
    remedy = "Only what stands before it was read; see whether the recording ends where the flight did."
    return Problem(name, f"line {line}", found, "well-formed XML to the end", remedy, "recording-damaged")


def _no_fixes(name: str, parser: _Parser) -> Problem:
    points = len(parser.columns["lat"])
    if points and not np.isfinite(parser.column("unix_s")).any():
        remedy = "Export the recorded track, not a drawn route: a glide cannot be judged without times."
        return Problem(name, "", f"{points:,} track points without a time", "a time at each", remedy, "no-times")
    if not points and parser.other_points:
        found = f"{parser.other_points:,} waypoints or route points and no track"
        remedy = "Export the recorded track."
        return Problem(name, "", found, "a recorded track", remedy, "no-fixes")
    remedy = "Send a recording that holds a flight."
    found = f"{points:,} track points, and no two of them with a time and a place"
    return Problem(name, "", found, "a recorded track", remedy, "no-fixes")
