"""Whole circles before the high key: a spiral down to it, or what is flown when far more height is to spare."""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

from volplane.domain.exercise.exercise import ShapeName
from volplane.domain.exercise.flying import Bench
from volplane.domain.exercise.pilot_limits import even_radius_m, mean_bank_within_rad
from volplane.domain.exercise.plan import Binding
from volplane.domain.exercise.roots import root
from volplane.domain.exercise.shape import OverheadShape

SHALLOWEST_TURN_RAD = math.radians(15.0)
# a steep spiral has at least three circles (FAA-S-ACS-7B, steep spiral)
LEAST_SPIRAL_CIRCLES = 3
_HEIGHT_TOLERANCE_M = 0.02


@dataclass(frozen=True, slots=True)
class Circled:
    """A shape with its circles, what is to spare with them at their wished bank, and what binds."""

    shape: OverheadShape
    surplus_m: float
    binding: Binding | None = None


def with_circles(ready: Bench, bare: OverheadShape, spare_of: Callable[[OverheadShape], float]) -> Circled:
    """As many whole circles as the height to spare allows, widened until the rest is spent.

    `spare_of` tells what a shape has to spare at the low key with the half turn as wished. Circles are not flown
    shallower than 15 degrees; what is left then is spent after the high key. A spiral has three circles at least.
    """
    bank_rad = _wished_bank_rad(ready)

    def spare_m(circles: int, circle_bank_rad: float = bank_rad) -> float:
        return spare_of(_circled(ready, bare, circles, circle_bank_rad))

    without_m = spare_m(0)
    circles = _most(spare_m, without_m)
    if ready.exercise.shape is ShapeName.STEEP_SPIRAL and circles < LEAST_SPIRAL_CIRCLES:
        missing_m = -spare_m(LEAST_SPIRAL_CIRCLES)
        binding = Binding(
            "too-few-circles",
            {"circles": float(circles), "least": float(LEAST_SPIRAL_CIRCLES), "missing_m": missing_m},
        )
        return Circled(_circled(ready, bare, LEAST_SPIRAL_CIRCLES, bank_rad), -missing_m, binding)
    if not circles:
        return Circled(bare, without_m)
    surplus_m = spare_m(circles)
    widest_rad = min(SHALLOWEST_TURN_RAD, bank_rad)
    if surplus_m > _HEIGHT_TOLERANCE_M and spare_m(circles, widest_rad) < 0.0:
        widest_rad = root(lambda trial_rad: spare_m(circles, trial_rad), widest_rad, bank_rad, _HEIGHT_TOLERANCE_M)
    return Circled(_circled(ready, bare, circles, widest_rad), surplus_m)


def _most(spare_m: Callable[[int], float], without_m: float) -> int:
    """The most circles that leave nothing missing: about what one circle costs, then counted up or down."""
    if without_m <= 0.0:
        return 0
    a_circle_m = without_m - spare_m(1)
    if a_circle_m > without_m:
        return 0
    circles = int(without_m // a_circle_m)
    while circles > 0 and spare_m(circles) < 0.0:
        circles -= 1
    while spare_m(circles + 1) >= 0.0:
        circles += 1
    return circles


def _wished_bank_rad(ready: Bench) -> float:
    """The spiral's bank, or that of the half turn, no more than lets the greatest bank stay within the limit."""
    exercise = ready.exercise
    is_spiral = exercise.shape is ShapeName.STEEP_SPIRAL
    wished_rad = exercise.spiral_bank_rad if is_spiral else exercise.high_key_turn_bank_rad
    top_m = exercise.entry_height_m
    most_rad = mean_bank_within_rad(ready.tas_mps(top_m), ready.wind_mps(top_m), exercise.maximum_bank_rad)
    return min(wished_rad, most_rad)


def _circled(ready: Bench, bare: OverheadShape, circles: int, bank_rad: float) -> OverheadShape:
    if not circles:
        return bare
    middle_m = 0.5 * (ready.exercise.entry_height_m + ready.exercise.low_key_height_m)
    radius_m = even_radius_m(ready.tas_mps(middle_m), ready.wind_mps(middle_m), bank_rad)
    return replace(bare, before=replace(bare.before, circles=circles, circle_radius_m=radius_m))
