"""Least height from which an airplane without power still reaches the aim point aligned with the runway.

Runway frame: x along the landing direction, y to its left, metres, the aim point at (0, 0). Headings are air headings
anticlockwise from the landing direction. The wind is the velocity of the air, steady. Heights are above the aim point.
`required_height` is the public function with the small-angle best-glide parabola; `height_to_reach` is the same with
radius, sinks, final and goal heading given, as the practical required height needs it.
"""

from __future__ import annotations

import math
from dataclasses import replace
from typing import overload

import numpy as np
from numpy.typing import ArrayLike, NDArray

from volplane.domain.geometry.shortest_paths import AirPath, least_costs_m, shortest_path
from volplane.units import FOOT_M, STANDARD_GRAVITY_MPS2

FloatArray = NDArray[np.float64]

# On final the exact required height jumps by a whole circle for a misalignment nobody can see or fly better than;
# within these limits the straight glide is meant. The limits are this project's own, from no source.
ALIGNED_WITHIN_RAD = math.radians(20.0)
OFFSET_AT_AIM_POINT_M = 100.0 * FOOT_M
OFFSET_PER_DISTANCE_RATIO = 0.1


@overload
def required_height(
    x_m: float,
    y_m: float,
    heading_rad: float,
    *,
    tas_mps: float,
    ratio: float,
    bank_rad: float,
    wind_x_mps: float = 0,
    wind_y_mps: float = 0,
    final_m: float = 0,
) -> float: ...
@overload
def required_height(
    x_m: ArrayLike,
    y_m: ArrayLike,
    heading_rad: ArrayLike,
    *,
    tas_mps: ArrayLike,
    ratio: ArrayLike,
    bank_rad: ArrayLike,
    wind_x_mps: ArrayLike = 0,
    wind_y_mps: ArrayLike = 0,
    final_m: ArrayLike = 0,
) -> float | FloatArray: ...
def required_height(
    x_m: ArrayLike,
    y_m: ArrayLike,
    heading_rad: ArrayLike,
    *,
    tas_mps: ArrayLike,
    ratio: ArrayLike,
    bank_rad: ArrayLike,
    wind_x_mps: ArrayLike = 0,
    wind_y_mps: ArrayLike = 0,
    final_m: ArrayLike = 0,
) -> float | FloatArray:
    """Least height in metres to reach (0, 0) on air heading 0, gliding at constant true airspeed and constant bank.

    `ratio` is the glide ratio straight ahead at this airspeed, the best one; in a turn at load factor n the small-angle
    parabola sinks (1 + n^2)/2 times as fast. The path is the lowest of the six words turn-straight-turn and
    turn-turn-turn in steady wind; chains with more pieces can need up to about 8 m less in a few states of a thousand.
    The last `final_m` of ground distance along x are flown straight on air heading 0 and their height is added.

    Arguments broadcast; scalars give a float. NaN gives NaN; a wind not below the airspeed gives infinity.

    A kilometre out on final, lined up, at 10 to 1:

    >>> round(required_height(-1000, 0, 0, tas_mps=54, ratio=10, bank_rad=math.radians(30)), 6)
    100.0

    :raises ValueError: airspeed, ratio or bank not positive, bank of 90 degrees or more, final negative.
    """
    _refuse_not_positive("tas_mps", tas_mps, "m/s")
    _refuse_not_positive("ratio", ratio, "")
    _refuse_not_positive("bank_rad", bank_rad, "rad")
    steepest_rad = np.nanmax(bank_rad) if np.any(np.greater_equal(bank_rad, 0.5 * math.pi)) else 0.0
    if steepest_rad:
        raise ValueError(f"bank_rad is {steepest_rad:g} rad; it must be below {0.5 * math.pi:.4f} rad (90 degrees)")
    straight_sink_mps = np.divide(tas_mps, ratio)
    return height_to_reach(
        x_m,
        y_m,
        heading_rad,
        tas_mps=tas_mps,
        turn_radius_m=np.square(tas_mps) / (STANDARD_GRAVITY_MPS2 * np.tan(bank_rad)),
        straight_sink_mps=straight_sink_mps,
        turning_sink_mps=straight_sink_mps * (1.0 + 1.0 / np.square(np.cos(bank_rad))) / 2.0,
        wind_x_mps=wind_x_mps,
        wind_y_mps=wind_y_mps,
        final_m=final_m,
    )


def height_to_reach(
    x_m: ArrayLike,
    y_m: ArrayLike,
    heading_rad: ArrayLike,
    *,
    tas_mps: ArrayLike,
    turn_radius_m: ArrayLike,
    straight_sink_mps: ArrayLike,
    turning_sink_mps: ArrayLike,
    wind_x_mps: ArrayLike = 0,
    wind_y_mps: ArrayLike = 0,
    goal_heading_rad: ArrayLike = 0,
    final_m: ArrayLike = 0,
    final_sink_mps: ArrayLike | None = None,
) -> float | FloatArray:
    """Least height in metres to reach (0, 0) on an air heading, with turn radius and both sinks given.

    `goal_heading_rad` is the air heading at the end: the crab angle that keeps the ground track on the runway, 0
    without crosswind. The last `final_m` of ground distance along x are flown straight on it, sinking at
    `final_sink_mps` (default: as straight ahead). Turning must not sink less than straight flight. Broadcasting, NaN
    and too much wind as in `required_height`.
    """
    _refuse_not_positive("straight_sink_mps", straight_sink_mps, "m/s")
    shift_x_m, shift_y_m, final_s = _final(tas_mps, wind_x_mps, wind_y_mps, goal_heading_rad, final_m)
    cost_m = least_costs_m(
        np.add(x_m, shift_x_m),
        np.add(y_m, shift_y_m),
        heading_rad,
        tas_mps=tas_mps,
        turn_radius_m=turn_radius_m,
        wind_x_mps=wind_x_mps,
        wind_y_mps=wind_y_mps,
        goal_heading_rad=goal_heading_rad,
        turn_cost_factor=np.divide(turning_sink_mps, straight_sink_mps),
    )
    final_height_m = final_s * np.asarray(straight_sink_mps if final_sink_mps is None else final_sink_mps)
    return _float_or_array(cost_m * np.divide(straight_sink_mps, tas_mps) + final_height_m)


