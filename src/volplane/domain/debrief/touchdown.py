"""Where the wheels met the runway, from heights, deceleration and speed; or how a go-around began.

Three witnesses of the moment of touchdown, each with its own doubt: the height coming down to the runway's, the ground
speed passing the airplane's touchdown speed, and the change in deceleration when the wheels start to drag. They are
weighted by their doubt. A float near the ground tells heights little, so speed and drag decide there.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.attempts import FoundAttempt
from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.results import GoAround, Touchdown
from volplane.domain.debrief.wind import WindFound
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps
from volplane.units import FOOT_M

Array = NDArray[np.float64]

# looked at around the first second with the wheels surely down
BEFORE_S, AFTER_S = 20.0, 8.0
# how well anybody meets the touchdown speed; ours
TOUCHDOWN_SPEED_SD_MPS = 2.5
# height of the wing over the runway as the wheels touch, for the wind it feels
WING_HEIGHT_M = 2.0
# wheels at this height by the smoothed record, and what smoothing does to a round-out
WHEELS_AT_M, SMOOTHED_HEIGHT_SD_M = 0.5, 1.0
# a wheel on the ground shows by at least this much more deceleration
LEAST_CHANGE_MPS2 = 0.4
_CHANGE_SD_S = 1.0
# a go-around begun AT the break-off height still sinks while the airplane turns the corner; ours
SINKS_THROUGH_M = 100.0 * FOOT_M


def touchdown_of(flight: Flight, exercise: Exercise, found: FoundAttempt, wind: WindFound | None) -> Touchdown:
    """The touchdown of an exercise that landed."""
    part = flight.between(found.event_s - BEFORE_S, found.event_s + AFTER_S)
    witnesses = [
        witness
        for witness in (
            _by_height(part, found.event_s),
            _by_speed(part, exercise, found.event_s, wind),
            _by_deceleration(part, found.event_s),
        )
        if witness is not None
    ]
    time_s, sd_s = _weighted(witnesses) if witnesses else (found.event_s, 3.0)
    smoothed = flight.smoothed
    x_m = float(np.interp(time_s, flight.time_s, smoothed.x_m))
    y_m = float(np.interp(time_s, flight.time_s, smoothed.y_m))
    speed = float(np.interp(time_s, flight.time_s, smoothed.ground_speed_mps))
    place_sd = float(np.interp(time_s, flight.time_s, smoothed.position_sd_m))
    before = flight.between(time_s - 2.5, time_s - 0.5)
    sink = float(np.mean(-before.smoothed.climb_mps)) if len(before.time_s) else None
    return Touchdown(x_m, math.hypot(speed * sd_s, place_sd), y_m, time_s, sink)


def go_around_of(flight: Flight, exercise: Exercise, found: FoundAttempt) -> GoAround:
    """The go-around of an exercise that climbed away: lowest height, start of the climb, and whether it was in time.

    In time means: it never sank more than 100 ft below the break-off height, that is, it was begun at or above it.
    Above a practice floor every exercise ends in a go-around, and the floor itself is the limit.
    """
    part = flight.between(found.start_s, found.event_s + 5.0)
    lowest_m = float(np.nanmin(part.smoothed.height_m))
    limit_m = 0.0 if exercise.flies_to_practice_floor else exercise.break_off_height_m
    return GoAround(lowest_m, found.event_s, lowest_m >= limit_m - SINKS_THROUGH_M)


def _by_height(part: Flight, event_s: float) -> tuple[float, float] | None:
    """Last moment above the wheels' height; its doubt is height's over the sink there."""
    before = part.time_s <= event_s + 2.0
    above = np.flatnonzero(before & (part.smoothed.height_m > WHEELS_AT_M))
    if len(above) == 0 or above[-1] + 1 >= len(part.time_s):
        return None
    index = int(above[-1])
    high, low = part.smoothed.height_m[index], part.smoothed.height_m[index + 1]
    share = float((high - WHEELS_AT_M) / max(high - low, 1e-6))
    time_s = float(part.time_s[index]) + min(share, 1.0)
    sink = max(float(-part.smoothed.climb_mps[max(index - 2, 0) : index + 1].mean()), 0.2)
    doubt = math.hypot(
        float(part.smoothed.height_slow_sd_m[index]), float(part.smoothed.height_sd_m[index]), SMOOTHED_HEIGHT_SD_M
    )
    return time_s, doubt / sink


def _by_speed(part: Flight, exercise: Exercise, event_s: float, wind: WindFound | None) -> tuple[float, float] | None:
    """Moment at which the airspeed falls through the touchdown speed."""
    airplane = exercise.airplane
    expected = cas_mps_from_ias_mps(airplane, airplane.touchdown_ias_mps)
    expected *= float(part.tas_to_eas_ratio(np.array([0.0]))[0])
    if part.recorded.tas_mps is not None and np.isfinite(part.recorded.tas_mps).all():
        speed, wind_sd = part.recorded.tas_mps, 0.0
    elif wind is not None:
        profile = wind.profile(part.bearing_true_rad, part.base_above_field_m)
        east, north = profile.components_mps(WING_HEIGHT_M + part.base_above_field_m)
        along = east * math.sin(part.bearing_true_rad) + north * math.cos(part.bearing_true_rad)
        speed = part.smoothed.velocity_x_mps - along
        wind_sd = float(wind.sd_at_mps(np.array([wind.low_m]))[0])
    else:
        return None
    below = np.flatnonzero((speed[:-1] >= expected) & (speed[1:] < expected))
    if len(below) == 0:
        return None
    index = int(below[np.argmin(np.abs(part.time_s[below] - event_s))])
    share = float((speed[index] - expected) / (speed[index] - speed[index + 1]))
    deceleration = max(float(-np.gradient(speed, part.time_s)[max(index - 2, 0) : index + 3].mean()), 0.3)
    return float(part.time_s[index]) + share, math.hypot(TOUCHDOWN_SPEED_SD_MPS, wind_sd) / deceleration


def _by_deceleration(part: Flight, event_s: float) -> tuple[float, float] | None:
    """Bend in the ground speed: two straight lines that fit it best, the second one falling faster."""
    time, speed = part.time_s, part.smoothed.ground_speed_mps
    best: tuple[float, float] | None = None
    for bend_s in time[(time > event_s - 10.0) & (time < event_s + 4.0)]:
        near = np.abs(time - bend_s) <= 7.0
        after = np.maximum(time[near] - bend_s, 0.0)
        if near.sum() < 10 or (after > 0.0).sum() < 4:
            continue
        design = np.column_stack([np.ones(near.sum()), time[near] - bend_s, after])
        coefficients, *_ = np.linalg.lstsq(design, speed[near], rcond=None)
        left = float(np.mean((speed[near] - design @ coefficients) ** 2))
        if coefficients[2] < -LEAST_CHANGE_MPS2 and (best is None or left < best[1]):
            best = (float(bend_s), left)
    return None if best is None else (best[0], _CHANGE_SD_S)


def _weighted(witnesses: list[tuple[float, float]]) -> tuple[float, float]:
    """Mean of the witnesses by their doubts; its own doubt grows when they disagree."""
    weights = np.array([1.0 / sd**2 for _, sd in witnesses])
    times = np.array([time for time, _ in witnesses])
    mean = float(np.sum(weights * times) / np.sum(weights))
    sd = 1.0 / math.sqrt(float(np.sum(weights)))
    if len(times) > 1:
        spread = float(np.sum(weights * (times - mean) ** 2)) / (len(times) - 1)
        sd *= math.sqrt(max(1.0, spread))
    return mean, sd
