"""One second of a flight of a dispersion: the hand moves once, the air is felt at its middle.

The glide is that of the guided flight (`flight_kernel`) at a third of its cost. Import inside functions only: importing
a kernel starts the compiler.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit
from volplane.domain.atmosphere.air_kernel import density_kgpm3
from volplane.domain.glide.flight_kernel import (
    AIR_PRESSURE,
    AIR_TEMPERATURE,
    BASE_HEIGHT,
    EAS,
    ROLL_RATE,
    ROLL_TIME,
    World,
    air_motion,
    ground_motion,
    past_end,
    wanted_bank_of,
)

Array = NDArray[np.float64]

STEP_S = 1.0

_G = 9.80665
_SEA_LEVEL_DENSITY = 1.225


@njit
def eas_of(state: Array, world: World) -> float:
    """Equivalent airspeed."""
    height = state[2] + world.handling[BASE_HEIGHT]
    density = density_kgpm3(height, world.handling[AIR_PRESSURE], world.handling[AIR_TEMPERATURE])
    return float(state[4]) * math.sqrt(density / _SEA_LEVEL_DENSITY)


@njit
def _moved(
    state: Array,
    step_s: float,
    leg: Array,
    errors: Array,
    configuration: Array,
    world: World,
    result: Array,
) -> float:
    """One step: the hand moves once, the air is felt at the middle. Fills the state after it; ground distance flown.

    The bank follows its command as a first-order lag with a limit, exactly, which a step longer than the lag needs.
    """
    track, ground_speed = ground_motion(state, world)
    wanted = wanted_bank_of(leg, state[0], state[1], state[3], track, ground_speed) + errors[1]
    most = world.handling[ROLL_RATE] * step_s
    rolled = (wanted - state[5]) * (1.0 - math.exp(-step_s / world.handling[ROLL_TIME]))
    bank = state[5] + min(max(rolled, -most), most)
    middle_bank = 0.5 * (state[5] + bank)
    wanted_eas = leg[EAS]
    half = 0.5 * step_s
    _, _, climb, speed_rate, _, _, _ = air_motion(
        state[2], state[3], state[4], state[5], wanted_eas, errors[0], configuration, world
    )
    heading = state[3] - half * _G * math.tan(0.5 * (state[5] + middle_bank)) / state[4]
    speed = state[4] + half * speed_rate
    velocity_x, velocity_y, climb, speed_rate, _, _, _ = air_motion(
        state[2] + half * (climb + errors[2]), heading, speed, middle_bank, wanted_eas, errors[0], configuration, world
    )
    result[0] = state[0] + step_s * velocity_x
    result[1] = state[1] + step_s * velocity_y
    result[2] = state[2] + step_s * (climb + errors[2])
    result[3] = state[3] - step_s * _G * math.tan(middle_bank) / speed
    result[4] = state[4] + step_s * speed_rate
    result[5] = bank
    return step_s * math.hypot(velocity_x, velocity_y)


@njit
def advanced(
    state: Array,
    legs: Array,
    index: int,
    leg_time_s: float,
    errors: Array,
    configuration: Array,
    world: World,
    trial: Array,
) -> tuple[float, float, bool]:
    """Move on by a step, or to the leg's end inside it: time taken, ground flown, whether the leg has ended."""
    last = legs.shape[0] - 1
    leg, following, has_next = legs[index], legs[min(index + 1, last)], index < last
    before = past_end(state, leg, following, has_next, leg_time_s, world)
    if before >= 0.0:
        return 0.0, 0.0, True
    taken = STEP_S
    flown = _moved(state, taken, leg, errors, configuration, world, trial)
    after = past_end(trial, leg, following, has_next, leg_time_s + taken, world)
    is_over = after >= 0.0
    for _ in range(4):  # the secant through the step's beginning closes in on the end
        if not is_over or abs(after) <= 1e-4 or after == before:
            break
        taken = min(max(taken * before / (before - after), 1e-6), STEP_S)
        flown = _moved(state, taken, leg, errors, configuration, world, trial)
        after = past_end(trial, leg, following, has_next, leg_time_s + taken, world)
    state[:] = trial
    return taken, flown, is_over
