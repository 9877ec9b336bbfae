"""The runway's own flat map: x along the landing direction, y to the left of it, in metres over the ground."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import overload

import numpy as np

from volplane.domain.geometry.angles import FULL_CIRCLE_RAD, FloatArray, compass_rad
from volplane.errors import Refusal

# World Geodetic System 1984 (NIMA TR8350.2, 3rd edition, table 3.1)
SEMI_MAJOR_AXIS_M = 6378137.0
FLATTENING_RATIO = 1.0 / 298.257223563
_ECCENTRICITY_SQUARED = FLATTENING_RATIO * (2.0 - FLATTENING_RATIO)
# places farther from the origin than this have no business on a flat map
FARTHEST_M = 1_000_000.0


class PlaceOffTheEarth(Refusal):
    """A latitude beyond a pole, or a longitude beyond half the way round."""

    code = "place-off-the-earth"

    def __init__(self, latitude_deg: float, longitude_deg: float) -> None:
        super().__init__(f"latitude {latitude_deg} deg, longitude {longitude_deg} deg")
        self.latitude_deg = latitude_deg
        self.longitude_deg = longitude_deg


class PlaceOutsideFrame(Refusal):
    """A place on the flat map so far from its origin that the map means nothing there."""

    code = "place-outside-frame"

    def __init__(self, distance_m: float, farthest_m: float) -> None:
        super().__init__(f"{distance_m:.0f} m from the origin, at most {farthest_m:.0f} m")
        self.distance_m = distance_m
        self.farthest_m = farthest_m


@dataclass(frozen=True, slots=True)
class LocalFrame:
    """A plane laid at a place on the WGS 84 ellipsoid, turned so that x points along a true bearing and y to its left.

    Distance and direction from the origin are those along the ellipsoid (chord turned into arc by the mean radius
    there): within a millimetre of the geodesic out to 10 km, within 2 cm out to 100 km. Heights have no part in it: a
    height is a difference of altitudes, never a distance from the plane, which 10 km away lies 8 m above the earth.
    Distances are those at sea level; at 1,000 m above it they are longer by 1.6 parts in 10,000.

    :raises PlaceOffTheEarth: origin latitude outside -90 to 90, longitude outside -180 to 180, or not a number.
    """

    origin_latitude_deg: float
    origin_longitude_deg: float
    bearing_true_rad: float

    def __post_init__(self) -> None:
        if not (abs(self.origin_latitude_deg) <= 90.0 and abs(self.origin_longitude_deg) <= 180.0):
            raise PlaceOffTheEarth(self.origin_latitude_deg, self.origin_longitude_deg)
        if not math.isfinite(self.bearing_true_rad):
            raise ValueError(f"bearing {self.bearing_true_rad} rad of a local frame is not a finite number")

    @overload
    def xy_m(self, latitude_deg: float, longitude_deg: float) -> tuple[float, float]: ...
    @overload
    def xy_m(self, latitude_deg: FloatArray, longitude_deg: FloatArray) -> tuple[FloatArray, FloatArray]: ...
    def xy_m(
        self, latitude_deg: float | FloatArray, longitude_deg: float | FloatArray
    ) -> tuple[float, float] | tuple[FloatArray, FloatArray]:
        """Place on the runway's map of a latitude and longitude; arrays keep their shape, NaN stays NaN."""
        there, here = _ellipsoid_m(latitude_deg, longitude_deg), self._origin_m()
        dx, dy, dz = there[0] - here[0], there[1] - here[1], there[2] - here[2]
        plane = [axis[0] * dx + axis[1] * dy + axis[2] * dz for axis in self._axes()]
        chord = np.sqrt(dx * dx + dy * dy + dz * dz)
        radius = self._mean_radius_m()
        arc = 2.0 * radius * np.arcsin(np.minimum(chord / (2.0 * radius), 1.0))
        flat = np.hypot(plane[0], plane[1])
        stretch = np.divide(arc, flat, out=np.ones_like(arc), where=flat != 0.0)
        x_m, y_m = stretch * plane[0], stretch * plane[1]
        return (float(x_m), float(y_m)) if np.ndim(x_m) == 0 else (x_m, y_m)

    @overload
    def latitude_longitude_deg(self, x_m: float, y_m: float) -> tuple[float, float]: ...
    @overload
    def latitude_longitude_deg(self, x_m: FloatArray, y_m: FloatArray) -> tuple[FloatArray, FloatArray]: ...
    def latitude_longitude_deg(
        self, x_m: float | FloatArray, y_m: float | FloatArray
    ) -> tuple[float, float] | tuple[FloatArray, FloatArray]:
        """Latitude and longitude (from -180 up to, not including, 180) of a place on the runway's map.

        :raises PlaceOutsideFrame: more than 1,000 km from the origin.
        """
        x, y = np.broadcast_arrays(np.asarray(x_m, dtype=np.float64), np.asarray(y_m, dtype=np.float64))
        arc = np.hypot(x, y)
        if np.any(arc > FARTHEST_M):
            raise PlaceOutsideFrame(float(np.nanmax(arc)), FARTHEST_M)
        shrink, depth = self._foot_on_ellipsoid(x, y, arc)
        along, left, up = self._axes()
        px, py, pz = (
            origin + shrink * (x * along[i] + y * left[i]) + depth * up[i] for i, origin in enumerate(self._origin_m())
        )
        latitude = np.degrees(np.arctan2(pz, (1.0 - _ECCENTRICITY_SQUARED) * np.hypot(px, py)))
        longitude = np.degrees(np.arctan2(py, px))
        longitude = np.where(longitude >= 180.0, longitude - 360.0, longitude)
        return (float(latitude), float(longitude)) if latitude.ndim == 0 else (latitude, longitude)

    def moved(self, x_m: float, y_m: float) -> LocalFrame:
        """The frame laid at another place of the map, x still along the same line over the ground.

        The true bearing changes a little, because meridians meet at the poles.
        """
        latitude_deg, longitude_deg = self.latitude_longitude_deg(x_m, y_m)
        east_rad = math.remainder(math.radians(longitude_deg - self.origin_longitude_deg), FULL_CIRCLE_RAD)
        middle_rad = math.radians((latitude_deg + self.origin_latitude_deg) / 2.0)
        convergence_rad = east_rad * math.sin(middle_rad)
        return LocalFrame(latitude_deg, longitude_deg, compass_rad(self.bearing_true_rad + convergence_rad))

    def _foot_on_ellipsoid(self, x: FloatArray, y: FloatArray, arc: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Factor from arc to plane distance and the (negative) height over the plane of the ellipsoid there.

        The ellipsoid is met by a quadratic; the plane distance is then corrected until the chord belongs to the arc.
        """
        along, left, up = self._axes()
        origin = self._origin_m()
        # squares with the polar axis stretched, so that the ellipsoid is a sphere of the equator's radius
        weight = (1.0, 1.0, 1.0 / (1.0 - _ECCENTRICITY_SQUARED))
        a = sum(w * u * u for w, u in zip(weight, up, strict=True))
        radius = self._mean_radius_m()
        chord = 2.0 * radius * np.sin(arc / (2.0 * radius))
        far = arc > 0.0
        shrink = np.ones_like(arc)
        for _ in range(6):
            flat = [shrink * (x * along[i] + y * left[i]) for i in range(3)]
            b = sum(w * u * (o + f) for w, u, o, f in zip(weight, up, origin, flat, strict=True))
            # c is the origin's own equation taken away: it loses no digits near the origin
            c = sum(w * f * (2.0 * o + f) for w, o, f in zip(weight, origin, flat, strict=True))
            depth = -c / (b + np.sqrt(b * b - a * c))
            reached = np.hypot(shrink * arc, depth)
            shrink = shrink * np.divide(chord, reached, out=np.ones_like(arc), where=far)
        return shrink, np.asarray(depth, dtype=np.float64)

    def _origin_m(self) -> tuple[float, float, float]:
        x, y, z = _ellipsoid_m(self.origin_latitude_deg, self.origin_longitude_deg)
        return float(x), float(y), float(z)

    def _axes(self) -> tuple[tuple[float, float, float], ...]:
        """Unit vectors along the landing direction, to its left, and up, in earth-centred coordinates."""
        sin_lat, cos_lat = _sine_and_cosine(self.origin_latitude_deg)
        sin_lon, cos_lon = _sine_and_cosine(self.origin_longitude_deg)
        sine, cosine = math.sin(self.bearing_true_rad), math.cos(self.bearing_true_rad)
        east = (-sin_lon, cos_lon, 0.0)
        north = (-sin_lat * cos_lon, -sin_lat * sin_lon, cos_lat)
        along = (
            sine * east[0] + cosine * north[0],
            sine * east[1] + cosine * north[1],
            cosine * north[2],
        )
        left = (
            sine * north[0] - cosine * east[0],
            sine * north[1] - cosine * east[1],
            sine * north[2],
        )
        return along, left, (cos_lat * cos_lon, cos_lat * sin_lon, sin_lat)

    def _mean_radius_m(self) -> float:
        """Gauss's mean radius of curvature at the origin."""
        sin_lat, _ = _sine_and_cosine(self.origin_latitude_deg)
        polar = SEMI_MAJOR_AXIS_M * math.sqrt(1.0 - _ECCENTRICITY_SQUARED)
        return polar / (1.0 - _ECCENTRICITY_SQUARED * sin_lat * sin_lat)


def _sine_and_cosine(angle_deg: float) -> tuple[float, float]:
    angle_rad = math.radians(angle_deg)
    return math.sin(angle_rad), math.cos(angle_rad)


def _ellipsoid_m(
    latitude_deg: float | FloatArray, longitude_deg: float | FloatArray
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Earth-centred coordinates of a place on the ellipsoid."""
    latitude = np.radians(np.asarray(latitude_deg, dtype=np.float64))
    longitude = np.radians(np.asarray(longitude_deg, dtype=np.float64))
    sin_lat, cos_lat = np.sin(latitude), np.cos(latitude)
    normal = SEMI_MAJOR_AXIS_M / np.sqrt(1.0 - _ECCENTRICITY_SQUARED * sin_lat * sin_lat)
    return (
        np.asarray(normal * cos_lat * np.cos(longitude)),
        np.asarray(normal * cos_lat * np.sin(longitude)),
        np.asarray((1.0 - _ECCENTRICITY_SQUARED) * normal * sin_lat),
    )
