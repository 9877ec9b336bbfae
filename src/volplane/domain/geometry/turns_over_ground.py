"""Level-turn relations and what wind makes of a turn's path over the ground.

Banks are positive numbers here; a turn's side is the caller's. Descent angles are small enough for level relations (the
exact helix belongs to the glide). Arguments are all numbers or all arrays of one shape; NaN stays NaN.
Source of the turn relations: FAA, Pilot's Handbook of Aeronautical Knowledge, FAA-H-8083-25, chapter on aerodynamics of
flight, and any textbook.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Generic

import numpy as np

from volplane.domain.geometry.angles import FloatArray, FloatOrArray, TrackCannotBeHeld
from volplane.units import STANDARD_GRAVITY_MPS2


def load_factor(bank_rad: FloatOrArray) -> FloatOrArray:
    """Lift over weight in a coordinated level turn, 1 / cos(bank).

    :raises ValueError: bank of 90 degrees or more.
    """
    _check_bank(bank_rad)
    return _as_given(1.0 / np.cos(bank_rad), bank_rad)


def stall_speed_factor(bank_rad: FloatOrArray) -> FloatOrArray:
    """Stall speed in a coordinated level turn over that in straight flight: the root of the load factor."""
    return _as_given(np.sqrt(load_factor(bank_rad)), bank_rad)


def turn_radius_m(tas_mps: FloatOrArray, bank_rad: FloatOrArray) -> FloatOrArray:
    """Radius of the turn in the moving air, V^2 / (g tan bank).

    :raises ValueError: bank of 90 degrees or more.
    """
    _check_bank(bank_rad)
    return _as_given(np.square(tas_mps) / (STANDARD_GRAVITY_MPS2 * np.tan(bank_rad)), bank_rad)


def turn_rate_radps(tas_mps: FloatOrArray, bank_rad: FloatOrArray) -> FloatOrArray:
    """Rate of change of heading, g tan bank / V.

    :raises ValueError: bank of 90 degrees or more.
    """
    _check_bank(bank_rad)
    return _as_given(STANDARD_GRAVITY_MPS2 * np.tan(bank_rad) / tas_mps, bank_rad)


def bank_rad_from_turn_rate(tas_mps: FloatOrArray, turn_rate_radps: FloatOrArray) -> FloatOrArray:
    """Bank that gives a rate of turn."""
    return _as_given(np.arctan(np.multiply(tas_mps, turn_rate_radps) / STANDARD_GRAVITY_MPS2), tas_mps)


def bank_rad_from_radius_m(tas_mps: FloatOrArray, radius_m: FloatOrArray) -> FloatOrArray:
    """Bank that gives a radius in the moving air."""
    return _as_given(np.arctan(np.square(tas_mps) / (STANDARD_GRAVITY_MPS2 * radius_m)), tas_mps)


def constant_bank_displacement_m(
    tas_mps: float, bank_rad: float, heading_rad: float, turned_rad: float, wind_x_mps: float, wind_y_mps: float
) -> tuple[float, float]:
    """Where a turn at constant bank and airspeed ends over the ground, from where it began: a piece of a trochoid.

    The circle in the air plus the wind times the time. Runway frame: heading anticlockwise from x, `turned_rad`
    positive to the left. After a whole circle only the drift remains, whatever the heading it began on.

    :raises ValueError: bank not between 0 and 90 degrees.
    """
    if not bank_rad > 0.0:
        raise ValueError(f"bank {bank_rad} rad of a turn is not positive")
    radius_m = float(np.copysign(turn_radius_m(tas_mps, bank_rad), turned_rad))
    time_s = abs(turned_rad) / turn_rate_radps(tas_mps, bank_rad)
    after_rad = heading_rad + turned_rad
    x_m = radius_m * (np.sin(after_rad) - np.sin(heading_rad)) + wind_x_mps * time_s
    y_m = radius_m * (np.cos(heading_rad) - np.cos(after_rad)) + wind_y_mps * time_s
    return float(x_m), float(y_m)


@dataclass(frozen=True, slots=True)
class EvenRadiusTurn(Generic[FloatOrArray]):
    """One moment of a turn whose radius over the ground stays the same in wind.

    `crab_rad` is heading less track, anticlockwise positive; all three are of the shape of the arguments.
    """

    bank_rad: FloatOrArray
    crab_rad: FloatOrArray
    ground_speed_mps: FloatOrArray


def even_radius_turn(
    tas_mps: FloatOrArray, ground_radius_m: FloatOrArray, wind_along_mps: FloatOrArray, wind_to_left_mps: FloatOrArray
) -> EvenRadiusTurn[FloatOrArray]:
    """Bank and crab that keep a radius over the ground, at a track with this wind along it and to the left of it.

    Steady wind, constant true airspeed. The force that bends the path is square to the heading, not to the track, so
    tan bank = ground speed^2 / (radius g cos crab) (resolve d(ground velocity)/dt along the normal of the track).

    :raises TrackCannotBeHeld: wind across the track not below the airspeed, or no way made along the track.
    """
    ground_speed_mps, cos_crab = _ground_speed(tas_mps, wind_along_mps, wind_to_left_mps)
    tangent = np.square(ground_speed_mps) / (np.multiply(ground_radius_m, STANDARD_GRAVITY_MPS2) * cos_crab)
    crab_rad = -np.arcsin(np.divide(wind_to_left_mps, tas_mps))
    return EvenRadiusTurn(
        _as_given(np.arctan(tangent), tas_mps), _as_given(crab_rad, tas_mps), _as_given(ground_speed_mps, tas_mps)
    )


def ground_radius_m(
    tas_mps: FloatOrArray, bank_rad: FloatOrArray, wind_along_mps: FloatOrArray, wind_to_left_mps: FloatOrArray
) -> FloatOrArray:
    """Radius of curvature of the path over the ground at a bank: the inverse of `even_radius_turn`.

    :raises TrackCannotBeHeld: wind across the track not below the airspeed, or no way made along the track.
    :raises ValueError: bank of 90 degrees or more.
    """
    _check_bank(bank_rad)
    ground_speed_mps, cos_crab = _ground_speed(tas_mps, wind_along_mps, wind_to_left_mps)
    return _as_given(np.square(ground_speed_mps) / (STANDARD_GRAVITY_MPS2 * np.tan(bank_rad) * cos_crab), tas_mps)


def _ground_speed(
    tas_mps: float | FloatArray, wind_along_mps: float | FloatArray, wind_to_left_mps: float | FloatArray
) -> tuple[FloatArray, FloatArray]:
    """Speed over the ground and the cosine of the crab angle."""
    tas, along, left = np.broadcast_arrays(
        np.asarray(tas_mps, dtype=np.float64), np.asarray(wind_along_mps), np.asarray(wind_to_left_mps)
    )
    cos_crab = np.sqrt(np.clip(1.0 - np.square(left / tas), 0.0, None))
    ground_speed = np.asarray(along + tas * cos_crab)
    lost = (np.abs(left) >= tas) | (ground_speed <= 0.0)
    if np.any(lost):
        wind = np.hypot(along, left)
        raise TrackCannotBeHeld(0.0, float(tas[lost].flat[0]), float(wind[lost].flat[0]))
    return ground_speed, cos_crab


def _check_bank(bank_rad: float | FloatArray) -> None:
    if np.any(np.abs(bank_rad) >= np.pi / 2.0):
        raise ValueError("a turn is banked less than 90 degrees")


def _as_given(result: object, given: FloatOrArray) -> FloatOrArray:
    """The result as a float when the arguments were numbers, as a float array otherwise."""
    if isinstance(given, np.ndarray):
        return np.asarray(result, dtype=np.float64)
    return float(result)  # type: ignore[arg-type]
