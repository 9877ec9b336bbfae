"""What an instructor should know about a plan before it is flown; the figures are the exercise's own thresholds."""

from __future__ import annotations

import math
from collections.abc import Iterator

import numpy as np

from volplane.domain.exercise.before_key import CIRCLE
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Circles, Plan
from volplane.domain.exercise.shape import BASE, BASE_TURN, CROSSWIND, DOWNWIND, FINAL_TURN, HALF_TURN
from volplane.domain.exercise.shape_search import Solution
from volplane.domain.exercise.weather_findings import air_findings, sky_findings, wind_findings
from volplane.domain.finding import Finding, Severity, by_weight
from volplane.units import FOOT_M

# less bank than this is no turn
_LEAST_BANK_RAD = math.radians(5.0)
# legs on which others may be met at the height of the traffic pattern
_IN_THE_PATTERN = (CIRCLE, HALF_TURN, CROSSWIND, DOWNWIND, BASE_TURN, BASE, FINAL_TURN)


def plan_findings(plan: Plan, solution: Solution) -> tuple[Finding, ...]:
    """The findings of a plan, stops first."""
    found = [
        *_possible(plan),
        *wind_findings(solution),
        *sky_findings(solution),
        *air_findings(plan),
        *_runway(plan),
        *_turns(plan),
        *_gates(plan),
        *_heights(plan, solution),
        *_wishes(plan),
        *_propeller(plan),
        *_traffic(plan),
        *_airplane(plan),
        *_worth_knowing(plan),
    ]
    return by_weight(found)


def _possible(plan: Plan) -> Iterator[Finding]:
    if plan.binding is not None:
        quantities = {"binding": plan.binding.code, **plan.binding.quantities}
        yield Finding("impossible", Severity.STOP, quantities)


def _runway(plan: Plan) -> Iterator[Finding]:
    exercise = plan.exercise
    if exercise.flies_to_practice_floor:
        yield Finding("practice-floor", Severity.NOTE, {"altitude_msl_m": exercise.ground_msl_m})
        return
    aim_m = exercise.touchdown_beyond_threshold_m + plan.legs.aim_point_x_m
    if aim_m < 0.0:
        yield Finding("aim-point-before-threshold", Severity.STOP, {"aim_m": aim_m})
    elif aim_m < exercise.thresholds.aim_beyond_threshold_m:
        yield Finding("aim-point-near-threshold", Severity.CAUTION, {"aim_m": aim_m})
    roll_m = exercise.airplane.limits.landing_roll_m
    left_m = exercise.runway.length_m - exercise.touchdown_beyond_threshold_m
    if roll_m is not None and left_m < (1.0 + exercise.thresholds.roll_spare_fraction) * roll_m:
        severity = Severity.STOP if left_m < roll_m else Severity.CAUTION
        yield Finding("little-runway-left", severity, {"left_m": left_m, "roll_m": roll_m})


def _turns(plan: Plan) -> Iterator[Finding]:
    """How near the stall the tightest turn comes, and how low the last one ends."""
    exercise, path = plan.exercise, plan.path
    bank_rad = np.abs(path.bank_rad)
    stall_mps = exercise.airplane.stall_clean_at_mps(exercise.weight_kg)
    margin = path.eas_mps / (stall_mps / np.sqrt(np.cos(bank_rad))) - 1.0
    turning = bank_rad > _LEAST_BANK_RAD
    if turning.any():
        worst = int(np.argmin(np.where(turning, margin, np.inf)))
        if margin[worst] < exercise.thresholds.stall_margin_caution_fraction:
            quantities = {"margin_fraction": float(margin[worst]), "bank_rad": float(bank_rad[worst])}
            yield Finding("near-stall", Severity.CAUTION, quantities)
    final, least_m = plan.gate(GateName.FINAL), exercise.thresholds.turn_to_final_height_m
    is_said = plan.binding is not None and plan.binding.code == "turn-to-final-too-low"
    if final is not None and not is_said and final.height_m < least_m - 0.5 * FOOT_M:
        yield Finding("low-turn-to-final", Severity.CAUTION, {"height_m": final.height_m, "least_m": least_m})


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
    if plan.feasible and exercise.shape.has_high_key and plan.surplus_m < exercise.thresholds.surplus_height_m:
        quantities = {"surplus_m": plan.surplus_m, "bank_rad": plan.legs.first_turn.mean_bank_rad}
        yield Finding("nothing-to-spare", Severity.CAUTION, quantities)
    if solution.entry_height_m < exercise.entry_height_m - 1.0:
        quantities = {"wished_m": exercise.entry_height_m, "height_m": solution.entry_height_m}
        yield Finding("entry-lowered", Severity.CAUTION, quantities)
    if exercise.break_off_height_m < exercise.thresholds.break_off_height_m - 0.5:
        quantities = {"height_m": exercise.break_off_height_m, "least_m": exercise.thresholds.break_off_height_m}
        yield Finding("low-break-off", Severity.CAUTION, quantities)
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
    if plan.fine_pitch is None or not plan.fine_pitch.gates:
        return
    worst = min(plan.fine_pitch.gates, key=lambda gate: gate.in_hand_m)
    quantities = {
        "extra_to_low_key_m": plan.fine_pitch.extra_to_low_key_m,
        "extra_to_touchdown_m": plan.fine_pitch.extra_to_touchdown_m,
        "gate": worst.name.value,
        "in_hand_m": worst.in_hand_m,
    }
    yield Finding("fine-pitch", Severity.CAUTION if worst.in_hand_m < 0.0 else Severity.NOTE, quantities)


def _traffic(plan: Plan) -> Iterator[Finding]:
    """Coming down through the height at which others fly their downwind."""
    exercise, path = plan.exercise, plan.path
    pattern_m = exercise.airfield.traffic_pattern_height_m
    if pattern_m is None:
        return
    height_m = exercise.airfield.elevation_msl_m + pattern_m - exercise.ground_msl_m
    below = np.flatnonzero(path.height_m <= height_m)
    if not len(below) or below[0] == 0:
        return
    leg = path.phase_names[path.phase_index[below[0]]]
    if leg in _IN_THE_PATTERN:
        altimeter_m = exercise.weather.atmosphere.altimeter_msl_m(pattern_m)
        yield Finding("through-pattern-height", Severity.NOTE, {"altimeter_msl_m": altimeter_m, "leg": leg})


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
    if plan.legs.circles is not None:
        yield from _circles(plan, plan.legs.circles)
    elif plan.exercise.shape.has_high_key and plan.surplus_m >= plan.exercise.thresholds.surplus_height_m:
        quantities = {
            "surplus_m": plan.surplus_m,
            "bank_rad": plan.legs.first_turn.mean_bank_rad,
            "upwind_m": plan.legs.upwind_m,
        }
        yield Finding("surplus-spent", Severity.NOTE, quantities)


def _circles(plan: Plan, circles: Circles) -> Iterator[Finding]:
    """Whole circles before the high key, and what the altimeter reads after them."""
    high_key = plan.gate(GateName.HIGH_KEY)
    if high_key is not None:
        quantities = {
            "count": float(circles.count),
            "bank_rad": circles.turn.mean_bank_rad,
            "altimeter_msl_m": high_key.altimeter_msl_m,
        }
        yield Finding("circles", Severity.NOTE, quantities)
