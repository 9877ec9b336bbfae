"""From 50 ft to the wheels: energy kept, closed forms met, wind felt, and landings that have no end refused."""

from __future__ import annotations

import math
import subprocess
import sys
from dataclasses import replace

import numpy as np
import pytest

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.guided_flight import Air
from volplane.domain.glide.polar import ParabolaPolar
from volplane.domain.glide.touchdown import (
    FIFTY_FEET_M,
    DoesNotTouchDown,
    LandingFlare,
    LandingHand,
    TouchdownNotSlowerThanApproach,
    flare_arguments,
    landing_flare,
)
from volplane.units import ft_from_m, mps_from_kt

G = 9.80665
DEMO = ParabolaPolar(1655.6, mps_from_kt(109.0), 9.6).at_weight(1519.5)
LANDING = Configuration("landing", extra_drag_factor=1.3)
APPROACH_MPS, TOUCHDOWN_MPS = mps_from_kt(88.0), mps_from_kt(65.0)
# the runway too far from the wing to be felt
NO_GROUND_EFFECT = LandingHand(span_m=0.01)


def air(headwind_kt: float = 0.0, across_kt: float = 0.0, shear: float = 1.0 / 7.0, elevation_m: float = 0.0) -> Air:
    """Landing to the north; `across_kt` blows towards the left."""
    wind = WindProfile(
        np.array([10.0]), np.array([-mps_from_kt(across_kt)]), np.array([-mps_from_kt(headwind_kt)]), shear
    )
    return Air(Atmosphere.standard(elevation_m), wind, 0.0)


def land(
    today: Air | None = None, hand: LandingHand | None = None, configuration: Configuration = LANDING
) -> LandingFlare:
    return landing_flare(DEMO, today or air(), configuration, APPROACH_MPS, TOUCHDOWN_MPS, hand)


def test_a_landing_is_of_the_order_the_trade_knows() -> None:
    # common practice, no source: the aim point some 300 ft beyond the 50 ft point, the wheels some 1,000 ft farther
    flare = land()
    assert 260.0 < ft_from_m(flare.aim_point_from_fifty_foot_m) < 380.0
    assert 800.0 < ft_from_m(flare.touchdown_from_aim_point_m) < 1250.0


def test_the_parts_add_up() -> None:
    flare = land(air(headwind_kt=12.0))
    assert flare.touchdown_from_aim_point_m == flare.touchdown_from_fifty_foot_m - flare.aim_point_from_fifty_foot_m
    assert flare.path_x_m[0] == 0.0
    assert flare.path_height_m[0] == pytest.approx(FIFTY_FEET_M)
    assert flare.path_x_m[-1] == pytest.approx(flare.touchdown_from_fifty_foot_m)
    assert flare.path_time_s[-1] == pytest.approx(flare.time_s)
    assert flare.path_height_m[-1] == 0.0
    assert flare.path_eas_mps[0] == pytest.approx(APPROACH_MPS, rel=1e-3)
    assert flare.path_eas_mps[-1] == pytest.approx(TOUCHDOWN_MPS, rel=1e-3)
    assert np.all(np.diff(flare.path_time_s) > 0.0)
    assert np.all(np.diff(flare.path_x_m) > 0.0)
    assert np.all(np.diff(flare.path_height_m) <= 0.0)


def test_the_aim_point_is_where_the_straight_glide_meets_the_runway() -> None:
    flare = land(air(headwind_kt=10.0))
    slope = (flare.path_height_m[0] - flare.path_height_m[3]) / (flare.path_x_m[3] - flare.path_x_m[0])
    assert flare.aim_point_from_fifty_foot_m == pytest.approx(FIFTY_FEET_M / slope, rel=1e-9)


def test_in_still_air_the_slope_at_fifty_feet_is_drag_to_weight() -> None:
    flare = land(hand=NO_GROUND_EFFECT)
    # sin gamma (1 + (V/g) dV/dh) = D/W: held EAS lets go of a little true airspeed on the way down
    gamma = math.atan(FIFTY_FEET_M / flare.aim_point_from_fifty_foot_m)
    drag = DEMO.drag_to_weight(APPROACH_MPS, math.cos(gamma), LANDING)
    lapse = 0.5 * 4.2559 * 0.0065 / 288.15 * APPROACH_MPS**2 / G  # rho goes with T^4.2559
    assert math.sin(gamma) == pytest.approx(drag / (1.0 + lapse), rel=1e-3)


