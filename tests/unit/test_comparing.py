"""The same exercise on every runway and side: what is compared, what is recommended, and that places stay in place."""

from __future__ import annotations

import dataclasses
import math

from tests.exercises import AIRFIELD, RUNWAY, exercise_of, weather_of, wind_of
from volplane.domain.exercise.comparing import compare, on_runway
from volplane.domain.exercise.exercise import Exercise, Obstacle
from volplane.domain.exercise.pilot_limits import frame_of
from volplane.domain.exercise.solver import solve
from volplane.domain.geometry.airfield import Airfield, Runway, Side
from volplane.units import kt_from_mps, m_from_ft, mps_from_kt, rad_from_deg

# the other end of the runway, and one across: both invented
_FAR_END_DEG = frame_of(exercise_of(touchdown_beyond_threshold_m=0.0)).latitude_longitude_deg(RUNWAY.length_m, 0.0)
OTHER_END = dataclasses.replace(
    RUNWAY,
    name="07",
    threshold_latitude_deg=_FAR_END_DEG[0],
    threshold_longitude_deg=_FAR_END_DEG[1],
    bearing_true_rad=rad_from_deg(58.4),
    pattern=Side.RIGHT,
)
ACROSS = dataclasses.replace(RUNWAY, name="33", bearing_true_rad=rad_from_deg(320.0), length_m=m_from_ft(5000.0))


def at(*runways: Runway) -> Airfield:
    return dataclasses.replace(AIRFIELD, runways=runways)


def exercise_in(direction_deg: float, speed_kt: float, *runways: Runway) -> Exercise:
    wind = wind_of((0.0, direction_deg, speed_kt), (3000.0, direction_deg, 1.5 * speed_kt))
    return exercise_of(airfield=at(*runways), weather=weather_of(wind), touchdown_beyond_threshold_m=m_from_ft(1500.0))


def test_every_end_and_both_sides_are_compared_once() -> None:
    compared = compare(exercise_in(240.0, 8.0, RUNWAY, OTHER_END))
    assert [(each.runway, each.pattern) for each in compared] == [
        ("25", Side.LEFT),
        ("25", Side.RIGHT),
        ("07", Side.LEFT),
        ("07", Side.RIGHT),
    ]


def test_the_end_into_the_wind_on_its_published_side_is_recommended() -> None:
    for direction_deg, best in ((238.4, ("25", Side.LEFT)), (58.4, ("07", Side.RIGHT))):
        compared = compare(exercise_in(direction_deg, 9.0, RUNWAY, OTHER_END))
        recommended = [(each.runway, each.pattern) for each in compared if each.is_recommended]
        assert recommended == [best]
        for each in compared:
            # by hand: straight down the runway, 9 kt on the nose or in the back, nothing across
            head_kt = 9.0 if each.runway == best[0] else -9.0
            assert math.isclose(kt_from_mps(each.headwind_mps), head_kt, abs_tol=0.05)
            assert each.crosswind_gust_mps < mps_from_kt(0.1)
            assert ("tailwind" in each.stops) == (each.runway != best[0])


def test_where_everything_has_a_stop_nothing_is_recommended() -> None:
    compared = compare(exercise_in(328.4, 30.0, RUNWAY, OTHER_END))
    assert all("crosswind" in each.stops for each in compared)
    assert not any(each.is_recommended for each in compared)


def test_a_wind_that_no_glide_stands_is_the_reason_and_not_a_fault() -> None:
    compared = compare(exercise_in(238.4, 75.0, RUNWAY))
    assert {each.refusal for each in compared} == {"wind-not-below-airspeed"}
    assert not any(each.is_feasible or each.is_recommended for each in compared)


def test_the_plan_given_stands_for_its_own_runway_and_side() -> None:
    exercise = exercise_in(240.0, 8.0, RUNWAY, ACROSS)
    plan = solve(exercise)
    assert compare(exercise, plan) == compare(exercise)
    own = compare(exercise, plan)[0]
    assert own.in_hand_m == min(gate.height_m - gate.required_m for gate in plan.gates)


def test_an_obstacle_stays_where_it_stands() -> None:
    exercise = dataclasses.replace(
        exercise_in(240.0, 8.0, RUNWAY, OTHER_END), obstacles=(Obstacle(500.0, 300.0, 40.0),)
    )
    moved = on_runway(exercise, OTHER_END, Side.LEFT).obstacles[0]
    # along the other way round from the far end: length less both touchdown distances and what lies between
    along_m = RUNWAY.length_m - 2.0 * m_from_ft(1500.0)
    assert math.isclose(moved.x_m, along_m - 500.0, abs_tol=0.5)
    assert math.isclose(moved.y_m, -300.0, abs_tol=0.5)
    assert moved.height_m == 40.0


def test_a_touchdown_point_beyond_a_shorter_runway_goes_to_its_third() -> None:
    short = dataclasses.replace(ACROSS, length_m=m_from_ft(1400.0))
    moved = on_runway(exercise_in(240.0, 8.0, RUNWAY, short), short, Side.LEFT)
    assert math.isclose(moved.touchdown_beyond_threshold_m, m_from_ft(1400.0) / 3.0)
