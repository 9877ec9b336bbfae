"""The required height's promises: shapes, refusals, final, landing tolerance; and the solver's two ways of running."""

from __future__ import annotations

import json
import math
import os
import subprocess
import sys
from typing import Any

import numpy as np
import pytest

from volplane.domain.geometry.shortest_paths import AirPath, flown_end, fly_word, least_costs_m, shortest_path
from volplane.domain.glide.required_height import (
    height_to_reach,
    is_established_on_final,
    path_to_reach,
    required_height,
    straight_glide_height,
)
from volplane.units import FOOT_M, STANDARD_GRAVITY_MPS2

TAS_MPS = 54.0
BANK_RAD = math.radians(30.0)
RADIUS_M = TAS_MPS**2 / (STANDARD_GRAVITY_MPS2 * math.tan(BANK_RAD))
SINK_MPS = TAS_MPS / 10.0
AIRPLANE: dict[str, Any] = {"tas_mps": TAS_MPS, "ratio": 10.0, "bank_rad": BANK_RAD}
GLIDE: dict[str, Any] = {
    "tas_mps": TAS_MPS,
    "turn_radius_m": RADIUS_M,
    "straight_sink_mps": SINK_MPS,
    "turning_sink_mps": SINK_MPS * 7.0 / 6.0,
}


def test_scalars_give_a_float() -> None:
    assert type(required_height(-1000, 0, 0, **AIRPLANE)) is float


def test_arrays_broadcast_and_agree_with_scalars() -> None:
    x, y = np.linspace(-3000.0, 3000.0, 7)[:, None], np.linspace(-2000.0, 2000.0, 5)
    grid = required_height(x, y, 2.0, wind_x_mps=-8.0, wind_y_mps=3.0, **AIRPLANE)
    assert isinstance(grid, np.ndarray)
    assert grid.shape == (7, 5)
    one_by_one = [
        [required_height(float(each), float(side), 2.0, wind_x_mps=-8.0, wind_y_mps=3.0, **AIRPLANE) for side in y]
        for each in x[:, 0]
    ]
    np.testing.assert_array_equal(grid, one_by_one)


def test_every_argument_may_be_an_array() -> None:
    heights = required_height(
        -1000.0, 0.0, 0.0, tas_mps=np.array([50.0, 60.0]), ratio=np.array([10.0, 8.0]), bank_rad=np.array([0.5, 0.6])
    )
    np.testing.assert_allclose(heights, [100.0, 125.0], rtol=1e-12)


