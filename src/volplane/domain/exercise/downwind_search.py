"""From the low key on: the downwind leg that brings the wheels onto the touchdown point, and what binds if none does.

The reserve stays in hand until the point is made on final and is lost there by extra drag, so that leg and drag depend
on each other. Every trial is a flight of the integrator.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.flying import BANK, EAS, EXTRA_DRAG_OUT, HEIGHT, LEG, TAS, TRACK, Bench
from volplane.domain.exercise.plan import Binding
from volplane.domain.exercise.shape import FINAL, FINAL_CLEAN, FINAL_RESERVE, OverheadShape

Array = NDArray[np.float64]

_PLACE_TOLERANCE_M = 0.02
_MOST_TRIALS = 40
# a metre more downwind leg brings the touchdown some two metres back; where a search begins
_USUAL_SLOPE = -2.2
_USUAL_DOWNWIND_M = 1000.0
# a metre lost on final brings it some seven metres back
_USUAL_RATIO = -7.0
_BROYDEN_STEPS = 14
# rounds that settle the drag for losing the reserve, its first guess and the most of it, in clean parasite drags (ours)
_RESERVE_ROUNDS = 6
_RESERVE_TOLERANCE_M = 0.2
_FIRST_RESERVE_DRAG = 0.5
_MOST_RESERVE_DRAG = 6.0
_TEN_DEGREES_RAD = math.radians(10.0)
_SINE_OF_TEN_DEGREES = math.sin(_TEN_DEGREES_RAD)


def downwind_to_touchdown(ready: Bench, shape: OverheadShape, abeam_row: Array) -> tuple[OverheadShape, Binding | None]:
    """The shape with the downwind leg that brings the wheels onto the point, or the nearest one and what binds.

    The drag that loses the reserve on final and the length of that final depend on each other; rounds settle both.
    """
    if ready.exercise.reserve_m <= 0.0:
        return _leg_at_drag(ready, replace(shape, reserve_drag_factor=0.0), abeam_row)
    shape = replace(shape, reserve_drag_factor=shape.reserve_drag_factor or _FIRST_RESERVE_DRAG)
    together = _leg_and_drag(ready, shape, abeam_row)
    return (together, None) if together is not None else _in_rounds(ready, shape, abeam_row)


def _leg_and_drag(ready: Bench, shape: OverheadShape, abeam_row: Array) -> OverheadShape | None:
    """Downwind leg and drag on final together by Broyden's rule; None where it leaves the limits or does not settle."""
    shortest_m, farthest_m = _downwind_limits_m(ready, shape)
    unknown = np.array([shape.downwind_m or _USUAL_DOWNWIND_M, shape.reserve_drag_factor])

    def residual(trial: Array) -> Array:
        flown = replace(shape, downwind_m=float(trial[0]), reserve_drag_factor=float(trial[1]))
        rows = ready.from_low_key(flown, abeam_row)
        return np.array([ready.touchdown_x_m(rows), _reserve_lost_m(ready, flown, rows) - ready.exercise.reserve_m])

    value = residual(unknown)
    a_unit_of_drag_m = (value[1] + ready.exercise.reserve_m) / unknown[1]
    slopes = np.array([[_USUAL_SLOPE, _USUAL_RATIO * a_unit_of_drag_m], [0.0, a_unit_of_drag_m]])
    for _ in range(_BROYDEN_STEPS):
        if abs(value[0]) <= _PLACE_TOLERANCE_M and abs(value[1]) <= _RESERVE_TOLERANCE_M:
            return replace(shape, downwind_m=float(unknown[0]), reserve_drag_factor=float(unknown[1]))
        if not abs(np.linalg.det(slopes)) > 1e-9:
            return None
        step = -np.linalg.solve(slopes, value)
        following = unknown + step
        if not (shortest_m <= following[0] <= farthest_m and 0.0 < following[1] <= _MOST_RESERVE_DRAG):
            return None
        following_value = residual(following)
        slopes += np.outer(following_value - value - slopes @ step, step) / float(step @ step)
        unknown, value = following, following_value
    return None


