"""Test flights with the simulated airplane, and what they show directly: no reduction, no fit, no model.

The truth of a steady glide is read where there is next to nothing to correct: in calm standard air, distance through
the air to height lost over a minute at one speed and bank, after the airplane has settled.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, field, replace

import numpy as np

from tests.simulator.flight import Flight, Truth
from tests.simulator.recorder import wander
from tests.simulator.simulation import SimulatedAir, Simulation, Start
from volplane.units import FOOT_M, KNOT_MPS

GRAVITY_MPS2 = 9.80665
SETTLE_S, MEASURED_S = 45.0, 60.0
# true altitude at the start of a steady glide: all lie between 1,700 and 1,100 m
START_M = 1700.0


@dataclass(frozen=True, slots=True)
class SteadyGlide:
    """One steady glide as it was: means over a minute.

    At a constant speed on the dial the true airspeed falls on the way down, and the energy it gives back stretches the
    glide by some hundredth. `flown_ratio` is distance along the level to height lost as it was flown; `ratio`,
    `sink_mps` and `lost_m` are without that gift, height lost plus (V0^2 - V1^2) / 2g, so that they speak of drag
    alone. `turned_rad` is how far the nose went round meanwhile.
    """

    eas_mps: float
    bank_rad: float
    sink_mps: float
    ratio: float
    flown_ratio: float
    density_kgpm3: float
    weight_kg: float
    turned_rad: float
    lost_m: float

    @property
    def sea_level_sink_mps(self) -> float:
        """The same glide in air of the standard density at sea level: sink goes with true airspeed."""
        return self.sink_mps * math.sqrt(self.density_kgpm3 / 1.225)


@functools.cache
def steady_glide(cas_kt: float, bank_deg: float = 0.0, flap: float = 0.0) -> SteadyGlide:
    """A minute at idle in calm standard air at a speed and bank, right positive."""
    simulation = Simulation(Start(altitude_msl_m=START_M, cas_mps=cas_kt * KNOT_MPS))
    simulation.flap = flap
    flight = Flight(simulation)
    flight.fly("glide", SETTLE_S + MEASURED_S, cas_mps=cas_kt * KNOT_MPS, bank_rad=math.radians(bank_deg))
    return _steady(flight.truth().of_leg("glide", SETTLE_S))


def _steady(part: Truth) -> SteadyGlide:
    seconds = float(part.time_s[-1] - part.time_s[0])
    flown_m = float(part.altitude_msl_m[0] - part.altitude_msl_m[-1])
    lost_m = flown_m + float(part.tas_mps[0] ** 2 - part.tas_mps[-1] ** 2) / (2.0 * GRAVITY_MPS2)
    level_m = float(np.trapezoid(np.hypot(part.north_mps, part.east_mps), part.time_s))
    return SteadyGlide(
        eas_mps=float(part.eas_mps.mean()),
        bank_rad=float(np.abs(part.bank_rad).mean()),
        sink_mps=lost_m / seconds,
        ratio=level_m / lost_m,
        flown_ratio=level_m / flown_m,
        density_kgpm3=float(part.density_kgpm3.mean()),
        weight_kg=float(part.weight_kg.mean()),
        turned_rad=abs(float(np.unwrap(part.heading_rad)[-1] - part.heading_rad[0])),
        lost_m=lost_m,
    )


SPEEDS_KT = (64.0, 68.0, 72.0, 76.0, 80.0, 84.0, 88.0, 92.0, 98.0, 106.0, 114.0)


def steady_glides(speeds_kt: tuple[float, ...] = SPEEDS_KT) -> tuple[SteadyGlide, ...]:
    """Wings-level glides at several speeds."""
    return tuple(steady_glide(speed) for speed in speeds_kt)


@functools.cache
def best_glide() -> SteadyGlide:
    """The farthest of glides a knot apart: the directly measured best, nothing fitted."""
    around = max(steady_glides(), key=lambda glide: glide.ratio).eas_mps / KNOT_MPS
    return max((steady_glide(round(around) + step) for step in range(-3, 4)), key=lambda glide: glide.ratio)


# where the lift table of this airplane turns over
_STALL_ATTACK_RAD = 0.28


@functools.cache
def stall_cas_mps(flap: float = 0.0) -> float:
    """Speed at which the wing gives its most lift, wings level at idle, slowed by a knot a second."""
    simulation = Simulation(Start(altitude_msl_m=START_M, cas_mps=75.0 * KNOT_MPS))
    simulation.flap = flap
    flight = Flight(simulation)
    flight.fly("settle", 30.0, cas_mps=70.0 * KNOT_MPS)
    flight.speed_error_mps = lambda time_s: -KNOT_MPS * (time_s - 30.0)
    flight.fly("slower", 40.0, cas_mps=70.0 * KNOT_MPS)
    part = flight.truth().of_leg("slower")
    stalled = np.flatnonzero(part.attack_rad > _STALL_ATTACK_RAD)
    return float(part.cas_mps[stalled[0]])


_LONGEST_S = 9000


@dataclass(frozen=True, slots=True)
class Morning:
    """A test morning: pairs of glides on opposite headings, climbs between them."""

    speeds_kt: tuple[float, ...] = (64.0, 68.0, 73.0, 79.0, 85.0, 92.0, 100.0, 110.0)
    glide_s: float = 75.0
    climb_to_m: float = 1900.0
    first_heading_rad: float = math.radians(40.0)
    air: SimulatedAir = field(default_factory=SimulatedAir)
    # rising and sinking air of this standard deviation, half a minute long
    air_rises_sd_mps: float = 0.0
    speed_wander_mps: float = 1.0 * KNOT_MPS
    seed: int = 7


def fly_morning(morning: Morning) -> Truth:
    """The whole flight, once a second; legs are called "climb" and "glide 72 kt, heading 40"."""
    random = np.random.default_rng(morning.seed)
    error = wander(random, _LONGEST_S, morning.speed_wander_mps, 10.0)
    rises = wander(random, _LONGEST_S, morning.air_rises_sd_mps, 30.0)

    def motion(altitude_msl_m: float, time_s: float) -> tuple[float, float, float]:
        north, east, up = morning.air.motion(altitude_msl_m, time_s)
        return north, east, up + float(rises[int(time_s)])

    start = Start(altitude_msl_m=morning.climb_to_m, cas_mps=85.0 * KNOT_MPS, heading_rad=morning.first_heading_rad)
    flight = Flight(Simulation(start, replace(morning.air, motion=motion)))
    flight.speed_error_mps = lambda time_s: float(error[int(time_s)])
    heading = morning.first_heading_rad
    for speed in morning.speeds_kt:
        for _ in range(2):
            if flight.simulation.altitude_msl_m() < morning.climb_to_m - 60.0:
                climbed = lambda now: now.altitude_msl_m() >= morning.climb_to_m  # noqa: E731
                bank = flight.to_heading(heading)
                flight.fly("climb", 600.0, cas_mps=85.0 * KNOT_MPS, bank_rad=bank, throttle=1.0, until=climbed)
            name = f"glide {speed:g} kt, heading {round(math.degrees(heading))}"
            bank = flight.to_heading(heading)
            flight.fly(f"{name}, settling", 25.0, cas_mps=speed * KNOT_MPS, bank_rad=bank)
            flight.fly(name, morning.glide_s, cas_mps=speed * KNOT_MPS, bank_rad=bank)
            heading = (heading + math.pi) % (2.0 * math.pi)
    return flight.truth()


def feet_per_half_turn(glide: SteadyGlide) -> float:
    """Height lost while the nose goes round by half a circle, in feet."""
    return glide.lost_m / glide.turned_rad * math.pi / FOOT_M
