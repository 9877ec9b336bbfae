"""Flies the rest of a planned path with a way to lose height in it, and says what it cost beyond the plan.

The path over the ground stays (save where the way is a longer path); every leg then ends at a place, not at a height,
so that the height lost is the difference of two flights between the same two places. The start is raised by what the
way loses, so that both end at 50 ft in the same air.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np

from volplane.domain.exercise.exercise import GateName, HalfTurn
from volplane.domain.exercise.flying import BANK, HEIGHT, LEG, Bench, X, Y
from volplane.domain.exercise.plan import PlannedGate
from volplane.domain.exercise.shape import (
    BASE_TURN,
    FINAL,
    FINAL_CLEAN,
    FINAL_RESERVE,
    FINAL_TURN,
    OverheadShape,
)
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.guided_flight import GuidedFlight, Leg, LegKind, Start
from volplane.units import FOOT_M, KNOT_MPS

FASTER_MPS = 10.0 * KNOT_MPS
# a wider turn is so much wider, an S-turn leaves the track by this angle (ours: what can be said in one word)
WIDER_M = 1000.0 * FOOT_M
S_TURN_RAD = math.radians(45.0)
_NO_HEIGHT_M = -1e9
# the first flight starts so much higher; the integrator ends a flight under the touchdown point
_FIRST_HIGHER_M = 150.0
_HARDLY_M = 1.0
_ON_FINAL = (FINAL_CLEAN, FINAL_RESERVE, FINAL)


@dataclass(frozen=True, slots=True)
class Rest:
    """What is left of the planned flight from a gate on: state, legs ending at places, and the height they lose.

    `first` is the leg of the whole shape it begins in, `glides` are the places in `legs` of those flown before the
    landing configuration. `loss_m` belongs to the flight with the glide configuration of its column, `end_x_m` is where
    it passes 50 ft.
    """

    shape: OverheadShape
    first: int
    start: Start
    legs: tuple[Leg, ...]
    glides: tuple[int, ...]
    loss_m: float
    end_x_m: float


@dataclass(frozen=True, slots=True)
class FlownWay:
    """What a flight with a way in it did: bank beyond the limit, distance, whether it came to the same end."""

    steeper_rad: float
    farthest_m: float
    arrives: bool


def rest_of(ready: Bench, shape: OverheadShape, flight: GuidedFlight, gate: PlannedGate, base: Configuration) -> Rest:
    """The rest of a planned flight from a gate on, its glide flown in `base`."""
    path = flight.path
    row = max(int(np.searchsorted(path.time_s, gate.time_s, side="right")) - 1, 0)
    first = int(path.phase_index[row])
    start = Start(
        gate.x_m,
        gate.y_m,
        gate.height_m,
        *(
            float(np.interp(gate.time_s, path.time_s, values))
            for values in (path.heading_rad, path.eas_mps, path.bank_rad)
        ),
    )
    legs = tuple(_at_place(leg, flight, first + i) for i, leg in enumerate(flight.legs[first:]))
    legs = tuple(leg for i, leg in enumerate(legs) if leg.name not in _ON_FINAL or _was_flown(flight, first + i))
    planned = ready.limits.glide_configuration
    glides = tuple(i for i, leg in enumerate(legs) if leg.configuration == planned)
    legs = tuple(replace(leg, configuration=base) if i in glides else leg for i, leg in enumerate(legs))
    end_x_m = float(path.x_m[-1])
    rest = Rest(shape, first, start, legs, glides, 0.0, end_x_m)
    loss_m, _ = _fly(ready, rest, legs, start.height_m)
    return replace(rest, loss_m=loss_m)


def _was_flown(flight: GuidedFlight, leg_index: int) -> bool:
    """Whether a leg has rows: a final that begins low enough is never flown clean."""
    return bool((flight.path.phase_index == leg_index).any())


def _at_place(leg: Leg, flight: GuidedFlight, leg_index: int) -> Leg:
    """A leg of the final ends where the plan ended it, whatever the height."""
    if leg.name not in _ON_FINAL or not _was_flown(flight, leg_index):
        return leg
    path = flight.path
    after = int(np.flatnonzero(path.phase_index == leg_index)[-1]) + 1
    return replace(leg, x_m=float(path.x_m[min(after, len(path.x_m) - 1)]), end_height_m=_NO_HEIGHT_M)


def costs_m(ready: Bench, rest: Rest, legs: tuple[Leg, ...]) -> tuple[float, FlownWay]:
    """Height these legs lose beyond the planned rest, begun so much higher that they end as low."""
    more_m = _FIRST_HIGHER_M
    flown = FlownWay(0.0, 0.0, False)
    for _ in range(3):
        loss_m, flown = _fly(ready, rest, legs, rest.start.height_m + more_m)
        if flown.arrives and abs(loss_m - rest.loss_m - more_m) < _HARDLY_M:
            return loss_m - rest.loss_m, flown
        more_m = loss_m - rest.loss_m if flown.arrives else 3.0 * more_m
    return more_m, flown


def _fly(ready: Bench, rest: Rest, legs: tuple[Leg, ...], height_m: float) -> tuple[float, FlownWay]:
    rows = ready.simulator.fly_rows(replace(rest.start, height_m=height_m), legs)
    limits = ready.limits
    allowed = np.where(rows[:, HEIGHT] >= limits.bank_band_height_m, limits.bank_high_rad, limits.bank_low_rad)
    flown = FlownWay(
        float(np.max(np.abs(rows[:, BANK]) - allowed)),
        float(np.hypot(rows[:, X], rows[:, Y]).max()),
        bool(int(rows[-1, LEG]) == len(legs) - 1 and abs(float(rows[-1, X]) - rest.end_x_m) < _HARDLY_M),
    )
    return height_m - float(rows[-1, HEIGHT]), flown


def with_drag(rest: Rest, drag_factor: float, *, straight_only: bool = False) -> tuple[Leg, ...] | None:
    """The legs with so much more parasite drag until the landing configuration; on final, until the last hundred feet.

    `straight_only` leaves turns as they are; None where nothing is left.
    """
    places = set(rest.glides)
    if straight_only:
        places |= {i for i, leg in enumerate(rest.legs) if leg.name == FINAL_RESERVE}
        places = {i for i in places if rest.legs[i].kind is LegKind.LINE}
    if not places:
        return None
    return tuple(_dragged(leg, drag_factor) if i in places else leg for i, leg in enumerate(rest.legs))


def _dragged(leg: Leg, drag_factor: float) -> Leg:
    known = leg.configuration
    return replace(leg, configuration=replace(known, extra_drag_factor=known.extra_drag_factor + drag_factor))


def faster(rest: Rest, more_mps: float) -> tuple[Leg, ...] | None:
    """The legs so much faster until the last turn begins, where the planned speed is recaptured; None if it has."""
    names = [leg.name for leg in rest.legs]
    last_turn = FINAL_TURN if FINAL_TURN in names else BASE_TURN
    until = names.index(last_turn) if last_turn in names else 0
    if until == 0:
        return None
    return tuple(replace(leg, eas_mps=leg.eas_mps + more_mps) if i < until else leg for i, leg in enumerate(rest.legs))


def bend_in_a_straight(ready: Bench, rest: Rest, gate: PlannedGate) -> tuple[Leg, ...] | None:
    """An S-turn out and back in the first straight that is long enough for it; None where there is none.

    Away from the runway by 45 degrees, back across the track by as much, and onto it again, at the bank allowed low
    down; not on final, where the last turn has lined the airplane up.
    """
    bank_rad = ready.limits.bank_low_rad
    ground_mps = ready.tas_mps(gate.height_m) + ready.wind_mps(gate.height_m)
    needed_m = 4.0 * ground_mps**2 / (9.80665 * math.tan(bank_rad)) * math.sin(S_TURN_RAD)
    here = (rest.start.x_m, rest.start.y_m)
    for i in rest.glides:
        leg = rest.legs[i]
        if leg.name in _ON_FINAL:
            break
        if leg.kind is LegKind.LINE and _length_m(leg, here) >= needed_m:
            side = -rest.shape.pattern.sign if abs(leg.track_rad) < 0.5 * math.pi else rest.shape.pattern.sign
            bends = tuple(
                replace(
                    leg,
                    name="S-turn",
                    kind=LegKind.TURN,
                    track_rad=leg.track_rad + off_rad,
                    turn_sign=sign,
                    bank_rad=bank_rad,
                )
                for off_rad, sign in _bends(side)
            )
            return (*rest.legs[:i], *bends, *rest.legs[i:])
        here = (leg.x_m, leg.y_m) if leg.kind is LegKind.LINE else _end_of_arc(leg)
    return None


def _bends(side: int) -> tuple[tuple[float, int], ...]:
    """Track off the leg and hand of the three turns."""
    return (-side * S_TURN_RAD, -side), (side * S_TURN_RAD, side), (0.0, -side)


def _length_m(leg: Leg, here: tuple[float, float]) -> float:
    return (leg.x_m - here[0]) * math.cos(leg.track_rad) + (leg.y_m - here[1]) * math.sin(leg.track_rad)


def _end_of_arc(leg: Leg) -> tuple[float, float]:
    angle_rad = leg.track_rad - leg.turn_sign * 0.5 * math.pi
    return leg.x_m + leg.radius_m * math.cos(angle_rad), leg.y_m + leg.radius_m * math.sin(angle_rad)


def wider(ready: Bench, rest: Rest, gate: GateName) -> tuple[Leg, ...] | None:
    """The legs with the next turn 1,000 ft wider, or begun 1,000 ft later where its width is settled already.

    From the high key the half turn is wider (a turn at constant bank begins later); from the low key the turn to base
    begins later. None once that turn has begun.
    """
    shape = rest.shape
    if gate is GateName.HIGH_KEY and shape.half_turn is HalfTurn.EVEN_RADIUS:
        wide = replace(shape, first_radius_m=shape.first_radius_m + 0.5 * WIDER_M)
        if shape.drifted_offset_m is not None:
            wide = replace(wide, drifted_offset_m=shape.drifted_offset_m + WIDER_M)
    elif gate is GateName.HIGH_KEY:
        wide = replace(shape, upwind_m=shape.upwind_m + WIDER_M)
    elif gate is GateName.LOW_KEY:
        wide = replace(shape, downwind_m=shape.downwind_m + WIDER_M)
    else:
        return None
    planned = wide.legs(ready.limits) if gate is GateName.HIGH_KEY else wide.from_low_key(ready.limits)
    new = [leg for leg in planned if leg.name not in _ON_FINAL]
    if gate is GateName.HIGH_KEY:
        new = new[rest.first :]
    final = tuple(leg for leg in rest.legs if leg.name in _ON_FINAL)
    glide = rest.legs[rest.glides[0]].configuration if rest.glides else ready.limits.glide_configuration
    return (*(replace(leg, configuration=glide) for leg in new), *final)
