"""Altitudes in coarse steps, as a transponder reports them: what they tell is when a step was passed.

A step of 25 or 100 ft read as an altitude is off by half of it, always for several seconds on end. The moment at which
one step follows the other is known to the interval of the fixes, and there the altitude lies midway between the two.
"""

from __future__ import annotations

import itertools

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# finer steps are within the scatter of any receiver
LEAST_STEP_M = 7.0
# altitudes are whole numbers of steps to within this part of one: rounding of units. So many must be
_ROUNDING_FRACTION, _LEAST_STEPS = 0.1, 6
# an altitude that stays for so long is level flight; this near to its ends the step may be under way
LEVEL_S, STEP_UNDER_WAY_S = 20.0, 5.0
# who reports rounded down instead of to the nearest is off by half a step: this part of a step as a deviation
STEP_SD_FACTOR = 0.25


def altitude_step_m(altitude_m: Array) -> float:
    """The step of altitudes (n,) that come in coarse steps; 0 where they do not."""
    values = np.unique(altitude_m[np.isfinite(altitude_m)])
    if len(values) < _LEAST_STEPS:
        return 0.0
    apart = np.diff(values)
    if float(apart.min()) < LEAST_STEP_M:
        return 0.0
    rough = float(np.median(apart[apart < 1.5 * apart.min()]))
    above = values - values[0]
    step = float(above[-1] / np.round(above[-1] / rough))
    off = np.abs(above / step - np.round(above / step))
    return step if float(off.max()) <= _ROUNDING_FRACTION else 0.0


def read_at_changes(time_s: Array, altitude_m: Array) -> Array:
    """Altitudes (n,) known only where a step changed or in level flight, NaN between; for the smoothing to join."""
    known = np.flatnonzero(np.isfinite(altitude_m))
    times, steps = time_s[known], altitude_m[known]
    changes = np.flatnonzero(np.diff(steps) != 0.0) + 1
    result = np.full(len(altitude_m), np.nan)
    if len(changes) > 1:
        middle_s = 0.5 * (times[changes - 1] + times[changes])
        middle_m = 0.5 * (steps[changes - 1] + steps[changes])
        rate = np.gradient(middle_m, middle_s)
        result[known[changes]] = middle_m + rate * (times[changes] - middle_s)
    edges = np.concatenate([[0], changes, [len(steps)]])
    for first, after in itertools.pairwise(edges):
        if times[after - 1] - times[first] >= LEVEL_S:
            run = slice(int(first), int(after))
            inner = (times[run] >= times[first] + STEP_UNDER_WAY_S) & (
                times[run] <= times[after - 1] - STEP_UNDER_WAY_S
            )
            result[known[run][inner]] = steps[first]
    result[known[[0, -1]]] = steps[[0, -1]]
    return result
