"""The best pilot: searches, flight by flight of the integrator, how much height can be left when the runway is reached.

He turns either hand onto any track, goes straight for any time, turns either hand onto the runway, all within the
pilot's limits, and is judged by what is left over the straight glide down the final. Nothing of the formula of the
practical required height is asked: no words, no mean wind, no steady sinks.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from volplane.domain.exercise.flying import HEIGHT, LEG, Bench, X, Y
from volplane.domain.glide.guided_flight import Leg, LegKind, Start
from volplane.domain.glide.practical_height import PracticalHeight

_HANDS = (1, -1)
_STRAIGHTS_S = (0.5, 4.0, 10.0, 18.0, 30.0, 50.0, 80.0)
_LINED_UP_M = 5.0


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
    for first in _HANDS:
        for last in _HANDS:
            tracks = np.linspace(-math.pi, math.pi, 49)
            left = [_with_track(ready, practical, state, first, last, float(track)) for track in tracks]
            at = int(np.argmax(left))
            if not math.isfinite(left[at]):
                continue
            best = max(best, _refined(ready, practical, state, first, last, float(tracks[at]), left[at]))
    return best


def _refined(
    ready: Bench, practical: PracticalHeight, state: State, first: int, last: int, track: float, left: float
) -> float:
    step = math.radians(3.75)
    while step > math.radians(0.4):
        trials = [(_with_track(ready, practical, state, first, last, at), at) for at in (track - step, track + step)]
        value, at = max(trials)
        if value > left:
            left, track = value, at
        else:
            step *= 0.5
    return left


def _with_track(
    ready: Bench, practical: PracticalHeight, state: State, first: int, last: int, track_rad: float
) -> float:
    """Height left with this track between the turns, the straight as long as lines the last turn up with the runway."""

    def off(straight_s: float) -> tuple[float, float]:
        return _fly(ready, practical, state, first, last, track_rad, straight_s)

    here, (value_here, left_here) = _STRAIGHTS_S[0], off(_STRAIGHTS_S[0])
    if abs(value_here) <= _LINED_UP_M:
        return left_here
    for there in _STRAIGHTS_S[1:]:
        value_there, left_there = off(there)
        if not math.isfinite(value_there):
            return -math.inf
        if (value_there > 0.0) != (value_here > 0.0):
            break
        here, value_here = there, value_there
    else:
        return -math.inf
    if abs(value_there) <= _LINED_UP_M:
        return left_there
    for _ in range(14):
        middle = here - value_here * (there - here) / (value_there - value_here)
        y_m, left_m = off(middle)
        if abs(y_m) <= _LINED_UP_M:
            return left_m
        if (y_m > 0.0) == (value_here > 0.0):
            here, value_here = middle, y_m
        else:
            there, value_there = middle, y_m
    return -math.inf


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
        Leg("out", LegKind.TURN, 3.0, *common, 1.0, bank_rad=1e-6, end_time_s=4.0),
    ]
    if limits.reaction_delay_s > 0.0:
        legs.insert(
            0,
            Leg("delay", LegKind.TURN, 3.0, *common, 1.0, turn_sign=1, bank_rad=-state.bank_rad or 1e-6,
                end_time_s=limits.reaction_delay_s),
        )  # fmt: skip
    rows = ready.simulator.fly_rows(
        Start(state.x_m, state.y_m, state.height_m, state.heading_rad, limits.glide_eas_mps, state.bank_rad),
        tuple(legs),
    )
    done = np.flatnonzero(rows[:, LEG] == len(legs) - 1)
    if not len(done):
        return math.nan, -math.inf
    end = int(done[-1])
    x_m, height_m = float(rows[end, X]), float(rows[end, HEIGHT])
    shortest_m = practical.aim_x_m - limits.minimum_final_m
    needed_m = float(practical.on_final_m(np.array([x_m]))[0])
    level_m = float(rows[done[0], HEIGHT]) - limits.final_complete_height_m
    if not math.isfinite(needed_m) or float(rows[done[0], X]) > shortest_m:
        return float(rows[end, Y]), -math.inf
    return float(rows[end, Y]), min(height_m - needed_m, level_m)
