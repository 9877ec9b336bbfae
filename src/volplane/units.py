"""Trade units, each factor its definition; only adapters and faces convert, the inside is SI and radians.

A converter is named `<to>_from_<from>`; multiply or divide by the constants for arrays.
"""

from __future__ import annotations

import math

FOOT_M = 0.3048
NAUTICAL_MILE_M = 1852.0
KNOT_MPS = 1852.0 / 3600.0
FOOT_PER_MINUTE_MPS = 0.3048 / 60.0
POUND_KG = 0.45359237
STANDARD_GRAVITY_MPS2 = 9.80665
# conventional inch of mercury: 25.4 mm of mercury at 0 degC (13,595.1 kg/m3) under standard gravity
INCH_OF_MERCURY_PA = 0.0254 * 13595.1 * STANDARD_GRAVITY_MPS2
HECTOPASCAL_PA = 100.0
HORSEPOWER_W = 550.0 * FOOT_M * POUND_KG * STANDARD_GRAVITY_MPS2
CUBIC_INCH_M3 = 0.0254**3
RPM_RADPS = 2.0 * math.pi / 60.0
CELSIUS_ZERO_K = 273.15
DEGREE_RAD = math.pi / 180.0


def ft_from_m(length_m: float) -> float:
    """Feet from metres."""
    return length_m / FOOT_M


def m_from_ft(length_ft: float) -> float:
    """Metres from feet."""
    return length_ft * FOOT_M


def nm_from_m(length_m: float) -> float:
    """Nautical miles from metres."""
    return length_m / NAUTICAL_MILE_M


def kt_from_mps(speed_mps: float) -> float:
    """Knots from metres per second."""
    return speed_mps / KNOT_MPS


def mps_from_kt(speed_kt: float) -> float:
    """Metres per second from knots."""
    return speed_kt * KNOT_MPS


def fpm_from_mps(speed_mps: float) -> float:
    """Feet per minute from metres per second."""
    return speed_mps / FOOT_PER_MINUTE_MPS


def lb_from_kg(mass_kg: float) -> float:
    """Pounds from kilograms."""
    return mass_kg / POUND_KG


def kg_from_lb(mass_lb: float) -> float:
    """Kilograms from pounds."""
    return mass_lb * POUND_KG


def inhg_from_pa(pressure_pa: float) -> float:
    """Inches of mercury from pascals."""
    return pressure_pa / INCH_OF_MERCURY_PA


def pa_from_inhg(pressure_inhg: float) -> float:
    """Pascals from inches of mercury."""
    return pressure_inhg * INCH_OF_MERCURY_PA


def degc_from_k(temperature_k: float) -> float:
    """Degrees Celsius from kelvins."""
    return temperature_k - CELSIUS_ZERO_K


def k_from_degc(temperature_degc: float) -> float:
    """Kelvins from degrees Celsius."""
    return temperature_degc + CELSIUS_ZERO_K


def deg_from_rad(angle_rad: float) -> float:
    """Degrees from radians, unwrapped."""
    return angle_rad / DEGREE_RAD


def rad_from_deg(angle_deg: float) -> float:
    """Radians from degrees."""
    return angle_deg * DEGREE_RAD
