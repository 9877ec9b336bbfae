"""Table D: required heights of "airplane B" and published shortest paths in wind."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.checks.records import Check, assert_check, check
from volplane.domain.geometry.shortest_paths import AirPath, fly_word, shortest_path
from volplane.domain.glide.required_height import required_height, straight_glide_height
from volplane.units import STANDARD_GRAVITY_MPS2, ft_from_m, m_from_ft, m_from_nm, mps_from_kt

AIRPLANE_B = (
    "airplane B: 105 kt TAS, 10.5 to 1, bank 30 degrees, small-angle polar at its best speed; "
    "closed forms and an independent search, computed outside this project"
)
ONE_DECIMAL = "one decimal printed"

TAS_MPS = mps_from_kt(105.0)
RATIO = 10.5
BANK_RAD = math.radians(30.0)
RADIUS_FT = ft_from_m(TAS_MPS**2 / (STANDARD_GRAVITY_MPS2 * math.tan(BANK_RAD)))
# a micrometre past the point on the landing heading, the point itself cannot be had without a circle
HAIR_FT = ft_from_m(1e-6)
DOWNWIND = math.pi


def required_ft(x_ft: float, y_ft: float, heading_rad: float, wind_x_kt: float, wind_y_kt: float) -> float:
    height_m = required_height(
        m_from_ft(x_ft),
        m_from_ft(y_ft),
        heading_rad,
        tas_mps=TAS_MPS,
        ratio=RATIO,
        bank_rad=BANK_RAD,
        wind_x_mps=mps_from_kt(wind_x_kt),
        wind_y_mps=mps_from_kt(wind_y_kt),
    )
    return ft_from_m(height_m)


D1 = check("D1", "airplane B, turn radius", 1690.76, "ft", 0.01, "two decimals printed", AIRPLANE_B, "C")
D2 = check("D2", "airplane B, height lost in a half circle", 590.2, "ft", 0.06, ONE_DECIMAL, AIRPLANE_B, "C")


def test_the_turn_of_airplane_b_has_its_radius() -> None:
    assert_check(D1, RADIUS_FT)


Place = tuple[float, float, float]
ABEAM, OVERSHOT, WIDE, STRAIGHT_IN = (
    (0.0, 2.0 * RADIUS_FT, DOWNWIND),
    (HAIR_FT, 0.0, 0.0),
    (-2000.0, 5000.0, DOWNWIND),
    (-9000.0, 0.0, 0.0),
)
CASES: list[tuple[str, str, Place, tuple[float, float], float]] = [
    ("D3a", "abeam at two radii, downwind, calm", ABEAM, (0, 0), 590.2),
    ("D3b", "the same, headwind on final 10 kt", ABEAM, (-10, 0), 643.4),
    ("D3c", "the same, headwind on final 20 kt", ABEAM, (-20, 0), 709.2),
    ("D3d", "the same, 15 kt from the runway to the downwind leg", ABEAM, (0, 15), 674.5),
    ("D4a", "a hair past the point: one circle, calm", OVERSHOT, (0, 0), 1180.4),
    ("D4b", "the same, headwind 10 kt", OVERSHOT, (-10, 0), 1286.9),
    ("D4c", "the same, headwind 20 kt", OVERSHOT, (-20, 0), 1418.4),
    ("D5a", "(-2000, 5000) ft, downwind, calm", WIDE, (0, 0), 835.2),
    ("D5b", "the same, headwind on final 10 kt", WIDE, (-10, 0), 899.4),
    ("D5c", "the same, headwind on final 20 kt", WIDE, (-20, 0), 983.4),
    ("D5d", "the same, 15 kt along -y", WIDE, (0, -15), 788.1),
    ("D5e", "the same, 15 kt along +y", WIDE, (0, 15), 924.0),
    ("D6a", "(-9000, 0) ft, landing heading, calm", STRAIGHT_IN, (0, 0), 857.1),
    ("D6b", "the same, headwind 10 kt", STRAIGHT_IN, (-10, 0), 947.4),
    ("D6c", "the same, headwind 20 kt", STRAIGHT_IN, (-20, 0), 1058.8),
    ("D6d", "the same, crosswind 15 kt from the right", STRAIGHT_IN, (0, 15), 874.1),
    ("D6e", "the same, crosswind 15 kt from the left", STRAIGHT_IN, (0, -15), 874.1),
]
REQUIRED = [
    (check(id, quantity, expected, "ft", 0.06, ONE_DECIMAL, AIRPLANE_B, "C"), place, wind)
    for id, quantity, place, wind, expected in CASES
]


@pytest.mark.parametrize(("record", "place", "wind"), REQUIRED, ids=[record.id for record, _, _ in REQUIRED])
def test_airplane_b_requires_the_height_computed_elsewhere(
    record: Check, place: Place, wind: tuple[float, float]
) -> None:
    assert_check(record, required_ft(*place, *wind))


def test_a_half_circle_costs_what_the_table_says() -> None:
    assert_check(D2, required_ft(*ABEAM, 0.0, 0.0))


def test_at_the_point_on_the_landing_heading_nothing_is_required() -> None:
    assert required_ft(0.0, 0.0, 0.0, 0.0, 0.0) == 0.0


NM_IN_FEET = "the table takes 6,076 ft a nautical mile: 0.02 ft a mile"
TWO_MILES = [
    (check("D7a", "2 NM straight track, calm", 1157.3, "ft", 0.1, NM_IN_FEET, AIRPLANE_B, "C"), (0.0, 0.0)),
    (check("D7b", "the same, headwind 20 kt", 1429.6, "ft", 0.1, NM_IN_FEET, AIRPLANE_B, "C"), (-20.0, 0.0)),
    (check("D7c", "the same, crosswind 20 kt", 1178.9, "ft", 0.1, NM_IN_FEET, AIRPLANE_B, "C"), (0.0, 20.0)),
    (check("D7d", "the same, tailwind 20 kt", 972.2, "ft", 0.1, NM_IN_FEET, AIRPLANE_B, "C"), (20.0, 0.0)),
    (
        check("D7e", "the same, 20 kt 45 degrees off the nose", 1351.7, "ft", 0.1, NM_IN_FEET, AIRPLANE_B, "C"),
        (-20.0 * math.sqrt(0.5), 20.0 * math.sqrt(0.5)),
    ),
]


@pytest.mark.parametrize(("record", "wind"), TWO_MILES, ids=[record.id for record, _ in TWO_MILES])
def test_a_straight_track_of_two_miles_costs_what_the_wind_triangle_says(
    record: Check, wind: tuple[float, float]
) -> None:
    height_m = straight_glide_height(
        -m_from_nm(2.0),
        0.0,
        tas_mps=TAS_MPS,
        straight_sink_mps=TAS_MPS / RATIO,
        wind_x_mps=mps_from_kt(wind[0]),
        wind_y_mps=mps_from_kt(wind[1]),
    )
    assert_check(record, ft_from_m(float(height_m)))


SACHDEV = "unit tests published with Sachdev, Moon, Yuan and Scherer, IEEE Robotics and Automation Letters 2023"
THEIRS = "tolerance of the published tests"
# start, goal (x, y, air heading), airspeed, curvature, wind
Case = tuple[Place, Place, float, float, tuple[float, float]]
ORIGIN: Place = (0.0, 0.0, 0.0)
BESIDE: Place = (50.0, 100.0, 0.2)
PUBLISHED: list[tuple[str, float, Case]] = [
    ("D8a", 1085.0, (ORIGIN, (0.0, 1000.0, 0.0), 50.0, 0.015, (0.0, 0.0))),
    ("D8b", 6352.0, (ORIGIN, BESIDE, 50.0, 0.001, (0.0, 0.0))),
    ("D8c", 118.0, (ORIGIN, BESIDE, 100.0, 0.07, (0.0, 0.0))),
    ("D8d", 1425.0, ((0.0, 0.0, 1.5707), (1000.0, 1000.0, 0.0), 50.0, 0.015, (0.0, 0.0))),
    ("D8e", 7394.0, (ORIGIN, BESIDE, 50.0, 0.001, (10.0, 20.0))),
    ("D8f", 116.0, (ORIGIN, BESIDE, 100.0, 0.07, (10.0, 20.0))),
    ("D8g", 8473.0, (ORIGIN, BESIDE, 1.0, 0.001, (0.5, 0.75))),
]
GROUND_PATHS = [
    (check(id, f"least-time path in wind, case {id[-1]}", length, "", 11.0, THEIRS, SACHDEV, "PV"), case)
    for id, length, case in PUBLISHED
]


def least_time_path(case: Case) -> AirPath:
    start, goal, tas, curvature, wind = case
    path = shortest_path(
        start[0] - goal[0],
        start[1] - goal[1],
        start[2],
        goal_heading_rad=goal[2],
        tas_mps=tas,
        turn_radius_m=1.0 / curvature,
        wind_x_mps=wind[0],
        wind_y_mps=wind[1],
    )
    assert path is not None
    return path


@pytest.mark.parametrize(("record", "case"), GROUND_PATHS, ids=[record.id for record, _ in GROUND_PATHS])
def test_least_time_paths_have_the_published_ground_length(record: Check, case: Case) -> None:
    path = least_time_path(case)
    x, y, _ = fly_word(path, np.linspace(0.0, path.duration_s, 20_001))
    assert_check(record, float(np.hypot(np.diff(x), np.diff(y)).sum()))


D9 = check(
    "D9",
    "the time of case D8e",
    169.474,
    "s",
    0.001,
    "three decimals printed",
    "independent search, computed outside this project",
    "C",
)
D10 = check(
    "D10", "shortest path in still air, (0, 0, 0) to (5, 0, 3), radius 1", 8.2725, "", 0.0001,
    "four decimals printed", "published example of a library for shortest paths in still air", "P",
)  # fmt: skip


def test_the_windy_path_takes_the_time_computed_elsewhere() -> None:
    assert_check(D9, least_time_path(PUBLISHED[4][2]).duration_s)


def test_the_still_air_path_has_the_published_length() -> None:
    assert_check(D10, least_time_path((ORIGIN, (5.0, 0.0, 3.0), 1.0, 1.0, (0.0, 0.0))).air_length_m)
