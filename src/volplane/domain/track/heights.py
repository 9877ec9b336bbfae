"""Heights above the touchdown point from whatever a recorder writes, with the slow error that stays in them."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.track.track import AltitudeSource, Track

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# the error of a GPS height, and of today's pressure, wanders within some minutes; ours
WANDER_S = 600.0
# what is left when the wheels stood on a known elevation: slope of the runway, height of the recorder in the airplane
GROUND_SD_M = 1.0
# an altitude read from an altimeter or a barometer: setting, temperature and instrument together; ours
PRESSURE_SD_M = 10.0
# standing or rolling out at less than this is standing on the ground
ON_GROUND_BELOW_MPS = 12.0
# a correction larger than this is no correction: the altitudes are of another kind than they say
GREATEST_CORRECTION_M = 150.0


@dataclass(frozen=True, slots=True)
class Ground:
    """What plays nought and what is known of the real ground: altitudes above the sea.

    `touchdown_msl_m` is the touchdown point's (or the practice floor's), `runway_msl_m` the real runway's.
    """

    touchdown_msl_m: float
    runway_msl_m: float


@dataclass(frozen=True, slots=True)
class Heights:
    """Height above the touchdown point, (n,), NaN where not recorded, and standard deviation of its slow error (n,).

    `correction_m` was added because the airplane stood on the runway at another height than recorded; 0 without.
    """

    height_m: Array
    slow_sd_m: Array
    correction_m: float
    is_anchored: bool


def heights_above_touchdown(
    track: Track, atmosphere: Atmosphere, ground: Ground, on_runway: Mask, ending_s: float | None = None
) -> Heights | None:
    """Heights of a track; None when no altitude was recorded.

    GPS altitudes are taken as above mean sea level. Pressure altitudes go through today's setting and temperature,
    indicated ones through the temperature. `on_runway` (n,) marks fixes with the wheels on the runway: the run of them
    nearest to `ending_s` (the last one without it) anchors all heights.
    """
    if track.altitude_m is None or track.altitude_source is AltitudeSource.NONE:
        return None
    altitude_msl_m = _true_altitude_m(track, atmosphere)
    first_sd_m = track.altitude_sd_m if track.altitude_source is AltitudeSource.GPS else PRESSURE_SD_M
    slow_sd_m = np.full(len(track.time_s), first_sd_m)
    anchor = _anchor(track.time_s, altitude_msl_m, on_runway, ending_s)
    if anchor is None or abs(anchor[1] - ground.runway_msl_m) > GREATEST_CORRECTION_M:
        return Heights(altitude_msl_m - ground.touchdown_msl_m, slow_sd_m, 0.0, False)
    anchor_s, standing_msl_m = anchor
    correction_m = ground.runway_msl_m - standing_msl_m
    away = np.abs(track.time_s - anchor_s)
    slow_sd_m = np.hypot(GROUND_SD_M, first_sd_m * np.sqrt(-np.expm1(-2.0 * away / WANDER_S)))
    return Heights(altitude_msl_m + correction_m - ground.touchdown_msl_m, slow_sd_m, correction_m, True)


def _true_altitude_m(track: Track, atmosphere: Atmosphere) -> Array:
    assert track.altitude_m is not None
    if track.altitude_source is AltitudeSource.GPS:
        return track.altitude_m
    if track.altitude_source is AltitudeSource.PRESSURE:
        above = atmosphere.height_above_field_m_from_pressure_altitude_m(track.altitude_m)
    else:
        above = atmosphere.height_above_field_m_from_altimeter_m(track.altitude_m)
    return np.asarray(above) + atmosphere.field_elevation_msl_m


def _anchor(time_s: Array, altitude_m: Array, on_runway: Mask, ending_s: float | None) -> tuple[float, float] | None:
    """Time and altitude of the run of ground fixes nearest to a time: the median of its half minute next to it."""
    usable = np.flatnonzero(on_runway & np.isfinite(altitude_m))
    if len(usable) == 0:
        return None
    goal_s = math.inf if ending_s is None else ending_s
    runs = np.split(usable, np.flatnonzero(np.diff(usable) > 1) + 1)
    distances = [_away(time_s[run[0]], time_s[run[-1]], goal_s) for run in runs]
    run = runs[int(np.argmin(distances))] if ending_s is not None else runs[-1]
    times = time_s[run]
    nearest_s = float(np.clip(goal_s, times[0], times[-1])) if ending_s is not None else float(times[0])
    near = run[np.abs(times - nearest_s) <= 30.0]
    return float(np.mean(time_s[near])), float(np.median(altitude_m[near]))


def _away(first_s: float, last_s: float, goal_s: float) -> float:
    return max(first_s - goal_s, goal_s - last_s, 0.0)
