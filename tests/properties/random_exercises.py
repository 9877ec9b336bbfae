"""Random exercises: airplanes, weights, winds, fields and patterns, from a seed."""

from __future__ import annotations

import numpy as np

from tests.exercises import AIRFIELD, AIRPLANE, RUNWAY, exercise_of, weather_of, wind_of
from volplane.domain.airplane.airplane import Airplane
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.solver import solve
from volplane.domain.geometry.airfield import Side
from volplane.domain.glide.polar import ParabolaPolar
from volplane.errors import Refusal
from volplane.units import kg_from_lb, m_from_ft, mps_from_kt, rad_from_deg


def random_airplane(rng: np.random.Generator) -> Airplane:
    """Singles of 75 to 115 kt best glide and 8 to 12 to 1, with stalls and speeds in proportion."""
    best_kt = float(rng.uniform(75.0, 115.0))
    scaled = best_kt / 109.0
    return Airplane(
        name="Dunlin Tourer",
        maximum_weight_kg=kg_from_lb(3650.0),
        glide=ParabolaPolar(kg_from_lb(3650.0), mps_from_kt(best_kt), float(rng.uniform(8.0, 12.0))),
        stall_clean_cas_mps=mps_from_kt(66.0 * scaled),
        stall_landing_cas_mps=mps_from_kt(58.0 * scaled),
        approach_ias_mps=mps_from_kt(86.0 * scaled),
        touchdown_ias_mps=mps_from_kt(65.0 * scaled),
        limits=AIRPLANE.limits,
        configurations=AIRPLANE.configurations,
        stand_in=AIRPLANE.stand_in,
    )


def random_exercise(rng: np.random.Generator) -> Exercise:
    """An exercise without reserve, so that required and lowest are one; winds to 20 kt at the field."""
    surface_kt, from_deg = float(rng.uniform(0.0, 15.0)), float(rng.uniform(0.0, 360.0))
    aloft_kt = surface_kt + float(rng.uniform(0.0, 12.0))
    veer_deg = float(rng.uniform(-30.0, 30.0))
    low_key_ft = float(rng.uniform(1200.0, 2000.0))
    elevation_m = m_from_ft(float(rng.uniform(0.0, 5000.0)))
    field = type(AIRFIELD)(AIRFIELD.name, elevation_m, AIRFIELD.variation_east_rad, (RUNWAY,))
    runway = type(RUNWAY)("25", 44.0, -40.0, RUNWAY.bearing_true_rad, RUNWAY.length_m, elevation_m, Side.LEFT)
    return exercise_of(
        airplane=random_airplane(rng),
        airfield=field,
        runway=runway,
        pattern=Side.LEFT if rng.random() < 0.5 else Side.RIGHT,
        weight_kg=kg_from_lb(float(rng.uniform(2600.0, 3650.0))),
        weather=weather_of(
            wind_of((0.0, from_deg, surface_kt), (3000.0, (from_deg + veer_deg) % 360.0, aloft_kt)),
            temperature_degc=float(rng.uniform(-10.0, 35.0)),
            elevation_m=elevation_m,
        ),
        entry_height_m=m_from_ft(low_key_ft + float(rng.uniform(900.0, 1600.0))),
        low_key_height_m=m_from_ft(low_key_ft),
        high_key_turn_bank_rad=rad_from_deg(float(rng.uniform(15.0, 30.0))),
        base_turn_bank_rad=rad_from_deg(float(rng.uniform(18.0, 28.0))),
        minimum_final_m=m_from_ft(float(rng.uniform(1000.0, 2000.0))),
        reserve_m=0.0,
        reaction_delay_s=0.0 if rng.random() < 0.5 else float(rng.uniform(1.0, 5.0)),
    )


def feasible_exercises(seed: int, count: int) -> list[Exercise]:
    """So many random exercises that can be flown as wished."""
    rng = np.random.default_rng(seed)
    found: list[Exercise] = []
    while len(found) < count:
        exercise = random_exercise(rng)
        try:
            if solve(exercise, with_levers=False).feasible:
                found.append(exercise)
        except Refusal:
            continue
    return found
