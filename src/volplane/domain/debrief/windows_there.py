"""The window of heights in the wind that was found: required height anew, room above as wide as the plan's."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.flying import bench
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.windows import Windows
from volplane.domain.glide.practical_height import practical_height

Array = NDArray[np.float64]


def windows_there(plan: Plan, atmosphere: Atmosphere, wind: WindProfile) -> Windows:
    """Windows around a plan's path in another air; the aim point moves with the wind, the plan's path stays.

    How much height can be lost beyond the required one is taken from the plan's gates, interpolated along its path:
    it is a matter of the airplane more than of the wind.

    :raises WindNotBelowAirspeed: the wind is as strong as the airspeed.
    """
    exercise = replace(plan.exercise, weather=replace(plan.exercise.weather, atmosphere=atmosphere, wind=wind))
    ready = bench(exercise)
    practical = practical_height(ready.glide, ready.air, ready.limits, ready.aim_x_m, ready.fifty_foot_x_m)
    path = plan.path
    bare = Windows(practical, ready.air, path.x_m, path.y_m, path.track_rad, path.height_m, path.height_m)
    required = bare.required_m(path.x_m, path.y_m, path.heading_rad, path.bank_rad, path.height_m)
    return replace(bare, path_required_m=required, path_highest_m=required + _room_m(plan, path.time_s))


def _room_m(plan: Plan, time_s: Array) -> Array:
    """Highest less required height along the plan, linear in time between its gates; NaN without gates."""
    if not plan.gates:
        return np.full(time_s.shape, np.nan)
    times = [gate.time_s for gate in plan.gates]
    room = [gate.highest_m - gate.required_m for gate in plan.gates]
    return np.asarray(np.interp(time_s, times, room))
