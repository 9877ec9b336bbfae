"""Partial glides to a measured glide: what is found exactly in still air, and what is refused or left out elsewhere."""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import replace

import numpy as np
import pytest

from tests.mornings import REFERENCE_KG, STILL, Morning, TruePolar, flown_glide, recovery
from volplane.domain.airplane import reduction
from volplane.domain.airplane.measured_glide import (
    GlideSpeedsTooClose,
    GlidesTooFew,
    MeasuredGlide,
    different_speeds,
    measure_glide,
)
from volplane.domain.airplane.partial_glides import PartialGlide, Why
from volplane.domain.airplane.polar_fit import student_975
from volplane.domain.glide.polar import BestGlideNotCovered, MeasuredPolar, ParabolaPolar
from volplane.units import INCH_OF_MERCURY_PA, POUND_KG, RPM_RADPS

TRUTH = TruePolar(54.0, 9.6)
HANDBOOK = ParabolaPolar(REFERENCE_KG, 57.0, 10.4)
STALL_MPS = 33.0
SPEEDS = tuple(np.linspace(41.0, 75.0, 7))
KNOWN = frozenset({"clean", "gear"})


def glides(
    polar: TruePolar = TRUTH, speeds: Sequence[float] = SPEEDS, morning: Morning = STILL, seed: int = 3, **how: float
) -> list[PartialGlide]:
    """Glides on one heading and the opposite, read without rounding unless told."""
    random = np.random.default_rng(seed)
    said = {"reads_to_m": 0.0, **how}
    return [
        flown_glide(polar, speed, heading, morning, random, place=f"{speed:.0f} m/s", **said)
        for speed in speeds
        for heading in (0.7, 0.7 + math.pi)
    ]


def measured(flown: Sequence[PartialGlide], **how: bool) -> MeasuredGlide:
    return measure_glide(flown, HANDBOOK, STALL_MPS, known_configurations=KNOWN, **how)


def whys(found: MeasuredGlide) -> list[Why]:
    return [each.why for each in found.points if each.why is not None]


@pytest.mark.parametrize("warmth_k", [-15.0, 0.0, 20.0])
@pytest.mark.parametrize("weight_lb", [2900.0, 3600.0])
def test_in_still_air_the_airplane_is_found_whatever_warmth_and_weight(warmth_k: float, weight_lb: float) -> None:
    found = measured(glides(morning=replace(STILL, warmth_k=warmth_k), weight_kg=weight_lb * POUND_KG))
    assert found.best_eas_mps == pytest.approx(54.0, rel=5e-4)
    assert found.ratio == pytest.approx(9.6, rel=5e-4)
    assert found.sink_at_best_mps == pytest.approx(TRUTH.sink_at_best_mps(), rel=5e-4)
    assert not found.is_curve
    assert whys(found) == []


def test_without_the_loss_of_true_airspeed_on_the_way_down_the_ratio_would_be_a_percent_off() -> None:
    # regression: a constant indicated airspeed is a falling true one, and its energy is height
    one = glides()[6]
    held = reduction.reduced(replace(one, acceleration_mps2=0.0), REFERENCE_KG).drag_to_weight_factor
    assert held / reduction.reduced(one, REFERENCE_KG).drag_to_weight_factor < 0.99


def test_speed_gained_on_the_way_is_height_spent() -> None:
    one = replace(glides()[6], acceleration_mps2=0.0)
    faster = reduction.reduced(replace(one, acceleration_mps2=0.0980665), REFERENCE_KG)
    # a hundredth of g along the path is a hundredth of the weight
    drop = reduction.reduced(one, REFERENCE_KG).drag_to_weight_factor - faster.drag_to_weight_factor
    assert drop == pytest.approx(0.01, rel=0.01)


def test_glides_in_a_turn_lie_on_the_same_curve() -> None:
    straight = measured(glides())
    turning = [replace(each, holds_wind_gradient=True, heading_true_rad=None) for each in glides(bank_rad=0.7)]
    both = measured([*glides(), *turning])
    assert both.ratio == pytest.approx(straight.ratio, rel=1e-3)
    assert max(abs(each.residual_mps or 0.0) for each in both.points) < 0.01


def test_a_45_degree_turn_widens_the_range_that_two_speeds_are_short_of() -> None:
    close = (52.0, 60.0, 72.0)
    assert [each.code for each in measured(glides(speeds=close)).findings] == ["induced-drag-from-handbook"]
    turning = [replace(each, holds_wind_gradient=True) for each in glides(speeds=(52.0,), bank_rad=math.radians(45.0))]
    found = measured([*glides(speeds=close), *turning])
    assert found.findings == ()
    assert found.best_eas_mps == pytest.approx(54.0, rel=2e-3)


