"""When the wheels were on the ground, seen from places, speeds and level altitudes: that is where heights are known."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.exercise import Exercise
from volplane.domain.track.heights import OnGround
from volplane.domain.track.track import Track

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# beside the runway by less than this is on it, for a receiver
RUNWAY_HALF_WIDTH_M, RUNWAY_OVERHANG_M = 45.0, 60.0
# standing or rolling out at less than this is standing on the ground; the runway slopes, the recorder sits higher
STANDING_BELOW_MPS, STANDING_SD_M = 12.0, 1.0
# faster, it rolls when it stays level for so long over the runway below this part of the stall speed; or it floats
ROLLING_STALL_FACTOR, ROLLING_CLIMB_MPS, ROLLING_FOR_S, ROLLING_SD_M = 1.2, 0.8, 5.0, 2.0
# parked beside the runway, at about the field's elevation
PARKED_BELOW_MPS, PARKED_WITHIN_M, PARKED_SD_M = 2.0, 1500.0, 3.0
_MEDIAN_OF, _MEAN_OF = 11, 5


def is_over_runway(x_m: Array, y_m: Array, exercise: Exercise) -> Mask:
    """Whether places (n,) of the runway frame lie over the runway surface, as well as a receiver can tell."""
    beyond_threshold_m = np.asarray(x_m) + exercise.touchdown_beyond_threshold_m
    along = (beyond_threshold_m > -RUNWAY_OVERHANG_M) & (
        beyond_threshold_m < exercise.runway.length_m + RUNWAY_OVERHANG_M
    )
    return np.asarray(along & (np.abs(y_m) < RUNWAY_HALF_WIDTH_M))


def on_ground(
    track: Track, x_m: Array, y_m: Array, exercise: Exercise, field_elevation_msl_m: float
) -> tuple[OnGround, ...]:
    """Fixes of a track at places (n,) of the runway frame with the wheels on ground whose elevation is known."""
    time_s = track.time_s
    if len(time_s) < _MEDIAN_OF:
        return ()
    speed = np.hypot(np.gradient(x_m, time_s), np.gradient(y_m, time_s))
    over = is_over_runway(x_m, y_m, exercise)
    standing = over & (speed < STANDING_BELOW_MPS)
    parked = ~over & (np.hypot(x_m, y_m) < PARKED_WITHIN_M) & (_middle(speed) < PARKED_BELOW_MPS)
    elevation_m = exercise.runway.elevation_msl_m
    return (
        OnGround(standing, elevation_m, STANDING_SD_M),
        OnGround(_rolling(track, speed, over & ~standing, exercise), elevation_m, ROLLING_SD_M),
        OnGround(parked, field_elevation_msl_m, PARKED_SD_M),
    )


def _rolling(track: Track, speed_mps: Array, over: Mask, exercise: Exercise) -> Mask:
    """Level over the runway, too slow to fly for long: runs of some seconds."""
    rolling = np.zeros(len(speed_mps), dtype=bool)
    if track.altitude_m is None:
        return rolling
    altitude_m = np.convolve(np.pad(track.altitude_m, _MEAN_OF // 2, mode="edge"), np.full(_MEAN_OF, 1.0 / _MEAN_OF))
    altitude_m = altitude_m[_MEAN_OF - 1 : _MEAN_OF - 1 + len(speed_mps)]
    climb = np.gradient(altitude_m, track.time_s)
    slow = speed_mps < ROLLING_STALL_FACTOR * exercise.airplane.stall_landing_at_mps(exercise.weight_kg)
    may = np.flatnonzero(over & slow & (np.abs(climb) < ROLLING_CLIMB_MPS))
    for run in np.split(may, np.flatnonzero(np.diff(may) > 1) + 1):
        if len(run) and track.time_s[run[-1]] - track.time_s[run[0]] >= ROLLING_FOR_S:
            rolling[run] = True
    return rolling


def _middle(values: Array) -> Array:
    """Running median: one wild fix is no motion."""
    padded = np.pad(values, _MEDIAN_OF // 2, mode="edge")
    return np.asarray(np.median(np.lib.stride_tricks.sliding_window_view(padded, _MEDIAN_OF), axis=1))
