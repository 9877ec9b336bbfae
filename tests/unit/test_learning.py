"""Learning from lessons: handbook and stretches together, and what must teach nothing."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from tests.learning_flights import (
    BEGIN_UNIX_S,
    CONFIGURATIONS,
    HANDBOOK,
    IDLE_PA,
    PLANT,
    STAND_IN_PA,
    Truth,
    equation,
    lessons,
    stretch,
)
from volplane.domain.airplane.learning import (
    PRIOR,
    drag_drift,
    learn,
    learned_over_time,
    taught_and_barred,
)
from volplane.domain.airplane.lesson_glides import BarredStretch, LessonStretch, WhyNot, teaching
from volplane.domain.airplane.partial_glides import Why
from volplane.domain.glide.polar import ParabolaPolar, implied_sink_mps
from volplane.units import KNOT_MPS

BETTER = ParabolaPolar(HANDBOOK.reference_weight_kg, 100.0 * KNOT_MPS, 10.6)
# the configurations as sure as can be, for tests of everything else
SURE = dataclasses.replace(PRIOR, estimated_drag_sd_fraction=1e-4, power_sd_fraction=1e-4, power_offset_sd_mps=1e-4)


def verdict(one: LessonStretch) -> WhyNot | None:
    found = teaching(one, CONFIGURATIONS, PLANT, HANDBOOK.reference_weight_kg, HANDBOOK.best_eas_mps)
    return found.why if isinstance(found, BarredStretch) else None


def test_without_lessons_the_glide_is_the_handbooks_with_its_doubt() -> None:
    found = learn(HANDBOOK, [])
    assert found.best_ratio == pytest.approx(HANDBOOK.best_ratio, rel=1e-12)
    assert found.best_eas_mps == pytest.approx(HANDBOOK.best_eas_mps, rel=1e-12)
    assert found.best_ratio_sd == pytest.approx(0.08 * HANDBOOK.best_ratio, rel=1e-9)
    assert found.best_eas_sd_mps == pytest.approx(0.05 * HANDBOOK.best_eas_mps, rel=1e-9)
    assert found.sink_mps == pytest.approx(implied_sink_mps(HANDBOOK), rel=1e-12)
    assert (found.flights_count, found.stretches_count) == (0, 0)
    assert found.taught_fraction == pytest.approx(0.0, abs=1e-9)


def test_many_lessons_in_air_that_averages_out_find_the_airplane() -> None:
    found = learn(HANDBOOK, lessons(Truth(BETTER), 1, 40), SURE)
    assert found.best_ratio == pytest.approx(BETTER.best_ratio, rel=0.02)
    assert found.best_eas_mps == pytest.approx(BETTER.best_eas_mps, rel=0.02)
    assert abs(found.best_ratio - BETTER.best_ratio) < 2.5 * found.best_ratio_sd
    assert (found.flights_count, found.stretches_count) == (40, 160)
    assert found.taught_fraction > 0.9
    assert found.polar == ParabolaPolar(HANDBOOK.reference_weight_kg, found.best_eas_mps, found.best_ratio)


def test_exact_stretches_at_three_speeds_in_still_air_give_the_airplane_back() -> None:
    exact = [
        equation(stretch(Truth(BETTER), None, flight=str(at), speed_mps=speed * KNOT_MPS))
        for at, speed in enumerate((85.0, 105.0, 130.0))
    ]
    vague = dataclasses.replace(SURE, ratio_sd_fraction=5.0, speed_sd_fraction=5.0, air_sd_mps=1e-4)
    found = learn(HANDBOOK, exact, vague)
    assert found.best_ratio == pytest.approx(BETTER.best_ratio, rel=1e-4)
    assert found.best_eas_mps == pytest.approx(BETTER.best_eas_mps, rel=1e-4)


def test_one_flight_in_rising_air_moves_little_and_says_so() -> None:
    random = np.random.default_rng(4)
    soaring = [
        equation(stretch(Truth(), random, speed_mps=speed * KNOT_MPS, rising_mps=0.6)) for speed in (95.0, 105.0, 115.0)
    ]
    naive = learn(HANDBOOK, soaring, dataclasses.replace(SURE, air_sd_mps=1e-3))
    found = learn(HANDBOOK, soaring, SURE)
    # without the flight's own air it would all be taken for the airplane; the handbook's doubt of 8 % of a sink of some
    # 6.5 m/s, 0.5 m/s, against 0.3 m/s of air leaves it about three quarters
    assert naive.best_ratio > 1.05 * HANDBOOK.best_ratio
    moved = (found.best_ratio - HANDBOOK.best_ratio) / (naive.best_ratio - HANDBOOK.best_ratio)
    assert 0.6 < moved < 0.88
    assert found.best_ratio_sd > 1.2 * naive.best_ratio_sd
    assert found.air[0].rising_mps > 0.05


def test_more_flights_teach_more_and_more_stretches_of_one_flight_hardly_do() -> None:
    once = lessons(Truth(), 2, 1)
    long_one = [dataclasses.replace(each) for each in once * 5]
    five = lessons(Truth(), 2, 5)
    assert learn(HANDBOOK, five, SURE).best_ratio_sd < 0.75 * learn(HANDBOOK, once, SURE).best_ratio_sd
    assert learn(HANDBOOK, long_one, SURE).best_ratio_sd > 1.2 * learn(HANDBOOK, five, SURE).best_ratio_sd


def test_the_intervals_cover_airplanes_drawn_from_the_prior() -> None:
    inside = []
    random = np.random.default_rng(7)
    for trial in range(120):
        ratio = 9.6 * math.exp(random.normal(0.0, PRIOR.ratio_sd_fraction))
        speed = HANDBOOK.best_eas_mps * math.exp(random.normal(0.0, PRIOR.speed_sd_fraction))
        off = random.normal(0.0, PRIOR.estimated_drag_sd_fraction * 0.5)
        truth = Truth(
            ParabolaPolar(HANDBOOK.reference_weight_kg, speed, ratio),
            {"clean, propeller fine": off},
        )
        found = learn(HANDBOOK, lessons(truth, trial, 6))
        inside.append(abs(math.log(found.best_ratio / ratio)) < 1.96 * found.best_ratio_sd / found.best_ratio)
    assert 0.89 <= np.mean(inside) <= 0.99


def test_powered_lessons_teach_the_dead_airplane_less_than_idling_ones() -> None:
    # the engine is off its model as far as is believed possible: what it gives must not pass for the airframe
    truth = Truth(power_factor=1.25, power_offset_mps=0.4)
    powered = learn(
        HANDBOOK,
        lessons(truth, 3, 12, manifold_pressure_pa=STAND_IN_PA, configuration="gear and approach flap"),
    )
    idling = learn(HANDBOOK, lessons(truth, 3, 12))
    assert abs(powered.best_ratio - HANDBOOK.best_ratio) < 2.0 * powered.best_ratio_sd
    assert powered.taught_fraction < idling.taught_fraction
    assert powered.taught_fraction < 0.4
    (drag,) = powered.configurations
    assert drag.configuration == "gear and approach flap, under power"


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"manifold_pressure_pa": None}, WhyNot.POWER_NOT_RECORDED),
        ({"engine_speed_radps": None}, WhyNot.POWER_NOT_RECORDED),
        ({"configuration": ""}, WhyNot.CONFIGURATION_NOT_RECORDED),
        ({"configuration": "skis"}, WhyNot.CONFIGURATION_UNKNOWN),
        ({"acceleration_mps2": 0.4}, WhyNot.NOT_STEADY),
        ({"why": Why.NOT_STEADY}, WhyNot.NOT_STEADY),
        ({"why": Why.TOO_STEEP}, WhyNot.AS_MEASURED),
        ({"cas_mps": 70.0 * KNOT_MPS}, WhyNot.OUTSIDE_SPEEDS),
        ({}, None),
    ],
)
def test_a_stretch_teaches_only_with_power_and_configuration_recorded(change: dict[str, object], why: WhyNot) -> None:
    one = stretch(Truth(), None)
    changed = dataclasses.replace(one, glide=dataclasses.replace(one.glide, **change))  # type: ignore[arg-type]
    assert verdict(changed) is why


def test_a_stand_in_flight_without_recorded_power_changes_nothing() -> None:
    flown = [stretch(Truth(), None, flight=str(at), manifold_pressure_pa=STAND_IN_PA) for at in range(20)]
    unrecorded = [
        dataclasses.replace(each, glide=dataclasses.replace(each.glide, manifold_pressure_pa=None)) for each in flown
    ]
    judged = [teaching(each, CONFIGURATIONS, PLANT, 1500.0, HANDBOOK.best_eas_mps) for each in unrecorded]
    teach, barred = taught_and_barred(judged)
    assert (len(teach), len(barred)) == (0, 20)
    assert learn(HANDBOOK, teach).best_ratio == pytest.approx(HANDBOOK.best_ratio)


def test_the_propeller_is_what_power_and_its_speed_say() -> None:
    idling, powered = stretch(Truth(), None), stretch(Truth(), None, manifold_pressure_pa=STAND_IN_PA)
    stopped = dataclasses.replace(idling, glide=dataclasses.replace(idling.glide, engine_speed_radps=0.0))
    assert equation(idling).configuration.name == "clean, propeller fine"
    assert equation(powered).configuration.name == "clean, under power"
    assert equation(stopped).configuration.name == "clean, propeller stopped"
    assert equation(idling).thrust_power_per_weight_mps == 0.0
    assert equation(powered).thrust_power_per_weight_mps > 0.0


def test_one_stretch_that_does_not_fit_loses_its_weight() -> None:
    sound = lessons(Truth(), 5, 6)
    odd = dataclasses.replace(
        sound[9], drag_less_thrust_factor=sound[9].drag_less_thrust_factor + 12.0 * sound[9].drag_less_thrust_factor_sd
    )
    found = learn(HANDBOOK, [*sound[:9], odd, *sound[10:]], SURE)
    assert found.stretches[9].weight_fraction < 0.35
    assert found.best_ratio == pytest.approx(learn(HANDBOOK, sound, SURE).best_ratio, rel=0.02)


def test_the_order_of_the_stretches_does_not_matter() -> None:
    some = lessons(Truth(BETTER), 6, 5)
    one, other = learn(HANDBOOK, some), learn(HANDBOOK, some[::-1])
    assert one.best_ratio == pytest.approx(other.best_ratio, rel=1e-8)
    assert one.best_ratio_sd == pytest.approx(other.best_ratio_sd, rel=1e-6)


def test_what_was_known_then_ends_at_what_is_known_now() -> None:
    some = lessons(Truth(BETTER), 8, 6)
    history = learned_over_time(HANDBOOK, some[::-1], SURE)
    assert [then.glide.flights_count for then in history] == [1, 2, 3, 4, 5, 6]
    assert [then.flown_unix_s for then in history] == sorted(then.flown_unix_s for then in history)
    assert history[0].flown_unix_s == BEGIN_UNIX_S
    assert history[-1].glide.best_ratio == pytest.approx(learn(HANDBOOK, some, SURE).best_ratio, rel=1e-8)
    assert history[-1].glide.best_ratio_sd < history[0].glide.best_ratio_sd


@pytest.mark.parametrize("growth", [0.0, 0.04])
def test_drag_that_grows_over_the_years_is_seen_and_steady_drag_is_not(growth: float) -> None:
    some = lessons(Truth(), 9, 48, days_apart=30.0, yearly_growth_fraction=growth)
    drift = drag_drift(HANDBOOK, some)
    assert drift is not None
    assert drift.is_seen is (growth > 0.0)
    assert abs(drift.yearly_growth_fraction - growth) < 2.5 * drift.yearly_growth_fraction_sd
    assert drift.yearly_growth_fraction_sd < 0.02


def test_a_few_flights_or_a_few_days_tell_of_no_drift() -> None:
    assert drag_drift(HANDBOOK, lessons(Truth(), 1, 2, days_apart=100.0)) is None
    assert drag_drift(HANDBOOK, lessons(Truth(), 1, 8, days_apart=2.0)) is None
    assert drag_drift(HANDBOOK, []) is None


def test_a_measured_configuration_is_believed_more_than_an_estimate() -> None:
    idle = equation(stretch(Truth(), None, manifold_pressure_pa=IDLE_PA))
    measured = dataclasses.replace(idle, configuration=dataclasses.replace(idle.configuration, is_estimate=False))
    estimate_sd = learn(HANDBOOK, [idle]).configurations[0].extra_drag_factor_sd
    assert learn(HANDBOOK, [measured]).configurations[0].extra_drag_factor_sd < 0.5 * estimate_sd
