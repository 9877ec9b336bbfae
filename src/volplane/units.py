"""Trade units, each factor its definition; only adapters and faces convert, the inside is SI and radians.

A converter is named `<to>_from_<from>`; multiply or divide by the constants for arrays.
"""

from __future__ import annotations

import math

FOOT_M = 0.3048
NAUTICAL_MILE_M = 1852.0
STATUTE_MILE_M = 5280.0 * FOOT_M
KNOT_MPS = 1852.0 / 3600.0
FOOT_PER_MINUTE_MPS = 0.3048 / 60.0
KILOMETRE_PER_HOUR_MPS = 1.0 / 3.6
POUND_KG = 0.45359237
STANDARD_GRAVITY_MPS2 = 9.80665
# conventional inch of mercury: 25.4 mm of mercury at 0 degC (13,595.1 kg/m3) under standard gravity
INCH_OF_MERCURY_PA = 0.0254 * 13595.1 * STANDARD_GRAVITY_MPS2
HECTOPASCAL_PA = 100.0
POUND_PER_SQUARE_FOOT_PA = POUND_KG * STANDARD_GRAVITY_MPS2 / FOOT_M**2
POUND_PER_CUBIC_FOOT_KGPM3 = POUND_KG / FOOT_M**3
HORSEPOWER_W = 550.0 * FOOT_M * POUND_KG * STANDARD_GRAVITY_MPS2
CUBIC_INCH_M3 = 0.0254**3
RPM_RADPS = 2.0 * math.pi / 60.0
CELSIUS_ZERO_K = 273.15
FAHRENHEIT_K = 5.0 / 9.0
FAHRENHEIT_ZERO_K = 273.15 - 32.0 * FAHRENHEIT_K
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


def m_from_nm(length_nm: float) -> float:
    """Metres from nautical miles."""
    return length_nm * NAUTICAL_MILE_M


def kt_from_mps(speed_mps: float) -> float:
    """Knots from metres per second."""
    return speed_mps / KNOT_MPS


def mps_from_kt(speed_kt: float) -> float:
    """Metres per second from knots."""
    return speed_kt * KNOT_MPS


def fpm_from_mps(speed_mps: float) -> float:
    """Feet per minute from metres per second."""
    return speed_mps / FOOT_PER_MINUTE_MPS


def mps_from_fpm(speed_fpm: float) -> float:
    """Metres per second from feet per minute."""
    return speed_fpm * FOOT_PER_MINUTE_MPS


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


def hpa_from_pa(pressure_pa: float) -> float:
    """Hectopascals from pascals."""
    return pressure_pa / HECTOPASCAL_PA


def pa_from_hpa(pressure_hpa: float) -> float:
    """Pascals from hectopascals."""
    return pressure_hpa * HECTOPASCAL_PA


def hp_from_w(power_w: float) -> float:
    """Mechanical horsepower from watts."""
    return power_w / HORSEPOWER_W


def w_from_hp(power_hp: float) -> float:
    """Watts from mechanical horsepower."""
    return power_hp * HORSEPOWER_W


def rpm_from_radps(rate_radps: float) -> float:
    """Revolutions per minute from radians per second."""
    return rate_radps / RPM_RADPS


def radps_from_rpm(rate_rpm: float) -> float:
    """Radians per second from revolutions per minute."""
    return rate_rpm * RPM_RADPS


def degc_from_k(temperature_k: float) -> float:
    """Degrees Celsius from kelvins."""
    return temperature_k - CELSIUS_ZERO_K


def k_from_degc(temperature_degc: float) -> float:
    """Kelvins from degrees Celsius."""
    return temperature_degc + CELSIUS_ZERO_K


def degf_from_k(temperature_k: float) -> float:
    """Degrees Fahrenheit from kelvins."""
    return (temperature_k - FAHRENHEIT_ZERO_K) / FAHRENHEIT_K


def k_from_degf(temperature_degf: float) -> float:
    """Kelvins from degrees Fahrenheit."""
    return FAHRENHEIT_ZERO_K + temperature_degf * FAHRENHEIT_K


def deg_from_rad(angle_rad: float) -> float:
    """Degrees from radians, unwrapped."""
    return angle_rad / DEGREE_RAD


def rad_from_deg(angle_deg: float) -> float:
    """Radians from degrees."""
    return angle_deg * DEGREE_RAD
