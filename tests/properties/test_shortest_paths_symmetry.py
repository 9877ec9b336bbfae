"""What must hold for every required height: mirror, scale, turned map, headwind."""

from __future__ import annotations

import math

from hypothesis import example, given, settings
from hypothesis import strategies as st

from volplane.domain.geometry.shortest_paths import flown_end, fly_word, shortest_path
from volplane.domain.glide.required_height import required_height, straight_glide_height

TAS_MPS = 54.0
RATIO = 10.5
BANK_RAD = math.radians(30.0)
RADIUS_M = TAS_MPS**2 / (9.80665 * math.tan(BANK_RAD))
# a height that a thumb's breadth of position error could explain
SAME_M = 0.001

places = st.floats(-6000.0, 6000.0)
headings = st.floats(-math.pi, math.pi)
winds = st.floats(-25.0, 25.0)


def required_m(x_m: float, y_m: float, heading_rad: float, wind_x_mps: float, wind_y_mps: float) -> float:
    return required_height(
        x_m,
        y_m,
        heading_rad,
        tas_mps=TAS_MPS,
        ratio=RATIO,
        bank_rad=BANK_RAD,
        wind_x_mps=wind_x_mps,
        wind_y_mps=wind_y_mps,
    )


@settings(deadline=None)
@given(places, places, headings, winds, winds)
@example(0.0, 2.0 * RADIUS_M, math.pi, 0.0, 0.0)
@example(0.0, 0.0, 0.0, -10.0, 0.0)
@example(-3000.0, 0.0, 0.0, 0.0, 8.0)
# a hair off the goal's heading to the left was once a circle, to the right nothing
@example(0.0, 2.7371482105566115e-11, 2.7371482105566115e-11, 0.0, 0.0)
def test_a_mirrored_circuit_requires_the_same_height(x: float, y: float, heading: float, wx: float, wy: float) -> None:
    assert abs(required_m(x, y, heading, wx, wy) - required_m(x, -y, -heading, wx, -wy)) < SAME_M


@settings(deadline=None)
@given(places, places, headings, winds, winds, st.floats(0.25, 4.0))
@example(0.0, 2.0 * RADIUS_M, math.pi, 0.0, 0.0, 1.3)
def test_speeds_times_k_and_distances_times_k_squared_give_heights_times_k_squared(
    x: float, y: float, heading: float, wx: float, wy: float, k: float
) -> None:
    scaled = required_height(
        k * k * x,
        k * k * y,
        heading,
        tas_mps=k * TAS_MPS,
        ratio=RATIO,
        bank_rad=BANK_RAD,
        wind_x_mps=k * wx,
        wind_y_mps=k * wy,
    )
    assert abs(scaled / (k * k) - required_m(x, y, heading, wx, wy)) < SAME_M


@settings(deadline=None)
@given(places, places, headings, winds, winds, headings)
@example(-3000.0, 0.0, 0.0, 0.0, 0.0, 1.0)
@example(0.0, 2.0 * RADIUS_M, math.pi, 0.0, 0.0, 2.0)
def test_turning_runway_airplane_and_wind_together_changes_nothing(
    x: float, y: float, heading: float, wx: float, wy: float, angle: float
) -> None:
    cosine, sine = math.cos(angle), math.sin(angle)
    straight = shortest_path(
        x, y, heading, tas_mps=TAS_MPS, turn_radius_m=RADIUS_M, wind_x_mps=wx, wind_y_mps=wy, turn_cost_factor=7 / 6
    )
    turned = shortest_path(
        x * cosine - y * sine,
        x * sine + y * cosine,
        heading + angle,
        goal_heading_rad=angle,
        tas_mps=TAS_MPS,
        turn_radius_m=RADIUS_M,
        wind_x_mps=wx * cosine - wy * sine,
        wind_y_mps=wx * sine + wy * cosine,
        turn_cost_factor=7 / 6,
    )
    assert straight is not None
    assert turned is not None
    assert abs(straight.cost_m - turned.cost_m) < SAME_M


@settings(deadline=None)
@given(places, places, headings, winds, winds, headings)
# three arcs of next to nothing once ended beside the heading
@example(0.0, 0.0, 0.0, 0.0, 0.0, 1.192092896e-07)
def test_every_path_flown_ends_at_the_goal_on_its_heading(
    x: float, y: float, heading: float, wx: float, wy: float, goal: float
) -> None:
    path = shortest_path(
        x, y, heading, goal_heading_rad=goal, tas_mps=TAS_MPS, turn_radius_m=RADIUS_M, wind_x_mps=wx, wind_y_mps=wy
    )
    assert path is not None
    end_x, end_y, end_heading = flown_end(path)
    assert math.hypot(end_x, end_y) < 0.001
    assert abs(math.remainder(end_heading - goal, 2.0 * math.pi)) < 1e-8


@settings(deadline=None)
@given(st.floats(2.0, 12.0), st.floats(0.0, 25.0), st.floats(0.0, 25.0))
@example(2.0, 0.0, 10.0)
def test_more_headwind_on_final_never_requires_less_abeam_the_point(offset: float, wind: float, more: float) -> None:
    """From the downwind leg at two turn radii or more; nearer in, the wind carries the airplane back into reach."""
    calm, windy = sorted((wind, more))
    # 2.0 times the radius and what 2.0 radii are in the solver may differ in the last digit; stand on the safe side
    beside = offset * RADIUS_M * (1.0 + 1e-12)
    assert required_m(0.0, beside, math.pi, -windy, 0.0) >= required_m(0.0, beside, math.pi, -calm, 0.0) - SAME_M


@settings(deadline=None)
@given(places, places, headings, winds, winds)
# a wind turned by next to nothing once made a path that turned less than nothing
@example(0.0, 0.0, 0.0, 1.0, -1.6547530622442195e-120)
# the square of a wind this small has lost its digits
@example(-238.0, 1.0, 0.0, 0.0, 8.273559135505905e-160)
def test_nothing_is_required_that_the_straight_glide_would_not_require_too(
    x: float, y: float, heading: float, wx: float, wy: float
) -> None:
    """No way with turns is lower than the straight line that need not turn."""
    straight = straight_glide_height(
        x, y, tas_mps=TAS_MPS, straight_sink_mps=TAS_MPS / RATIO, wind_x_mps=wx, wind_y_mps=wy
    )
    assert required_m(x, y, heading, wx, wy) >= float(straight) - SAME_M


@settings(deadline=None)
@given(places, places, headings, winds, winds, st.floats(0.5, 20.0))
@example(0.0, 0.0, 1e-12, 0.0, 0.5, 1.0)
def test_flying_on_along_the_best_way_uses_up_what_was_required(
    x: float, y: float, heading: float, wx: float, wy: float, later: float
) -> None:
    """From a point on the best path the rest of it is at hand, so no more can be required than what is left."""
    path = shortest_path(x, y, heading, tas_mps=TAS_MPS, turn_radius_m=RADIUS_M, wind_x_mps=wx, wind_y_mps=wy)
    assert path is not None
    # after the first piece only whole pieces are left, so the rest is again one of the six words
    time = min(later, path.piece_ends_s[0])
    then_x, then_y, then_heading = (float(each) for each in fly_word(path, time))
    rest = shortest_path(
        then_x, then_y, then_heading, tas_mps=TAS_MPS, turn_radius_m=RADIUS_M, wind_x_mps=wx, wind_y_mps=wy
    )
    assert rest is not None
    assert rest.cost_m <= path.cost_m - TAS_MPS * time + SAME_M
