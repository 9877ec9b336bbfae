"""GeoJSON with times: a line whose properties hold a time for each position, or points with a time each.

RFC 7946 has no times; the habits that are read are a list of times (`coordTimes`, `times`, also one level deeper)
beside a line's positions, and a time among the properties of a point. Other lists and properties are read by what their
names mean. A third coordinate is by the standard a height above the ellipsoid, and said to be one.
(IETF, RFC 7946, The GeoJSON Format, 2016, section 3.1.1.)
"""

from __future__ import annotations

import itertools
import json
import math
import re
from collections.abc import Iterator
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from volplane.adapters.formats import channels, gathering, lines, words
from volplane.domain.track.track import Track
from volplane.errors import Problem
from volplane.services.ports import MagneticVariation
from volplane.services.recordings import Channel, Column, ColumnMap

NAME = "GeoJSON"
EXTENSIONS: tuple[str, ...] = (".geojson", ".json")

Floats = NDArray[np.float64]

# read as a whole, which takes up to twenty times the room; a day at a fix a second is 8 MB. Ours
LARGEST_BYTES = 8_000_000
_NAN = math.nan
_SEEN = re.compile(rb'"type"\s*:\s*"(?:FeatureCollection|Feature|LineString|MultiLineString|GeometryCollection)"')
_HEAD_BYTES = 65_536
_TIMES = frozenset({"coordtimes", "times", "timestamps", "time", "coordinatetimes"})
_TIME_CHANNELS = (Channel.DATE_AND_TIME, Channel.TIME_OF_DAY, Channel.SECONDS_SINCE_1970)
_PLACE = frozenset({Channel.LATITUDE, Channel.LONGITUDE, Channel.ELLIPSOID_ALTITUDE})
_CLOSING = {"{": "}", "[": "]"}
# features inside collections inside collections; ours
_DEEPEST = 8
_MOST_NAMES = 100
_MOST_OPEN = 64
# brackets, commas and strings looked at to mend a file that breaks off; a day at a fix a second has some 600,000
_MOST_SIGNS = 1_000_000


def recognises(data: bytes) -> bool:
    """Whether a text begins as JSON and names a type of GeoJSON among its first bytes."""
    head = data[:_HEAD_BYTES].lstrip(b"\xef\xbb\xbf \t\r\n")
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        head = head.decode("utf-16", errors="replace").encode("utf-8")
    return head.startswith(b"{") and _SEEN.search(head) is not None


def read(
    name: str, data: bytes, column_map: ColumnMap | None = None, variation: MagneticVariation | None = None
) -> tuple[Track | None, tuple[Problem, ...]]:
    """The timed lines and points of a file as one track, in the order of the file; None when it holds no flight.

    A file that is cut or damaged gives what stands before the damage. There are no columns to map.
    """
    if len(data) > LARGEST_BYTES:
        expected = f"at most {LARGEST_BYTES / 1e6:,.0f} MB of GeoJSON"
        remedy = "Export the part with the lesson only."
        found = f"{len(data) / 1e6:,.0f} MB"
        return None, (Problem(name, "", found, expected, remedy, "recording-too-large"),)
    document, problems = _parsed(name, data.decode(lines.encoding_of(data), errors="replace"))
    fixes = _Fixes()
    for geometry, properties in _features(document, 0):
        fixes.take(geometry, properties)
    place = np.array(fixes.place, dtype=np.float64).reshape(-1, 3)
    columns = [
        channels.RawColumn.of(Column("third coordinate", Channel.ELLIPSOID_ALTITUDE, "m"), place[:, 2]),
        *gathering.named_columns(fixes.values(), _PLACE),
    ]
    unix_s = np.array(fixes.unix_s, dtype=np.float64)
    track, faults = gathering.track_of_fixes(name, unix_s, place[:, 1], place[:, 0], columns, variation)
    if track is None:
        timed = int(np.isfinite(unix_s).sum())
        return None, (*problems, gathering.no_track(name, len(unix_s), timed, fixes.others, "positions"))
    notes = (f"{fixes.lines} lines were joined.",) if fixes.lines > 1 else ()
    return replace(track, notes=(*track.notes, *notes)), (*problems, *fixes.problems(name), *faults)


def _parsed(name: str, text: str) -> tuple[Any, tuple[Problem, ...]]:
    """The document; where it is damaged, what stands before the damage with everything open closed."""
    text = text.strip("\ufeff \t\r\n\0")
    try:
        return json.loads(text, parse_constant=lambda _: _NAN), ()
    except json.JSONDecodeError as error:
        line, position = error.lineno, error.pos
    except (ValueError, RecursionError):
        return None, ()
    remedy = "Only what stands before it was read; see whether the recording ends where the flight did."
    problem = Problem(name, f"line {line}", "damaged JSON", "JSON to the end", remedy, "recording-damaged")
    try:
        return json.loads(_closed(text[:position]), parse_constant=lambda _: _NAN), (problem,)
    except (ValueError, RecursionError):
        return None, (problem,)


def _closed(text: str) -> str:
    """A text of JSON that breaks off, cut behind its last whole value, with everything open closed."""
    open_ones: list[str] = []
    whole, still_open = 0, ""
    signs = re.finditer(r'"(?:[^"\\]|\\.)*+"|[{}\[\],]', text)
    for match in itertools.islice(signs, _MOST_SIGNS):
        sign = match.group()
        if sign in _CLOSING:
            open_ones.append(sign)
        elif sign in ("}", "]") and (not open_ones or _CLOSING[open_ones.pop()] != sign):
            break
        if sign in ("}", "]", ",") and len(open_ones) <= _MOST_OPEN:
            whole = match.start() if sign == "," else match.end()
            still_open = "".join(open_ones)
    return text[:whole] + "".join(_CLOSING[each] for each in reversed(still_open))


