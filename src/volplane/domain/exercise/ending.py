"""How a planned path ends: with round-out and float, or over a practice floor with the go-around."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane.go_around import go_around_climb_mps
from volplane.domain.atmosphere import isa
from volplane.domain.exercise.flying import Bench
from volplane.domain.exercise.weather_findings import ground_density_altitude_m
from volplane.domain.glide.flight_path import FlightPath
from volplane.domain.glide.guided_flight import STEP_S

Array = NDArray[np.float64]

GO_AROUND = "go-around"
# the go-around begins at 50 ft over the floor; power and pitch take so long from sink to climb, drawn so long (ours)
_TO_CLIMB_S, _DRAWN_S = 4.0, 30.0


def with_ending(ready: Bench, path: FlightPath) -> FlightPath:
    """The path from 50 ft on: to where the wheels touch, or away from a practice floor."""
    return _go_around(ready, path) if ready.exercise.flies_to_practice_floor else _landing(ready, path)


def _landing(ready: Bench, path: FlightPath) -> FlightPath:
    """Round-out and float added."""
    flare, after = ready.flare, slice(1, None)
    count = len(flare.path_time_s) - 1
    channels = {
        "time_s": path.time_s[-1] + flare.path_time_s[after],
        "x_m": path.x_m[-1] + flare.path_x_m[after],
        "height_m": flare.path_height_m[after],
        "tas_mps": flare.path_tas_mps[after],
        "eas_mps": flare.path_eas_mps[after],
        "ground_speed_mps": flare.path_ground_speed_mps[after],
    }
    return _longer(path, count, channels, path.phase_names, int(path.phase_index[-1]))


def _go_around(ready: Bench, path: FlightPath) -> FlightPath:
    """A straight climb at the speed of the approach added: from sink to climb steadily, then on at that.

    The climb is the airplane's at this weight and density; unknown, the least that is no stop stands for it.
    """
    count = int(_DRAWN_S / STEP_S)
    since_s = STEP_S * np.arange(1, count + 1)
    sink_mps = float((path.height_m[-2] - path.height_m[-1]) / (path.time_s[-1] - path.time_s[-2]))
    climb_mps = _climb_mps(ready)
    turning_s = np.minimum(since_s, _TO_CLIMB_S)
    gained_m = -sink_mps * turning_s + 0.5 * (sink_mps + climb_mps) * turning_s**2 / _TO_CLIMB_S
    gained_m += climb_mps * np.maximum(since_s - _TO_CLIMB_S, 0.0)
    ground_mps = float(path.ground_speed_mps[-1])
    channels = {
        "time_s": path.time_s[-1] + since_s,
        "x_m": path.x_m[-1] + ground_mps * since_s,
        "height_m": path.height_m[-1] + gained_m,
    }
    return _longer(path, count, channels, (*path.phase_names, GO_AROUND), len(path.phase_names))


def _climb_mps(ready: Bench) -> float:
    exercise = ready.exercise
    density_ratio = isa.density_kgpm3(ground_density_altitude_m(exercise)) / isa.SEA_LEVEL_DENSITY_KGPM3
    known = go_around_climb_mps(exercise.airplane, exercise.weight_kg, density_ratio)
    return exercise.thresholds.go_around_climb_stop_mps if known is None else max(known, 0.0)


def _longer(path: FlightPath, count: int, channels: dict[str, Array], names: tuple[str, ...], phase: int) -> FlightPath:
    """The path with `count` rows more: the given channels, wings level, all others as they were last."""

    def channel(name: str, before: Array) -> Array:
        return np.concatenate([before, channels.get(name, np.full(count, before[-1]))])

    return FlightPath(
        time_s=channel("time_s", path.time_s),
        x_m=channel("x_m", path.x_m),
        y_m=channel("y_m", path.y_m),
        height_m=channel("height_m", path.height_m),
        heading_rad=channel("heading_rad", path.heading_rad),
        track_rad=channel("track_rad", path.track_rad),
        bank_rad=np.concatenate([path.bank_rad, np.zeros(count)]),
        tas_mps=channel("tas_mps", path.tas_mps),
        eas_mps=channel("eas_mps", path.eas_mps),
        ground_speed_mps=channel("ground_speed_mps", path.ground_speed_mps),
        phase_index=np.concatenate([path.phase_index, np.full(count, phase)]),
        configuration_index=np.concatenate([path.configuration_index, np.full(count, path.configuration_index[-1])]),
        phase_names=names,
        configuration_names=path.configuration_names,
    )
