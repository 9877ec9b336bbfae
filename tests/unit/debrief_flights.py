"""Flights made by geometry for the debrief's tests: straight lines and circles over the ground in a known wind.

Nothing of the program flies them: the wind triangle gives the ground speed along a known line, a chosen sink the
height, reckoned backwards from a chosen touchdown. So place and time of every gate, the wind, the glide and the
touchdown are known beforehand.
"""

from __future__ import annotations

import dataclasses
import functools
import math
from collections.abc import Callable, Sequence

import numpy as np
from numpy.typing import NDArray

from tests.faces import fixtures
from volplane.domain.debrief.results import RecordingFacts
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.pilot_limits import frame_of
from volplane.domain.exercise.plan import Plan
from volplane.domain.geometry.airfield import Side
from volplane.domain.track.track import AltitudeSource, Track

Array = NDArray[np.float64]
STEP_S = 0.05
G = 9.80665

FACTS = RecordingFacts("0" * 64, "made for a test", 0.0, 0.0, 0, "GPS altitude", 0.0, ())


def plan_for(exercise: Exercise) -> Plan:
    """The hand-made plan of the fixtures, bound to an exercise."""
    return dataclasses.replace(fixtures.plan(exercise.pattern), exercise=exercise)


@dataclasses.dataclass(frozen=True)
class Made:
    """How a flight is made. Wind is (x, y) in the runway frame at the ground and at 1,000 m, linear between."""

    side: Side = Side.LEFT
    wind_low_mps: tuple[float, float] = (0.0, 0.0)
    wind_high_mps: tuple[float, float] = (0.0, 0.0)
    tas_mps: float = 54.0
    ratio: float = 9.6
    first_radius_m: float = 830.0
    second_radius_m: float = 560.0
    downwind_m: float = 1100.0
    touchdown_x_m: float = 0.0
    high_key_y_m: float = -370.0
    lead_in_m: float = 400.0
    wander_mps: float = 0.0
    final_drag: bool = True
    sink_of: Callable[[float, float], float] | None = None


@dataclasses.dataclass(frozen=True)
class Flown:
    """The truth, one row every 0.05 s; `is_turning` tells the arcs."""

    made: Made
    time_s: Array
    x_m: Array
    y_m: Array
    height_m: Array
    tas_mps: Array
    heading_rad: Array

    def at(self, channel: Array, time_s: float) -> float:
        return float(np.interp(time_s, self.time_s, channel))


class Line:
    """The exercise over the ground as a function of the way flown: place, direction, curvature (left pattern)."""

    def __init__(self, made: Made) -> None:
        across = made.high_key_y_m + 2.0 * made.first_radius_m
        base = across - 2.0 * made.second_radius_m
        assert base >= 0.0
        quarter = math.pi / 2.0
        final = made.downwind_m + made.touchdown_x_m
        self.legs = [
            (made.lead_in_m, 0.0),
            (2.0 * quarter * made.first_radius_m, 1.0 / made.first_radius_m),
            (made.downwind_m, 0.0),
            (quarter * made.second_radius_m, 1.0 / made.second_radius_m),
            (base, 0.0),
            (quarter * made.second_radius_m, 1.0 / made.second_radius_m),
            (final, 0.0),
            (5000.0, 0.0),
        ]
        self.edges = np.concatenate([[0.0], np.cumsum([length for length, _ in self.legs])])
        self.touchdown = float(self.edges[7])
        self.low_key = float(self.edges[2])
        starts = [(-made.lead_in_m, made.high_key_y_m, 0.0)]
        for length, curvature in self.legs[:-1]:
            starts.append(_after(starts[-1], length, curvature))
        self.starts = starts

    def at(self, way: float) -> tuple[float, float, float, float, int]:
        leg = int(np.clip(np.searchsorted(self.edges, way, side="right") - 1, 0, len(self.legs) - 1))
        curvature = self.legs[leg][1]
        return (*_after(self.starts[leg], way - float(self.edges[leg]), curvature), curvature, leg)


