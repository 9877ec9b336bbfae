"""Steady turns, stall margin, speed to fly and the estimates: edges, conventions and refusals."""

from __future__ import annotations

import math

import pytest

from volplane.domain.glide import defaults, speed_to_fly, stall, turning
from volplane.domain.glide.configuration import CLEAN, Configuration, Flap, Gear, Propeller
from volplane.domain.glide.polar import MeasuredPolar, ParabolaPolar

PARABOLA = ParabolaPolar(1600.0, 56.0, 9.6)


def test_a_steady_turn_balances_its_forces() -> None:
    turn = turning.steady_turn(PARABOLA, 60.0, math.radians(40.0), CLEAN, 1.1)
    drag = PARABOLA.drag_to_weight(60.0, turn.load_factor, CLEAN)
    assert turn.load_factor * math.cos(turn.bank_rad) == pytest.approx(math.cos(turn.path_angle_rad), rel=1e-12)
    assert drag == pytest.approx(math.sin(turn.path_angle_rad), rel=1e-12)
    # sideways lift bends the path: n g sin(bank) = V cos(gamma) psi'
    assert turn.load_factor * 9.80665 * math.sin(turn.bank_rad) == pytest.approx(
        turn.tas_mps * math.cos(turn.path_angle_rad) * turn.turn_rate_radps, rel=1e-12
    )


def test_straight_flight_never_comes_round() -> None:
    straight = turning.steady_turn(PARABOLA, 56.0, 0.0, CLEAN)
    assert straight.turn_rate_radps == 0.0
    assert math.isinf(straight.radius_m)
    assert math.isinf(straight.height_per_radian_m)
    assert straight.glide_ratio == pytest.approx(9.6, rel=1e-4)


def test_thin_air_sinks_faster_on_the_same_path() -> None:
    sea = turning.steady_turn(PARABOLA, 56.0, 0.3, CLEAN)
    thin = turning.steady_turn(PARABOLA, 56.0, 0.3, CLEAN, 1.0)
    assert thin.path_angle_rad == pytest.approx(sea.path_angle_rad, rel=1e-12)
    assert thin.sink_mps / sea.sink_mps == pytest.approx(math.sqrt(1.225), rel=1e-4)


def test_small_angles_lose_a_little_more_in_the_turn_and_the_more_the_steeper() -> None:
    flat = ParabolaPolar(1600.0, 54.0, 10.5)
    excess = []
    for bank_deg in (30.0, 45.0, 60.0):
        small = turning.small_angle_turn(flat, 54.0, math.radians(bank_deg), CLEAN).height_per_radian_m
        exact = turning.steady_turn(flat, 54.0, math.radians(bank_deg), CLEAN).height_per_radian_m
        excess.append(small / exact - 1.0)
        # at best glide speed the helix is a quadratic: n^2/(2E) s^2 + s - (1 + n^2)/(2E) = 0, n = 1 / cos phi
        lift = 1.0 / math.cos(math.radians(bank_deg)) ** 2
        sine = (math.sqrt(1.0 + lift * (1.0 + lift) / 10.5**2) - 1.0) * 10.5 / lift
        assert excess[-1] == pytest.approx((1.0 + lift) / 21.0 / sine - 1.0, rel=1e-9)
    assert excess == pytest.approx([0.007, 0.013, 0.043], abs=0.0005)


def test_power_beyond_drag_climbs() -> None:
    powered = Configuration("powered", thrust_power_per_weight_mps=8.0)
    climb = turning.steady_turn(PARABOLA, 56.0, 0.0, powered)
    assert climb.sink_mps < 0.0
    assert climb.path_angle_rad < 0.0


def test_thrust_falls_with_true_airspeed() -> None:
    powered = Configuration("powered", thrust_power_per_weight_mps=3.0)
    thin = turning.steady_turn(PARABOLA, 56.0, 0.0, powered, 0.9)
    assert math.sin(thin.path_angle_rad) == pytest.approx(
        PARABOLA.drag_to_weight(56.0, thin.load_factor, CLEAN) - 3.0 / thin.tas_mps, rel=1e-12
    )


