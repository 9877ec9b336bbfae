"""The stand-in of an airplane as one answer: which setting, for which configuration, with which findings."""

from __future__ import annotations

import dataclasses
from collections.abc import Sequence
from typing import Any

import pytest

from tests.exercises import AIRPLANE, exercise_of, weather_of, wind_of
from tests.unit.test_stand_in import Truth, best_eas
from volplane.domain.airplane.airplane import AirplaneLimits, StandIn
from volplane.domain.atmosphere import isa
from volplane.domain.glide.configuration import Configuration, Flap, Gear
from volplane.services.standing_in import (
    FlownPoint,
    StandInAnswer,
    StandInConfigurationUnknown,
    StandInWishes,
    WeightNotFlown,
    on_level_field,
    point_of,
    stand_in_answer,
)
from volplane.units import (
    FOOT_M,
    INCH_OF_MERCURY_PA,
    RPM_RADPS,
    k_from_degc,
    kg_from_lb,
    kt_from_mps,
    mps_from_fpm,
    mps_from_kt,
)

IN = INCH_OF_MERCURY_PA
WISHES = StandInWishes(weight_kg=kg_from_lb(3350.0))
PRESSURE_ALTITUDE_M = 2500.0 * FOOT_M
TEMPERATURE_K = float(isa.temperature_k(PRESSURE_ALTITUDE_M))


def flown(inches: float, sink_fpm: float, rpm: float = 2300.0) -> FlownPoint:
    weight_kg = kg_from_lb(3350.0)
    return FlownPoint(
        inches * IN,
        rpm * RPM_RADPS,
        best_eas(weight_kg),
        mps_from_fpm(sink_fpm),
        PRESSURE_ALTITUDE_M,
        TEMPERATURE_K,
        weight_kg,
        2,
    )


POINTS = (flown(12.0, 1320.0), flown(14.0, 1150.0), flown(16.0, 970.0))


def answered(points: Sequence[FlownPoint] = POINTS, wishes: StandInWishes = WISHES, **airplane: Any) -> StandInAnswer:
    changed = dataclasses.replace(AIRPLANE, **airplane)
    exercise = exercise_of(airplane=changed, weather=weather_of(wind_of((0.0, 0.0, 0.0))))
    return stand_in_answer(on_level_field(exercise, wishes), points, wishes)


def codes(answer: StandInAnswer) -> dict[str, str]:
    return {finding.code: finding.severity.value for finding in answer.findings}


def test_points_flown_give_the_setting_and_a_fast_trainee_is_warned_of() -> None:
    answer = answered()
    # by hand: a straight line through the points passes 1,137 fpm at 14.1 in
    assert answer.found.wanted_pa / IN == pytest.approx(14.1, abs=0.2)
    assert answer.is_from_points
    assert codes(answer)["sinks-more"] == "caution"
    assert "model-only" not in codes(answer)
    setting = answer.stand_in()
    assert setting.configuration == "gear and approach flap"
    assert setting.manifold_pressure_pa == answer.found.setting_pa
    assert setting.altitude_msl_m == pytest.approx(2500.0 * FOOT_M)


def test_without_points_it_is_the_models_and_says_so() -> None:
    found = codes(answered(()))
    assert found["model-only"] == "caution"
    assert found["setting-uncertain"] == "caution"


def test_points_close_together_and_a_setting_beyond_them_are_told() -> None:
    found = codes(answered((flown(17.0, 880.0), flown(18.0, 790.0))))
    assert found["points-close"] == "note"
    assert found["beyond-points"] == "caution"


def test_a_point_that_was_left_out_is_told() -> None:
    assert codes(answered((*POINTS, flown(14.0, 1150.0, rpm=2000.0))))["points-left-out"] == "note"


def test_a_match_below_the_airplanes_least_is_not_set_and_names_what_has_more_drag() -> None:
    limits = dataclasses.replace(AIRPLANE.limits, minimum_descent_manifold_pressure_pa=16.0 * IN)
    answer = answered(limits=limits)
    assert answer.stand_in().manifold_pressure_pa == 16.0 * IN
    finding = next(each for each in answer.findings if each.code == "below-least")
    assert finding.severity.value == "caution"
    assert finding.number("sink_mps") > mps_from_fpm(120.0)
    assert answer.found.setting_sink_mps < answer.found.real_sink_mps


