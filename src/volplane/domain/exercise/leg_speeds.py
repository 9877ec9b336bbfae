"""The speed that carries farthest on each straight leg of a plan in today's wind, beside the rule of thumb."""

from __future__ import annotations

import numpy as np

from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.pilot_limits import air_of, glide_of
from volplane.domain.exercise.plan import LegSpeed, Plan
from volplane.domain.exercise.shape import BASE, CROSSWIND, DOWNWIND, FINAL, FINAL_CLEAN, FINAL_RESERVE, UPWIND
from volplane.domain.exercise.speeds import ias_mps_from_eas_mps
from volplane.domain.glide.speed_to_fly import rule_of_thumb_factor, speed_to_fly_factor

_FINAL_NAMES = (FINAL_CLEAN, FINAL_RESERVE, FINAL)
_STRAIGHT = ((UPWIND,), (CROSSWIND,), (DOWNWIND,), (BASE,), _FINAL_NAMES)


def leg_speeds(plan: Plan) -> tuple[LegSpeed, ...]:
    """Best speed over the ground of each straight leg, clean, with the wind along its track at its mean height.

    The final counts as one leg, though it is flown slower in landing configuration: there the speed is the landing's.
    """
    path = plan.path
    names = np.array(path.phase_names)[path.phase_index]
    found = []
    for leg in _STRAIGHT:
        rows = np.isin(names, leg) & (path.height_m > 0.0)
        if rows.any():
            track_rad = float(path.track_rad[rows][len(path.track_rad[rows]) // 2])
            found.append(_speed(plan.exercise, leg[-1], track_rad, float(path.height_m[rows].mean())))
    return tuple(found)


def _speed(exercise: Exercise, leg: str, track_rad: float, height_m: float) -> LegSpeed:
    air, glide = air_of(exercise), glide_of(exercise)
    wind_x, wind_y = (float(wind) for wind in air.wind_xy_mps(height_m))
    tailwind_mps = wind_x * np.cos(track_rad) + wind_y * np.sin(track_rad)
    tailwind_factor = tailwind_mps / air.tas_mps_from_eas_mps(glide.best_eas_mps, height_m)

    def ias(factor: float) -> float:
        eas_mps = glide.best_eas_mps * factor
        atmosphere = exercise.weather.atmosphere
        return ias_mps_from_eas_mps(exercise.airplane, eas_mps, atmosphere, height_m + air.base_above_field_m)

    return LegSpeed(
        leg,
        float(tailwind_mps),
        ias(speed_to_fly_factor(tailwind_factor)),
        ias(rule_of_thumb_factor(tailwind_factor)),
    )
