"""What an instructor should know about a plan before it is flown. Thresholds are ours or common practice, as said."""

from __future__ import annotations

import math
from collections.abc import Iterator

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.shape_search import Solution
from volplane.domain.finding import Finding, Severity, by_weight
from volplane.domain.geometry.angles import headwind_and_crosswind_mps
from volplane.units import FOOT_M, KNOT_MPS

# less height than this to spare before the low key is worth a word (ours)
LITTLE_SURPLUS_M = 50.0 * FOOT_M
# the aim point should lie so far beyond the threshold (common practice, no source)
AIM_BEYOND_THRESHOLD_M = 300.0 * FOOT_M
# tailwind on the runway: caution and stop (common practice, no source)
TAILWIND_CAUTION_MPS, TAILWIND_STOP_MPS = 3.0 * KNOT_MPS, 5.0 * KNOT_MPS
# part of the airplane's crosswind figure from which it is a caution (ours)
CROSSWIND_CAUTION_FRACTION = 0.8
STRONG_WIND_MPS = 30.0 * KNOT_MPS
# simulated emergencies are not carried below 500 ft unless a landing is assured: FAA practical test standards
LOWEST_BREAK_OFF_M = 500.0 * FOOT_M
# so much of the landing roll again should be left (ours)
ROLL_SPARE_FRACTION = 0.3


def plan_findings(plan: Plan, solution: Solution) -> tuple[Finding, ...]:
    """The findings of a plan, stops first."""
    found = [
        *_possible(plan),
        *_wind(solution),
        *_runway(plan),
        *_gates(plan),
        *_heights(plan, solution),
        *_wishes(plan),
        *_propeller(plan),
        *_airplane(plan),
        *_worth_knowing(plan),
    ]
    return by_weight(found)


def _possible(plan: Plan) -> Iterator[Finding]:
    if plan.binding is not None:
        quantities = {"binding": plan.binding.code, **plan.binding.quantities}
        yield Finding("impossible", Severity.STOP, quantities)


def _wind(solution: Solution) -> Iterator[Finding]:
    exercise = solution.bench.exercise
    east, north = exercise.weather.wind.components_mps(10.0)
    head_mps, cross_mps = headwind_and_crosswind_mps(float(east), float(north), exercise.runway.bearing_true_rad)
    if -head_mps > TAILWIND_CAUTION_MPS:
        severity = Severity.STOP if -head_mps > TAILWIND_STOP_MPS else Severity.CAUTION
        yield Finding("tailwind", severity, {"wind_mps": -head_mps})
    limit_mps = exercise.airplane.limits.crosswind_mps
    if limit_mps is not None and abs(cross_mps) > CROSSWIND_CAUTION_FRACTION * limit_mps:
        severity = Severity.STOP if abs(cross_mps) > limit_mps else Severity.CAUTION
        yield Finding("crosswind", severity, {"wind_mps": abs(cross_mps), "limit_mps": limit_mps})
    entry_mps = solution.bench.wind_mps(solution.entry_height_m)
    if entry_mps > STRONG_WIND_MPS:
        yield Finding("strong-wind-at-entry", Severity.CAUTION, {"wind_mps": entry_mps})


def _runway(plan: Plan) -> Iterator[Finding]:
    exercise = plan.exercise
    if exercise.flies_to_practice_floor:
        yield Finding("practice-floor", Severity.NOTE, {"altitude_msl_m": exercise.ground_msl_m})
        return
    aim_m = exercise.touchdown_beyond_threshold_m + plan.legs.aim_point_x_m
    if aim_m < 0.0:
        yield Finding("aim-point-before-threshold", Severity.STOP, {"aim_m": aim_m})
    elif aim_m < AIM_BEYOND_THRESHOLD_M:
        yield Finding("aim-point-near-threshold", Severity.CAUTION, {"aim_m": aim_m})
    roll_m = exercise.airplane.limits.landing_roll_m
    left_m = exercise.runway.length_m - exercise.touchdown_beyond_threshold_m
    if roll_m is not None and left_m < (1.0 + ROLL_SPARE_FRACTION) * roll_m:
        severity = Severity.STOP if left_m < roll_m else Severity.CAUTION
        yield Finding("little-runway-left", severity, {"left_m": left_m, "roll_m": roll_m})


