"""Steady stretches of a flight: one speed, small bank, long enough that inertia and the recorder average out."""

from __future__ import annotations

import math
from collections import deque
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.track.track import AltitudeSource, Track
from volplane.units import INCH_OF_MERCURY_PA, KNOT_MPS, STANDARD_GRAVITY_MPS2

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# airspeed wanders by some knots within ten seconds in any hands; what is left over this long is the pilot's wish. Ours
SMOOTHED_S = 15.0
# slopes of path and height over this long
SLOPE_S = 8.0
GAP_S = 5.0
# the error of a GPS height wanders by the receiver's scatter within ten minutes; a barometer by a metre. Ours
WANDER_S, BAROMETER_SD_M = 600.0, 1.0
_EARTH_RADIUS_M = 6_371_000.0


@dataclass(frozen=True, slots=True)
class SteadySegment:
    """A stretch of steady flight as it was recorded; means over its time, nothing reduced yet.

    `sink_mps` is the rate at which the recorded altitude falls (positive down), of the kind `altitude_source` says: a
    pressure altitude still needs the temperature correction. `altitude_m` is the mean of that altitude.
    `speed_change_mps2` is the mean rate of change of that airspeed, `ground_acceleration_mps2` that of the velocity
    over the ground along the nose: the wind's change with height is in it. `east_mps` and `north_mps` are the velocity
    over the ground, `heading_true_rad` where the nose points. `bank_rad` is the mean size of the bank. Channels that
    were not recorded are None, so are configuration and weight when nobody said them.

    :raises ValueError: a duration that is not positive, or a negative standard deviation.
    """

    start_unix_s: float
    duration_s: float
    altitude_m: float
    altitude_source: AltitudeSource
    sink_mps: float
    sink_sd_mps: float
    ias_mps: float | None = None
    tas_mps: float | None = None
    airspeed_sd_mps: float = 0.0
    speed_change_mps2: float = 0.0
    ground_acceleration_mps2: float | None = None
    east_mps: float | None = None
    north_mps: float | None = None
    heading_true_rad: float | None = None
    bank_rad: float = 0.0
    air_temperature_k: float | None = None
    manifold_pressure_pa: float | None = None
    engine_speed_radps: float | None = None
    configuration: str | None = None
    weight_kg: float | None = None

    def __post_init__(self) -> None:
        if not self.duration_s > 0.0:
            raise ValueError(f"a segment of {self.duration_s} s")
        if min(self.sink_sd_mps, self.airspeed_sd_mps) < 0.0:
            raise ValueError("a negative standard deviation")

    @property
    def end_unix_s(self) -> float:
        """Time of its end, seconds since 1970 UTC."""
        return self.start_unix_s + self.duration_s

    @property
    def load_factor(self) -> float:
        """Lift in parts of weight in the mean turn: 1 / cos bank, the glide's own slope left out."""
        return 1.0 / math.cos(self.bank_rad)

    @property
    def track_true_rad(self) -> float | None:
        """Direction of the path over the ground, clockwise from true north, [0, 2 pi)."""
        if self.east_mps is None or self.north_mps is None:
            return None
        return math.atan2(self.east_mps, self.north_mps) % (2.0 * math.pi)


@dataclass(frozen=True, slots=True)
class SteadyLimits:
    """What counts as steady: how long at least, how much speed and power may vary, how much bank.

    `least_sink_mps` is None where level flight counts too. Speeds are compared after smoothing over a quarter minute.
    """

    least_duration_s: float = 40.0
    most_speed_range_mps: float = 5.0 * KNOT_MPS
    most_bank_rad: float = math.radians(12.0)
    most_pressure_range_pa: float = 1.0 * INCH_OF_MERCURY_PA
    least_sink_mps: float | None = 0.5


GLIDES = SteadyLimits()
LEGS = SteadyLimits(least_duration_s=20.0, least_sink_mps=None)


