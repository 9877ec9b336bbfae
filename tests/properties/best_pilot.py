"""The best pilot: searches, flight by flight of the integrator, how much height can be left when the runway is reached.

He turns either hand onto any track, goes straight for any time, turns either hand onto the runway, all within the
pilot's limits, and is judged by what is left over the straight glide down the final. Nothing of the formula of the
practical required height is asked: no words, no mean wind, no steady sinks.
"""

from __future__ import annotations

import math
from collections.abc import Callable
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.flying import BANK, HEIGHT, LEG, TRACK, Bench, X, Y
from volplane.domain.glide.guided_flight import Leg, LegKind, Start
from volplane.domain.glide.practical_height import PracticalHeight

_HANDS, BY_EYE = (1, -1), 0
_NEAR_RAD = np.linspace(-0.2, 0.2, 9)
_STRAIGHTS_S = (0.5, *range(2, 40, 2), 42, 46, 50, 55, 60, 70)
_TRACKS_RAD = np.linspace(-math.pi, math.pi, 37) + 0.01
_LINED_UP_M, _LINED_UP_RAD = 10.0, math.radians(5.0)
_ON_FINAL_RAD, _ON_FINAL_SINE = math.radians(10.0), math.sin(math.radians(10.0))


@dataclass(frozen=True, slots=True)
class State:
    """Where he begins; heading through the air and bank as everywhere in the runway frame."""

    x_m: float
    y_m: float
    height_m: float
    heading_rad: float
    bank_rad: float = 0.0


def most_height_left_m(ready: Bench, practical: PracticalHeight, state: State) -> float:
    """The most height over the final glide when the last turn is done; negative where every try comes out low."""
    best = -math.inf
    for first in (*_HANDS, BY_EYE):
        for last in _HANDS:

            def fly(track_rad: float, straight_s: float, first: int = first, last: int = last) -> tuple[float, float]:
                return _fly(ready, practical, state, first, last, track_rad, straight_s)

            best = max(best, _most_left_m(fly))
    return best


Flight = Callable[[float, float], tuple[float, float]]


def _most_left_m(fly: Flight) -> float:
    """Over all straights: from a coarse row of them, ever finer ones round the three best."""
    found = sorted((*_lined_up(fly, straight_s, _TRACKS_RAD), straight_s) for straight_s in _STRAIGHTS_S)
    return max(_refined_m(fly, *begin) for begin in found[-3:])


def _refined_m(fly: Flight, left_m: float, track_rad: float, best_s: float) -> float:
    if not math.isfinite(left_m):
        return left_m
    step_s = 1.5
    while step_s > 0.2:
        near = track_rad + _NEAR_RAD
        trials = [(*_lined_up(fly, max(at, 0.5), near), max(at, 0.5)) for at in (best_s - step_s, best_s + step_s)]
        value = max(trials)
        if value[0] > left_m:
            left_m, track_rad, best_s = value
        else:
            step_s *= 0.5
    return left_m


def _lined_up(fly: Flight, straight_s: float, tracks_rad: NDArray[np.float64]) -> tuple[float, float]:
    """The most height left, and the track, over every track that lines the last turn up after this straight."""
    flown = [fly(float(track), straight_s) for track in tracks_rad]
    best = max(
        ((left, float(track)) for (y, left), track in zip(flown, tracks_rad, strict=True) if abs(y) <= _LINED_UP_M),
        default=(-math.inf, 0.0),
    )
    for i in range(len(flown) - 1):
        if flown[i][0] * flown[i + 1][0] < 0.0:
            best = max(best, _between(fly, straight_s, (float(tracks_rad[i]), float(tracks_rad[i + 1])), flown[i][0]))
    return best


def _between(fly: Flight, straight_s: float, tracks: tuple[float, float], y_m: float) -> tuple[float, float]:
    """The track between two that ends on the centreline, by halving."""
    here, there = tracks
    for _ in range(10):
        middle = 0.5 * (here + there)
        at_y, left = fly(middle, straight_s)
        if abs(at_y) <= _LINED_UP_M:
            return left, middle
        if (at_y > 0.0) == (y_m > 0.0):
            here = middle
        else:
            there = middle
    return -math.inf, here


def _fly(
    ready: Bench,
    practical: PracticalHeight,
    state: State,
    first: int,
    last: int,
    track_rad: float,
    straight_s: float,
) -> tuple[float, float]:
    """Offset from the centreline when the last turn is done, and the height left there; from far above, if need be."""
    limits = ready.limits
    common = (limits.glide_eas_mps, limits.glide_configuration)
    bank = limits.bank_low_rad
    legs = [
        Leg("first turn", LegKind.TURN, track_rad, *common, 1.0, turn_sign=first, bank_rad=bank),
        Leg("straight", LegKind.TURN, track_rad + 3.0, *common, 1.0, bank_rad=1e-6, end_time_s=straight_s),
        Leg("last turn", LegKind.TURN, 0.0, *common, 1.0, turn_sign=last, bank_rad=bank),
        Leg("final", LegKind.LINE, 0.0, *common, bank, x_m=1e6, end_time_s=4.0),
    ]
    if first == BY_EYE:  # a turn of the integrator lasts two seconds at least: smaller ones are flown onto a line
        legs[:2] = [
            Leg("straight", LegKind.LINE, track_rad, *common, bank, x_m=state.x_m + 1e6 * math.cos(track_rad),
                y_m=state.y_m + 1e6 * math.sin(track_rad), end_time_s=straight_s)
        ]  # fmt: skip
    if limits.reaction_delay_s > 0.0:
        go_on = Leg("delay", LegKind.TURN, _track_rad(ready, state) + 3.0, *common, 1.0, bank_rad=1e-6)
        legs.insert(0, replace(go_on, bank_rad=-state.bank_rad or 1e-6, end_time_s=limits.reaction_delay_s))
    rows = ready.simulator.fly_rows(
        Start(state.x_m, state.y_m, state.height_m, state.heading_rad, limits.glide_eas_mps, state.bank_rad),
        tuple(legs),
    )
    done = np.flatnonzero(rows[:, LEG] == len(legs) - 1)
    if not len(done):
        return math.nan, -math.inf
    end = int(done[-1])
    x_m, y_m, height_m = (float(rows[end, column]) for column in (X, Y, HEIGHT))
    # the final begins as the gate finder says: track and bank within ten degrees
    level = done[(np.abs(rows[done, BANK]) < _ON_FINAL_RAD) & (np.abs(np.sin(rows[done, TRACK])) < _ON_FINAL_SINE)]
    is_lined_up = abs(math.remainder(float(rows[end, TRACK]), 2.0 * math.pi)) < _LINED_UP_RAD
    needed_m = float(practical.on_final_m(np.array([x_m]))[0])
    if not len(level) or not is_lined_up or not math.isfinite(needed_m):
        return y_m, -math.inf
    begin = int(level[0])
    if float(rows[begin, X]) > practical.aim_x_m - limits.minimum_final_m:
        return y_m, -math.inf
    return y_m, min(height_m - needed_m, float(rows[begin, HEIGHT]) - limits.final_complete_height_m)


def _track_rad(ready: Bench, state: State) -> float:
    """The track over the ground he begins with."""
    tas_mps = ready.tas_mps(state.height_m)
    wind_x, wind_y = (float(wind) for wind in ready.air.wind_xy_mps(state.height_m))
    return math.atan2(tas_mps * math.sin(state.heading_rad) + wind_y, tas_mps * math.cos(state.heading_rad) + wind_x)
