"""Formulas that take one number or an array of them, and give back what they were given."""

from __future__ import annotations

from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

FloatArray = NDArray[np.float64]

# one number in, one number out; an array in, an array of the same shape out
FloatOrArray = TypeVar("FloatOrArray", float, FloatArray)


def as_given(result: object, given: FloatOrArray) -> FloatOrArray:
    """The result as a float when the argument was one number, as a float array otherwise."""
    if isinstance(given, np.ndarray):
        return np.asarray(result, dtype=np.float64)
    return float(result)  # type: ignore[arg-type]


def as_float_or_array(result: object) -> float | FloatArray:
    """A result of several broadcast arguments: a float when none of them was an array."""
    array = np.asarray(result, dtype=np.float64)
    return float(array) if array.ndim == 0 else array
