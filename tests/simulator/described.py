"""The simulated airplane, field and air as an instructor would write them down for the program."""

from __future__ import annotations

import functools
import math

from tests.exercises import AIRFIELD, RUNWAY, exercise_of
from tests.simulator.glides import SteadyGlide, stall_cas_mps, steady_glide, steady_glides
from tests.simulator.lesson import Field
from tests.simulator.simulation import WEIGHT_KG, SimulatedAir
from volplane.domain.airplane.airplane import Airplane, AirplaneLimits
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import Exercise, Weather
from volplane.domain.glide.configuration import Configuration, Flap, Gear
from volplane.domain.glide.polar import MeasuredPolar
from volplane.units import FOOT_M, KNOT_MPS

TOUCHDOWN_BEYOND_THRESHOLD_M = 1300.0 * FOOT_M
_LAPSE_K_PER_M, _EXPONENT = 0.0065, 5.25588


def field() -> Field:
    """The demo's runway in the simulated world, its map laid at the touchdown point."""
    at_threshold = Field(
        RUNWAY.threshold_latitude_deg, RUNWAY.threshold_longitude_deg, RUNWAY.bearing_true_rad, RUNWAY.elevation_msl_m
    )
    latitude_deg, longitude_deg = at_threshold.latitude_longitude_deg(TOUCHDOWN_BEYOND_THRESHOLD_M, 0.0)
    return Field(latitude_deg, longitude_deg, RUNWAY.bearing_true_rad, RUNWAY.elevation_msl_m)


def polar(glides: tuple[SteadyGlide, ...] | None = None) -> MeasuredPolar:
    """The measured curve through steady glides, by default those of `glides.SPEEDS_KT`."""
    flown = steady_glides() if glides is None else glides
    return MeasuredPolar.from_glides(
        sum(glide.weight_kg for glide in flown) / len(flown),
        [glide.eas_mps for glide in flown],
        [glide.sea_level_sink_mps for glide in flown],
    )


@functools.cache
def airplane() -> Airplane:
    """The simulated airplane: measured curve, measured stalls, full flap from one measured glide; its gear is fixed."""
    curve = polar()
    full_flap = steady_glide(75.0, flap=1.0)
    sine = full_flap.sea_level_sink_mps / full_flap.eas_mps
    drag = math.tan(math.asin(sine))
    parasite = (full_flap.eas_mps / curve.best_eas_mps) ** 2 / (2.0 * curve.best_ratio)
    clean = curve.drag_to_weight(full_flap.eas_mps, 1.0, Configuration("clean"))
    extra = (drag - clean) / parasite
    return Airplane(
        name="simulated single",
        maximum_weight_kg=WEIGHT_KG,
        glide=curve,
        stall_clean_cas_mps=stall_cas_mps(),
        stall_landing_cas_mps=stall_cas_mps(1.0),
        approach_ias_mps=75.0 * KNOT_MPS,
        touchdown_ias_mps=62.0 * KNOT_MPS,
        limits=AirplaneLimits(),
        configurations=(
            Configuration("clean"),
            Configuration("gear and full flap", Gear.DOWN, Flap.FULL, extra_drag_factor=extra),
        ),
    )


def qnh_pa(air: SimulatedAir) -> float:
    """The altimeter setting a tower on the field would give in the simulated air: pressure there, made standard."""
    at_sea_k, elevation_m = 288.15 + air.warmer_k, AIRFIELD.elevation_msl_m
    pressure_pa = air.sea_level_pressure_pa * (1.0 - _LAPSE_K_PER_M * elevation_m / at_sea_k) ** _EXPONENT
    reduced = (pressure_pa / 101325.0) ** (1.0 / _EXPONENT) + _LAPSE_K_PER_M * elevation_m / 288.15
    return float(101325.0 * reduced**_EXPONENT)


def exercise(air: SimulatedAir, forecast: WindProfile | None = None) -> Exercise:
    """The exercise as planned: the day's pressure and temperature, and the wind somebody forecast (calm if nobody)."""
    temperature_k = 288.15 + air.warmer_k - _LAPSE_K_PER_M * AIRFIELD.elevation_msl_m
    weather = Weather(Atmosphere(AIRFIELD.elevation_msl_m, temperature_k, qnh_pa(air)), forecast or WindProfile.calm())
    return exercise_of(
        airplane=airplane(),
        weight_kg=WEIGHT_KG,
        weather=weather,
        touchdown_beyond_threshold_m=TOUCHDOWN_BEYOND_THRESHOLD_M,
        entry_height_m=2600.0 * FOOT_M,
        low_key_height_m=1800.0 * FOOT_M,
    )
