"""What would help: the smallest change of one wish that makes an impossible exercise possible."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from volplane.domain.exercise.exercise import Exercise, ShapeName
from volplane.domain.exercise.plan import Lever
from volplane.domain.exercise.shape_search import Solution, solve_shape
from volplane.errors import Refusal
from volplane.units import FOOT_M, NAUTICAL_MILE_M

# wishes are tried at growing distances, then halved until the last step is this part of the whole change
_STEPS = 5
_NEAR_ENOUGH_FRACTION = 0.04
_MOST_HALVINGS = 10
# farthest values worth asking for (ours, within what the exercise file accepts)
_HIGHER_M, _HIGHER_FROM_AFAR_M = 2500.0 * FOOT_M, 8000.0 * FOOT_M
_LOWEST_LOW_KEY_M, _SHORTEST_FINAL_M, _MOST_RESERVE_M = 600.0 * FOOT_M, 500.0 * FOOT_M, 1000.0 * FOOT_M
_WIDER_M, _FARTHER_M = 6000.0 * FOOT_M, 5.0 * NAUTICAL_MILE_M
_STEEPEST_RAD, _STEEPEST_LOW_RAD = math.radians(60.0), math.radians(45.0)


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


def with_lever(exercise: Exercise, lever: Lever, value: float) -> Exercise:
    """The exercise with the wish of a lever set to a value in SI."""
    return _with(exercise, f"{lever.key}_{_SUFFIXES[lever.quantity]}", value)


_SUFFIXES = {"length_m": "m", "angle_rad": "rad"}


def _wishes(solution: Solution) -> tuple[_Wish, ...]:
    """What may mend each limit that binds; what does not help here is found out by trying."""
    exercise = solution.bench.exercise
    is_far = exercise.shape in (ShapeName.STEEP_SPIRAL, ShapeName.EN_ROUTE)
    higher_m = exercise.entry_height_m + (_HIGHER_FROM_AFAR_M if is_far else _HIGHER_M)
    entry = _Wish("entry_height", "entry_height_m", "length_m", higher_m)
    low_key_up, low_key_down = (
        _Wish("low_key_height", "low_key_height_m", "length_m", farthest_m)
        for farthest_m in (exercise.entry_height_m - 400.0 * FOOT_M, _LOWEST_LOW_KEY_M)
    )
    low_keys = (low_key_up,) if exercise.shape.has_high_key else ()
    no_reserve = _Wish("reserve", "reserve_m", "length_m", 0.0)
    more_reserve = _Wish("reserve", "reserve_m", "length_m", _MOST_RESERVE_M)
    shorter = _Wish("minimum_final", "minimum_final_m", "length_m", _SHORTEST_FINAL_M)
    wider = _Wish("low_key_offset", "low_key_offset_m", "length_m", solution.shape.low_key_offset_m + _WIDER_M)
    farther = _Wish("distance_limit", "distance_limit_m", "length_m", exercise.distance_limit_m + _FARTHER_M)
    steeper = _Wish("maximum_bank", "maximum_bank_rad", "angle_rad", _STEEPEST_RAD)
    low_steeper = _Wish("maximum_bank_below_low_key", "maximum_bank_below_low_key_rad", "angle_rad", _STEEPEST_LOW_RAD)
    spiral = _Wish("spiral_bank", "spiral_bank_rad", "angle_rad", exercise.maximum_bank_rad)
    margin = _Wish("obstacle_margin", "obstacle_margin_m", "length_m", 0.0)
    code = solution.binding.code if solution.binding else ""
    return {
        "low-key-too-high": (entry, low_key_down, steeper),
        "too-few-circles": (entry, low_key_down, spiral, steeper),
        "offset-too-small": (entry, wider, low_steeper),
        "no-downwind-left": (*low_keys, entry, no_reserve, shorter, low_steeper),
        "turn-to-final-too-low": (*low_keys, entry, no_reserve),
        "distance-limit": (low_key_down, farther),
        "obstacle": (*low_keys, entry, more_reserve, margin),
    }.get(code, ())


def _nearest(exercise: Exercise, wish: _Wish, now: float) -> float | None:
    """The value nearest to `now` on the way to the farthest one that makes the exercise possible."""
    if abs(wish.farthest - now) < 1e-6:
        return None
    before = now
    for step in range(1, _STEPS + 1):
        value = now + (wish.farthest - now) * (step / _STEPS) ** 2
        if _works(exercise, wish.field, value):
            return _halved(exercise, wish, now, before, value)
        before = value
    return None


def _halved(exercise: Exercise, wish: _Wish, now: float, before: float, value: float) -> float:
    """The nearest value that works between one that does not and one that does."""
    for _ in range(_MOST_HALVINGS):
        if abs(value - before) <= _NEAR_ENOUGH_FRACTION * abs(value - now):
            break
        middle = 0.5 * (before + value)
        if _works(exercise, wish.field, middle):
            value = middle
        else:
            before = middle
    return value


def _works(exercise: Exercise, field: str, value: float) -> bool:
    try:
        return solve_shape(_with(exercise, field, value)).is_feasible
    except Refusal:
        return False


def _with(exercise: Exercise, field: str, value: float) -> Exercise:
    """The exercise with a wish changed; one that begins at or after the low key has its keys at the entry."""
    changes = {field: value}
    if field == "entry_height_m" and not exercise.shape.has_high_key:
        changes["low_key_height_m"] = value
    return replace(exercise, **changes)  # type: ignore[arg-type]