def test_a_very_steep_turn_still_has_its_steady_path() -> None:
    turn = turning.steady_turn(PARABOLA, 56.0, math.radians(80.0), CLEAN)
    assert math.sin(turn.path_angle_rad) == pytest.approx(PARABOLA.drag_to_weight(56.0, turn.load_factor, CLEAN))


def test_drag_above_the_weight_has_no_steady_flight() -> None:
    with pytest.raises(
        turning.NoSteadyGlide, match=r"at 300\.0 m/s and a bank of 0\.00 rad drag without lift is 1\.49"
    ):
        turning.steady_turn(PARABOLA, 300.0, 0.0, CLEAN)


@pytest.mark.parametrize(
    ("eas_mps", "bank_rad", "density", "said"),
    [
        (0.0, 0.0, 1.2, "airspeed 0.0 m/s must be positive"),
        (56.0, math.pi / 2, 1.2, "bank 90.0 deg must be at least 0 and below 90 deg"),
        (56.0, -0.1, 1.2, "bank -5.7 deg must be at least 0"),
        (56.0, 0.0, 0.0, "density 0.0 kg/m3 must be positive"),
        (math.nan, 0.0, 1.2, "airspeed nan m/s must be positive"),
    ],
)
def test_flight_that_cannot_be_is_refused(eas_mps: float, bank_rad: float, density: float, said: str) -> None:
    with pytest.raises(ValueError, match=said):
        turning.steady_turn(PARABOLA, eas_mps, bank_rad, CLEAN, density)


def test_forty_five_degrees_cost_little_more_than_the_best_bank_and_twenty_cost_double() -> None:
    flat = ParabolaPolar(1600.0, 54.0, 10.5)
    best = turning.best_bank_at_fixed_speed(flat, 54.0, CLEAN)
    assert 53.0 < math.degrees(best.bank_rad) < 60.0
    cost = {
        bank: turning.small_angle_turn(flat, 54.0, math.radians(bank), CLEAN).height_per_radian_m
        for bank in (20.0, 30.0, 45.0, 54.736)
    }
    # 6 % more, 43 % more, double: V*^2 (1 + n^2) / (2 g E tan phi) worked out before this project
    assert cost[45.0] / cost[54.736] == pytest.approx(1.06, abs=0.005)
    assert cost[30.0] / cost[54.736] == pytest.approx(1.43, abs=0.005)
    assert cost[20.0] / cost[54.736] == pytest.approx(2.07, abs=0.01)


def test_the_height_lost_in_a_turn_is_the_same_on_either_side() -> None:
    turn = turning.steady_turn(PARABOLA, 56.0, 0.5, CLEAN)
    assert turn.height_lost_m(-1.5) == turn.height_lost_m(1.5) > 0.0


def test_slowing_down_gains_height_and_speeding_up_loses_it() -> None:
    assert turning.height_from_speed_m(60.0, 50.0) == pytest.approx(1100.0 / 19.6133)
    assert turning.height_from_speed_m(50.0, 60.0) == -turning.height_from_speed_m(60.0, 50.0)


def test_the_flattest_glide_of_a_draggy_configuration_is_slower() -> None:
    draggy = Configuration("draggy", extra_drag_factor=1.0)
    slow = turning.flattest_glide(PARABOLA, 0.0, draggy)
    # (1 + a) v^2 + n^2/v^2 over n is least at v^4 = n^2/(1 + a), where the ratio is E/sqrt(1 + a), and n = cos gamma
    lift = math.cos(math.atan(math.sqrt(2.0) / 9.6))
    assert slow.eas_mps / 56.0 == pytest.approx(0.5**0.25 * math.sqrt(lift), rel=1e-5)
    assert slow.glide_ratio == pytest.approx(9.6 / math.sqrt(2.0), rel=1e-4)


