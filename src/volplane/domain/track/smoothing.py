"""The flight between and behind the fixes: position, velocity and acceleration each second, with their uncertainty.

Three independent axes of the runway frame, each a constant acceleration disturbed by white jerk, smoothed both ways in
time (see `smoothing_kernel`). The scatter of the fixes is measured on the recording itself; the slow error of position
and height, which no smoothing removes, is kept apart.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

GRAVITY_MPS2 = 9.80665
STEP_S = 1.0
# spectral density of the jerk: rolling into a 25 degree turn within 3 s, and rounding out, pass; ours
HORIZONTAL_JERK_M2PS5 = 0.5
VERTICAL_JERK_M2PS5 = 0.15
# scatter assumed at least, whatever the recording looks like: rounding to a metre or a foot hides it
LEAST_SCATTER_M = 0.4
VELOCITY_SD_MPS = 0.5
# heights are not continued further than this beyond the first and last one recorded
BEYOND_S = 10.0


@dataclass(frozen=True, slots=True)
class SmoothedFlight:
    """A flight on an even grid of seconds in the runway frame; all arrays (n,), height above the touchdown point.

    `height_m` and everything vertical is NaN throughout when no altitude was recorded. The `_sd` fields are the scatter
    left after smoothing; `height_slow_sd_m` is the slow error of the heights.
    """

    time_s: Array
    x_m: Array
    y_m: Array
    height_m: Array
    velocity_x_mps: Array
    velocity_y_mps: Array
    climb_mps: Array
    acceleration_x_mps2: Array
    acceleration_y_mps2: Array
    acceleration_up_mps2: Array
    position_sd_m: Array
    velocity_sd_mps: Array
    acceleration_sd_mps2: Array
    height_sd_m: Array
    climb_sd_mps: Array
    height_slow_sd_m: Array

    @property
    def has_height(self) -> bool:
        """Whether an altitude was recorded."""
        return bool(np.isfinite(self.height_m).any())

    @property
    def ground_speed_mps(self) -> Array:
        """Speed over the ground, (n,)."""
        return np.hypot(self.velocity_x_mps, self.velocity_y_mps)

    @property
    def track_rad(self) -> Array:
        """Direction over the ground, anticlockwise from the landing direction, unwrapped, (n,)."""
        return np.unwrap(np.arctan2(self.velocity_y_mps, self.velocity_x_mps))

    def turn_rate_radps(self, wind_x_mps: Array | float = 0.0, wind_y_mps: Array | float = 0.0) -> Array:
        """How fast the air velocity turns in a steady wind of these components, (n,); anticlockwise positive.

        Without a wind it is the turn of the track over the ground.
        """
        air_x, air_y = self.velocity_x_mps - wind_x_mps, self.velocity_y_mps - wind_y_mps
        squared = np.maximum(air_x**2 + air_y**2, 1.0)
        return np.asarray((air_x * self.acceleration_y_mps2 - air_y * self.acceleration_x_mps2) / squared)

    def bank_rad(self, wind_x_mps: Array | float = 0.0, wind_y_mps: Array | float = 0.0) -> Array:
        """Bank of a coordinated turn in a steady wind, positive right wing down, (n,).

        Its tangent is V times the turn over g. V is the airspeed in that wind; without one the ground speed stands in,
        and a turn in wind is then banked wrong.
        """
        airspeed = np.maximum(np.hypot(self.velocity_x_mps - wind_x_mps, self.velocity_y_mps - wind_y_mps), 1.0)
        return np.asarray(-np.arctan(airspeed * self.turn_rate_radps(wind_x_mps, wind_y_mps) / GRAVITY_MPS2))

    @property
    def bank_sd_rad(self) -> Array:
        """Standard deviation of the derived bank, (n,), from the scatter of the sideways acceleration.

        A steep bank is known better: its tangent grows faster than the angle. Rolling in and out is allowed for, so a
        steady turn is known better than stated, by some two times. How a wrong wind tilts it is not in it.
        """
        return np.asarray(self.acceleration_sd_mps2 / GRAVITY_MPS2 * np.cos(self.bank_rad()) ** 2)

    def between(self, start_s: float, end_s: float) -> SmoothedFlight:
        """The part of the flight from one time to another, both included."""
        inside = (self.time_s >= start_s - 1e-9) & (self.time_s <= end_s + 1e-9)
        return SmoothedFlight(*(getattr(self, name)[inside] for name in SmoothedFlight.__dataclass_fields__))


def smooth(
    time_s: Array,
    x_m: Array,
    y_m: Array,
    height_m: Array | None,
    slow_sd_m: Array | None = None,
    velocity_x_mps: Array | None = None,
    velocity_y_mps: Array | None = None,
    greatest_scatter_m: float = 5.0,
) -> SmoothedFlight:
    """Smooth fixes (n,) onto whole seconds from the first fix to the last; recorded velocities count where given.

    Missing samples are NaN. `slow_sd_m` (n,) is carried along. A hole in the recording is bridged with the uncertainty
    that it has.
    """
    grid_s = time_s[0] + STEP_S * np.arange(math.floor((time_s[-1] - time_s[0]) / STEP_S + 1e-9) + 1)
    x, x_sd = _axis(time_s, x_m, velocity_x_mps, grid_s, HORIZONTAL_JERK_M2PS5, greatest_scatter_m)
    y, y_sd = _axis(time_s, y_m, velocity_y_mps, grid_s, HORIZONTAL_JERK_M2PS5, greatest_scatter_m)
    known = np.zeros(len(time_s), dtype=bool) if height_m is None else np.isfinite(height_m)
    if height_m is not None and known.sum() >= 2:
        up, up_sd = _axis(time_s[known], height_m[known], None, grid_s, VERTICAL_JERK_M2PS5, greatest_scatter_m)
        outside = (grid_s < time_s[known][0] - BEYOND_S) | (grid_s > time_s[known][-1] + BEYOND_S)
        up[outside] = np.nan
        slow = np.zeros(len(grid_s)) if slow_sd_m is None else np.interp(grid_s, time_s, slow_sd_m)
    else:
        up, up_sd, slow = (
            np.full((len(grid_s), 3), np.nan),
            np.full((len(grid_s), 3), np.nan),
            np.full(len(grid_s), np.nan),
        )
    return SmoothedFlight(
        time_s=grid_s,
        x_m=x[:, 0],
        y_m=y[:, 0],
        height_m=up[:, 0],
        velocity_x_mps=x[:, 1],
        velocity_y_mps=y[:, 1],
        climb_mps=up[:, 1],
        acceleration_x_mps2=x[:, 2],
        acceleration_y_mps2=y[:, 2],
        acceleration_up_mps2=up[:, 2],
        position_sd_m=np.maximum(x_sd[:, 0], y_sd[:, 0]),
        velocity_sd_mps=np.maximum(x_sd[:, 1], y_sd[:, 1]),
        acceleration_sd_mps2=np.maximum(x_sd[:, 2], y_sd[:, 2]),
        height_sd_m=up_sd[:, 0],
        climb_sd_mps=up_sd[:, 1],
        height_slow_sd_m=slow,
    )


def scatter_m(time_s: Array, value_m: Array, greatest_m: float) -> float:
    """White scatter of fixes (n,): a third difference has twenty times its variance, and hardly anything of the flight.

    Robust (median), between LEAST_SCATTER_M and `greatest_m`; `greatest_m` where fixes are too few or too far apart.
    """
    if len(value_m) < 8:
        return greatest_m
    steps = np.diff(time_s)
    even = (np.abs(steps[1:-1] - steps[:-2]) < 0.2 * steps[1:-1]) & (
        np.abs(steps[1:-1] - steps[2:]) < 0.2 * steps[1:-1]
    )
    third = np.abs(np.diff(value_m, 3))[even & (steps[1:-1] <= 2.5)]
    if len(third) < 5:
        return greatest_m
    return float(np.clip(np.median(third) / 0.6745 / math.sqrt(20.0), LEAST_SCATTER_M, greatest_m))


def _axis(
    time_s: Array, value_m: Array, velocity_mps: Array | None, grid_s: Array, jerk_m2ps5: float, greatest_m: float
) -> tuple[Array, Array]:
    """States (m, 3) and their standard deviations (m, 3) of one axis on the grid."""
    from volplane.domain.track.smoothing_kernel import smooth_axis

    every_s = np.union1d(time_s, grid_s)
    position = np.full(len(every_s), np.nan)
    velocity = np.full(len(every_s), np.nan)
    place = np.searchsorted(every_s, time_s)
    position[place] = value_m
    if velocity_mps is not None:
        velocity[place] = velocity_mps
    first = int(np.argmax(np.isfinite(position)))
    # what lies before the first fix is reached backwards: the filter starts at the fix
    states, covariances = smooth_axis(
        every_s[first:],
        position[first:],
        velocity[first:],
        scatter_m(time_s, value_m, greatest_m),
        VELOCITY_SD_MPS,
        jerk_m2ps5,
    )
    at = np.searchsorted(every_s[first:], grid_s)
    missing = grid_s < every_s[first]
    at = np.minimum(at, len(states) - 1)
    result, sd = states[at], np.sqrt(np.maximum(covariances[at][:, [0, 1, 2], [0, 1, 2]], 0.0))
    result[missing], sd[missing] = np.nan, np.nan
    return result, sd
