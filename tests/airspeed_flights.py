"""Simulated mornings of airspeed calibration: boxes flown at several speeds, as a recorder writes them down."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.geometry.local_frame import LocalFrame
from volplane.domain.track.track import AltitudeSource, Track
from volplane.units import FOOT_M, KNOT_MPS

Array = NDArray[np.float64]
PRESSURE_ALTITUDE_M = 3000.0 * FOOT_M
TEMPERATURE_K = isa.temperature_k(PRESSURE_ALTITUDE_M) + 8.0
SPEEDS_KT = (80.0, 95.0, 110.0, 125.0, 140.0)


def dial_error_mps(ias_mps: float) -> float:
    """The dial of these mornings: 1 kt too much at 100 kt, more when faster."""
    return 0.03 * (ias_mps - 100.0 * KNOT_MPS) + 1.0 * KNOT_MPS


def true_airspeed_mps(ias_mps: float) -> float:
    """What the dial's reading is in the air of these mornings."""
    cas_mps = ias_mps - dial_error_mps(ias_mps)
    return airspeed.tas_mps_from_cas_mps(cas_mps, isa.pressure_pa(PRESSURE_ALTITUDE_M), TEMPERATURE_K)


@dataclass(frozen=True, slots=True)
class Morning:
    """What the air and the recorder do."""

    wind_from_deg: float = 250.0
    wind_kt: float = 18.0
    wander_kt: float = 2.0
    gust_kt: float = 0.5
    leg_s: int = 60
    has_velocity: bool = True
    has_airspeed: bool = True

    @property
    def wind_mps(self) -> tuple[float, float]:
        """East and north."""
        from_rad, speed_mps = math.radians(self.wind_from_deg), self.wind_kt * KNOT_MPS
        return -speed_mps * math.sin(from_rad), -speed_mps * math.cos(from_rad)


def boxes(seed: int, morning: Morning | None = None, speeds_kt: tuple[float, ...] = SPEEDS_KT) -> Track:
    """A box of four legs at each speed, one fix a second."""
    day = Morning() if morning is None else morning
    random = np.random.default_rng(seed)
    headings: list[float] = []
    indicated: list[float] = []
    for speed in speeds_kt:
        for heading in (20.0, 110.0, 200.0, 290.0):
            headings += [heading] * day.leg_s + list(np.linspace(heading, heading + 90.0, 30))
            indicated += [speed] * (day.leg_s + 30)
    count = len(headings)
    heading_rad = np.radians(headings)
    # a change of speed takes twenty seconds
    set_mps = np.convolve(np.pad(np.array(indicated), 10, "edge"), np.ones(21) / 21.0, "valid") * KNOT_MPS
    ias_mps = set_mps + wander(random, count, day.wander_kt * KNOT_MPS, 10.0)
    # the dial's error is a straight line
    cas_mps = ias_mps - dial_error_mps(0.0) - 0.03 * ias_mps
    tas_mps = airspeed.tas_mps_from_cas_mps(cas_mps, isa.pressure_pa(PRESSURE_ALTITUDE_M), TEMPERATURE_K)
    east, north = (part + wander(random, count, day.gust_kt * KNOT_MPS, 20.0) for part in day.wind_mps)
    velocity_east, velocity_north = tas_mps * np.sin(heading_rad) + east, tas_mps * np.cos(heading_rad) + north
    x_m = np.cumsum(velocity_north) + wander(random, count, 3.0, 60.0)
    y_m = -np.cumsum(velocity_east) + wander(random, count, 3.0, 60.0)
    latitude_deg, longitude_deg = LocalFrame(44.0, -40.0, 0.0).latitude_longitude_deg(x_m, y_m)
    seen_east, seen_north = (each + random.normal(0.0, 0.1, count) for each in (velocity_east, velocity_north))
    return Track(
        start_unix_s=1778767200.0,
        time_s=np.arange(count, dtype=np.float64),
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        altitude_m=PRESSURE_ALTITUDE_M + random.normal(0.0, 1.0, count),
        altitude_source=AltitudeSource.PRESSURE,
        ground_speed_mps=np.hypot(seen_east, seen_north) if day.has_velocity else None,
        track_true_rad=np.mod(np.arctan2(seen_east, seen_north), 2.0 * math.pi) if day.has_velocity else None,
        ias_mps=ias_mps + random.normal(0.0, 0.5 * KNOT_MPS, count) if day.has_airspeed else None,
        air_temperature_k=np.full(count, TEMPERATURE_K),
    )


def wander(random: np.random.Generator, count: int, sd: float, memory_s: float) -> Array:
    """A first-order Gauss-Markov error at one sample a second, (count,)."""
    keep = math.exp(-1.0 / memory_s)
    pushes = random.standard_normal(count) * sd * math.sqrt(1.0 - keep * keep)
    out = np.empty(count)
    value = float(random.standard_normal()) * sd
    for at in range(count):
        value = keep * value + float(pushes[at])
        out[at] = value
    return out