def path_to_reach(
    x_m: float,
    y_m: float,
    heading_rad: float,
    *,
    tas_mps: float,
    turn_radius_m: float,
    straight_sink_mps: float,
    turning_sink_mps: float,
    wind_x_mps: float = 0.0,
    wind_y_mps: float = 0.0,
    goal_heading_rad: float = 0.0,
    final_m: float = 0.0,
) -> AirPath | None:
    """The path behind `height_to_reach`, up to where the final begins, in the frame of the runway; None if none."""
    shift_x_m, shift_y_m, _ = _final(tas_mps, wind_x_mps, wind_y_mps, goal_heading_rad, final_m)
    path = shortest_path(
        x_m + float(shift_x_m),
        y_m + float(shift_y_m),
        heading_rad,
        tas_mps=tas_mps,
        turn_radius_m=turn_radius_m,
        wind_x_mps=wind_x_mps,
        wind_y_mps=wind_y_mps,
        goal_heading_rad=goal_heading_rad,
        turn_cost_factor=turning_sink_mps / straight_sink_mps,
    )
    return None if path is None else replace(path, start_x_m=x_m, start_y_m=y_m)


def straight_glide_height(
    x_m: ArrayLike,
    y_m: ArrayLike,
    *,
    tas_mps: ArrayLike,
    straight_sink_mps: ArrayLike,
    wind_x_mps: ArrayLike = 0,
    wind_y_mps: ArrayLike = 0,
) -> float | FloatArray:
    """Height in metres lost on the straight ground track from (x, y) to (0, 0), headings ignored: the wind triangle.

    Seen from the air the aim point drifts with minus the wind and is caught on a straight: the positive root of
    |goal - wind t| = V t. Infinity where the wind is not below the airspeed. Broadcasting as in `required_height`.
    """
    _refuse_not_positive("tas_mps", tas_mps, "m/s")
    lead = np.square(tas_mps) - np.square(wind_x_mps) - np.square(wind_y_mps)
    chased = np.where(lead <= 0.0, 1.0, lead)
    from_wind = np.multiply(x_m, wind_x_mps) + np.multiply(y_m, wind_y_mps)
    time_s = (from_wind + np.sqrt(np.square(from_wind) + chased * (np.square(x_m) + np.square(y_m)))) / chased
    return _float_or_array(np.multiply(np.where(lead <= 0.0, math.inf, time_s), straight_sink_mps))


def is_established_on_final(x_m: ArrayLike, y_m: ArrayLike, track_rad: ArrayLike) -> bool | NDArray[np.bool_]:
    """Whether an airplane is so nearly lined up that its height in hand is that of the straight glide to the aim point.

    Before the aim point, ground track within 20 degrees of the runway, and no farther off the centreline than 100 ft
    plus a tenth of the distance to go. `track_rad` is anticlockwise from the landing direction. NaN is not established.
    """
    off_track = np.abs(np.remainder(np.add(track_rad, math.pi), 2.0 * math.pi) - math.pi)
    to_go = np.hypot(x_m, y_m)
    established = np.asarray(
        (np.asarray(x_m) < 0.0)
        & (off_track <= ALIGNED_WITHIN_RAD)
        & (np.abs(y_m) <= OFFSET_AT_AIM_POINT_M + OFFSET_PER_DISTANCE_RATIO * to_go)
    )
    return bool(established) if established.ndim == 0 else established


def _final(
    tas_mps: ArrayLike, wind_x_mps: ArrayLike, wind_y_mps: ArrayLike, goal_heading_rad: ArrayLike, final_m: ArrayLike
) -> tuple[FloatArray, FloatArray, FloatArray]:
    """How far before (0, 0) the final begins in x and y, and its time; nothing where no way is made along the runway.

    Held on one air heading, the airplane drifts sideways with what the crab does not take up, so the final begins
    upwind of the centreline.
    """
    if np.any(np.less(final_m, 0.0)):
        raise ValueError(f"final_m is {np.nanmin(final_m):g} m; it must be at least 0 m")
    along = np.add(np.multiply(tas_mps, np.cos(goal_heading_rad)), wind_x_mps)
    across = np.add(np.multiply(tas_mps, np.sin(goal_heading_rad)), wind_y_mps)
    time = np.divide(final_m, np.where(along <= 0.0, math.inf, along))
    never = (along <= 0.0) & np.greater(final_m, 0.0)
    return time * along, time * across, np.where(never, math.inf, time)


def _float_or_array(result: ArrayLike) -> float | FloatArray:
    array = np.asarray(result, dtype=np.float64)
    return float(array) if array.ndim == 0 else array


def _refuse_not_positive(name: str, value: ArrayLike, unit: str) -> None:
    if np.any(np.less_equal(value, 0.0)):
        raise ValueError(f"{name} is {np.nanmin(value):g} {unit}".rstrip() + "; it must be above 0")
