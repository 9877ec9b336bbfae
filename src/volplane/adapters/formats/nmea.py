"""NMEA 0183 sentences of a receiver: GGA, RMC, VTG and ZDA of any talker, joined second by second.

A sentence must carry its checksum and pass it; others are left out and counted. Times are UTC, speeds knots, courses
true, the altitude of GGA is above the sea. What stands before the dollar sign of a line is passed over.
(NMEA 0183, Standard for Interfacing Marine Electronic Devices, 3.01: checksum field 5.3.1.5, sentences 6.3.)
"""

from __future__ import annotations

import math
import re
from dataclasses import dataclass, field, replace
from typing import Any

import numpy as np
from numpy.typing import NDArray

from volplane.adapters.formats import channels, gathering, lines, times
from volplane.domain.track.track import Track
from volplane.errors import Problem
from volplane.services.ports import MagneticVariation
from volplane.services.recordings import Channel, Column, ColumnMap

NAME = "NMEA 0183"
EXTENSIONS: tuple[str, ...] = (".nmea", ".nma")

Floats = NDArray[np.float64]

# a day at one fix a second in four sentences; ours
MOST_SENTENCES = 400_000
_NAN = math.nan
_TALKED = re.compile(r"\$[A-Z]{2}(GGA|RMC|VTG|ZDA),", re.ASCII)
_SEEN = re.compile(rb"\$[A-Z]{2}(?:GGA|RMC|VTG|ZDA),")
_ANY_SENTENCE = re.compile(r"\$[A-Z]{2,5}", re.ASCII)
_HEAD_BYTES = 65_536
_COORDINATE = re.compile(r"(\d{2,3})(\d\d(?:\.\d+)?)", re.ASCII)
_HALF_DAY_S = times.DAY_S / 2.0


@dataclass(slots=True)
class Epoch:
    """What the sentences of one moment say; NaN for what they do not. Angles in degrees true, speeds in knots."""

    clock_s: float
    date_s: float = _NAN
    latitude_deg: float = _NAN
    longitude_deg: float = _NAN
    altitude_m: float = _NAN
    speed_kt: float = _NAN
    track_deg: float = _NAN


@dataclass(slots=True)
class _Direction:
    """Speed and course of a VTG sentence, which has no time of its own; the course as it stands, true or magnetic."""

    speed_kt: float
    true_deg: float
    magnetic_deg: float


def recognises(data: bytes) -> bool:
    """Whether one of the sentences is among the first lines."""
    return _SEEN.search(data[:_HEAD_BYTES].replace(b"\0", b"")) is not None


def read(
    name: str, data: bytes, column_map: ColumnMap | None = None, variation: MagneticVariation | None = None
) -> tuple[Track | None, tuple[Problem, ...]]:
    """The fixes of a log in file order; None when it holds no flight. There are no columns to map."""
    log = _Log()
    log.fill(data)
    if log.is_hopeless:
        return None, (lines.hopeless(name, log.lines_read),)
    if log.is_too_long:
        found, expected = f"more than {MOST_SENTENCES:,} sentences", f"at most {MOST_SENTENCES:,}"
        remedy = "Export the part with the lesson only."
        return None, (Problem(name, "", found, expected, remedy, "recording-too-long"),)
    unix_s, dated = log.unix_s(name)
    problems = (*log.problems(name), *dated)
    columns = [
        channels.RawColumn.of(Column(title, channel, unit), log.column(each))
        for title, channel, unit, each in (
            ("GGA altitude", Channel.GPS_ALTITUDE, "m", "altitude_m"),
            ("speed over ground", Channel.GROUND_SPEED, "kt", "speed_kt"),
            ("course over ground", Channel.TRACK, "deg true", "track_deg"),
        )
    ]
    places = [log.column(each) for each in ("latitude_deg", "longitude_deg")]
    track, faults = gathering.track_of_fixes(name, unix_s, places[0], places[1], columns, variation)
    if track is None:
        count = len(log.epochs)
        return None, (*problems, gathering.no_track(name, count, count, 0, "sentences with a time"))
    return replace(track, notes=(*track.notes, *log.notes())), (*problems, *faults)


