"""What would help, helps: a lever applied makes the exercise possible, and 95 % of its change does not."""

from __future__ import annotations

import math
from typing import Any

import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.exercises import exercise_of, weather_of
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import Exercise, Obstacle, ShapeName
from volplane.domain.exercise.levers import levers, with_lever
from volplane.domain.exercise.shape_search import solve_shape
from volplane.units import m_from_ft, mps_from_kt, rad_from_deg

SLOW = settings(max_examples=6, deadline=None, suppress_health_check=[HealthCheck.too_slow])


def assert_each_lever_is_the_smallest_that_helps(exercise: Exercise, code: str) -> None:
    solution = solve_shape(exercise)
    assert solution.binding is not None
    assert solution.binding.code == code
    found = levers(solution)
    assert found, "nothing helps"
    for lever in found:
        assert solve_shape(with_lever(exercise, lever, lever.needed)).is_feasible, lever
        nearly = lever.now + 0.95 * (lever.needed - lever.now)
        assert not solve_shape(with_lever(exercise, lever, nearly)).is_feasible, lever


BINDING: dict[str, dict[str, Any]] = {
    "low-key-too-high": {"entry_height_m": m_from_ft(2100.0)},
    "no-downwind-left": {"low_key_height_m": m_from_ft(1150.0)},
    "offset-too-small": {"high_key_turn_bank_rad": rad_from_deg(35.0), "entry_height_m": m_from_ft(2300.0)},
    "distance-limit": {"low_key_height_m": m_from_ft(2400.0), "entry_height_m": m_from_ft(3300.0)}
    | {"distance_limit_m": 2200.0},
    "too-few-circles": {"shape": ShapeName.STEEP_SPIRAL, "entry_height_m": m_from_ft(5500.0)},
    "obstacle": {"obstacles": (Obstacle(-900.0, 0.0, 60.0),)},
}


@pytest.mark.parametrize("code", BINDING)
def test_each_lever_of_each_binding_limit_helps_and_a_little_less_does_not(code: str) -> None:
    assert_each_lever_is_the_smallest_that_helps(exercise_of(**BINDING[code]), code)


@SLOW
@given(st.floats(0.0, 2.0 * math.pi), st.floats(0.0, mps_from_kt(12.0)), st.floats(900.0, 1050.0))
def test_a_power_off_180_from_too_low_is_mended_by_each_of_its_levers(
    from_rad: float, wind_mps: float, entry_ft: float
) -> None:
    height_m = m_from_ft(entry_ft)
    exercise = exercise_of(
        shape=ShapeName.POWER_OFF_180,
        entry_height_m=height_m,
        low_key_height_m=height_m,
        weather=weather_of(WindProfile.uniform(from_rad, wind_mps)),
    )
    solution = solve_shape(exercise)
    if solution.binding is not None:
        assert_each_lever_is_the_smallest_that_helps(exercise, solution.binding.code)
