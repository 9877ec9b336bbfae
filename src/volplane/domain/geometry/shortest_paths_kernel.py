"""Cheapest way, in steadily moving air, from a place and heading to a goal met on its heading; turns have one radius.

The setting (McGee, Spry and Hedrick 2005; Techy and Woolsey 2009; Sachdev, Moon, Yuan and Scherer 2023): seen from the
air, the wind does not push the airplane, it carries the goal away with minus the wind. So a path is a chain of arcs and
a straight drawn in the air, and its end must be where the goal has drifted to by then. Six chains ("words") are asked:
left-straight-left, left-straight-right, left-right-left and their mirror images. Right-first words are the left-first
ones of the mirrored problem, so each word is written once.

Units here: lengths in turn radii, speeds in airspeeds, so that time and air distance are one number and an arc's time
is its angle. The frame is turned so that the wind blows along +x. A straight costs 1 a unit, a turn `turn_cost` a unit
(at least 1: a turn never comes down more slowly than a straight glide at the same speed); the least cost wins, not the
least time.

Import inside functions only: importing a kernel starts the compiler. Runs as plain Python too.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit

FloatArray = NDArray[np.float64]
IntArray = NDArray[np.int64]

LSL, RSR, LSR, RSL, LRL, RLR = 0, 1, 2, 3, 4, 5
NO_WORD = -1

_CIRCLE = 2.0 * math.pi
# an arc this close to a full circle is an arc of nothing that rounding has turned once round
_ANGLE_SLACK = 1e-9
# a place where the straight has length zero is a double root: the function touches zero and rounding decides on which
# side; within this many radii (a thousandth of a millimetre for a light airplane) it counts as touched
_TOUCH = 1e-9
_BACKWARD_SLACK = 1e-7
# rounding of a position or direction that is a difference of numbers of the size of the problem
_ROUNDING = 1e-14
# two points closer than this have no direction from one to the other
_NO_DIRECTION = 1e-8
_MOST_STEPS = 60


class Chase(NamedTuple):
    """One problem: start at the origin, goal drifting from (x, y) with (-wind, 0); both headings from the wind."""

    x: float
    y: float
    start: float
    start_sine: float
    start_cosine: float
    goal: float
    goal_sine: float
    goal_cosine: float
    left: float  # turning left by this brings the start heading onto the goal heading, [0, 2 pi)
    right: float  # the same turning right
    wind: float
    turn_cost: float
    least_time: float  # straight to the goal, headings ignored: no path is shorter


# What a word answers: cost, first arc, middle leg (straight length or arc), last arc; cost infinite if it has no way
# that costs less than the best so far.
Answer = tuple[float, float, float, float]


@njit
def solve(
    x_ratio: float, y_ratio: float, heading_rad: float, wind_x_ratio: float, wind_y_ratio: float, turn_cost_factor: float
) -> tuple[float, int, float, float, float]:
    """Cheapest path from (x, y) and heading to (0, 0) and heading 0: cost, word, first arc, middle leg, last arc.

    Positions in turn radii, wind (velocity of the air) in airspeeds. The middle leg is a straight's length or an arc.
    NaN in gives NaN; wind not below the airspeed, or an infinite position, gives infinity; both with `NO_WORD`.
    """
    total = x_ratio + y_ratio + heading_rad + wind_x_ratio + wind_y_ratio + turn_cost_factor
    if total - total != 0.0:  # something is infinite or not a number
        anything_nan = (
            math.isnan(x_ratio) or math.isnan(y_ratio) or math.isnan(heading_rad - heading_rad)
            or math.isnan(wind_x_ratio) or math.isnan(wind_y_ratio) or math.isnan(turn_cost_factor)
        )  # fmt: skip
        return (math.nan if anything_nan else math.inf), NO_WORD, math.nan, math.nan, math.nan
    wind = math.hypot(wind_x_ratio, wind_y_ratio)
    if wind >= 1.0:
        return math.inf, NO_WORD, math.nan, math.nan, math.nan
    problem = _seen_along_the_wind(
        x_ratio, y_ratio, heading_rad, wind_x_ratio, wind_y_ratio, wind, turn_cost_factor
    )  # fmt: skip
    return _best_of_six(problem, _mirrored(problem))


@njit
def least_costs(
    x_ratio: FloatArray,
    y_ratio: FloatArray,
    heading_rad: FloatArray,
    wind_x_ratio: FloatArray,
    wind_y_ratio: FloatArray,
    turn_cost_factor: FloatArray,
    cost: FloatArray,
) -> None:
    """`solve` for many states, costs only: inputs (n,) or (1,), answers into `cost` (n,)."""
    for i in range(cost.shape[0]):
        cost[i] = solve(
            x_ratio[i if x_ratio.shape[0] > 1 else 0],
            y_ratio[i if y_ratio.shape[0] > 1 else 0],
            heading_rad[i if heading_rad.shape[0] > 1 else 0],
            wind_x_ratio[i if wind_x_ratio.shape[0] > 1 else 0],
            wind_y_ratio[i if wind_y_ratio.shape[0] > 1 else 0],
            turn_cost_factor[i if turn_cost_factor.shape[0] > 1 else 0],
        )[0]


@njit
def least_paths(
    x_ratio: FloatArray,
    y_ratio: FloatArray,
    heading_rad: FloatArray,
    wind_x_ratio: FloatArray,
    wind_y_ratio: FloatArray,
    turn_cost_factor: FloatArray,
    cost: FloatArray,
    word: IntArray,
    legs: FloatArray,
) -> None:
    """`solve` for many states: inputs (n,) or (1,), answers into `cost` (n,), `word` (n,) and `legs` (n, 3)."""
    for i in range(cost.shape[0]):
        cost[i], word[i], legs[i, 0], legs[i, 1], legs[i, 2] = solve(
            x_ratio[i if x_ratio.shape[0] > 1 else 0],
            y_ratio[i if y_ratio.shape[0] > 1 else 0],
            heading_rad[i if heading_rad.shape[0] > 1 else 0],
            wind_x_ratio[i if wind_x_ratio.shape[0] > 1 else 0],
            wind_y_ratio[i if wind_y_ratio.shape[0] > 1 else 0],
            turn_cost_factor[i if turn_cost_factor.shape[0] > 1 else 0],
        )


@njit
def _seen_along_the_wind(
    x: float, y: float, heading: float, wind_x: float, wind_y: float, wind: float, turn_cost: float
) -> Chase:
    """The problem with the start at the origin and the frame turned so that the wind blows along +x."""
    toward_x, toward_y = 1.0, 0.0
    if wind > 0.0:
        toward_x, toward_y = wind_x / wind, wind_y / wind
    goal_x = -(x * toward_x + y * toward_y)
    goal_y = x * toward_y - y * toward_x
    wind_direction = math.atan2(toward_y, toward_x)
    start = _once_round(heading - wind_direction)
    return Chase(
        goal_x, goal_y,
        start, math.sin(start), math.cos(start),
        _once_round(-wind_direction), -toward_y, toward_x,
        _once_round(-heading), _once_round(heading),
        wind, turn_cost, _time_to_catch(goal_x, goal_y, wind),
    )  # fmt: skip


@njit
def _mirrored(problem: Chase) -> Chase:
    """The problem seen in a mirror along the wind: left turns become right turns."""
    return Chase(
        problem.x, -problem.y,
        _once_round(-problem.start), -problem.start_sine, problem.start_cosine,
        _once_round(-problem.goal), -problem.goal_sine, problem.goal_cosine,
        problem.right, problem.left,
        problem.wind, problem.turn_cost, problem.least_time,
    )  # fmt: skip


@njit
def _best_of_six(left: Chase, right: Chase) -> tuple[float, int, float, float, float]:
    """Ask all six words, the cheap ones first so that the dear ones can be left early."""
    best: Answer = (math.inf, math.nan, math.nan, math.nan)
    word = NO_WORD
    answer = _left_straight_left(left, best[0])
    if answer[0] < best[0]:
        best, word = answer, LSL
    answer = _left_straight_left(right, best[0])
    if answer[0] < best[0]:
        best, word = answer, RSR
    answer = _left_straight_right(left, best[0])
    if answer[0] < best[0]:
        best, word = answer, LSR
    answer = _left_straight_right(right, best[0])
    if answer[0] < best[0]:
        best, word = answer, RSL
    answer = _left_right_left(left, best[0])
    if answer[0] < best[0]:
        best, word = answer, LRL
    answer = _left_right_left(right, best[0])
    if answer[0] < best[0]:
        best, word = answer, RLR
    return best[0], word, best[1], best[2], best[3]


# --- left, straight, left: closed form -------------------------------------------------------------------------------


@njit
def _left_straight_left(problem: Chase, best: float) -> Answer:
    """Both arcs together turn `left`, or one circle more where the direct way would need an arc of less than nothing.

    With the turning time known, what is left is a straight chase from circle to circle. One more circle always has an
    answer, which is why every state has a finite required height while the wind is below the airspeed.
    """
    cost, first, straight, last = _left_straight_left_turning(problem, problem.left, best)
    if cost < math.inf:
        return cost, first, straight, last
    return _left_straight_left_turning(problem, problem.left + _CIRCLE, best)


@njit
def _left_straight_left_turning(problem: Chase, turn: float, best: float) -> Answer:
    x = problem.x + problem.start_sine - problem.goal_sine - problem.wind * turn
    y = problem.y - problem.start_cosine + problem.goal_cosine
    straight = _time_to_catch(x, y, problem.wind)
    cost = problem.turn_cost * turn + straight
    if not cost < best:
        return math.inf, math.nan, math.nan, math.nan
    if straight <= _TOUCH:
        return cost, turn, straight, 0.0
    direction = math.atan2(y, x - problem.wind * straight)
    first = _once_round(direction - problem.start)
    slack = _ANGLE_SLACK + _ROUNDING / straight
    if first > turn + slack:
        if first < _CIRCLE - slack:
            return math.inf, math.nan, math.nan, math.nan
        first = 0.0
    first = min(first, turn)
    return cost, first, straight, turn - first


# --- left, straight, right: one unknown, the heading of the straight -------------------------------------------------


@njit
def _left_straight_right(problem: Chase, best: float) -> Answer:
    """Look for the heading h of the straight.

    With turning time A(h) = (h - start) + (h - goal), each taken once round, what the straight must cover over the
    ground is `gap` = P - wind A - 2 (sin h, -cos h), and it must lie along u + wind, u = (cos h, sin h). Their cross
    product is F(h) = (a - wind A) sin h - b cos h - c. Since F/sin h has the derivative ((b + c cos h)/sin^2 h) -
    2 wind, a quadratic in cos h tells where it turns round: between those headings, the wind's axis (sin h = 0) and the
    two headings where A jumps, F crosses zero at most once. Where it crosses upwards the straight is flown forwards,
    where it crosses downwards backwards: dF/dh = length (1 + wind cos h).
    """
    wind = problem.wind
    a = problem.x + problem.start_sine + problem.goal_sine
    b = problem.y - problem.start_cosine - problem.goal_cosine + 2.0 * wind
    c = 2.0 + wind * (b - 2.0 * wind)
    cosine_1, cosine_2 = _turning_cosines(2.0 * wind, c, b - 2.0 * wind)
    sine_1 = math.sqrt(max(0.0, 1.0 - cosine_1 * cosine_1))
    sine_2 = math.sqrt(max(0.0, 1.0 - cosine_2 * cosine_2))
    angle_1, angle_2 = math.acos(cosine_1), math.acos(cosine_2)
    angles = (0.0, angle_1, angle_2, math.pi, _CIRCLE - angle_2, _CIRCLE - angle_1, _CIRCLE)
    sines = (0.0, sine_1, sine_2, 0.0, -sine_2, -sine_1, 0.0)
    cosines = (1.0, cosine_1, cosine_2, -1.0, cosine_2, cosine_1, 1.0)
    found: Answer = (best, math.nan, math.nan, math.nan)
    from_angle, from_sine, from_cosine = 0.0, 0.0, 1.0
    into = 1
    while into < 7:
        to_angle, to_sine, to_cosine = angles[into], sines[into], cosines[into]
        jump_at_start = from_angle < problem.start < to_angle
        if jump_at_start:
            to_angle, to_sine, to_cosine = problem.start, problem.start_sine, problem.start_cosine
        jump_at_goal = from_angle < problem.goal < to_angle
        if jump_at_goal:
            to_angle, to_sine, to_cosine = problem.goal, problem.goal_sine, problem.goal_cosine
        if not (jump_at_start or jump_at_goal):
            into += 1
        if to_angle > from_angle:
            turn = _once_round(from_angle - problem.start) + _once_round(from_angle - problem.goal)
            if _turning_alone(problem, turn) < found[0]:
                found = _straight_between(
                    problem, a, b, c, turn, from_angle, from_sine, from_cosine, to_angle, to_sine, to_cosine, found
                )
        from_angle, from_sine, from_cosine = to_angle, to_sine, to_cosine
    if found[0] < best:
        return found
    return math.inf, math.nan, math.nan, math.nan


@njit
def _turning_cosines(second: float, first: float, zeroth: float) -> tuple[float, float]:
    """Roots of second z^2 + first z + zeroth within (-1, 1), the greater one first; a missing one is 1 or -1."""
    discriminant = first * first - 4.0 * second * zeroth
    if discriminant < 0.0:
        return 1.0, -1.0
    half = -0.5 * (first + math.copysign(math.sqrt(discriminant), first))
    # the small root first: dividing by `second`, which is nothing in calm air, is only right where it stays below 1
    root_1 = zeroth / half if abs(half) > abs(zeroth) else 1.0
    root_2 = half / second if second > abs(half) else -1.0
    if root_1 >= root_2:
        return min(root_1, 1.0), max(root_2, -1.0)
    return root_2, root_1


@njit
def _straight_between(
    problem: Chase, a: float, b: float, c: float, turn: float,
    from_angle: float, from_sine: float, from_cosine: float,
    to_angle: float, to_sine: float, to_cosine: float, found: Answer,
) -> Answer:  # fmt: skip
    """The better of `found` and the paths whose straight heads between two angles with at most one crossing between."""
    to_turn = turn + 2.0 * (to_angle - from_angle)
    from_value = (a - problem.wind * turn) * from_sine - b * from_cosine - c
    to_value = (a - problem.wind * to_turn) * to_sine - b * to_cosine - c
    if abs(from_value) <= _TOUCH:
        found = _straight_along(problem, a, b, turn, from_angle, from_sine, from_cosine, found)
    if abs(to_value) <= _TOUCH:
        found = _straight_along(problem, a, b, to_turn, to_angle, to_sine, to_cosine, found)
    # a crossing on the wind's axis itself has no reliable sign; its slope tells on which side the stretch lies
    before, after = from_value, to_value
    if abs(from_value) <= _TOUCH:
        before = (a - problem.wind * turn) * from_cosine + (b - 2.0 * problem.wind) * from_sine
    if abs(to_value) <= _TOUCH:
        after = (problem.wind * to_turn - a) * to_cosine - (b - 2.0 * problem.wind) * to_sine
    if before < 0.0 < after:
        along = a - problem.wind * (turn - 2.0 * from_angle)
        angle, sine, cosine = _crossing(along, b, c, problem.wind, from_angle, to_angle, from_value, to_value)
        turn += 2.0 * (angle - from_angle)
        found = _straight_along(problem, a, b, turn, angle, sine, cosine, found)
    return found


@njit
def _crossing(
    a: float, b: float, c: float, wind: float, low: float, high: float, low_value: float, high_value: float
) -> tuple[float, float, float]:
    """Angle, sine, cosine where (a - 2 wind h) sin h - b cos h - c rises through zero between `low` and `high`.

    Halley's steps, kept inside the bracket; the second derivative comes free of charge. Small steps turn sine and cosine
    by their series instead of asking for them anew.
    """
    angle = 0.5 * (low + high)
    if low_value < -_TOUCH and high_value > _TOUCH:
        angle = low - (high - low) * low_value / (high_value - low_value)
    sine, cosine = math.sin(angle), math.cos(angle)
    for _ in range(_MOST_STEPS):
        along = a - 2.0 * wind * angle
        value = along * sine - b * cosine - c
        slope = along * cosine + b * sine - 2.0 * wind * sine
        bend = -(value + c) - 4.0 * wind * cosine
        if value < 0.0:
            low = angle
        else:
            high = angle
        divisor = slope * slope - 0.5 * value * bend
        step = -value * slope / divisor if divisor > 0.0 else math.inf
        if not low < angle + step < high:
            if abs(value) <= _ROUNDING:
                break
            step = 0.5 * (low + high) - angle
        angle += step
        if abs(step) < 1e-3:
            square = step * step
            step_sine = step * (1.0 - square / 6.0 * (1.0 - square / 20.0))
            step_cosine = 1.0 - 0.5 * square * (1.0 - square / 12.0)
            sine, cosine = sine * step_cosine + cosine * step_sine, cosine * step_cosine - sine * step_sine
            if abs(step) < 1e-9:
                break
        else:
            sine, cosine = math.sin(angle), math.cos(angle)
    return angle, sine, cosine


@njit
def _straight_along(
    problem: Chase, a: float, b: float, turn: float, angle: float, sine: float, cosine: float, found: Answer
) -> Answer:
    """The better of `found` and the path whose straight heads along `angle`, if it flies forwards."""
    gap_x = a - problem.wind * turn - 2.0 * sine
    gap_y = b - 2.0 * problem.wind + 2.0 * cosine
    ground_x, ground_y = cosine + problem.wind, sine
    straight = (gap_x * ground_x + gap_y * ground_y) / (ground_x * ground_x + ground_y * ground_y)
    if straight < -_BACKWARD_SLACK:
        return found
    straight = max(straight, 0.0)
    cost = problem.turn_cost * turn + straight
    if not cost < found[0]:
        return found
    # which of the two arcs holds a full circle at a jump is told by the sum, so only one is measured
    first = _once_round(angle - problem.start)
    last = turn - first
    if last < -_ANGLE_SLACK:
        first, last = 0.0, turn
    elif last > _CIRCLE + _ANGLE_SLACK:
        first += _CIRCLE
        last -= _CIRCLE
    return cost, first, straight, max(last, 0.0)


# --- left, right, left: one unknown, half the middle arc -------------------------------------------------------------


@njit
def _left_right_left(problem: Chase, best: float) -> Answer:
    """The outer arcs turn `left` and the middle arc once more, give or take a circle: three cases."""
    found: Answer = (best, math.nan, math.nan, math.nan)
    for circles in range(-1, 2):
        found = _left_right_left_turning(problem, problem.left + circles * _CIRCLE, found)
    if found[0] < best:
        return found
    return math.inf, math.nan, math.nan, math.nan


@njit
def _left_right_left_turning(problem: Chase, turn: float, found: Answer) -> Answer:
    """Look for m, half the middle arc: the time is turn + 4 m, the outer circles then stand |v| apart, v = C - wind T.

    The middle circle touches both when 4 sin m = |v(m)|. Over half a circle 4 sin m - |v(m)| is concave (a sine less
    the length of something linear), so there are at most two roots, and Newton's steps walk up to the lower one from
    the left and to the upper one from the right without ever passing them.
    """
    wind, turn_cost = problem.wind, problem.turn_cost
    x = problem.x + problem.start_sine - problem.goal_sine - wind * turn
    y = problem.y - problem.start_cosine + problem.goal_cosine
    least = max(0.0, 0.25 * (problem.least_time - turn))
    most = min(math.pi, 0.25 * (found[0] / turn_cost - turn))
    if least > most or math.hypot(x - 4.0 * wind * least, y) > 4.0 + 4.0 * wind * (most - least):
        return found
    half = _outermost_root(x, y, wind, least, most)
    if half < math.inf:
        found = _middle_arc(problem, x, y, turn, half, found)
    half = _outermost_root(x, y, wind, most, least)
    if half < math.inf:
        found = _middle_arc(problem, x, y, turn, half, found)
    return found


@njit
def _outermost_root(x: float, y: float, wind: float, begin: float, end: float) -> float:
    """First root of 4 sin m - |(x - 4 wind m, y)| met on the way from `begin` to `end`, coming from below; or infinity.

    The function is concave, so a tangent's zero never lies beyond the root, and where it no longer rises nothing comes.
    """
    onward = 1.0 if end >= begin else -1.0
    half = begin
    for _ in range(_MOST_STEPS):
        across = x - 4.0 * wind * half
        apart = math.hypot(across, y)
        value = 4.0 * math.sin(half) - apart
        if value >= -_ROUNDING:
            return half if value <= _TOUCH or half != begin else math.inf
        slope = 4.0 * math.cos(half)
        if apart > 0.0:
            slope += 4.0 * wind * across / apart
        step = -value / slope if slope * onward > 0.0 else math.inf
        if not onward * (half + step) <= onward * end:
            return half if value >= -_TOUCH else math.inf
        half += step
    return half


@njit
def _middle_arc(problem: Chase, x: float, y: float, turn: float, half: float, found: Answer) -> Answer:
    """The better of `found` and the three arcs whose middle one is twice `half`, if the outer ones share `turn` so."""
    cost = problem.turn_cost * (turn + 4.0 * half)
    if not cost < found[0]:
        return found
    across = x - 4.0 * problem.wind * half
    apart = math.hypot(across, y)
    outer = turn + 2.0 * half
    slack = _ANGLE_SLACK
    if apart > _NO_DIRECTION:
        slack += _ROUNDING / apart
        first = _once_round(math.atan2(y, across) + half - problem.start)
        if outer - first < -slack and first > _CIRCLE - slack:
            first -= _CIRCLE
        elif outer - first > _CIRCLE + slack and first < slack:
            first += _CIRCLE
    else:  # the middle arc is nothing or a full circle and may stand anywhere
        first = min(outer, _CIRCLE)
    last = outer - first
    if min(first, last) < -slack or last > _CIRCLE + slack:
        return found
    return cost, max(first, 0.0), 2.0 * half, max(last, 0.0)


# --- common ----------------------------------------------------------------------------------------------------------


@njit
def _time_to_catch(x: float, y: float, wind: float) -> float:
    """Time to fly straight to a point at (x, y) that drifts with (-wind, 0): the positive root of |(x - wind t, y)| = t."""
    reach = math.sqrt(x * x + (1.0 - wind * wind) * y * y)
    if x > 0.0:
        return (x * x + y * y) / (x * wind + reach)
    return (reach - x * wind) / (1.0 - wind * wind)


@njit
def _turning_alone(problem: Chase, turn: float) -> float:
    """The least that a path with this much turning can cost: its turning, or no time saved and the turning dearer."""
    return max(problem.turn_cost * turn, problem.least_time + (problem.turn_cost - 1.0) * turn)


@njit
def _once_round(angle: float) -> float:
    """The angle within [0, 2 pi); a hair less than a full circle is nothing."""
    turned = angle - _CIRCLE * math.floor(angle / _CIRCLE)
    return 0.0 if turned >= _CIRCLE - _ANGLE_SLACK or turned < 0.0 else turned