def test_a_wind_gradient_along_one_heading_is_found_where_headings_are_known() -> None:
    windy = replace(STILL, gradient_east_per_s=0.006, gradient_north_per_s=-0.004)
    flown = glides(morning=windy, notes_heading=True)
    one_way = flown[::2] + flown[1:4:2]
    found = measured(one_way)
    blind = measured([replace(each, heading_true_rad=None) for each in one_way])
    assert found.ratio == pytest.approx(9.6, rel=0.01)
    assert abs(found.ratio - 9.6) < 0.5 * abs(blind.ratio - 9.6)


def test_both_ways_take_out_a_wind_gradient_nobody_knows_of() -> None:
    windy = replace(STILL, gradient_east_per_s=0.004, gradient_north_per_s=-0.004)
    assert measured(glides(morning=windy)).ratio == pytest.approx(9.6, rel=0.003)


def test_a_bent_polar_becomes_a_curve_and_a_parabola_stays_one() -> None:
    smooth = replace(STILL, air_sd_mps=0.02)
    bent = TruePolar(54.0, 9.6, bend=0.8)
    found = measured(glides(bent, np.linspace(38.0, 75.0, 10), smooth))
    assert found.is_curve
    assert isinstance(found.polar, MeasuredPolar)
    speed, ratio = bent.best()
    assert found.best_eas_mps == pytest.approx(speed, rel=0.015)
    assert found.ratio == pytest.approx(ratio, rel=0.01)
    again = MeasuredPolar.from_glides(REFERENCE_KG, *zip(*found.curve_points, strict=True))
    assert again.best_ratio == pytest.approx(found.ratio, rel=3e-3)
    plain = measured(glides(speeds=np.linspace(38.0, 75.0, 10), morning=smooth))
    assert not plain.is_curve
    assert plain.curve_points == ()


def test_glides_in_rising_and_sinking_air_are_told_and_left_out() -> None:
    morning = replace(STILL, air_sd_mps=0.1)
    flown = glides(morning=morning)
    flown[4] = replace(flown[4], sink_mps=flown[4].sink_mps + 1.5)
    flown[9] = replace(flown[9], sink_mps=flown[9].sink_mps - 1.5)
    found = measured(flown)
    assert [(i, each.why) for i, each in enumerate(found.points) if each.why] == [
        (4, Why.SINKS_MORE),
        (9, Why.SINKS_LESS),
    ]
    assert found.points[4].residual_mps == pytest.approx(1.5, abs=0.25)
    assert found.ratio == pytest.approx(9.6, rel=0.02)


def test_a_configuration_flown_beside_the_clean_one_gives_its_extra_drag() -> None:
    # the airplane with half as much parasite drag again: V* and E shrink as a parabola's do
    more = 1.5
    gear = TruePolar(54.0 * more**-0.25, 9.6 * more**-0.5)
    dragged = [replace(each, configuration="gear") for each in glides(gear, (46.0, 52.0, 60.0))]
    found = measured([*glides(), *dragged])
    (configuration,) = found.configurations
    assert (configuration.name, configuration.glides_count) == ("gear", 6)
    assert configuration.extra_drag_factor == pytest.approx(0.5, abs=0.01)
    assert found.ratio == pytest.approx(9.6, rel=2e-3)


def test_gear_flown_and_not_said_is_an_outlier_of_the_clean_glides() -> None:
    gear = TruePolar(54.0 * 1.5**-0.25, 9.6 * 1.5**-0.5)
    found = measured([*glides(morning=replace(STILL, air_sd_mps=0.05)), *glides(gear, (56.0,))])
    assert whys(found) == [Why.SINKS_MORE, Why.SINKS_MORE]


@pytest.mark.parametrize(
    ("change", "why"),
    [
        ({"sink_mps": -3.0}, Why.CLIMBING),
        ({"manifold_pressure_pa": 16.0 * INCH_OF_MERCURY_PA, "engine_speed_radps": 2300.0 * RPM_RADPS}, Why.POWER_ON),
        ({"manifold_pressure_pa": 16.0 * INCH_OF_MERCURY_PA}, Why.POWER_ON),
        ({"acceleration_mps2": 0.4}, Why.NOT_STEADY),
        ({"configuration": "wheels"}, Why.UNKNOWN_CONFIGURATION),
        ({"cas_mps": 30.0}, Why.STALLED),
        ({"sink_mps": 40.0}, Why.TOO_STEEP),
        ({"why": Why.WEIGHT}, Why.WEIGHT),
    ],
)
def test_a_glide_that_is_none_is_left_out_with_the_reason(change: dict[str, float], why: Why) -> None:
    flown = glides()
    found = measured([*flown, replace(flown[5], **change)])
    assert whys(found) == [why]
    assert found.points[-1].residual_mps is None
    assert found.ratio == pytest.approx(9.6, rel=5e-4)


