"""The speed to fly of each straight leg, against the published equation solved elsewhere."""

from __future__ import annotations

import pytest

from tests.exercises import exercise_of, weather_of, wind_of
from volplane.domain.exercise.leg_speeds import leg_speeds
from volplane.domain.exercise.pilot_limits import glide_of
from volplane.domain.exercise.plan import LegSpeed
from volplane.domain.exercise.solver import solve
from volplane.units import mps_from_kt


def speeds(knots: float) -> dict[str, LegSpeed]:
    weather = weather_of(wind_of((0.0, 238.4, knots), (3000.0, 238.4, knots)))
    return {each.leg: each for each in leg_speeds(solve(exercise_of(weather=weather)))}


def test_in_calm_air_every_leg_is_flown_at_best_glide() -> None:
    best_mps = glide_of(exercise_of()).best_eas_mps
    for each in speeds(0.0).values():
        assert each.farthest_ias_mps == pytest.approx(best_mps, rel=0.005)  # indicated against equivalent: compressible
        assert each.rule_ias_mps == pytest.approx(best_mps, rel=0.005)


def test_downwind_is_slower_and_final_faster_by_what_the_equation_says() -> None:
    found = speeds(26.0)
    # 26 kt is about a quarter of the true airspeed: table C6 gives 1.0789 ahead and 0.9490 behind
    best_mps = glide_of(exercise_of()).best_eas_mps
    assert found["final"].farthest_ias_mps / best_mps == pytest.approx(1.0789, abs=0.012)
    assert found["downwind"].farthest_ias_mps / best_mps == pytest.approx(0.9490, abs=0.012)
    assert found["final"].tailwind_mps < -mps_from_kt(20.0)
    assert found["downwind"].tailwind_mps > mps_from_kt(20.0)
