"""The same exercise on every runway end and both sides, and which of them is recommended today."""

from __future__ import annotations

from dataclasses import replace

from volplane.domain.atmosphere.wind import ANEMOMETER_HEIGHT_M
from volplane.domain.exercise.exercise import Exercise, Obstacle
from volplane.domain.exercise.pilot_limits import frame_of
from volplane.domain.exercise.plan import ComparedRunway, Plan
from volplane.domain.exercise.solver import solve
from volplane.domain.exercise.weather_findings import runway_wind
from volplane.domain.finding import Severity
from volplane.domain.geometry.airfield import Runway, Side
from volplane.domain.geometry.angles import headwind_and_crosswind_mps
from volplane.errors import Refusal
from volplane.units import KNOT_MPS

_THIRD_FACTOR = 1.0 / 3.0


def compare(exercise: Exercise, plan: Plan | None = None) -> tuple[ComparedRunway, ...]:
    """Every runway end and side, the recommended one marked; `plan` is the exercise's own, if it is solved already.

    Recommended is what can be flown without a stop: the fewest cautions first, then more headwind to the knot, then
    less crosswind, then more height in hand. Where everything has a stop, nothing is recommended.
    """
    compared = []
    for runway in exercise.airfield.runways:
        for side in Side:
            is_own = plan is not None and runway.name == exercise.runway.name and side is exercise.pattern
            compared.append(_compared(on_runway(exercise, runway, side), plan if is_own else None))
    fit = [each for each in compared if each.is_feasible and not each.stops]
    if not fit:
        return tuple(compared)
    best = max(fit, key=_merit)
    return tuple(replace(each, is_recommended=each is best) for each in compared)


def on_runway(exercise: Exercise, runway: Runway, side: Side) -> Exercise:
    """The exercise moved to another runway end and side; obstacles and the place of a failure stay where they are.

    A touchdown point that would lie beyond that runway goes to a third of its length.
    """
    point_m = exercise.touchdown_beyond_threshold_m
    if point_m >= runway.length_m:
        point_m = _THIRD_FACTOR * runway.length_m
    moved = replace(exercise, runway=runway, pattern=side, touchdown_beyond_threshold_m=point_m, obstacles=())
    return replace(moved, obstacles=tuple(_moved(each, exercise, moved) for each in exercise.obstacles))


def _moved(obstacle: Obstacle, exercise: Exercise, moved: Exercise) -> Obstacle:
    latitude_deg, longitude_deg = frame_of(exercise).latitude_longitude_deg(obstacle.x_m, obstacle.y_m)
    x_m, y_m = frame_of(moved).xy_m(latitude_deg, longitude_deg)
    return Obstacle(x_m, y_m, obstacle.height_m + exercise.ground_msl_m - moved.ground_msl_m)


def _compared(exercise: Exercise, own: Plan | None) -> ComparedRunway:
    plan, refusal = own, None
    if plan is None:
        try:
            plan = solve(exercise, with_levers=False)
        except Refusal as refused:
            refusal = refused.code
    weather, runway = exercise.weather, exercise.runway
    speed_mps, from_rad = weather.wind.speed_and_direction(ANEMOMETER_HEIGHT_M)
    headwind_mps, _ = headwind_and_crosswind_mps(runway.bearing_true_rad, from_rad, speed_mps)
    return ComparedRunway(
        runway=runway.name,
        pattern=exercise.pattern,
        is_feasible=plan is not None and plan.feasible,
        is_published_side=exercise.pattern is runway.pattern,
        headwind_mps=headwind_mps,
        crosswind_gust_mps=runway_wind(weather, runway).crosswind_gust_mps,
        in_hand_m=_in_hand_m(plan),
        stops=_codes(plan, Severity.STOP),
        cautions=_codes(plan, Severity.CAUTION),
        refusal=refusal,
    )


def _in_hand_m(plan: Plan | None) -> float | None:
    """The least height of a gate over what is required there."""
    gates = () if plan is None or not plan.feasible else plan.gates
    return min((gate.height_m - gate.required_m for gate in gates), default=None)


def _codes(plan: Plan | None, severity: Severity) -> tuple[str, ...]:
    return () if plan is None else tuple(each.code for each in plan.findings if each.severity is severity)


def _merit(each: ComparedRunway) -> tuple[float, ...]:
    headwind_kt = float(round(each.headwind_mps / KNOT_MPS))
    in_hand_m = -1e9 if each.in_hand_m is None else each.in_hand_m
    return (-float(len(each.cautions)), headwind_kt, -each.crosswind_gust_mps, in_hand_m)
