"""Why a gate was passed higher or lower than planned: the plan flown anew with what was different, cause by cause.

The plan's own path is flown by the integrator with one more cause at a time as it really was: height and place of the
entry, the wind, the half turn, the turns to base and final, the airspeed where it was recorded. A cause's share is the
change it makes, taken once in this order and once in the reverse, and the mean of both; where causes act on each other
in pairs this is the even share-out over all orders (Shapley 1953, from memory). What is left of the difference is the
airplane, the air and the heights' own error. The shares add up by construction.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

import numpy as np

from volplane.domain.debrief.results import BudgetItem, FlownGate, FlownPath, GateCauses
from volplane.domain.debrief.turns_begun import half_turn_x_m, planned_turn_to_base_x_m
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.flying import Bench, bench
from volplane.domain.exercise.gates import gates_of
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.shape import OverheadShape
from volplane.domain.glide.guided_flight import Air
from volplane.errors import Refusal

ENTRY, WIND, HALF_TURN, LAST_TURN, AIRSPEED = "entry", "wind", "half turn", "turn to base", "airspeed"
AIRPLANE_AND_AIR = "airplane and air"
AIRSPEED_AND_ALL_ELSE = "airspeed, airplane and air"

# what cannot be a radius or a leg of an exercise is not compared
_LEAST_RADIUS_M = 150.0


@dataclass(frozen=True, slots=True)
class _Facts:
    """What of an exercise the causes are about; one of these is the plan, another the flight."""

    entry_height_m: float
    high_key_offset_m: float
    upwind_m: float
    low_key_offset_m: float
    downwind_m: float
    base_radius_m: float
    air: Air
    eas_mps: float


# the facts each cause changes
_CAUSES: tuple[tuple[str, tuple[str, ...]], ...] = (
    (ENTRY, ("entry_height_m", "high_key_offset_m")),
    (WIND, ("air",)),
    (HALF_TURN, ("upwind_m", "low_key_offset_m")),
    (LAST_TURN, ("downwind_m", "base_radius_m")),
    (AIRSPEED, ("eas_mps",)),
)


def gate_causes(
    plan: Plan,
    path: FlownPath,
    gates: Sequence[FlownGate],
    air: Air,
    turn_to_base_s: float | None,
    eas_mps: float | None,
) -> GateCauses | None:
    """The causes at the last gate that was flown; None without a plan, a high key or a low key to compare.

    `air` is the one found. `eas_mps` is the mean equivalent airspeed to that gate, None where it was not recorded.
    """
    by_name = {gate.name: gate for gate in gates}
    high, low = by_name.get(GateName.HIGH_KEY), by_name.get(GateName.LOW_KEY)
    last = next((gate for gate in reversed(gates) if gate.planned_m is not None), None)
    if high is None or low is None or last is None or last.planned_m is None or last is high:
        return None
    try:
        ready = bench(plan.exercise)
        as_planned = _planned(plan, ready)
        as_flown = _flown(plan, as_planned, path, high, low, last, air, turn_to_base_s, eas_mps)
        if as_flown is None:
            return None
        shares = _shares(ready, plan, last.name, as_planned, as_flown)
    except Refusal:
        return None
    if shares is None:
        return None
    off_m = last.height_m - last.planned_m
    rest = AIRSPEED_AND_ALL_ELSE if eas_mps is None else AIRPLANE_AND_AIR
    told = [BudgetItem(cause, share) for cause, share in shares if _is_told(cause, last.name, eas_mps)]
    left_m = off_m - sum(item.height_m for item in told)
    return GateCauses(last.name, off_m, (*told, BudgetItem(rest, left_m)))


def _is_told(cause: str, gate: GateName, eas_mps: float | None) -> bool:
    if cause == AIRSPEED:
        return eas_mps is not None
    return cause != LAST_TURN or gate is not GateName.LOW_KEY


def _planned(plan: Plan, ready: Bench) -> _Facts:
    legs, exercise = plan.legs, plan.exercise
    return _Facts(
        entry_height_m=float(plan.path.height_m[0]),
        high_key_offset_m=exercise.high_key_offset_m,
        upwind_m=legs.upwind_m,
        low_key_offset_m=legs.low_key_offset_m,
        downwind_m=legs.downwind_m,
        base_radius_m=legs.base_turn.radius_m,
        air=ready.air,
        eas_mps=ready.limits.glide_eas_mps,
    )


def _flown(
    plan: Plan,
    planned: _Facts,
    path: FlownPath,
    high: FlownGate,
    low: FlownGate,
    last: FlownGate,
    air: Air,
    turn_to_base_s: float | None,
    eas_mps: float | None,
) -> _Facts | None:
    """The same facts read off the flight; what was not flown yet stays as planned. None where they make no exercise."""
    side = -1.0 if low.y_m < 0.0 else 1.0
    later_m = half_turn_x_m(path, high.time_s, low.time_s) - _planned_half_turn_x_m(plan)
    facts = replace(
        planned,
        entry_height_m=high.height_m,
        high_key_offset_m=-side * high.y_m,
        upwind_m=max(planned.upwind_m + later_m, 0.0),
        low_key_offset_m=side * low.y_m,
        air=air,
        eas_mps=planned.eas_mps if eas_mps is None else eas_mps,
    )
    if last.name is not GateName.LOW_KEY and turn_to_base_s is not None:
        turned_x_m = float(np.interp(turn_to_base_s, path.time_s, path.x_m))
        downwind_m = planned.downwind_m + planned_turn_to_base_x_m(plan) - turned_x_m
        farthest_m = -float(path.x_m[(path.time_s >= low.time_s) & (path.time_s <= last.time_s)].min())
        # the turn's circle reaches as far beyond its beginning as it is wide
        facts = replace(facts, downwind_m=downwind_m, base_radius_m=farthest_m - downwind_m)
    fits = facts.low_key_offset_m + facts.high_key_offset_m > 2.0 * _LEAST_RADIUS_M and facts.downwind_m > 0.0
    return facts if fits and facts.base_radius_m > _LEAST_RADIUS_M else None


def _planned_half_turn_x_m(plan: Plan) -> float:
    high, low = plan.gate(GateName.HIGH_KEY), plan.gate(GateName.LOW_KEY)
    return 0.0 if high is None or low is None else half_turn_x_m(plan.path, high.time_s, low.time_s)


def _shares(ready: Bench, plan: Plan, gate: GateName, planned: _Facts, flown: _Facts) -> list[tuple[str, float]] | None:
    """Each cause's share: the mean of one order of changes and its reverse; None where a flight has no such gate."""
    shares = {cause: 0.0 for cause, _ in _CAUSES}
    known: dict[frozenset[str], float | None] = {}

    def height_m(changed: frozenset[str]) -> float | None:
        if changed not in known:
            names = [name for cause, facts in _CAUSES if cause in changed for name in facts]
            facts = replace(planned, **{name: getattr(flown, name) for name in names})
            known[changed] = _height_at_gate_m(ready, plan, gate, facts)
        return known[changed]

    for order in (_CAUSES, _CAUSES[::-1]):
        changed: frozenset[str] = frozenset()
        before = height_m(changed)
        for cause, _ in order:
            changed |= {cause}
            after = height_m(changed)
            if before is None or after is None:
                return None
            shares[cause] += 0.5 * (after - before)
            before = after
    return list(shares.items())


def _height_at_gate_m(ready: Bench, plan: Plan, gate: GateName, facts: _Facts) -> float | None:
    """Height at which an exercise of these facts passes a gate."""
    there = ready
    if facts.air is not ready.air:
        there = replace(ready, air=facts.air, simulator=replace(ready.simulator, air=facts.air))
    there = replace(there, limits=replace(there.limits, glide_eas_mps=facts.eas_mps))
    shape = OverheadShape(
        pattern=plan.exercise.pattern,
        high_key_offset_m=facts.high_key_offset_m,
        upwind_m=facts.upwind_m,
        first_radius_m=0.5 * (facts.low_key_offset_m + facts.high_key_offset_m),
        crosswind_m=0.0,
        downwind_m=facts.downwind_m,
        base_radius_m=facts.base_radius_m,
    )
    path = there.whole(shape, facts.entry_height_m).path
    found = gates_of(path, -plan.exercise.pattern.sign * facts.high_key_offset_m)
    crossing = next((each for each in found if each.name is gate), None)
    return None if crossing is None else path.at(crossing.time_s)[2]
