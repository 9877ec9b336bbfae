"""Heights above the touchdown point from whatever a recorder writes, with the slow error that stays in them.

Where the wheels stood on ground of known elevation, that corrects all altitudes; from there on the error grows again,
because a receiver's altitude wanders and today's pressure drifts.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.track.coarse import STEP_SD_FACTOR, altitude_step_m, read_at_changes
from volplane.domain.track.track import AltitudeSource, Track

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# of a GPS altitude's error this part wanders, with a memory of some minutes; the rest stays for hours. Ours
WANDERING_FACTOR, WANDER_S = 0.8, 150.0
# an altitude read from an altimeter or a barometer: setting, temperature and instrument together; ours
PRESSURE_SD_M, PRESSURE_WANDER_S = 10.0, 3600.0
# air three kelvins warmer or colder than it was taken for, as a part of the height; ours
AIR_SD_FACTOR = 0.01
# a correction larger than this is no correction: the altitudes are of another kind than they say
GREATEST_CORRECTION_M = 150.0
# unless they count from the ground: then they are nought where the airplane stood, this nearly
FROM_THE_GROUND_M = 30.0
# farther off than so many deviations a GPS altitude is no altitude above the sea
ELLIPSOID_FACTOR = 3.0
# an altitude repeated for so long before the airplane stood this far below it was lost, not flown
LOST_FOR_S, LOST_ABOVE_M = 8.0, 20.0
# looked at next to the exercise: half a minute on the ground
_STANDING_S = 30.0


@dataclass(frozen=True, slots=True)
class OnGround:
    """Fixes (n,) with the wheels on ground of known elevation above the sea, known as well as `sd_m`."""

    at: Mask
    elevation_msl_m: float
    sd_m: float


@dataclass(frozen=True, slots=True)
class Heights:
    """Height above the touchdown point, (n,), NaN where not recorded, and standard deviation of its slow error (n,).

    `correction_m` was added because the airplane stood on the ground at another height than recorded; 0 without.
    `notes` are sentences on what was found out about the altitudes.
    """

    height_m: Array
    slow_sd_m: Array
    correction_m: float
    is_anchored: bool
    notes: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class _Anchor:
    """When the wheels stood, how far the recorded altitude is from the ground's (to be added), and how surely."""

    time_s: float
    off_m: float
    standing_msl_m: float
    sd_m: float


def heights_above_touchdown(
    track: Track,
    atmosphere: Atmosphere,
    touchdown_msl_m: float,
    on_ground: Sequence[OnGround],
    ending_s: float | None = None,
) -> Heights | None:
    """Heights of a track; None when no altitude was recorded.

    GPS altitudes are taken as above mean sea level. Pressure altitudes go through today's setting and temperature,
    indicated ones through the temperature. Of the times on the ground the surest for `ending_s` (the last one without
    it) corrects all heights. Altitudes missing there are the ground's.
    """
    if track.altitude_m is None or track.altitude_source is AltitudeSource.NONE:
        return None
    if not np.isfinite(track.altitude_m).any():
        return None
    read, notes, step_sd_m = _without_steps(track)
    assert read.altitude_m is not None
    altitude_msl_m = _true_altitude_m(read, atmosphere)
    lost = _lost(track.time_s, track.altitude_m, _true_altitude_m(track, atmosphere), on_ground)
    if lost.any():
        notes += ("Altitudes repeated until the airplane stood on the ground were left out.",)
        altitude_msl_m = np.where(lost, np.nan, altitude_msl_m)
    anchor = _anchor(track, altitude_msl_m, on_ground, ending_s)
    is_anchored = anchor is not None and not _is_another_kind(anchor)
    correction_m = anchor.off_m if anchor is not None and is_anchored else 0.0
    missing = ~np.isfinite(track.altitude_m) | lost
    altitude_msl_m = _with_ground(altitude_msl_m + correction_m, on_ground)
    if (missing & np.isfinite(altitude_msl_m)).any():
        notes += ("Where altitudes were missing on the ground its elevation stands in.",)
    slow_sd_m = np.hypot(_slow_sd_m(track, anchor), step_sd_m)
    if track.altitude_source is not AltitudeSource.GPS:
        above_m = np.maximum(altitude_msl_m - atmosphere.field_elevation_msl_m, 0.0)
        slow_sd_m = np.hypot(slow_sd_m, AIR_SD_FACTOR * np.nan_to_num(above_m))
    if not any(ground.at.any() for ground in on_ground):
        notes += ("The airplane was never recorded with its wheels on the ground: its altitudes could not be checked.",)
    notes += () if anchor is None else _anchor_notes(track, anchor)
    return Heights(altitude_msl_m - touchdown_msl_m, slow_sd_m, correction_m, is_anchored, notes)


def _without_steps(track: Track) -> tuple[Track, tuple[str, ...], float]:
    """The track with its altitudes read where coarse steps change, and the deviation that steps leave."""
    assert track.altitude_m is not None
    step_m = altitude_step_m(track.altitude_m)
    if step_m == 0.0:
        return track, (), 0.0
    read = replace(track, altitude_m=read_at_changes(track.time_s, track.altitude_m))
    return (
        read,
        ("Altitudes come in coarse steps: they were read where one step follows another.",),
        (STEP_SD_FACTOR * step_m),
    )


