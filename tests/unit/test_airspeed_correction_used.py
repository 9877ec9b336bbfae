"""The airplane's airspeed table is in every speed that is converted: with a dial that lies the flight is the same."""

from __future__ import annotations

import dataclasses

import pytest

from tests.faces import fixtures
from tests.unit.debrief_flights import FACTS, Made, fly, plan_for, recorded
from volplane.domain.debrief.debrief import debrief_track
from volplane.domain.debrief.results import Attempt
from volplane.domain.debrief.standards import BREAK_OFF_SPEED
from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.solver import solve
from volplane.units import KNOT_MPS

# the dial shows 5 kt too little at every speed
LIE_MPS = 5.0 * KNOT_MPS
TABLE = tuple((speed * KNOT_MPS - LIE_MPS, speed * KNOT_MPS) for speed in (50.0, 160.0))


def lying(exercise: Exercise) -> Exercise:
    """The same exercise and airplane with such a dial, every indicated speed written as it shows it."""
    airplane = exercise.airplane
    return dataclasses.replace(
        exercise,
        airplane=dataclasses.replace(
            airplane,
            airspeed_correction=TABLE,
            approach_ias_mps=airplane.approach_ias_mps - LIE_MPS,
            touchdown_ias_mps=airplane.touchdown_ias_mps - LIE_MPS,
        ),
        phases=tuple(
            dataclasses.replace(phase, ias_mps=None if phase.ias_mps is None else phase.ias_mps - LIE_MPS)
            for phase in exercise.phases
        ),
    )


def test_the_plan_is_the_same_flight_with_other_figures_on_the_dial() -> None:
    honest = fixtures.exercise()
    one, other = solve(honest), solve(lying(honest))
    for gate, same in zip(one.gates, other.gates, strict=True):
        assert same.height_m == pytest.approx(gate.height_m)
        assert same.required_m == pytest.approx(gate.required_m)
        assert same.ias_mps == pytest.approx(gate.ias_mps - LIE_MPS)
    assert other.break_off.ias_low_mps == pytest.approx(one.break_off.ias_low_mps - LIE_MPS)


def _lying_plan(exercise: Exercise) -> Plan:
    plan = plan_for(exercise)
    rule = plan.break_off
    rule = dataclasses.replace(rule, ias_low_mps=rule.ias_low_mps - LIE_MPS, ias_high_mps=rule.ias_high_mps - LIE_MPS)
    return dataclasses.replace(plan, break_off=rule)


def _break_off_speed_mps(attempt: Attempt) -> float:
    (value,) = [each.value for each in attempt.standard if each.item == BREAK_OFF_SPEED]
    assert isinstance(value, float)
    return value


def test_the_debrief_says_the_same_of_the_same_flight() -> None:
    honest = fixtures.exercise()
    track = recorded(fly(Made()), honest, with_airspeed=True)
    assert track.ias_mps is not None
    seen = dataclasses.replace(track, ias_mps=track.ias_mps - LIE_MPS)
    (one,) = debrief_track(track, honest, FACTS, plan_of=plan_for).attempts
    (other,) = debrief_track(seen, lying(honest), FACTS, plan_of=_lying_plan).attempts
    assert other.minimum_cas_mps == pytest.approx(one.minimum_cas_mps)
    for gate, same in zip(one.gates, other.gates, strict=True):
        assert same.cas_mps == pytest.approx(gate.cas_mps)
    assert one.glide is not None
    assert other.glide is not None
    assert other.glide.ratio == pytest.approx(one.glide.ratio, rel=1e-6)
    # speed against the planned one: the planned is indicated, the flown was calibrated
    assert _break_off_speed_mps(other) == pytest.approx(_break_off_speed_mps(one))