def test_the_float_is_the_closed_form_of_level_deceleration() -> None:
    # V dV/dx = -g (A V^2 + B/V^2), integrated: x = ln((A V1^4 + B) / (A V2^4 + B)) / (4 A g)
    flare = land(hand=NO_GROUND_EFFECT)
    start = flare.path_tas_mps[flare.path_height_m > 0.0].size  # first row on the level line
    v1, v2 = float(flare.path_tas_mps[start]), float(flare.path_tas_mps[-1])
    star = DEMO.best_eas_mps  # at sea level, where true and equivalent airspeed are one
    a = 2.3 / (2.0 * 9.6 * star**2)
    b = star**2 / (2.0 * 9.6)
    expected = math.log((a * v1**4 + b) / (a * v2**4 + b)) / (4.0 * a * G)
    assert flare.float_m == pytest.approx(expected, rel=1e-6)


def test_the_energy_lost_in_the_float_is_drag_along_it() -> None:
    flare = land(hand=NO_GROUND_EFFECT)
    energy = flare.path_height_m + flare.path_ground_speed_mps**2 / (2.0 * G)
    drag = [
        DEMO.drag_to_weight(float(eas), float(load), LANDING)
        for eas, load in zip(flare.path_eas_mps, flare.path_load_factor, strict=True)
    ]
    level = int(np.argmax(flare.path_height_m <= 1e-9))
    length = np.diff(flare.path_x_m[level:])
    # by the mean drag of each piece; the row that ends the arc still has the arc's load factor, so it is left out
    lost = np.sum(0.5 * (np.array(drag[level + 1 : -1]) + np.array(drag[level + 2 :])) * length[1:])
    assert energy[level + 1] - energy[-1] == pytest.approx(lost, rel=2e-3)


def test_the_round_out_pulls_what_the_hand_is_told_to_pull() -> None:
    gentle, firm = land(hand=LandingHand(0.25)), land(hand=LandingHand(0.4))
    assert firm.round_out_height_m < gentle.round_out_height_m
    for flare, added in ((gentle, 0.25), (firm, 0.4)):
        start = int(np.argmax(flare.path_load_factor > 1.05))
        slope = math.atan(FIFTY_FEET_M / flare.aim_point_from_fifty_foot_m)
        assert flare.path_load_factor[start] - math.cos(slope) == pytest.approx(added, abs=0.02)


def test_a_very_gentle_hand_still_begins_no_higher_than_fifty_feet_and_pulls_more() -> None:
    flare = land(hand=LandingHand(0.05))
    assert flare.round_out_height_m == pytest.approx(FIFTY_FEET_M)
    assert flare.path_load_factor[5:12].max() > 1.1


def test_the_nearness_of_the_runway_lengthens_the_float() -> None:
    assert land().float_m > 1.2 * land(hand=NO_GROUND_EFFECT).float_m


def test_an_even_wind_carries_the_whole_landing_along() -> None:
    still, windy = land(), land(air(headwind_kt=15.0, shear=0.0))
    carried = still.touchdown_from_fifty_foot_m - mps_from_kt(15.0) * still.time_s
    # the arc is a circle over the ground in both, so not quite the same in the air
    assert windy.touchdown_from_fifty_foot_m == pytest.approx(carried, rel=0.01)
    assert windy.time_s == pytest.approx(still.time_s, rel=0.01)


def test_headwind_shortens_tailwind_lengthens_and_the_wind_gradient_shortens_again() -> None:
    lengths = [
        land(air(headwind_kt=wind, shear=shear)).touchdown_from_fifty_foot_m
        for wind, shear in ((-10.0, 0.0), (0.0, 0.0), (10.0, 0.0), (10.0, 1.0 / 7.0))
    ]
    assert lengths == sorted(lengths, reverse=True)


def test_a_crosswind_from_either_side_is_the_same() -> None:
    left, right = land(air(across_kt=12.0)), land(air(across_kt=-12.0))
    assert left.touchdown_from_fifty_foot_m == pytest.approx(right.touchdown_from_fifty_foot_m, rel=1e-12)
    assert left.touchdown_from_fifty_foot_m < land().touchdown_from_fifty_foot_m


def test_thin_air_lands_longer() -> None:
    assert land(air(elevation_m=1500.0)).touchdown_from_fifty_foot_m > land().touchdown_from_fifty_foot_m


def test_a_runway_above_the_field_has_the_air_of_its_height() -> None:
    raised = land(replace(air(), base_above_field_m=1000.0))
    assert raised.touchdown_from_fifty_foot_m == pytest.approx(
        land(air(elevation_m=1000.0)).touchdown_from_fifty_foot_m, rel=1e-6
    )


def test_speed_that_runs_out_in_the_round_out_ends_in_sink() -> None:
    hard = landing_flare(DEMO, air(), LANDING, APPROACH_MPS, mps_from_kt(86.0))
    assert hard.float_m == 0.0
    assert hard.sink_at_touchdown_mps > 0.3
    assert hard.path_height_m[-1] == 0.0
    assert hard.touchdown_from_aim_point_m > 0.0
    assert land().sink_at_touchdown_mps == 0.0