def _in_rounds(ready: Bench, shape: OverheadShape, abeam_row: Array) -> tuple[OverheadShape, Binding | None]:
    """Downwind leg and drag on final in turn, so that a limit that binds is found and named."""
    reserve_m = ready.exercise.reserve_m
    found, binding = _leg_at_drag(ready, shape, abeam_row)
    for _ in range(_RESERVE_ROUNDS if binding is None else 0):
        lost_m = _reserve_lost_m(ready, found, ready.from_low_key(found, abeam_row))
        if abs(lost_m - reserve_m) < _RESERVE_TOLERANCE_M:
            break
        factor = min(found.reserve_drag_factor * reserve_m / max(lost_m, 0.1 * reserve_m), _MOST_RESERVE_DRAG)
        found, binding = _leg_at_drag(ready, replace(found, reserve_drag_factor=factor), abeam_row)
    return found, binding


def _downwind_limits_m(ready: Bench, shape: OverheadShape) -> tuple[float, float]:
    """The shortest downwind leg, for the shortest final, and the longest within the distance limit."""
    shortest_m = max(ready.exercise.minimum_final_m - ready.aim_x_m, 0.0)
    base_radius_m = max(shape.base_radius_m, 0.5 * shape.low_key_offset_m)
    return shortest_m, max(ready.exercise.distance_limit_m - base_radius_m, shortest_m + 1.0)


def _reserve_lost_m(ready: Bench, shape: OverheadShape, rows: Array) -> float:
    """Height that the drag for losing the reserve has cost on a flight from the low key."""
    glide = ready.glide
    more = np.maximum(rows[:, EXTRA_DRAG_OUT] - ready.limits.landing_configuration.extra_drag_factor, 0.0)
    loss_mps = 0.5 * more / glide.best_ratio * (rows[:, EAS] / glide.best_eas_mps) ** 2 * rows[:, TAS]
    return float(np.trapezoid(loss_mps, rows[:, 0]))


def _leg_at_drag(ready: Bench, shape: OverheadShape, abeam_row: Array) -> tuple[OverheadShape, Binding | None]:
    """The downwind leg for a given drag on final."""

    def beyond_point(downwind_m: float) -> float:
        return ready.touchdown_x_m(ready.from_low_key(replace(shape, downwind_m=downwind_m), abeam_row))

    shortest_m, farthest_m = _downwind_limits_m(ready, shape)
    downwind_m, beyond_m = _near_root(beyond_point, shape.downwind_m or _USUAL_DOWNWIND_M, shortest_m, farthest_m)
    found = replace(shape, downwind_m=downwind_m)
    if abs(beyond_m) <= _PLACE_TOLERANCE_M:
        return found, None
    if beyond_m < 0.0:
        return found, Binding("no-downwind-left", {"short_m": -beyond_m})
    return found, Binding("distance-limit", {"long_m": beyond_m, "limit_m": ready.exercise.distance_limit_m})


def _near_root(
    beyond_point: Callable[[float], float], guess_m: float, shortest_m: float, farthest_m: float
) -> tuple[float, float]:
    """A downwind leg and how far beyond the point it touches down, by the secant rule from a guess, within the limits.

    A longer downwind leg always touches down shorter, so a limit still on the wrong side is the nearest there is.
    """
    here = min(max(guess_m, shortest_m), farthest_m)
    value = beyond_point(here)
    slope = _USUAL_SLOPE
    for _ in range(_MOST_TRIALS):
        following = min(max(here - value / slope, shortest_m), farthest_m)
        if abs(value) <= _PLACE_TOLERANCE_M or following == here:
            break
        following_value = beyond_point(following)
        secant = (following_value - value) / (following - here)
        slope = min(max(secant, 4.0 * _USUAL_SLOPE), 0.25 * _USUAL_SLOPE)
        here, value = following, following_value
    return here, value


def height_on_final_m(ready: Bench, shape: OverheadShape, rows: Array) -> float:
    """Height at which the turn to final is complete: bank and track within 10 degrees from there on."""
    names = [leg.name for leg in shape.from_low_key(ready.limits)]
    turned = np.array([name in (FINAL_CLEAN, FINAL_RESERVE, FINAL) for name in names])[rows[:, LEG].astype(int)]
    off = np.maximum(np.abs(rows[:, BANK]) / _TEN_DEGREES_RAD, np.abs(np.sin(rows[:, TRACK])) / _SINE_OF_TEN_DEGREES)
    done = np.flatnonzero(turned & (off < 1.0))
    if not len(done):
        return 0.0
    at, before = int(done[0]), max(int(done[0]) - 1, 0)
    part = (off[before] - 1.0) / (off[before] - off[at]) if off[before] > 1.0 else 1.0
    return float(rows[before, HEIGHT] + part * (rows[at, HEIGHT] - rows[before, HEIGHT]))