def test_a_standing_propeller_is_no_power_whatever_the_manifold_pressure() -> None:
    flown = glides()
    flown[5] = replace(flown[5], manifold_pressure_pa=27.0 * INCH_OF_MERCURY_PA, engine_speed_radps=0.0)
    assert whys(measured(flown)) == []


def test_one_speed_only_is_refused() -> None:
    with pytest.raises(GlideSpeedsTooClose, match=r"1 speeds from 54\.0 m/s") as refused:
        measured(glides(speeds=(54.0, 54.2, 54.4)))
    assert refused.value.speeds_count == 1


def test_speeds_too_close_are_refused() -> None:
    with pytest.raises(GlideSpeedsTooClose, match="speeds from 52"):
        measured(glides(speeds=(52.0, 55.0, 58.0)))


def test_exchanged_heights_in_every_line_are_refused_by_name() -> None:
    with pytest.raises(GlidesTooFew, match="0 glides are left of 14") as refused:
        measured([replace(each, sink_mps=-each.sink_mps) for each in glides()])
    assert dict(refused.value.left_out) == {"climbing": 14}


def test_nothing_clean_is_refused() -> None:
    with pytest.raises(GlidesTooFew, match="0 glides are left") as refused:
        measured([replace(each, configuration="gear") for each in glides()])
    assert dict(refused.value.left_out) == {"other-configuration": 14}


def test_a_best_glide_far_from_the_speeds_flown_is_refused_and_a_near_one_is_said() -> None:
    with pytest.raises(BestGlideNotCovered, match="beyond 67"):
        measured(glides(speeds=(65.0, 75.0, 90.0, 105.0)))
    found = measured(glides(speeds=(56.5, 65.0, 75.0, 92.0)))
    assert [each.code for each in found.findings] == ["best-speed-beyond-flown"]


def test_the_handbook_counts_only_when_asked() -> None:
    # the handbook says 57 m/s of an airplane that glides best at 54
    rough = replace(STILL, air_sd_mps=0.4)
    free, leaning = measured(glides(morning=rough)), measured(glides(morning=rough), trusts_handbook=True)
    assert free.best_eas_mps < leaning.best_eas_mps < 57.0
    assert leaning.ratio_sd < free.ratio_sd


def test_a_calibrated_airspeed_narrows_the_band() -> None:
    assert measured(glides(), has_calibration=True).best_eas_sd_mps < measured(glides()).best_eas_sd_mps


def test_rough_air_widens_the_band_and_is_said() -> None:
    calm = measured(glides(morning=replace(STILL, air_sd_mps=0.2)))
    rough = measured(glides(morning=replace(STILL, air_sd_mps=1.5)))
    assert rough.ratio_sd > 3.0 * calm.ratio_sd
    assert "rough-air" in [each.code for each in rough.findings]


def test_a_glide_must_have_a_speed_and_a_time() -> None:
    with pytest.raises(ValueError, match="time_s is 0"):
        replace(glides()[0], time_s=0.0)
    with pytest.raises(ValueError, match="bank of 1"):
        replace(glides()[0], bank_rad=1.5)


def test_speeds_within_four_percent_are_one_speed() -> None:
    assert different_speeds([50.0, 51.0, 54.0, 50.5]) == [50.0, 54.0]


@pytest.mark.parametrize(("freedom", "quantile"), [(4, 2.776), (10, 2.228), (30, 2.042)])
def test_quantiles_of_student_are_those_of_the_tables(freedom: int, quantile: float) -> None:
    # any table of the distribution
    assert student_975(freedom) == pytest.approx(quantile, rel=0.005)


def test_the_mean_of_long_air_motion_is_its_scatter_over_root_of_the_time() -> None:
    assert reduction.air_motion_sd_mps(1.0) == pytest.approx(reduction.AIR_SD_MPS, rel=0.01)
    assert reduction.air_motion_sd_mps(6000.0) == pytest.approx(reduction.AIR_SD_MPS * 0.1, rel=0.01)


def test_forty_test_mornings_are_recovered() -> None:
    found = recovery(range(5000, 5040))
    # of forty, thirty-four within is what chance leaves when 95 % are (binomial, one in three hundred)
    assert min(found.ratio_covered_fraction, found.sink_covered_fraction, found.speed_covered_fraction) >= 34 / 40
    assert found.within_one_percent_fraction >= 36 / 40
    assert found.ratio_error_fraction < 0.03


@pytest.mark.long
def test_a_thousand_test_mornings_are_recovered() -> None:
    found = recovery(range(1000))
    assert 0.92 <= found.ratio_covered_fraction <= 0.98
    assert 0.92 <= found.sink_covered_fraction <= 0.98
    assert found.within_one_percent_fraction >= 0.95
