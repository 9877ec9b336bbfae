"""Calibrated, equivalent and true airspeed of a subsonic airplane in compressible air.

Indicated airspeed is calibrated airspeed plus the airplane's own position error, which is no matter of the air.
Source: Gracey, Measurement of Aircraft Speed and Altitude, NASA Reference Publication 1046, 1980, chapter III (impact
pressure, calibrated airspeed, Mach number). Arguments broadcast; NaN stays NaN. Every function here refuses a negative
airspeed and one above Mach 1.05 with `AirspeedNotSensible` (the shock's loss of total pressure, 0.04 % there, is
neglected), and a temperature outside 180 K to 340 K with `TemperatureNotSensible`.
"""

from __future__ import annotations

from typing import overload

import numpy as np

from volplane.domain.atmosphere import isa
from volplane.domain.atmosphere.refusals import AirspeedNotSensible
from volplane.domain.atmosphere.scalars import FloatArray, FloatOrArray, as_float_or_array, as_given

_MACH_FACTOR = (isa.HEAT_CAPACITY_RATIO - 1.0) / 2.0  # 0.2
_PRESSURE_POWER = isa.HEAT_CAPACITY_RATIO / (isa.HEAT_CAPACITY_RATIO - 1.0)  # 3.5
_HIGHEST_MACH = 1.05
_HIGHEST_IMPACT_RATIO = float(np.expm1(_PRESSURE_POWER * np.log1p(_MACH_FACTOR * _HIGHEST_MACH**2)))


def impact_pressure_pa(cas_mps: FloatOrArray) -> FloatOrArray:
    """Pressure the airspeed dial feels: total less static pressure, which alone fixes the calibrated airspeed."""
    _refuse_speed(cas_mps, isa.SEA_LEVEL_SPEED_OF_SOUND_MPS)
    ratio = _impact_ratio(np.divide(cas_mps, isa.SEA_LEVEL_SPEED_OF_SOUND_MPS))
    return as_given(isa.SEA_LEVEL_PRESSURE_PA * ratio, cas_mps)


def cas_mps_from_impact_pressure_pa(impact_pressure_pa: FloatOrArray) -> FloatOrArray:
    """Calibrated airspeed at an impact pressure."""
    mach = _mach(np.divide(impact_pressure_pa, isa.SEA_LEVEL_PRESSURE_PA))
    return as_given(mach * isa.SEA_LEVEL_SPEED_OF_SOUND_MPS, impact_pressure_pa)


@overload
def mach_ratio_from_cas_mps(cas_mps: float, pressure_pa: float) -> float: ...
@overload
def mach_ratio_from_cas_mps(cas_mps: FloatArray, pressure_pa: float | FloatArray) -> FloatArray: ...
@overload
def mach_ratio_from_cas_mps(cas_mps: float, pressure_pa: FloatArray) -> FloatArray: ...
def mach_ratio_from_cas_mps(cas_mps: float | FloatArray, pressure_pa: float | FloatArray) -> float | FloatArray:
    """Mach number at a calibrated airspeed and static pressure."""
    return as_float_or_array(_mach_at(cas_mps, pressure_pa))


@overload
def tas_mps_from_cas_mps(cas_mps: float, pressure_pa: float, temperature_k: float) -> float: ...
@overload
def tas_mps_from_cas_mps(
    cas_mps: float | FloatArray, pressure_pa: float | FloatArray, temperature_k: float | FloatArray
) -> float | FloatArray: ...
def tas_mps_from_cas_mps(
    cas_mps: float | FloatArray, pressure_pa: float | FloatArray, temperature_k: float | FloatArray
) -> float | FloatArray:
    """True airspeed at a calibrated airspeed, static pressure and outside air temperature."""
    return as_float_or_array(_mach_at(cas_mps, pressure_pa) * _sound(temperature_k))


@overload
def cas_mps_from_tas_mps(tas_mps: float, pressure_pa: float, temperature_k: float) -> float: ...
@overload
def cas_mps_from_tas_mps(
    tas_mps: float | FloatArray, pressure_pa: float | FloatArray, temperature_k: float | FloatArray
) -> float | FloatArray: ...
def cas_mps_from_tas_mps(
    tas_mps: float | FloatArray, pressure_pa: float | FloatArray, temperature_k: float | FloatArray
) -> float | FloatArray:
    """Calibrated airspeed at a true airspeed, static pressure and outside air temperature."""
    sound = _sound(temperature_k)
    _refuse_speed(tas_mps, sound)
    impact = np.multiply(pressure_pa, _impact_ratio(np.divide(tas_mps, sound)))
    return as_float_or_array(_mach(impact / isa.SEA_LEVEL_PRESSURE_PA) * isa.SEA_LEVEL_SPEED_OF_SOUND_MPS)


