"""Drag to weight for the compiled integrators; the one place that reads a kernel table.

Import inside functions only: importing a kernel starts the compiler.
"""

from __future__ import annotations

from volplane.compiled import njit
from volplane.domain.glide.polar import KernelTable

_FIRST_POINT = 4
_LEAST_LOAD_FACTOR = 1e-9


@njit
def drag_to_weight(
    eas_mps: float, load_factor: float, table: KernelTable, extra_drag_factor: float, induced_factor: float
) -> float:
    """Drag in parts of weight at an equivalent airspeed and a load factor, without thrust.

    n f(V / sqrt n) of the clean curve (equal lift coefficient), plus a_c (V/V*)^2 / (2E) for what hangs in the wind,
    plus (b_c - 1) n^2 (V*/V)^2 / (2E) for the change of induced drag (parabolic drag polar; Lowry, Performance of Light
    Aircraft, AIAA 1999, chapter 9). `table` is `GlideModel.kernel_table()` for the weight flown. The caller subtracts
    thrust to weight, `thrust_power_per_weight_mps / tas_mps`. The speed must be positive; the sign of the load factor
    does not matter.
    """
    load = max(abs(load_factor), _LEAST_LOAD_FACTOR)
    speed_squared: float = (eas_mps / table[0]) ** 2
    half: float = 0.5 / table[1]
    extra = half * (extra_drag_factor * speed_squared + (induced_factor - 1.0) * load * load / speed_squared)
    if table.shape[0] <= _FIRST_POINT:
        return half * (speed_squared + load * load / speed_squared) + extra
    return load * clean_curve(eas_mps / load**0.5, table) + extra


@njit
def clean_curve(eas_mps: float, table: KernelTable) -> float:
    """Drag to weight of the clean glide at one g: f(V).

    A measured curve is a cubic through its equal steps whose slopes are the central differences (Catmull and Rom 1974),
    so drag and its slope have no jump. Outside the speeds measured it goes on as the parabola through the best point,
    scaled to meet the last point; `MeasuredPolar.covers` tells the caller that this happened.
    """
    if table.shape[0] <= _FIRST_POINT:
        return _parabola(eas_mps, table)
    steps = table.shape[0] - _FIRST_POINT - 1
    place: float = (eas_mps - table[2]) / table[3]
    if not 0.0 < place < steps:  # so written that a speed that is not a number comes out as one
        nearest = _FIRST_POINT if place <= 0.0 else _FIRST_POINT + steps
        nearest_mps = table[2] + (nearest - _FIRST_POINT) * table[3]
        beyond: float = table[nearest] * _parabola(eas_mps, table) / _parabola(nearest_mps, table)
        return beyond
    cell = min(int(place), steps - 1)
    return _between(place - cell, cell, steps, table)


@njit
def _between(part: float, cell: int, steps: int, table: KernelTable) -> float:
    """Cubic of one cell, `part` of the way through it; at the ends of the curve the slope is that of a parabola."""
    here: float = table[_FIRST_POINT + cell]
    following: float = table[_FIRST_POINT + cell + 1]
    rise = following - here
    slope_here: float = 0.5 * (following - table[_FIRST_POINT + cell - 1]) if cell > 0 else 0.0
    slope_following: float = 0.5 * (table[_FIRST_POINT + cell + 2] - here) if cell < steps - 1 else 0.0
    if cell == 0:
        slope_here = 2.0 * rise - slope_following if steps > 1 else rise
    if cell == steps - 1:
        slope_following = 2.0 * rise - slope_here
    square = part * part
    cube = square * part
    return (
        here
        + slope_here * (cube - 2.0 * square + part)
        + rise * (3.0 * square - 2.0 * cube)
        + slope_following * (cube - square)
    )


@njit
def _parabola(eas_mps: float, table: KernelTable) -> float:
    """Drag to weight at one g of the parabolic polar through the best glide."""
    speed_squared: float = (eas_mps / table[0]) ** 2
    half: float = 0.5 / table[1]
    return half * (speed_squared + 1.0 / speed_squared)
