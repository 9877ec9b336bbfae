"""The plan as the pilot of a dispersion knows it: how high it is where, and what ground costs.

Import inside functions only: importing a kernel starts the compiler.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit
from volplane.domain.glide.flight_kernel import KIND, LINE, POINT_X, TRACK_END, TURN_SIGN, wrapped

Array = NDArray[np.float64]

# what a leg is for, in the order of the exercise
BEFORE_KEY, HALF_TURN, DOWNWIND, BASE_TURN, BASE, FINAL_TURN, FINAL_CLEAN, FINAL_RESERVE, FINAL = range(9)
# columns of the trace: leg, how far along it, height, ground distance flown, equivalent airspeed, x
TRACE_LEG, TRACE_ALONG, TRACE_HEIGHT, TRACE_FLOWN, TRACE_EAS, TRACE_X = range(6)
TRACE_COLUMNS = 6


class Lesson(NamedTuple):
    """The plan to fly: start, legs (m, LEG_COLUMNS), what each is for (m,), and its own flight as reference.

    `trace` (n, TRACE_COLUMNS) is the flight of the plan without errors and `leg_starts` (m + 1,) its first row of each
    leg. `side_factor` is +1 for a left pattern, -1 for a right one. `offset_m` is where the downwind line lies,
    `farthest_m` the distance limit, `reserve_drag_factor` what loses the reserve on final.
    """

    x_m: float
    y_m: float
    height_m: float
    track_rad: float
    eas_mps: float
    glide_eas_mps: float
    first_bank_rad: float
    side_factor: float
    legs: Array
    purpose: Array
    trace: Array
    leg_starts: Array
    farthest_m: float
    offset_m: float
    reserve_drag_factor: float
    landing_drag_factor: float
    landing_height_m: float
    touchdown_eas_mps: float
    best_ratio: float
    landing_hand: Array
    landing_air: Array
    landing_configuration: Array


class Slopes(NamedTuple):
    """What the pilot knows of the plan: height a metre of ground costs, and what drag costs over it."""

    downwind_fraction: float
    clean_fraction: float
    final_fraction: float
    drag_on_final_fraction: float
    drag_before_fraction: float
    roll_out_x_m: float
    reserve_lost_x_m: float
    fifty_foot_x_m: float
    turn_flown_m: float
    base_m: float
    whole_flown_m: float


@njit
def along_leg(state: Array, track_rad: float, leg: Array) -> float:
    """How far along a leg as planned, growing: metres on a line, the angle left to turn (negative) on a circle."""
    if leg[KIND] == LINE:
        along_m: float = state[0] * math.cos(leg[TRACK_END]) + state[1] * math.sin(leg[TRACK_END])
        return along_m
    left: float = wrapped(leg[TURN_SIGN] * (leg[TRACK_END] - track_rad))
    if left < -0.5 * math.pi:
        left += 2.0 * math.pi
    return -left


@njit
def lost_on_leg_m(lesson: Lesson, index: int) -> float:
    """Height the plan loses on one of its legs."""
    trace, first = lesson.trace, int(lesson.leg_starts[index])
    last = max(int(lesson.leg_starts[index + 1]) - 1, first)
    lost: float = trace[first, TRACE_HEIGHT] - trace[last, TRACE_HEIGHT]
    return lost


@njit
def reference_height(lesson: Lesson, index: int, along_m: float) -> float:
    """The plan's height at a place along one of its legs; beyond its ends along its slope there."""
    first, last = int(lesson.leg_starts[index]), int(lesson.leg_starts[index + 1]) - 1
    trace = lesson.trace
    if last <= first:
        return float(trace[first, TRACE_HEIGHT])
    row = first
    while row < last - 1 and trace[row + 1, TRACE_ALONG] < along_m:
        row += 1
    width = trace[row + 1, TRACE_ALONG] - trace[row, TRACE_ALONG]
    if width <= 0.0:
        return float(trace[row, TRACE_HEIGHT])
    part = (along_m - trace[row, TRACE_ALONG]) / width
    if lesson.legs[index, KIND] != LINE:
        part = min(max(part, 0.0), 1.0)
    height: float = trace[row, TRACE_HEIGHT] + part * (trace[row + 1, TRACE_HEIGHT] - trace[row, TRACE_HEIGHT])
    return height