def test_gear_and_flap_limits_bind_and_unknown_ones_are_to_be_looked_up() -> None:
    unknown = answered(limits=AirplaneLimits())
    missing = {each.quantities["what"] for each in unknown.findings if each.code == "limit-unknown"}
    assert missing == {"gear", "approach flap", "least manifold pressure"}
    tight = dataclasses.replace(
        AIRPLANE.limits, gear_ias_mps=mps_from_kt(100.0), approach_flap_ias_mps=mps_from_kt(120.0)
    )
    found = codes(answered(limits=tight))
    assert found["above-limit"] == "stop"
    assert found["near-limit"] == "note"
    assert next(iter(found)) == "above-limit"


def test_a_setting_in_the_file_that_is_far_off_is_named() -> None:
    wrong = StandIn("gear and approach flap", 19.0 * IN, 2300.0 * RPM_RADPS, 2500.0 * FOOT_M)
    answer = answered(stand_in=wrong)
    finding = next(each for each in answer.findings if each.code == "setting-disagrees")
    assert finding.number("sink_mps") < -mps_from_fpm(300.0)
    near = StandIn("gear and approach flap", 14.3 * IN, 2300.0 * RPM_RADPS, 2500.0 * FOOT_M)
    assert "setting-disagrees" not in codes(answered(stand_in=near))


def test_the_configuration_may_be_wished_or_is_the_usual_one() -> None:
    full = dataclasses.replace(WISHES, configuration="gear and full flap")
    assert answered((), full).configuration.name == "gear and full flap"
    assert answered(stand_in=None).configuration.name == "gear and approach flap"
    for name in ("clean", "no such thing"):
        with pytest.raises(StandInConfigurationUnknown, match="gear and approach flap"):
            answered((), dataclasses.replace(WISHES, configuration=name))


def test_other_configurations_with_more_drag_need_more_power() -> None:
    others = {each.configuration: each.manifold_pressure_pa for each in answered(()).others}
    assert others["gear and full flap"] > answered(()).found.wanted_pa


def test_points_at_several_speeds_measure_the_configuration() -> None:
    estimate = Configuration(
        "gear and approach flap", Gear.DOWN, Flap.APPROACH, extra_drag_factor=0.55, is_estimate=True
    )
    others = tuple(each for each in AIRPLANE.configurations if each.name != estimate.name)
    truth = Truth(extra=0.5)
    spread = []
    for speed in (82.0, 82.0, 104.0, 104.0, 138.0, 138.0):
        point = truth.point(14.0, speed_kt=speed)
        spread.append(dataclasses.replace(flown(14.0, 0.0), ias_mps=mps_from_kt(speed), sink_mps=point.sink_mps))
    measured = answered(spread, configurations=(*others, estimate)).measured_configuration()
    assert measured is not None
    assert not measured.is_estimate
    assert measured.extra_drag_factor == pytest.approx(0.70, abs=0.1)
    assert answered(POINTS, configurations=(*others, estimate)).measured_configuration() is None


def test_warm_air_makes_the_feet_of_a_flown_sink_longer() -> None:
    # 15 degrees above standard at 5,000 ft: 5.39 % more (check A11, by the same rule)
    warm = dataclasses.replace(
        flown(14.0, 1000.0), pressure_altitude_m=5000.0 * FOOT_M, temperature_k=k_from_degc(5.094 + 15.0)
    )
    assert point_of(AIRPLANE, warm).sink_mps == pytest.approx(mps_from_fpm(1053.9), rel=1e-4)


def test_position_error_of_the_dial_is_taken_out() -> None:
    table = ((mps_from_kt(80.0), mps_from_kt(83.0)), (mps_from_kt(130.0), mps_from_kt(133.0)))
    airplane = dataclasses.replace(AIRPLANE, airspeed_correction=table)
    plain, corrected = (point_of(each, flown(14.0, 1000.0)).eas_mps for each in (AIRPLANE, airplane))
    assert kt_from_mps(corrected - plain) == pytest.approx(3.0, abs=0.05)


@pytest.mark.parametrize("weight_lb", [500.0, 3700.0])
def test_a_weight_the_airplane_is_not_flown_at_is_refused(weight_lb: float) -> None:
    with pytest.raises(WeightNotFlown, match="is not within"):
        on_level_field(exercise_of(), StandInWishes(weight_kg=kg_from_lb(weight_lb)))
