"""What if: a plan flown on from its own seconds ends where the plan ends; other actions change it as they must."""

from __future__ import annotations

import dataclasses
import itertools
import math

import numpy as np
import pytest

from tests.faces import fixtures
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.causes import gate_causes
from volplane.domain.debrief.results import FlownGate, FlownPath
from volplane.domain.debrief.turns_begun import planned_turn_to_base_x_m, turn_to_base_s
from volplane.domain.debrief.what_if import (
    Actions,
    AirNotKnown,
    FlyingOn,
    NotFlownThen,
    flown_on,
    flying_on,
    moment_at,
)
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.pilot_limits import air_of
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.solver import solve
from volplane.domain.geometry.airfield import Side
from volplane.domain.glide.flight_path import FlightPath
from volplane.units import m_from_ft, mps_from_kt


@pytest.fixture(scope="module")
def exercise() -> Exercise:
    return fixtures.exercise()


@pytest.fixture(scope="module")
def plan(exercise: Exercise) -> Plan:
    return solve(exercise)


@pytest.fixture(scope="module")
def flying(plan: Plan) -> FlyingOn:
    low = plan.gate(GateName.LOW_KEY)
    assert low is not None
    return flying_on(plan, air_of(plan.exercise), low.time_s)


def as_flown(path: FlightPath) -> FlownPath:
    """A planned path as if a perfect recorder had seen it."""
    climb = np.gradient(path.height_m, path.time_s)
    return FlownPath(
        path.time_s,
        path.x_m,
        path.y_m,
        path.height_m,
        path.track_rad,
        path.ground_speed_mps,
        climb,
        path.bank_rad,
        None,
    )


def second(plan: Plan, gate: GateName, after_s: float = 0.0) -> float:
    found = plan.gate(gate)
    assert found is not None
    return found.time_s + after_s


def test_a_plan_flown_on_from_any_of_its_seconds_ends_alike(plan: Plan, flying: FlyingOn) -> None:
    """From the half turn to base the same legs are still to come, and the reserve is to spare at the final."""
    path = as_flown(plan.path)
    ends = [
        flying.fly(moment_at(path, second(plan, gate, after_s)))
        for gate, after_s in ((GateName.HIGH_KEY, 12.0), (GateName.LOW_KEY, 1.0), (GateName.LOW_KEY, 8.0))
    ]
    spares = [end.to_spare_m for end in ends]
    assert max(spares) - min(spares) < m_from_ft(10.0)
    # the plan keeps its reserve until the final and loses it there
    assert spares[0] == pytest.approx(plan.exercise.reserve_m, abs=m_from_ft(40.0))
    assert all(end.off_centreline_m < 25.0 for end in ends)


def test_a_later_turn_to_base_always_leaves_less(plan: Plan, flying: FlyingOn) -> None:
    moment = moment_at(as_flown(plan.path), second(plan, GateName.LOW_KEY, 1.0))
    spares = [
        flying.fly(moment, Actions(turn_to_base_after_s=after_s)).to_spare_m for after_s in (0.0, 5.0, 10.0, 20.0)
    ]
    assert all(early > late for early, late in itertools.pairwise(spares))
    # out and back again at 9 to 1: two ways of a second at the ground speed, over the glide
    a_second_m = (spares[0] - spares[2]) / 10.0
    assert a_second_m == pytest.approx(2.0 * moment.ground_speed_mps / 9.0, rel=0.35)


def test_drag_and_headwind_leave_less_and_nothing_to_land_on_is_said_so(plan: Plan, flying: FlyingOn) -> None:
    moment = moment_at(as_flown(plan.path), second(plan, GateName.LOW_KEY, 1.0))
    alone = flying.fly(moment)
    full = flying.fly(moment, Actions(configuration=flying.ready.limits.landing_configuration))
    assert full.to_spare_m < alone.to_spare_m - m_from_ft(150.0)
    assert full.touchdown_x_m is None or full.touchdown_x_m < (alone.touchdown_x_m or 0.0)
    wind = WindProfile.uniform(plan.exercise.runway.bearing_true_rad, mps_from_kt(35.0))
    assert flying.fly(moment, Actions(wind=wind)).to_spare_m < alone.to_spare_m
    far = flying.fly(moment, Actions(turn_to_base_after_s=60.0))
    assert far.touchdown_x_m is None
    assert far.to_spare_m < -m_from_ft(500.0)


def test_best_glide_leaves_most_of_all_speeds(plan: Plan, flying: FlyingOn) -> None:
    moment = moment_at(as_flown(plan.path), second(plan, GateName.LOW_KEY, 1.0))
    best = flying.ready.limits.glide_eas_mps
    fast, right = (flying.fly(moment, Actions(eas_mps=eas)).to_spare_m for eas in (best + mps_from_kt(20.0), best))
    assert right > fast


