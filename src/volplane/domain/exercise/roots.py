"""A root of a function that only flights can answer: few calls, no slopes. Arguments and values are in SI."""

from __future__ import annotations

import math
from collections.abc import Callable

_MOST_TRIALS = 40


def root(function: Callable[[float], float], low_si: float, high_si: float, tolerance_si: float) -> float:
    """A root between two arguments of different sign; tolerance is on the function."""
    return root_between(function, (low_si, function(low_si)), (high_si, function(high_si)), tolerance_si)


def root_between(
    function: Callable[[float], float], low: tuple[float, float], high: tuple[float, float], tolerance_si: float
) -> float:
    """A root between two arguments with their values, by the Illinois rule; tolerance is on the function.

    Where the rule has no answer (equal or infinite values) the middle is taken.
    """
    (here, value_here), (there, value_there) = low, high
    middle = here
    kept = 0
    for _ in range(_MOST_TRIALS):
        difference = value_there - value_here
        middle = there - value_there * (there - here) / difference if difference != 0.0 else math.nan
        if not min(here, there) < middle < max(here, there):
            middle = 0.5 * (here + there)
        value = function(middle)
        if abs(value) <= tolerance_si:
            break
        if (value > 0.0) == (value_there > 0.0):
            there, value_there = middle, value
            value_here *= 0.5 if kept == 1 else 1.0
            kept = 1
        else:
            here, value_here = middle, value
            value_there *= 0.5 if kept == -1 else 1.0
            kept = -1
    return middle