def steady_segments(track: Track, limits: SteadyLimits = GLIDES) -> tuple[SteadySegment, ...]:
    """The steady stretches of a recording in order of time, as long as they get.

    The airspeed must be steady where one was recorded, else the speed over the ground. Without altitudes there is none.
    """
    if track.altitude_m is None:
        return ()
    channels = _Channels.of(track)
    steady = channels.is_steady(limits)
    edges = np.flatnonzero(np.diff(np.concatenate([[False], steady, [False]])))
    found: list[tuple[int, int]] = []
    for start, end in zip(edges[::2], edges[1::2], strict=True):
        found += channels.longest(int(start), int(end), limits)
    return tuple(channels.segment(start, end) for start, end in sorted(found))


def segment_between(track: Track, start_unix_s: float, end_unix_s: float) -> SteadySegment | None:
    """The stretch between two moments, whatever was flown there; None without altitudes or with under five fixes."""
    if track.altitude_m is None:
        return None
    seconds = track.time_s + track.start_unix_s
    inside = np.flatnonzero((seconds >= start_unix_s) & (seconds <= end_unix_s) & np.isfinite(track.altitude_m))
    if len(inside) < 5:
        return None
    return _Channels.of(track).segment(int(inside[0]), int(inside[-1]) + 1)


@dataclass(frozen=True, slots=True)
class _Channels:
    """A track's channels with holes closed, and what follows from them."""

    track: Track
    time_s: Array
    altitude_m: Array
    airspeed_mps: Array
    smooth_mps: Array
    east_mps: Array
    north_mps: Array
    pressure_pa: Array | None

    @classmethod
    def of(cls, track: Track) -> _Channels:
        assert track.altitude_m is not None
        east, north = _ground_velocity(track)
        recorded = track.ias_mps if track.ias_mps is not None else track.tas_mps
        speed = np.hypot(east, north) if recorded is None else _filled(track.time_s, recorded)
        power = track.manifold_pressure_pa
        smooth = None if power is None else _smoothed(track.time_s, _filled(track.time_s, power), SMOOTHED_S)
        return cls(
            track, track.time_s, _filled(track.time_s, track.altitude_m), speed,
            _smoothed(track.time_s, speed, SMOOTHED_S), east, north, smooth,
        )  # fmt: skip

    def is_steady(self, limits: SteadyLimits) -> Mask:
        """Fix by fix: little bank, coming down where asked, no hole in the recording."""
        ok = np.abs(self._bank_rad()) <= limits.most_bank_rad
        if limits.least_sink_mps is not None:
            ok &= -_slopes(self.time_s, self.altitude_m, SLOPE_S) >= limits.least_sink_mps
        steps = np.diff(self.time_s)
        gap = steps > max(GAP_S, 3.0 * float(np.median(steps)))
        ok[:-1] &= ~gap
        return np.asarray(ok & np.isfinite(self.smooth_mps))

    def _bank_rad(self) -> Array:
        if self.track.bank_rad is not None and np.isfinite(self.track.bank_rad).any():
            return _smoothed(self.time_s, _filled(self.time_s, self.track.bank_rad), SLOPE_S)
        # tan of the bank is speed times turn rate over g; ground speed serves where the airspeed is unknown
        turning = _slopes(self.time_s, np.unwrap(np.arctan2(self.east_mps, self.north_mps)), SLOPE_S)
        return np.arctan(np.hypot(self.east_mps, self.north_mps) * turning / STANDARD_GRAVITY_MPS2)

    def longest(self, start: int, end: int, limits: SteadyLimits) -> list[tuple[int, int]]:
        """The longest stretch within the limits of speed and power, then the longest of what is left on either side."""
        found, left = [], [(start, end)]
        while left:
            first, after = left.pop()
            if after - first < 5 or self.time_s[after - 1] - self.time_s[first] < limits.least_duration_s:
                continue
            begin, stop = self._widest(first, after, limits)
            if self.time_s[stop - 1] - self.time_s[begin] < limits.least_duration_s:
                continue
            found.append(self._settled(begin, stop, limits.least_duration_s))
            left += [(first, begin), (stop, after)]
        return found

    def _settled(self, begin: int, stop: int, least_s: float) -> tuple[int, int]:
        """A stretch without its first and last seconds, where smoothing hides a change, if it stays long enough."""
        spare = min(0.5 * SMOOTHED_S, 0.5 * (self.time_s[stop - 1] - self.time_s[begin] - least_s))
        first = int(np.searchsorted(self.time_s, self.time_s[begin] + spare - 1e-9))
        last = int(np.searchsorted(self.time_s, self.time_s[stop - 1] - spare + 1e-9, side="right"))
        return first, last

    def _widest(self, first: int, after: int, limits: SteadyLimits) -> tuple[int, int]:
        """The longest stretch in which speed and power stay in their ranges: two ends that only move forward."""
        channels = [(self.smooth_mps.tolist(), limits.most_speed_range_mps)]
        if self.pressure_pa is not None:
            channels.append((self.pressure_pa.tolist(), limits.most_pressure_range_pa))
        windows = [_Range(values, most) for values, most in channels]
        best, begin = (first, first + 1), first
        for end in range(first, after):
            for window in windows:
                window.take(end)
            while begin < end and any(window.is_wide for window in windows):
                begin += 1
                for window in windows:
                    window.drop_before(begin)
            if self.time_s[end] - self.time_s[begin] > self.time_s[best[1] - 1] - self.time_s[best[0]]:
                best = (begin, end + 1)
        return best

    def segment(self, start: int, end: int) -> SteadySegment:
        """What was recorded between two fixes."""
        track, part = self.track, slice(start, end)
        time = self.time_s[part]
        duration = float(time[-1] - time[0])
        sink, sink_sd = self._sink(part, duration)
        east, north = self.east_mps[part], self.north_mps[part]
        heading = _mean_direction(track.heading_true_rad, part)
        nose = math.atan2(float(np.mean(east)), float(np.mean(north))) if heading is None else heading
        has_airspeed = track.ias_mps is not None or track.tas_mps is not None
        speed = self.airspeed_mps[part]
        return SteadySegment(
            start_unix_s=track.start_unix_s + float(time[0]),
            duration_s=duration,
            altitude_m=float(np.mean(self.altitude_m[part])),
            altitude_source=track.altitude_source,
            sink_mps=sink,
            sink_sd_mps=sink_sd,
            ias_mps=_mean(track.ias_mps, part),
            tas_mps=_mean(track.tas_mps, part),
            # airspeed wanders with a memory of some ten seconds
            airspeed_sd_mps=float(np.std(speed)) * math.sqrt(min(1.0, 20.0 / duration)) if has_airspeed else 0.0,
            speed_change_mps2=_trend(time, speed) if has_airspeed else 0.0,
            ground_acceleration_mps2=_trend(time, east * math.sin(nose) + north * math.cos(nose)),
            east_mps=float(np.mean(east)),
            north_mps=float(np.mean(north)),
            heading_true_rad=heading,
            bank_rad=min(float(np.mean(np.abs(self._bank_rad()[part]))), math.radians(79.0)),
            air_temperature_k=_mean(track.air_temperature_k, part),
            manifold_pressure_pa=_mean(track.manifold_pressure_pa, part),
            engine_speed_radps=_mean(track.engine_speed_radps, part),
        )

    def _sink(self, part: slice, duration_s: float) -> tuple[float, float]:
        """Slope of the altitudes, and its standard deviation from their scatter and the slow error of their source."""
        time, altitude = self.time_s[part], self.altitude_m[part]
        slope = _trend(time, altitude)
        left = altitude - np.mean(altitude) - slope * (time - np.mean(time))
        independent = max(duration_s / 10.0, 2.0)
        scatter = float(np.std(left)) * math.sqrt(12.0 / independent) / duration_s
        is_gps = self.track.altitude_source is AltitudeSource.GPS
        slow_m = self.track.altitude_sd_m if is_gps else BAROMETER_SD_M
        wander = slow_m * math.sqrt(-2.0 * math.expm1(-duration_s / WANDER_S)) / duration_s
        return -slope, math.hypot(scatter, wander)


