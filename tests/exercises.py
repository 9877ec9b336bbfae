"""The demo's airplane and airfield as values, for tests that plan and fly."""

from __future__ import annotations

import math
from typing import Any

from volplane.domain.airplane.airplane import Airplane, AirplaneLimits, StandIn
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import Exercise, Weather
from volplane.domain.geometry.airfield import Airfield, Runway, Side
from volplane.domain.glide.configuration import Configuration, Flap, Gear
from volplane.domain.glide.defaults import standard_configurations
from volplane.domain.glide.polar import ParabolaPolar
from volplane.units import RPM_RADPS, k_from_degc, kg_from_lb, m_from_ft, mps_from_kt, pa_from_inhg, rad_from_deg

RUNWAY = Runway("25", 44.0, -40.0, rad_from_deg(238.4), m_from_ft(4400.0), m_from_ft(940.0), Side.LEFT)
AIRFIELD = Airfield("Quill Meadow", m_from_ft(940.0), rad_from_deg(-12.5), (RUNWAY,))
AIRPLANE = Airplane(
    name="Dunlin Tourer",
    maximum_weight_kg=kg_from_lb(3650.0),
    glide=ParabolaPolar(kg_from_lb(3650.0), mps_from_kt(109.0), 9.6),
    stall_clean_cas_mps=mps_from_kt(68.0),
    stall_landing_cas_mps=mps_from_kt(60.0),
    approach_ias_mps=mps_from_kt(88.0),
    touchdown_ias_mps=mps_from_kt(65.0),
    limits=AirplaneLimits(
        gear_ias_mps=mps_from_kt(150.0),
        approach_flap_ias_mps=mps_from_kt(150.0),
        full_flap_ias_mps=mps_from_kt(120.0),
        crosswind_mps=mps_from_kt(15.0),
        landing_roll_m=m_from_ft(1300.0),
    ),
    configurations=(
        *(known for known in standard_configurations() if known.name != "gear and approach flap"),
        Configuration("gear and approach flap", Gear.DOWN, Flap.APPROACH, extra_drag_factor=0.55),
    ),
    stand_in=StandIn("gear and approach flap", pa_from_inhg(14.5), 2300.0 * RPM_RADPS, m_from_ft(2500.0)),
)


def wind_of(*levels: tuple[float, float, float]) -> WindProfile:
    """Wind by levels of height in feet, direction in degrees true, speed in knots."""
    return WindProfile.from_levels(
        [(m_from_ft(height), rad_from_deg(source), mps_from_kt(speed)) for height, source, speed in levels]
    )


def weather_of(
    wind: WindProfile | None = None, *, temperature_degc: float = 18.0, elevation_m: float = AIRFIELD.elevation_msl_m
) -> Weather:
    """The demo's weather, or with another wind or temperature."""
    given = wind_of((0.0, 240.0, 8.0), (3000.0, 270.0, 18.0)) if wind is None else wind
    return Weather(Atmosphere(elevation_m, k_from_degc(temperature_degc), pa_from_inhg(30.05)), given)


def exercise_of(**changes: Any) -> Exercise:
    """The demo's exercise with changes."""
    values: dict[str, Any] = {
        "airplane": AIRPLANE,
        "airfield": AIRFIELD,
        "runway": RUNWAY,
        "pattern": Side.LEFT,
        "weight_kg": kg_from_lb(3350.0),
        "weather": weather_of(),
        "time_unix_s": 1778767200.0,
        "entry_height_m": m_from_ft(2800.0),
        "low_key_height_m": m_from_ft(1650.0),
        "high_key_offset_m": 0.2 * 1852.0,
        "touchdown_beyond_threshold_m": m_from_ft(1300.0),
        "high_key_turn_bank_rad": math.radians(20.0),
        "base_turn_bank_rad": math.radians(25.0),
        "maximum_bank_rad": math.radians(45.0),
        "maximum_bank_below_low_key_rad": math.radians(30.0),
        "low_key_offset_m": None,
        "minimum_final_m": m_from_ft(1500.0),
        "reserve_m": m_from_ft(100.0),
        "break_off_height_m": m_from_ft(500.0),
        "stall_margin_fraction": 0.1,
        "reaction_delay_s": 4.0,
        "distance_limit_m": 3.0 * 1852.0,
        "stated": frozenset({"weight"}),
    }
    return Exercise(**(values | changes))
