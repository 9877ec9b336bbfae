"""Where the height in hand went from the low key on, second by second and by cause; the parts add up by construction.

Height in hand changes as the airplane sinks and as the required height falls: its change is the required height gained
less the height lost. The height lost is compared with what the dead-engine airplane would have lost at best glide and
the limits' own bank, at the bank really flown (bank), at the airspeed really flown with the energy it stored (speed),
in the configuration and with the power really flown (configuration), and what the air did is the rest of it (vertical
air). Of the change that leaves the path: required height gained less what best glide loses meanwhile.

Airspeed is known only where it was recorded, configuration only with the power: what is not known apart is told
together.
"""

from __future__ import annotations

import math
from collections.abc import Mapping
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.in_hand import air_state
from volplane.domain.debrief.results import BudgetCourse, BudgetItem, HeightInHand
from volplane.domain.debrief.standin_flown import SinksCompared
from volplane.domain.debrief.wind import WindFound
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.limits import PilotLimits
from volplane.domain.glide.polar import GlideModel
from volplane.domain.glide.practical_height import steady_glide

Array = NDArray[np.float64]

PATH, BANK, SPEED = "path", "bank", "speed"
CONFIGURATION, VERTICAL_AIR = "configuration and power", "vertical air"
CONFIGURATION_AND_AIR, SPEED_CONFIGURATION_AND_AIR = "configuration and air", "speed, configuration and air"
# what the airplane and the air did, together or apart, whatever the pilot's path
AIRPLANE_AND_AIR = (CONFIGURATION, VERTICAL_AIR, CONFIGURATION_AND_AIR, SPEED_CONFIGURATION_AND_AIR)
_G = 9.80665
# more bank than this is a turn
TURNING_RAD = math.radians(8.0)
LEAST_SAMPLES = 10
# a measured curve ends somewhere: sink is compared within these parts of the best-glide speed
_SLOWEST_FACTOR, _FASTEST_FACTOR = 0.7, 1.6


@dataclass(frozen=True, slots=True)
class Polar:
    """The dead-engine glide the budget is reckoned with, and the pilot's limits."""

    glide: GlideModel
    limits: PilotLimits


def budget_from_low_key(
    flight: Flight,
    wind: WindFound,
    series: HeightInHand,
    polar: Polar,
    low_key_s: float,
    sinks: SinksCompared | None = None,
) -> BudgetCourse | None:
    """Change of height in hand from the low key on, by cause, each second; positive gave height.

    `sinks` tells what configuration and power did, where power was recorded. None when the least height in hand comes
    within ten seconds of the low key: there is nothing to explain.
    """
    known = np.isfinite(series.in_hand_m) & (series.time_s >= low_key_s)
    if (known & (series.time_s <= series.minimum_time_s)).sum() < LEAST_SAMPLES:
        return None
    seconds, in_hand = series.time_s[known], series.in_hand_m[known]
    part = flight.between(float(seconds[0]), float(seconds[-1]))
    change = in_hand - in_hand[0]
    by_cause = _by_cause(part, wind, polar, sinks)
    told = {cause: course[np.isin(part.time_s, seconds)] for cause, course in by_cause.items()}
    path = change - np.sum(list(told.values()), axis=0)
    return BudgetCourse(seconds, change, (PATH, *told), (path, *told.values()))


def budget_items(course: BudgetCourse, until_s: float) -> tuple[BudgetItem, ...]:
    """The budget up to a second."""
    row = max(int(np.searchsorted(course.time_s, until_s + 1e-6)) - 1, 0)
    return tuple(
        BudgetItem(cause, float(part[row])) for cause, part in zip(course.causes, course.by_cause_m, strict=True)
    )


def _by_cause(part: Flight, wind: WindFound, polar: Polar, sinks: SinksCompared | None) -> Mapping[str, Array]:
    """Every cause but the path, added up since the start of the stretch, (n,) each."""
    state = air_state(part, wind)
    to_tas = part.tas_to_eas_ratio(part.smoothed.height_m)
    eas, banks = state.tas_mps / to_tas, np.abs(state.bank_rad)
    best = np.full(len(eas), polar.limits.glide_eas_mps)
    reference = np.where(banks > TURNING_RAD, polar.limits.bank_low_rad, 0.0)
    configuration = polar.limits.glide_configuration
    at_best = _lost_m(part, polar.glide, configuration, best, reference)
    at_bank = _lost_m(part, polar.glide, configuration, best, banks)
    at_speed = _lost_m(part, polar.glide, configuration, eas, banks)
    lost = part.smoothed.height_m[0] - part.smoothed.height_m
    speed = at_bank - at_speed - _stored_m(state.tas_mps)
    rest = at_speed + _stored_m(state.tas_mps) - lost
    if part.recorded.cas_mps is None and part.recorded.tas_mps is None:
        return {BANK: at_best - at_bank, SPEED_CONFIGURATION_AND_AIR: speed + rest}
    if sinks is None:
        return {BANK: at_best - at_bank, SPEED: speed, CONFIGURATION_AND_AIR: rest}
    out = _by_configuration_m(part, sinks)
    return {BANK: at_best - at_bank, SPEED: speed, CONFIGURATION: out, VERTICAL_AIR: rest - out}


def _by_configuration_m(part: Flight, sinks: SinksCompared) -> Array:
    """Height that configuration and power gave, or took, against the dead engine, added up."""
    less = np.nan_to_num(sinks.real_sink_mps - sinks.stand_in_sink_mps)
    return _added_up(np.interp(part.time_s, sinks.time_s, less), part.time_s)


def _stored_m(tas_mps: Array) -> Array:
    """Height put into speed since the start, (n,): means over three seconds, so that scatter does not make height."""
    padded = np.concatenate([np.repeat(tas_mps[:3].mean(), 2), tas_mps])
    mean = np.convolve(padded, np.full(3, 1.0 / 3.0), mode="valid")
    mean[:3] = tas_mps[:3].mean()
    return np.asarray((mean**2 - mean[0] ** 2) / (2.0 * _G))


def _lost_m(part: Flight, glide: GlideModel, configuration: Configuration, eas_mps: Array, bank_rad: Array) -> Array:
    """Height the dead-engine airplane would have lost since the start at these speeds and banks, steadily flown."""
    bounded = np.clip(eas_mps, _SLOWEST_FACTOR * glide.best_eas_mps, _FASTEST_FACTOR * glide.best_eas_mps)
    tas = bounded * part.tas_to_eas_ratio(part.smoothed.height_m)
    steady = [
        steady_glide(glide, float(speed), min(float(bank), math.radians(60.0)), configuration).sink_fraction
        for speed, bank in zip(bounded, bank_rad, strict=True)
    ]
    return _added_up(np.array(steady) * tas, part.time_s)


def _added_up(rate: Array, time_s: Array) -> Array:
    """Integral of a rate since the first second, trapezoids, (n,)."""
    steps = 0.5 * (rate[1:] + rate[:-1]) * np.diff(time_s)
    return np.concatenate([[0.0], np.cumsum(steps)])