def _after(start: tuple[float, float, float], way: float, curvature: float) -> tuple[float, float, float]:
    x, y, track = start
    if curvature == 0.0:
        return x + way * math.cos(track), y + way * math.sin(track), track
    turned = track + way * curvature
    return (
        x + (math.sin(turned) - math.sin(track)) / curvature,
        y - (math.cos(turned) - math.cos(track)) / curvature,
        turned,
    )


def wind_at(made: Made, height_m: float) -> tuple[float, float]:
    share = min(max(height_m / 1000.0, 0.0), 1.0)
    (lx, ly), (hx, hy) = made.wind_low_mps, made.wind_high_mps
    return lx + share * (hx - lx), ly + share * (hy - ly)


@functools.cache
def fly(made: Made, *, roll_out: bool = True, seed: int = 1) -> Flown:
    """Fly it backwards from the touchdown, then roll out and stand."""
    line = Line(made)
    rng = np.random.default_rng(seed)
    keep = math.exp(-STEP_S / 10.0)
    wander = made.wander_mps * rng.normal()
    way, height, speed, time = line.touchdown, 0.0, 33.4, 0.0
    rows = []
    while way > 0.0 and time < 900.0:
        x, y, track, curvature, leg = line.at(way)
        wind = wind_at(made, height)
        own = speed + wander
        along = wind[0] * math.cos(track) + wind[1] * math.sin(track)
        across = -wind[0] * math.sin(track) + wind[1] * math.cos(track)
        ground = along + math.sqrt(own**2 - across**2)
        heading = track - math.asin(across / own)
        rows.append((-time, x, y, height, own, heading))
        bank = math.atan(ground**2 * curvature / G)
        sink = _sink(made, line, way, height, speed, bank, leg)
        speed = _faster(made, speed, height, leg)
        wander = keep * wander + math.sqrt(1.0 - keep**2) * made.wander_mps * rng.normal()
        way -= ground * STEP_S
        height += sink * STEP_S
        time += STEP_S
    columns = np.array(rows[::-1])
    columns[:, 0] += time
    if roll_out:
        columns = np.vstack([columns, _rolled(columns[-1], made)])
    side = made.side.sign
    columns[:, 2] *= side
    columns[:, 5] *= side
    return Flown(made, *(columns[:, k].copy() for k in range(6)))


def _sink(made: Made, line: Line, way: float, height: float, speed: float, bank: float, leg: int) -> float:
    if made.sink_of is not None:
        return made.sink_of(line.low_key - way, height)
    if leg >= 6 and height < 12.0:
        # level float, then an arc that ends with the sink of the approach
        return 0.15 + (0.0 if speed < 45.0 else min(0.9 * math.sqrt(2.0 * height), 7.4))
    load = 1.0 / math.cos(bank)
    ratio = 6.0 if made.final_drag and leg >= 6 and height < 75.0 else made.ratio
    return speed / ratio * (1.0 + load**2) / 2.0


def _faster(made: Made, speed: float, height: float, leg: int) -> float:
    """Backwards the airplane gains speed: in the float, and where it slowed for the final."""
    if leg >= 6 and height < 75.0:
        return min(speed + 1.5 * STEP_S, 45.0)
    return min(speed + 0.8 * STEP_S, made.tas_mps)


def _rolled(last: Array, made: Made) -> Array:
    rows = []
    time, x, speed = last[0], last[1], last[4] + wind_at(made, 0.0)[0]
    for _ in range(int(60.0 / STEP_S)):
        time += STEP_S
        x += speed * STEP_S
        speed = max(speed - 2.2 * STEP_S, 0.0)
        rows.append((time, x, last[2], 0.0, speed, 0.0))
    return np.array(rows)


