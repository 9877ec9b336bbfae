"""The window of heights in the wind that was found: required height anew, room above as wide as the plan's."""

from __future__ import annotations

from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.flying import bench
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.windows import Windows
from volplane.domain.glide.practical_height import PracticalHeight, practical_height
from volplane.units import m_from_ft, rad_from_deg

Array = NDArray[np.float64]

# lined up with the runway as the required height means it (METHODS of this project, landing tolerance)
LINED_UP_TRACK_RAD, LINED_UP_OFFSET_M = rad_from_deg(20.0), m_from_ft(100.0)
# every so many steps of the plan's path are near enough to tell the room above
_EVERY = 4
# parts of the planned final at which the last turn may end instead
_SHORTER_FINALS = (1.0, 0.6, 0.35, 0.15)


@dataclass(frozen=True, slots=True)
class WindowsThere:
    """Heights around a plan's path in another air; arrays (n,), heights above the touchdown point."""

    plan: Plan
    windows: Windows
    short_finals: tuple[PracticalHeight, ...]

    def required_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        """Practical required height; the straight glide to the aim point where established on final."""
        return self.windows.required_m(x_m, y_m, heading_rad, bank_rad, height_m)

    def last_turn_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        """Required height with the last turn under way: least over finals as long as planned or shorter, no delay.

        Lined up with the runway it is the straight glide, and NaN past the place where that has 50 ft left: who is
        still high there has height to spare, not a circle to fly.
        """
        required = self.windows.required_m(x_m, y_m, heading_rad, bank_rad, height_m)
        for final in self.short_finals:
            required = np.fmin(required, final.required_m(x_m, y_m, heading_rad, bank_rad, height_m))
        practical = self.windows.practical
        track = np.abs(np.remainder(self._track_rad(heading_rad, height_m) + np.pi, 2.0 * np.pi) - np.pi)
        to_aim_m = np.maximum(practical.aim_x_m - x_m, 0.0)
        is_lined_up = (track <= LINED_UP_TRACK_RAD) & (np.abs(y_m) <= LINED_UP_OFFSET_M + 0.1 * to_aim_m)
        return np.where(is_lined_up, practical.on_final_m(x_m), required)

    def _track_rad(self, heading_rad: Array, height_m: Array) -> Array:
        """Direction over the ground of states gliding at the planned speed in this air."""
        wind_x, wind_y = self.windows.air.wind_xy_mps(height_m)
        tas = self.windows.practical.glide_tas_mps(height_m)
        return np.arctan2(tas * np.sin(heading_rad) + wind_y, tas * np.cos(heading_rad) + wind_x)

    def highest_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        """Highest height that can still be lost."""
        path, some = self.plan.path, slice(None, None, _EVERY)
        x, y, height = path.x_m[some], path.y_m[some], path.height_m[some]
        required = self.windows.required_m(x, y, path.heading_rad[some], path.bank_rad[some], height)
        around = replace(
            self.windows,
            path_x_m=x,
            path_y_m=y,
            path_track_rad=path.track_rad[some],
            path_height_m=height,
            path_required_m=required,
            path_highest_m=required + _room_m(self.plan, path.time_s[some]),
        )
        return around.highest_m(x_m, y_m, heading_rad, bank_rad, height_m)


def windows_there(plan: Plan, atmosphere: Atmosphere, wind: WindProfile) -> WindowsThere:
    """Windows around a plan's path in another air; the aim point moves with the wind, the plan's path stays.

    How much height can be lost beyond the required one is taken from the plan's gates, interpolated along its path:
    it is a matter of the airplane more than of the wind.

    :raises WindNotBelowAirspeed: the wind is as strong as the airspeed.
    """
    exercise = replace(plan.exercise, weather=replace(plan.exercise.weather, atmosphere=atmosphere, wind=wind))
    ready = bench(exercise)
    practical = practical_height(ready.glide, ready.air, ready.limits, ready.aim_x_m, ready.fifty_foot_x_m)
    nowhere = np.empty(0)
    bare = Windows(practical, ready.air, nowhere, nowhere, nowhere, nowhere, nowhere, nowhere, nowhere)
    return WindowsThere(plan, bare, _short_finals(practical))


def _short_finals(practical: PracticalHeight) -> tuple[PracticalHeight, ...]:
    """The required height with the final begun nearer and lower on the same glide to the aim point, without delay."""
    from volplane.domain.glide.practical_height_kernel import FINAL_FAR_X, FINAL_HEIGHT, FINAL_NEAR_X, REACTION_S

    final = practical.final
    first, last = final.start_distance_m, float(final.distance_m[-1])
    shorter = []
    for part in _SHORTER_FINALS:
        distance_m = last + part * (first - last)
        row = practical.parameter_row.copy()
        row[[FINAL_FAR_X, FINAL_NEAR_X]] = practical.aim_x_m - distance_m
        row[FINAL_HEIGHT] = np.interp(distance_m, final.distance_m[::-1], final.height_m[::-1])
        row[REACTION_S] = 0.0
        shorter.append(replace(practical, parameter_row=row))
    return tuple(shorter)


def _room_m(plan: Plan, time_s: Array) -> Array:
    """Highest less required height along the plan, linear in time between its gates; NaN without gates."""
    if not plan.gates:
        return np.full(time_s.shape, np.nan)
    times = [gate.time_s for gate in plan.gates]
    room = [gate.highest_m - gate.required_m for gate in plan.gates]
    return np.asarray(np.interp(time_s, times, room))