def _features(value: Any, depth: int) -> Iterator[tuple[dict[str, Any], dict[str, Any]]]:
    """Every geometry with its properties; a bare geometry has none."""
    if not isinstance(value, dict) or depth > _DEEPEST:
        return
    properties = value.get("properties")
    properties = properties if isinstance(properties, dict) else {}
    if isinstance(value.get("features"), list):
        for feature in value["features"]:
            yield from _features(feature, depth + 1)
    elif isinstance(value.get("geometry"), dict):
        geometry = value["geometry"]
        for each in geometry["geometries"] if isinstance(geometry.get("geometries"), list) else [geometry]:
            if isinstance(each, dict):
                yield each, properties
    elif "coordinates" in value:
        yield value, properties


@dataclass(slots=True)
class _Fixes:
    """One number a fix in each list, and counts."""

    unix_s: list[float] = field(default_factory=list)
    place: list[tuple[float, float, float]] = field(default_factory=list)
    value: dict[str, dict[int, float]] = field(default_factory=dict)
    lines: int = 0
    others: int = 0
    unpaired: int = 0

    def take(self, geometry: dict[str, Any], properties: dict[str, Any]) -> None:
        """The fixes of one geometry."""
        kind, coordinates = geometry.get("type"), geometry.get("coordinates")
        if not isinstance(coordinates, list):
            return
        if kind == "Point":
            self._take_point(coordinates, properties)
        elif kind == "LineString":
            self._take_line(coordinates, _lists(properties))
        elif kind == "MultiLineString":
            beside = _lists(properties)
            for index, line in enumerate(coordinates):
                own = {key: each[index] if index < len(each) else [] for key, each in beside.items()}
                if isinstance(line, list):
                    self._take_line(line, {key: each for key, each in own.items() if isinstance(each, list)})
        else:
            self.others += 1

    def _take_point(self, coordinates: list[Any], properties: dict[str, Any]) -> None:
        unix_s = _moment_of(properties)
        if math.isnan(unix_s):
            self.others += 1
            return
        for key, value in list(properties.items())[:_MOST_NAMES]:
            self._note(key, len(self.unix_s), value)
        self.unix_s.append(unix_s)
        self.place.append(_place(coordinates))

    def _take_line(self, coordinates: list[Any], beside: dict[str, list[Any]]) -> None:
        self.lines += 1
        named = next((key for key in beside if key.casefold() in _TIMES), None)
        moments = [gathering.moment_unix_s(each) for each in beside[named]] if named is not None else []
        if named is not None:
            self.unpaired += abs(len(moments) - len(coordinates))
        first = len(self.unix_s)
        moments += [_NAN] * (len(coordinates) - len(moments))
        for coordinate, unix_s in zip(coordinates, moments, strict=False):
            self.unix_s.append(unix_s)
            self.place.append(_place(coordinate))
        for key, values in list(beside.items())[:_MOST_NAMES]:
            if len(values) == len(coordinates) and key != named:
                for index, value in enumerate(values, first):
                    self._note(key, index, value)

    def _note(self, key: str, index: int, value: Any) -> None:
        is_number = isinstance(value, int | float) and not isinstance(value, bool) and abs(value) < 1e15
        if is_number and (key in self.value or len(self.value) < _MOST_NAMES):
            self.value.setdefault(key, {})[index] = float(value)

    def values(self) -> dict[str, list[float]]:
        """The named values, one number a fix, NaN where there is none."""
        return {key: [each.get(i, _NAN) for i in range(len(self.unix_s))] for key, each in self.value.items()}

    def problems(self, name: str) -> tuple[Problem, ...]:
        """Times and positions that could not be paired."""
        if not self.unpaired:
            return ()
        found = f"{self.unpaired:,} times or positions of a line without their counterpart"
        remedy = "They were left out; the times of the others may be off by as many fixes."
        return (Problem(name, "", found, "as many times as positions", remedy, "times-unpaired"),)


def _lists(properties: dict[str, Any]) -> dict[str, list[Any]]:
    """The lists among the properties, and those one level deeper."""
    found: dict[str, list[Any]] = {}
    for key, value in properties.items():
        if isinstance(value, list):
            found[key] = value
        elif isinstance(value, dict):
            found |= {inner: each for inner, each in value.items() if isinstance(each, list)}
    return found


def _moment_of(properties: dict[str, Any]) -> float:
    """The time of a point, in the property whose name means one; the likeliest name first."""
    meant = [(key, words.meaning_of(key)) for key in list(properties)[:_MOST_NAMES] if isinstance(key, str)]
    likely = [
        (meaning.likelihood_ratio, key) for key, meaning in meant if meaning and meaning.channel in _TIME_CHANNELS
    ]
    for _, key in sorted(likely, key=lambda each: -each[0]):
        unix_s = gathering.moment_unix_s(properties[key])
        if math.isfinite(unix_s):
            return unix_s
    return _NAN


def _place(position: Any) -> tuple[float, float, float]:
    """Longitude, latitude and height; NaN for what is no number."""
    if not isinstance(position, list):
        return _NAN, _NAN, _NAN
    values = [
        float(each) if isinstance(each, int | float) and not isinstance(each, bool) and abs(each) < 1e9 else _NAN
        for each in position[:3]
    ]
    values += [_NAN] * (3 - len(values))
    return values[0], values[1], values[2]