@overload
def eas_mps_from_cas_mps(cas_mps: float, pressure_pa: float) -> float: ...
@overload
def eas_mps_from_cas_mps(cas_mps: FloatArray, pressure_pa: float | FloatArray) -> FloatArray: ...
@overload
def eas_mps_from_cas_mps(cas_mps: float, pressure_pa: FloatArray) -> FloatArray: ...
def eas_mps_from_cas_mps(cas_mps: float | FloatArray, pressure_pa: float | FloatArray) -> float | FloatArray:
    """Equivalent airspeed at a calibrated airspeed and static pressure: what the wing feels, at sea-level density."""
    root_delta = np.sqrt(np.divide(pressure_pa, isa.SEA_LEVEL_PRESSURE_PA))
    return as_float_or_array(_mach_at(cas_mps, pressure_pa) * isa.SEA_LEVEL_SPEED_OF_SOUND_MPS * root_delta)


@overload
def cas_mps_from_eas_mps(eas_mps: float, pressure_pa: float) -> float: ...
@overload
def cas_mps_from_eas_mps(eas_mps: FloatArray, pressure_pa: float | FloatArray) -> FloatArray: ...
@overload
def cas_mps_from_eas_mps(eas_mps: float, pressure_pa: FloatArray) -> FloatArray: ...
def cas_mps_from_eas_mps(eas_mps: float | FloatArray, pressure_pa: float | FloatArray) -> float | FloatArray:
    """Calibrated airspeed at an equivalent airspeed and static pressure."""
    sound = isa.SEA_LEVEL_SPEED_OF_SOUND_MPS * np.sqrt(np.divide(pressure_pa, isa.SEA_LEVEL_PRESSURE_PA))
    _refuse_speed(eas_mps, sound)
    impact = np.multiply(pressure_pa, _impact_ratio(np.divide(eas_mps, sound)))
    return as_float_or_array(_mach(impact / isa.SEA_LEVEL_PRESSURE_PA) * isa.SEA_LEVEL_SPEED_OF_SOUND_MPS)


def _impact_ratio(mach: FloatArray) -> FloatArray:
    """Impact pressure over static pressure, (1 + 0.2 M^2)^3.5 - 1 without loss at low speed."""
    return np.asarray(np.expm1(_PRESSURE_POWER * np.log1p(_MACH_FACTOR * np.square(mach))))


def _mach(impact_ratio: FloatArray) -> FloatArray:
    """Mach number of an impact pressure over static pressure, the inverse of the above."""
    ratio = np.asarray(impact_ratio)
    wrong = (ratio < 0.0) | (ratio > _HIGHEST_IMPACT_RATIO * (1.0 + 1e-9))
    if np.any(wrong):
        sound = isa.SEA_LEVEL_SPEED_OF_SOUND_MPS
        speed = np.sign(ratio) * sound * np.sqrt(np.expm1(np.log1p(np.abs(ratio)) / _PRESSURE_POWER) / _MACH_FACTOR)
        raise AirspeedNotSensible(float(speed[wrong].flat[0]), _HIGHEST_MACH * sound)
    return np.asarray(np.sqrt(np.expm1(np.log1p(ratio) / _PRESSURE_POWER) / _MACH_FACTOR))


def _mach_at(cas_mps: float | FloatArray, pressure_pa: float | FloatArray) -> FloatArray:
    _refuse_speed(cas_mps, isa.SEA_LEVEL_SPEED_OF_SOUND_MPS)
    impact = isa.SEA_LEVEL_PRESSURE_PA * _impact_ratio(np.divide(cas_mps, isa.SEA_LEVEL_SPEED_OF_SOUND_MPS))
    return _mach(impact / pressure_pa)


def _sound(temperature_k: float | FloatArray) -> FloatArray:
    return isa.speed_of_sound_mps(np.asarray(temperature_k, dtype=np.float64))


def _refuse_speed(speed_mps: float | FloatArray, sound_mps: float | FloatArray) -> None:
    highest_mps = np.multiply(_HIGHEST_MACH, sound_mps)
    wrong = np.less(speed_mps, 0.0) | np.greater(speed_mps, highest_mps)
    if np.any(wrong):
        speed, highest = np.broadcast_to(speed_mps, wrong.shape), np.broadcast_to(highest_mps, wrong.shape)
        raise AirspeedNotSensible(float(speed[wrong].flat[0]), float(highest[wrong].flat[0]))
