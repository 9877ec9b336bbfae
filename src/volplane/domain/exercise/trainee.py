"""A trainee who flies the exercise imperfectly: the integrator with wandering hands, from set-up to stop or climb.

Used to make recordings whose truth is known. Everything random comes from the generator passed in.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.flying import Bench
from volplane.domain.exercise.shape import DOWNWIND, OverheadShape
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.guided_flight import STEP_S, GuidedFlight, Leg, LegKind, Start, crab_heading_rad

Array = NDArray[np.float64]

# the airplane comes to the high key in level flight over this distance, and brakes at this rate after landing (ours)
_RUN_IN_M = 2500.0
_BRAKING_MPS2 = 1.8
_PARKED_S = 20.0
_CLIMB_S = 45.0
_CLIMB_MPS = 3.5
_SET_UP, _GO_AROUND, _ROLL = "set-up", "go-around", "roll-out"


@dataclass(frozen=True, slots=True)
class Habit:
    """How a trainee departs from the plan. Errors are added to what the plan wants; wander is what hands do.

    `entry_error_m` high positive; `downwind_error_m` late turn to base positive; `first_turn_factor` multiplies the
    radius of the half turn; `loses_reserve` is whether the reserve is lost on final as planned. Speed wander has a
    memory of ten seconds, bank wander of five, rising air of thirty. Goes around at `go_around_height_m` unless None.
    """

    entry_error_m: float = 0.0
    downwind_error_m: float = 0.0
    first_turn_factor: float = 1.0
    loses_reserve: bool = True
    speed_error_mps: float = 0.0
    speed_wander_mps: float = 0.8
    bank_wander_rad: float = math.radians(1.0)
    rising_air_mps: float = 0.3
    go_around_height_m: float | None = None


@dataclass(frozen=True, slots=True)
class FlownLesson:
    """A flown exercise, or a stretch of one, as truth; arrays (n,) at the integrator's steps, in the runway frame.

    `phase` names the leg of each row; `touchdown_x_m` is None after a go-around.
    """

    time_s: Array
    x_m: Array
    y_m: Array
    height_m: Array
    heading_rad: Array
    track_rad: Array
    bank_rad: Array
    tas_mps: Array
    eas_mps: Array
    ground_speed_mps: Array
    phase: tuple[str, ...]
    touchdown_x_m: float | None = None


def fly_lesson(
    ready: Bench, shape: OverheadShape, entry_height_m: float, habit: Habit, random: np.random.Generator
) -> FlownLesson:
    """Fly set-up, exercise and landing or go-around in the bench's air: the plan's shape with a habit's errors."""
    flown = replace(
        shape,
        downwind_m=shape.downwind_m + habit.downwind_error_m,
        first_radius_m=shape.first_radius_m * habit.first_turn_factor,
        reserve_drag_factor=shape.reserve_drag_factor if habit.loses_reserve else 0.0,
    )
    entry_m = entry_height_m + habit.entry_error_m
    errors = _wander(habit, random)
    run_in = _run_in(ready, flown, entry_m, errors)
    descent = ready.simulator.fly(_onward(ready, run_in), flown.legs(ready.limits), errors[len(run_in.path.time_s) :])
    pieces = [_piece(run_in, 0.0)]
    start_s = float(run_in.path.time_s[-1])
    if habit.go_around_height_m is not None:
        descent, climb = _go_around(ready, descent, habit.go_around_height_m, errors)
        pieces.append(_piece(descent, start_s))
        pieces.append(_piece(climb, start_s + float(descent.path.time_s[-1])))
        return _joined(pieces, None)
    pieces.append(_piece(descent, start_s))
    landing, touchdown_x_m = _landing(ready, descent)
    landing = replace(landing, time_s=landing.time_s + start_s + float(descent.path.time_s[-1]))
    return _joined([*pieces, landing], touchdown_x_m)


