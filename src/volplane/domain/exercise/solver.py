"""From a solved shape to the plan: gates, windows, phases, ledger, break-off and findings."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.before_key import CIRCLE
from volplane.domain.exercise.ending import with_ending
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.findings import plan_findings
from volplane.domain.exercise.fine_pitch import fine_pitch
from volplane.domain.exercise.gates import GateCrossing, gates_from_base, gates_of
from volplane.domain.exercise.ledger import ledger
from volplane.domain.exercise.levers import levers
from volplane.domain.exercise.obstacles import required_over_obstacles_m
from volplane.domain.exercise.phases import phase_table
from volplane.domain.exercise.pilot_limits import frame_of
from volplane.domain.exercise.plan import BreakOff, Circles, Legs, Plan, PlannedGate, TurnSummary
from volplane.domain.exercise.shape import BASE, BASE_TURN, CROSSWIND, FINAL_TURN, HALF_TURN, OverheadShape
from volplane.domain.exercise.shape_search import Solution, solve_shape
from volplane.domain.exercise.windows import Windows, gate_ias_mps, windows
from volplane.domain.geometry.angles import true_rad_from_runway_heading_rad
from volplane.domain.glide.flight_path import FlightPath
from volplane.domain.glide.guided_flight import GuidedFlight
from volplane.units import KNOT_MPS

Array = NDArray[np.float64]

# break-off: speed within -5/+10 kt, bank 30 degrees or less (DESIGN section 4; common practice, no source)
BREAK_OFF_BELOW_MPS, BREAK_OFF_ABOVE_MPS = 5.0 * KNOT_MPS, 10.0 * KNOT_MPS
BREAK_OFF_BANK_RAD = math.radians(30.0)


def solve(exercise: Exercise, *, with_levers: bool = True) -> Plan:
    """Plan the exercise in today's air; what would help an impossible one is searched for unless told not to.

    :raises WindNotBelowAirspeed: the wind is as strong as the airspeed somewhere on the way.
    :raises BankLeavesTooLittleMargin: a bank of the exercise leaves less than the stall margin.
    """
    solution = solve_shape(exercise)
    plan = _plan(solution)
    if with_levers and not solution.is_feasible:
        plan = replace(plan, levers=levers(solution))
    return replace(plan, findings=plan_findings(plan, solution))


def solve_for_drawing(exercise: Exercise) -> Plan:
    """The same as far as a drawing shows it, for a gate in the hand: without findings, levers and the fine pitch.

    :raises WindNotBelowAirspeed: as above.
    :raises BankLeavesTooLittleMargin: as above.
    """
    return _plan(solve_shape(exercise), is_drawn_only=True)


def _plan(solution: Solution, *, is_drawn_only: bool = False) -> Plan:
    ready, exercise = solution.bench, solution.bench.exercise
    flight = ready.whole(solution.shape, solution.entry_height_m)
    around = windows(ready, flight)
    crossings = _crossings(solution.shape, flight.path)
    gates = tuple(_gate(solution, flight.path, around, crossing) for crossing in crossings)
    low_key_s = next((crossing.time_s for crossing in crossings if crossing.name is GateName.LOW_KEY), 0.0)
    legs = _legs(solution, flight, around, low_key_s)
    landing_factor = ready.limits.landing_configuration.extra_drag_factor
    break_off = _break_off(solution, flight.path)
    return Plan(
        exercise=exercise,
        feasible=solution.is_feasible,
        gates=gates,
        phases=phase_table(ready),
        path=with_ending(ready, flight.path),
        legs=legs,
        ledger=ledger(flight, ready.glide, landing_factor, ends_in_go_around=exercise.flies_to_practice_floor),
        surplus_m=solution.surplus_m,
        fine_pitch=None if is_drawn_only else fine_pitch(ready, flight, gates, low_key_s),
        touchdown_x_m=float(flight.path.x_m[-1]) + ready.flare.touchdown_from_fifty_foot_m,
        touchdown_time_s=float(flight.path.time_s[-1]) + ready.flare.time_s,
        break_off=break_off,
        findings=(),
        binding=solution.binding,
    )


def _crossings(shape: OverheadShape, path: FlightPath) -> tuple[GateCrossing, ...]:
    return gates_of(path, shape.high_key_y_m) if shape.name.has_low_key else gates_from_base(path)


def _gate(solution: Solution, path: FlightPath, around: Windows, crossing: GateCrossing) -> PlannedGate:
    ready, exercise = solution.bench, solution.bench.exercise
    time_s = crossing.time_s
    x_m, y_m, height_m = path.at(time_s)
    heading_rad = float(np.interp(time_s, path.time_s, path.heading_rad))
    state = (x_m, y_m, heading_rad, crossing.bank_rad, height_m)
    required_m = max(
        float(around.required_m(*(np.array([value]) for value in state))[0]),
        required_over_obstacles_m(exercise, path, time_s, height_m),
    )
    highest_m = around.highest_of_plan_m(time_s)
    lowest_m = required_m + exercise.reserve_m
    latitude_deg, longitude_deg = frame_of(exercise).latitude_longitude_deg(x_m, y_m)
    bearing = exercise.runway.bearing_true_rad
    heading_true = true_rad_from_runway_heading_rad(heading_rad, bearing)
    eas_mps = float(np.interp(time_s, path.time_s, path.eas_mps))
    return PlannedGate(
        name=crossing.name,
        height_m=height_m,
        altimeter_msl_m=ready.air.altimeter_msl_m(height_m),
        required_m=required_m,
        lowest_m=lowest_m,
        highest_m=highest_m,
        altimeter_lowest_msl_m=_altimeter_m(solution, lowest_m),
        altimeter_highest_msl_m=_altimeter_m(solution, highest_m),
        x_m=x_m,
        y_m=y_m,
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        heading_true_rad=heading_true,
        heading_magnetic_rad=(heading_true - exercise.airfield.variation_east_rad) % (2.0 * math.pi),
        track_true_rad=true_rad_from_runway_heading_rad(crossing.track_rad, bearing),
        time_s=time_s,
        ias_mps=gate_ias_mps(ready, eas_mps, height_m),
    )


def _altimeter_m(solution: Solution, height_m: float) -> float:
    return solution.bench.air.altimeter_msl_m(height_m) if math.isfinite(height_m) else height_m


def _legs(solution: Solution, flight: GuidedFlight, around: Windows, low_key_s: float) -> Legs:
    ready, shape, path = solution.bench, solution.shape, flight.path
    base_index = next((i for i, leg in enumerate(flight.legs) if leg.name == BASE_TURN), len(flight.legs))
    turning = path.phase_index >= base_index
    turn_s = float(path.time_s[turning][0]) if turning.any() else float(path.time_s[-1])
    final_m = shape.downwind_m + ready.aim_x_m
    return Legs(
        upwind_m=shape.upwind_m,
        low_key_offset_m=shape.low_key_offset_m,
        downwind_m=shape.downwind_m,
        downwind_time_s=turn_s - low_key_s,
        base_m=max(shape.base_m, 0.0),
        final_m=final_m,
        aim_point_x_m=ready.aim_x_m,
        fifty_foot_x_m=ready.fifty_foot_x_m,
        turn_no_later_x_m=_turn_no_later_x_m(solution, flight, around, low_key_s),
        circles=_circles(shape, flight),
        first_turn=_turn(flight, shape.first_radius_m, (HALF_TURN, CROSSWIND)),
        base_turn=_turn(flight, _base_radius_m(shape), (BASE_TURN, BASE, FINAL_TURN)),
    )


def _circles(shape: OverheadShape, flight: GuidedFlight) -> Circles | None:
    count = shape.before.circles
    return None if not count else Circles(count, _turn(flight, shape.before.circle_radius_m, (CIRCLE,)))


def _base_radius_m(shape: OverheadShape) -> float:
    return shape.base_radius_m if shape.base_m > 0.0 or not shape.name.has_low_key else 0.5 * shape.low_key_offset_m


def _turn(flight: GuidedFlight, radius_m: float, names: tuple[str, ...]) -> TurnSummary:
    """Bank over a turn: its mean over the turning legs, its least and greatest once rolled in."""
    path = flight.path
    turns = [name for name in names if name not in (CROSSWIND, BASE)]
    inside = np.isin(np.array(path.phase_names)[path.phase_index], turns)
    if not inside.any():
        return TurnSummary(radius_m, 0.0, 0.0, 0.0, 0.0)
    bank = np.abs(path.bank_rad[inside])
    rolled_in = bank[bank > 0.6 * np.median(bank)]
    time_s = path.time_s[np.isin(np.array(path.phase_names)[path.phase_index], names)]
    return TurnSummary(
        radius_m,
        float(rolled_in.mean()),
        float(rolled_in.min()),
        float(rolled_in.max()),
        float(time_s[-1] - time_s[0]),
    )


def _turn_no_later_x_m(solution: Solution, flight: GuidedFlight, around: Windows, low_key_s: float) -> float | None:
    """Where, flying on downwind past the planned turn, height in hand falls to nothing but the reserve's own height.

    Searched from the low key to the distance limit; None where the reserve is whole all the way.
    """
    ready, exercise = solution.bench, solution.bench.exercise
    if not solution.shape.name.has_low_key:
        return None
    on = replace(solution.shape, downwind_m=exercise.distance_limit_m)
    _, _, height_m = flight.path.at(low_key_s)
    rows = ready.from_low_key(on, ready.abeam(on, height_m))
    straight = rows[rows[:, 10] == 0.0]
    required_m = around.required_m(straight[:, 1], straight[:, 2], straight[:, 4], straight[:, 6], straight[:, 3])
    spare_m = straight[:, 3] - required_m
    gone = np.flatnonzero(spare_m < 0.0)
    if not len(gone):
        return None
    i = int(gone[0])
    if i == 0:
        return float(straight[0, 1])
    part = float(spare_m[i - 1] / (spare_m[i - 1] - spare_m[i]))
    return float(straight[i - 1, 1] + part * (straight[i, 1] - straight[i - 1, 1]))


def _break_off(solution: Solution, path: FlightPath) -> BreakOff:
    ready, height_m = solution.bench, solution.bench.exercise.break_off_height_m
    eas_mps = float(np.interp(-height_m, -path.height_m, path.eas_mps))
    ias_mps = gate_ias_mps(ready, eas_mps, height_m)
    return BreakOff(
        height_m,
        ready.air.altimeter_msl_m(height_m),
        ias_mps - BREAK_OFF_BELOW_MPS,
        ias_mps + BREAK_OFF_ABOVE_MPS,
        BREAK_OFF_BANK_RAD,
    )
