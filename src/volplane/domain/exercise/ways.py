"""Ways to lose height: what each costs from a gate on, in the stand-in and for real, and why some are not left.

Each way is used alone from the gate on, over the planned path, until the landing configuration goes out anyway; what it
loses beyond the plan is found by flying it (`ways_flown`). In the stand-in some of them hang out already.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass
from enum import StrEnum

from volplane.domain.exercise.flying import Bench
from volplane.domain.exercise.plan import Plan, PlannedGate, WayFromGate
from volplane.domain.exercise.shape import OverheadShape
from volplane.domain.exercise.shape_search import solve_shape
from volplane.domain.exercise.ways_flown import (
    FASTER_MPS,
    Rest,
    bend_in_a_straight,
    costs_m,
    faster,
    rest_of,
    wider,
    with_drag,
)
from volplane.domain.exercise.windows import gate_ias_mps
from volplane.domain.glide.configuration import Configuration, Flap, Gear, Propeller
from volplane.domain.glide.defaults import GEAR_EXTRA_DRAG_FACTOR
from volplane.domain.glide.guided_flight import GuidedFlight, Leg
from volplane.units import FOOT_M

# a configuration of this name in the airplane file is the forward slip, with the gear and flap it is flown with
FORWARD_SLIP = "forward slip"
# what loses less than this is no way to lose height (ours)
_WORTH_IT_M = 10.0 * FOOT_M


class WayName(StrEnum):
    """A way to lose height."""

    GEAR = "gear"
    APPROACH_FLAP = "approach flap"
    FULL_FLAP = "full flap"
    FASTER = "10 kt faster, then recapture"
    MUCH_FASTER = "20 kt faster, then recapture"
    FORWARD_SLIP = "forward slip"
    S_TURN = "S-turn"
    WIDER = "wider turn"


class WhyNot(StrEnum):
    """Why a way is not offered at a gate."""

    USED_UP = "out already"
    TOO_FAST = "above its speed limit"
    TOO_STEEP = "more bank than allowed"
    TOO_FAR = "beyond the distance limit"
    NO_ROOM = "no room left"
    UNKNOWN = "its drag is not in the airplane file"
    NO_STAND_IN = "no stand-in in the airplane file"


@dataclass(frozen=True, slots=True)
class _Column:
    """One column of the table: what hangs out while gliding, and the rest of the path flown with it from a gate."""

    base: Configuration
    rest: Rest


def ways_of(plan: Plan) -> tuple[WayFromGate, ...]:
    """Every way at every gate of a plan; none of a plan that cannot be flown as wished."""
    if not plan.feasible:
        return ()
    solution = solve_shape(plan.exercise)
    flight = solution.bench.whole(solution.shape, solution.entry_height_m)
    return ways_to_lose_height(solution.bench, solution.shape, flight, plan.gates)


def ways_to_lose_height(
    ready: Bench, shape: OverheadShape, flight: GuidedFlight, gates: Sequence[PlannedGate]
) -> tuple[WayFromGate, ...]:
    """Every way at every gate of a planned flight, in order of flying.

    A way the airplane file says nothing about (a forward slip) is left out altogether.
    """
    real = ready.limits.glide_configuration
    stand_in = stand_in_like_the_dead_engine(ready)
    ways = [way for way in WayName if way is not WayName.FORWARD_SLIP or _slip(ready) is not None]
    found = []
    for gate in gates:
        columns = [
            None if base is None else _Column(base, rest_of(ready, shape, flight, gate, base))
            for base in (stand_in, real)
        ]
        for way in ways:
            (flown_m, flown_why), (real_m, real_why) = (_loss(ready, gate, column, way) for column in columns)
            found.append(WayFromGate(gate.name, way.value, flown_m, real_m, flown_why, real_why))
    return tuple(found)


def stand_in_like_the_dead_engine(ready: Bench) -> Configuration | None:
    """The stand-in's gear and flap with just the power that makes it sink like the dead engine at the planned glide.

    That is what a stand-in is for, and its power stays as set when the airplane is flown faster. None where the
    airplane file names none.
    """
    airplane, glide, limits = ready.exercise.airplane, ready.glide, ready.limits
    if airplane.stand_in is None:
        return None
    hung_out = airplane.configuration(airplane.stand_in.configuration)
    clean = limits.glide_configuration
    more = hung_out.extra_drag_factor - clean.extra_drag_factor
    more_drag = 0.5 * more / glide.best_ratio * (limits.glide_eas_mps / glide.best_eas_mps) ** 2
    power_mps = more_drag * ready.tas_mps(0.5 * ready.exercise.entry_height_m)
    return Configuration(
        hung_out.name,
        hung_out.gear,
        hung_out.flap,
        hung_out.propeller,
        hung_out.extra_drag_factor,
        clean.induced_factor,
        clean.thrust_power_per_weight_mps + power_mps,
        hung_out.is_estimate,
    )


def _loss(ready: Bench, gate: PlannedGate, column: _Column | None, way: WayName) -> tuple[float | None, WhyNot | None]:
    """What a way loses in one column, or why it is not offered."""
    if column is None:
        return None, WhyNot.NO_STAND_IN
    legs, why = _legs_of(ready, gate, column, way)
    if legs is None:
        return None, why
    loss_m, flown = costs_m(ready, column.rest, legs)
    if why is None and not flown.arrives:
        why = WhyNot.NO_ROOM
    if flown.steeper_rad > math.radians(1.0):
        why = WhyNot.TOO_STEEP
    elif flown.farthest_m > ready.exercise.distance_limit_m and way in (WayName.S_TURN, WayName.WIDER):
        why = WhyNot.TOO_FAR
    elif _is_too_fast(ready, gate, column, way):
        why = WhyNot.TOO_FAST
    elif loss_m < _WORTH_IT_M:
        why = WhyNot.NO_ROOM
    return (None, why) if why is not None else (loss_m, None)


def _legs_of(
    ready: Bench, gate: PlannedGate, column: _Column, way: WayName
) -> tuple[tuple[Leg, ...] | None, WhyNot | None]:
    """The rest of the legs with the way in them, or why there are none."""
    rest = column.rest
    if way in (WayName.GEAR, WayName.APPROACH_FLAP, WayName.FULL_FLAP):
        return _with_more_out(ready, column, way)
    if way is WayName.FORWARD_SLIP:
        slip = _slip(ready)
        legs = None if slip is None else with_drag(rest, _slip_drag(ready, slip), straight_only=True)
    elif way in (WayName.FASTER, WayName.MUCH_FASTER):
        legs = faster(rest, FASTER_MPS if way is WayName.FASTER else 2.0 * FASTER_MPS)
    elif way is WayName.S_TURN:
        legs = bend_in_a_straight(ready, rest, gate)
    else:
        legs = wider(ready, rest, gate.name)
    return (None, WhyNot.NO_ROOM) if legs is None else (legs, None)


def _with_more_out(ready: Bench, column: _Column, way: WayName) -> tuple[tuple[Leg, ...] | None, WhyNot | None]:
    """Gear or flap out from the gate on."""
    base, rest = column.base, column.rest
    gear, flap = _wanted(base, way)
    if (gear, flap) == (base.gear, base.flap) or not rest.glides:
        return None, WhyNot.USED_UP
    wanted, present = drag_of(ready, gear, flap), drag_of(ready, base.gear, base.flap)
    if wanted is None or present is None:
        return None, WhyNot.UNKNOWN
    return with_drag(rest, wanted - present), None


def _wanted(base: Configuration, way: WayName) -> tuple[Gear, Flap]:
    if way is WayName.GEAR:
        return Gear.DOWN, base.flap
    if way is WayName.APPROACH_FLAP:
        return base.gear, Flap.APPROACH if base.flap is Flap.UP else base.flap
    return base.gear, Flap.FULL


def drag_of(ready: Bench, gear: Gear, flap: Flap) -> float | None:
    """Extra parasite drag of gear and flap with the propeller coarse, as the file says or as the sum of its parts.

    Drags of gear and flap add up; the gear alone is what the estimates say where the file has it with flap only.
    """
    known = {
        (each.gear, each.flap): each.extra_drag_factor
        for each in ready.exercise.airplane.configurations
        if each.propeller is Propeller.COARSE
        and each.thrust_power_per_weight_mps == 0.0
        and FORWARD_SLIP not in each.name
    }
    known.setdefault((Gear.UP, Flap.UP), 0.0)
    if (gear, flap) in known:
        return known[gear, flap]
    gear_alone = known.get((Gear.DOWN, Flap.UP), GEAR_EXTRA_DRAG_FACTOR)
    if gear is Gear.DOWN and flap is Flap.UP:
        return gear_alone
    with_other_gear = known.get((Gear.UP if gear is Gear.DOWN else Gear.DOWN, flap))
    if with_other_gear is None:
        return None
    return with_other_gear + (gear_alone if gear is Gear.DOWN else -gear_alone)


def _slip(ready: Bench) -> Configuration | None:
    known = ready.exercise.airplane.configurations
    return next((each for each in known if each.name == FORWARD_SLIP), None)


def _slip_drag(ready: Bench, slip: Configuration) -> float:
    """What slipping itself adds to the gear and flap it is flown with."""
    return slip.extra_drag_factor - (drag_of(ready, slip.gear, slip.flap) or 0.0)


def _is_too_fast(ready: Bench, gate: PlannedGate, column: _Column, way: WayName) -> bool:
    """Whether a limit for what hangs out lies under the speed the way is begun at, or reaches."""
    gear, flap = column.base.gear, column.base.flap
    if way in (WayName.GEAR, WayName.APPROACH_FLAP, WayName.FULL_FLAP):
        gear, flap = _wanted(column.base, way)
    more = {WayName.FASTER: FASTER_MPS, WayName.MUCH_FASTER: 2.0 * FASTER_MPS}.get(way, 0.0)
    fastest_eas_mps = max([leg.eas_mps for leg in column.rest.legs[:1]] + [column.rest.start.eas_mps]) + more
    fastest_mps = max(gate_ias_mps(ready, fastest_eas_mps, gate.height_m), gate.ias_mps + more)
    limits = ready.exercise.airplane.limits
    bounds = [
        limits.gear_ias_mps if gear is Gear.DOWN else None,
        limits.approach_flap_ias_mps if flap is Flap.APPROACH else None,
        limits.full_flap_ias_mps if flap is Flap.FULL else None,
    ]
    return any(bound is not None and fastest_mps > bound for bound in bounds)
