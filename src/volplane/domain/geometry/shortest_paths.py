"""Cheapest path in steadily moving air to a place met on a heading: the typed face of the compiled solver.

Seen from the air a path is three pieces: an arc, a straight or an opposite arc, an arc; the wind carries it over the
ground. `shortest_path` gives one with its legs, `least_costs_m` the costs of many, `fly_word` the ground positions
along one. How the solver works is told in docs/required-height.md.
"""

from __future__ import annotations

import math
import os
from collections.abc import Callable, Sequence
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from itertools import pairwise

import numpy as np
from numpy.typing import ArrayLike, NDArray

FloatArray = NDArray[np.float64]

WORDS = ("LSL", "RSR", "LSR", "RSL", "LRL", "RLR")

# a thread is not worth starting for less than a few milliseconds of work
_LEAST_CHUNK = 4096


@dataclass(frozen=True, slots=True)
class AirPath:
    """A path of one of the six words, with where it starts and the wind it is flown in.

    `word` names the pieces in order, L and R arcs, S a straight. Arcs are turned angles, not negative, either hand;
    `straight_m` is air distance and 0 for a word without a straight, `middle_arc_rad` is 0 for a word with one. Of a
    word with two arcs of one hand these together may exceed a full circle, where the wind leaves no shorter way.
    Headings are air headings anticlockwise from x. `cost_m` is the straight air distance that costs as much: the
    straight, and each arc's length times the turn cost it was asked for.
    """

    word: str
    first_arc_rad: float
    straight_m: float
    middle_arc_rad: float
    last_arc_rad: float
    cost_m: float
    start_x_m: float
    start_y_m: float
    start_heading_rad: float
    tas_mps: float
    turn_radius_m: float
    wind_x_mps: float
    wind_y_mps: float

    def __post_init__(self) -> None:
        if self.word not in WORDS:
            raise ValueError(f"word {self.word!r} is not one of {', '.join(WORDS)}")
        legs = (self.first_arc_rad, self.straight_m, self.middle_arc_rad, self.last_arc_rad)
        if not all(leg >= 0.0 for leg in legs):
            raise ValueError(f"legs {legs} of a path are not all numbers from 0 up")
        if not (self.tas_mps > 0.0 and self.turn_radius_m > 0.0):
            raise ValueError(f"tas_mps {self.tas_mps} and turn_radius_m {self.turn_radius_m} must be above 0")

    @property
    def arcs_rad(self) -> float:
        """All that is turned, either hand."""
        return self.first_arc_rad + self.middle_arc_rad + self.last_arc_rad

    @property
    def air_length_m(self) -> float:
        """Distance through the air."""
        return self.straight_m + self.turn_radius_m * self.arcs_rad

    @property
    def duration_s(self) -> float:
        """Time from start to goal."""
        return self.air_length_m / self.tas_mps

    @property
    def piece_ends_s(self) -> tuple[float, float, float]:
        """Times at which the three pieces end, the start being 0."""
        first_m = self.turn_radius_m * self.first_arc_rad
        middle_m = self.straight_m + self.turn_radius_m * self.middle_arc_rad
        return first_m / self.tas_mps, (first_m + middle_m) / self.tas_mps, self.duration_s


def shortest_path(
    x_m: float,
    y_m: float,
    heading_rad: float,
    *,
    tas_mps: float,
    turn_radius_m: float,
    wind_x_mps: float = 0.0,
    wind_y_mps: float = 0.0,
    goal_heading_rad: float = 0.0,
    turn_cost_factor: float = 1.0,
) -> AirPath | None:
    """The cheapest of the six words from a place and air heading to (0, 0) and `goal_heading_rad`.

    `turn_cost_factor` is what a metre of arc costs against a metre of straight, at least 1 (1: least time). None where
    there is no path: wind not below the airspeed, or an input that is not a finite number.
    """
    from volplane.domain.geometry import shortest_paths_kernel as kernel

    _check(tas_mps, turn_radius_m, turn_cost_factor)
    toward_x, toward_y = math.cos(goal_heading_rad), math.sin(goal_heading_rad)
    cost, word, first, middle, last = kernel.solve(
        (x_m * toward_x + y_m * toward_y) / turn_radius_m,
        (y_m * toward_x - x_m * toward_y) / turn_radius_m,
        heading_rad - goal_heading_rad,
        (wind_x_mps * toward_x + wind_y_mps * toward_y) / tas_mps,
        (wind_y_mps * toward_x - wind_x_mps * toward_y) / tas_mps,
        turn_cost_factor * 1.0,
    )
    if word == kernel.NO_WORD:
        return None
    straight = "S" in WORDS[word]
    return AirPath(
        word=WORDS[word],
        first_arc_rad=first,
        straight_m=middle * turn_radius_m if straight else 0.0,
        middle_arc_rad=0.0 if straight else middle,
        last_arc_rad=last,
        cost_m=cost * turn_radius_m,
        start_x_m=x_m,
        start_y_m=y_m,
        start_heading_rad=heading_rad,
        tas_mps=tas_mps,
        turn_radius_m=turn_radius_m,
        wind_x_mps=wind_x_mps,
        wind_y_mps=wind_y_mps,
    )


