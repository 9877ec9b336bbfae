"""Headings, tracks and the wind triangle.

Compass angles (`_true_rad`) count clockwise from true north. In the runway frame a heading counts anticlockwise from
the landing direction, as x and y do. Functions of one angle take a number or an array and give back the same.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import TypeVar

import numpy as np
from numpy.typing import NDArray

from volplane.errors import Refusal

FloatArray = NDArray[np.float64]
FloatOrArray = TypeVar("FloatOrArray", float, FloatArray)

FULL_CIRCLE_RAD = 2.0 * math.pi
# Directions whose mean vector is shorter than this share of a unit have no mean direction.
_LEAST_RESULTANT = 1e-9


class TrackCannotBeHeld(Refusal):
    """The wind across a wanted track, or against it, is too strong for the airspeed."""

    code = "track-cannot-be-held"

    def __init__(self, track_true_rad: float, tas_mps: float, wind_mps: float) -> None:
        track_deg = math.degrees(track_true_rad)
        super().__init__(f"track {track_deg:.0f} deg at {tas_mps:.1f} m/s true airspeed in {wind_mps:.1f} m/s of wind")
        self.track_true_rad = track_true_rad
        self.tas_mps = tas_mps
        self.wind_mps = wind_mps


class DirectionsHaveNoMean(Refusal):
    """Directions that cancel each other out, or none at all."""

    code = "directions-have-no-mean"

    def __init__(self, count: int) -> None:
        super().__init__(f"{count} directions have no mean direction")
        self.count = count


def wrapped_rad(angle_rad: FloatOrArray) -> FloatOrArray:
    """The same direction in (-pi, pi]."""
    wrapped = math.pi - np.mod(math.pi - angle_rad, FULL_CIRCLE_RAD)
    # the modulus of a hair below nought rounds up to a whole circle
    return _as_given(np.where(wrapped <= -math.pi, math.pi, wrapped), angle_rad)


def compass_rad(angle_rad: FloatOrArray) -> FloatOrArray:
    """The same direction in [0, 2 pi)."""
    wrapped = np.mod(angle_rad, FULL_CIRCLE_RAD)
    return _as_given(np.where(wrapped >= FULL_CIRCLE_RAD, 0.0, wrapped), angle_rad)


def difference_rad(to_rad: FloatOrArray, from_rad: FloatOrArray) -> FloatOrArray:
    """The shorter turn from one direction to another, in (-pi, pi]; positive as the angles themselves count."""
    return wrapped_rad(to_rad - from_rad)


def runway_heading_rad_from_true_rad(true_rad: FloatOrArray, bearing_true_rad: float) -> FloatOrArray:
    """Heading in the runway frame, anticlockwise from the landing direction in (-pi, pi], of a true direction."""
    return wrapped_rad(bearing_true_rad - true_rad)


def true_rad_from_runway_heading_rad(heading_rad: FloatOrArray, bearing_true_rad: float) -> FloatOrArray:
    """True direction in [0, 2 pi) of a heading in the runway frame."""
    return compass_rad(bearing_true_rad - heading_rad)


def circular_mean_rad(angle_rad: FloatArray, weight_factor: FloatArray | None = None) -> float:
    """Mean direction of angles (n,) in (-pi, pi]: that of the mean unit vector, weighted if weights (n,) are given.

    :raises DirectionsHaveNoMean: no angle, or angles that cancel each other out.
    """
    weight = np.ones_like(angle_rad) if weight_factor is None else weight_factor
    total = float(np.sum(weight))
    sine, cosine = float(np.sum(weight * np.sin(angle_rad))), float(np.sum(weight * np.cos(angle_rad)))
    if angle_rad.size == 0 or not math.hypot(sine, cosine) > _LEAST_RESULTANT * total:
        raise DirectionsHaveNoMean(int(angle_rad.size))
    return wrapped_rad(math.atan2(sine, cosine))


@dataclass(frozen=True, slots=True)
class WindTriangle:
    """How a wanted track is held: heading in [0, 2 pi), ground speed, and heading less track (positive right)."""

    heading_true_rad: float
    ground_speed_mps: float
    correction_rad: float


def wind_triangle(track_true_rad: float, tas_mps: float, wind_east_mps: float, wind_north_mps: float) -> WindTriangle:
    """Heading and ground speed that make good a track over the ground; the components are the velocity of the air.

    :raises TrackCannotBeHeld: wind across the track not below the airspeed, or no way made along the track.
    """
    sine, cosine = math.sin(track_true_rad), math.cos(track_true_rad)
    along_mps = wind_east_mps * sine + wind_north_mps * cosine
    to_right_mps = wind_east_mps * cosine - wind_north_mps * sine
    if abs(to_right_mps) < tas_mps:
        correction_rad = math.asin(-to_right_mps / tas_mps)
        ground_speed_mps = tas_mps * math.cos(correction_rad) + along_mps
        if ground_speed_mps > 0.0:
            return WindTriangle(compass_rad(track_true_rad + correction_rad), ground_speed_mps, correction_rad)
    raise TrackCannotBeHeld(track_true_rad, tas_mps, math.hypot(wind_east_mps, wind_north_mps))


def headwind_and_crosswind_mps(
    direction_true_rad: float, wind_from_true_rad: float, wind_speed_mps: float
) -> tuple[float, float]:
    """Wind against a direction of flight (negative is a tailwind) and across it (positive from the right)."""
    angle_rad = wind_from_true_rad - direction_true_rad
    return wind_speed_mps * math.cos(angle_rad), wind_speed_mps * math.sin(angle_rad)


def crab_rad(wind_x_mps: float, wind_y_mps: float, tas_mps: float) -> float:
    """Air heading in the runway frame that keeps the ground track on the landing direction (anticlockwise positive).

    Wind to the left, positive `wind_y_mps`, is met with the nose to the right: a negative heading.

    :raises TrackCannotBeHeld: as `wind_triangle`; the track in it is counted from the landing direction.
    """
    # the landing direction taken as north: left of it is west
    return -wind_triangle(0.0, tas_mps, -wind_y_mps, wind_x_mps).correction_rad


def _as_given(result: object, given: FloatOrArray) -> FloatOrArray:
    """The result as a float when the argument was one number, as a float array otherwise."""
    if isinstance(given, np.ndarray):
        return np.asarray(result, dtype=np.float64)
    return float(result)  # type: ignore[arg-type]
