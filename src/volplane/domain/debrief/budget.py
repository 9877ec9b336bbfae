"""Where the height in hand went from the low key to its least, split by cause; the parts add up by construction.

Height in hand changes as the airplane sinks and as the required height falls. The sink flown is compared, step by
step, with that of the dead-engine airplane: at best glide and the limits' own bank (path), at the bank really flown
(bank), at the airspeed really flown with the energy it stored (speed). What is left is what the airplane itself or the
air did: configuration, power, rising and sinking air.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.in_hand import air_state
from volplane.domain.debrief.results import BudgetItem, HeightInHand
from volplane.domain.debrief.wind import WindFound
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.limits import PilotLimits
from volplane.domain.glide.polar import GlideModel
from volplane.domain.glide.practical_height import steady_glide

Array = NDArray[np.float64]

PATH, BANK, SPEED, CONFIGURATION_AND_AIR = "path", "bank", "speed", "configuration and air"
_G = 9.80665
# more bank than this is a turn
TURNING_RAD = math.radians(8.0)
LEAST_SAMPLES = 10
# a measured curve ends somewhere: sink is compared within these parts of the best-glide speed
_SLOWEST_FACTOR, _FASTEST_FACTOR = 0.7, 1.6


def budget_from_low_key(
    flight: Flight,
    wind: WindFound,
    series: HeightInHand,
    glide: GlideModel,
    limits: PilotLimits,
    low_key_s: float,
) -> tuple[BudgetItem, ...]:
    """Change of height in hand from the low key to its least, by cause; positive gave height.

    Empty when the least comes within ten seconds of the low key: there is nothing to explain.
    """
    known = np.isfinite(series.in_hand_m) & (series.time_s >= low_key_s) & (series.time_s <= series.minimum_time_s)
    if known.sum() < LEAST_SAMPLES:
        return ()
    first_s, last_s = float(series.time_s[known][0]), float(series.time_s[known][-1])
    part = flight.between(first_s, last_s)
    total_m = float(series.in_hand_m[known][-1] - series.in_hand_m[known][0])
    state = air_state(part, wind)
    eas = state.tas_mps / part.tas_to_eas_ratio(part.smoothed.height_m)
    best = np.full(len(eas), limits.glide_eas_mps)
    reference = np.where(np.abs(state.bank_rad) > TURNING_RAD, limits.bank_low_rad, 0.0)
    at_best = _lost_m(part, glide, limits.glide_configuration, best, reference)
    at_bank = _lost_m(part, glide, limits.glide_configuration, best, np.abs(state.bank_rad))
    at_speed = _lost_m(part, glide, limits.glide_configuration, eas, np.abs(state.bank_rad))
    flown_m = float(part.smoothed.height_m[0] - part.smoothed.height_m[-1])
    stored_m = float(state.tas_mps[-3:].mean() ** 2 - state.tas_mps[:3].mean() ** 2) / (2.0 * _G)
    path = total_m + flown_m - at_best
    bank = at_best - at_bank
    speed = at_bank - at_speed - stored_m
    return (
        BudgetItem(PATH, path),
        BudgetItem(BANK, bank),
        BudgetItem(SPEED, speed),
        BudgetItem(CONFIGURATION_AND_AIR, total_m - path - bank - speed),
    )


def _lost_m(part: Flight, glide: GlideModel, configuration: Configuration, eas_mps: Array, bank_rad: Array) -> float:
    """Height the dead-engine airplane would lose over a stretch at these speeds and banks, steadily flown."""
    bounded = np.clip(eas_mps, _SLOWEST_FACTOR * glide.best_eas_mps, _FASTEST_FACTOR * glide.best_eas_mps)
    tas = bounded * part.tas_to_eas_ratio(part.smoothed.height_m)
    steady = [
        steady_glide(glide, float(speed), min(float(bank), math.radians(60.0)), configuration).sink_fraction
        for speed, bank in zip(bounded, bank_rad, strict=True)
    ]
    return float(np.trapezoid(np.array(steady) * tas, part.time_s))
