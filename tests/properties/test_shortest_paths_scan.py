"""An independent search: at every time, the six still-air words to where the goal has drifted by then.

A word answers the windy problem where its still-air length equals the time. Lengths are textbook closed forms in the
frame of the straight line to the goal (Shkel and Lumelsky, Classification of the Dubins set, Robotics and Autonomous
Systems 34, 2001), with both middle arcs of the three-arc words, scanned over time and bisected.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
STATES = 400
TIMES = 3000
TURN_COST = 7.0 / 6.0
CIRCLE = 2.0 * math.pi


def once_round(angle: Floats) -> Floats:
    turned = np.mod(angle, CIRCLE)
    return np.where(turned > CIRCLE - 1e-11, 0.0, turned)


def turning_and_straight(x: Floats, y: Floats, start: Floats, time: Floats, wind: Floats) -> tuple[Floats, Floats]:
    """Total arc and straight of ten still-air paths to the drifted goal, heading 0: shapes (10, ...); NaN if none.

    LSL, RSR, LSR, RSL, LRL and RLR with either middle arc, and the first two with a circle more, which the solver may
    use where the wind leaves nothing shorter.
    """
    to_x, to_y = -x - wind[0] * time, -y - wind[1] * time
    d, line = np.hypot(to_x, to_y), np.arctan2(to_y, to_x)
    a, b = once_round(start - line), once_round(-line + 0.0 * d)
    sa, sb, ca, cb, cab = np.sin(a), np.sin(b), np.cos(a), np.cos(b), np.cos(a - b)
    with np.errstate(invalid="ignore"):
        lsl = np.sqrt(2.0 + d * d - 2.0 * cab + 2.0 * d * (sa - sb))
        toward = np.arctan2(cb - ca, d + sa - sb)
        lsl_turn = once_round(toward - a) + once_round(b - toward)
        rsr = np.sqrt(2.0 + d * d - 2.0 * cab + 2.0 * d * (sb - sa))
        toward = np.arctan2(ca - cb, d - sa + sb)
        rsr_turn = once_round(a - toward) + once_round(toward - b)
        lsr = np.sqrt(-2.0 + d * d + 2.0 * cab + 2.0 * d * (sa + sb))
        toward = np.arctan2(-ca - cb, d + sa + sb) - np.arctan2(-2.0, lsr)
        lsr_turn = once_round(toward - a) + once_round(toward - b)
        rsl = np.sqrt(-2.0 + d * d + 2.0 * cab - 2.0 * d * (sa + sb))
        toward = np.arctan2(ca + cb, d - sa - sb) - np.arctan2(2.0, rsl)
        rsl_turn = once_round(a - toward) + once_round(b - toward)
        arcs = []
        # left circles' centres from each other, then the mirror image
        for hand in (1.0, -1.0):
            apart_x, apart_y = d + hand * (sa - sb), hand * (cb - ca)
            half = np.arcsin(np.hypot(apart_x, apart_y) / 4.0)
            middle_line = np.arctan2(apart_y, apart_x)
            for half_middle in (half, math.pi - half):
                first = once_round(hand * (middle_line - a) + half_middle)
                last = once_round(hand * (b - middle_line) + half_middle)
                arcs.append(first + 2.0 * half_middle + last)
    turning = np.stack([lsl_turn, rsr_turn, lsr_turn, rsl_turn, *arcs, lsl_turn + CIRCLE, rsr_turn + CIRCLE])
    straight = np.stack([lsl, rsr, lsr, rsl, *(0.0 * each for each in arcs), lsl, rsr])
    return turning, straight


def scanned_costs(x: float, y: float, start: float, wind: Floats, longest: float) -> Floats:
    """Costs of all answers that take no longer than `longest`."""
    place = np.full((1, 1), x), np.full((1, 1), y), np.full((1, 1), start)

    def too_long(time: Floats) -> Floats:
        turning, straight = turning_and_straight(*place, time, wind)
        return np.asarray((turning + straight)[:, 0] - time)

    times = np.linspace(0.0, longest, TIMES)
    excess = too_long(times[None, :])
    path, step = np.nonzero((excess[:, :-1] > 0.0) != (excess[:, 1:] > 0.0))
    # where a word begins or ceases to exist there is no sign on one side; the crossing, if any, is found by the scan
    real = ~np.isnan(excess[path, step]) & ~np.isnan(excess[path, step + 1])
    path, low, high = path[real], times[step[real]], times[step[real] + 1]
    rows = np.arange(path.size)
    falls = excess[path, step[real]] > 0.0
    for _ in range(60):
        middle = 0.5 * (low + high)
        above = (too_long(middle[None, :])[path, rows] > 0.0) == falls
        low, high = np.where(above, middle, low), np.where(above, high, middle)
    turning, straight = turning_and_straight(*place, low[None, :], wind)
    turning, straight = turning[path, 0, rows], straight[path, 0, rows]
    met = np.abs(turning + straight - low) < 1e-9  # the others are jumps of a full circle
    return np.asarray(TURN_COST * turning + straight)[met]


def test_a_dense_scan_in_time_finds_the_same_least_cost() -> None:
    from volplane.domain.geometry import shortest_paths_kernel as kernel

    rng = np.random.default_rng(2_001)
    for state in range(STATES):
        x, y = rng.uniform(-6.0, 6.0, 2)
        start, direction = rng.uniform(0.0, CIRCLE, 2)
        wind = rng.choice([0.0, 0.15, 0.3, 0.6, 0.9]) * np.array([math.cos(direction), math.sin(direction)])
        cost = kernel.solve(x, y, start, wind[0], wind[1], TURN_COST)[0]
        costs = scanned_costs(x, y, start, wind, cost + 0.01)
        assert costs.size, f"state {state}: the scan finds no way at all, the solver one of {cost}"
        assert abs(costs.min() - cost) < 1e-6, f"state {state}: scan {costs.min()}, solver {cost}"
