"""Solves the exercise: where to turn, so that the wishes for gate heights and touchdown come out in today's air.

Two searches, one after the other. From high key to low key the height to lose is given: the bank of the half turn is a
wish. Spare height is spent by a shallower turn, as long as that does not push the low key so far out that the turn to
final ends too low; then by an upwind leg, then by a lower entry. Missing height is won by a steeper turn up to the
limit. Where there is more to spare than a whole circle costs, circles are flown first (`circles`). From the low key on
the downwind leg is as long as brings the wheels onto the touchdown point, with the reserve in hand until the point is
made on final; shapes that begin there or on the base leg have this second search alone, and turn to base as steeply as
it takes, up to the limit. Every trial is a flight of the integrator; the searches only close in.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.before_key import NOTHING_BEFORE, BeforeKey, way_to_key
from volplane.domain.exercise.circles import SHALLOWEST_TURN_RAD, with_circles
from volplane.domain.exercise.downwind_search import downwind_to_touchdown, height_on_final_m
from volplane.domain.exercise.exercise import Exercise, GateName, HalfTurn, ShapeName
from volplane.domain.exercise.flying import HEIGHT, Bench, bench, drifted
from volplane.domain.exercise.obstacles import obstacle_in_the_way
from volplane.domain.exercise.pilot_limits import even_radius_m, frame_of, mean_bank_within_rad, wished_ias_mps
from volplane.domain.exercise.plan import Binding
from volplane.domain.exercise.roots import root, root_between
from volplane.domain.exercise.shape import (
    LANDING_CONFIGURATION_HEIGHT_M,
    OverheadShape,
)
from volplane.domain.exercise.speeds import eas_mps_from_ias_mps
from volplane.units import FOOT_M

Array = NDArray[np.float64]

_HEIGHT_TOLERANCE_M = 0.02
# a shallower half turn leaves the turn to final complete so much above its least height (75 ft, ours)
_ROOM_ON_FINAL_M = 75.0 * FOOT_M
_ROOM_TOLERANCE_M = 0.5
# the integrator gives up 30 m below the touchdown point; a way too long for its height is flown so much higher
_ENDED_BELOW_M, _HIGHER_M, _ROUNDS_FROM_HIGHER = -29.0, 3000.0, 3
_BANK_HALVINGS = 5


@dataclass(frozen=True, slots=True)
class Solution:
    """A shape that works, or the one that comes nearest with the limit that binds.

    `entry_height_m` is what is left of the wish when spare height could not be spent; `surplus_m` is the height to
    spare between the wished entry and low key when the half turn is flown as wished.
    """

    bench: Bench
    shape: OverheadShape
    entry_height_m: float
    low_key_height_m: float
    surplus_m: float
    binding: Binding | None

    @property
    def is_feasible(self) -> bool:
        """Whether nothing binds."""
        return self.binding is None


def solve_shape(exercise: Exercise, ready: Bench | None = None) -> Solution:
    """Find the legs of the exercise, or what makes it impossible."""
    ready = bench(exercise) if ready is None else ready
    solution = _overhead(ready) if exercise.shape.has_high_key else _without_high_key(ready)
    if solution.binding is None and exercise.obstacles:
        flight = ready.whole(solution.shape, solution.entry_height_m)
        solution = replace(solution, binding=obstacle_in_the_way(exercise, flight.path))
    return solution


def _overhead(ready: Bench) -> Solution:
    """Down to the low key, then to the wheels."""
    first = _to_low_key(ready)
    if first.binding is not None:
        return first
    return _to_touchdown(first, ready.to_low_key(first.shape, first.entry_height_m)[-1])


def _without_high_key(ready: Bench) -> Solution:
    """From the low key or the base leg, turning as shallowly as wished or, where that falls short, as it takes.

    A wished offset is kept: then the bank is what was wished.
    """
    exercise = ready.exercise
    steepest = exercise.maximum_bank_below_low_key_rad
    shallow_rad = exercise.base_turn_bank_rad
    wished = _with_base_bank(ready, shallow_rad)
    if wished.is_feasible or exercise.low_key_offset_m is not None:
        return wished
    middle_m = 0.5 * exercise.entry_height_m
    steep_rad = max(mean_bank_within_rad(ready.tas_mps(middle_m), ready.wind_mps(middle_m), steepest), shallow_rad)
    found = _with_base_bank(ready, steep_rad)
    if not found.is_feasible:
        return found
    for _ in range(_BANK_HALVINGS):
        middle_rad = 0.5 * (shallow_rad + steep_rad)
        trial = _with_base_bank(ready, middle_rad)
        if trial.is_feasible:
            found, steep_rad = trial, middle_rad
        else:
            shallow_rad = middle_rad
    return found


def _with_base_bank(ready: Bench, bank_rad: float) -> Solution:
    """A shape without a high key with this bank from downwind to final, two radii wide unless wished otherwise."""
    exercise = ready.exercise
    radius_m = _base_radius_m(ready, bank_rad)
    offset_m = 2.0 * radius_m if exercise.low_key_offset_m is None else exercise.low_key_offset_m
    shape = replace(_wished_shape(ready), base_radius_m=radius_m, drifted_offset_m=offset_m)
    entry_m = exercise.entry_height_m
    first = Solution(ready, shape, entry_m, entry_m, 0.0, None)
    return _to_touchdown(first, ready.abeam(shape, entry_m))


def _wished_shape(ready: Bench) -> OverheadShape:
    exercise = ready.exercise
    high_ias = wished_ias_mps(exercise, GateName.HIGH_KEY)
    high_eas = None
    if high_ias is not None:
        above_field_m = exercise.low_key_height_m + ready.air.base_above_field_m
        high_eas = eas_mps_from_ias_mps(exercise.airplane, high_ias, exercise.weather.atmosphere, above_field_m)
    first_radius_m = _first_radius_m(ready, exercise.high_key_turn_bank_rad)
    heights = [phase.start_height_m for phase in exercise.phases if phase.start_height_m is not None]
    return OverheadShape(
        pattern=exercise.pattern,
        high_key_offset_m=exercise.high_key_offset_m,
        upwind_m=0.0,
        first_radius_m=first_radius_m,
        crosswind_m=0.0,
        downwind_m=0.0,
        base_radius_m=_base_radius_m(ready, exercise.base_turn_bank_rad),
        half_turn=exercise.half_turn,
        first_bank_rad=exercise.high_key_turn_bank_rad,
        high_key_eas_mps=high_eas,
        landing_height_m=min([LANDING_CONFIGURATION_HEIGHT_M, *heights]),
        name=exercise.shape,
        before=_before_key(exercise, first_radius_m),
    )


def _before_key(exercise: Exercise, radius_m: float) -> BeforeKey:
    """The way to the high key of an en-route exercise, turned as the half turn is; circles come later."""
    if exercise.shape is not ShapeName.EN_ROUTE or exercise.start_position_deg is None:
        return NOTHING_BEFORE
    start_x_m, start_y_m = frame_of(exercise).xy_m(*exercise.start_position_deg)
    key_y_m = -exercise.pattern.sign * exercise.high_key_offset_m
    return BeforeKey(way_to_key(start_x_m, start_y_m, key_y_m, radius_m))


def _first_radius_m(ready: Bench, bank_rad: float) -> float:
    middle_m = 0.5 * (ready.exercise.entry_height_m + ready.exercise.low_key_height_m)
    return even_radius_m(ready.tas_mps(middle_m), ready.wind_mps(middle_m), bank_rad)


def _base_radius_m(ready: Bench, bank_rad: float) -> float:
    middle_m = 0.5 * ready.exercise.low_key_height_m
    return even_radius_m(ready.tas_mps(middle_m), ready.wind_mps(middle_m), bank_rad)


def _with_bank(ready: Bench, shape: OverheadShape, bank_rad: float, height_m: float) -> OverheadShape:
    """The shape with another bank in the half turn, as wide as that makes it or as the wished offset wants."""
    radius_m = _first_radius_m(ready, bank_rad)
    asked_m = ready.exercise.low_key_offset_m
    across_m = 0.0 if asked_m is None else max(asked_m - (2.0 * radius_m - shape.high_key_offset_m), 0.0)
    turned = replace(shape, first_radius_m=radius_m, first_bank_rad=bank_rad, crosswind_m=across_m)
    return drifted(ready, turned, height_m)


def _to_low_key(ready: Bench) -> Solution:
    """Legs from the high key to the low key at its wished height."""
    exercise = ready.exercise
    entry_m, wish_m = exercise.entry_height_m, exercise.low_key_height_m
    wished_bank = exercise.high_key_turn_bank_rad

    def spare_of(shape: OverheadShape) -> float:
        return _height_at_low_key(ready, _with_bank(ready, shape, wished_bank, entry_m), entry_m) - wish_m

    circled = with_circles(ready, _wished_shape(ready), spare_of)
    bare, surplus_m = circled.shape, circled.surplus_m
    if circled.binding is not None:
        shape = _with_bank(ready, bare, wished_bank, entry_m)
        return Solution(ready, shape, entry_m, _height_at_low_key(ready, shape, entry_m), surplus_m, circled.binding)

    def spare_with_bank(bank_rad: float) -> float:
        return _height_at_low_key(ready, _with_bank(ready, bare, bank_rad, entry_m), entry_m) - wish_m

    if surplus_m < -_HEIGHT_TOLERANCE_M:
        return _steeper(ready, bare, surplus_m, spare_with_bank)
    if spare_with_bank(wished_bank) <= _HEIGHT_TOLERANCE_M:
        return Solution(ready, _with_bank(ready, bare, wished_bank, entry_m), entry_m, wish_m, surplus_m, None)
    shallowest = min(SHALLOWEST_TURN_RAD, wished_bank)
    if spare_with_bank(shallowest) <= 0.0:
        shallowest = root(spare_with_bank, shallowest, wished_bank, _HEIGHT_TOLERANCE_M)
    bank_rad, shape = _with_room_on_final(ready, bare, shallowest)
    shape = _with_bank(ready, shape, bank_rad, entry_m)
    if bank_rad == shallowest and abs(spare_with_bank(bank_rad)) <= _HEIGHT_TOLERANCE_M:
        return Solution(ready, shape, entry_m, wish_m, surplus_m, None)
    return _upwind_or_lower(ready, shape, surplus_m)


def _with_room_on_final(ready: Bench, bare: OverheadShape, shallowest: float) -> tuple[float, OverheadShape]:
    """The shallowest half turn, not under the one given, after which the turn to final still ends high enough.

    Asked from a low key at its wished height with wings level, so that it does not depend on how it was reached. The
    shape returned is where the last search ended, a good beginning for the next.
    """
    wished, exercise = ready.exercise.high_key_turn_bank_rad, ready.exercise
    least_m = ready.limits.final_complete_height_m + _ROOM_ON_FINAL_M
    near = bare

    def room_on_final(bank_rad: float) -> float:
        nonlocal near
        shape = _with_bank(ready, near, bank_rad, exercise.entry_height_m)
        abeam = ready.abeam(shape, exercise.low_key_height_m)
        near = found = downwind_to_touchdown(ready, shape, abeam)[0]
        return height_on_final_m(ready, found, ready.from_low_key(found, abeam)) - least_m

    room_m = room_on_final(shallowest)
    if room_m >= 0.0:
        return shallowest, near
    wished_room_m = room_on_final(wished)
    if wished_room_m <= 0.0:
        return wished, near
    return root_between(room_on_final, (shallowest, room_m), (wished, wished_room_m), _ROOM_TOLERANCE_M), near


def _steeper(
    ready: Bench, bare: OverheadShape, surplus_m: float, spare_with_bank: Callable[[float], float]
) -> Solution:
    """Win the missing height by a steeper half turn, up to the limit of bank and the room the turn to base needs."""
    exercise = ready.exercise
    entry_m, wish_m = exercise.entry_height_m, exercise.low_key_height_m
    steepest = _steepest_mean_bank_rad(ready, bare)
    if spare_with_bank(steepest) < 0.0:
        shape = _with_bank(ready, bare, steepest, entry_m)
        low_key_m = _height_at_low_key(ready, shape, entry_m)
        binding = Binding(
            "low-key-too-high",
            {"missing_m": wish_m - low_key_m, "bank_rad": exercise.maximum_bank_rad, "reached_m": low_key_m},
        )
        return Solution(ready, shape, entry_m, low_key_m, surplus_m, binding)
    bank_rad = root(spare_with_bank, exercise.high_key_turn_bank_rad, steepest, _HEIGHT_TOLERANCE_M)
    return Solution(ready, _with_bank(ready, bare, bank_rad, entry_m), entry_m, wish_m, surplus_m, None)


def _steepest_mean_bank_rad(ready: Bench, bare: OverheadShape) -> float:
    """The mean bank of the half turn at which its greatest bank is the limit: wind makes the two differ."""
    limit, entry_m = ready.exercise.maximum_bank_rad, ready.exercise.entry_height_m
    if ready.exercise.half_turn is HalfTurn.CONSTANT_BANK:
        return limit
    bank_rad = limit
    for _ in range(4):
        radius_m = _first_radius_m(ready, bank_rad)
        ground_mps = ready.tas_mps(entry_m) + ready.wind_mps(entry_m)
        greatest = math.atan(ground_mps**2 / (9.80665 * radius_m))
        if greatest <= limit:
            return bank_rad
        bank_rad = math.atan(math.tan(bank_rad) * math.tan(limit) / math.tan(greatest))
    return max(bank_rad, ready.exercise.high_key_turn_bank_rad)


def _upwind_or_lower(ready: Bench, shape: OverheadShape, surplus_m: float) -> Solution:
    """Spend what a shallow half turn leaves over: upwind leg to the distance limit, then a lower entry."""
    exercise = ready.exercise
    entry_m, wish_m = exercise.entry_height_m, exercise.low_key_height_m
    farthest_m = max(exercise.distance_limit_m - shape.first_radius_m, 0.0)

    def spare_with_upwind(upwind_m: float) -> float:
        return _height_at_low_key(ready, replace(shape, upwind_m=upwind_m), entry_m) - wish_m

    if spare_with_upwind(farthest_m) <= 0.0:
        upwind_m = root(spare_with_upwind, shape.upwind_m, farthest_m, _HEIGHT_TOLERANCE_M)
        return Solution(ready, replace(shape, upwind_m=upwind_m), entry_m, wish_m, surplus_m, None)
    longest = replace(shape, upwind_m=farthest_m)
    lower_m = entry_m
    for _ in range(4):
        lower_m -= _height_at_low_key(ready, longest, lower_m) - wish_m
    return Solution(ready, longest, lower_m, wish_m, surplus_m, None)


def _height_at_low_key(ready: Bench, shape: OverheadShape, entry_m: float) -> float:
    """Height at the low key; below the ground, from far away, by how much higher the same way had to be begun."""
    reached_m = float(ready.to_low_key(shape, entry_m)[-1, HEIGHT])
    higher_m = _HIGHER_M
    if reached_m <= _ENDED_BELOW_M:
        for _ in range(_ROUNDS_FROM_HIGHER):
            reached_m = float(ready.to_low_key(shape, entry_m + higher_m)[-1, HEIGHT]) - higher_m
            higher_m = ready.exercise.low_key_height_m - reached_m
    return reached_m


def _to_touchdown(first: Solution, abeam: Array) -> Solution:
    """The downwind leg that brings the wheels onto the touchdown point, from a row of the integrator abeam it."""
    ready = first.bench
    too_narrow = _turn_to_base_too_tight(ready, first)
    if too_narrow is not None:
        return replace(first, binding=too_narrow)

    shape, binding = downwind_to_touchdown(ready, first.shape, abeam)
    if binding is None:
        binding = _low_turn_to_final(ready, shape, ready.from_low_key(shape, abeam))
    return replace(first, shape=shape, binding=binding)


def _turn_to_base_too_tight(ready: Bench, first: Solution) -> Binding | None:
    """Whether the offset leaves no room for the turn to base within the bank allowed below the low key."""
    shape, exercise = first.shape, ready.exercise
    offset_m = shape.low_key_offset_m
    turns = 2.0 if shape.name.has_low_key else 1.0
    middle_m = 0.7 * first.low_key_height_m
    ground_mps = ready.tas_mps(middle_m) + ready.wind_mps(middle_m)
    limit = exercise.maximum_bank_below_low_key_rad
    least_m = turns * ready.tas_mps(middle_m) ** 2 / (9.80665 * math.tan(limit))
    if offset_m >= least_m:
        return None
    needed = math.atan(ground_mps**2 / (9.80665 * max(offset_m / turns, 1.0)))
    return Binding(
        "offset-too-small", {"offset_m": offset_m, "least_m": least_m, "bank_rad": needed, "limit_rad": limit}
    )


def _low_turn_to_final(ready: Bench, shape: OverheadShape, rows: Array) -> Binding | None:
    """Whether the turn to final ends too low."""
    height_m = height_on_final_m(ready, shape, rows)
    if height_m >= ready.limits.final_complete_height_m - _HEIGHT_TOLERANCE_M:
        return None
    return Binding("turn-to-final-too-low", {"height_m": height_m, "limit_m": ready.limits.final_complete_height_m})
