"""The International Standard Atmosphere up to the tropopause: what every altimeter and airspeed dial is cut to.

Source of constants and equations: ICAO, Manual of the ICAO Standard Atmosphere, Doc 7488, 3rd edition, 1993, sections 2
and 3; the same numbers stand in the US Standard Atmosphere, 1976. Heights are geopotential unless the name says
geometric. NaN stays NaN.
"""

from __future__ import annotations

import math

import numpy as np

from volplane.domain.atmosphere.refusals import OutsideTroposphere, PressureNotSensible, TemperatureNotSensible
from volplane.domain.atmosphere.scalars import FloatArray, FloatOrArray, as_given

STANDARD_GRAVITY_MPS2 = 9.80665
GAS_CONSTANT_DRY_AIR = 287.05287  # J/(kg K)
HEAT_CAPACITY_RATIO = 1.4
SEA_LEVEL_TEMPERATURE_K = 288.15
SEA_LEVEL_PRESSURE_PA = 101325.0
SEA_LEVEL_DENSITY_KGPM3 = SEA_LEVEL_PRESSURE_PA / (GAS_CONSTANT_DRY_AIR * SEA_LEVEL_TEMPERATURE_K)
LAPSE_K_PER_M = 0.0065
SEA_LEVEL_SPEED_OF_SOUND_MPS = math.sqrt(HEAT_CAPACITY_RATIO * GAS_CONSTANT_DRY_AIR * SEA_LEVEL_TEMPERATURE_K)
# radius of the earth that belongs to the geopotential metre (US Standard Atmosphere, 1976, equation 18)
GEOPOTENTIAL_EARTH_RADIUS_M = 6356766.0
# (p / p0) = (T / T0) ** this number
PRESSURE_EXPONENT = STANDARD_GRAVITY_MPS2 / (LAPSE_K_PER_M * GAS_CONSTANT_DRY_AIR)

LOWEST_M = -5000.0  # where the tables of Doc 7488 begin
TROPOPAUSE_M = 11000.0
LOWEST_TEMPERATURE_K = 180.0
HIGHEST_TEMPERATURE_K = 340.0


def geopotential_m_from_geometric_m(geometric_m: FloatOrArray) -> FloatOrArray:
    """Geopotential height of a true height above sea level (US Standard Atmosphere, 1976, equation 18)."""
    radius = GEOPOTENTIAL_EARTH_RADIUS_M
    return as_given(radius * geometric_m / (radius + geometric_m), geometric_m)


def geometric_m_from_geopotential_m(geopotential_m: FloatOrArray) -> FloatOrArray:
    """True height above sea level of a geopotential height (US Standard Atmosphere, 1976, equation 19)."""
    radius = GEOPOTENTIAL_EARTH_RADIUS_M
    return as_given(radius * geopotential_m / (radius - geopotential_m), geopotential_m)


def temperature_k(geopotential_m: FloatOrArray) -> FloatOrArray:
    """Standard temperature at a geopotential height.

    :raises OutsideTroposphere: outside -5,000 m to 11,000 m.
    """
    refuse_outside_troposphere(geopotential_m)
    return as_given(SEA_LEVEL_TEMPERATURE_K - LAPSE_K_PER_M * geopotential_m, geopotential_m)


def pressure_pa(geopotential_m: FloatOrArray) -> FloatOrArray:
    """Standard pressure at a geopotential height (the pressure altitude's pressure).

    :raises OutsideTroposphere: outside -5,000 m to 11,000 m.
    """
    theta = np.divide(temperature_k(geopotential_m), SEA_LEVEL_TEMPERATURE_K)
    return as_given(SEA_LEVEL_PRESSURE_PA * theta**PRESSURE_EXPONENT, geopotential_m)


def density_kgpm3(geopotential_m: FloatOrArray) -> FloatOrArray:
    """Standard density at a geopotential height.

    :raises OutsideTroposphere: outside -5,000 m to 11,000 m.
    """
    theta = np.divide(temperature_k(geopotential_m), SEA_LEVEL_TEMPERATURE_K)
    return as_given(SEA_LEVEL_DENSITY_KGPM3 * theta ** (PRESSURE_EXPONENT - 1.0), geopotential_m)


def pressure_altitude_m(pressure_pa: FloatOrArray) -> FloatOrArray:
    """Geopotential height at which the standard atmosphere has this pressure.

    :raises PressureNotSensible: not positive.
    :raises OutsideTroposphere: outside -5,000 m to 11,000 m.
    """
    if np.any(np.less_equal(pressure_pa, 0.0)):
        raise PressureNotSensible(float(np.nanmin(pressure_pa)), 0.0, np.inf)
    theta = np.divide(pressure_pa, SEA_LEVEL_PRESSURE_PA) ** (1.0 / PRESSURE_EXPONENT)
    altitude = as_given((1.0 - theta) * SEA_LEVEL_TEMPERATURE_K / LAPSE_K_PER_M, pressure_pa)
    refuse_outside_troposphere(altitude)
    return altitude


def altitude_m_of_density(density_kgpm3: FloatOrArray) -> FloatOrArray:
    """Geopotential height at which the standard atmosphere has this density: the density altitude.

    :raises OutsideTroposphere: outside -5,000 m to 11,000 m, or a density that is not positive.
    """
    if np.any(np.less_equal(density_kgpm3, 0.0)):
        raise OutsideTroposphere(np.inf, LOWEST_M, TROPOPAUSE_M)
    theta = np.divide(density_kgpm3, SEA_LEVEL_DENSITY_KGPM3) ** (1.0 / (PRESSURE_EXPONENT - 1.0))
    altitude = as_given((1.0 - theta) * SEA_LEVEL_TEMPERATURE_K / LAPSE_K_PER_M, density_kgpm3)
    refuse_outside_troposphere(altitude)
    return altitude


def speed_of_sound_mps(temperature_k: FloatOrArray) -> FloatOrArray:
    """Speed of sound in dry air (Doc 7488, equation 21).

    :raises TemperatureNotSensible: outside 180 K to 340 K.
    """
    refuse_odd_temperature(temperature_k)
    return as_given(np.sqrt(HEAT_CAPACITY_RATIO * GAS_CONSTANT_DRY_AIR * temperature_k), temperature_k)


def refuse_outside_troposphere(
    altitude_m: float | FloatArray, lowest_m: float = LOWEST_M, highest_m: float = TROPOPAUSE_M
) -> None:
    """Refuse a height where the constant lapse rate does not describe the air.

    :raises OutsideTroposphere: below the lowest or above the highest height.
    """
    # a hair of rounding at either end is no reason to refuse; the first line answers one number fast
    if isinstance(altitude_m, float) and lowest_m - 1e-6 <= altitude_m <= highest_m + 1e-6:
        return
    outside = (np.asarray(altitude_m) < lowest_m - 1e-6) | (np.asarray(altitude_m) > highest_m + 1e-6)
    if np.any(outside):
        raise OutsideTroposphere(float(np.asarray(altitude_m)[outside].flat[0]), lowest_m, highest_m)


def refuse_odd_temperature(temperature_k: float | FloatArray) -> None:
    """Refuse a temperature the air never has near the ground: usually degrees Celsius given as kelvins.

    :raises TemperatureNotSensible: outside 180 K to 340 K.
    """
    temperature = np.asarray(temperature_k)
    outside = (temperature < LOWEST_TEMPERATURE_K) | (temperature > HIGHEST_TEMPERATURE_K)
    if np.any(outside):
        raise TemperatureNotSensible(float(temperature[outside].flat[0]), LOWEST_TEMPERATURE_K, HIGHEST_TEMPERATURE_K)
