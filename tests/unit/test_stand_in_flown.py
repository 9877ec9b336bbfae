"""A whole exercise flown with the stand-in: what it loses more than the dead engine, in both directions."""

from __future__ import annotations

import dataclasses

import pytest

from tests.exercises import exercise_of, weather_of, wind_of
from tests.unit.test_stand_in import CONDITIONS, IN, Truth, matched
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.solver import solve
from volplane.domain.exercise.stand_in_flown import ON_FINAL, flown_with_stand_in
from volplane.units import FOOT_M, KNOT_MPS, m_from_ft

FOUND = matched(*(Truth().point(inches) for inches in (12, 14, 16)))


@pytest.fixture(scope="module")
def plan() -> Plan:
    return solve(exercise_of(weather=weather_of(wind_of((0.0, 0.0, 0.0)))))


def test_the_parts_add_up_and_the_dead_engine_loses_what_the_plan_does(plan: Plan) -> None:
    flown = flown_with_stand_in(plan, FOUND)
    assert flown.error_m == pytest.approx(sum(part.error_m for part in flown.parts))
    assert flown.error_m == pytest.approx(flown.more_m - flown.less_m)
    # from the high key to 50 ft; speed given up before the final won some 60 ft, the reserve lost on it cost 100
    real_m = sum(part.real_loss_m for part in flown.parts)
    assert real_m == pytest.approx(m_from_ft(2800.0 - 50.0), abs=m_from_ft(130.0))


def test_a_match_hardly_errs_and_a_fast_trainee_loses_more_a_slow_one_less(plan: Plan) -> None:
    slow, planned, fast = (flown_with_stand_in(plan, FOUND, offset * KNOT_MPS) for offset in (-10.0, 0.0, 10.0))
    assert abs(planned.error_m) < m_from_ft(100.0)
    assert slow.error_m < planned.error_m < fast.error_m
    assert fast.error_m > m_from_ft(80.0)
    assert slow.less_m > fast.less_m
    assert fast.more_m > slow.more_m


def test_two_inches_too_many_lose_less_all_the_way_by_hand(plan: Plan) -> None:
    more_power = dataclasses.replace(FOUND, setting_pa=FOUND.setting_pa + 2.0 * IN)
    planned, flown = flown_with_stand_in(plan, FOUND), flown_with_stand_in(plan, more_power)
    # the landing configuration is out for some 15 s, round-out and float take ten more
    before_final_s = plan.touchdown_time_s - 25.0
    # two inches give 2 x 6.0 kW of thrust to 1,520 kg: 0.8 m/s
    by_hand_m = 2.0 * Truth().watts_per_inch / (CONDITIONS.weight_kg * 9.80665) * before_final_s
    assert planned.error_m - flown.error_m == pytest.approx(by_hand_m, rel=0.15)
    finals = [next(part for part in each.parts if part.part == ON_FINAL) for each in (planned, flown)]
    assert finals[0] == finals[1]


def test_the_power_is_off_on_final(plan: Plan) -> None:
    final = next(part for part in flown_with_stand_in(plan, FOUND).parts if part.part == ON_FINAL)
    assert final.error_m > 10.0 * FOOT_M
