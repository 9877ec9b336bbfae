"""Density and wind at a height, for the compiled integrators; agrees with `Atmosphere` and `WindProfile`.

Import inside functions only: importing a kernel starts the compiler.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit

FloatArray = NDArray[np.float64]

_LAPSE_K_PER_M = 0.0065
_GAS_CONSTANT = 287.05287
_DENSITY_EXPONENT = 9.80665 / (0.0065 * 287.05287) - 1.0
_LEAST_HEIGHT_M = 2.0


@njit
def density_kgpm3(height_above_field_m: float, field_pressure_pa: float, field_temperature_k: float) -> float:
    """Density of dry air in a column with the standard lapse rate from the field's temperature and pressure.

    Troposphere only; heights below the field are allowed. No check is made: `Atmosphere` refuses before a kernel runs.
    """
    ratio = 1.0 - _LAPSE_K_PER_M * height_above_field_m / field_temperature_k
    density: float = field_pressure_pa / (_GAS_CONSTANT * field_temperature_k) * ratio**_DENSITY_EXPONENT
    return density


@njit
def wind_at(
    height_above_field_m: float,
    heights_m: FloatArray,
    wind_x_mps: FloatArray,
    wind_y_mps: FloatArray,
    shear_exponent_factor: float,
) -> tuple[float, float]:
    """Velocity of the air at a height in the frame of the given components; arrays (n,) as `in_runway_frame` gives."""
    last = heights_m.shape[0] - 1
    if height_above_field_m >= heights_m[last]:
        return wind_x_mps[last], wind_y_mps[last]
    if height_above_field_m <= heights_m[0]:
        height = max(height_above_field_m, _LEAST_HEIGHT_M)
        share = (height / heights_m[0]) ** shear_exponent_factor
        return share * wind_x_mps[0], share * wind_y_mps[0]
    upper = 1
    while heights_m[upper] < height_above_field_m:
        upper += 1
    part = (height_above_field_m - heights_m[upper - 1]) / (heights_m[upper] - heights_m[upper - 1])
    return (
        wind_x_mps[upper - 1] + part * (wind_x_mps[upper] - wind_x_mps[upper - 1]),
        wind_y_mps[upper - 1] + part * (wind_y_mps[upper] - wind_y_mps[upper - 1]),
    )


@njit
def wind_gradient_at(
    height_above_field_m: float,
    heights_m: FloatArray,
    wind_x_mps: FloatArray,
    wind_y_mps: FloatArray,
    shear_exponent_factor: float,
) -> tuple[float, float]:
    """Change of `wind_at` with height, in 1/s; at a level, the slope of the layer below it."""
    last = heights_m.shape[0] - 1
    if height_above_field_m > heights_m[last] or height_above_field_m <= _LEAST_HEIGHT_M:
        return 0.0, 0.0
    if height_above_field_m <= heights_m[0]:
        share = (height_above_field_m / heights_m[0]) ** shear_exponent_factor
        slope = shear_exponent_factor * share / height_above_field_m
        return slope * wind_x_mps[0], slope * wind_y_mps[0]
    upper = 1
    while heights_m[upper] < height_above_field_m:
        upper += 1
    thickness = heights_m[upper] - heights_m[upper - 1]
    return (
        (wind_x_mps[upper] - wind_x_mps[upper - 1]) / thickness,
        (wind_y_mps[upper] - wind_y_mps[upper - 1]) / thickness,
    )
