"""True airspeed and wind from straight legs flown at one airspeed and measured over the ground.

Two measurements serve: ground speed and track of each leg (the tips of the ground velocities lie on a circle whose
centre is the wind and whose radius is the true airspeed), or ground speed alone on known headings. Three legs give one
answer; more are fitted by least squares in the speeds, and their scatter gives the uncertainty.
Source: Gray, Using GPS to accurately establish true airspeed, 1998 (tracks); Williams, Aviation formulary (speeds alone
on three headings 120 degrees apart); both titles from memory; worked out here for any number of legs.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass

import numpy as np

from volplane.domain.atmosphere.refusals import LegsDoNotDetermineWind
from volplane.domain.atmosphere.scalars import FloatArray

# Directions flown that all lie within this much of a circle leave airspeed and wind hardly apart.
LEAST_SPREAD_RAD = math.radians(120.0)
_PASSES = 50


@dataclass(frozen=True, slots=True)
class AirspeedAndWind:
    """True airspeed and velocity of the air that explain the legs.

    `residual_mps` is the root mean square misfit of a leg's speed; the standard deviations follow from it and are None
    for three legs, which any airspeed and wind can explain.
    """

    tas_mps: float
    wind_east_mps: float
    wind_north_mps: float
    residual_mps: float
    tas_sd_mps: float | None
    wind_sd_mps: float | None

    @property
    def wind_speed_mps(self) -> float:
        """Speed of the wind."""
        return math.hypot(self.wind_east_mps, self.wind_north_mps)

    @property
    def wind_from_true_rad(self) -> float:
        """True direction the wind comes from, in [0, 2 pi)."""
        direction_rad = math.atan2(-self.wind_east_mps, -self.wind_north_mps) % (2.0 * math.pi)
        # the modulus of a hair below nought rounds up to a whole circle
        return direction_rad if direction_rad < 2.0 * math.pi else 0.0


def from_tracks(ground_speed_mps: FloatArray, track_true_rad: FloatArray) -> AirspeedAndWind:
    """Airspeed and wind of legs (n,) at one airspeed from ground speeds and tracks.

    :raises LegsDoNotDetermineWind: under three legs, tracks within 120 degrees, or a wind not below the airspeed.
    """
    _check(ground_speed_mps, track_true_rad)
    east, north = ground_speed_mps * np.sin(track_true_rad), ground_speed_mps * np.cos(track_true_rad)
    # |v - w|^2 = V^2 is linear in w and in V^2 - |w|^2: a start that is exact for three legs
    matrix = np.column_stack([2.0 * east, 2.0 * north, np.ones_like(east)])
    wind_east, wind_north, rest = _linear(matrix, np.square(ground_speed_mps))
    start = np.array([math.sqrt(max(rest + wind_east**2 + wind_north**2, 0.0)), wind_east, wind_north])

    def misfit(guess: FloatArray) -> tuple[FloatArray, FloatArray]:
        air_east, air_north = east - guess[1], north - guess[2]
        air_speed = np.hypot(air_east, air_north)
        slopes = np.column_stack([-np.ones_like(east), -air_east / air_speed, -air_north / air_speed])
        return air_speed - guess[0], slopes

    return _fitted(misfit, start)


def from_headings(ground_speed_mps: FloatArray, heading_true_rad: FloatArray) -> AirspeedAndWind:
    """Airspeed and wind of legs (n,) at one airspeed from ground speeds alone, flown on known headings.

    :raises LegsDoNotDetermineWind: under three legs, headings within 120 degrees, a wind not below the airspeed, or
        speeds that no airspeed and wind can give.
    """
    _check(ground_speed_mps, heading_true_rad)
    sine, cosine = np.sin(heading_true_rad), np.cos(heading_true_rad)
    # GS^2 = V^2 + |w|^2 + 2 V w . heading is linear in c = V^2 + |w|^2 and in the vector 2 V w
    matrix = np.column_stack([np.ones_like(sine), sine, cosine])
    squares, twice_east, twice_north = _linear(matrix, np.square(ground_speed_mps))
    apart = squares**2 - twice_east**2 - twice_north**2
    if apart < 0.0:
        raise LegsDoNotDetermineWind("no airspeed and wind give these ground speeds", len(sine))
    # of the two roots the larger is the airspeed, the smaller the wind
    tas = math.sqrt((squares + math.sqrt(apart)) / 2.0)
    start = np.array([tas, twice_east / (2.0 * tas), twice_north / (2.0 * tas)])

    def misfit(guess: FloatArray) -> tuple[FloatArray, FloatArray]:
        east, north = guess[0] * sine + guess[1], guess[0] * cosine + guess[2]
        ground_speed = np.hypot(east, north)
        slopes = np.column_stack([east * sine + north * cosine, east, north]) / ground_speed[:, None]
        return ground_speed - ground_speed_mps, slopes

    return _fitted(misfit, start)


def ground_speed_mps_on_heading(
    tas_mps: float, heading_true_rad: FloatArray, wind_east_mps: float, wind_north_mps: float
) -> FloatArray:
    """Speed over the ground on headings (n,): the forward problem."""
    east = tas_mps * np.sin(heading_true_rad) + wind_east_mps
    north = tas_mps * np.cos(heading_true_rad) + wind_north_mps
    return np.asarray(np.hypot(east, north), dtype=np.float64)


def _check(ground_speed_mps: FloatArray, direction_true_rad: FloatArray) -> None:
    count = int(ground_speed_mps.size)
    if ground_speed_mps.ndim != 1 or ground_speed_mps.shape != direction_true_rad.shape:
        raise LegsDoNotDetermineWind("each leg has one ground speed and one direction", count)
    if count < 3:
        raise LegsDoNotDetermineWind("three legs are the least that give airspeed and wind", count)
    if not (np.isfinite(ground_speed_mps).all() and np.isfinite(direction_true_rad).all()):
        raise LegsDoNotDetermineWind("a leg's ground speed or direction is not a finite number", count)
    if not (ground_speed_mps > 0.0).all():
        raise LegsDoNotDetermineWind("a leg's ground speed is not positive", count)
    ordered = np.sort(np.mod(direction_true_rad, 2.0 * math.pi))
    widest_gap = np.diff(ordered, append=ordered[0] + 2.0 * math.pi).max()
    if 2.0 * math.pi - widest_gap < LEAST_SPREAD_RAD - 1e-9:
        raise LegsDoNotDetermineWind("the directions flown lie within 120 degrees", count)


def _linear(matrix: FloatArray, right: FloatArray) -> tuple[float, float, float]:
    # columns of one size, so that the rank means something
    scale = np.linalg.norm(matrix, axis=0)
    solution, _, rank, _ = np.linalg.lstsq(matrix / scale, right, rcond=1e-9)
    if rank < 3:
        raise LegsDoNotDetermineWind("the legs are too alike", len(right))
    first, second, third = (float(value) for value in solution / scale)
    return first, second, third


def _fitted(misfit: Callable[[FloatArray], tuple[FloatArray, FloatArray]], start: FloatArray) -> AirspeedAndWind:
    """Gauss-Newton to the least sum of squared speed misfits, with the covariance of the end."""
    guess = start
    for _ in range(_PASSES):
        misfits, slopes = misfit(guess)
        step = np.linalg.lstsq(slopes, -misfits, rcond=None)[0]
        guess = guess + step
        if float(np.abs(step).max()) < 1e-10 * float(guess[0]):
            break
    else:
        raise LegsDoNotDetermineWind("the legs contradict each other", len(slopes))
    misfits, slopes = misfit(guess)
    tas, east, north = (float(value) for value in guess)
    if math.hypot(east, north) >= tas:
        raise LegsDoNotDetermineWind("the wind they give is not below the airspeed", len(slopes))
    square_sum, spare = float(np.sum(np.square(misfits))), len(misfits) - 3
    residual = math.sqrt(square_sum / len(misfits))
    if spare == 0:
        return AirspeedAndWind(tas, east, north, residual, None, None)
    covariance = np.linalg.inv(slopes.T @ slopes) * square_sum / spare
    wind_sd = math.sqrt(float(covariance[1, 1] + covariance[2, 2]) / 2.0)
    return AirspeedAndWind(tas, east, north, residual, math.sqrt(float(covariance[0, 0])), wind_sd)
