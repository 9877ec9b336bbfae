"""The exercises in a recording: glides from a high key, or at least a low key, to the wheels, the go-around or the end.

An ordinary circuit is none: with power it sinks too little at and after the low key. The thresholds are ours, in parts
of the sink of the airplane's best glide.
"""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.flight import Flight, is_over_runway
from volplane.domain.debrief.results import Outcome
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.gates import GateCrossing, find_gates, high_keys, low_keys
from volplane.domain.exercise.pilot_limits import glide_of
from volplane.domain.geometry.airfield import Side
from volplane.units import FOOT_M

Array = NDArray[np.float64]

# gliding sinks at least this part of the best glide's sink, over the time below
GLIDING_FRACTION = 0.6
GLIDING_OVER_S = 25.0
# level: less than this part of it for that long, and the glide is over
LEVEL_FRACTION = 0.2
LEVEL_OVER_S = 20.0
# a climb is sustained when it has won this much
CLIMB_M = 150.0 * FOOT_M
# before a climb the airplane turns the corner within so many seconds, and glides while it sinks this part of the glide
CORNER_S, STILL_GLIDING_FRACTION = 15.0, 0.8
LONGEST_TO_LOW_KEY_S = 240.0
LONGEST_FROM_LOW_KEY_S = 420.0
LEAST_LOW_KEY_HEIGHT_M = 200.0 * FOOT_M
LEAST_LOW_KEY_OFFSET_M = 500.0 * FOOT_M
LEAST_HIGH_KEY_HEIGHT_M = 800.0 * FOOT_M
# path shown before the first gate and after the end
BEFORE_S, AFTER_CLIMB_S, AFTER_TOUCHDOWN_S = 3.0, 20.0, 30.0
# wheels on the runway: this low, this level, this slow, for this long
WHEELS_HEIGHT_M, WHEELS_CLIMB_MPS, WHEELS_FOR_S = 3.0, 0.9, 3
_TOUCH_AND_GO_FACTOR, _ROLLING_FACTOR = 1.25, 1.05


@dataclass(frozen=True, slots=True)
class FoundAttempt:
    """One exercise: from when to when, how it ended, and the second of the event that ended it.

    `start_s` lies a little before the first gate. `event_s` is the first second with the wheels surely on the runway,
    the start of the sustained climb, the start of level flight, or the end of the recording. `glide_end_s` is the last
    second of the glide: a pilot who goes around has stopped gliding some seconds before the climb.
    """

    start_s: float
    end_s: float
    event_s: float
    glide_end_s: float
    outcome: Outcome
    pattern: Side
    has_low_key: bool


def find_attempts(flight: Flight, exercise: Exercise) -> tuple[FoundAttempt, ...]:
    """Every exercise for the planned runway in a flight, in order; nothing without heights."""
    if not flight.smoothed.has_height:
        return ()
    search = _Search.of(flight, exercise)
    found: list[FoundAttempt] = []
    free_from_s = float(flight.time_s[0]) - BEFORE_S
    for start in search.starts():
        if start.begin_s < free_from_s:
            continue
        attempt = search.followed(start, free_from_s)
        if attempt is not None:
            found.append(attempt)
            free_from_s = attempt.event_s
    return tuple(found)


@dataclass(frozen=True, slots=True)
class _Start:
    """A place where an exercise may begin: its first gate, and the low key if there is one."""

    begin_s: float
    low_key: GateCrossing | None
    pattern: Side