def _gates(plan: Plan) -> Iterator[Finding]:
    for gate in plan.gates if plan.feasible else ():
        if gate.height_m < gate.lowest_m - 0.5 * FOOT_M:
            quantities = {"gate": gate.name.value, "height_m": gate.height_m, "lowest_m": gate.lowest_m}
            yield Finding("gate-below-lowest", Severity.CAUTION, quantities)
        if gate.height_m > gate.highest_m + 0.5 * FOOT_M:
            quantities = {"gate": gate.name.value, "height_m": gate.height_m, "highest_m": gate.highest_m}
            yield Finding("gate-above-highest", Severity.CAUTION, quantities)


def _heights(plan: Plan, solution: Solution) -> Iterator[Finding]:
    exercise = plan.exercise
    if plan.feasible and plan.surplus_m < LITTLE_SURPLUS_M:
        quantities = {"surplus_m": plan.surplus_m, "bank_rad": plan.legs.first_turn.mean_bank_rad}
        yield Finding("nothing-to-spare", Severity.CAUTION, quantities)
    if solution.entry_height_m < exercise.entry_height_m - 1.0:
        quantities = {"wished_m": exercise.entry_height_m, "height_m": solution.entry_height_m}
        yield Finding("entry-lowered", Severity.CAUTION, quantities)
    if exercise.break_off_height_m < LOWEST_BREAK_OFF_M - 0.5:
        yield Finding("low-break-off", Severity.CAUTION, {"height_m": exercise.break_off_height_m})
    ceiling_m = exercise.airfield.airspace_ceiling_msl_m
    entry_msl_m = exercise.ground_msl_m + solution.entry_height_m
    if ceiling_m is not None and entry_msl_m > ceiling_m:
        yield Finding("above-ceiling", Severity.CAUTION, {"altitude_msl_m": entry_msl_m, "ceiling_msl_m": ceiling_m})


def _wishes(plan: Plan) -> Iterator[Finding]:
    exercise = plan.exercise
    if "weight" not in exercise.stated:
        yield Finding("weight-not-stated", Severity.CAUTION, {"weight_kg": exercise.weight_kg})
    if exercise.pattern is not exercise.runway.pattern:
        quantities = {"pattern": exercise.pattern.value, "published": exercise.runway.pattern.value}
        yield Finding("unpublished-side", Severity.CAUTION, quantities)


def _propeller(plan: Plan) -> Iterator[Finding]:
    low_key = plan.gate(GateName.LOW_KEY)
    if plan.fine_pitch is None or low_key is None:
        return
    after_m = plan.fine_pitch.extra_to_touchdown_m - plan.fine_pitch.extra_to_low_key_m
    in_hand_m = low_key.height_m - low_key.required_m
    quantities = {
        "extra_to_low_key_m": plan.fine_pitch.extra_to_low_key_m,
        "extra_to_touchdown_m": plan.fine_pitch.extra_to_touchdown_m,
        "in_hand_m": in_hand_m,
    }
    yield Finding("fine-pitch", Severity.CAUTION if after_m > in_hand_m else Severity.NOTE, quantities)


def _airplane(plan: Plan) -> Iterator[Finding]:
    airplane = plan.exercise.airplane
    if airplane.stand_in is None:
        yield Finding("no-stand-in", Severity.NOTE)
    if airplane.estimates:
        yield Finding("estimates", Severity.NOTE, {"count": float(len(airplane.estimates))})


def _worth_knowing(plan: Plan) -> Iterator[Finding]:
    if not plan.feasible:
        return
    low_key = plan.gate(GateName.LOW_KEY)
    if low_key is not None:
        quantities = {"altimeter_msl_m": low_key.altimeter_lowest_msl_m}
        yield Finding("low-key-go-around", Severity.NOTE, quantities)
    for name, turn in (("half turn", plan.legs.first_turn), ("turn to base", plan.legs.base_turn)):
        if turn.greatest_bank_rad > turn.mean_bank_rad + math.radians(2.0):
            yield Finding("bank-reaches", Severity.NOTE, {"turn": name, "bank_rad": turn.greatest_bank_rad})
    if plan.surplus_m >= LITTLE_SURPLUS_M:
        quantities = {
            "surplus_m": plan.surplus_m,
            "bank_rad": plan.legs.first_turn.mean_bank_rad,
            "upwind_m": plan.legs.upwind_m,
        }
        yield Finding("surplus-spent", Severity.NOTE, quantities)
