"""A recording, whatever its format, becomes one track, and everything odd about the file is said.

A fault in somebody's file is data: nothing here raises for what a file holds. Without a track the problems are the
reasons why; with one they are what the instructor should know about it.
"""

from __future__ import annotations

import hashlib
from collections.abc import Callable, Sequence
from dataclasses import dataclass
from enum import StrEnum
from typing import Protocol

import numpy as np

from volplane.domain.debrief.kneeboard import KneeboardNotes
from volplane.domain.track.track import Track
from volplane.errors import Problem
from volplane.services.ports import MagneticVariation

# a lesson of two hours with every channel is a few megabytes; ours
LARGEST_FILE_BYTES = 64_000_000
# fewer fixes show no glide; ours
LEAST_FIXES = 10
# names that promise no more than text
_ANY_TEXT = (".txt", ".log", ".txt.gz", ".log.gz")


class Channel(StrEnum):
    """What a column of a table can mean."""

    DATE_AND_TIME = "date and time"
    DATE = "date"
    TIME_OF_DAY = "time of day"
    UTC_OFFSET = "offset from UTC"
    SECONDS_SINCE_1970 = "time since 1970"
    ELAPSED_TIME = "elapsed time"
    LATITUDE = "latitude"
    LONGITUDE = "longitude"
    GPS_ALTITUDE = "GPS altitude"
    INDICATED_ALTITUDE = "indicated altitude"
    PRESSURE_ALTITUDE = "pressure altitude"
    ELLIPSOID_ALTITUDE = "height above the ellipsoid"
    GROUND_SPEED = "ground speed"
    TRACK = "track"
    IAS = "indicated airspeed"
    TAS = "true airspeed"
    HEADING = "heading"
    PITCH = "pitch"
    BANK = "bank"
    VERTICAL_SPEED = "vertical speed"
    AIR_TEMPERATURE = "outside air temperature"
    MANIFOLD_PRESSURE = "manifold pressure"
    ENGINE_SPEED = "engine speed"


@dataclass(frozen=True, slots=True)
class Column:
    """One column of a table: its title, what it was taken as, in which unit, and why.

    `unit` is written as people write it: "ft", "kt", "deg true", "deg magnetic"; empty for times of day and dates.
    """

    title: str
    channel: Channel
    unit: str
    because: str = ""


@dataclass(frozen=True, slots=True)
class ColumnMap:
    """Which column of a table is what; shown after reading, and obeyed when it is passed in.

    Columns that are not listed are not read. `utc_offset_s` is local time less UTC for times that name no zone; None is
    not known.
    """

    columns: tuple[Column, ...]
    utc_offset_s: float | None = None

    def __post_init__(self) -> None:
        titles = [column.title for column in self.columns]
        if len(set(titles)) != len(titles):
            raise ValueError("a column map names a column twice")


class RecordingFormat(Protocol):
    """A format of recordings, offered by one module each.

    `NAME` is what people call it, `EXTENSIONS` what its files end in (lower case, with the point). `recognises` decides
    by content. `read` never raises for what a file holds; a column map speaks to formats that have columns, the
    magnetic variation to those that may hold magnetic directions.
    """

    NAME: str
    EXTENSIONS: tuple[str, ...]

    def recognises(self, data: bytes) -> bool: ...

    def read(
        self,
        name: str,
        data: bytes,
        column_map: ColumnMap | None = None,
        variation: MagneticVariation | None = None,
    ) -> tuple[Track | None, tuple[Problem, ...]]: ...


# takes a file out of its wrapping (gzip, zip), or says why it is no recording at all
Unwrap = Callable[[str, bytes], tuple[bytes | None, tuple[Problem, ...]]]


@dataclass(frozen=True, slots=True)
class Recording:
    """A file that was read: its track (None when refused), its format, the hash of the file as sent, what is odd.

    `notes` are readings written down where there was no recorder; such a file has no track.
    """

    track: Track | None
    format: str
    sha256: str
    problems: tuple[Problem, ...]
    notes: KneeboardNotes | None = None

    @property
    def is_refused(self) -> bool:
        """Whether nothing in it can be debriefed; its problems say why."""
        return self.track is None and self.notes is None


