"""What formats without a table have in common: fixes gathered one by one become a track, named numbers its channels."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from volplane.adapters.formats import channels, times, words
from volplane.adapters.formats.fixes import sound_fixes
from volplane.domain.track.track import Track
from volplane.errors import Problem
from volplane.services.ports import MagneticVariation
from volplane.services.recordings import Channel, Column

Floats = NDArray[np.float64]
_LONGEST_NUMBER = 64
# a number that counts from 1970 can be no other time of a recording: 1973 and later
_SECONDS = 1e8
_MILLISECONDS = 1e11
_MICROSECONDS = 1e14


def track_of_fixes(
    name: str,
    unix_s: Floats,
    latitude_deg: Floats,
    longitude_deg: Floats,
    columns: Sequence[channels.RawColumn],
    variation: MagneticVariation | None,
) -> tuple[Track | None, tuple[Problem, ...]]:
    """The track of fixes in file order, (n,) each and NaN where unknown; None with fewer than two sound fixes."""
    sound = sound_fixes(unix_s, latitude_deg, longitude_deg)
    keep = sound.index
    if len(keep) < 2:
        return None, ()
    fixes = channels.Fixes(unix_s[keep], latitude_deg[keep], longitude_deg[keep])
    kept = [replace(each, value=each.value[keep]) for each in columns]
    kept = [each for each in kept if np.isfinite(each.value).any()]
    track, _, problems = channels.track_of(name, fixes, kept, variation)
    return replace(track, notes=sound.notes), problems


def named_columns(values: Mapping[str, Sequence[float]], taken: frozenset[Channel]) -> list[channels.RawColumn]:
    """Columns of numbers that are known by a name only, as the words of their names mean them; the likeliest of each.

    Channels that are `taken` already are left alone.
    """
    best: dict[Channel, tuple[float, channels.RawColumn]] = {}
    for title, value in values.items():
        meaning = words.meaning_of(title)
        if meaning is None or meaning.channel in taken or meaning.channel not in READ_BY_NAME:
            continue
        column = Column(title, meaning.channel, meaning.unit, meaning.because)
        found = channels.RawColumn.of(column, np.array(value, dtype=np.float64))
        if meaning.likelihood_ratio > best.get(meaning.channel, (0.0, found))[0]:
            best[meaning.channel] = (meaning.likelihood_ratio, found)
    return [column for _, column in best.values()]


READ_BY_NAME = frozenset(channels.FIELDS) | frozenset(channels.ALTITUDES)


def number(text: str | None) -> float:
    """A number as XML writes it; NaN for anything else."""
    if text is None or len(text) > _LONGEST_NUMBER:
        return math.nan
    try:
        value = float(text)
    except ValueError:
        return math.nan
    return value if math.isfinite(value) else math.nan


def moment_unix_s(value: object) -> float:
    """A time in ISO 8601, UTC when it names no offset, or a count of s, ms or microseconds since 1970; else NaN."""
    if isinstance(value, str):
        seconds, zone_s = times.moment_s(value)
        if math.isfinite(seconds):
            return seconds - (zone_s or 0.0)
        value = number(value)
    if isinstance(value, bool) or not isinstance(value, int | float):
        return math.nan
    count = float(value) if abs(value) < 1e18 else math.nan
    if not count > _SECONDS:
        return math.nan
    return count / (1e6 if count > _MICROSECONDS else 1e3 if count > _MILLISECONDS else 1.0)


def no_track(name: str, fixes: int, timed: int, others: int, kind: str) -> Problem:
    """Why there is no track: points without times, other things than a track, or nothing of use."""
    if fixes and not timed:
        remedy = "Export the recorded track, not a drawn route: a glide cannot be judged without times."
        return Problem(name, "", f"{fixes:,} {kind} without a time", "a time at each", remedy, "no-times")
    if not fixes and others:
        found = f"{others:,} points, lines or areas and no track"
        return Problem(name, "", found, "a recorded track", "Export the recorded track.", "no-fixes")
    found = f"{fixes:,} {kind}, and no two of them with a time and a place"
    return Problem(name, "", found, "a recorded track", "Send a recording that holds a flight.", "no-fixes")
