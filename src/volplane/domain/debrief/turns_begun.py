"""When and where a turn of the exercise began, by one rule for the plan and for the flight, so that they can be
compared.

A turn has begun when the bank passes 8 degrees (ours). Of a plan and of a flight the same bank is looked for, so how
long a roll takes is in both.
"""

from __future__ import annotations

import math
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Plan
from volplane.units import rad_from_deg

Array = NDArray[np.float64]

LEVEL_RAD = rad_from_deg(8.0)
# on the way downwind; at the base key the wings may be level again
_DOWNWIND_WITHIN_RAD = rad_from_deg(45.0)


class BankedPath(Protocol):
    """What is read of a planned or flown path; arrays (n,) in the runway frame."""

    @property
    def time_s(self) -> Array:
        """Time, strictly growing."""
        ...

    @property
    def x_m(self) -> Array:
        """Along the landing direction from the touchdown point."""
        ...

    @property
    def track_rad(self) -> Array:
        """Direction over the ground, anticlockwise from the landing direction."""
        ...

    @property
    def bank_rad(self) -> Array:
        """Bank, positive right wing down."""
        ...


def turn_to_base_s(path: BankedPath, low_key_s: float, base_key_s: float) -> float | None:
    """When the turn to base began: the last moment on the way downwind with the wings still level."""
    inside = np.flatnonzero((path.time_s >= low_key_s) & (path.time_s <= base_key_s))
    if len(inside) == 0:
        return None
    is_downwind = np.cos(path.track_rad[inside]) < -math.cos(_DOWNWIND_WITHIN_RAD)
    level = inside[(np.abs(path.bank_rad[inside]) < LEVEL_RAD) & is_downwind]
    if len(level) == 0:
        return float(path.time_s[inside[0]])
    last = int(level[-1])
    after = min(last + 1, len(path.time_s) - 1)
    bank, next_bank = abs(float(path.bank_rad[last])), abs(float(path.bank_rad[after]))
    share = (LEVEL_RAD - bank) / (next_bank - bank) if next_bank > LEVEL_RAD else 0.0
    return float(path.time_s[last] + share * (path.time_s[after] - path.time_s[last]))


def planned_turn_to_base_x_m(plan: Plan) -> float:
    """Where the plan's turn to base has begun, by the same rule; its leg's end where the plan has no such gates."""
    low, base = plan.gate(GateName.LOW_KEY), plan.gate(GateName.BASE_KEY)
    turn_s = None if low is None or base is None else turn_to_base_s(plan.path, low.time_s, base.time_s)
    return -plan.legs.downwind_m if turn_s is None else float(np.interp(turn_s, plan.path.time_s, plan.path.x_m))


def half_turn_x_m(path: BankedPath, high_key_s: float, low_key_s: float) -> float:
    """Where the half turn has begun: the first moment after the high key with the wings no longer level."""
    inside = np.flatnonzero((path.time_s >= high_key_s) & (path.time_s <= low_key_s))
    turning = inside[np.abs(path.bank_rad[inside]) > LEVEL_RAD]
    return float(path.x_m[turning[0] if len(turning) else inside[0]])
