"""Where the wheels met the runway, from heights, deceleration and speed; or how a go-around began.

The moment comes from `wheels_down`, which weighs every moment by the fixes as they were recorded. Where the recording
has none about the landing it is the first second with the wheels surely down.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.attempts import FoundAttempt
from volplane.domain.debrief.flight import Fixes, Flight
from volplane.domain.debrief.in_hand import BAND_90_FACTOR
from volplane.domain.debrief.results import GoAround, Touchdown
from volplane.domain.debrief.wheels_down import (
    STEP_S,
    LandingFixes,
    fixes_log_likelihood,
    moments,
    speed_log_likelihood,
)
from volplane.domain.debrief.wind import WindFound
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps
from volplane.domain.track.smoothing import scatter_m
from volplane.units import FOOT_M

Array = NDArray[np.float64]

# looked at around the first second with the wheels surely down: moments, and fixes about them
MOMENT_BEFORE_S, MOMENT_AFTER_S = 12.0, 6.0
FIX_BEFORE_S, FIX_AFTER_S = 20.0, 12.0
FEWEST_FIXES = 8
# how well pilots meet the touchdown speed; ours
TOUCHDOWN_SPEED_SD_MPS = 3.0
# scatter of a recorded ground speed, the resolution of a knot included; ours
RECORDED_SPEED_SD_MPS = 0.3
# height of the wing over the runway as the wheels touch, for the wind it feels
WING_HEIGHT_M = 2.0
# how well the moment is known where no fixes tell; ours
FLOAT_SD_S = 3.0
# wind along a runway of which nothing is known; ours
UNKNOWN_WIND_SD_MPS = 5.0
# a go-around begun AT the break-off height still sinks while the airplane turns the corner; ours
SINKS_THROUGH_M = 100.0 * FOOT_M


def touchdown_of(flight: Flight, exercise: Exercise, found: FoundAttempt, wind: WindFound | None) -> Touchdown:
    """The touchdown of an exercise that landed; its sink is None where it drowns in the scatter of the heights."""
    time_s, sd_s = _moment(flight, exercise, found.event_s, wind)
    smoothed = flight.smoothed
    x_m = float(np.interp(time_s, flight.time_s, smoothed.x_m))
    y_m = float(np.interp(time_s, flight.time_s, smoothed.y_m))
    speed = float(np.interp(time_s, flight.time_s, smoothed.ground_speed_mps))
    place_sd = float(np.interp(time_s, flight.time_s, smoothed.position_sd_m))
    before = flight.between(time_s - 2.5, time_s - 0.5)
    sink = float(np.mean(-before.smoothed.climb_mps)) if len(before.time_s) else 0.0
    surely = BAND_90_FACTOR * float(np.mean(before.smoothed.climb_sd_mps)) if len(before.time_s) else 0.0
    return Touchdown(x_m, math.hypot(speed * sd_s, place_sd), y_m, time_s, sink if sink > surely else None)


def go_around_of(flight: Flight, exercise: Exercise, found: FoundAttempt) -> GoAround:
    """The go-around of an exercise that climbed away: lowest height, start of the climb, and whether it was in time.

    In time means: it never sank more than 100 ft below the break-off height, that is, it was begun at or above it.
    Above a practice floor every exercise ends in a go-around, and the floor itself is the limit.
    """
    part = flight.between(found.start_s, found.event_s + 5.0)
    lowest_m = float(np.nanmin(part.smoothed.height_m))
    limit_m = 0.0 if exercise.flies_to_practice_floor else exercise.break_off_height_m
    return GoAround(lowest_m, found.event_s, lowest_m >= limit_m - SINKS_THROUGH_M)


def _moment(flight: Flight, exercise: Exercise, event_s: float, wind: WindFound | None) -> tuple[float, float]:
    """Time of the touchdown and its standard deviation."""
    fixes = flight.fixes.between(event_s - FIX_BEFORE_S, event_s + FIX_AFTER_S)
    if len(fixes.time_s) < FEWEST_FIXES or not np.isfinite(fixes.height_m).any():
        return event_s, FLOAT_SD_S
    last_s = min(event_s + MOMENT_AFTER_S, float(fixes.time_s[-1]))
    moment_s = np.arange(max(event_s - MOMENT_BEFORE_S, float(fixes.time_s[0])), last_s, STEP_S)
    airspeed = _airspeed_mps(flight, wind, moment_s)
    likelihood = fixes_log_likelihood(moment_s, _landing_fixes(flight, fixes), float(np.median(airspeed)))
    expected, wind_sd = _touchdown_tas_mps(flight, exercise), _airspeed_sd_mps(flight, wind)
    likelihood += speed_log_likelihood(airspeed, expected, math.hypot(TOUCHDOWN_SPEED_SD_MPS, wind_sd))
    found = moments(moment_s, likelihood)
    return found.mean_s, found.sd_s


def _landing_fixes(flight: Flight, fixes: Fixes) -> LandingFixes:
    """Fixes with their scatter, which is read from the whole flight; the slow error's growth from its deviations."""
    whole, slow = flight.fixes, flight.smoothed.height_slow_sd_m
    known = np.isfinite(whole.height_m)
    first, last = np.interp(fixes.time_s[[0, -1]], flight.time_s, np.nan_to_num(slow) ** 2)
    return LandingFixes(
        fixes.time_s,
        fixes.x_m,
        fixes.height_m,
        fixes.velocity_x_mps,
        scatter_m(whole.time_s, whole.x_m, whole.position_sd_m),
        scatter_m(whole.time_s[known], whole.height_m[known], whole.position_sd_m),
        RECORDED_SPEED_SD_MPS,
        abs(float(last - first)) / max(float(fixes.time_s[-1] - fixes.time_s[0]), 1.0),
    )


def _touchdown_tas_mps(flight: Flight, exercise: Exercise) -> float:
    airplane = exercise.airplane
    cas = cas_mps_from_ias_mps(airplane, airplane.touchdown_ias_mps)
    return cas * float(flight.tas_to_eas_ratio(np.array([0.0]))[0])


def _airspeed_mps(flight: Flight, wind: WindFound | None, moment_s: Array) -> Array:
    """True airspeed at moments (m,): as recorded, else the ground speed less the wind over the runway."""
    recorded = flight.recorded.tas_mps
    if recorded is not None:
        tas = np.interp(moment_s, flight.time_s, recorded)
        if np.isfinite(tas).all():
            return tas
    along = 0.0
    if wind is not None:
        profile = wind.profile(flight.bearing_true_rad, flight.base_above_field_m)
        east, north = profile.components_mps(WING_HEIGHT_M + flight.base_above_field_m)
        along = float(east * math.sin(flight.bearing_true_rad) + north * math.cos(flight.bearing_true_rad))
    return np.maximum(np.interp(moment_s, flight.time_s, flight.smoothed.velocity_x_mps) - along, 5.0)


def _airspeed_sd_mps(flight: Flight, wind: WindFound | None) -> float:
    """How well that airspeed is known."""
    if flight.recorded.tas_mps is not None:
        return 0.5
    return UNKNOWN_WIND_SD_MPS if wind is None else float(wind.sd_at_mps(np.array([wind.low_m]))[0])