_CHANNELS = (
    "time_s",
    "x_m",
    "y_m",
    "height_m",
    "heading_rad",
    "track_rad",
    "bank_rad",
    "tas_mps",
    "eas_mps",
    "ground_speed_mps",
)


def _wander(habit: Habit, random: np.random.Generator) -> Array:
    """Rows of airspeed error, bank error and rising air for ten minutes of steps."""
    count = int(600.0 / STEP_S)
    speed = habit.speed_error_mps + _remembered(random, count, habit.speed_wander_mps, 10.0)
    bank = _remembered(random, count, habit.bank_wander_rad, 5.0)
    rising = _remembered(random, count, habit.rising_air_mps, 30.0)
    return np.column_stack([speed, bank, rising])


def _remembered(random: np.random.Generator, count: int, sd: float, memory_s: float) -> Array:
    """A wandering value with a standard deviation and a memory (first-order Gauss-Markov), (count,)."""
    keep = math.exp(-STEP_S / memory_s)
    steps = random.standard_normal(count) * sd * math.sqrt(1.0 - keep * keep)
    values = np.empty(count)
    value = float(random.standard_normal()) * sd
    for i in range(count):
        value = keep * value + steps[i]
        values[i] = value
    return values


def _powered(ready: Bench, name: str, climb_mps: float) -> Configuration:
    """The gliding configuration with the thrust that holds level flight, or climbs."""
    glide, eas = ready.limits.glide_configuration, ready.limits.glide_eas_mps
    drag = ready.glide.drag_to_weight(eas, 1.0, glide)
    tas_mps = ready.tas_mps(ready.exercise.low_key_height_m)
    return replace(glide, name=name, thrust_power_per_weight_mps=drag * tas_mps + climb_mps)


def _run_in(ready: Bench, shape: OverheadShape, entry_m: float, errors: Array) -> GuidedFlight:
    """Level flight with power along the landing direction to the high key."""
    limits = ready.limits
    y_m = -shape.pattern.sign * shape.high_key_offset_m
    wind_x, wind_y = (float(wind) for wind in ready.air.wind_xy_mps(entry_m))
    heading = crab_heading_rad(0.0, ready.tas_mps(entry_m), wind_x, wind_y)
    level = Leg(_SET_UP, LegKind.LINE, 0.0, limits.glide_eas_mps, _powered(ready, _SET_UP, 0.0), 0.5, y_m=y_m)
    calm_air = errors * np.array([1.0, 1.0, 0.0])
    return ready.simulator.fly(Start(-_RUN_IN_M, y_m, entry_m, heading, limits.glide_eas_mps), (level,), calm_air)


def _onward(ready: Bench, flight: GuidedFlight) -> Start:
    path = flight.path
    return Start(
        float(path.x_m[-1]),
        float(path.y_m[-1]),
        float(path.height_m[-1]),
        float(path.heading_rad[-1]),
        float(path.eas_mps[-1]),
        float(path.bank_rad[-1]),
    )


def _go_around(
    ready: Bench, descent: GuidedFlight, height_m: float, errors: Array
) -> tuple[GuidedFlight, GuidedFlight]:
    """The descent cut at a height, and the climb away along the rest of its turns and the runway."""
    path = descent.path
    low = np.flatnonzero(path.height_m <= height_m)
    cut = int(low[0]) if len(low) else len(path.time_s) - 1
    index = int(path.phase_index[cut])
    climb_configuration = _powered(ready, _GO_AROUND, _CLIMB_MPS)
    turns = [leg for leg in descent.legs[index:] if leg.kind is not LegKind.LINE or leg.name == DOWNWIND]
    away = Leg(
        _GO_AROUND,
        LegKind.LINE,
        0.0,
        ready.limits.glide_eas_mps,
        climb_configuration,
        ready.limits.bank_low_rad,
        x_m=1e6,
        end_time_s=_CLIMB_S,
    )
    legs = (
        *(replace(leg, name=_GO_AROUND, configuration=climb_configuration, end_height_m=-1e9) for leg in turns),
        away,
    )
    short = _cut(descent, cut)
    return short, ready.simulator.fly(_onward(ready, short), legs, errors[cut:])