@dataclass(slots=True)
class _Log:
    """The sentences that matter, read line by line."""

    epochs: list[Epoch] = field(default_factory=list)
    variation_deg: float = _NAN
    waiting: _Direction | None = None
    has_direction: bool = False
    date_s: float = _NAN
    sentences: int = 0
    bad: int = 0
    first_bad: int = 0
    without_checksum: int = 0
    without_fix: int = 0
    is_cut: bool = False
    lines_read: int = 0
    is_too_long: bool = False
    is_hopeless: bool = False

    def fill(self, data: bytes) -> None:
        """Read all lines."""
        import pynmea2  # not needed for the other formats

        for number, text, is_whole in lines.lines(data):
            self.lines_read = number
            if lines.is_hopeless(number, len(self.epochs)):
                self.is_hopeless = True
                return
            found = _TALKED.search(text) if text is not None else None
            if found is None or text is None:
                self._count_other(number, text, is_whole=is_whole)
                continue
            self.sentences += 1
            if self.sentences > MOST_SENTENCES:
                self.is_too_long = True
                return
            sentence = text[found.start() :].strip(" \t\0")
            try:
                self._take(found[1], pynmea2.parse(sentence, check=True))
            except (ValueError, TypeError, AttributeError, IndexError):
                self._count_bad(number, sentence, is_whole=is_whole)

    def _count_other(self, number: int, text: str | None, *, is_whole: bool) -> None:
        """A line that is none of the sentences: fine when it is another one, damage when it is none at all."""
        if text is not None and (not text.strip(" \t\0") or _ANY_SENTENCE.search(text)):
            return
        self.sentences += 1
        self._count_bad(number, "*", is_whole=is_whole)

    def _count_bad(self, number: int, sentence: str, *, is_whole: bool) -> None:
        if not is_whole:
            self.is_cut = True
            return
        self.bad += 1
        self.without_checksum += "*" not in sentence
        self.first_bad = self.first_bad or number

    def _take(self, kind: str, sentence: Any) -> None:
        data: list[str] = sentence.data
        if kind == "VTG":
            self._take_direction(_direction(data))
            return
        clock_s, _ = times.clock_s(data[0])
        if math.isnan(clock_s):
            self.without_fix += 1
            return
        if not self.epochs or self.epochs[-1].clock_s != clock_s:
            self._begin(clock_s)
        epoch = self.epochs[-1]
        if kind == "GGA":
            self._take_gga(epoch, data)
        elif kind == "RMC":
            self._take_rmc(epoch, data)
        else:
            day = [int(each) for each in data[1:4]]
            epoch.date_s = times.date_s(f"{day[2]:04}-{day[1]:02}-{day[0]:02}")

    def _begin(self, clock_s: float) -> None:
        self.epochs.append(Epoch(clock_s))
        self.has_direction = False
        if self.waiting is not None:
            waiting, self.waiting = self.waiting, None
            self._take_direction(waiting)

    def _take_gga(self, epoch: Epoch, data: list[str]) -> None:
        if data[5] in ("", "0"):
            self.without_fix += 1
            return
        epoch.latitude_deg, epoch.longitude_deg = _place(data[1:5])
        if data[9] in ("M", "m"):
            epoch.altitude_m = gathering.number(data[8])

    def _take_rmc(self, epoch: Epoch, data: list[str]) -> None:
        epoch.date_s = times.date_s(data[8]) if len(data[8]) == 6 else _NAN
        if data[1] != "A":
            self.without_fix += 1
            return
        if math.isnan(epoch.latitude_deg):
            epoch.latitude_deg, epoch.longitude_deg = _place(data[2:6])
        epoch.speed_kt, epoch.track_deg = gathering.number(data[6]), gathering.number(data[7])
        east_deg = variation_east_deg(data)
        self.variation_deg = east_deg if math.isfinite(east_deg) else self.variation_deg

    def _take_direction(self, direction: _Direction) -> None:
        """Give speed and course to the moment they belong to: the open one, or the next if that has its own."""
        if not self.epochs or self.has_direction:
            self.waiting = direction
            return
        self.has_direction = True
        epoch = self.epochs[-1]
        true_deg = direction.true_deg
        if math.isnan(true_deg):
            true_deg = direction.magnetic_deg + self.variation_deg
        # the sentence with the position also tells speed and course as a rule; this one only fills what is missing
        epoch.speed_kt = direction.speed_kt if math.isnan(epoch.speed_kt) else epoch.speed_kt
        epoch.track_deg = true_deg if math.isnan(epoch.track_deg) else epoch.track_deg

    def column(self, name: str) -> Floats:
        """One number a moment, (n,)."""
        return np.array([getattr(epoch, name) for epoch in self.epochs], dtype=np.float64)

    def unix_s(self, name: str) -> tuple[Floats, tuple[Problem, ...]]:
        """Seconds since 1970 of each moment, (n,): the day from the nearest sentence that names one."""
        clock_s, date_s = self.column("clock_s"), self.column("date_s")
        dated = np.flatnonzero(np.isfinite(date_s))
        if not len(dated):
            remedy = "The day was left at 1 January 1970; durations are right."
            problem = Problem(name, "", "no sentence with a date", "RMC or ZDA", remedy, "date-missing")
            unwrapped = np.array(times.with_midnights(clock_s.tolist()), dtype=np.float64)
            return unwrapped, (problem,) if len(clock_s) else ()
        place = np.searchsorted(dated, np.arange(len(clock_s))).clip(0, len(dated) - 1)
        nearest = dated[place]
        apart_s = clock_s - clock_s[nearest]
        days = np.where(apart_s > _HALF_DAY_S, -1.0, np.where(apart_s < -_HALF_DAY_S, 1.0, 0.0))
        return date_s[nearest] + clock_s + days * times.DAY_S, ()

    def problems(self, name: str) -> tuple[Problem, ...]:
        """Sentences that were damaged or carried no checksum."""
        found: list[Problem] = []
        if self.bad:
            what = f"{self.bad:,} of {self.sentences:,} sentences damaged"
            if self.without_checksum:
                what += f", {self.without_checksum:,} of them without a checksum"
            expected = "sentences that pass their checksum"
            place = f"line {self.first_bad}"
            found.append(Problem(name, place, what, expected, "They were left out.", "lines-unreadable"))
        if self.is_cut:
            remedy = "It was left out; see whether the recording ends where the flight did."
            found.append(Problem(name, "last line", "half a line", "a whole line", remedy, "last-line-cut"))
        return tuple(found)

    def notes(self) -> tuple[str, ...]:
        """What was passed over without harm."""
        return (f"{self.without_fix} sentences from before the receiver knew its place.",) if self.without_fix else ()