def test_a_pattern_to_the_right_is_the_mirror_of_the_left(plan: Plan, flying: FlyingOn) -> None:
    calm = WindProfile.uniform(0.0, 0.0)
    moment = moment_at(as_flown(plan.path), second(plan, GateName.LOW_KEY, 1.0))
    other_side = dataclasses.replace(plan, exercise=fixtures.exercise(Side.RIGHT))
    mirrored = flying_on(other_side, flying.ready.air, flying.is_past_low_key_from_s)
    there = dataclasses.replace(moment, y_m=-moment.y_m, track_rad=-moment.track_rad, bank_rad=-moment.bank_rad)
    here, over = (
        flying_on(plan, dataclasses.replace(flying.ready.air, wind=calm), flying.is_past_low_key_from_s),
        (dataclasses.replace(mirrored.ready.air, wind=calm)),
    )
    right = flying_on(other_side, over, flying.is_past_low_key_from_s)
    assert right.fly(there).to_spare_m == pytest.approx(here.fly(moment).to_spare_m, abs=0.5)


@pytest.mark.parametrize(
    "wrong, said",
    [
        ({"turn_to_base_after_s": -1.0}, "nought or more"),
        ({"eas_mps": 0.0}, "does not fly"),
        ({"bank_rad": math.pi}, "does not turn"),
    ],
)
def test_actions_that_nobody_can_do_are_refused(wrong: dict[str, float], said: str) -> None:
    with pytest.raises(ValueError, match=said):
        Actions(**wrong)


def test_a_second_that_was_not_flown_and_an_air_that_is_not_known_are_refused(plan: Plan) -> None:
    with pytest.raises(NotFlownThen, match="not within the glide"):
        moment_at(as_flown(plan.path), 1e5)
    with pytest.raises(AirNotKnown, match="not known"):
        flown_on(fixtures.attempt(), 200.0)


def gate_of(path: FlightPath, name: GateName, time_s: float, planned_m: float) -> FlownGate:
    x_m, y_m, height_m = path.at(time_s)
    return FlownGate(name, time_s, x_m, y_m, height_m, 1.0, planned_m, None, None, 0.0, None, 50.0)


def test_the_causes_of_a_flight_as_planned_but_for_its_entry_are_the_entry(plan: Plan) -> None:
    """The same path 100 m higher, in the same air: the entry, and nothing else."""
    path = plan.path
    high, low, final = (second(plan, name) for name in (GateName.HIGH_KEY, GateName.LOW_KEY, GateName.FINAL))
    raised = dataclasses.replace(path, height_m=path.height_m + 100.0)
    gates = [
        gate_of(raised, name, time_s, path.at(time_s)[2])
        for name, time_s in ((GateName.HIGH_KEY, high), (GateName.LOW_KEY, low), (GateName.FINAL, final))
    ]
    turn_s = turn_to_base_s(path, low, second(plan, GateName.BASE_KEY))
    causes = gate_causes(plan, as_flown(raised), gates, air_of(plan.exercise), turn_s, None)
    assert causes is not None
    parts = {item.cause: item.height_m for item in causes.causes}
    assert sum(parts.values()) == pytest.approx(causes.off_m, abs=1e-9)
    assert causes.off_m == pytest.approx(100.0)
    # the air is thinner 100 m higher, so a little more than the metres themselves
    assert parts["entry"] == pytest.approx(100.0, abs=6.0)
    assert all(abs(height_m) < 6.0 for cause, height_m in parts.items() if cause != "entry")


def test_a_stronger_headwind_shows_as_wind(plan: Plan) -> None:
    path = plan.path
    names = (GateName.HIGH_KEY, GateName.LOW_KEY, GateName.FINAL)
    gates = [gate_of(path, name, second(plan, name), path.at(second(plan, name))[2] + 30.0) for name in names]
    gates = [dataclasses.replace(gates[0], planned_m=gates[0].height_m), *gates[1:]]
    low = second(plan, GateName.LOW_KEY)
    windy = dataclasses.replace(
        air_of(plan.exercise), wind=WindProfile.uniform(plan.exercise.runway.bearing_true_rad, mps_from_kt(30.0))
    )
    turn_s = turn_to_base_s(path, low, second(plan, GateName.BASE_KEY))
    causes = gate_causes(plan, as_flown(path), gates, windy, turn_s, None)
    assert causes is not None
    parts = {item.cause: item.height_m for item in causes.causes}
    assert parts["wind"] < -m_from_ft(50.0)
    assert abs(parts["entry"]) < 1.0


def test_the_plans_own_turn_to_base_is_found_near_its_leg(plan: Plan) -> None:
    # a roll of some 20 degrees at 15 degrees a second straddles the place where the circle begins
    assert planned_turn_to_base_x_m(plan) == pytest.approx(-plan.legs.downwind_m, abs=80.0)