def _true_altitude_m(track: Track, atmosphere: Atmosphere) -> Array:
    assert track.altitude_m is not None
    if track.altitude_source is AltitudeSource.GPS:
        return track.altitude_m
    if track.altitude_source is AltitudeSource.PRESSURE:
        above = atmosphere.height_above_field_m_from_pressure_altitude_m(track.altitude_m)
    else:
        above = atmosphere.height_above_field_m_from_altimeter_m(track.altitude_m)
    return np.asarray(above) + atmosphere.field_elevation_msl_m


def _drift_sd_m(track: Track, away_s: Array) -> Array:
    """How far the error may have gone since the wheels stood: a random walk at first, no farther than two errors apart.

    The difference of a first-order wander at two times, Gelb, Applied Optimal Estimation, MIT Press 1974, chapter 3.
    """
    is_gps = track.altitude_source is AltitudeSource.GPS
    sd_m = WANDERING_FACTOR * track.altitude_sd_m if is_gps else PRESSURE_SD_M
    memory_s = WANDER_S if is_gps else PRESSURE_WANDER_S
    return np.asarray(sd_m * np.sqrt(-2.0 * np.expm1(-np.abs(away_s) / memory_s)))


def _slow_sd_m(track: Track, anchor: _Anchor | None) -> Array:
    """Slow error of altitudes, (n,): as the recorder has it, or what has grown since the wheels stood."""
    first_sd_m = track.altitude_sd_m if track.altitude_source is AltitudeSource.GPS else PRESSURE_SD_M
    if anchor is None:
        return np.full(len(track.time_s), first_sd_m)
    if _is_another_kind(anchor):
        return np.full(len(track.time_s), math.hypot(first_sd_m, anchor.off_m))
    return np.hypot(anchor.sd_m, _drift_sd_m(track, track.time_s - anchor.time_s))


def _anchor(track: Track, altitude_m: Array, on_ground: Sequence[OnGround], ending_s: float | None) -> _Anchor | None:
    """The time on the ground that tells most about the heights at `ending_s`."""
    best: tuple[float, _Anchor] | None = None
    goal_s = float(track.time_s[-1]) if ending_s is None else ending_s
    for ground in on_ground:
        usable = np.flatnonzero(ground.at & np.isfinite(altitude_m))
        if len(usable) == 0:
            continue
        for run in np.split(usable, np.flatnonzero(np.diff(usable) > 1) + 1):
            times = track.time_s[run]
            # without an exercise to be next to, the first half minute of it: the landing, not the hangar
            nearest_s = float(times[0]) if ending_s is None else float(np.clip(goal_s, times[0], times[-1]))
            near = run[np.abs(times - nearest_s) <= _STANDING_S]
            time_s, standing_m = float(np.mean(track.time_s[near])), float(np.median(altitude_m[near]))
            anchor = _Anchor(time_s, ground.elevation_msl_m - standing_m, standing_m, ground.sd_m)
            away_s = max(float(times[0]) - goal_s, goal_s - float(times[-1]), 0.0)
            doubt = math.hypot(ground.sd_m, float(_drift_sd_m(track, np.array([away_s]))[0]))
            if best is None or doubt < best[0]:
                best = doubt, anchor
    return None if best is None else best[1]


def _is_another_kind(anchor: _Anchor) -> bool:
    """Whether altitudes are neither above the sea nor above the ground."""
    return abs(anchor.off_m) > GREATEST_CORRECTION_M and abs(anchor.standing_msl_m) > FROM_THE_GROUND_M


def _anchor_notes(track: Track, anchor: _Anchor) -> tuple[str, ...]:
    if _is_another_kind(anchor):
        return ("Altitudes on the ground are too far from the field's elevation to be corrected.",)
    if abs(anchor.off_m) > GREATEST_CORRECTION_M:
        return ("Altitudes count from the ground, not from the sea: the field's elevation was added.",)
    is_gps = track.altitude_source is AltitudeSource.GPS
    if is_gps and abs(anchor.off_m) > ELLIPSOID_FACTOR * track.altitude_sd_m:
        return ("GPS altitudes did not fit the field where the airplane stood, as heights above the ellipsoid do not.",)
    return ()


def _lost(time_s: Array, written_m: Array, altitude_m: Array, on_ground: Sequence[OnGround]) -> Mask:
    """Altitudes repeated from the air until the airplane stood far below them: they were no longer received."""
    lost = np.zeros(len(time_s), dtype=bool)
    same_as_before = np.concatenate([[False], np.diff(np.nan_to_num(written_m)) == 0.0])
    edges = np.append(np.flatnonzero(~same_as_before), len(time_s))
    for first, after in itertools.pairwise(edges):
        if time_s[after - 1] - time_s[first] < LOST_FOR_S:
            continue
        for ground in on_ground:
            stood = np.flatnonzero(ground.at[first:after])
            far_above = altitude_m[first] > ground.elevation_msl_m + LOST_ABOVE_M
            if far_above and len(stood) and time_s[first + stood[0]] - time_s[first] >= LOST_FOR_S:
                lost[first + 1 : after] = True
    return lost


def _with_ground(altitude_m: Array, on_ground: Sequence[OnGround]) -> Array:
    """Altitudes with the ground's elevation where the wheels stood and nothing was recorded."""
    filled = altitude_m.copy()
    for ground in on_ground:
        filled[ground.at & np.isnan(filled)] = ground.elevation_msl_m
    return filled