def variation_east_deg(rmc: list[str]) -> float:
    """Magnetic variation of an RMC sentence's fields in degrees, east positive; NaN when it names none.

    A westerly variation makes the magnetic direction the larger one.
    """
    size_deg = gathering.number(rmc[9]) if len(rmc) > 10 else _NAN
    return -size_deg if len(rmc) > 10 and rmc[10].upper().startswith("W") else size_deg


def _direction(data: list[str]) -> _Direction:
    """The fields of a VTG sentence: true course, T, magnetic course, M, knots, N, km/h, K."""
    speed_kt = gathering.number(data[4])
    return _Direction(speed_kt, gathering.number(data[0]), gathering.number(data[2]))


def _place(fields: list[str]) -> tuple[float, float]:
    """Latitude, its side, longitude, its side, as degrees and minutes run together; NaN when they are none."""
    found = []
    for digits, side, negative in ((fields[0], fields[1], "S"), (fields[2], fields[3], "W")):
        match = _COORDINATE.fullmatch(digits) if len(digits) < 32 else None
        if match is None or float(match[2]) >= 60.0 or side not in ("N", "S", "E", "W"):
            return _NAN, _NAN
        value = int(match[1]) + float(match[2]) / 60.0
        found.append(-value if side == negative else value)
    return found[0], found[1]