def test_a_measured_glide_turns_too() -> None:
    measured = MeasuredPolar(1600.0, (40.0, 48.0, 55.0, 65.0, 80.0), (0.140, 0.112, 0.104, 0.112, 0.150))
    turn = turning.steady_turn(measured, 58.0, math.radians(30.0), CLEAN)
    same_lift = measured.drag_to_weight(58.0 / math.sqrt(turn.load_factor), 1.0, CLEAN)
    assert math.sin(turn.path_angle_rad) == pytest.approx(turn.load_factor * same_lift, rel=1e-9)


def test_the_margin_above_the_stall_shrinks_in_the_turn() -> None:
    assert stall.margin_in_turn_fraction(48.0, 40.0, 0.0) == pytest.approx(0.2)
    assert stall.margin_in_turn_fraction(48.0, 40.0, math.radians(60.0)) == pytest.approx(1.2 / math.sqrt(2.0) - 1.0)
    assert stall.margin_in_turn_fraction(48.0, 40.0, -0.5) == stall.margin_in_turn_fraction(48.0, 40.0, 0.5)


def test_stall_speed_goes_with_the_root_of_the_load_factor() -> None:
    assert stall.stall_at_load_factor_mps(50.0, 4.0) == 100.0  # FAA flight training handbook: 50 at 4 g is 100
    assert stall.stall_at_load_factor_mps(50.0, 9.0) == 150.0


def test_the_steepest_bank_keeps_exactly_the_margin_and_is_not_refused() -> None:
    steepest = stall.steepest_bank_rad(56.0, 35.0, 0.1)
    assert steepest is not None
    assert stall.margin_in_turn_fraction(56.0, 35.0, steepest) == pytest.approx(0.1)
    stall.refuse_too_little_margin(steepest, 56.0, 35.0, 0.1)


def test_a_bank_that_leaves_too_little_margin_is_refused_with_the_bank_that_would_do() -> None:
    said = r"60 deg at 45\.0 m/s is -9 % above the stall"
    with pytest.raises(stall.BankLeavesTooLittleMargin, match=said) as refused:
        stall.refuse_too_little_margin(math.radians(60.0), 45.0, 35.0, 0.1)
    assert refused.value.steepest_bank_rad == pytest.approx(math.acos((35.0 * 1.1 / 45.0) ** 2))
    assert refused.value.stall_in_turn_cas_mps == pytest.approx(35.0 * math.sqrt(2.0))
    assert refused.value.least_margin_fraction == 0.1


def test_too_slow_for_the_margin_in_straight_flight_leaves_no_bank_at_all() -> None:
    assert stall.steepest_bank_rad(36.0, 35.0, 0.1) is None
    with pytest.raises(stall.BankLeavesTooLittleMargin, match="at least 10 % are wanted") as refused:
        stall.refuse_too_little_margin(0.0, 36.0, 35.0, 0.1)
    assert refused.value.steepest_bank_rad is None


def test_a_bank_of_ninety_degrees_has_no_stall_speed() -> None:
    with pytest.raises(ValueError, match=r"bank 90\.0 deg must be below 90 deg"):
        stall.stall_in_turn_mps(35.0, math.pi / 2)
    with pytest.raises(ValueError, match=r"load factor -1\.0 must not be negative"):
        stall.stall_at_load_factor_mps(35.0, -1.0)


def test_the_speed_to_fly_with_the_wind_nears_that_of_least_sink() -> None:
    assert speed_to_fly.speed_to_fly_factor(0.0) == pytest.approx(1.0)
    assert speed_to_fly.speed_to_fly_factor(1e6) == pytest.approx((1.0 / 3.0) ** 0.25, abs=1e-5)
    assert speed_to_fly.rule_of_thumb_factor(3.0) == pytest.approx((1.0 / 3.0) ** 0.25)


