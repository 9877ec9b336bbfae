"""What chance does to one flight of a dispersion: its luck, the air of its day, and hands and air that wander.

Every random number is a function of seed, flight and number of the draw alone: a flight is the same whoever flies it,
in whatever order. Import inside functions only: importing a kernel starts the compiler.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit
from volplane.domain.glide.flight_kernel import World

Array = NDArray[np.float64]

# the luck of a flight, each a standard normal number, drawn once
(WIND_SPEED, WIND_TURN, RATIO, ENTRY, FIRST_BANK, AIRSPEED_BIAS, TIMING, PICTURE, LOW_PICTURE, OFFSET, ALTIMETER) = (
    range(11)
)
LANDING, AIR_START = 11, 12  # the air's start, and the next two
FLIGHT_DRAWS = 15
_STEP_DRAWS = 3
# calm air that turns out to move comes from anywhere: a draw of its own, far behind all steps
_CALM_FROM = 100_000

_MASK = 0xFFFFFFFF
_GOLDEN = 0x9E3779B9


class Spread(NamedTuple):
    """Standard deviations, as `Uncertainties` has them."""

    wind_speed_fraction: float
    wind_least_mps: float
    wind_direction_rad: float
    glide_ratio_fraction: float
    rising_air_mps: float
    rising_air_memory_s: float
    entry_height_m: float
    first_turn_bank_fraction: float
    first_turn_least_bank_rad: float
    first_turn_greatest_bank_rad: float
    bank_wander_rad: float
    bank_memory_s: float
    airspeed_bias_mps: float
    airspeed_wander_mps: float
    airspeed_memory_s: float
    timing_s: float
    picture_fraction: float
    picture_low_fraction: float
    offset_fraction: float
    altimeter_m: float
    landing_m: float


@njit
def _mixed(value: int) -> int:
    """A 32-bit number stirred so that near ones come out far apart (a bijection; multipliers from memory)."""
    stirred = value & _MASK
    stirred = ((stirred ^ (stirred >> 16)) * 0x7FEB352D) & _MASK
    stirred = ((stirred ^ (stirred >> 15)) * 0x846CA68B) & _MASK
    return stirred ^ (stirred >> 16)


@njit
def flight_key(seed: int, flight: int) -> int:
    """The key of one flight's random numbers."""
    return _mixed(_mixed(seed + _GOLDEN) ^ flight)


@njit
def uniform(key: int, draw: int) -> float:
    """Number `draw` of a flight's stream, evenly spread between 0 and 1, never either."""
    return (_mixed(key ^ _mixed(draw + _GOLDEN)) + 0.5) / 4294967296.0


@njit
def normal(key: int, draw: int) -> float:
    """Number `draw` of a flight's stream, normally spread (Box and Muller, Annals of Mathematical Statistics 1958)."""
    return math.sqrt(-2.0 * math.log(uniform(key, 2 * draw))) * math.cos(2.0 * math.pi * uniform(key, 2 * draw + 1))


@njit
def luck_of(key: int) -> Array:
    """The luck of a flight, (FLIGHT_DRAWS,)."""
    luck = np.empty(FLIGHT_DRAWS)
    for draw in range(FLIGHT_DRAWS):
        luck[draw] = normal(key, draw)
    return luck


@njit
def air_of_the_day(key: int, luck: Array, spread: Spread, world: World, landing_wind: Array) -> World:
    """The world of one flight: wind and glide ratio off by what nobody knows. Heights and components fill the wind."""
    turn = spread.wind_direction_rad * luck[WIND_TURN]
    cosine, sine = math.cos(turn), math.sin(turn)
    calm_from = 2.0 * math.pi * uniform(key, _CALM_FROM)
    for level in range(world.wind_heights.shape[0]):
        x, y = world.wind_x[level], world.wind_y[level]
        speed = math.hypot(x, y)
        along_x, along_y = math.cos(calm_from), math.sin(calm_from)
        if speed > 1e-9:
            along_x, along_y = x / speed, y / speed
        speed += luck[WIND_SPEED] * max(spread.wind_speed_fraction * speed, spread.wind_least_mps)
        landing_wind[0, level] = world.wind_heights[level]
        landing_wind[1, level] = speed * (along_x * cosine - along_y * sine)
        landing_wind[2, level] = speed * (along_x * sine + along_y * cosine)
    polar = world.polar.copy()
    better = max(1.0 + spread.glide_ratio_fraction * luck[RATIO], 0.5)
    polar[1] *= better
    for i in range(4, polar.shape[0]):
        polar[i] /= better
    return World(polar, landing_wind[0], landing_wind[1], landing_wind[2], world.handling)


@njit
def wander(key: int, luck: Array, step: int, step_s: float, spread: Spread, wandering: Array, errors: Array) -> None:
    """Airspeed, bank and rising air of this step: first-order Gauss and Markov processes, started in their own spread.

    `errors` (3,) is what the step flies with, as the guided flight's disturbance; `wandering` (3,) the processes.
    """
    sizes = (spread.airspeed_wander_mps, spread.bank_wander_rad, spread.rising_air_mps)
    memories = (spread.airspeed_memory_s, spread.bank_memory_s, spread.rising_air_memory_s)
    for i in range(3):
        if sizes[i] <= 0.0:
            wandering[i] = 0.0
        elif step == 0:
            wandering[i] = sizes[i] * luck[AIR_START + i]
        else:
            keep = math.exp(-step_s / memories[i])
            fresh = normal(key, FLIGHT_DRAWS + _STEP_DRAWS * step + i)
            wandering[i] = keep * wandering[i] + sizes[i] * math.sqrt(1.0 - keep * keep) * fresh
        errors[i] = wandering[i]
    errors[0] += spread.airspeed_bias_mps * luck[AIRSPEED_BIAS]
