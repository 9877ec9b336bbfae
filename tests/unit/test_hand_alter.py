"""What changes by hand: each change is a whole plan of its own, and moves what physics says it moves."""

from __future__ import annotations

import dataclasses
import functools
import math

import pytest

from volplane import bootstrap
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.hand_alter import Alteration, Change, altered_exercise, hand_alterations, more_wind
from volplane.domain.exercise.plan import Plan
from volplane.units import FOOT_M, KNOT_MPS, kg_from_lb, mps_from_kt, rad_from_deg


@functools.cache
def demo_plan() -> Plan:
    return bootstrap.demo_workbench().plan({})


@functools.cache
def altered() -> dict[Change, Alteration]:
    return {each.change: each for each in hand_alterations(demo_plan())}


def test_wind_grows_by_five_knots_at_every_level_and_keeps_its_direction() -> None:
    exercise = demo_plan().exercise
    after = more_wind(exercise).weather.wind
    for height_m in exercise.weather.wind.height_above_field_m:
        before_mps, before_rad = exercise.weather.wind.speed_and_direction(float(height_m))
        after_mps, after_rad = after.speed_and_direction(float(height_m))
        assert after_mps - before_mps == pytest.approx(mps_from_kt(5.0), abs=1e-9)
        assert after_rad == pytest.approx(before_rad, abs=1e-9)


def test_calm_air_gets_the_wind_on_the_nose() -> None:
    exercise = demo_plan().exercise
    calm = WindProfile.from_levels([(0.0, 0.0, 0.0)])
    still = dataclasses.replace(exercise, weather=dataclasses.replace(exercise.weather, wind=calm))
    speed_mps, from_rad = more_wind(still).weather.wind.speed_and_direction(10.0)
    assert speed_mps == pytest.approx(mps_from_kt(5.0))
    assert from_rad == pytest.approx(rad_from_deg(238.4), abs=1e-9)


def test_gusts_stay_so_much_above_the_mean() -> None:
    exercise = demo_plan().exercise
    gusty = dataclasses.replace(exercise, weather=dataclasses.replace(exercise.weather, gust_mps=mps_from_kt(16.0)))
    assert more_wind(gusty).weather.gust_spread_mps == pytest.approx(gusty.weather.gust_spread_mps, abs=1e-9)


def test_more_weight_is_flown_faster_by_the_root_of_the_weights() -> None:
    # equal lift coefficient: V proportional to the root of the weight (any text on performance)
    expected_kt = 109.0 * (math.sqrt(3550.0 / 3650.0) - math.sqrt(3350.0 / 3650.0))
    assert altered()[Change.HEAVIER].glide_ias_change_mps / KNOT_MPS == pytest.approx(expected_kt, abs=0.05)


def test_in_warmer_air_the_altimeter_reads_less_at_the_same_height() -> None:
    # hydrostatics of a perfect gas: a column warmer by one part in T is higher by one part in T
    gate = next(gate for gate in altered()[Change.WARMER].gates if gate.name is GateName.HIGH_KEY)
    expected_ft = -2800.0 * 5.0 / (273.15 + 18.0 + 5.0)
    assert gate.altimeter_change_m / FOOT_M == pytest.approx(expected_ft, abs=1.5)


def test_each_change_is_the_difference_to_a_plan_made_of_the_changed_exercise() -> None:
    plan = demo_plan()
    for change, alteration in altered().items():
        other = bootstrap.plan_exercise(altered_exercise(plan.exercise, change))
        for gate in alteration.gates:
            before, after = plan.gate(gate.name), other.gate(gate.name)
            assert before is not None
            assert after is not None
            assert before.altimeter_lowest_msl_m + gate.lowest_change_m == pytest.approx(after.altimeter_lowest_msl_m)
            assert before.altimeter_msl_m + gate.altimeter_change_m == pytest.approx(after.altimeter_msl_m)


def test_at_maximum_weight_the_airplane_is_altered_to_less_weight() -> None:
    plan = demo_plan()
    full = dataclasses.replace(plan.exercise, weight_kg=plan.exercise.airplane.maximum_weight_kg)
    changes = [each.change for each in hand_alterations(dataclasses.replace(plan, exercise=full), lambda _: plan)]
    assert changes == [Change.WIND, Change.LIGHTER, Change.WARMER]
    assert altered_exercise(full, Change.LIGHTER).weight_kg == pytest.approx(kg_from_lb(3450.0))


def test_a_change_that_cannot_be_flown_says_so() -> None:
    plan = demo_plan()
    impossible = dataclasses.replace(plan, feasible=False)
    assert [(each.comes_out, each.gates) for each in hand_alterations(plan, lambda _: impossible)] == [(False, ())] * 3


def test_a_wind_as_strong_as_the_airspeed_does_not_come_out_either() -> None:
    plan = demo_plan()
    gale = WindProfile.from_levels([(0.0, rad_from_deg(240.0), mps_from_kt(101.0))])
    exercise = dataclasses.replace(plan.exercise, weather=dataclasses.replace(plan.exercise.weather, wind=gale))
    (wind, *_) = hand_alterations(dataclasses.replace(plan, exercise=exercise))
    assert not wind.comes_out
