"""Every shape of an exercise: its gates, its legs, its circles, and where it ends."""

from __future__ import annotations

import dataclasses
import math
from typing import Any

import numpy as np
import pytest

from tests.exercises import AIRFIELD, exercise_of, weather_of
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.before_key import CIRCLE, KEY_TURN, TO_KEY, way_to_key
from volplane.domain.exercise.exercise import Exercise, GateName, HalfTurn, Obstacle, ShapeName
from volplane.domain.exercise.obstacles import NEAR_AN_OBSTACLE_M
from volplane.domain.exercise.pilot_limits import frame_of, mean_bank_within_rad
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.solver import solve
from volplane.domain.finding import Severity
from volplane.domain.geometry.airfield import Side
from volplane.units import FOOT_M, m_from_ft

HIGH, LOW, BASE, FINAL = GateName
SOUTH_WEST_OF_THE_FIELD = (-6000.0, 7000.0)


def shaped(shape: ShapeName, entry_ft: float, **changes: Any) -> Exercise:
    """The demo's exercise in another shape; one without a high key begins at its low key's height."""
    heights = {"entry_height_m": m_from_ft(entry_ft)}
    if not shape.has_high_key:
        heights["low_key_height_m"] = m_from_ft(entry_ft)
    if shape is ShapeName.EN_ROUTE:
        place = frame_of(exercise_of()).latitude_longitude_deg(*SOUTH_WEST_OF_THE_FIELD)
        changes = {"start_position_deg": place, **changes}
    return exercise_of(shape=shape, **(heights | changes))


SHAPES = (
    (shaped(ShapeName.POWER_OFF_180, 1500.0), (LOW, BASE, FINAL)),
    (shaped(ShapeName.NINETY_DEGREES, 1000.0), (BASE, FINAL)),
    (shaped(ShapeName.STEEP_SPIRAL, 7500.0), tuple(GateName)),
    (shaped(ShapeName.EN_ROUTE, 6500.0), tuple(GateName)),
    (exercise_of(half_turn=HalfTurn.CONSTANT_BANK, entry_height_m=m_from_ft(3000.0)), tuple(GateName)),
)
NAMES = [f"{exercise.shape}, {exercise.half_turn}" for exercise, _ in SHAPES]


def legs_flown(plan: Plan) -> list[str]:
    flown = [plan.path.phase_names[index] for index in plan.path.phase_index]
    return list(dict.fromkeys(flown))


@pytest.mark.parametrize(("exercise", "gates"), SHAPES, ids=NAMES)
@pytest.mark.parametrize("side", Side)
def test_a_shape_passes_its_gates_touches_its_point_and_its_ledger_adds_up(
    exercise: Exercise, gates: tuple[GateName, ...], side: Side
) -> None:
    plan = solve(dataclasses.replace(exercise, pattern=side))
    assert plan.feasible, plan.binding
    assert tuple(gate.name for gate in plan.gates) == gates
    assert abs(plan.touchdown_x_m) < m_from_ft(5.0)
    assert math.isclose(sum(item.height_m for item in plan.ledger), float(plan.path.height_m[0]), abs_tol=1e-6)
    assert math.isclose(plan.path.height_m[0], exercise.entry_height_m, abs_tol=0.1)
    final = plan.gate(FINAL)
    assert final is not None
    assert final.height_m >= m_from_ft(300.0)
    assert plan.legs.final_m >= exercise.minimum_final_m - 0.1
    for gate in plan.gates:
        assert gate.required_m < gate.height_m <= gate.highest_m, gate.name
    low = plan.path.height_m < exercise.low_key_height_m - 50.0
    steepest = np.degrees(np.abs(plan.path.bank_rad))
    assert steepest.max() <= 45.5
    assert steepest[low].max() <= 30.5


@pytest.mark.parametrize(("exercise", "gates"), SHAPES, ids=NAMES)
def test_the_mirrored_shape_in_still_air_is_the_mirror_image(exercise: Exercise, gates: tuple[GateName, ...]) -> None:
    still = dataclasses.replace(exercise, weather=weather_of(WindProfile.calm()))
    if exercise.shape is ShapeName.EN_ROUTE:
        x_m, y_m = SOUTH_WEST_OF_THE_FIELD
        mirrored = frame_of(exercise).latitude_longitude_deg(x_m, -y_m)
        other = dataclasses.replace(still, pattern=Side.RIGHT, start_position_deg=mirrored)
    else:
        other = dataclasses.replace(still, pattern=Side.RIGHT)
    plan, mirror = solve(still), solve(other)
    assert [gate.name for gate in plan.gates] == list(gates)
    for gate, there in zip(plan.gates, mirror.gates, strict=True):
        assert math.isclose(gate.height_m, there.height_m, abs_tol=0.3)
        assert math.isclose(gate.y_m, -there.y_m, abs_tol=0.5)