def least_costs_m(
    x_m: ArrayLike,
    y_m: ArrayLike,
    heading_rad: ArrayLike,
    *,
    tas_mps: ArrayLike,
    turn_radius_m: ArrayLike,
    wind_x_mps: ArrayLike = 0.0,
    wind_y_mps: ArrayLike = 0.0,
    goal_heading_rad: ArrayLike = 0.0,
    turn_cost_factor: ArrayLike = 1.0,
    threads: int | None = None,
) -> FloatArray:
    """`AirPath.cost_m` of the cheapest path for many states; arguments broadcast, the result has their common shape.

    Infinity where the wind is not below the airspeed, NaN where an argument is NaN. The result does not depend on
    `threads` (default: one per core).
    """
    from volplane.domain.geometry import shortest_paths_kernel as kernel

    _check(tas_mps, turn_radius_m, turn_cost_factor)
    given = (x_m, y_m, heading_rad, tas_mps, turn_radius_m, wind_x_mps, wind_y_mps, goal_heading_rad, turn_cost_factor)
    arrays = [np.asarray(value, dtype=np.float64) for value in given]
    shape = np.broadcast_shapes(*(array.shape for array in arrays))
    x, y, heading, tas, radius, wind_x, wind_y, goal, turn_cost = arrays
    with np.errstate(invalid="ignore"):  # an infinite place times a sine of nothing; the kernel answers those
        inputs = (*_turned(x / radius, y / radius, goal), heading - goal, *_turned(wind_x / tas, wind_y / tas, goal))
    cost = np.empty(math.prod(shape))
    in_chunks(kernel.least_costs, [_column(each, shape) for each in (*inputs, turn_cost)], [cost], threads=threads)
    return cost.reshape(shape) * radius


def fly_word(path: AirPath, time_s: ArrayLike) -> tuple[FloatArray, FloatArray, FloatArray]:
    """Where the airplane is along a path: ground x and y in metres and air heading in radians, exact, at times (n,).

    Times before the start and after the goal are taken as the start and the goal. The heading is not wrapped.
    """
    times = np.clip(np.asarray(time_s, dtype=np.float64), 0.0, path.duration_s)
    x = path.start_x_m + path.wind_x_mps * times
    y = path.start_y_m + path.wind_y_mps * times
    heading = np.full(times.shape, path.start_heading_rad)
    begin = 0.0
    for piece, end in zip(path.word, path.piece_ends_s, strict=True):
        flown = path.tas_mps * (np.clip(times, begin, end) - begin)
        if piece == "S":
            x, y = x + flown * np.cos(heading), y + flown * np.sin(heading)
        else:
            radius = path.turn_radius_m if piece == "L" else -path.turn_radius_m
            turned = heading + flown / radius
            x = x + radius * (np.sin(turned) - np.sin(heading))
            y = y - radius * (np.cos(turned) - np.cos(heading))
            heading = turned
        begin = end
    return x, y, heading


def flown_end(path: AirPath) -> tuple[float, float, float]:
    """Where a path ends when flown: ground x and y in metres, air heading in radians, not wrapped."""
    x, y, heading = fly_word(path, path.duration_s)
    return float(x), float(y), float(heading)


def in_chunks(
    kernel: Callable[..., None],
    inputs: Sequence[FloatArray],
    outputs: Sequence[NDArray[np.generic]],
    *,
    threads: int | None = None,
) -> None:
    """Run a compiled batch kernel over states, a share of them on each core; the kernels hold no lock while they run.

    Outputs have first dimension n; inputs are (n, ...) or, for what all states share, (1, ...). Each state's answer
    depends on its own inputs alone, so the result is the same to the last bit for any number of threads.
    """
    count = outputs[0].shape[0]
    workers = min(threads or os.cpu_count() or 1, max(1, count // _LEAST_CHUNK))
    if workers == 1:
        kernel(*inputs, *outputs)
        return
    edges = [count * part // workers for part in range(workers + 1)]

    def run(begin: int, end: int) -> None:
        shares = [each if each.shape[0] == 1 else each[begin:end] for each in inputs]
        kernel(*shares, *(each[begin:end] for each in outputs))

    with ThreadPoolExecutor(workers) as pool:
        for share in [pool.submit(run, begin, end) for begin, end in pairwise(edges)]:
            share.result()


def warm() -> None:
    """Compile the solver, or load it from the cache, so that nobody waits later."""
    shortest_path(0.0, 2.0, math.pi, tas_mps=1.0, turn_radius_m=1.0)
    least_costs_m([0.0], [2.0], [math.pi], tas_mps=1.0, turn_radius_m=1.0)


def _turned(x: FloatArray, y: FloatArray, angle: FloatArray) -> tuple[FloatArray, FloatArray]:
    """Components in a frame turned anticlockwise by an angle."""
    if not angle.any():
        return x, y
    sine, cosine = np.sin(angle), np.cos(angle)
    return x * cosine + y * sine, y * cosine - x * sine


def _column(values: FloatArray, shape: tuple[int, ...]) -> FloatArray:
    """One value for all states as (1,), otherwise one for each as (n,), contiguous."""
    if values.size == 1:
        return np.ascontiguousarray(values.reshape(1))
    return np.ascontiguousarray(np.broadcast_to(values, shape)).reshape(-1)


def _check(tas_mps: ArrayLike, turn_radius_m: ArrayLike, turn_cost_factor: ArrayLike) -> None:
    if np.any(np.less_equal(tas_mps, 0.0)):
        raise ValueError(f"tas_mps is {np.nanmin(tas_mps):g} m/s; it must be above 0 m/s")
    if np.any(np.less_equal(turn_radius_m, 0.0)):
        raise ValueError(f"turn_radius_m is {np.nanmin(turn_radius_m):g} m; it must be above 0 m")
    if np.any(np.less(turn_cost_factor, 1.0)):
        raise ValueError(f"turn_cost_factor is {np.nanmin(turn_cost_factor):g}; it must be at least 1")