@dataclass(frozen=True, slots=True)
class _Search:
    flight: Flight
    exercise: Exercise
    sink_mps: float
    stall_mps: float
    bank_rad: Array

    @classmethod
    def of(cls, flight: Flight, exercise: Exercise) -> _Search:
        glide = glide_of(exercise)
        factor = float(flight.tas_to_eas_ratio(np.array([exercise.low_key_height_m]))[0])
        on_runway = float(flight.tas_to_eas_ratio(np.array([0.0]))[0])
        return cls(
            flight,
            exercise,
            glide.best_eas_mps * factor / glide.best_ratio,
            exercise.airplane.stall_landing_at_mps(exercise.weight_kg) * on_runway,
            flight.smoothed.bank_rad(),
        )

    def starts(self) -> list[_Start]:
        """Low keys flown gliding, each with its high key if it had one, and high keys from which no low key was met."""
        smoothed = self.flight.smoothed
        path = (smoothed.time_s, smoothed.x_m, smoothed.y_m, smoothed.track_rad)
        starts = []
        for low in low_keys(*path, self.bank_rad):
            pattern = Side.LEFT if low.y_m > 0.0 else Side.RIGHT
            if not self._may_be_low_key(low):
                continue
            begin_s = self._begin_s(low, pattern)
            # without a high key the glide must show from the low key on
            if begin_s < low.time_s or self._is_gliding(low.time_s, low.time_s + GLIDING_OVER_S):
                starts.append(_Start(begin_s, low, pattern))
        for pattern in (Side.LEFT, Side.RIGHT):
            starts += [
                _Start(high.time_s, None, pattern)
                for high in high_keys(*path, self.bank_rad, self._planned_y_m(pattern))
                if self._height_m(high.time_s) >= LEAST_HIGH_KEY_HEIGHT_M and self._turned_away(high.time_s, pattern)
            ]
        return sorted(starts, key=lambda start: (start.begin_s, start.low_key is None))

    def followed(self, start: _Start, free_from_s: float) -> FoundAttempt | None:
        """The exercise from a start to its end; None when the low key came after the glide was over."""
        first_s = max(start.begin_s - BEFORE_S, free_from_s)
        event = self._event(start)
        if event is None:
            return None
        event_s, outcome = event
        after_s = {Outcome.LANDED: AFTER_TOUCHDOWN_S, Outcome.WENT_AROUND: AFTER_CLIMB_S}.get(outcome, 0.0)
        end_s = min(event_s + after_s, float(self.flight.time_s[-1]))
        glide_end_s = self._glide_end_s(event_s) if outcome is Outcome.WENT_AROUND else event_s
        return FoundAttempt(first_s, end_s, event_s, glide_end_s, outcome, start.pattern, start.low_key is not None)

    def _may_be_low_key(self, low: GateCrossing) -> bool:
        beside = LEAST_LOW_KEY_OFFSET_M <= abs(low.y_m) <= self.exercise.distance_limit_m
        return beside and self._height_m(low.time_s) >= LEAST_LOW_KEY_HEIGHT_M

    def _begin_s(self, low: GateCrossing, pattern: Side) -> float:
        """The high key of a low key if all between was a glide, else the low key itself."""
        smoothed = self.flight.smoothed
        before = smoothed.between(low.time_s - LONGEST_TO_LOW_KEY_S, low.time_s + 5.0)
        gates = find_gates(
            before.time_s, before.x_m, before.y_m, before.track_rad, before.bank_rad(), self._planned_y_m(pattern)
        )
        high = next((gate for gate in gates if gate.name is GateName.HIGH_KEY), None)
        if high is None or not self._is_gliding(high.time_s, low.time_s):
            return low.time_s
        return low.time_s if self._level_from(high.time_s + LEVEL_OVER_S, low.time_s) is not None else high.time_s

    def _planned_y_m(self, pattern: Side) -> float:
        return -pattern.sign * self.exercise.high_key_offset_m

    def _height_m(self, time_s: float) -> float:
        return float(np.interp(time_s, self.flight.time_s, self.flight.smoothed.height_m))

    def _is_gliding(self, start_s: float, end_s: float) -> bool:
        end_s = min(end_s, float(self.flight.time_s[-1]))
        if end_s - start_s < 3.0:
            return False
        sink = (self._height_m(start_s) - self._height_m(end_s)) / (end_s - start_s)
        return sink >= GLIDING_FRACTION * self.sink_mps

    def _turned_away(self, high_s: float, pattern: Side) -> bool:
        """Whether the flight glided and turned a quarter to the pattern side within a minute after a high key."""
        after = self.flight.smoothed.between(high_s, high_s + 60.0)
        if len(after.time_s) < 10 or not self._is_gliding(high_s, high_s + GLIDING_OVER_S):
            return False
        turned = pattern.sign * (after.track_rad - after.track_rad[0])
        return bool(turned.max() > np.pi / 2.0)

    def _event(self, start: _Start) -> tuple[float, Outcome] | None:
        """What ended the exercise, and when."""
        time_s = self.flight.time_s
        begin_s = start.begin_s
        low_s = start.low_key.time_s if start.low_key is not None else begin_s
        limit_s = min(low_s + LONGEST_FROM_LOW_KEY_S, float(time_s[-1]))
        climb_s = self._climb_from(begin_s, limit_s)
        wheels_s = None if self.exercise.flies_to_practice_floor else self._wheels_from(low_s, limit_s)
        if wheels_s is not None and (climb_s is None or wheels_s <= climb_s + WHEELS_FOR_S):
            return wheels_s, Outcome.LANDED
        base_s = self._base_key_s(begin_s, climb_s if climb_s is not None else limit_s)
        level_s = self._level_from(begin_s + LEVEL_OVER_S, base_s if base_s is not None else climb_s or limit_s)
        if level_s is not None:
            return level_s, Outcome.DISCONTINUED
        if climb_s is not None:
            return climb_s, Outcome.DISCONTINUED if base_s is None else Outcome.WENT_AROUND
        ended = limit_s >= float(time_s[-1]) - 1.0
        return limit_s, Outcome.NOT_RECORDED_TO_THE_END if ended else Outcome.DISCONTINUED

    def _glide_end_s(self, climb_s: float) -> float:
        """Last second before a climb at which the airplane still sank as in the glide."""
        before = self.flight.smoothed.between(climb_s - CORNER_S, climb_s)
        gliding = np.flatnonzero(-before.climb_mps >= STILL_GLIDING_FRACTION * self.sink_mps)
        return float(before.time_s[gliding[-1]]) - 1.0 if len(gliding) else climb_s - CORNER_S

    def _base_key_s(self, start_s: float, end_s: float) -> float | None:
        part = self.flight.smoothed.between(start_s - BEFORE_S, end_s)
        if len(part.time_s) < 3:
            return None
        gates = find_gates(part.time_s, part.x_m, part.y_m, part.track_rad, part.bank_rad())
        return next((gate.time_s for gate in gates if gate.name is GateName.BASE_KEY), None)

    def _climb_from(self, start_s: float, end_s: float) -> float | None:
        """Start of the first sustained climb: the lowest moment before it."""
        part = self.flight.smoothed.between(start_s, end_s)
        lowest = np.minimum.accumulate(part.height_m)
        won = np.flatnonzero(part.height_m - lowest >= CLIMB_M)
        if len(won) == 0:
            return None
        return float(part.time_s[int(np.argmin(part.height_m[: won[0] + 1]))])

    def _level_from(self, start_s: float, end_s: float) -> float | None:
        """Start of the first stretch flown level, wholly between the times."""
        part = self.flight.smoothed.between(start_s - LEVEL_OVER_S, end_s)
        steps = int(LEVEL_OVER_S)
        if len(part.time_s) <= steps:
            return None
        sink = (part.height_m[:-steps] - part.height_m[steps:]) / LEVEL_OVER_S
        level = np.flatnonzero(sink < LEVEL_FRACTION * self.sink_mps)
        return float(part.time_s[level[0]]) if len(level) else None

    def _wheels_from(self, start_s: float, end_s: float) -> float | None:
        """First second from which the wheels are on the runway: over it, low, level and slow for three seconds."""
        part = self.flight.smoothed.between(start_s, end_s)
        low = part.height_m <= WHEELS_HEIGHT_M + 2.0 * part.height_slow_sd_m
        level = np.abs(part.climb_mps) <= WHEELS_CLIMB_MPS
        over = is_over_runway(part.x_m, part.y_m, self.exercise)
        speed = part.ground_speed_mps
        touching = low & level & over & (speed < _TOUCH_AND_GO_FACTOR * self.stall_mps)
        rolling = touching & (speed < _ROLLING_FACTOR * self.stall_mps)
        held = _run_of(touching, 2 * WHEELS_FOR_S) | _run_of(rolling, WHEELS_FOR_S)
        seconds = np.flatnonzero(held)
        return float(part.time_s[seconds[0]]) if len(seconds) else None


def _run_of(condition: NDArray[np.bool_], length: int) -> NDArray[np.bool_]:
    """Where a condition begins to hold for that many samples on end."""
    if len(condition) < length:
        return np.zeros(len(condition), dtype=bool)
    starts = np.lib.stride_tricks.sliding_window_view(condition, length).all(axis=1)
    return np.concatenate([starts, np.zeros(length - 1, dtype=bool)])