class _Range:
    """Greatest less least value of a stretch whose two ends only move forward."""

    def __init__(self, values: list[float], most: float) -> None:
        self._values, self._most = values, most
        self._least: deque[int] = deque()
        self._greatest: deque[int] = deque()

    def take(self, place: int) -> None:
        value = self._values[place]
        while self._least and self._values[self._least[-1]] >= value:
            self._least.pop()
        while self._greatest and self._values[self._greatest[-1]] <= value:
            self._greatest.pop()
        self._least.append(place)
        self._greatest.append(place)

    def drop_before(self, place: int) -> None:
        for ends in (self._least, self._greatest):
            while ends[0] < place:
                ends.popleft()

    @property
    def is_wide(self) -> bool:
        return self._values[self._greatest[0]] - self._values[self._least[0]] > self._most


def _ground_velocity(track: Track) -> tuple[Array, Array]:
    """East and north velocity over the ground, recorded or from the positions."""
    if track.ground_speed_mps is not None and track.track_true_rad is not None:
        speed, direction = track.ground_speed_mps, track.track_true_rad
        if np.isfinite(speed).sum() > 2 and np.isfinite(direction).sum() > 2:
            return (
                _filled(track.time_s, speed * np.sin(direction)),
                _filled(track.time_s, speed * np.cos(direction)),
            )
    # a sphere is good to half a percent, which steadiness and its slope can bear
    latitude = np.radians(track.latitude_deg)
    east = np.unwrap(np.radians(track.longitude_deg)) * np.cos(latitude[0]) * _EARTH_RADIUS_M
    return (
        _slopes(track.time_s, _filled(track.time_s, east), SLOPE_S),
        _slopes(track.time_s, _filled(track.time_s, latitude * _EARTH_RADIUS_M), SLOPE_S),
    )