def test_an_empty_array_gives_an_empty_array() -> None:
    assert np.shape(required_height(np.empty(0), 0.0, 0.0, **AIRPLANE)) == (0,)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"tas_mps": 0.0}, r"tas_mps is 0 m/s; it must be above 0"),
        ({"ratio": -2.0}, r"ratio is -2; it must be above 0"),
        ({"bank_rad": 0.0}, r"bank_rad is 0 rad; it must be above 0"),
        ({"bank_rad": math.pi / 2}, r"bank_rad is 1.5708 rad; it must be below 1.5708 rad \(90 degrees\)"),
        ({"bank_rad": [0.5, 1.6]}, r"bank_rad is 1.6 rad; it must be below"),
        ({"tas_mps": [54.0, -1.0, math.nan]}, r"tas_mps is -1 m/s; it must be above 0"),
        ({"final_m": -1.0}, r"final_m is -1 m; it must be at least 0 m"),
    ],
)
def test_what_no_airplane_can_do_is_refused_with_value_and_limit(wrong: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        required_height(-1000.0, 0.0, 0.0, **(AIRPLANE | wrong))


@pytest.mark.parametrize("name", ["x_m", "y_m", "heading_rad", "tas_mps", "ratio", "bank_rad", "wind_x_mps", "final_m"])
def test_nan_in_is_nan_out(name: str) -> None:
    given: dict[str, Any] = {"x_m": -900.0, "y_m": 50.0, "heading_rad": 0.1} | AIRPLANE | {name: math.nan}
    assert math.isnan(required_height(**given))


@pytest.mark.parametrize(("wind_x", "wind_y"), [(-54.0, 0.0), (54.0, 0.0), (40.0, 40.0), (0.0, -60.0)])
def test_a_wind_not_below_the_airspeed_gives_infinity(wind_x: float, wind_y: float) -> None:
    assert required_height(-900.0, 0.0, 0.0, wind_x_mps=wind_x, wind_y_mps=wind_y, **AIRPLANE) == math.inf
    assert required_height(-900.0, 0.0, 0.0, wind_x_mps=wind_x, wind_y_mps=wind_y, final_m=300, **AIRPLANE) == math.inf
    straight = straight_glide_height(
        -900.0, 0.0, tas_mps=TAS_MPS, straight_sink_mps=SINK_MPS, wind_x_mps=wind_x, wind_y_mps=wind_y
    )
    assert straight == math.inf


def test_a_place_at_infinity_is_out_of_reach() -> None:
    assert required_height(-math.inf, 0.0, 0.0, **AIRPLANE) == math.inf


def test_a_straight_final_on_a_straight_approach_adds_nothing() -> None:
    long_way = required_height(-3000.0, 0.0, 0.0, wind_x_mps=-9.0, **AIRPLANE)
    assert required_height(-3000.0, 0.0, 0.0, wind_x_mps=-9.0, final_m=1200.0, **AIRPLANE) == pytest.approx(long_way)


def test_the_height_of_the_final_is_its_time_times_the_sink() -> None:
    """At the place where the final begins, the final is all that is left; crosswind puts that place upwind."""
    time_s = 600.0 / (TAS_MPS - 6.0)
    height = required_height(
        -600.0, -5.0 * time_s, 0.0, wind_x_mps=-6.0, wind_y_mps=5.0, final_m=600.0, **AIRPLANE
    )  # fmt: skip
    assert height == pytest.approx(SINK_MPS * time_s, abs=1e-6)


def test_abeam_with_a_final_the_downwind_leg_is_longer_by_as_much() -> None:
    """Downwind abeam at two radii in calm air: out as far as the final is long, half a turn, and the final back."""
    height = required_height(0.0, 2.0 * RADIUS_M * (1 + 1e-12), math.pi, final_m=700.0, **AIRPLANE)
    half_turn = math.pi * RADIUS_M / TAS_MPS * SINK_MPS * 7.0 / 6.0
    assert height == pytest.approx(half_turn + 2.0 * 700.0 / 10.0, abs=1e-3)


def test_the_landing_configuration_sinks_faster_on_final_only() -> None:
    slow, fast = (
        height_to_reach(-3000.0, 0.0, 0.0, final_m=500.0, final_sink_mps=sink, **GLIDE) for sink in (SINK_MPS, 8.0)
    )
    assert float(fast) - float(slow) == pytest.approx((8.0 - SINK_MPS) * 500.0 / TAS_MPS)


def test_a_crab_keeps_the_final_on_the_centreline() -> None:
    """With the nose into the wind and the track along the runway, nothing but the wind triangle is left."""
    crosswind = 8.0
    crab_rad = math.asin(-crosswind / TAS_MPS)
    ground_speed = TAS_MPS * math.cos(crab_rad)
    for final_m in (0.0, 400.0):
        height = height_to_reach(
            -2000.0, 0.0, crab_rad, wind_y_mps=crosswind, goal_heading_rad=crab_rad, final_m=final_m, **GLIDE
        )
        assert height == pytest.approx(2000.0 / ground_speed * SINK_MPS, abs=1e-6)


def test_the_path_behind_the_height_ends_where_the_final_begins() -> None:
    wind = {"wind_x_mps": -7.0, "wind_y_mps": 4.0}
    path = path_to_reach(-200.0, 1500.0, 3.0, final_m=450.0, **wind, **GLIDE)
    assert path is not None
    end_x, end_y, _ = flown_end(path)
    time_s = 450.0 / (TAS_MPS - 7.0)
    assert (end_x, end_y) == pytest.approx((-450.0, -4.0 * time_s), abs=1e-3)
    height = height_to_reach(-200.0, 1500.0, 3.0, final_m=450.0, **wind, **GLIDE)
    assert height == pytest.approx((path.cost_m / TAS_MPS + time_s) * SINK_MPS)


def test_no_path_is_none() -> None:
    assert shortest_path(0.0, 1.0, 0.0, tas_mps=20.0, turn_radius_m=300.0, wind_x_mps=-20.0) is None
    assert path_to_reach(0.0, math.nan, 0.0, **GLIDE) is None


FOOT_100 = 100.0 * FOOT_M


@pytest.mark.parametrize(
    ("x_m", "y_m", "track_deg", "established"),
    [
        (-1000.0, 0.0, 0.0, True),
        (-1000.0, 0.0, 19.9, True),
        (-1000.0, 0.0, -20.1, False),
        (-1000.0, 0.0, 359.0, True),
        (-1000.0, 0.0, 180.0, False),
        (-1000.0, FOOT_100 + 99.0, 0.0, True),
        (-1000.0, -FOOT_100 - 102.0, 0.0, False),
        (-0.1, 0.9 * FOOT_100, 0.0, True),
        (10.0, 0.0, 0.0, False),
        (-1000.0, math.nan, 0.0, False),
    ],
)
def test_established_means_nearly_on_the_centreline_and_nearly_along_it(
    x_m: float, y_m: float, track_deg: float, established: bool
) -> None:
    assert is_established_on_final(x_m, y_m, math.radians(track_deg)) is established


def test_established_takes_arrays() -> None:
    along = is_established_on_final(np.array([-500.0, 500.0]), 0.0, np.zeros(2))
    assert isinstance(along, np.ndarray)
    assert along.tolist() == [True, False]


def test_the_result_is_the_same_to_the_last_bit_for_any_number_of_threads() -> None:
    rng = np.random.default_rng(7)
    x, y = rng.uniform(-4000.0, 4000.0, (2, 30_000))
    heading = rng.uniform(-4.0, 4.0, 30_000)
    airplane = {"tas_mps": TAS_MPS, "turn_radius_m": RADIUS_M, "wind_x_mps": -12.0, "turn_cost_factor": 7.0 / 6.0}
    alone = least_costs_m(x, y, heading, threads=1, **airplane)
    for threads in (2, 3, 7):
        np.testing.assert_array_equal(least_costs_m(x, y, heading, threads=threads, **airplane), alone)


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"tas_mps": -1.0}, "tas_mps is -1 m/s; it must be above 0 m/s"),
        ({"turn_radius_m": 0.0}, "turn_radius_m is 0 m; it must be above 0 m"),
        ({"turn_cost_factor": 0.5}, "turn_cost_factor is 0.5; it must be at least 1"),
    ],
)
def test_a_path_is_not_asked_for_nonsense(wrong: dict[str, float], sentence: str) -> None:
    good = {"tas_mps": TAS_MPS, "turn_radius_m": RADIUS_M}
    with pytest.raises(ValueError, match=sentence):
        shortest_path(0.0, 1.0, 0.0, **(good | wrong))
    with pytest.raises(ValueError, match=sentence):
        least_costs_m(0.0, 1.0, 0.0, **(good | wrong))


