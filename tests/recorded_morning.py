"""An hour with a recorder running whose truth is known: climbs, steady glides both ways at several speeds, turns.

Flown here second by second from the polar outward: wind that grows with height, air that rises and sinks, airspeed that
wanders in the pilot's hands, a GPS whose height drifts. None of it uses the reduction that is tested.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from tests.mornings import G_MPS2, REFERENCE_KG, TruePolar
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.track.track import AltitudeSource, Track
from volplane.units import INCH_OF_MERCURY_PA, KNOT_MPS, POUND_KG, RPM_RADPS

START_UNIX_S = 1778745600.0  # 2026-05-14 08:00 UTC
WEIGHT_KG = 3400.0 * POUND_KG


@dataclass(frozen=True, slots=True)
class Day:
    """Wind at the ground and its growth with height, both as east and north; scatter of air, hands and receiver."""

    wind_mps: tuple[float, float] = (3.0, -4.0)
    growth_per_s: tuple[float, float] = (0.004, -0.002)
    air_sd_mps: float = 0.25
    wander_sd_mps: float = 1.0
    height_drift_m: float = 5.0
    velocity_sd_mps: float = 0.1
    dial_sd_mps: float = 0.2


CALM = Day((0.0, 0.0), (0.0, 0.0), 0.0, 0.0, 0.0, 0.0, 0.0)


@dataclass(frozen=True, slots=True)
class Part:
    """A stretch of the flight: indicated speed at its end, seconds, whether power is on, turn to the right in it."""

    cas_mps: float
    seconds: int
    has_power: bool = False
    turn_rad: float = 0.0
    thrust_to_weight: float = 0.22


def glides_both_ways(speeds_kt: Sequence[float], seconds: int = 100) -> list[Part]:
    """Climb, glide, turn about under power, climb, glide back, for each speed."""
    parts = []
    for speed_kt in speeds_kt:
        speed = speed_kt * KNOT_MPS
        for _ in (1, 2):
            parts += [
                Part(100.0 * KNOT_MPS, 150, has_power=True, turn_rad=math.pi),
                Part(speed, 20),
                Part(speed, seconds),
            ]
    return parts


def recorded(
    polar: TruePolar,
    parts: Sequence[Part],
    day: Day = Day(),
    seed: int = 1,
    *,
    source: AltitudeSource = AltitudeSource.GPS,
    start_m: float = 2500.0,
    heading_rad: float = 0.4,
) -> Track:
    """The recording at 1 Hz, with every channel; take away what a recorder lacks with `dataclasses.replace`."""
    random = np.random.default_rng(seed)
    rows, height, east, north = [], start_m, 0.0, 0.0
    target, wander, air, drift = parts[0].cas_mps, 0.0, 0.0, day.height_drift_m * random.standard_normal()
    speed_before = math.nan
    for part in parts:
        begin = target
        for second in range(part.seconds):
            target = begin + (part.cas_mps - begin) * min(1.0, (second + 1) / 15.0)
            wander = _next(wander, day.wander_sd_mps, 10.0, random)
            air = _next(air, day.air_sd_mps, 30.0, random)
            drift = _next(drift, day.height_drift_m, 600.0, random)
            turning = part.turn_rad / part.seconds
            heading_rad += turning
            pressure, temperature = isa.pressure_pa(height), isa.temperature_k(height)
            cas = target + wander
            tas = airspeed.tas_mps_from_cas_mps(cas, pressure, temperature)
            growth = 0.0 if math.isnan(speed_before) else tas - speed_before
            speed_before = tas
            bank = math.atan(tas * turning / G_MPS2)
            along = day.growth_per_s[0] * math.sin(heading_rad) + day.growth_per_s[1] * math.cos(heading_rad)
            eas = airspeed.eas_mps_from_cas_mps(cas, pressure)
            sine = 0.1
            for _ in range(4):
                load = math.sqrt(1.0 - sine**2) / math.cos(bank)
                drag = load * float(polar.drag_to_weight(eas * math.sqrt(REFERENCE_KG / WEIGHT_KG / load)))
                drag -= part.thrust_to_weight if part.has_power else 0.0
                sine = drag + (growth - tas * sine * along) / G_MPS2
            sink = tas * sine
            wind = [day.wind_mps[i] + day.growth_per_s[i] * height for i in (0, 1)]
            level = math.sqrt(tas**2 - sink**2)
            velocity = level * math.sin(heading_rad) + wind[0], level * math.cos(heading_rad) + wind[1]
            height -= sink - air
            east, north = east + velocity[0], north + velocity[1]
            seen = [each + day.velocity_sd_mps * random.standard_normal() for each in velocity]
            rows.append(
                (
                    north, east, height + drift, math.hypot(*seen), math.atan2(*seen) % (2.0 * math.pi),
                    cas + day.dial_sd_mps * random.standard_normal(), tas, heading_rad % (2.0 * math.pi), bank,
                    temperature,
                    (25.0 if part.has_power else 10.0) * INCH_OF_MERCURY_PA,
                )
            )  # fmt: skip
    n, e, altitude, gs, track, ias, tas_mps, heading, bank_rad, air_k, power = np.array(rows).T
    return Track(
        start_unix_s=START_UNIX_S,
        time_s=np.arange(len(rows), dtype=np.float64),
        latitude_deg=44.0 + n / 111_120.0,
        longitude_deg=-40.0 + e / (111_120.0 * math.cos(math.radians(44.0))),
        altitude_m=altitude,
        altitude_source=source,
        ground_speed_mps=gs,
        track_true_rad=track,
        ias_mps=ias,
        tas_mps=tas_mps,
        heading_true_rad=heading,
        bank_rad=bank_rad,
        air_temperature_k=air_k,
        manifold_pressure_pa=power,
        engine_speed_radps=np.full(len(rows), 2300.0 * RPM_RADPS),
    )


def without(track: Track, *channels: str) -> Track:
    """The recording of a recorder that lacks some channels."""
    return replace(track, **dict.fromkeys(channels))


def _next(value: float, sd: float, memory_s: float, random: np.random.Generator) -> float:
    """The next second of something that wanders by `sd` with a memory."""
    keep = math.exp(-1.0 / memory_s)
    return keep * value + sd * math.sqrt(1.0 - keep**2) * float(random.standard_normal())
