"""What would help: the smallest change of one wish that makes an impossible exercise possible."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from volplane.domain.exercise.exercise import Exercise
from volplane.domain.exercise.plan import Lever
from volplane.domain.exercise.shape_search import Solution, solve_shape
from volplane.errors import Refusal
from volplane.units import FOOT_M, NAUTICAL_MILE_M

_STEPS = 6
_HALVINGS = 5


@dataclass(frozen=True, slots=True)
class _Wish:
    """A wish that may be changed: file key, kind of quantity, farthest value worth asking for."""

    key: str
    field: str
    quantity: str
    farthest: float


def levers(solution: Solution) -> tuple[Lever, ...]:
    """For each wish that can mend what binds, the nearest value that does; wishes that cannot are left out."""
    exercise = solution.bench.exercise
    found = []
    for wish in _wishes(solution):
        now = getattr(exercise, wish.field)
        now = solution.shape.low_key_offset_m if now is None else float(now)
        needed = _nearest(exercise, wish, now)
        if needed is not None:
            found.append(Lever(wish.key, now, needed, wish.quantity))
    return tuple(found)


def _wishes(solution: Solution) -> tuple[_Wish, ...]:
    exercise, code = solution.bench.exercise, solution.binding.code if solution.binding else ""
    entry_up = _Wish("entry_height", "entry_height_m", "length_m", exercise.entry_height_m + 2500.0 * FOOT_M)
    low_key_up = _Wish("low_key_height", "low_key_height_m", "length_m", exercise.entry_height_m - 400.0 * FOOT_M)
    low_key_down = _Wish("low_key_height", "low_key_height_m", "length_m", 600.0 * FOOT_M)
    no_reserve = _Wish("reserve", "reserve_m", "length_m", 0.0)
    wider = _Wish("low_key_offset", "low_key_offset_m", "length_m", solution.shape.low_key_offset_m + 6000.0 * FOOT_M)
    farther = _Wish("distance_limit", "distance_limit_m", "length_m", exercise.distance_limit_m + 5.0 * NAUTICAL_MILE_M)
    steeper = _Wish("maximum_bank_below_low_key", "maximum_bank_below_low_key_rad", "angle_rad", math.radians(45.0))
    return {
        "low-key-too-high": (entry_up, low_key_down),
        "offset-too-small": (entry_up, wider, steeper),
        "no-downwind-left": (low_key_up, entry_up, no_reserve),
        "turn-to-final-too-low": (low_key_up, no_reserve),
        "distance-limit": (low_key_down, farther),
    }.get(code, ())


def _nearest(exercise: Exercise, wish: _Wish, now: float) -> float | None:
    """The value nearest to `now` on the way to the farthest one that makes the exercise possible."""
    if abs(wish.farthest - now) < 1e-6:
        return None
    before = now
    for step in range(1, _STEPS + 1):
        value = now + (wish.farthest - now) * (step / _STEPS) ** 2
        if _works(exercise, wish.field, value):
            for _ in range(_HALVINGS):
                middle = 0.5 * (before + value)
                if _works(exercise, wish.field, middle):
                    value = middle
                else:
                    before = middle
            return value
        before = value
    return None


def _works(exercise: Exercise, field: str, value: float) -> bool:
    try:
        return solve_shape(replace(exercise, **{field: value})).is_feasible  # type: ignore[arg-type]
    except Refusal:
        return False
