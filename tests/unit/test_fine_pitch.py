"""No oil pressure: the plan's second line, with the propeller in fine pitch."""

from __future__ import annotations

import dataclasses
import itertools

import pytest

from tests.exercises import AIRPLANE, exercise_of
from volplane.domain.exercise.plan import FinePitch, Plan
from volplane.domain.exercise.solver import solve
from volplane.domain.glide.configuration import Configuration, Propeller
from volplane.units import FOOT_M


def planned(*configurations: Configuration) -> Plan:
    known = tuple(each for each in AIRPLANE.configurations if each.propeller is not Propeller.FINE)
    airplane = dataclasses.replace(AIRPLANE, configurations=(*known, *configurations))
    return solve(exercise_of(airplane=airplane))


def second_line(plan: Plan) -> FinePitch:
    assert plan.fine_pitch is not None
    return plan.fine_pitch


def test_every_gate_needs_more_with_the_propeller_fine_and_the_less_the_nearer_it_lies() -> None:
    plan = planned()
    fine = second_line(plan)
    assert [gate.name for gate in fine.gates] == [gate.name for gate in plan.gates]
    more = [there.required_m - here.required_m for there, here in zip(fine.gates, plan.gates, strict=True)]
    assert all(later < earlier for earlier, later in itertools.pairwise(more))
    assert more[-1] > 20.0 * FOOT_M
    for gate, coarse in zip(fine.gates, plan.gates, strict=True):
        assert gate.lowest_m == pytest.approx(gate.required_m + plan.exercise.reserve_m)
        assert gate.in_hand_m == pytest.approx(coarse.height_m - gate.required_m)
        assert gate.altimeter_lowest_msl_m > coarse.altimeter_lowest_msl_m


def test_an_airplane_whose_file_knows_no_fine_pitch_gets_the_estimate() -> None:
    own = Configuration("clean, propeller fine", propeller=Propeller.FINE, extra_drag_factor=0.5)
    estimated, measured = second_line(planned()), second_line(planned(own))
    assert estimated.is_estimate
    assert not measured.is_estimate
    assert estimated.extra_to_touchdown_m == pytest.approx(measured.extra_to_touchdown_m)


def test_a_propeller_that_costs_nothing_fine_leaves_the_gates_where_they_are() -> None:
    plan = planned(Configuration("clean, propeller fine", propeller=Propeller.FINE))
    fine = second_line(plan)
    assert fine.extra_to_touchdown_m == pytest.approx(0.0)
    for gate, coarse in zip(fine.gates, plan.gates, strict=True):
        assert gate.required_m == pytest.approx(coarse.required_m, abs=0.01)
