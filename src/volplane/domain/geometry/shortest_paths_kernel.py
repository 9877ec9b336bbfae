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
# an arc this close to nothing or a full circle is nothing: rounding alone would decide whether to turn once round
_ANGLE_SLACK = 1e-9
# where a straight or a middle arc only just fits, a function touches zero and rounding decides on which side it stays;
# within this many radii (a thousandth of a millimetre for a light airplane) it counts as touched
_TOUCH = 1e-9
# a straight of this length is nothing, and one that is flown backwards by this much as well
_NO_STRAIGHT = 1e-12
# two points closer than this have no direction from one to the other
_NO_DIRECTION = 1e-12
# rounding of a length or an angle that is a difference of numbers of the size of the problem
_ROUNDING = 1e-14
# a wind below this drifts less than rounding, and its direction may be lost in the squares of tiny numbers
_CALM = 1e-15
# the steps below cube their error, so after a step this small nothing is left to correct
_LAST_STEP = 1e-7
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
    x_ratio: float,
    y_ratio: float,
    heading_rad: float,
    wind_x_ratio: float,
    wind_y_ratio: float,
    turn_cost_factor: float,
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
    wind = _length(wind_x_ratio, wind_y_ratio)
    if not wind < 1.0:
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
    if wind > _CALM:
        toward_x, toward_y = wind_x / wind, wind_y / wind
    goal_x = -(x * toward_x + y * toward_y)
    goal_y = x * toward_y - y * toward_x
    wind_direction = math.atan2(toward_y, toward_x)
    right = _once_round(heading)
    start = _once_round(right - wind_direction)
    return Chase(
        goal_x, goal_y,
        start, math.sin(start), math.cos(start),
        _once_round(-wind_direction), -toward_y, toward_x,
        _once_round(-right), right,
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
    if straight <= _NO_STRAIGHT:  # no straight, so no direction to hold
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


class Heading(NamedTuple):
    """An air heading with its sine and cosine."""

    angle: float
    sine: float
    cosine: float


class Misfit(NamedTuple):
    """The function F(h) = (a - wind A(h)) sin h - b cos h - c that is zero where a straight fits between the arcs."""

    a: float
    b: float
    c: float


@njit
def _left_straight_right(problem: Chase, best: float) -> Answer:
    """Look for the heading h of the straight.

    The arcs turn A(h) = (h - start) + (h - goal), each taken once round. What is left for the straight to cover over
    the ground is the gap P - wind A - 2 (sin h, -cos h), and it must lie along u + wind, u = (cos h, sin h). The cross
    product of the two is F. Where F rises through zero the straight is flown forwards, where it falls backwards, since
    there dF/dh = length (1 + wind cos h).
    """
    py = problem.y - problem.start_cosine - problem.goal_cosine
    misfit = Misfit(
        problem.x + problem.start_sine + problem.goal_sine, py + 2.0 * problem.wind, 2.0 + py * problem.wind
    )
    edges = _edges(misfit, problem.wind)
    start = Heading(problem.start, problem.start_sine, problem.start_cosine)
    goal = Heading(problem.goal, problem.goal_sine, problem.goal_cosine)
    found: Answer = (best, math.nan, math.nan, math.nan)
    # A at heading 0; exact, for A to come out right after both jumps
    turn = 0.0
    if start.angle > 0.0:
        turn += _CIRCLE - start.angle
    if goal.angle > 0.0:
        turn += _CIRCLE - goal.angle
    begin = edges[0]
    into = 1
    while into < len(edges):
        end = edges[into]
        whole = True
        if begin.angle < start.angle < end.angle:
            end, whole = start, False
        if begin.angle < goal.angle < end.angle:
            end, whole = goal, False
        if whole:
            into += 1
        if end.angle > begin.angle:
            if _turning_alone(problem, turn) < found[0]:
                found = _straight_between(problem, misfit, turn, begin, end, found)
            turn += 2.0 * (end.angle - begin.angle)
            if end.angle == start.angle:
                turn -= _CIRCLE
            if end.angle == goal.angle:
                turn -= _CIRCLE
        begin = end
    if found[0] < best:
        return found
    return math.inf, math.nan, math.nan, math.nan


@njit
def _edges(misfit: Misfit, wind: float) -> tuple[Heading, Heading, Heading, Heading, Heading, Heading, Heading]:
    """Headings, rising from 0 to a full circle, between which F crosses zero at most once.

    F / sin h has the derivative (b + c cos h) / sin^2 h - 2 wind, so between the wind's axis and the headings where
    2 wind cos^2 h + c cos h + b - 2 wind = 0 it only rises or only falls. A heading that does not exist is put on the
    axis. (A(h) jumps at start and goal; the caller cuts there too.)
    """
    cosine_1, cosine_2 = _quadratic_roots_within_one(2.0 * wind, misfit.c, misfit.b - 2.0 * wind)
    sine_1 = math.sqrt(max(0.0, 1.0 - cosine_1 * cosine_1))
    sine_2 = math.sqrt(max(0.0, 1.0 - cosine_2 * cosine_2))
    angle_1, angle_2 = math.acos(cosine_1), math.acos(cosine_2)
    return (
        Heading(0.0, 0.0, 1.0),
        Heading(angle_1, sine_1, cosine_1),
        Heading(angle_2, sine_2, cosine_2),
        Heading(math.pi, 0.0, -1.0),
        Heading(_CIRCLE - angle_2, -sine_2, cosine_2),
        Heading(_CIRCLE - angle_1, -sine_1, cosine_1),
        Heading(_CIRCLE, 0.0, 1.0),
    )


@njit
def _quadratic_roots_within_one(second: float, first: float, zeroth: float) -> tuple[float, float]:
    """Roots of second z^2 + first z + zeroth within (-1, 1), the greater one first; a missing one is 1 or -1."""
    discriminant = first * first - 4.0 * second * zeroth
    if discriminant < 0.0:
        return 1.0, -1.0
    half = -0.5 * (first + math.copysign(math.sqrt(discriminant), first))
    # divide only where the root stays below 1: `second` is nothing in calm air
    root_1 = zeroth / half if abs(half) > abs(zeroth) else 1.0
    root_2 = half / second if second > abs(half) else -1.0
    return max(root_1, root_2), min(root_1, root_2)


@njit
def _straight_between(
    problem: Chase, misfit: Misfit, turn: float, begin: Heading, end: Heading, found: Answer
) -> Answer:
    """The better of `found` and the paths whose straight heads between two edges; `turn` is A just after `begin`."""
    end_turn = turn + 2.0 * (end.angle - begin.angle)
    begin_value = _misfit(misfit, problem.wind, turn, begin)
    end_value = _misfit(misfit, problem.wind, end_turn, end)
    # an edge itself may be the answer: with no straight F only touches zero, with no arc A jumps there
    if abs(begin_value) <= _TOUCH:
        found = _straight_along(problem, misfit, turn, begin, found)
    if abs(end_value) <= _TOUCH:
        found = _straight_along(problem, misfit, end_turn, end, found)
    # a zero on the edge hides the sign; the slope there tells on which side of zero the stretch lies
    unsure = _ROUNDING * (1.0 + abs(misfit.a) + abs(misfit.b) + problem.wind * turn)
    begin_side, end_side = begin_value, end_value
    if abs(begin_value) <= unsure:
        begin_side = _misfit_slope(misfit, problem.wind, turn, begin)
    if abs(end_value) <= unsure:
        end_side = -_misfit_slope(misfit, problem.wind, end_turn, end)
    if begin_side < 0.0 < end_side and max(-begin_value, end_value) > unsure:
        heading = _rising_zero(misfit, problem.wind, turn, begin, end, begin_value, end_value)
        turn += 2.0 * (heading.angle - begin.angle)
        found = _straight_along(problem, misfit, turn, heading, found)
    return found


@njit
def _misfit(misfit: Misfit, wind: float, turn: float, heading: Heading) -> float:
    return (misfit.a - wind * turn) * heading.sine - misfit.b * heading.cosine - misfit.c


@njit
def _misfit_slope(misfit: Misfit, wind: float, turn: float, heading: Heading) -> float:
    return (misfit.a - wind * turn) * heading.cosine + (misfit.b - 2.0 * wind) * heading.sine


@njit
def _rising_zero(
    misfit: Misfit, wind: float, turn: float, begin: Heading, end: Heading, begin_value: float, end_value: float
) -> Heading:
    """Where F rises through zero between two edges.

    Euler's steps (to the zero of the parabola), kept inside the bracket; the second derivative comes free of charge,
    and where two zeros lie close together only the rising one attracts. Small steps turn sine and cosine by their
    series instead of asking for them anew.
    """
    low, high = begin.angle, end.angle
    angle = 0.5 * (low + high)
    if begin_value < -_TOUCH and end_value > _TOUCH:  # otherwise the edge itself would attract
        angle = low - (high - low) * begin_value / (end_value - begin_value)
    heading = Heading(angle, math.sin(angle), math.cos(angle))
    for _ in range(_MOST_STEPS):
        turned = turn + 2.0 * (heading.angle - begin.angle)
        value = _misfit(misfit, wind, turned, heading)
        slope = _misfit_slope(misfit, wind, turned, heading)
        bend = -(value + misfit.c) - 4.0 * wind * heading.cosine
        if value < 0.0:
            low = heading.angle
        else:
            high = heading.angle
        step = _step_to_rising_zero(value, slope, bend)
        arrived = abs(step) < _LAST_STEP
        if arrived:
            step = min(max(heading.angle + step, low), high) - heading.angle
        elif not low < heading.angle + step < high:
            step = 0.5 * (low + high) - heading.angle
        heading = _turned_by(heading, step)
        if arrived:
            break
    return heading


@njit
def _step_to_rising_zero(value: float, slope: float, bend: float) -> float:
    """From here to where the parabola of this value, slope and second derivative rises through zero; or infinity."""
    square = slope * slope - 2.0 * value * bend
    if square < 0.0:
        return math.inf
    slope_there = math.sqrt(square)
    if slope > 0.0:
        return -2.0 * value / (slope + slope_there)
    return (slope_there - slope) / bend if bend != 0.0 else math.inf


@njit
def _turned_by(heading: Heading, step: float) -> Heading:
    """The heading after a step; up to a tenth of a radian five terms of the series are exact to rounding."""
    angle = heading.angle + step
    if abs(step) > 0.1:
        return Heading(angle, math.sin(angle), math.cos(angle))
    x = step * step
    sine = step * (1.0 - x / 6.0 * (1.0 - x / 20.0 * (1.0 - x / 42.0 * (1.0 - x / 72.0))))
    cosine = 1.0 - x / 2.0 * (1.0 - x / 12.0 * (1.0 - x / 30.0 * (1.0 - x / 56.0 * (1.0 - x / 90.0))))
    return Heading(angle, heading.sine * cosine + heading.cosine * sine, heading.cosine * cosine - heading.sine * sine)


@njit
def _straight_along(problem: Chase, misfit: Misfit, turn: float, heading: Heading, found: Answer) -> Answer:
    """The better of `found` and the path whose straight has this heading, if it is flown forwards."""
    gap_x = misfit.a - problem.wind * turn - 2.0 * heading.sine
    gap_y = misfit.b - 2.0 * problem.wind + 2.0 * heading.cosine
    ground_x, ground_y = heading.cosine + problem.wind, heading.sine
    straight = (gap_x * ground_x + gap_y * ground_y) / (ground_x * ground_x + ground_y * ground_y)
    cost = problem.turn_cost * turn + max(straight, 0.0)
    if straight < -_NO_STRAIGHT or not cost < found[0]:
        return found
    # at a jump of A either arc may be nothing or a full circle: the sum tells which, so only one is measured
    first = _once_round(heading.angle - problem.start)
    last = turn - first
    if last < -_ANGLE_SLACK and first > math.pi:
        first, last = 0.0, turn
    elif last > _CIRCLE + _ANGLE_SLACK and first < math.pi:
        first += _CIRCLE
        last -= _CIRCLE
    return cost, first, max(straight, 0.0), max(last, 0.0)


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
    if least > most or _length(x - 4.0 * wind * least, y) > 4.0 + 4.0 * wind * (most - least):
        return found
    half = _outermost_root(x, y, wind, least, most)
    if half == math.inf:
        return found
    if half >= 0.0:
        found = _middle_arc(problem, x, y, turn, half, found)
    half = _outermost_root(x, y, wind, most, least)
    if 0.0 <= half < math.inf:
        found = _middle_arc(problem, x, y, turn, half, found)
    return found


@njit
def _outermost_root(x: float, y: float, wind: float, begin: float, end: float) -> float:
    """First root of 4 sin m - |(x - 4 wind m, y)| met on the way from `begin` to `end`, coming from below.

    Infinity if there is none between; -1 if `begin` lies above zero already, that is between the two roots.
    The function is concave, so a tangent's zero never lies beyond the root, and where it no longer rises nothing comes.
    """
    onward = 1.0 if end >= begin else -1.0
    half = begin
    for _ in range(_MOST_STEPS):
        across = x - 4.0 * wind * half
        apart = _length(across, y)
        value = 4.0 * math.sin(half) - apart
        if value >= -_ROUNDING:
            return half if value <= _TOUCH or half != begin else -1.0
        slope = 4.0 * math.cos(half)
        if apart > 0.0:
            slope += 4.0 * wind * across / apart
        if slope * onward <= 0.0 or onward * (half - value / slope) > onward * end:
            return half if value >= -_TOUCH else math.inf
        half -= value / slope
    return half


@njit
def _middle_arc(problem: Chase, x: float, y: float, turn: float, half: float, found: Answer) -> Answer:
    """The better of `found` and the three arcs whose middle one is twice `half`, if the outer two can be had."""
    outer = turn + 2.0 * half
    cost = problem.turn_cost * (turn + 4.0 * half)
    if not cost < found[0] or outer < -_ANGLE_SLACK:
        return found
    across = x - 4.0 * problem.wind * half
    apart = _length(across, y)
    slack = _ANGLE_SLACK
    if apart > _NO_DIRECTION:
        slack += _ROUNDING / apart
        first = _once_round(math.atan2(y, across) + half - problem.start)
        if first > _CIRCLE - slack and first > outer + slack:
            first -= _CIRCLE
        elif first < slack and outer - first > _CIRCLE + slack:
            first += _CIRCLE
    else:  # the middle arc is nothing or a full circle and may stand anywhere
        first = min(outer, _CIRCLE)
    if first > outer + slack or outer - first > _CIRCLE + slack:
        return found
    first = min(max(first, 0.0, outer - _CIRCLE), max(outer, 0.0))
    return cost, first, 2.0 * half, max(outer - first, 0.0)


# --- common ----------------------------------------------------------------------------------------------------------


@njit
def _time_to_catch(x: float, y: float, wind: float) -> float:
    """Time t to fly straight to a point at (x, y) that drifts with (-wind, 0): |(x - wind t, y)| = t."""
    reach = math.sqrt(x * x + (1.0 - wind * wind) * y * y)
    if x > 0.0:
        return (x * x + y * y) / (x * wind + reach)
    return (reach - x * wind) / (1.0 - wind * wind)


@njit
def _turning_alone(problem: Chase, turn: float) -> float:
    """The least that a path with this much turning can cost: its turning, or no time saved and the turning dearer."""
    return max(problem.turn_cost * turn, problem.least_time + (problem.turn_cost - 1.0) * turn)


@njit
def _length(x: float, y: float) -> float:
    """Length of (x, y); nothing here is so long that the squares overflow."""
    return math.sqrt(x * x + y * y)


@njit
def _once_round(angle: float) -> float:
    """The angle within [0, 2 pi), where a hair more or less than full circles is nothing."""
    turned = angle - _CIRCLE * math.floor(angle / _CIRCLE)
    return turned if _ANGLE_SLACK < turned < _CIRCLE - _ANGLE_SLACK else 0.0
