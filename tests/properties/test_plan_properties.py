"""What must hold for every plan, whatever the wind, the side and the wishes."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from tests.exercises import AIRFIELD, RUNWAY, exercise_of, weather_of
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.flying import bench
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.shape_search import solve_shape
from volplane.domain.exercise.solver import solve
from volplane.domain.geometry.airfield import Side
from volplane.units import m_from_ft, mps_from_kt

SLOW = settings(max_examples=12, deadline=None, suppress_health_check=[HealthCheck.too_slow])
WINDS = st.tuples(st.floats(0.0, 2.0 * math.pi), st.floats(0.0, mps_from_kt(18.0)))


def _wind(direction_rad: float, speed_mps: float) -> WindProfile:
    return WindProfile.from_levels([(0.0, direction_rad, speed_mps), (900.0, direction_rad + 0.4, 1.4 * speed_mps)])


def _readings(plan: Plan) -> np.ndarray:
    return np.array([[gate.height_m, gate.x_m, gate.y_m, gate.required_m, gate.highest_m] for gate in plan.gates])


@SLOW
@given(WINDS, st.floats(0.0, 2.0 * math.pi))
def test_turning_runway_and_wind_together_turns_the_plan_and_changes_no_height(
    wind: tuple[float, float], turn_rad: float
) -> None:
    plan = solve(exercise_of(weather=weather_of(_wind(*wind))))
    runway = dataclasses.replace(RUNWAY, bearing_true_rad=(RUNWAY.bearing_true_rad + turn_rad) % (2.0 * math.pi))
    airfield = dataclasses.replace(AIRFIELD, runways=(runway,))
    turned = solve(
        exercise_of(runway=runway, airfield=airfield, weather=weather_of(_wind(wind[0] + turn_rad, wind[1])))
    )
    assert turned.feasible == plan.feasible
    np.testing.assert_allclose(_readings(turned), _readings(plan), atol=0.3)


@SLOW
@given(WINDS)
def test_a_right_pattern_in_the_mirrored_wind_is_the_mirror_image(wind: tuple[float, float]) -> None:
    bearing = RUNWAY.bearing_true_rad
    plan = solve(exercise_of(weather=weather_of(WindProfile.uniform(*wind))))
    mirrored_wind = WindProfile.uniform((2.0 * bearing - wind[0]) % (2.0 * math.pi), wind[1])
    mirrored = solve(exercise_of(pattern=Side.RIGHT, weather=weather_of(mirrored_wind)))
    assert mirrored.feasible == plan.feasible
    sides = np.array([1.0, 1.0, -1.0, 1.0, 1.0])
    np.testing.assert_allclose(_readings(mirrored) * sides, _readings(plan), atol=0.3)


@SLOW
@given(WINDS, st.floats(2500.0, 3400.0), st.floats(1500.0, 1900.0))
def test_the_plan_flown_again_touches_within_five_feet_of_its_own_prediction(
    wind: tuple[float, float], entry_ft: float, low_key_ft: float
) -> None:
    exercise = exercise_of(
        weather=weather_of(_wind(*wind)), entry_height_m=m_from_ft(entry_ft), low_key_height_m=m_from_ft(low_key_ft)
    )
    plan = solve(exercise)
    solution = solve_shape(exercise)
    again = bench(exercise).whole(solution.shape, solution.entry_height_m)
    touched_x_m = float(again.path.x_m[-1]) + bench(exercise).flare.touchdown_from_fifty_foot_m
    assert abs(touched_x_m - plan.touchdown_x_m) < m_from_ft(5.0)
    if plan.feasible:
        assert abs(plan.touchdown_x_m) < m_from_ft(5.0)


@SLOW
@given(WINDS, st.floats(2500.0, 3400.0))
def test_the_ledger_adds_up_to_the_entry_height(wind: tuple[float, float], entry_ft: float) -> None:
    plan = solve(exercise_of(weather=weather_of(_wind(*wind)), entry_height_m=m_from_ft(entry_ft)))
    assert math.isclose(sum(item.height_m for item in plan.ledger), float(plan.path.height_m[0]), abs_tol=1e-6)


def test_in_still_air_the_ledger_charges_nothing_to_the_wind() -> None:
    plan = solve(exercise_of(weather=weather_of(WindProfile.calm())))
    by_item = {item.item: item.height_m for item in plan.ledger}
    # the still-air ledger is written over the ground, which is shorter than the air path by the cosine of the descent
    assert abs(by_item["wind"]) < 0.012 * plan.path.height_m[0]


@SLOW
@given(st.floats(2400.0, 3400.0), st.floats(1400.0, 1900.0))
def test_in_still_air_total_energy_never_grows(entry_ft: float, low_key_ft: float) -> None:
    exercise = exercise_of(
        weather=weather_of(WindProfile.calm()),
        entry_height_m=m_from_ft(entry_ft),
        low_key_height_m=m_from_ft(low_key_ft),
    )
    path = solve(exercise).path
    energy_m = path.height_m + path.tas_mps**2 / (2.0 * 9.80665)
    assert np.all(np.diff(energy_m) < 1e-6)


def test_a_feasible_plan_reaches_its_low_key_at_the_wished_height() -> None:
    plan = solve(exercise_of())
    low_key = plan.gate(GateName.LOW_KEY)
    assert plan.feasible
    assert low_key is not None
    assert abs(low_key.height_m - m_from_ft(1650.0)) < m_from_ft(2.0)


def test_gates_of_the_demo_lie_inside_their_windows() -> None:
    plan = solve(exercise_of())
    assert [gate.name for gate in plan.gates] == list(GateName)
    for gate in plan.gates:
        assert gate.required_m < gate.lowest_m <= gate.height_m <= gate.highest_m, gate.name


def test_more_headwind_needs_more_height_and_leaves_less_downwind() -> None:
    bearing = RUNWAY.bearing_true_rad
    downwinds = [
        solve(exercise_of(weather=weather_of(WindProfile.uniform(bearing, mps_from_kt(speed))))).legs.downwind_m
        for speed in (0.0, 5.0, 10.0, 15.0)
    ]
    assert downwinds == sorted(downwinds, reverse=True)