def _cut(flight: GuidedFlight, last: int) -> GuidedFlight:
    """A flight up to and with a row."""
    path, keep = flight.path, slice(0, last + 1)
    arrays = {name: getattr(path, name)[keep] for name in (*_CHANNELS, "phase_index", "configuration_index")}
    return replace(
        flight,
        path=replace(path, **arrays),
        clean_loss_m=flight.clean_loss_m[keep],
        extra_loss_m=flight.extra_loss_m[keep],
        extra_drag_factor=flight.extra_drag_factor[keep],
    )


def _piece(flight: GuidedFlight, start_s: float) -> FlownLesson:
    path = flight.path
    arrays = {name: getattr(path, name).copy() for name in _CHANNELS}
    arrays["time_s"] = arrays["time_s"] + start_s
    return FlownLesson(**arrays, phase=tuple(path.phase_names[index] for index in path.phase_index))


def _landing(ready: Bench, descent: GuidedFlight) -> tuple[FlownLesson, float]:
    """Round-out, float, roll-out and standing still; and where the wheels touched."""
    flare, path = ready.flare, descent.path
    touchdown_x_m = float(path.x_m[-1]) + flare.touchdown_from_fifty_foot_m
    speed_mps = float(flare.path_ground_speed_mps[-1])
    roll_s = np.arange(0.25, speed_mps / _BRAKING_MPS2 + _PARKED_S, 0.25)
    rolling_s = np.minimum(roll_s, speed_mps / _BRAKING_MPS2)
    rolled_m = speed_mps * rolling_s - 0.5 * _BRAKING_MPS2 * rolling_s**2
    after = slice(1, None)
    ground_mps = np.concatenate([flare.path_ground_speed_mps[after], speed_mps - _BRAKING_MPS2 * rolling_s])
    count, air = len(ground_mps), len(flare.path_time_s) - 1
    head_mps = float(flare.path_tas_mps[-1] - flare.path_ground_speed_mps[-1])
    tas_mps = np.concatenate([flare.path_tas_mps[after], np.maximum(ground_mps[air:] + head_mps, 0.0)])
    piece = FlownLesson(
        time_s=np.concatenate([flare.path_time_s[after], flare.time_s + roll_s]),
        x_m=np.concatenate([path.x_m[-1] + flare.path_x_m[after], touchdown_x_m + rolled_m]),
        y_m=np.full(count, float(path.y_m[-1])),
        height_m=np.concatenate([flare.path_height_m[after], np.zeros(len(roll_s))]),
        heading_rad=np.full(count, float(path.heading_rad[-1])),
        track_rad=np.full(count, float(path.track_rad[-1])),
        bank_rad=np.zeros(count),
        tas_mps=tas_mps,
        eas_mps=tas_mps * float(path.eas_mps[-1] / path.tas_mps[-1]),
        ground_speed_mps=np.maximum(ground_mps, 0.0),
        phase=("final",) * air + (_ROLL,) * len(roll_s),
    )
    return piece, touchdown_x_m


def _joined(pieces: list[FlownLesson], touchdown_x_m: float | None) -> FlownLesson:
    arrays = {name: np.concatenate([getattr(piece, name) for piece in pieces]) for name in _CHANNELS}
    keep = np.concatenate([[True], np.diff(arrays["time_s"]) > 1e-6])
    phase = [word for piece in pieces for word in piece.phase]
    return FlownLesson(
        **{name: values[keep] for name, values in arrays.items()},
        phase=tuple(word for word, kept in zip(phase, keep, strict=True) if kept),
        touchdown_x_m=touchdown_x_m,
    )