def test_a_constant_bank_half_turn_keeps_its_bank_and_reaches_the_low_key_at_its_wished_height() -> None:
    plan = solve(exercise_of(half_turn=HalfTurn.CONSTANT_BANK))
    low_key = plan.gate(LOW)
    assert low_key is not None
    assert abs(low_key.height_m - m_from_ft(1650.0)) < m_from_ft(3.0)
    assert abs(abs(low_key.track_true_rad - (plan.exercise.runway.bearing_true_rad - math.pi)) % math.pi) < 0.05
    turn = plan.legs.first_turn
    assert turn.greatest_bank_rad - turn.mean_bank_rad < math.radians(1.0)
    even = solve(exercise_of()).legs.first_turn
    assert even.greatest_bank_rad - even.mean_bank_rad > math.radians(2.0)


def test_in_still_air_both_kinds_of_half_turn_lead_to_one_low_key() -> None:
    calm = weather_of(WindProfile.calm())
    even, constant = (solve(exercise_of(weather=calm, half_turn=kind)) for kind in HalfTurn)
    first, second = even.gate(LOW), constant.gate(LOW)
    assert first is not None
    assert second is not None
    assert abs(first.height_m - second.height_m) < m_from_ft(5.0)


@pytest.mark.parametrize("entry_ft", [7500.0, 9000.0])
def test_a_steep_spiral_has_three_circles_or_more_no_bank_over_sixty_and_ends_above_1500_ft(entry_ft: float) -> None:
    # FAA-S-ACS-7B, steep spiral: at least three turns of 360 degrees, bank not over 60, not below 1,500 ft
    plan = solve(shaped(ShapeName.STEEP_SPIRAL, entry_ft, maximum_bank_rad=math.radians(45.0)))
    circles, high_key = plan.legs.circles, plan.gate(HIGH)
    assert circles is not None
    assert high_key is not None
    assert circles.count >= 3
    assert circles.turn.greatest_bank_rad <= math.radians(60.0)
    assert high_key.height_m >= m_from_ft(1500.0)
    spiral = np.array(plan.path.phase_names)[plan.path.phase_index] == CIRCLE
    turned = float(np.ptp(plan.path.track_rad[spiral]))
    assert abs(turned - circles.count * 2.0 * math.pi) < math.radians(10.0)


def test_a_spiral_from_too_low_names_the_circles_it_has_and_the_height_missing() -> None:
    plan = solve(shaped(ShapeName.STEEP_SPIRAL, 4500.0))
    assert plan.binding is not None
    assert plan.binding.code == "too-few-circles"
    missing_m = float(plan.binding.quantities["missing_m"])
    entry_m = plan.exercise.entry_height_m
    needed_m = next(lever.needed for lever in plan.levers if lever.key == "entry_height")
    assert missing_m <= needed_m - entry_m < 1.05 * missing_m


def test_far_above_what_a_half_turn_loses_whole_circles_are_flown_and_the_low_key_keeps_its_height() -> None:
    for entry_ft, most in ((2800.0, 0), (5500.0, 1), (9500.0, 4)):
        plan = solve(exercise_of(entry_height_m=m_from_ft(entry_ft)))
        circles, low_key = plan.legs.circles, plan.gate(LOW)
        assert plan.feasible
        assert low_key is not None
        assert abs(low_key.height_m - m_from_ft(1650.0)) < m_from_ft(3.0)
        assert (0 if circles is None else circles.count) <= most
        assert (circles is None) == (most == 0)
        said = [finding.code for finding in plan.findings]
        assert ("circles" in said) == (most > 0)


def test_a_window_after_circles_is_that_of_the_same_place_without_them() -> None:
    high = solve(exercise_of(entry_height_m=m_from_ft(6000.0))).gate(HIGH)
    usual = solve(exercise_of()).gate(HIGH)
    assert high is not None
    assert usual is not None
    assert high.highest_m - high.height_m < 1.5 * (usual.highest_m - usual.height_m)


def test_an_en_route_exercise_glides_straight_to_a_turn_over_the_high_key() -> None:
    plan = solve(shaped(ShapeName.EN_ROUTE, 6500.0))
    path = plan.path
    assert legs_flown(plan)[:2] == [TO_KEY, KEY_TURN]
    assert np.allclose([path.x_m[0], path.y_m[0]], SOUTH_WEST_OF_THE_FIELD, atol=1.0)
    straight = np.array(path.phase_names)[path.phase_index] == TO_KEY
    assert np.degrees(np.ptp(path.track_rad[straight][:-20])) < 0.5
    high_key = plan.gate(HIGH)
    assert high_key is not None
    assert abs(math.remainder(high_key.track_true_rad - plan.exercise.runway.bearing_true_rad, 2 * math.pi)) < 0.05
    assert abs(high_key.y_m + plan.exercise.high_key_offset_m) < 25.0


def test_an_en_route_exercise_out_of_reach_says_how_much_is_missing_and_from_which_height_it_works() -> None:
    plan = solve(shaped(ShapeName.EN_ROUTE, 3500.0))
    assert plan.binding is not None
    assert plan.binding.code == "low-key-too-high"
    entry = next(lever for lever in plan.levers if lever.key == "entry_height")
    again = solve(shaped(ShapeName.EN_ROUTE, entry.needed / FOOT_M))
    assert again.feasible
    missing_m = float(plan.binding.quantities["missing_m"])
    assert abs(entry.needed - entry.now - missing_m) < 0.15 * missing_m


