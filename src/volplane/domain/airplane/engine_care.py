"""How the engine is treated: advisory, never a verdict. Limits are settings, the defaults ours or common practice.

A hot engine throttled back at once cools unevenly, and a governed propeller that drives the engine loads its bearings
the wrong way round; how much either matters is disputed among engine makers, so what is found is told and not judged.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane.thrust import AirState, Powerplant, driving_manifold_pressure_pa
from volplane.domain.finding import Finding, Severity
from volplane.units import INCH_OF_MERCURY_PA, RPM_RADPS

Array = NDArray[np.float64]

# an engine below this turns at idle on the ground or not at all
_TURNING_RADPS = 1200.0 * RPM_RADPS
# how far the model's figure for a driven engine may be off: spread of its power over the power of an inch (ours)
DRIVING_SD_PA = 2.5 * INCH_OF_MERCURY_PA


@dataclass(frozen=True, slots=True)
class EngineCareLimits:
    """What is worth a word: how much manifold pressure within how long, and how long below a least one.

    Defaults: 5 in taken off within 15 s, 8 in put on within 2 s, 30 s below the least (common practice, no source).
    """

    reduction_pa: float = 5.0 * INCH_OF_MERCURY_PA
    reduction_within_s: float = 15.0
    increase_pa: float = 8.0 * INCH_OF_MERCURY_PA
    increase_within_s: float = 2.0
    below_least_s: float = 30.0


def least_manifold_pressure_pa(
    plant: Powerplant, engine_speed_radps: float, air: AirState, airplane_least_pa: float | None
) -> float:
    """Below this the propeller may drive the engine: the airplane's own figure, else the model's with its spread."""
    if airplane_least_pa is not None:
        return airplane_least_pa
    return driving_manifold_pressure_pa(plant, engine_speed_radps, air) + DRIVING_SD_PA


def engine_care_findings(
    time_s: Array,
    manifold_pressure_pa: Array,
    engine_speed_radps: Array,
    least_pa: float,
    limits: EngineCareLimits | None = None,
) -> tuple[Finding, ...]:
    """Power changed too fast, and a propeller that may drive the engine; from recorded channels (n,), NaN where none.

    `least_pa` is that of `least_manifold_pressure_pa`. Each kind is told once, at its greatest. Nothing is said about
    an engine that does not turn.
    """
    chosen = EngineCareLimits() if limits is None else limits
    known = np.isfinite(time_s) & np.isfinite(manifold_pressure_pa) & np.isfinite(engine_speed_radps)
    known &= engine_speed_radps > _TURNING_RADPS
    time, pressure = time_s[known], manifold_pressure_pa[known]
    if len(time) < 2:
        return ()
    found = [
        _fastest("power-reduced-fast", time, -pressure, chosen.reduction_pa, chosen.reduction_within_s),
        _fastest("power-added-fast", time, pressure, chosen.increase_pa, chosen.increase_within_s),
        _driven(time, pressure, least_pa, chosen.below_least_s),
    ]
    return tuple(finding for finding in found if finding is not None)


def _fastest(code: str, time: Array, rising: Array, most_pa: float, within_s: float) -> Finding | None:
    """The greatest rise of a series within a time."""
    greatest, at_s = 0.0, 0.0
    first = 0
    for i in range(len(time)):
        while time[i] - time[first] > within_s:
            first += 1
        lowest = first + int(np.argmin(rising[first : i + 1]))
        rise = float(rising[i] - rising[lowest])
        if rise > greatest:
            greatest, at_s = rise, float(time[lowest])
    if greatest <= most_pa:
        return None
    return Finding(code, Severity.NOTE, {"change_pa": greatest, "within_s": within_s, "limit_pa": most_pa}, at_s)


def _driven(time: Array, pressure: Array, least_pa: float, longest_s: float) -> Finding | None:
    """The longest stretch below the least manifold pressure."""
    longest, at_s, lowest_pa = 0.0, 0.0, np.inf
    start: int | None = None
    for i in range(len(time)):
        if pressure[i] >= least_pa:
            start = None
            continue
        start = i if start is None else start
        if time[i] - time[start] > longest:
            longest, at_s = float(time[i] - time[start]), float(time[start])
            lowest_pa = float(pressure[start : i + 1].min())
    if longest <= longest_s:
        return None
    quantities = {"duration_s": longest, "lowest_pa": lowest_pa, "least_pa": least_pa}
    return Finding("propeller-drives-engine", Severity.NOTE, quantities, at_s)
