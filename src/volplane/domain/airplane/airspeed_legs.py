"""Straight legs for an airspeed calibration: what a leg is, which belong together, and finding them in a recording."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere import isa
from volplane.domain.atmosphere.scalars import FloatArray
from volplane.domain.atmosphere.wind_from_legs import LEAST_SPREAD_RAD
from volplane.domain.geometry.local_frame import LocalFrame
from volplane.domain.track.track import AltitudeSource, Track
from volplane.units import KNOT_MPS

# legs that belong to one speed: no gap as wide as the first between their speeds, all within the second; ours
SPEED_GAP_MPS, SPEED_WIDTH_MPS = 4.0 * KNOT_MPS, 8.0 * KNOT_MPS
HEIGHT_GAP_M = 150.0
# directions nearer to each other than this are one
SAME_DIRECTION_RAD = math.radians(20.0)


@dataclass(frozen=True, slots=True)
class AirspeedLeg:
    """Means over one straight leg at a steady airspeed; None is not known.

    With a track the heading is not used. `pressure_altitude_m` is on the standard setting. `start_s` counts from the
    beginning of the recording the leg was found in.
    """

    ground_speed_mps: float
    track_true_rad: float | None
    heading_true_rad: float | None = None
    ias_mps: float | None = None
    pressure_altitude_m: float | None = None
    temperature_k: float | None = None
    start_s: float | None = None
    duration_s: float | None = None

    @property
    def direction_rad(self) -> float:
        """Track, or heading where no track is known; true."""
        direction = self.heading_true_rad if self.track_true_rad is None else self.track_true_rad
        return math.nan if direction is None else direction


def speed_groups(legs: Sequence[AirspeedLeg]) -> list[list[int]]:
    """Which legs belong together: alike in indicated airspeed and in height, each group's places in flown order.

    Legs without an indicated airspeed are taken as flown at one.
    """
    groups: list[list[int]] = []
    for cluster in _clusters(range(len(legs)), lambda at: legs[at].ias_mps, SPEED_GAP_MPS, SPEED_WIDTH_MPS):
        groups += _clusters(cluster, lambda at: legs[at].pressure_altitude_m, HEIGHT_GAP_M, math.inf)
    return [sorted(group) for group in groups]


def has_three_directions(directions_rad: Sequence[float]) -> bool:
    """Whether directions fall into three different ones or more and span 120 degrees."""
    ordered = np.sort(np.mod(np.asarray(directions_rad, dtype=np.float64), 2.0 * math.pi))
    if len(ordered) < 3:
        return False
    gaps = np.diff(ordered, append=ordered[0] + 2.0 * math.pi)
    spread = 2.0 * math.pi - float(gaps.max())
    return bool(int((gaps > SAME_DIRECTION_RAD).sum()) >= 3 and spread >= LEAST_SPREAD_RAD - 1e-9)


def _clusters(
    places: Sequence[int], value_of: Callable[[int], float | None], widest_gap: float, width: float
) -> list[list[int]]:
    """Places whose values lie together; those without a value are one cluster of their own."""
    unknown = [at for at in places if value_of(at) is None]
    known = sorted((value, at) for at in places if (value := value_of(at)) is not None)
    clusters: list[list[int]] = [unknown] if unknown else []
    first = last = -math.inf
    for value, at in known:
        if value - last >= widest_gap or value - first > width:
            clusters.append([])
            first = value
        clusters[-1].append(at)
        last = value
    return clusters


# a leg found in a recording: at least this long, its smoothed direction, airspeed and height as steady as this; ours
LEAST_LEG_S = 20.0
_DIRECTION_RANGE_RAD = math.radians(8.0)
_SPEED_RANGE_MPS = 7.0 * KNOT_MPS
_TURN_RADPS = math.radians(0.6)
_CLIMB_MPS = 1.5
_SLOWEST_MPS = 25.0
_SMOOTHED_S = 9
_CLIMB_SMOOTHED_S = 21
_GAP_S = 5.0
# pressure altitude taken from a GPS or indicated altitude: with the altimeter setting, and without; ours
SET_ALTITUDE_SD_M, UNSET_ALTITUDE_SD_M = 30.0, 100.0
RECORDED_ALTITUDE_SD_M = 15.0


def legs_of(track: Track, qnh_pa: float | None = None) -> tuple[AirspeedLeg, ...]:
    """The straight, level and steady legs of a cleaned track, in flown order: 20 s and longer.

    Ground velocity is the recorded one, else the displacement between the ends of the leg. `qnh_pa` turns altitudes
    that are not pressure altitudes into such.
    """
    seconds = _Seconds(track, qnh_pa)
    return tuple(seconds.leg(start, end) for start, end in seconds.legs())


def pressure_altitude_sd_m(track: Track, qnh_pa: float | None) -> float:
    """How sure the pressure altitudes of the legs of a track are."""
    if track.altitude_source is AltitudeSource.PRESSURE:
        return RECORDED_ALTITUDE_SD_M
    return UNSET_ALTITUDE_SD_M if qnh_pa is None else SET_ALTITUDE_SD_M


class _Seconds:
    """A track on an even grid of seconds; every array (m,), NaN where nothing was recorded near."""

    def __init__(self, track: Track, qnh_pa: float | None) -> None:
        self.time_s = np.arange(track.time_s[0], track.time_s[-1] + 1e-9)
        self.gap_s = max(_GAP_S, 3.0 * float(np.median(np.diff(track.time_s))))
        middle = len(track.time_s) // 2
        frame = LocalFrame(float(track.latitude_deg[middle]), float(track.longitude_deg[middle]), 0.0)
        # bearing 0: x is north and y is west
        north_m, west_m = frame.xy_m(track.latitude_deg, track.longitude_deg)
        self.north_m, self.east_m = self._on(track, north_m), -self._on(track, west_m)
        self.has_velocity = track.ground_speed_mps is not None and track.track_true_rad is not None
        if track.ground_speed_mps is not None and track.track_true_rad is not None:
            self.north_mps = self._on(track, track.ground_speed_mps * np.cos(track.track_true_rad))
            self.east_mps = self._on(track, track.ground_speed_mps * np.sin(track.track_true_rad))
        else:
            self.north_mps, self.east_mps = np.gradient(self.north_m), np.gradient(self.east_m)
        self.ias_mps = None if track.ias_mps is None else self._on(track, track.ias_mps)
        self.altitude_m = _pressure_altitude_m(track, qnh_pa)
        if self.altitude_m is not None:
            self.altitude_m = self._on(track, self.altitude_m)
        self.temperature_k = None if track.air_temperature_k is None else self._on(track, track.air_temperature_k)
        self.heading_rad = (
            None if track.heading_true_rad is None else self._on(track, _unwrapped(track.heading_true_rad))
        )

    def legs(self) -> list[tuple[int, int]]:
        """First and one past the last second of each leg."""
        north, east = _smoothed(self.north_mps, _SMOOTHED_S), _smoothed(self.east_mps, _SMOOTHED_S)
        direction = _unwrapped(np.arctan2(east, north))
        speed = np.hypot(north, east) if self.ias_mps is None else _smoothed(self.ias_mps, _SMOOTHED_S)
        steady = np.isfinite(direction) & np.isfinite(speed)
        steady &= np.hypot(north, east) > _SLOWEST_MPS
        steady &= np.abs(np.gradient(direction)) < _TURN_RADPS
        if self.altitude_m is not None:
            climb = np.gradient(_smoothed(self.altitude_m, _CLIMB_SMOOTHED_S))
            steady &= ~(np.abs(climb) > _CLIMB_MPS)
        found: list[tuple[int, int]] = []
        first = 0
        while first < len(steady):
            end = _end_of_steady(first, steady, direction, speed)
            if end - first > LEAST_LEG_S:
                found.append((first, end))
                first = end
            else:
                first += 1
        return found

    def leg(self, first: int, end: int) -> AirspeedLeg:
        """The means of the seconds from the first to the last before the end."""
        part, span_s = slice(first, end), float(end - 1 - first)
        if self.has_velocity:
            north, east = float(np.nanmean(self.north_mps[part])), float(np.nanmean(self.east_mps[part]))
        else:
            north = float(self.north_m[end - 1] - self.north_m[first]) / span_s
            east = float(self.east_m[end - 1] - self.east_m[first]) / span_s
        heading = _mean_of(self.heading_rad, part)
        return AirspeedLeg(
            ground_speed_mps=math.hypot(north, east),
            track_true_rad=math.atan2(east, north) % (2.0 * math.pi),
            heading_true_rad=None if heading is None else heading % (2.0 * math.pi),
            ias_mps=_mean_of(self.ias_mps, part),
            pressure_altitude_m=_mean_of(self.altitude_m, part),
            temperature_k=_mean_of(self.temperature_k, part),
            start_s=float(self.time_s[first]),
            duration_s=span_s,
        )

    def _on(self, track: Track, channel: FloatArray) -> FloatArray:
        """The channel on the grid, linear between samples, NaN in holes."""
        known = np.isfinite(channel)
        if known.sum() < 2:
            return np.full(len(self.time_s), math.nan)
        time_s = track.time_s[known]
        values = np.interp(self.time_s, time_s, channel[known], left=math.nan, right=math.nan)
        after = np.clip(np.searchsorted(time_s, self.time_s), 1, len(time_s) - 1)
        return np.where(time_s[after] - time_s[after - 1] > self.gap_s, math.nan, values)


def _unwrapped(angle_rad: FloatArray) -> FloatArray:
    """The angle without jumps of a circle, NaN kept where it is."""
    known = np.isfinite(angle_rad)
    smooth = np.full(len(angle_rad), math.nan)
    smooth[known] = np.unwrap(angle_rad[known])
    return smooth


def _end_of_steady(first: int, steady: NDArray[np.bool_], direction_rad: FloatArray, speed_mps: FloatArray) -> int:
    """One past the last second that is steady with all before it since the first."""
    low = high = direction_rad[first]
    slow = fast = speed_mps[first]
    at = first
    while at < len(steady) and steady[at]:
        low, high = min(low, direction_rad[at]), max(high, direction_rad[at])
        slow, fast = min(slow, speed_mps[at]), max(fast, speed_mps[at])
        if high - low > _DIRECTION_RANGE_RAD or fast - slow > _SPEED_RANGE_MPS:
            break
        at += 1
    return at


def _pressure_altitude_m(track: Track, qnh_pa: float | None) -> FloatArray | None:
    if track.altitude_m is None or track.altitude_source is AltitudeSource.NONE:
        return None
    if track.altitude_source is AltitudeSource.PRESSURE or qnh_pa is None:
        return track.altitude_m
    # an altimeter's setting moves its hands by the standard height of the setting
    return track.altitude_m + isa.pressure_altitude_m(qnh_pa)


def _smoothed(values: FloatArray, width: int) -> FloatArray:
    """Running mean of an odd width, narrower at the ends; NaN as far as it reaches."""
    half = width // 2
    if len(values) <= width:
        return values
    inner = np.convolve(values, np.ones(width) / width, mode="valid")
    ends = [np.mean(values[: 2 * at + 1]) for at in range(half)]
    tail = [np.mean(values[len(values) - 2 * at - 1 :]) for at in range(half)][::-1]
    return np.concatenate([ends, inner, tail])


def _mean_of(values: FloatArray | None, part: slice) -> float | None:
    if values is None or not np.isfinite(values[part]).all():
        return None
    return float(np.mean(values[part]))
