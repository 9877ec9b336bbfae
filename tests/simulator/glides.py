"""Test flights with the simulated airplane, and what they show directly: no reduction, no fit, no model.

The truth of a steady glide is read where there is nothing to correct: in calm standard air, distance through the air to
height lost over a minute at one speed and bank, after the airplane has settled.
"""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass, field

import numpy as np

from tests.simulator.flight import Flight, Truth
from tests.simulator.recorder import wander
from tests.simulator.simulation import SimulatedAir, Simulation, Start
from volplane.units import FOOT_M, KNOT_MPS

SETTLE_S, MEASURED_S = 45.0, 60.0
# true altitude at the start of a steady glide: all lie between 1,700 and 1,100 m
START_M = 1700.0


@dataclass(frozen=True, slots=True)
class SteadyGlide:
    """One steady glide as it was: means over a minute; `ratio` is distance along the level to height lost in the air.

    `turned_rad` is how far the nose went round, `lost_m` the height lost meanwhile.
    """

    eas_mps: float
    bank_rad: float
    sink_mps: float
    ratio: float
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
    lost_m = float(part.altitude_msl_m[0] - part.altitude_msl_m[-1])
    level_m = float(np.trapezoid(np.hypot(part.north_mps, part.east_mps), part.time_s))
    return SteadyGlide(
        eas_mps=float(part.eas_mps.mean()),
        bank_rad=float(np.abs(part.bank_rad).mean()),
        sink_mps=lost_m / seconds,
        ratio=level_m / lost_m,
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


@dataclass(frozen=True, slots=True)
class Morning:
    """A test morning: pairs of glides on opposite headings, climbs between them."""

    speeds_kt: tuple[float, ...] = (66.0, 72.0, 78.0, 84.0, 92.0, 104.0)
    glide_s: float = 90.0
    climb_to_m: float = 2300.0
    first_heading_rad: float = math.radians(40.0)
    air: SimulatedAir = field(default_factory=SimulatedAir)
    speed_wander_mps: float = 1.0 * KNOT_MPS
    seed: int = 7


def fly_morning(morning: Morning) -> Truth:
    """The whole flight, once a second; legs are called "climb" and "glide 72 kt, heading 40"."""
    random = np.random.default_rng(morning.seed)
    error = wander(random, 8000, morning.speed_wander_mps, 10.0)
    flight = Flight(Simulation(Start(altitude_msl_m=morning.climb_to_m, cas_mps=85.0 * KNOT_MPS), morning.air))
    flight.speed_error_mps = lambda time_s: float(error[int(time_s)])
    heading = morning.first_heading_rad
    for speed in morning.speeds_kt:
        for _ in range(2):
            if flight.simulation.altitude_msl_m() < morning.climb_to_m - 1.3 * morning.glide_s * 4.0:
                climbed = lambda now: now.altitude_msl_m() >= morning.climb_to_m  # noqa: E731
                bank = flight.to_heading(heading)
                flight.fly("climb", 600.0, cas_mps=85.0 * KNOT_MPS, bank_rad=bank, throttle=1.0, until=climbed)
            name = f"glide {speed:g} kt, heading {round(math.degrees(heading))}"
            bank = flight.to_heading(heading)
            flight.fly(f"{name}, settling", 35.0, cas_mps=speed * KNOT_MPS, bank_rad=bank)
            flight.fly(name, morning.glide_s, cas_mps=speed * KNOT_MPS, bank_rad=bank)
            heading = (heading + math.pi) % (2.0 * math.pi)
    return flight.truth()


def feet_per_half_turn(glide: SteadyGlide) -> float:
    """Height lost while the nose goes round by half a circle, in feet."""
    return glide.lost_m / glide.turned_rad * math.pi / FOOT_M
