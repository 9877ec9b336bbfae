"""Practical required height of many states in layered air; the compiled side of `practical_height`.

Import inside functions only: importing a kernel starts the compiler.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit
from volplane.domain.geometry.shortest_paths_kernel import LRL, RLR, solve

Array = NDArray[np.float64]

# entries of the `glide` array
GLIDE_EAS, SINK_STRAIGHT, COS_STRAIGHT, BANK, SINK_TURNING, COS_TURNING = 0, 1, 2, 3, 4, 5
FINAL_FAR_X, FINAL_NEAR_X, FINAL_HEIGHT, REACTION_S = 6, 7, 8, 9
# columns of the air table, one row each `AIR_STEP_M` of height above the touchdown point
TAS_FACTOR, DRIFT_X, DRIFT_Y, WIND_X, WIND_Y = 0, 1, 2, 3, 4
AIR_STEP_M = 10.0

_G = 9.80665
# passes that settle heights and wind of a word, and places tried along the centreline for the start of the final
_PASSES = 4
_FINALS = 7


@njit
def _read(table: Array, height_m: float, column: int) -> float:
    """A column of the air table at a height, linear; held at the ends."""
    place = min(max(height_m / AIR_STEP_M, 0.0), table.shape[0] - 1.000001)
    cell = int(place)
    part = place - cell
    value: float = table[cell, column] + part * (table[cell + 1, column] - table[cell, column])
    return value


@njit
def _drift_a_second(table: Array, low_m: float, high_m: float, column: int) -> float:
    """Mean wind between two heights from the cumulative column."""
    if high_m - low_m < 1.0:
        return _read(table, 0.5 * (low_m + high_m), column + 2)
    return (_read(table, high_m, column) - _read(table, low_m, column)) / (high_m - low_m)


@njit
def required_height(
    x_m: float, y_m: float, heading_rad: float, bank_rad: float, height_m: float, glide: Array, table: Array
) -> float:
    """Least height above the touchdown point from one state; infinite where the wind is not below the airspeed.

    The airplane goes on in its present bank for the reaction time, at the wind of its present height, and flies the
    cheapest of the six words to a final. The final may start anywhere between the place where the glide down it has the
    height for a completed turn and the shortest final allowed, at no less than that height: the cheapest counts.
    """
    x_m, y_m, heading_rad, before = _after_reaction(x_m, y_m, heading_rad, bank_rad, height_m, glide, table)
    least = math.inf
    for place in range(_FINALS):
        part = place / (_FINALS - 1)
        goal_x = glide[FINAL_FAR_X] + part * (glide[FINAL_NEAR_X] - glide[FINAL_FAR_X])
        least = min(least, _to_final(x_m - goal_x, y_m, heading_rad, glide, table))
    height: float = glide[FINAL_HEIGHT] + least + before
    return height


@njit
def _after_reaction(
    x_m: float, y_m: float, heading_rad: float, bank_rad: float, height_m: float, glide: Array, table: Array
) -> tuple[float, float, float, float]:
    """Place and heading after the reaction delay in the present bank, and the height it cost."""
    reaction = glide[REACTION_S]
    if reaction <= 0.0:
        return x_m, y_m, heading_rad, 0.0
    speed = glide[GLIDE_EAS] * _read(table, height_m, TAS_FACTOR)
    straight, turning = glide[SINK_STRAIGHT], glide[SINK_TURNING]
    bank = min(max(bank_rad, -glide[BANK]), glide[BANK])
    share = (math.tan(bank) / math.tan(glide[BANK])) ** 2  # induced drag goes with the square of the load factor
    cost = reaction * speed * (straight + share * (turning - straight))
    along = speed * glide[COS_STRAIGHT]
    turn_rate = -_G * math.tan(bank) / speed
    turned = turn_rate * reaction
    wind_x, wind_y = _read(table, height_m, WIND_X), _read(table, height_m, WIND_Y)
    if abs(turned) < 1e-6:
        x_m += along * reaction * math.cos(heading_rad)
        y_m += along * reaction * math.sin(heading_rad)
    else:
        x_m += along / turn_rate * (math.sin(heading_rad + turned) - math.sin(heading_rad))
        y_m -= along / turn_rate * (math.cos(heading_rad + turned) - math.cos(heading_rad))
    return x_m + reaction * wind_x, y_m + reaction * wind_y, heading_rad + turned, cost


@njit
def _to_final(from_x: float, from_y: float, heading_rad: float, glide: Array, table: Array) -> float:
    """Height from a place (relative to the final's start) to the final, by the cheapest word in layered air.

    Wind and airspeed of the word are the means over the heights its legs really pass, counted up from the final's
    start, found in a few passes. The final is met on the air heading that holds its ground track.
    """
    floor = glide[FINAL_HEIGHT]
    goal_speed = glide[GLIDE_EAS] * _read(table, floor, TAS_FACTOR)
    across = _read(table, floor, WIND_Y)
    if abs(across) >= goal_speed:
        return math.inf
    goal_heading = -math.asin(across / goal_speed)
    cosine, sine = math.cos(goal_heading), math.sin(goal_heading)
    place_x, place_y = from_x * cosine + from_y * sine, -from_x * sine + from_y * cosine

    loss = 200.0
    wind_x = _drift_a_second(table, floor, floor + loss, DRIFT_X)
    wind_y = _drift_a_second(table, floor, floor + loss, DRIFT_Y)
    for _ in range(_PASSES):
        speed = glide[GLIDE_EAS] * _read(table, floor + 0.5 * loss, TAS_FACTOR)
        along = speed * glide[COS_STRAIGHT]
        turn_rate = _G * math.tan(glide[BANK]) / speed
        radius = speed * glide[COS_TURNING] / turn_rate
        straight_loss = speed * glide[SINK_STRAIGHT] / along * radius  # height a radius of straight air distance
        turn_loss = speed * glide[SINK_TURNING] / turn_rate  # height a radian of turn
        cost, word, first, second, third = solve(
            place_x / radius,
            place_y / radius,
            heading_rad - goal_heading,
            (wind_x * cosine + wind_y * sine) / along,
            (-wind_x * sine + wind_y * cosine) / along,
            turn_loss / straight_loss,
        )
        if not cost < math.inf:
            return cost
        loss = cost * straight_loss
        total = first + second + third
        if total < 1e-9:
            break
        after_second = floor + third * turn_loss
        after_first = after_second + second * (turn_loss if word in (LRL, RLR) else straight_loss)
        top = after_first + first * turn_loss
        wind_x = (
            third * _drift_a_second(table, floor, after_second, DRIFT_X)
            + second * _drift_a_second(table, after_second, after_first, DRIFT_X)
            + first * _drift_a_second(table, after_first, top, DRIFT_X)
        ) / total
        wind_y = (
            third * _drift_a_second(table, floor, after_second, DRIFT_Y)
            + second * _drift_a_second(table, after_second, after_first, DRIFT_Y)
            + first * _drift_a_second(table, after_first, top, DRIFT_Y)
        ) / total
    return loss


@njit
def required_heights(
    x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array, glide: Array, table: Array, out: Array
) -> None:
    """`required_height` of many states, all arrays (n,), answers into `out` (n,); NaN states give NaN."""
    for i in range(out.shape[0]):
        if not math.isfinite(x_m[i] + y_m[i] + heading_rad[i] + bank_rad[i] + height_m[i]):
            out[i] = math.nan
        else:
            out[i] = required_height(x_m[i], y_m[i], heading_rad[i], bank_rad[i], height_m[i], glide, table)
