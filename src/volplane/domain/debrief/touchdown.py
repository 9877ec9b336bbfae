"""Where the wheels met the runway, from heights, deceleration and speed; or how a go-around began.

The airspeed falling through the airplane's touchdown speed tells the moment, as well as pilots meet that speed, divided
by the deceleration. The height tells when the round-out ended: the wheels touch no sooner, but a float may follow, at a
height no receiver tells from the ground. A change of deceleration is no witness: an airplane without power slows as
fast in the float as rolling without brakes. So a long time between the two is a long float or wheels flown on fast, and
nothing in the recording says which: the place then is stated as little known as that.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.attempts import FoundAttempt
from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.in_hand import BAND_90_FACTOR
from volplane.domain.debrief.results import GoAround, Touchdown
from volplane.domain.debrief.wind import WindFound
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps
from volplane.units import FOOT_M

Array = NDArray[np.float64]

# looked at around the first second with the wheels surely down
BEFORE_S, AFTER_S = 20.0, 8.0
# how well anybody meets the touchdown speed; ours
TOUCHDOWN_SPEED_SD_MPS = 1.8
# height of the wing over the runway as the wheels touch, for the wind it feels
WING_HEIGHT_M = 2.0
# an airplane floats no higher than this; smoothing blurs the end of a round-out by so much
FLOAT_HEIGHT_M, SMOOTHED_HEIGHT_SD_M = 2.0, 1.0
# how long it floats where no speed tells; ours
FLOAT_S, FLOAT_SD_S = 5.0, 3.0
# a round-out whose end no height tells lies no further back than this; ours
LONGEST_FLOAT_S = 10.0
# a go-around begun AT the break-off height still sinks while the airplane turns the corner; ours
SINKS_THROUGH_M = 100.0 * FOOT_M


def touchdown_of(flight: Flight, exercise: Exercise, found: FoundAttempt, wind: WindFound | None) -> Touchdown:
    """The touchdown of an exercise that landed; its sink is None where it drowns in the scatter of the heights."""
    part = flight.between(found.event_s - BEFORE_S, found.event_s + AFTER_S)
    time_s, sd_s = _moment(part, exercise, found.event_s, wind)
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


def _moment(part: Flight, exercise: Exercise, event_s: float, wind: WindFound | None) -> tuple[float, float]:
    """Time of the touchdown and its standard deviation."""
    low, fast = _by_height(part, event_s), _by_speed(part, exercise, event_s, wind)
    if low is None:
        return (event_s, FLOAT_SD_S) if fast is None else fast
    rounded_out_s, doubt_s = low
    if fast is None:
        return rounded_out_s + FLOAT_S, math.hypot(doubt_s, FLOAT_SD_S)
    soonest_s = rounded_out_s - 2.0 * doubt_s
    if fast[0] < soonest_s:
        return soonest_s, math.hypot(doubt_s, fast[1])
    return fast[0], math.hypot(fast[1], _float_or_fast_s(fast[0] - rounded_out_s + doubt_s))


def _float_or_fast_s(after_round_out_s: float) -> float:
    """How far the moment may be off because the wheels may have been flown on fast instead of a long float.

    Beyond the usual float that grows as likely as not. Any moment since the round-out then is as likely as any other:
    their root mean square distance from the last one is the time over the root of three.
    """
    span_s = min(max(after_round_out_s, 0.0), LONGEST_FLOAT_S)
    fast_fraction = min(max((span_s - FLOAT_S) / FLOAT_SD_S, 0.0), 1.0)
    return span_s * math.sqrt(fast_fraction / 3.0)


def _by_height(part: Flight, event_s: float) -> tuple[float, float] | None:
    """End of the round-out: last moment above the height of a float; its doubt is the height's over the sink there."""
    before = part.time_s <= event_s + 2.0
    above = np.flatnonzero(before & (part.smoothed.height_m > FLOAT_HEIGHT_M))
    if len(above) == 0 or above[-1] + 1 >= len(part.time_s):
        return None
    index = int(above[-1])
    high, low = part.smoothed.height_m[index], part.smoothed.height_m[index + 1]
    share = float((high - FLOAT_HEIGHT_M) / max(high - low, 1e-6))
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
