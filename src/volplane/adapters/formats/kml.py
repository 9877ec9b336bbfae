"""KML 2.2 and 2.3 tracks (`Track` with its `when` and `coord`) and placemarks with a time, read as a stream.

Coordinates are longitude, latitude, altitude; absolute altitudes are metres above the sea. A file whose altitudes are
drawn on the ground has none in the letter of the standard; altitudes that stand there all the same are taken, and said.
Lists of values beside a track are read by what their names mean. Drawn lines without times, views and styles are
passed over. (OGC 07-147r2, KML 2.2, sections 9 and 16; OGC 12-007r2, KML 2.3, `kml:Track`.)
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from volplane.adapters.formats import channels, gathering, xml_stream
from volplane.domain.track.track import Track
from volplane.errors import Problem
from volplane.services.ports import MagneticVariation
from volplane.services.recordings import Channel, Column, ColumnMap

NAME = "KML"
EXTENSIONS: tuple[str, ...] = (".kml", ".kmz")

Floats = NDArray[np.float64]

_ROOT = re.compile(rb"<(?:\w+:)?kml[\s>/]")
_PLACE = frozenset({Channel.LATITUDE, Channel.LONGITUDE, Channel.GPS_ALTITUDE})
# names of values beside the fixes; more is no recording. Ours
_MOST_NAMES = 100
_NAN = math.nan


def recognises(data: bytes) -> bool:
    """Whether the root element is that of a KML file."""
    return xml_stream.is_rooted(data, _ROOT)


def read(
    name: str, data: bytes, column_map: ColumnMap | None = None, variation: MagneticVariation | None = None
) -> tuple[Track | None, tuple[Problem, ...]]:
    """The tracks and timed placemarks of a file as one, in the order of the file; None when it holds no flight.

    A file that is cut or damaged gives what stands before the damage. There are no columns to map.
    """
    features = _Features()
    damage = xml_stream.read(name, NAME, data, features)
    if damage is not None and damage.code != "recording-damaged":
        return None, (damage,)
    features.close_track()
    problems = () if damage is None else (damage,)
    altitude_m, odd_altitudes = _altitudes(name, features)
    columns = [
        channels.RawColumn.of(Column("altitude", Channel.GPS_ALTITUDE, "m"), altitude_m),
        *gathering.named_columns(features.values(), _PLACE),
    ]
    places = [np.array(each, dtype=np.float64) for each in (features.unix_s, features.latitude, features.longitude)]
    track, faults = gathering.track_of_fixes(name, places[0], places[1], places[2], columns, variation)
    if track is None:
        timed = sum(map(math.isfinite, features.unix_s))
        return None, (*problems, gathering.no_track(name, features.fixes, timed, features.others, "track points"))
    problems = (*problems, *features.problems(name), *odd_altitudes, *faults)
    return replace(track, notes=(*track.notes, *features.notes())), problems


@dataclass(slots=True)
class _Block:
    """One `Track` as it comes: times and places in the order of the file, and the lists of values beside them."""

    when: list[float] = field(default_factory=list)
    coord: list[tuple[float, float, float]] = field(default_factory=list)
    order: list[bool] = field(default_factory=list)  # True for a time, False for a place
    value: dict[str, list[float]] = field(default_factory=dict)
    mode: str = ""

    def paired(self) -> list[tuple[float, tuple[float, float, float]]]:
        """Each place with its time: one by one where they alternate, by their order where they stand apart."""
        changes = sum(first != second for first, second in zip(self.order, self.order[1:], strict=False))
        if changes <= 1:
            return list(zip(self.when, self.coord, strict=False))
        pairs: list[tuple[float, tuple[float, float, float]]] = []
        times, places = iter(self.when), iter(self.coord)
        waiting: float | None = None
        for is_time in self.order:
            if is_time:
                waiting = next(times)
            else:
                place = next(places)
                if waiting is not None:
                    pairs.append((waiting, place))
                waiting = None
        return pairs


@dataclass(slots=True)
class _Mark:
    """A placemark as it comes; what it has in one of its parts becomes a fix."""

    unix_s: float = _NAN
    place: tuple[float, float, float] | None = None
    value: dict[str, float] = field(default_factory=dict)
    mode: str = ""


@dataclass(slots=True)
class _Features:
    """What the elements leave behind: one number a fix in each list, and counts."""

    unix_s: list[float] = field(default_factory=list)
    latitude: list[float] = field(default_factory=list)
    longitude: list[float] = field(default_factory=list)
    altitude: list[float] = field(default_factory=list)
    mode: list[str] = field(default_factory=list)
    value: dict[str, dict[int, float]] = field(default_factory=dict)
    path: list[str] = field(default_factory=list)
    block: _Block | None = None
    mark: _Mark | None = None
    name_of_value: str = ""
    tracks: int = 0
    others: int = 0
    unpaired: int = 0

    @property
    def fixes(self) -> int:
        """How many fixes were read, those of the open track among them."""
        return len(self.unix_s) + (len(self.block.when) if self.block is not None else 0)

    def start(self, tag: str, attributes: dict[str, str], depth: int) -> bool:
        """A track, a placemark, or one of their values."""
        parent = self.path[-1] if self.path else ""
        self.path.append(tag)
        if tag == "Track":
            self.close_track()
            self.block = _Block()
            self.tracks += 1
        elif tag == "Placemark":
            self.mark = _Mark()
        elif tag in ("LineString", "Polygon", "LinearRing"):
            self.others += 1
        elif tag in ("SimpleArrayData", "Data", "SimpleData"):
            self.name_of_value = attributes.get("name", "")[:80]
        return tag in ("when", "begin", "coord", "altitudeMode", "value", "SimpleData") or (
            tag == "coordinates" and parent == "Point"
        )

    def end(self, tag: str, text: str, depth: int) -> None:
        """A value of the open track or placemark, or the end of one."""
        self.path.pop()
        parent = self.path[-1] if self.path else ""
        text = text.strip()
        if self.block is not None:
            self._end_in_track(self.block, tag, text)
        elif self.mark is not None:
            self._end_in_mark(self.mark, tag, parent, text)

    def _end_in_track(self, block: _Block, tag: str, text: str) -> None:
        if tag == "when":
            block.when.append(gathering.moment_unix_s(text))
            block.order.append(True)
        elif tag == "coord":
            block.coord.append(_place(text.split()))
            block.order.append(False)
        elif tag == "altitudeMode":
            block.mode = text
        elif tag == "value" and (self.name_of_value in block.value or len(block.value) < _MOST_NAMES):
            block.value.setdefault(self.name_of_value, []).append(gathering.number(text))
        elif tag == "Track":
            self.close_track()

    def _end_in_mark(self, mark: _Mark, tag: str, parent: str, text: str) -> None:
        if (tag == "when" and parent == "TimeStamp") or (tag == "begin" and parent == "TimeSpan"):
            mark.unix_s = gathering.moment_unix_s(text)
        elif tag == "coordinates":
            mark.place = _place(text.split(","))
        elif tag == "altitudeMode":
            mark.mode = text
        elif tag in ("value", "SimpleData"):
            mark.value[self.name_of_value] = gathering.number(text)
        elif tag == "Placemark":
            self.mark = None
            if mark.place is None or math.isnan(mark.unix_s):
                self.others += mark.place is not None
                return
            for key, value in mark.value.items():
                if key in self.value or len(self.value) < _MOST_NAMES:
                    self.value.setdefault(key, {})[len(self.unix_s)] = value
            self._add(mark.unix_s, mark.place, mark.mode)

    def close_track(self) -> None:
        """Take the fixes of the open track; also when the file ends inside it."""
        block, self.block = self.block, None
        if block is None:
            return
        pairs = block.paired()
        self.unpaired += max(len(block.when), len(block.coord)) - len(pairs)
        first = len(self.unix_s)
        for unix_s, place in pairs:
            self._add(unix_s, place, block.mode)
        for key, values in block.value.items():
            # a list with holes nobody can place is not believed
            if len(values) == len(block.when) == len(pairs):
                self.value.setdefault(key, {}).update(enumerate(values, first))

    def _add(self, unix_s: float, place: tuple[float, float, float], mode: str) -> None:
        self.unix_s.append(unix_s)
        for column, value in zip((self.longitude, self.latitude, self.altitude), place, strict=True):
            column.append(value)
        self.mode.append(mode)

    def values(self) -> dict[str, list[float]]:
        """The named values, one number a fix, NaN where there is none."""
        return {key: [each.get(i, _NAN) for i in range(len(self.unix_s))] for key, each in self.value.items()}

    def problems(self, name: str) -> tuple[Problem, ...]:
        """Times and places that could not be paired."""
        if not self.unpaired:
            return ()
        found = f"{self.unpaired:,} times or places of a track without their counterpart"
        remedy = "They were left out; the times of the others may be off by as many fixes."
        return (Problem(name, "", found, "as many times as places", remedy, "times-unpaired"),)

    def notes(self) -> tuple[str, ...]:
        """How the fixes were parted in the file."""
        return (f"{self.tracks} tracks were joined.",) if self.tracks > 1 else ()


def _place(parts: list[str]) -> tuple[float, float, float]:
    """Longitude, latitude and altitude; an altitude may be missing."""
    values = [gathering.number(part.strip()) for part in parts[:3]]
    values += [_NAN] * (3 - len(values))
    return values[0], values[1], values[2]


def _altitudes(name: str, features: _Features) -> tuple[Floats, tuple[Problem, ...]]:
    """Altitudes above the sea in m, (n,), and what is odd about them."""
    altitude_m = np.array(features.altitude, dtype=np.float64)
    mode = np.array(features.mode, dtype=object)
    if not len(mode):
        return altitude_m, ()
    above_ground = mode == "relativeToGround"
    problems: list[Problem] = []
    if (above_ground & np.isfinite(altitude_m)).any():
        remedy = "They were left out, because the ground below is not known; export altitudes above the sea."
        found = "altitudes above the ground below"
        problems.append(Problem(name, "", found, "altitudes above the sea", remedy, "altitude-above-ground"))
    altitude_m = np.where(above_ground, _NAN, altitude_m)
    on_ground = (mode != "absolute") & ~above_ground
    if on_ground.all() and not (np.nan_to_num(altitude_m) != 0.0).any():
        return np.full(len(altitude_m), _NAN), tuple(problems)
    if (on_ground & np.isfinite(altitude_m)).any():
        remedy = "They were taken as above the sea."
        found = "altitudes in a file that draws its track on the ground"
        problems.append(Problem(name, "", found, "the altitude mode absolute", remedy, "altitude-mode"))
    return altitude_m, tuple(problems)