def _filled(time_s: Array, value: Array) -> Array:
    """A channel (n,) with holes closed by straight lines; all NaN where nothing was recorded."""
    known = np.isfinite(value)
    if known.all() or not known.any():
        return value
    return np.interp(time_s, time_s[known], value[known])


def _windows(time_s: Array, width_s: float) -> tuple[NDArray[np.intp], NDArray[np.intp]]:
    start = np.searchsorted(time_s, time_s - 0.5 * width_s - 1e-9, side="left")
    end = np.searchsorted(time_s, time_s + 0.5 * width_s + 1e-9, side="right")
    return start, end


def _smoothed(time_s: Array, value: Array, width_s: float) -> Array:
    """Means over a time centred on each sample, (n,)."""
    start, end = _windows(time_s, width_s)
    total = np.concatenate([[0.0], np.cumsum(value)])
    return np.asarray((total[end] - total[start]) / (end - start))


def _slopes(time_s: Array, value: Array, width_s: float) -> Array:
    """Least-squares slopes over a time centred on each sample, (n,)."""
    start, end = _windows(time_s, width_s)
    # one more on each side where the samples are further apart than the window
    alone = end - start < 3
    start, end = (
        np.where(alone, np.maximum(start - 1, 0), start),
        np.where(alone, np.minimum(end + 1, len(time_s)), end),
    )
    t, v = time_s - time_s[0], value - np.nanmean(value) if np.isfinite(value).any() else value
    sums = [np.concatenate([[0.0], np.cumsum(each)]) for each in (t, v, t * t, t * v)]
    st, sv, stt, stv = (each[end] - each[start] for each in sums)
    count = end - start
    spread = stt - st * st / count
    return np.asarray((stv - st * sv / count) / np.where(spread > 0.0, spread, np.inf))


def _trend(time_s: Array, value: Array) -> float:
    """Slope of a straight line through samples (n,), NaN left out."""
    known = np.isfinite(value)
    t, v = time_s[known] - np.mean(time_s[known]), value[known]
    return float(np.sum(t * v) / np.sum(t * t))


def _mean(channel: Array | None, part: slice) -> float | None:
    """Mean of a channel, None where nothing was recorded."""
    if channel is None or not np.isfinite(channel[part]).any():
        return None
    return float(np.nanmean(channel[part]))


def _mean_direction(channel: Array | None, part: slice) -> float | None:
    """Mean of directions, None where nothing was recorded."""
    if channel is None or not np.isfinite(channel[part]).any():
        return None
    east, north = np.nanmean(np.sin(channel[part])), np.nanmean(np.cos(channel[part]))
    return math.atan2(float(east), float(north)) % (2.0 * math.pi)