def go_around(flown: Flown, from_height_m: float, climb_mps: float = 4.0, seconds: float = 90.0) -> Flown:
    """The same flight until it has come down to a height, then climbing straight ahead along its track."""
    low = int(np.flatnonzero(flown.height_m <= from_height_m)[0])
    dt = STEP_S * np.arange(1, int(seconds / STEP_S))
    velocity_x = (flown.x_m[low] - flown.x_m[low - 20]) / (20 * STEP_S)
    velocity_y = (flown.y_m[low] - flown.y_m[low - 20]) / (20 * STEP_S)
    # four seconds to turn the corner, then a steady climb
    sink = (flown.height_m[low - 20] - flown.height_m[low]) / (20 * STEP_S)
    bend = (climb_mps + sink) / 4.0
    rise = np.where(dt < 4.0, -sink * dt + 0.5 * bend * dt**2, climb_mps * (dt - 4.0) + (-4.0 * sink + 8.0 * bend))
    tail = (
        flown.time_s[low] + dt,
        flown.x_m[low] + velocity_x * dt,
        flown.y_m[low] + velocity_y * dt,
        flown.height_m[low] + rise,
        np.full(dt.shape, flown.tas_mps[low]),
        np.full(dt.shape, flown.heading_rad[low]),
    )
    names = ("time_s", "x_m", "y_m", "height_m", "tas_mps", "heading_rad")
    joined_up = (np.concatenate([getattr(flown, name)[: low + 1], end]) for name, end in zip(names, tail, strict=True))
    return Flown(flown.made, *joined_up)


def cut(flown: Flown, until_s: float) -> Flown:
    """The recording ends early."""
    kept = flown.time_s <= until_s
    names = ("time_s", "x_m", "y_m", "height_m", "tas_mps", "heading_rad")
    return Flown(flown.made, *(getattr(flown, name)[kept] for name in names))


def joined(flights: Sequence[Flown], pause_s: float = 400.0) -> Flown:
    """Several flights in one recording, each some minutes after the one before."""
    names = ("x_m", "y_m", "height_m", "tas_mps", "heading_rad")
    times, shift = [], 0.0
    for flown in flights:
        times.append(flown.time_s - flown.time_s[0] + shift)
        shift = float(times[-1][-1]) + pause_s
    rest = (np.concatenate([getattr(flown, name) for flown in flights]) for name in names)
    return Flown(flights[0].made, np.concatenate(times), *rest)


def recorded(
    flown: Flown,
    exercise: Exercise,
    *,
    seed: int = 3,
    every_s: float = 1.0,
    scatter_m: float = 1.0,
    height_bias_m: float = 0.0,
    with_airspeed: bool = False,
) -> Track:
    """What a phone beside the pilot writes of it; with airspeed and heading what a panel recorder adds."""
    rng = np.random.default_rng(seed)
    step = round(every_s / STEP_S)
    pick = slice(None, None, step)
    time = flown.time_s[pick] - flown.time_s[0]
    x = flown.x_m[pick] + scatter_m * rng.normal(size=len(time))
    y = flown.y_m[pick] + scatter_m * rng.normal(size=len(time))
    height = flown.height_m[pick] + 1.2 * scatter_m * rng.normal(size=len(time)) + height_bias_m
    latitude, longitude = frame_of(exercise).latitude_longitude_deg(x, y)
    atmosphere = exercise.weather.atmosphere
    base_m = exercise.ground_msl_m - exercise.airfield.elevation_msl_m
    ias = None
    heading = None
    if with_airspeed:
        cas = np.asarray(atmosphere.cas_mps_from_tas_mps(flown.tas_mps[pick], flown.height_m[pick] + base_m))
        ias = cas + 0.5 * rng.normal(size=len(time))
        heading = exercise.runway.bearing_true_rad - flown.heading_rad[pick] + 0.01 * rng.normal(size=len(time))
    return Track(
        start_unix_s=1_778_767_200.0,
        time_s=time,
        latitude_deg=latitude,
        longitude_deg=longitude,
        altitude_m=exercise.ground_msl_m + height,
        altitude_source=AltitudeSource.GPS,
        ias_mps=ias,
        heading_true_rad=heading,
    )