@njit
def first_final(lesson: Lesson) -> int:
    """Index of the first leg of the final that the plan flies."""
    for i in range(lesson.purpose.shape[0]):
        if lesson.purpose[i] >= FINAL_CLEAN and lesson.leg_starts[i + 1] - lesson.leg_starts[i] > 1:
            return i
    return len(lesson.purpose) - 1


@njit
def final_height(lesson: Lesson, slopes: Slopes, x_m: float) -> float:
    """The plan's height on final at `x_m`; farther out at its slope there, and clean above the landing height."""
    trace = lesson.trace
    row = first = int(lesson.leg_starts[first_final(lesson)])
    last = trace.shape[0] - 1
    if x_m < trace[first, TRACE_X]:
        height = trace[first, TRACE_HEIGHT]
        back = trace[first, TRACE_X] - x_m
        steep = (lesson.landing_height_m - height) / slopes.final_fraction
        if steep > 0.0:
            part = min(back, steep)
            height += part * slopes.final_fraction
            back -= part
        return float(height + back * slopes.clean_fraction)
    while row < last - 1 and trace[row + 1, TRACE_X] < x_m:
        row += 1
    width = trace[row + 1, TRACE_X] - trace[row, TRACE_X]
    part = 0.0 if width <= 0.0 else min((x_m - trace[row, TRACE_X]) / width, 1.0)
    return float(trace[row, TRACE_HEIGHT] + part * (trace[row + 1, TRACE_HEIGHT] - trace[row, TRACE_HEIGHT]))


@njit
def roll_out_x_m(legs: Array, index: int, lesson: Lesson, slopes: Slopes) -> float:
    """Where the last turn will end as the legs lie now; on downwind, where nothing is settled, as planned."""
    if not DOWNWIND < lesson.purpose[index] < FINAL_CLEAN:
        return slopes.roll_out_x_m
    turn = index
    while lesson.purpose[turn + 1] < FINAL_CLEAN:
        turn += 1
    moved: float = legs[turn, POINT_X] - lesson.legs[turn, POINT_X]
    return slopes.roll_out_x_m + moved


@njit
def height_over_plan(
    state: Array, track_rad: float, legs: Array, index: int, longer_base_m: float, lesson: Lesson, slopes: Slopes
) -> float:
    """Height over the plan's at this place of the exercise, the final being as long as the turn to it makes it.

    `longer_base_m` is what a downwind leg that lies wide adds to the base leg.
    """
    purpose = lesson.purpose[index]
    if purpose >= FINAL_CLEAN:
        above: float = state[2] - final_height(lesson, slopes, state[0])
        return above
    height: float = state[2] - reference_height(lesson, index, along_leg(state, track_rad, lesson.legs[index]))
    if HALF_TURN < purpose <= BASE_TURN:
        height -= longer_base_m * slopes.downwind_fraction
    planned = final_height(lesson, slopes, slopes.roll_out_x_m)
    return height - (final_height(lesson, slopes, roll_out_x_m(legs, index, lesson, slopes)) - planned)


@njit
def ground_left(state: Array, track_rad: float, legs: Array, index: int, lesson: Lesson, slopes: Slopes) -> float:
    """Ground distance left to the 50 ft point along the exercise."""
    purpose = lesson.purpose[index]
    if purpose >= FINAL_CLEAN:
        return max(slopes.fifty_foot_x_m - float(state[0]), 0.0)
    after_turn = slopes.whole_flown_m - slopes.turn_flown_m
    if purpose == DOWNWIND:
        return after_turn + max(float(state[0] - legs[index, POINT_X]), 0.0)
    first, last = int(lesson.leg_starts[index]), max(int(lesson.leg_starts[index + 1]) - 1, 0)
    trace = lesson.trace
    along_m = along_leg(state, track_rad, lesson.legs[index])
    width = trace[last, TRACE_ALONG] - trace[first, TRACE_ALONG]
    part = 0.0 if width <= 0.0 else min(max((along_m - trace[first, TRACE_ALONG]) / width, 0.0), 1.0)
    flown = trace[first, TRACE_FLOWN] + part * (trace[last, TRACE_FLOWN] - trace[first, TRACE_FLOWN])
    return slopes.whole_flown_m - float(flown)