def read_recording(
    name: str,
    data: bytes,
    formats: Sequence[RecordingFormat],
    unwrap: Unwrap,
    *,
    column_map: ColumnMap | None = None,
    variation: MagneticVariation | None = None,
) -> Recording:
    """The track in a file, the format found by its content first and by its name second."""
    sha256 = hashlib.sha256(data).hexdigest()
    if refusal := _refused_by_size(name, data):
        return Recording(None, "", sha256, (refusal,))
    content, problems = unwrap(name, data)
    if content is None:
        return Recording(None, "", sha256, problems)
    by_name = _by_name(name, formats)
    found = next((each for each in formats if each.recognises(content)), by_name)
    if found is None:
        return Recording(None, "", sha256, (*problems, _no_recording(name, formats)))
    if by_name is not None and found is not by_name and not name.lower().endswith(_ANY_TEXT):
        problems = (*problems, _other_extension(name, by_name, found))
    track, faults = found.read(name, content, column_map, variation)
    track, shortcomings = _judged(name, track)
    return Recording(track, found.NAME, sha256, (*problems, *faults, *shortcomings))


def _refused_by_size(name: str, data: bytes) -> Problem | None:
    if not data:
        remedy = "Export the recording once more and look at the size of the file."
        return Problem(name, "", "an empty file", "a recording", remedy, "recording-empty")
    if len(data) > LARGEST_FILE_BYTES:
        return Problem(
            name,
            "",
            f"more than {LARGEST_FILE_BYTES / 1e6:,.0f} MB",
            f"at most {LARGEST_FILE_BYTES / 1e6:,.0f} MB",
            "Export the part with the lesson only.",
            "recording-too-large",
        )
    return None


def _by_name(name: str, formats: Sequence[RecordingFormat]) -> RecordingFormat | None:
    plain = name.lower().removesuffix(".gz")
    return next((each for each in formats if plain.endswith(each.EXTENSIONS)), None)


def named(formats: Sequence[RecordingFormat]) -> str:
    """The formats by their names, "CSV, GPX or IGC"."""
    *first, last = [each.NAME for each in formats]
    return f"{', '.join(first)} or {last}" if first else last


def _no_recording(name: str, formats: Sequence[RecordingFormat]) -> Problem:
    known = named(formats)
    remedy = f"Export the recording as {known} and send that file."
    return Problem(name, "", "text that is no recording", f"a recording in {known}", remedy, "recording-unknown")


def _other_extension(name: str, by_name: RecordingFormat, found: RecordingFormat) -> Problem:
    remedy = f"It was read as {found.NAME}; rename it if others are to read it too."
    return Problem(name, "", found.NAME, f"{by_name.NAME} by the file's name", remedy, "recording-other-extension")


def _judged(name: str, track: Track | None) -> tuple[Track | None, tuple[Problem, ...]]:
    """What every format has in common: too few fixes are refused, a missing altitude is said."""
    if track is None:
        return None, ()
    count = len(track.time_s)
    if count < LEAST_FIXES:
        expected = f"{LEAST_FIXES} or more"
        remedy = "Send the recording of the whole lesson."
        return None, (Problem(name, "", f"{count} fixes", expected, remedy, "recording-too-short"),)
    if track.altitude_m is None:
        remedy = "Without heights no glide can be judged; only the path over the ground is shown."
        missing = Problem(name, "", "no altitude", "an altitude at each fix", remedy, "recording-without-altitude")
        return track, (missing,)
    without = int(np.isnan(track.altitude_m).sum())
    if without:
        found = f"{without:,} of {count:,} fixes without an altitude"
        remedy = "Heights there are bridged from their neighbours or left open."
        return track, (Problem(name, "", found, "an altitude at each fix", remedy, "altitudes-missing"),)
    return track, ()
