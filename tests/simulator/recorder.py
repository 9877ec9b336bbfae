"""The recorder on board the simulated airplane: its errors, its holes, and the track it leaves.

The errors are ours, seeded: positions off by a slow 3 m, GPS altitudes by a slow 4 m and a quick 1 m, pressure
altitudes read to the foot by a sensor with half a metre of scatter, ground velocity by 0.1 m/s, airspeed by half a
knot, temperature by 0.3 K. The airspeed system of the simulation has no position error: indicated is calibrated.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from tests.simulator.flight import Truth
from volplane.domain.track.track import AltitudeSource, Track
from volplane.units import KNOT_MPS

Array = NDArray[np.float64]

START_UNIX_S = 1778767200.0
_METRES_PER_DEGREE = 111_195.0


@dataclass(frozen=True, slots=True)
class Recorder:
    """What is on board and how good it is; `error_factor` 0 is a perfect one.

    `has_airspeed` stands for a panel with air data (airspeed, temperature, pressure altitude on request), `has_engine`
    for one with engine data. `dropouts` are (from, to) in seconds after the first fix without any fix.
    """

    altitude_source: AltitudeSource = AltitudeSource.GPS
    has_airspeed: bool = True
    has_engine: bool = True
    has_velocity: bool = True
    error_factor: float = 1.0
    dropouts: tuple[tuple[float, float], ...] = ()
    seed: int = 1

    def track(self, truth: Truth) -> Track:
        """The recording of a flight written down once a second."""
        random = np.random.default_rng(self.seed)
        count = len(truth.time_s)
        east_m, north_m = self._slow(random, count, 3.0, 60.0), self._slow(random, count, 3.0, 60.0)
        shrink = np.cos(np.radians(truth.latitude_deg))
        track = Track(
            start_unix_s=START_UNIX_S,
            time_s=np.round(truth.time_s - truth.time_s[0], 3),
            latitude_deg=truth.latitude_deg + north_m / _METRES_PER_DEGREE,
            longitude_deg=truth.longitude_deg + east_m / (_METRES_PER_DEGREE * shrink),
            altitude_m=self._altitude(random, truth),
            altitude_source=self.altitude_source,
        )
        velocity_error = self.error_factor * random.normal(0.0, 0.1, (2, count))
        if self.has_velocity:
            north, east = truth.north_mps + velocity_error[0], truth.east_mps + velocity_error[1]
            track = replace(
                track,
                ground_speed_mps=np.hypot(north, east),
                track_true_rad=np.mod(np.arctan2(east, north), 2.0 * math.pi),
            )
        air_error = self.error_factor * random.normal(0.0, 1.0, (3, count))
        if self.has_airspeed:
            track = replace(
                track,
                ias_mps=truth.cas_mps + 0.5 * KNOT_MPS * air_error[0],
                air_temperature_k=truth.temperature_k + 0.3 * air_error[1],
                heading_true_rad=np.mod(truth.heading_rad + math.radians(1.0) * air_error[2], 2.0 * math.pi),
            )
        if self.has_engine:
            track = replace(
                track, manifold_pressure_pa=truth.manifold_pressure_pa, engine_speed_radps=truth.engine_speed_radps
            )
        return self._with_holes(track)

    def _altitude(self, random: np.random.Generator, truth: Truth) -> Array | None:
        count = len(truth.time_s)
        if self.altitude_source is AltitudeSource.NONE:
            return None
        if self.altitude_source is AltitudeSource.PRESSURE:
            return truth.pressure_altitude_m + self.error_factor * random.normal(0.0, 0.5, count)
        quick = self.error_factor * random.normal(0.0, 1.0, count)
        return truth.altitude_msl_m + self._slow(random, count, 4.0, 100.0) + quick

    def _slow(self, random: np.random.Generator, count: int, sd_m: float, memory_s: float) -> Array:
        return wander(random, count, self.error_factor * sd_m, memory_s)

    def _with_holes(self, track: Track) -> Track:
        kept = np.ones(len(track.time_s), dtype=bool)
        for start_s, end_s in self.dropouts:
            kept &= (track.time_s < start_s) | (track.time_s > end_s)
        if kept.all():
            return track
        channels = {
            name: values[kept]
            for name in Track.__dataclass_fields__
            if isinstance(values := getattr(track, name), np.ndarray)
        }
        return replace(track, **channels)


def wander(random: np.random.Generator, count: int, sd: float, memory_s: float) -> Array:
    """A first-order Gauss-Markov wander sampled once a second, (count,)."""
    keep = math.exp(-1.0 / memory_s)
    value = float(random.standard_normal()) * sd
    values = np.empty(count)
    for index in range(count):
        value = keep * value + math.sqrt(1.0 - keep * keep) * sd * float(random.standard_normal())
        values[index] = value
    return values