@pytest.mark.parametrize(
    ("place", "length_m"),
    [
        ((-3000.0, -300.0), 3000.0),  # straight behind the key: no turn at all
        ((0.0, -300.0), 0.0),  # over the key already
        # beside the circle: the tangent and a quarter turn, by geometry
        ((-800.0, 5000.0), 5000.0 - 500.0 + 0.5 * math.pi * 800.0),
    ],
)
def test_the_way_to_the_key_has_the_length_geometry_gives_it(place: tuple[float, float], length_m: float) -> None:
    way = way_to_key(*place, -300.0, 800.0)
    assert math.isclose(way.length_m, length_m, abs_tol=1e-6)


@pytest.mark.parametrize("wind_mps", [0.0, 5.0, 12.0])
def test_the_mean_bank_for_a_greatest_one_gives_that_one_where_the_wind_is_behind(wind_mps: float) -> None:
    tas_mps, limit_rad = 55.0, math.radians(45.0)
    mean_rad = mean_bank_within_rad(tas_mps, wind_mps, limit_rad)
    radius_m = (tas_mps**2 + wind_mps**2) / (9.80665 * math.tan(mean_rad))
    assert math.isclose(math.atan((tas_mps + wind_mps) ** 2 / (9.80665 * radius_m)), limit_rad)


def test_an_obstacle_with_less_than_its_margin_makes_the_exercise_impossible_and_is_named() -> None:
    tree = Obstacle(-900.0, 0.0, 60.0)
    plan = solve(exercise_of(obstacles=(Obstacle(4000.0, 4000.0, 500.0), tree)))
    assert plan.binding is not None
    assert plan.binding.code == "obstacle"
    path = plan.path
    near = np.hypot(path.x_m - tree.x_m, path.y_m - tree.y_m) <= NEAR_AN_OBSTACLE_M
    clearance_m = float(path.height_m[near].min()) - tree.height_m
    assert math.isclose(float(plan.binding.quantities["clearance_m"]), clearance_m, abs_tol=1e-6)
    assert clearance_m < plan.exercise.obstacle_margin_m


def test_an_obstacle_ahead_raises_what_a_gate_requires_and_one_behind_does_not() -> None:
    clear = solve(exercise_of())
    final = solve(exercise_of(obstacles=(Obstacle(-900.0, 0.0, 53.0),), obstacle_margin_m=m_from_ft(90.0)))
    assert final.feasible
    for name in GateName:
        before, now = clear.gate(name), final.gate(name)
        assert before is not None
        assert now is not None
        assert now.required_m > before.required_m + 5.0, name
        clearance_m = float(final.path.height_m[np.hypot(final.path.x_m + 900.0, final.path.y_m) <= 152.4].min()) - 53.0
        assert math.isclose(now.height_m - now.required_m, clearance_m - m_from_ft(90.0), abs_tol=0.5), name
    behind = solve(exercise_of(obstacles=(Obstacle(900.0, -1100.0, 300.0),)))
    last, usual = behind.gate(FINAL), clear.gate(FINAL)
    assert behind.feasible
    assert last is not None
    assert usual is not None
    assert math.isclose(last.required_m, usual.required_m)


def test_over_a_practice_floor_the_whole_exercise_ends_in_a_go_around() -> None:
    # the case: a floor of 3,500 ft
    floor_m = m_from_ft(3500.0)
    plan = solve(exercise_of(airfield=dataclasses.replace(AIRFIELD, practice_floor_msl_m=floor_m)))
    assert plan.feasible
    assert plan.ends_in_go_around
    path = plan.path
    assert legs_flown(plan)[-1] == "go-around"
    assert path.height_m.min() > 0.0, "never below the floor"
    climbing = np.array(path.phase_names)[path.phase_index] == "go-around"
    assert path.height_m[-1] > path.height_m[climbing].min() + 15.0
    assert np.all(np.diff(path.height_m[climbing][10:]) > 0.0)
    assert np.all(np.diff(path.time_s) > 0.0)
    assert plan.phases[-1].name == "go-around"
    assert "final, to the practice floor" in [item.item for item in plan.ledger]
    assert math.isclose(sum(item.height_m for item in plan.ledger), plan.exercise.entry_height_m, abs_tol=1e-6)
    floor = next(finding for finding in plan.findings if finding.code == "practice-floor")
    assert floor.severity is Severity.NOTE
    assert math.isclose(floor.number("altitude_msl_m"), floor_m)
    high_key = plan.gate(HIGH)
    # the altimeter reads floor and height together, on a day this near to standard
    assert high_key is not None
    assert abs(high_key.altimeter_msl_m - m_from_ft(3500.0 + 2800.0)) < m_from_ft(120.0)
    assert not any(finding.code in ("little-runway-left", "aim-point-before-threshold") for finding in plan.findings)
