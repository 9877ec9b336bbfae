"""What the recorded engine says of an exercise: when the power was taken off, and whether a descent was a glide at all.

Only the manifold pressure tells a glide from a descent with power: behind a governed propeller the speed of rotation
hardly moves. Without the channel nothing is said here and the sink alone decides.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.debrief.flight import Flight
from volplane.units import INCH_OF_MERCURY_PA

Array = NDArray[np.float64]

# usual in a training descent are 14 to 16 inHg (common practice, no source); a stand-in says it better. Ours, both.
GLIDING_MOST_PA = 17.0 * INCH_OF_MERCURY_PA
ABOVE_STAND_IN_PA = 2.5 * INCH_OF_MERCURY_PA
# power that stays off for so long was taken off
OFF_FOR_S = 10.0
# looked for so long before the first gate and after it
BEFORE_S, AFTER_S = 90.0, 45.0
# a fixed propeller slows by so much when the power is taken off; ours
SLOWER_FRACTION, SLOWER_WITHIN_S = 0.2, 5.0


def gliding_most_pa(airplane: Airplane) -> float:
    """Greatest manifold pressure that still passes for a glide: a little above the stand-in's."""
    return GLIDING_MOST_PA if airplane.stand_in is None else airplane.stand_in.manifold_pressure_pa + ABOVE_STAND_IN_PA


def had_power(flight: Flight, airplane: Airplane, start_s: float, end_s: float) -> bool:
    """Whether power was on for half of the time or more; False where no manifold pressure was recorded."""
    pressure_pa = flight.recorded.manifold_pressure_pa
    if pressure_pa is None:
        return False
    inside = (flight.time_s >= start_s) & (flight.time_s <= end_s) & np.isfinite(pressure_pa)
    return bool(inside.any()) and float(np.mean(pressure_pa[inside] > gliding_most_pa(airplane))) >= 0.5


def power_reduction_s(flight: Flight, airplane: Airplane, first_gate_s: float) -> float | None:
    """When the power was taken off near the first gate; None where no channel shows it."""
    part = flight.between(first_gate_s - BEFORE_S, first_gate_s + AFTER_S)
    if part.recorded.manifold_pressure_pa is not None:
        return _pulled_s(part.time_s, part.recorded.manifold_pressure_pa, gliding_most_pa(airplane))
    if part.recorded.engine_speed_radps is not None:
        return _slowed_s(part.time_s, part.recorded.engine_speed_radps)
    return None


def _pulled_s(time_s: Array, pressure_pa: Array, most_pa: float) -> float | None:
    """First second without power of the last fall below a pressure that lasts."""
    without = pressure_pa <= most_pa
    for index in np.flatnonzero(~without[:-1] & without[1:])[::-1] + 1:
        lasting = without[(time_s >= time_s[index]) & (time_s <= time_s[index] + OFF_FOR_S)]
        if lasting.all() and time_s[index] + OFF_FOR_S <= time_s[-1]:
            return float(time_s[index])
    return None


def _slowed_s(time_s: Array, speed_radps: Array) -> float | None:
    """Middle of the greatest fall of the speed of rotation within some seconds, if it is great enough and lasts."""
    width = int(SLOWER_WITHIN_S)
    if len(time_s) <= 3 * width or not np.isfinite(speed_radps).all():
        return None
    fall = speed_radps[:-width] - speed_radps[width:]
    index = int(np.argmax(fall))
    before = float(np.median(speed_radps[max(index - width, 0) : index + 1]))
    later = float(np.median(speed_radps[index + width : index + 3 * width]))
    return float(time_s[index] + 0.5 * SLOWER_WITHIN_S) if before - later > SLOWER_FRACTION * before else None
