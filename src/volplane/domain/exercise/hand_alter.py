"""What a plan becomes when today turns out otherwise: more wind, more weight, warmer air, each planned anew by itself.

The card carries the differences, so that an instructor alters its figures by hand instead of planning again on the
ramp. They are differences of two plans, not derivatives: a limit that binds only in the altered air shows.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace
from enum import StrEnum

import numpy as np

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.plan import Plan, PlannedGate
from volplane.domain.exercise.solver import solve
from volplane.errors import Refusal
from volplane.units import KNOT_MPS, POUND_KG

# the steps of the card (ours): what a morning changes, and what a passenger weighs
WIND_STEP_MPS = 5.0 * KNOT_MPS
WEIGHT_STEP_KG = 200.0 * POUND_KG
TEMPERATURE_STEP_K = 5.0
# air slower than this has no direction of its own: more of it is taken as headwind
_CALM_MPS = 0.5 * KNOT_MPS


class Change(StrEnum):
    """What turns out otherwise."""

    WIND = "more wind"
    HEAVIER = "heavier"
    LIGHTER = "lighter"
    WARMER = "warmer"


@dataclass(frozen=True, slots=True)
class AlteredGate:
    """What a change moves at one gate: altimeter readings of the altered plan less those of the plan.

    NaN where a reading is missing in one of the two.
    """

    name: GateName
    altimeter_change_m: float
    lowest_change_m: float
    highest_change_m: float


@dataclass(frozen=True, slots=True)
class Alteration:
    """One change and what it moves.

    `comes_out` is False where the altered exercise is impossible as wished or outside what can be computed; it then
    has no gates. `glide_ias_change_mps` is that of the speed at the low key, `turn_change_s` that of the time from
    abeam to the turn to base.
    """

    change: Change
    comes_out: bool
    gates: tuple[AlteredGate, ...] = ()
    glide_ias_change_mps: float = 0.0
    turn_change_s: float = 0.0


def hand_alterations(plan: Plan, plan_anew: Callable[[Exercise], Plan] = solve) -> tuple[Alteration, ...]:
    """5 kt more wind at every level, 200 lb more (less, where more is above the maximum), 5 degrees warmer."""
    exercise = plan.exercise
    is_within = exercise.weight_kg + WEIGHT_STEP_KG <= exercise.airplane.maximum_weight_kg * (1.0 + 1e-9)
    weight = Change.HEAVIER if is_within else Change.LIGHTER
    return tuple(_alteration(plan, change, plan_anew) for change in (Change.WIND, weight, Change.WARMER))


def altered_exercise(exercise: Exercise, change: Change) -> Exercise:
    """The exercise on the day that turns out otherwise."""
    match change:
        case Change.WIND:
            return more_wind(exercise)
        case Change.HEAVIER:
            return heavier(exercise)
        case Change.LIGHTER:
            return heavier(exercise, -WEIGHT_STEP_KG)
        case Change.WARMER:
            return warmer(exercise)


def more_wind(exercise: Exercise, step_mps: float = WIND_STEP_MPS) -> Exercise:
    """The exercise with so much more wind at every level, from where it blows; a calm level gets it as headwind.

    A gust stays so much above the mean as it was.
    """
    weather, profile = exercise.weather, exercise.weather.wind
    east, north = np.array(profile.wind_east_mps), np.array(profile.wind_north_mps)
    speed = np.hypot(east, north)
    is_calm = speed < _CALM_MPS
    bearing = exercise.runway.bearing_true_rad
    safe = np.where(is_calm, 1.0, speed)
    east = east + step_mps * np.where(is_calm, -math.sin(bearing), east / safe)
    north = north + step_mps * np.where(is_calm, -math.cos(bearing), north / safe)
    wind = WindProfile(profile.height_above_field_m, east, north, profile.shear_exponent_factor)
    gust_mps = None if weather.gust_mps is None else weather.gust_mps + step_mps
    return replace(exercise, weather=replace(weather, wind=wind, gust_mps=gust_mps))


def heavier(exercise: Exercise, step_kg: float = WEIGHT_STEP_KG) -> Exercise:
    """The exercise flown so much heavier."""
    return replace(exercise, weight_kg=exercise.weight_kg + step_kg)


def warmer(exercise: Exercise, step_k: float = TEMPERATURE_STEP_K) -> Exercise:
    """The exercise in air so much warmer; the altimeter setting stays."""
    weather = exercise.weather
    atmosphere = replace(weather.atmosphere, field_temperature_k=weather.atmosphere.field_temperature_k + step_k)
    return replace(exercise, weather=replace(weather, atmosphere=atmosphere))


def _alteration(plan: Plan, change: Change, plan_anew: Callable[[Exercise], Plan]) -> Alteration:
    try:
        altered = plan_anew(altered_exercise(plan.exercise, change))
    except Refusal:
        return Alteration(change, comes_out=False)
    if not altered.feasible:
        return Alteration(change, comes_out=False)
    pairs = [(gate, altered.gate(gate.name)) for gate in plan.gates]
    gates = tuple(_altered_gate(gate, moved) for gate, moved in pairs if moved is not None)
    return Alteration(
        change,
        comes_out=True,
        gates=gates,
        glide_ias_change_mps=_glide_ias_mps(altered) - _glide_ias_mps(plan),
        turn_change_s=altered.legs.downwind_time_s - plan.legs.downwind_time_s,
    )


def _altered_gate(gate: PlannedGate, moved: PlannedGate) -> AlteredGate:
    return AlteredGate(
        gate.name,
        _less(moved.altimeter_msl_m, gate.altimeter_msl_m),
        _less(moved.altimeter_lowest_msl_m, gate.altimeter_lowest_msl_m),
        _less(moved.altimeter_highest_msl_m, gate.altimeter_highest_msl_m),
    )


def _less(after_m: float, before_m: float) -> float:
    return after_m - before_m if math.isfinite(after_m) and math.isfinite(before_m) else math.nan


def _glide_ias_mps(plan: Plan) -> float:
    """The gliding speed: that at the low key, or at the last gate of a shape without one."""
    gate = plan.gate(GateName.LOW_KEY) or plan.gates[-1]
    return gate.ias_mps