def path(**changes: Any) -> AirPath:
    values: dict[str, Any] = {
        "word": "LSR", "first_arc_rad": 1.0, "straight_m": 300.0, "middle_arc_rad": 0.0, "last_arc_rad": 0.5,
        "cost_m": 1050.0, "start_x_m": 10.0, "start_y_m": 20.0, "start_heading_rad": 0.0, "tas_mps": 50.0,
        "turn_radius_m": 500.0, "wind_x_mps": -5.0, "wind_y_mps": 2.0,
    }  # fmt: skip
    return AirPath(**(values | changes))


@pytest.mark.parametrize(
    ("wrong", "sentence"),
    [
        ({"word": "LLL"}, "word 'LLL' is not one of LSL, RSR"),
        ({"last_arc_rad": -0.1}, "are not all numbers from 0 up"),
        ({"straight_m": math.nan}, "are not all numbers from 0 up"),
        ({"tas_mps": 0.0}, "tas_mps 0.0 and turn_radius_m 500.0 must be above 0"),
    ],
)
def test_a_path_checks_itself(wrong: dict[str, Any], sentence: str) -> None:
    with pytest.raises(ValueError, match=sentence):
        path(**wrong)


def test_a_path_knows_its_length_and_times() -> None:
    assert path().air_length_m == 1050.0
    assert path().arcs_rad == 1.5
    assert path().piece_ends_s == (10.0, 16.0, 21.0)
    assert path().duration_s == 21.0


def test_the_nose_turns_at_the_rate_and_the_speed_over_the_ground_is_air_plus_wind() -> None:
    times = np.linspace(0.0, 21.0, 2101)
    x, y, heading = fly_word(path(), times)
    middle = 0.5 * (heading[1:] + heading[:-1])
    np.testing.assert_allclose(np.diff(x) / 0.01, 50.0 * np.cos(middle) - 5.0, atol=1e-3)
    np.testing.assert_allclose(np.diff(y) / 0.01, 50.0 * np.sin(middle) + 2.0, atol=1e-3)
    turn_rate = np.diff(heading) / 0.01
    np.testing.assert_allclose(turn_rate[[0, 999, 1000, 1599, 1600, 2099]], [0.1, 0.1, 0, 0, -0.1, -0.1], atol=1e-9)


def test_before_the_start_and_after_the_goal_the_path_stands_still() -> None:
    x, y, heading = fly_word(path(), [-1.0, 0.0, 21.0, 99.0])
    assert (x[0], y[0], heading[0]) == (10.0, 20.0, 0.0)
    assert (x[2], y[2], heading[2]) == (x[3], y[3], heading[3])


STATES = [
    (x, y, heading, 0.3 * math.cos(direction), 0.3 * math.sin(direction), cost)
    for x, y in [(0.0, 2.0), (-3.0, 0.5), (1.0, -4.0), (0.0, 0.0), (7.0, 2.0)]
    for heading in (0.0, math.pi, 2.0)
    for direction in (0.0, math.pi / 2, 4.0)
    for cost in (1.0, 7.0 / 6.0)
]
PLAIN = """
import json, sys
from volplane.domain.geometry import shortest_paths_kernel as kernel
print(json.dumps([kernel.solve(*state) for state in json.load(sys.stdin)]))
assert "numba" not in sys.modules
"""


def test_the_kernel_answers_the_same_as_plain_python() -> None:
    from volplane.domain.geometry import shortest_paths_kernel as kernel

    plain = subprocess.run(
        [sys.executable, "-W", "error", "-c", PLAIN],
        input=json.dumps(STATES),
        env={**os.environ, "VOLPLANE_PLAIN": "1"},
        capture_output=True,
        text=True,
        check=True,
    )
    for state, answer in zip(STATES, json.loads(plain.stdout), strict=True):
        assert answer == pytest.approx(list(kernel.solve(*state)), rel=1e-12, abs=1e-12)


def test_importing_the_required_height_does_not_start_the_compiler() -> None:
    program = "import sys, volplane.domain.glide.required_height; assert 'numba' not in sys.modules"
    subprocess.run([sys.executable, "-c", program], check=True)