def test_distances_follow_the_touchdown_speed_without_a_jump_even_where_the_float_vanishes() -> None:
    speeds = mps_from_kt(1.0) * np.arange(76.0, 87.5, 0.1)
    ends = [landing_flare(DEMO, air(), LANDING, APPROACH_MPS, float(v)).touchdown_from_fifty_foot_m for v in speeds]
    steps = np.diff(ends)
    assert np.all(steps < 0.0)
    assert np.abs(np.diff(steps)).max() < 1.0


def test_a_touchdown_speed_not_below_the_approach_is_refused() -> None:
    with pytest.raises(TouchdownNotSlowerThanApproach, match=r"touchdown at 45\.3 m/s, approach at 45\.3 m/s"):
        landing_flare(DEMO, air(), LANDING, APPROACH_MPS, APPROACH_MPS)


@pytest.mark.parametrize(
    ("today", "power_mps"),
    [(air(headwind_kt=95.0, shear=0.0), 0.0), (air(across_kt=95.0, shear=0.0), 0.0), (air(), 20.0), (air(), 5.5)],
    ids=["headwind", "crosswind", "climbs", "never slows down"],
)
def test_a_landing_without_an_end_is_refused(today: Air, power_mps: float) -> None:
    with pytest.raises(DoesNotTouchDown, match=r"approach at 45\.3 m/s and touchdown at 33\.4 m/s in a wind of"):
        land(today, configuration=replace(LANDING, thrust_power_per_weight_mps=power_mps))


@pytest.mark.parametrize(("name", "value"), [("added_load_factor", 0.0), ("span_m", -1.0), ("wing_height_m", -0.1)])
def test_a_hand_that_cannot_be_is_refused(name: str, value: float) -> None:
    with pytest.raises(ValueError, match=rf"{name} {value} must"):
        replace(LandingHand(), **{name: value})


def test_more_steps_would_change_nothing_that_matters() -> None:
    # an independent integration: the same curve, the still-air law of motion, tiny steps
    flare = land(hand=NO_GROUND_EFFECT)
    slope = math.atan(FIFTY_FEET_M / flare.aim_point_from_fifty_foot_m)
    speed = float(flare.path_ground_speed_mps[0])
    radius = speed**2 / (G * 0.25)
    line = (FIFTY_FEET_M - radius * (1.0 - math.cos(slope))) / math.sin(slope)
    along, place, height, step = 0.0, 0.0, FIFTY_FEET_M, 0.002
    while along < line + radius * slope:
        here = slope if along < line else slope - (along - line) / radius
        bend = 0.0 if along < line else speed**2 / (radius * G)
        eas = speed * math.sqrt(Atmosphere.standard(0.0).density_ratio(max(height, 0.0)))
        drag = DEMO.drag_to_weight(eas, math.cos(here) + bend, LANDING)
        speed += G * (math.sin(here) - drag) * step / speed
        place += step * math.cos(here)
        height -= step * math.sin(here)
        along += step
    level = int(np.argmax(flare.path_height_m <= 1e-9))
    assert flare.path_x_m[level] == pytest.approx(place, abs=0.01)
    assert flare.path_ground_speed_mps[level] == pytest.approx(speed, abs=0.002)


def test_the_kernel_writes_no_path_when_none_is_asked_for_and_gives_the_same_distances() -> None:
    from volplane.domain.glide.touchdown_kernel import PATH_COLUMNS, flare

    arguments = flare_arguments(DEMO, air(headwind_kt=8.0), LANDING, APPROACH_MPS, TOUCHDOWN_MPS)
    aim_m, touchdown_m, float_m, *_ = flare(*arguments, np.empty((0, PATH_COLUMNS)))
    whole = land(air(headwind_kt=8.0))
    assert (aim_m, touchdown_m, float_m) == (
        whole.aim_point_from_fifty_foot_m,
        whole.touchdown_from_fifty_foot_m,
        whole.float_m,
    )


def test_the_kernel_as_plain_python_gives_the_compiled_answer() -> None:
    program = (
        "import os; os.environ['VOLPLANE_PLAIN'] = '1'\n"
        "from tests.unit.test_touchdown import air, land\n"
        "flare = land(air(headwind_kt=8.0, across_kt=5.0))\n"
        "print(float(flare.touchdown_from_fifty_foot_m).hex(), float(flare.time_s).hex())"
    )
    plain = subprocess.run([sys.executable, "-c", program], capture_output=True, text=True, check=True).stdout.split()
    compiled = land(air(headwind_kt=8.0, across_kt=5.0))
    assert [float.fromhex(value) for value in plain] == pytest.approx(
        [compiled.touchdown_from_fifty_foot_m, compiled.time_s], rel=1e-12
    )
