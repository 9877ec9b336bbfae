"""Synthetic stretches of lessons: an airplane unlike its handbook, air that rises and sinks, an engine."""

from __future__ import annotations

import math
from dataclasses import dataclass, field, replace

import numpy as np

from volplane.domain.airplane.airplane import Engine
from volplane.domain.airplane.lesson_glides import LessonStretch, TeachingStretch, teaching
from volplane.domain.airplane.partial_glides import PartialGlide
from volplane.domain.airplane.reduction import air_motion_sd_mps
from volplane.domain.airplane.thrust import AirState, powerplant, thrust_power_w
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.defaults import idling_at_the_fine_stop, standard_configurations, under_power
from volplane.domain.glide.polar import ParabolaPolar
from volplane.units import INCH_OF_MERCURY_PA, KNOT_MPS, RPM_RADPS

WEIGHT_KG = 1500.0
HANDBOOK = ParabolaPolar(WEIGHT_KG, 105.0 * KNOT_MPS, 9.6)
PLANT = powerplant(Engine(), WEIGHT_KG)
CONFIGURATIONS = standard_configurations()
BEGIN_UNIX_S = 1778767200.0
DAY_S = 86400.0
ALTITUDE_M, TIME_S = 900.0, 90.0
IDLE_PA = 11.0 * INCH_OF_MERCURY_PA
STAND_IN_PA = 15.0 * INCH_OF_MERCURY_PA
CRUISE_RADPS = 2300.0 * RPM_RADPS


@dataclass(frozen=True, slots=True)
class Truth:
    """The airplane as it is: its clean glide, what is on top of the configurations' drag, what its engine gives."""

    glide: ParabolaPolar = HANDBOOK
    drag_off_factor: dict[str, float] = field(default_factory=dict)
    power_factor: float = 1.0
    power_offset_mps: float = 0.0


def stretch(
    truth: Truth,
    random: np.random.Generator | None,
    *,
    flight: str = "one",
    flown_unix_s: float = BEGIN_UNIX_S,
    speed_mps: float = 105.0 * KNOT_MPS,
    rising_mps: float = 0.0,
    manifold_pressure_pa: float | None = IDLE_PA,
    configuration: str = "clean",
    drag_factor: float = 1.0,
) -> LessonStretch:
    """One stretch of steady straight flight at the weight of the handbook; without `random` the air stands still."""
    pressure_pa, temperature_k = isa.pressure_pa(ALTITUDE_M), isa.temperature_k(ALTITUDE_M)
    tas_mps = airspeed.tas_mps_from_cas_mps(speed_mps, pressure_pa, temperature_k)
    eas_mps = airspeed.eas_mps_from_cas_mps(speed_mps, pressure_pa)
    power_mps = 0.0
    flown = _as_flown(configuration, manifold_pressure_pa)
    if manifold_pressure_pa is not None and manifold_pressure_pa > IDLE_PA:
        air = AirState(pressure_pa, temperature_k)
        power_w = thrust_power_w(PLANT, manifold_pressure_pa, CRUISE_RADPS, tas_mps, air)
        power_mps = truth.power_factor * power_w / (WEIGHT_KG * isa.STANDARD_GRAVITY_MPS2) + truth.power_offset_mps
    extra = flown.extra_drag_factor + truth.drag_off_factor.get(flown.name, 0.0)
    sine = 0.1
    for _ in range(20):
        # the load factor of a glide wings level is the cosine of its slope
        cosine = math.sqrt(1.0 - sine * sine)
        q = eas_mps**2 / cosine / truth.glide.best_eas_mps**2
        drag = drag_factor * (q * (1.0 + extra) + flown.induced_factor / q) / (2.0 * truth.glide.best_ratio) * cosine
        sine = drag - power_mps / tas_mps
    noise_mps = 0.0 if random is None else float(random.normal(0.0, air_motion_sd_mps(TIME_S)))
    glide = PartialGlide(
        place=flight,
        cas_mps=speed_mps,
        sink_mps=sine * tas_mps - rising_mps - noise_mps,
        time_s=TIME_S,
        pressure_altitude_m=ALTITUDE_M,
        air_temperature_k=temperature_k,
        weight_kg=WEIGHT_KG,
        is_pressure_height=False,
        configuration=configuration,
        acceleration_mps2=0.0,
        holds_wind_gradient=True,
        heading_true_rad=0.0,
        sink_sd_mps=0.02,
        airspeed_sd_mps=0.05,
        manifold_pressure_pa=manifold_pressure_pa,
        engine_speed_radps=None if manifold_pressure_pa is None else CRUISE_RADPS,
    )
    return LessonStretch(flight, flown_unix_s, glide)


def equation(one: LessonStretch) -> TeachingStretch:
    """The stretch as an equation; it must be one that teaches."""
    found = teaching(one, CONFIGURATIONS, PLANT, HANDBOOK.reference_weight_kg, HANDBOOK.best_eas_mps)
    assert isinstance(found, TeachingStretch), found
    return found


def lessons(
    truth: Truth,
    seed: int,
    flights: int,
    *,
    manifold_pressure_pa: float = IDLE_PA,
    configuration: str = "clean",
    air_sd_mps: float = 0.3,
    days_apart: float = 7.0,
    yearly_growth_fraction: float = 0.0,
) -> list[TeachingStretch]:
    """Flights of four stretches at 90 to 125 kt, each flight in air of its own."""
    random = np.random.default_rng(seed)
    found = []
    for number in range(flights):
        rising_mps = float(random.normal(0.0, air_sd_mps))
        at = BEGIN_UNIX_S + number * days_apart * DAY_S
        growth = math.exp(yearly_growth_fraction * number * days_apart / 365.25)
        for speed_kt in (90.0, 100.0, 110.0, 125.0):
            one = stretch(
                truth,
                random,
                flight=f"flight {number}",
                flown_unix_s=at,
                speed_mps=speed_kt * KNOT_MPS,
                rising_mps=rising_mps,
                manifold_pressure_pa=manifold_pressure_pa,
                configuration=configuration,
                drag_factor=growth,
            )
            found.append(equation(one))
    return found


def _as_flown(name: str, manifold_pressure_pa: float | None) -> Configuration:
    recorded = next(each for each in CONFIGURATIONS if each.name == name)
    if manifold_pressure_pa is not None and manifold_pressure_pa > IDLE_PA:
        return replace(under_power(recorded), name=f"{name}, under power")
    return idling_at_the_fine_stop(recorded)
