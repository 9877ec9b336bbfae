"""Ways to lose height: against arithmetic on the planned path, and what is not offered."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from tests.exercises import AIRPLANE, exercise_of
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.plan import WayFromGate
from volplane.domain.exercise.solver import solve
from volplane.domain.exercise.ways import FORWARD_SLIP, WayName, WhyNot, ways_of
from volplane.domain.glide.configuration import Configuration, Flap, Gear
from volplane.units import ft_from_m, m_from_nm, mps_from_kt


def ways(exercise: Exercise | None = None) -> dict[tuple[GateName, str], WayFromGate]:
    plan = solve(exercise_of() if exercise is None else exercise)
    return {(each.gate, each.way): each for each in ways_of(plan)}


def parasite_loss_m(gate: GateName, extra_factor: float) -> float:
    """Extra parasite drag times the way through the air until the landing configuration: D/W = a/(2 E) (V/V*)^2."""
    plan = solve(exercise_of())
    path, glide = plan.path, AIRPLANE.glide.at_weight(plan.exercise.weight_kg)
    since = plan.gate(gate)
    assert since is not None
    configurations = np.array(path.configuration_names)[path.configuration_index]
    rows = (path.time_s >= since.time_s) & (configurations == "clean")
    drag = 0.5 * extra_factor / glide.best_ratio * (path.eas_mps / glide.best_eas_mps) ** 2
    return float(np.trapezoid((drag * path.tas_mps)[rows], path.time_s[rows]))


# gear 0.40 of the clean parasite drag, full flap with gear 1.30, approach flap with gear 0.55 in this airplane
@pytest.mark.parametrize(("way", "extra"), [(WayName.GEAR, 0.40), (WayName.APPROACH_FLAP, 0.15)])
@pytest.mark.parametrize("gate", [GateName.HIGH_KEY, GateName.LOW_KEY])
def test_gear_and_flap_cost_their_drag_times_the_way_through_the_air(gate: GateName, way: str, extra: float) -> None:
    real_m = ways()[gate, way].real_m
    assert real_m == pytest.approx(parasite_loss_m(gate, extra), rel=0.08)


def test_what_the_stand_in_has_out_already_is_used_up_as_flown_only() -> None:
    gear = ways()[GateName.LOW_KEY, WayName.GEAR]
    assert gear.flown_m is None
    assert gear.flown_why_not == WhyNot.USED_UP
    assert gear.real_m is not None
    assert gear.real_why_not is None


def test_flap_beyond_the_approach_flap_costs_less_where_the_approach_flap_is_out() -> None:
    full = ways()[GateName.LOW_KEY, WayName.FULL_FLAP]
    assert full.flown_m is not None
    assert full.real_m is not None
    assert full.flown_m < full.real_m


def test_on_final_with_everything_out_nothing_is_left_of_gear_and_flap() -> None:
    for way in (WayName.GEAR, WayName.APPROACH_FLAP, WayName.FULL_FLAP):
        assert ways()[GateName.FINAL, way].real_why_not == WhyNot.USED_UP


def test_a_way_above_its_speed_limit_is_not_offered() -> None:
    limits = replace(AIRPLANE.limits, full_flap_ias_mps=mps_from_kt(95.0), approach_flap_ias_mps=mps_from_kt(110.0))
    found = ways(exercise_of(airplane=replace(AIRPLANE, limits=limits)))
    assert found[GateName.LOW_KEY, WayName.FULL_FLAP].real_why_not == WhyNot.TOO_FAST
    assert found[GateName.LOW_KEY, WayName.FASTER].flown_why_not == WhyNot.TOO_FAST
    assert found[GateName.LOW_KEY, WayName.FASTER].real_why_not is None


def test_a_wider_turn_beyond_the_distance_limit_is_not_offered() -> None:
    exercise = exercise_of()
    farthest_m = float(np.hypot(solve(exercise).path.x_m, solve(exercise).path.y_m).max())
    near = replace(exercise, distance_limit_m=farthest_m + 10.0)
    assert ways(near)[GateName.LOW_KEY, WayName.WIDER].real_why_not == WhyNot.TOO_FAR
    far = replace(exercise, distance_limit_m=m_from_nm(3.0))
    assert ways(far)[GateName.LOW_KEY, WayName.WIDER].real_why_not is None


def test_a_forward_slip_is_a_way_only_where_the_airplane_file_gives_one() -> None:
    assert not [name for _, name in ways() if name == WayName.FORWARD_SLIP]
    slip = Configuration(FORWARD_SLIP, Gear.UP, Flap.UP, extra_drag_factor=0.8)
    airplane = replace(AIRPLANE, configurations=(*AIRPLANE.configurations, slip))
    found = ways(exercise_of(airplane=airplane))[GateName.LOW_KEY, WayName.FORWARD_SLIP].real_m
    assert found is not None
    assert 0.0 < found < parasite_loss_m(GateName.LOW_KEY, 0.8)


def test_faster_costs_more_with_drag_out_and_more_the_faster() -> None:
    ten, twenty = (ways()[GateName.LOW_KEY, way] for way in (WayName.FASTER, WayName.MUCH_FASTER))
    assert ten.real_m is not None
    assert twenty.real_m is not None
    assert ten.flown_m is not None
    assert 2.0 * ten.real_m < twenty.real_m
    assert ten.flown_m > ten.real_m


def test_a_wider_turn_to_base_costs_at_least_the_two_thousand_feet_it_is_longer() -> None:
    wider = ways()[GateName.LOW_KEY, WayName.WIDER].real_m
    assert wider is not None
    # 1,000 ft out and back at 9.6 to 1, the way back in landing configuration or into the wind dearer still
    assert 2000.0 / 9.6 < ft_from_m(wider) < 2.0 * 2000.0 / 9.6


def test_an_exercise_that_cannot_be_flown_has_no_ways() -> None:
    assert ways_of(replace(solve(exercise_of()), feasible=False)) == ()
