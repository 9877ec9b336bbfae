"""What holds for every glide: laws of similarity, energy, and the order of things."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.glide import speed_to_fly, stall, turning
from volplane.domain.glide.configuration import CLEAN, Configuration
from volplane.domain.glide.guided_flight import Air
from volplane.domain.glide.polar import GlideModel, MeasuredPolar, ParabolaPolar
from volplane.domain.glide.touchdown import LandingHand, landing_flare

# the first example may wait for the compiler
unhurried = settings(deadline=None)

ratios = st.floats(5.0, 25.0)
speeds = st.floats(35.0, 70.0)
weights = st.floats(900.0, 2500.0)
loads = st.floats(0.5, 2.5)
banks = st.floats(math.radians(5.0), math.radians(60.0))
densities = st.floats(0.8, 1.3)


@st.composite
def parabolas(draw: st.DrawFn) -> GlideModel:
    return ParabolaPolar(draw(weights), draw(speeds), draw(ratios))


@st.composite
def measured(draw: st.DrawFn) -> GlideModel:
    """A parabola bent by up to 5 % at each of five points, the middle one kept least."""
    parabola = ParabolaPolar(draw(weights), draw(speeds), draw(ratios))
    points = [parabola.best_eas_mps * factor for factor in (0.75, 0.87, 1.0, 1.25, 1.55)]
    bends = [draw(st.floats(0.0, 0.05)) if i != 2 else 0.0 for i in range(5)]
    drags = [parabola.drag_to_weight(v, 1.0, CLEAN) * (1.0 + bend) for v, bend in zip(points, bends, strict=True)]
    return MeasuredPolar(parabola.reference_weight_kg, tuple(points), tuple(drags))


@st.composite
def configurations(draw: st.DrawFn) -> Configuration:
    return Configuration("any", extra_drag_factor=draw(st.floats(0.0, 2.0)), induced_factor=draw(st.floats(0.8, 1.3)))


glides = st.one_of(parabolas(), measured())


@unhurried
@given(glides, weights)
def test_another_weight_changes_speeds_but_no_ratio(glide: GlideModel, weight_kg: float) -> None:
    other = glide.at_weight(weight_kg)
    scale = math.sqrt(weight_kg / glide.reference_weight_kg)
    assert other.best_ratio == pytest.approx(glide.best_ratio, rel=1e-9)
    assert other.best_eas_mps == pytest.approx(glide.best_eas_mps * scale, rel=1e-9)
    eas_mps = 1.1 * glide.best_eas_mps
    assert other.drag_to_weight(eas_mps * scale, 1.2, CLEAN) == pytest.approx(
        glide.drag_to_weight(eas_mps, 1.2, CLEAN), rel=1e-9
    )


@unhurried
@given(glides, weights)
def test_there_and_back_in_weight_is_the_same_airplane(glide: GlideModel, weight_kg: float) -> None:
    back = glide.at_weight(weight_kg).at_weight(glide.reference_weight_kg)
    assert back.best_eas_mps == pytest.approx(glide.best_eas_mps, rel=1e-9)


@unhurried
@given(glides, loads, configurations(), st.floats(0.8, 1.5))
def test_equal_lift_coefficient_is_equal_drag_to_lift(
    glide: GlideModel, load_factor: float, configuration: Configuration, speed_factor: float
) -> None:
    eas_mps = speed_factor * glide.best_eas_mps
    straight = glide.drag_to_weight(eas_mps, 1.0, configuration)
    turning_drag = glide.drag_to_weight(eas_mps * math.sqrt(load_factor), load_factor, configuration)
    assert turning_drag / load_factor == pytest.approx(straight, rel=1e-9)


@unhurried
@given(glides, st.floats(0.5, 2.0))
def test_no_speed_has_less_drag_than_the_best(glide: GlideModel, speed_factor: float) -> None:
    drag = glide.drag_to_weight(speed_factor * glide.best_eas_mps, 1.0, CLEAN)
    assert drag * glide.best_ratio > 1.0 - 1e-4


@unhurried
@given(glides, banks, densities, configurations())
def test_in_still_air_energy_never_grows_without_thrust(
    glide: GlideModel, bank_rad: float, density_kgpm3: float, configuration: Configuration
) -> None:
    turn = turning.steady_turn(glide, glide.best_eas_mps, bank_rad, configuration, density_kgpm3)
    assert turn.sink_mps > 0.0
    assert turn.sink_mps < turn.tas_mps


@unhurried
@given(glides, banks, st.floats(0.7, 1.6))
def test_a_turn_is_steeper_than_straight_flight_at_the_same_speed(
    glide: GlideModel, bank_rad: float, speed_factor: float
) -> None:
    eas_mps = speed_factor * glide.best_eas_mps
    straight = turning.steady_turn(glide, eas_mps, 0.0, CLEAN)
    assert turning.steady_turn(glide, eas_mps, bank_rad, CLEAN).path_angle_rad > straight.path_angle_rad


@unhurried
@given(parabolas(), banks)
def test_small_angles_never_promise_more_than_the_helix_gives(glide: GlideModel, bank_rad: float) -> None:
    small = turning.small_angle_turn(glide, glide.best_eas_mps, bank_rad, CLEAN)
    exact = turning.steady_turn(glide, glide.best_eas_mps, bank_rad, CLEAN)
    assert small.height_per_radian_m >= exact.height_per_radian_m


@unhurried
@given(parabolas(), banks, st.floats(1.1, 2.0))
def test_height_lost_in_a_turn_goes_with_the_square_of_the_speed(
    glide: ParabolaPolar, bank_rad: float, factor: float
) -> None:
    faster = ParabolaPolar(glide.reference_weight_kg, glide.best_eas_mps * factor, glide.best_ratio)
    slow = turning.steady_turn(glide, glide.best_eas_mps, bank_rad, CLEAN)
    fast = turning.steady_turn(faster, faster.best_eas_mps, bank_rad, CLEAN)
    assert fast.height_per_radian_m == pytest.approx(slow.height_per_radian_m * factor**2, rel=1e-9)


@unhurried
@given(st.floats(30.0, 90.0), st.floats(20.0, 60.0), st.floats(0.0, 0.5))
def test_the_steepest_bank_is_where_the_margin_ends(cas_mps: float, stall_mps: float, margin: float) -> None:
    steepest = stall.steepest_bank_rad(cas_mps, stall_mps, margin)
    straight = stall.margin_in_turn_fraction(cas_mps, stall_mps, 0.0)
    assert (steepest is None) == (straight < margin - 1e-15) or abs(straight - margin) < 1e-12
    assume(steepest is not None and steepest > 1e-3)
    assert steepest is not None
    assert stall.margin_in_turn_fraction(cas_mps, stall_mps, steepest) == pytest.approx(margin, abs=1e-9)
    assert stall.margin_in_turn_fraction(cas_mps, stall_mps, 0.99 * steepest) > margin


@unhurried
@given(st.floats(-0.9, 2.0))
def test_the_speed_to_fly_beats_its_neighbours_over_the_ground(tailwind: float) -> None:
    v = speed_to_fly.speed_to_fly_factor(tailwind)
    best = speed_to_fly.ground_ratio_factor(v, tailwind)
    assert best > speed_to_fly.ground_ratio_factor(1.01 * v, tailwind)
    assert best > speed_to_fly.ground_ratio_factor(0.99 * v, tailwind)


@unhurried
@given(glides, st.floats(0.0, 0.5), st.floats(0.01, 0.3))
def test_more_headwind_never_lengthens_a_straight_glide(glide: GlideModel, headwind: float, more: float) -> None:
    def reach(headwind_factor: float) -> float:
        turn = turning.steady_turn(glide, glide.best_eas_mps, 0.0, CLEAN)
        wind_mps = headwind_factor * turn.tas_mps
        best = speed_to_fly.farthest_glide(glide, -wind_mps, CLEAN)
        return (best.tas_mps * math.cos(best.path_angle_rad) - wind_mps) / best.sink_mps

    assert reach(headwind + more) < reach(headwind)


def _air(headwind_mps: float, across_mps: float, shear: float) -> Air:
    profile = WindProfile(np.array([10.0]), np.array([-across_mps]), np.array([-headwind_mps]), shear)
    return Air(Atmosphere.standard(200.0), profile, 0.0)


@unhurried
@given(
    glides,
    st.floats(0.6, 2.0),
    st.floats(-5.0, 12.0),
    st.floats(-8.0, 8.0),
    st.floats(0.0, 0.3),
    st.floats(0.15, 0.5),
)
def test_a_landing_touches_beyond_its_aim_point_in_any_wind(
    glide: GlideModel, extra: float, headwind_mps: float, across_mps: float, shear: float, added: float
) -> None:
    configuration = Configuration("landing", extra_drag_factor=extra)
    approach_mps, touchdown_mps = 0.85 * glide.best_eas_mps, 0.65 * glide.best_eas_mps
    today = _air(headwind_mps, across_mps, shear)
    flare = landing_flare(glide, today, configuration, approach_mps, touchdown_mps, LandingHand(added))
    assert flare.touchdown_from_aim_point_m > 0.0
    assert 0.0 < flare.round_out_height_m <= 15.24 + 1e-9
    assert np.isfinite(flare.path_load_factor).all()


@unhurried
@given(parabolas(), st.floats(0.6, 2.0))
def test_in_still_air_a_landing_loses_energy_at_every_step(glide: GlideModel, extra: float) -> None:
    configuration = Configuration("landing", extra_drag_factor=extra)
    approach_mps, touchdown_mps = 0.85 * glide.best_eas_mps, 0.65 * glide.best_eas_mps
    flare = landing_flare(glide, _air(0.0, 0.0, 0.0), configuration, approach_mps, touchdown_mps)
    energy = 9.80665 * flare.path_height_m + 0.5 * flare.path_ground_speed_mps**2
    assert np.all(np.diff(energy) < 0.0)


@unhurried
@given(parabolas(), st.floats(0.6, 2.0), st.floats(0.0, 8.0), st.floats(0.2, 4.0))
def test_more_headwind_lands_shorter(glide: GlideModel, extra: float, headwind_mps: float, more_mps: float) -> None:
    configuration = Configuration("landing", extra_drag_factor=extra)
    approach_mps, touchdown_mps = 0.85 * glide.best_eas_mps, 0.65 * glide.best_eas_mps
    lengths = [
        landing_flare(
            glide, _air(wind, 0.0, 0.0), configuration, approach_mps, touchdown_mps
        ).touchdown_from_fifty_foot_m
        for wind in (headwind_mps, headwind_mps + more_mps)
    ]
    assert lengths[1] < lengths[0]
