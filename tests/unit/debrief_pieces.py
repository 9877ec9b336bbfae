"""Pieces of flying to put before and after the exercises made by geometry, and whole flights of nothing but pieces.

A piece holds a turn rate, a rate of climb and an airspeed; the wind of the exercise carries it. Before an exercise the
pieces are reckoned backwards in time from its first moment, so that they end exactly where it begins.
"""

from __future__ import annotations

import dataclasses
import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from tests.unit.debrief_flights import STEP_S, Flown, Made, wind_at

Array = NDArray[np.float64]
# rolling and pitching take so long
LAG_S = 3.0
CHANNELS = ("time_s", "x_m", "y_m", "height_m", "tas_mps", "heading_rad")


@dataclasses.dataclass(frozen=True)
class Piece:
    """So many seconds at a turn rate (left positive), a rate of climb and an airspeed."""

    seconds: float
    turn_radps: float = 0.0
    climb_mps: float = 0.0
    tas_mps: float = 54.0


def circle(times: float, turn_radps: float, climb_mps: float, tas_mps: float = 54.0) -> Piece:
    """So many whole circles, to the left with a positive turn rate."""
    return Piece(times * 2.0 * math.pi / abs(turn_radps), turn_radps, climb_mps, tas_mps)


def turn(angle_rad: float, climb_mps: float = 0.0, tas_mps: float = 54.0, rate_radps: float = 0.09) -> Piece:
    """A turn by an angle, to the left positive."""
    return Piece(abs(angle_rad) / rate_radps, math.copysign(rate_radps, angle_rad), climb_mps, tas_mps)


def from_pieces(pieces: Sequence[Piece], made: Made, start: tuple[float, float, float, float]) -> Flown:
    """A flight of pieces from a place (x, y, height) and a heading on."""
    return Flown(made, *_integrated(pieces, made, start, backwards=False))


def before(flown: Flown, pieces: Sequence[Piece]) -> Flown:
    """The pieces, flown so that they end where the flight begins; turns and climbs as they are flown, in order."""
    start = (flown.x_m[0], flown.y_m[0], flown.height_m[0], flown.heading_rad[0])
    early = [channel[::-1] for channel in _integrated(pieces[::-1], flown.made, start, backwards=True)]
    early[0] = flown.time_s[0] - np.arange(len(early[0]), 0, -1) * STEP_S
    return Flown(
        flown.made, *(np.concatenate([a, getattr(flown, name)]) for a, name in zip(early, CHANNELS, strict=True))
    )


def after(flown: Flown, pieces: Sequence[Piece]) -> Flown:
    """The flight, then the pieces from where it ends."""
    start = (flown.x_m[-1], flown.y_m[-1], flown.height_m[-1], flown.heading_rad[-1])
    late = list(_integrated(pieces, flown.made, start, backwards=False))
    late[0] = flown.time_s[-1] + np.arange(1, len(late[0]) + 1) * STEP_S
    return Flown(
        flown.made, *(np.concatenate([getattr(flown, name), b]) for b, name in zip(late, CHANNELS, strict=True))
    )


def until(flown: Flown, height_m: float, from_s: float = 0.0) -> Flown:
    """The flight until it has first come down to a height (after so many seconds)."""
    low = int(np.flatnonzero((flown.height_m <= height_m) & (flown.time_s >= flown.time_s[0] + from_s))[0])
    return Flown(flown.made, *(getattr(flown, name)[: low + 1] for name in CHANNELS))


def raised(flown: Flown, by_m: float) -> Flown:
    """The same flight higher up, as above a practice floor."""
    return dataclasses.replace(flown, height_m=flown.height_m + by_m)


def _integrated(
    pieces: Sequence[Piece], made: Made, start: tuple[float, float, float, float], *, backwards: bool
) -> tuple[Array, ...]:
    """Channels of the pieces after (or, backwards, before) a state, without the state itself."""
    steps = [round(piece.seconds / STEP_S) for piece in pieces]
    profile = [
        _lagged(np.repeat([getattr(piece, name) for piece in pieces], steps))
        for name in ("turn_radps", "climb_mps", "tas_mps")
    ]
    sign = -1.0 if backwards else 1.0
    x, y, height, heading = start
    rows = np.empty((len(profile[0]), 6))
    for k, (rate, climb, speed) in enumerate(zip(*profile, strict=True)):
        heading += sign * rate * STEP_S
        height = max(height + sign * climb * STEP_S, 0.0)
        wind_x, wind_y = wind_at(made, height) if height > 0.0 else (0.0, 0.0)
        x += sign * (speed * math.cos(heading) + wind_x) * STEP_S
        y += sign * (speed * math.sin(heading) + wind_y) * STEP_S
        rows[k] = (sign * (k + 1) * STEP_S, x, y, height, speed, heading)
    return tuple(rows[:, k].copy() for k in range(6))


def _lagged(values: Array) -> Array:
    """A running mean over the time of a roll; the ends keep their values."""
    width = round(LAG_S / STEP_S)
    padded = np.concatenate([np.full(width // 2, values[0]), values, np.full(width - 1 - width // 2, values[-1])])
    return np.convolve(padded, np.full(width, 1.0 / width), mode="valid")
