"""How an exercise ends: wheels on the runway, a climb away, level flight, or the end of the recording."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.on_ground import is_over_runway
from volplane.domain.debrief.results import Outcome
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.gates import find_gates
from volplane.units import FOOT_M, rad_from_deg

Array = NDArray[np.float64]

# level: less than this part of the glide's sink for that long, in height and in height with the energy of the speed
LEVEL_FRACTION, LEVEL_ENERGY_FRACTION, LEVEL_OVER_S = 0.2, 0.4, 20.0
# a climb is sustained when it has won this much
CLIMB_M = 150.0 * FOOT_M
LONGEST_FROM_LOW_KEY_S = 420.0
# climbing away as low as this is a go-around, wherever it is done; higher up, before the base key, it is giving up
NEAR_BREAK_OFF_M = 100.0 * FOOT_M
# wheels on the runway: this low, this level, along it and this slow, for this long
WHEELS_HEIGHT_M, WHEELS_CLIMB_MPS, WHEELS_FOR_S, WHEELS_TRACK_RAD = 3.0, 0.9, 3, rad_from_deg(30.0)
_TOUCH_AND_GO_FACTOR, _ROLLING_FACTOR = 1.25, 1.05
# before the first gate by so much the base key may be looked for
_BEFORE_S = 3.0
_GRAVITY_MPS2 = 9.80665


@dataclass(frozen=True, slots=True)
class Endings:
    """Finds the end of exercises in one flight: sink of the best glide and stall speed in landing configuration, TAS.

    Lengths of time are counted in the flight's whole seconds.
    """

    flight: Flight
    exercise: Exercise
    sink_mps: float
    stall_mps: float

    def after(self, begin_s: float, low_key_s: float) -> tuple[float, Outcome]:
        """What ended an exercise that began at its first gate, and when."""
        last_s = float(self.flight.time_s[-1])
        limit_s = min(low_key_s + LONGEST_FROM_LOW_KEY_S, last_s)
        climb_s = self.climb_from(begin_s, limit_s)
        wheels_s = None if self.exercise.flies_to_practice_floor else self.wheels_from(low_key_s, limit_s)
        has_landed = wheels_s is not None and (climb_s is None or wheels_s <= climb_s + WHEELS_FOR_S)
        until_s = wheels_s if has_landed and wheels_s is not None else climb_s if climb_s is not None else limit_s
        base_s = self._base_key_s(begin_s, until_s)
        level_s = self.level_from(begin_s, base_s if base_s is not None else until_s)
        if level_s is not None:
            return level_s, self._left_at(level_s)
        if has_landed:
            return until_s, Outcome.LANDED
        level_s = None if base_s is None else self._flown_level_from(base_s, until_s)
        if level_s is not None:
            return level_s, Outcome.WENT_AROUND
        if climb_s is not None:
            return climb_s, Outcome.WENT_AROUND if base_s is not None else self._left_at(climb_s)
        return limit_s, Outcome.NOT_RECORDED_TO_THE_END if limit_s >= last_s - 1.0 else Outcome.DISCONTINUED

    def climb_from(self, start_s: float, end_s: float) -> float | None:
        """Start of the first sustained climb: the lowest moment before it."""
        part = self.flight.smoothed.between(start_s, end_s)
        lowest = np.minimum.accumulate(part.height_m)
        won = np.flatnonzero(part.height_m - lowest >= CLIMB_M)
        if len(won) == 0:
            return None
        return float(part.time_s[int(np.argmin(part.height_m[: won[0] + 1]))])

    def level_from(self, start_s: float, end_s: float) -> float | None:
        """Start of the first stretch flown level, wholly between the times.

        Slowing down in level flight is no such stretch: the energy of the speed counts as height.
        """
        part = self.flight.smoothed.between(start_s, end_s)
        steps = int(LEVEL_OVER_S)
        if len(part.time_s) <= steps:
            return None
        energy_m = part.height_m + part.ground_speed_mps**2 / (2.0 * _GRAVITY_MPS2)
        sink = (part.height_m[:-steps] - part.height_m[steps:]) / LEVEL_OVER_S
        energy_sink = (energy_m[:-steps] - energy_m[steps:]) / LEVEL_OVER_S
        is_level = (sink < LEVEL_FRACTION * self.sink_mps) & (energy_sink < LEVEL_ENERGY_FRACTION * self.sink_mps)
        level = np.flatnonzero(is_level)
        return float(part.time_s[level[0]]) if len(level) else None

    def wheels_from(self, start_s: float, end_s: float) -> float | None:
        """First second from which the wheels are on the runway: over it, along it, low, level and slow."""
        part = self.flight.smoothed.between(start_s, end_s)
        low = part.height_m <= WHEELS_HEIGHT_M + 2.0 * part.height_slow_sd_m
        level = np.abs(part.climb_mps) <= WHEELS_CLIMB_MPS
        speed = part.ground_speed_mps
        along = part.velocity_x_mps >= np.cos(WHEELS_TRACK_RAD) * speed
        over = is_over_runway(part.x_m, part.y_m, self.exercise)
        touching = low & level & over & along & (speed < _TOUCH_AND_GO_FACTOR * self.stall_mps)
        rolling = touching & (speed < _ROLLING_FACTOR * self.stall_mps)
        held = _run_of(touching, 2 * WHEELS_FOR_S) | _run_of(rolling, WHEELS_FOR_S)
        seconds = np.flatnonzero(held)
        return float(part.time_s[seconds[0]]) if len(seconds) else None

    def _left_at(self, time_s: float) -> Outcome:
        """Going on without the runway: low it is a go-around, high the exercise was given up."""
        height_m = float(np.interp(time_s, self.flight.time_s, self.flight.smoothed.height_m))
        limit_m = 0.0 if self.exercise.flies_to_practice_floor else self.exercise.break_off_height_m
        return Outcome.WENT_AROUND if height_m <= limit_m + NEAR_BREAK_OFF_M else Outcome.DISCONTINUED

    def _flown_level_from(self, base_s: float, end_s: float) -> float | None:
        """Level flight after the base key, too fast for rolling: along the runway, say, or at the break-off height."""
        level_s = self.level_from(base_s, end_s)
        if level_s is None:
            return None
        speed = self.flight.smoothed.between(level_s, level_s + LEVEL_OVER_S).ground_speed_mps
        return level_s if float(speed.min()) > _ROLLING_FACTOR * self.stall_mps else None

    def _base_key_s(self, start_s: float, end_s: float) -> float | None:
        part = self.flight.smoothed.between(start_s - _BEFORE_S, end_s)
        if len(part.time_s) < 3:
            return None
        gates = find_gates(part.time_s, part.x_m, part.y_m, part.track_rad, part.bank_rad())
        return next((gate.time_s for gate in gates if gate.name is GateName.BASE_KEY), None)


def _run_of(condition: NDArray[np.bool_], length: int) -> NDArray[np.bool_]:
    """Where a condition begins to hold for that many samples on end."""
    if len(condition) < length:
        return np.zeros(len(condition), dtype=bool)
    starts = np.lib.stride_tricks.sliding_window_view(condition, length).all(axis=1)
    return np.concatenate([starts, np.zeros(length - 1, dtype=bool)])
