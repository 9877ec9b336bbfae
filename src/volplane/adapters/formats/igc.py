"""IGC flight records: the fixes of the B lines, their extensions by the I line, the day of the H lines.

Times are UTC, places degrees and thousandths of minutes (more digits where the extensions LAD and LOD hold them),
pressure altitudes metres on the standard setting. The altitude of the receiver is above the ellipsoid or the sea as an
H line says; where none does, that is left open and said. A line that cannot be read is left out and counted. The
record's signature is not checked.
(FAI, Technical Specification for GNSS Flight Recorders, appendix A, A2-A4.)
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from volplane.adapters.formats import channels, gathering, lines, times
from volplane.domain.track.track import Track
from volplane.errors import Problem
from volplane.services.ports import MagneticVariation
from volplane.services.recordings import Channel, Column, ColumnMap

NAME = "IGC"
EXTENSIONS: tuple[str, ...] = (".igc",)

Floats = NDArray[np.float64]

# a day at ten fixes a second; ours
MOST_FIXES = 900_000
_NAN = math.nan
_B = re.compile(
    r"B(?P<h>\d\d)(?P<m>[0-5]\d)(?P<s>[0-5]\d)(?P<lat>\d{7})(?P<ns>[NS])(?P<lon>\d{8})(?P<ew>[EW])(?P<validity>[AV])"
    r"(?P<pressure>-\d{4}|\d{5})(?P<gnss>-\d{4}|\d{5})(?P<rest>.*)",
    re.ASCII,
)
_SEEN = re.compile(rb"(?:^|[\r\n])(?:B\d{13}[NS]\d{8}[EW][AV]|HFDTE(?:DATE:)?\d{6})", re.ASCII)
_DAY = re.compile(r"HFDTE(?:DATE:)?\s*(\d{6})", re.ASCII)
_EXTENSION = re.compile(r"(\d\d)(\d\d)([A-Z0-9]{3})", re.ASCII)
_MOST_EXTENSIONS = 60
_HEAD_BYTES = 65_536
# three figures in the unit that the specification gives them
_CHANNEL_OF_EXTENSION = {
    "GSP": (Channel.GROUND_SPEED, "km/h"),
    "TRT": (Channel.TRACK, "deg true"),
    "IAS": (Channel.IAS, "km/h"),
    "TAS": (Channel.TAS, "km/h"),
    "HDT": (Channel.HEADING, "deg true"),
    "HDM": (Channel.HEADING, "deg magnetic"),
}
_FIGURES = 3


@dataclass(frozen=True, slots=True)
class Extension:
    """What stands in some columns of a B line beyond the fix: columns counted from 1, both included."""

    code: str
    first_column: int
    last_column: int


@dataclass(frozen=True, slots=True)
class BFix:
    """One B line: seconds since midnight UTC, place, altitudes in m (NaN where it has none), extensions by code."""

    clock_s: float
    latitude_deg: float
    longitude_deg: float
    is_3d: bool
    pressure_altitude_m: float
    gnss_altitude_m: float
    extension: dict[str, str]


def recognises(data: bytes) -> bool:
    """Whether a B line or a line with the day is among the first lines."""
    return _SEEN.search(data[:_HEAD_BYTES].lstrip(b"\xef\xbb\xbf\0")) is not None


def read(
    name: str, data: bytes, column_map: ColumnMap | None = None, variation: MagneticVariation | None = None
) -> tuple[Track | None, tuple[Problem, ...]]:
    """The fixes of a record in file order; None when it holds no flight. There are no columns to map."""
    record = _Record()
    record.fill(data)
    if record.is_hopeless:
        return None, (lines.hopeless(name, record.lines_read),)
    if record.is_too_long:
        remedy = "Export the part with the lesson only."
        found, expected = f"more than {MOST_FIXES:,} fixes", f"at most {MOST_FIXES:,}"
        return None, (Problem(name, "", found, expected, remedy, "recording-too-long"),)
    unix_s, dated = record.unix_s(name)
    problems = (*record.problems(name), *dated)
    places = [np.array([getattr(fix, each) for fix in record.fixes]) for each in ("latitude_deg", "longitude_deg")]
    columns = record.columns()
    track, faults = gathering.track_of_fixes(name, unix_s, places[0], places[1], columns, variation)
    if track is None:
        return None, (*problems, gathering.no_track(name, len(record.fixes), len(record.fixes), 0, "B lines"))
    problems = (*problems, *record.about_altitude(name), *faults)
    return replace(track, notes=(*track.notes, *record.notes())), problems


def extensions_of(line: str) -> tuple[Extension, ...]:
    """What an I line says of the B lines, "I033638FXA3940SIU4143ENL" that columns 36 to 38 hold FXA, and so on."""
    found = _EXTENSION.findall(line[3:])[:_MOST_EXTENSIONS]
    made = (Extension(code, int(first), int(last)) for first, last, code in found)
    return tuple(each for each in made if 36 <= each.first_column <= each.last_column)


def fix_of(line: str, extensions: tuple[Extension, ...] = ()) -> BFix | None:
    """The fix of a B line; None when the line is damaged."""
    match = _B.fullmatch(line)
    if match is None:
        return None
    held = {each.code: line[each.first_column - 1 : each.last_column] for each in extensions}
    latitude = _degrees(match["lat"], 2, held.get("LAD", ""))
    longitude = _degrees(match["lon"], 3, held.get("LOD", ""))
    if int(match["h"]) > 23 or not (latitude <= 90.0 and longitude <= 180.0):
        return None
    is_3d = match["validity"] == "A"
    return BFix(
        int(match["h"]) * 3600.0 + int(match["m"]) * 60.0 + int(match["s"]) + _fraction(held.get("TDS", "")),
        -latitude if match["ns"] == "S" else latitude,
        -longitude if match["ew"] == "W" else longitude,
        is_3d,
        float(match["pressure"]),
        float(match["gnss"]) if is_3d else _NAN,
        held,
    )


def _degrees(digits: str, degree_digits: int, more: str) -> float:
    """Degrees from degrees and thousandths of minutes; NaN from sixty minutes on."""
    minutes = (int(digits[degree_digits:]) + _fraction(more)) / 1000.0
    return int(digits[:degree_digits]) + minutes / 60.0 if minutes < 60.0 else _NAN


def _fraction(digits: str) -> float:
    return int(digits) / 10.0 ** len(digits) if digits.isascii() and digits.isdigit() else 0.0


@dataclass(slots=True)
class _Record:
    """The lines of a record that matter, read one by one."""

    fixes: list[BFix] = field(default_factory=list)
    day_s: list[float] = field(default_factory=list)  # the midnight that was last said before each fix
    extensions: tuple[Extension, ...] = ()
    altitude_of: str = ""
    b_lines: int = 0
    bad_lines: int = 0
    first_bad: int = 0
    is_cut: bool = False
    lines_read: int = 0
    is_too_long: bool = False
    is_hopeless: bool = False

    def fill(self, data: bytes) -> None:
        """Read all lines."""
        day_s = _NAN
        for number, text, is_whole in lines.lines(data):
            line = text.strip(" \t\0\ufeff") if text is not None else ""
            if line.startswith("B"):
                self._take(number, line, day_s, is_whole=is_whole)
            elif found := _DAY.match(line):
                read = times.date_s(found[1])
                day_s = read if math.isfinite(read) else day_s
            elif line.startswith("I"):
                self.extensions = extensions_of(line) or self.extensions
            elif line.startswith("HFALG"):
                self.altitude_of = line.rpartition(":")[2].strip().upper()
            self.lines_read = number
            self.is_too_long = len(self.fixes) > MOST_FIXES
            self.is_hopeless = lines.is_hopeless(number, len(self.fixes))
            if self.is_too_long or self.is_hopeless:
                return

    def _take(self, number: int, line: str, day_s: float, *, is_whole: bool) -> None:
        self.b_lines += 1
        fix = fix_of(line, self.extensions)
        if fix is not None:
            self.fixes.append(fix)
            self.day_s.append(day_s)
        elif not is_whole:
            self.is_cut = True
        else:
            self.bad_lines += 1
            self.first_bad = self.first_bad or number

    def unix_s(self, name: str) -> tuple[Floats, tuple[Problem, ...]]:
        """Seconds since 1970 of each fix, (n,); over midnight they go on."""
        day_s = np.array(self.day_s, dtype=np.float64)
        clock_s = np.array([fix.clock_s for fix in self.fixes], dtype=np.float64)
        problems: tuple[Problem, ...] = ()
        if len(day_s) and not np.isfinite(day_s).any():
            remedy = "The day was left at 1 January 1970; durations are right."
            problems = (Problem(name, "", "no line with the day", "a line HFDTE", remedy, "date-missing"),)
        days = np.unique(day_s[np.isfinite(day_s)])
        base_s = days[0] if len(days) else 0.0
        if len(days) > 1:
            # a record of several days says each of them
            return np.where(np.isfinite(day_s), day_s, base_s) + clock_s, problems
        return base_s + np.array(times.with_midnights(clock_s.tolist()), dtype=np.float64), problems

    def columns(self) -> list[channels.RawColumn]:
        """Altitudes and the extensions that are channels of a track."""
        gnss = Channel.ELLIPSOID_ALTITUDE if self.altitude_of == "ELL" else Channel.GPS_ALTITUDE
        raw = [("GNSS altitude", gnss, "m", np.array([fix.gnss_altitude_m for fix in self.fixes], dtype=np.float64))]
        pressure_m = np.array([fix.pressure_altitude_m for fix in self.fixes], dtype=np.float64)
        raw.append(("pressure altitude", Channel.PRESSURE_ALTITUDE, "m", pressure_m))
        # recorders without a sensor write nought throughout
        raw = [(*each[:3], np.where(np.any(each[3] != 0.0), each[3], _NAN)) for each in raw]
        for each in self.extensions:
            if each.code in _CHANNEL_OF_EXTENSION and each.last_column - each.first_column + 1 == _FIGURES:
                value = np.array([_whole(fix.extension.get(each.code, "")) for fix in self.fixes])
                raw.append((each.code, *_CHANNEL_OF_EXTENSION[each.code], value))
        return [
            channels.RawColumn.of(Column(title, channel, unit, "the I line"), value)
            for title, channel, unit, value in raw
        ]

    def about_altitude(self, name: str) -> tuple[Problem, ...]:
        """That nobody says above what the receiver's altitudes are."""
        if self.altitude_of or not any(fix.gnss_altitude_m for fix in self.fixes if fix.is_3d):
            return ()
        found = "receiver's altitudes of which no line says whether they are above the sea or the ellipsoid"
        remedy = "They were taken as above the sea and may be off by up to 100 m; standing on the runway mends it."
        return (Problem(name, "", found, "a line HFALG", remedy, "altitude-datum-open"),)

    def problems(self, name: str) -> tuple[Problem, ...]:
        """Damaged lines."""
        found: list[Problem] = []
        if self.bad_lines:
            what = f"{self.bad_lines:,} of {self.b_lines:,} B lines unreadable"
            place, expected = f"line {self.first_bad}", "a time, a place and two altitudes in each"
            found.append(Problem(name, place, what, expected, "They were left out.", "lines-unreadable"))
        if self.is_cut:
            remedy = "It was left out; see whether the recording ends where the flight did."
            found.append(Problem(name, "last line", "half a line", "a whole line", remedy, "last-line-cut"))
        return tuple(found)

    def notes(self) -> tuple[str, ...]:
        """What the recorder says of itself and of the engine."""
        notes: list[str] = []
        flat = sum(not fix.is_3d for fix in self.fixes)
        if flat:
            notes.append(f"{flat} fixes without a height from the receiver.")
        for code, sentence in (
            ("FXA", "The recorder states a position accuracy of {:.0f} m in the middle."),
            ("ENL", "Engine noise between {low:.0f} and {high:.0f} of 999 was recorded; no power was taken from it."),
        ):
            value = np.array([_whole(fix.extension.get(code, "")) for fix in self.fixes])
            if np.isfinite(value).any():
                middle, low, high = float(np.nanmedian(value)), float(np.nanmin(value)), float(np.nanmax(value))
                notes.append(sentence.format(middle, low=low, high=high))
        return tuple(notes)


def _whole(text: str) -> float:
    return float(text) if text.isascii() and text.isdigit() else _NAN