def test_a_headwind_stronger_than_best_glide_still_has_a_speed_that_makes_way() -> None:
    assert speed_to_fly.speed_to_fly_factor(-2.0) > 2.0
    with pytest.raises(ValueError, match="wind nan must be finite"):
        speed_to_fly.speed_to_fly_factor(math.nan)
    with pytest.raises(ValueError, match=r"headwind 200\.0 m/s is not below the fastest speed of 168\.0 m/s"):
        speed_to_fly.farthest_glide(PARABOLA, -200.0, CLEAN)


def test_a_gliding_airplane_with_gear_down_needs_its_own_speed_in_wind() -> None:
    gear = Configuration("gear", extra_drag_factor=0.4)
    found = speed_to_fly.farthest_glide(PARABOLA, -10.0, gear)

    def cost(eas_mps: float) -> float:
        turn = turning.steady_turn(PARABOLA, eas_mps, 0.0, gear)
        return turn.sink_mps / (turn.tas_mps * math.cos(turn.path_angle_rad) - 10.0)

    assert cost(found.eas_mps) < min(cost(found.eas_mps - 0.5), cost(found.eas_mps + 0.5))


def test_the_standard_configurations_are_those_of_the_files_and_marked_as_estimates() -> None:
    clean, approach, landing, fine = defaults.standard_configurations()
    assert clean == CLEAN
    assert [each.name for each in (approach, landing, fine)] == [
        "gear and approach flap",
        "gear and full flap",
        "clean, propeller fine",
    ]
    assert all(each.is_estimate for each in (approach, landing, fine))
    assert (landing.gear, landing.flap, landing.propeller) == (Gear.DOWN, Flap.FULL, Propeller.COARSE)
    assert approach.extra_drag_factor == pytest.approx(0.55)


def test_the_landing_configuration_glides_five_and_a_half_to_six_and_a_half_to_one() -> None:
    landing = defaults.standard_configurations()[2]
    ratio = turning.steady_turn(PARABOLA, 0.81 * 56.0, 0.0, landing).glide_ratio
    assert 5.5 < ratio < 6.5


def test_a_fine_propeller_costs_a_fifth_of_the_distance() -> None:
    fine = turning.steady_turn(PARABOLA, 56.0, 0.0, defaults.standard_configurations()[3])
    # common practice, no source
    assert fine.glide_ratio / turning.steady_turn(PARABOLA, 56.0, 0.0, CLEAN).glide_ratio == pytest.approx(
        0.8, abs=0.003
    )


def test_the_propeller_of_any_configuration_can_be_exchanged_and_back() -> None:
    landing = defaults.standard_configurations()[2]
    fine = defaults.with_propeller(landing, Propeller.FINE)
    assert fine.name == "gear and full flap, propeller fine"
    assert fine.extra_drag_factor == pytest.approx(landing.extra_drag_factor + 0.5)
    stopped = defaults.with_propeller(fine, Propeller.STOPPED)
    assert stopped.name == "gear and full flap, propeller stopped"
    back = defaults.with_propeller(stopped, Propeller.COARSE)
    assert back.extra_drag_factor == pytest.approx(landing.extra_drag_factor)
    assert defaults.with_propeller(landing, Propeller.COARSE) is landing


def test_a_stopped_propeller_has_the_drag_of_its_blades() -> None:
    # 0.8 x (3 x 0.04) x pi: Raymer, from memory
    assert defaults.stopped_propeller_drag_area_m2(2.0, 3) == pytest.approx(0.8 * 0.12 * math.pi)
    heavy = ParabolaPolar(1656.0, 56.07, 9.6)
    assert defaults.stopped_propeller_extra_drag_factor(heavy, 2.0, 3) == pytest.approx(
        defaults.STOPPED_PROPELLER_EXTRA_DRAG_FACTOR, abs=0.01
    )
