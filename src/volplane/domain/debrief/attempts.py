"""The exercises in a recording: glides from a high key, or at least a low key, to the wheels, the go-around or the end.

An ordinary circuit is none: with power it sinks too little at and after the low key, and where the manifold pressure
was recorded, that shows it. Circles flown gliding before the high key belong to the exercise. The thresholds are ours,
in parts of the sink of the airplane's best glide.
"""

from __future__ import annotations

from dataclasses import dataclass, field

import numpy as np
from numpy.typing import NDArray

from volplane.domain.debrief.endings import Endings
from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.power import had_power, power_reduction_s
from volplane.domain.debrief.results import Outcome
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.gates import GateCrossing, find_gates, high_keys, low_keys
from volplane.domain.exercise.pilot_limits import glide_of
from volplane.domain.geometry.airfield import Side
from volplane.units import FOOT_M

Array = NDArray[np.float64]

# gliding sinks at least this part of the best glide's sink from gate to gate, or over the time below
GLIDING_FRACTION, GLIDING_OVER_S = 0.7, 25.0
# without a high key the whole way down from the low key must be a glide, and lead to the runway
WHOLE_GLIDE_FRACTION, LEAST_TURN_TO_BASE_RAD, TWICE_AS_HIGH_FACTOR = 0.75, np.pi / 4.0, 2.0
# before a climb the airplane turns the corner within so many seconds, and glides while it sinks this part of the glide
CORNER_S, STILL_GLIDING_FRACTION = 15.0, 0.8
LONGEST_TO_LOW_KEY_S = 240.0
# one circle takes no longer; who has flown one has turned most of it
LONGEST_CIRCLE_S, MOST_OF_A_CIRCLE_RAD = 180.0, 1.5 * np.pi
LEAST_LOW_KEY_HEIGHT_M = 200.0 * FOOT_M
LEAST_LOW_KEY_OFFSET_M = 500.0 * FOOT_M
LEAST_HIGH_KEY_HEIGHT_M = 800.0 * FOOT_M
# path shown before the first gate and after the end
BEFORE_S, AFTER_CLIMB_S, AFTER_TOUCHDOWN_S = 3.0, 20.0, 30.0
# a glide's sink is looked at down to here
ROUND_OUT_M = 50.0 * FOOT_M
_GRAVITY_MPS2 = 9.80665


@dataclass(frozen=True, slots=True)
class FoundAttempt:
    """One exercise: from when to when, how it ended, and the second of the event that ended it.

    `start_s` lies a little before the first gate. `event_s` is the first second with the wheels surely on the runway,
    the start of the sustained climb, the start of level flight, or the end of the recording. `glide_end_s` is the last
    second of the glide: a pilot who goes around has stopped gliding some seconds before the climb. `circles` counts the
    whole circles flown gliding before the high key. `power_off_s` is when the power was taken off, None where no
    channel shows it.
    """

    start_s: float
    end_s: float
    event_s: float
    glide_end_s: float
    outcome: Outcome
    pattern: Side
    has_low_key: bool
    circles: int = 0
    power_off_s: float | None = None


def find_attempts(flight: Flight, exercise: Exercise) -> tuple[FoundAttempt, ...]:
    """Every exercise for the exercise's runway in a flight, in order; nothing without heights."""
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

    @property
    def has_high_key(self) -> bool:
        return self.low_key is None or self.begin_s < self.low_key.time_s


@dataclass(frozen=True, slots=True)
class _Search:
    flight: Flight
    exercise: Exercise
    sink_mps: float
    bank_rad: Array
    endings: Endings
    low_keys: tuple[GateCrossing, ...] = field(default=())

    @classmethod
    def of(cls, flight: Flight, exercise: Exercise) -> _Search:
        glide = glide_of(exercise)
        factor = float(flight.tas_to_eas_ratio(np.array([exercise.low_key_height_m]))[0])
        on_runway = float(flight.tas_to_eas_ratio(np.array([0.0]))[0])
        sink_mps = glide.best_eas_mps * factor / glide.best_ratio
        stall_mps = exercise.airplane.stall_landing_at_mps(exercise.weight_kg) * on_runway
        smoothed = flight.smoothed
        bank = smoothed.bank_rad()
        lows = low_keys(smoothed.time_s, smoothed.x_m, smoothed.y_m, smoothed.track_rad, bank)
        search = cls(flight, exercise, sink_mps, bank, Endings(flight, exercise, sink_mps, stall_mps))
        return cls(
            flight, exercise, sink_mps, bank, search.endings, tuple(low for low in lows if search._may_be_low_key(low))
        )

    def starts(self) -> list[_Start]:
        """Low keys flown gliding, each with its high key if it had one, and high keys from which no low key was met."""
        smoothed = self.flight.smoothed
        path = (smoothed.time_s, smoothed.x_m, smoothed.y_m, smoothed.track_rad)
        starts = []
        for low in self.low_keys:
            pattern = Side.LEFT if low.y_m > 0.0 else Side.RIGHT
            start = _Start(self._begin_s(low, pattern), low, pattern)
            # without a high key the glide must show from the low key on
            if start.has_high_key or self._is_gliding(low.time_s, low.time_s + GLIDING_OVER_S, with_energy=True):
                starts.append(start)
        for pattern in (Side.LEFT, Side.RIGHT):
            starts += [
                _Start(high.time_s, None, pattern)
                for high in high_keys(*path, self.bank_rad, self._planned_y_m(pattern))
                if self._height_m(high.time_s) >= LEAST_HIGH_KEY_HEIGHT_M and self._turned_away(high.time_s, pattern)
            ]
        return sorted(starts, key=lambda start: (start.begin_s, start.low_key is None))

    def followed(self, start: _Start, free_from_s: float) -> FoundAttempt | None:
        """The exercise from a start to its end; None when it turns out to be none."""
        low = self._last_low_key(start)
        event_s, outcome = self.endings.after(start.begin_s, start.begin_s if low is None else low.time_s)
        if low is not None and event_s < low.time_s:
            low = None
        if not self._is_exercise(start, low, event_s, outcome):
            return None
        after_s = {Outcome.LANDED: AFTER_TOUCHDOWN_S, Outcome.WENT_AROUND: AFTER_CLIMB_S}.get(outcome, 0.0)
        pattern = start.pattern if low is None else Side.LEFT if low.y_m > 0.0 else Side.RIGHT
        circles, begin_s = self._circles_before(start.begin_s, free_from_s)
        return FoundAttempt(
            start_s=max(begin_s - BEFORE_S, free_from_s),
            end_s=min(event_s + after_s, float(self.flight.time_s[-1])),
            event_s=event_s,
            glide_end_s=self._glide_end_s(event_s) if outcome is Outcome.WENT_AROUND else event_s,
            outcome=outcome,
            pattern=pattern,
            has_low_key=low is not None,
            circles=circles + (0 if low is None else self._circles(start.begin_s, low.time_s)),
            power_off_s=power_reduction_s(self.flight, self.exercise.airplane, start.begin_s),
        )

    def _may_be_low_key(self, low: GateCrossing) -> bool:
        beside = LEAST_LOW_KEY_OFFSET_M <= abs(low.y_m) <= self.exercise.distance_limit_m
        return beside and self._height_m(low.time_s) >= LEAST_LOW_KEY_HEIGHT_M

    def _last_low_key(self, start: _Start) -> GateCrossing | None:
        """The low key of an exercise: of circles flown gliding one after the other the last one's."""
        last, last_s = start.low_key, start.begin_s if start.low_key is None else start.low_key.time_s
        for low in self.low_keys:
            if low.time_s <= last_s:
                continue
            turned = abs(self._track_rad(low.time_s) - self._track_rad(last_s))
            is_circle = low.time_s - last_s <= LONGEST_CIRCLE_S and (last is None or turned >= MOST_OF_A_CIRCLE_RAD)
            if not (is_circle and self._glided_on(last_s, low.time_s)):
                break
            last, last_s = low, low.time_s
        return last

    def _glided_on(self, start_s: float, end_s: float) -> bool:
        never_level = self.endings.level_from(start_s, end_s) is None
        return never_level and self.endings.climb_from(start_s, end_s) is None and self._is_gliding(start_s, end_s)

    def _circles_before(self, first_gate_s: float, free_from_s: float) -> tuple[int, float]:
        """Whole circles flown gliding just before the first gate, and when the first of them began."""
        time_s, track = self.flight.time_s, self.flight.smoothed.track_rad
        circles, begin_s = 0, first_gate_s
        while True:
            earlier = (time_s < begin_s) & (time_s >= max(begin_s - LONGEST_CIRCLE_S, free_from_s))
            round_once = np.flatnonzero(earlier & (np.abs(track - self._track_rad(begin_s)) >= 2.0 * np.pi))
            if len(round_once) == 0 or not self._glided_on(float(time_s[round_once[-1]]), begin_s):
                return circles, begin_s
            circles, begin_s = circles + 1, float(time_s[round_once[-1]])

    def _circles(self, begin_s: float, low_key_s: float) -> int:
        """Whole circles between the first gate and the low key, less the half turn."""
        turned = abs(self._track_rad(low_key_s) - self._track_rad(begin_s))
        return int((turned + 0.25 * np.pi) // (2.0 * np.pi))

    def _is_exercise(self, start: _Start, low: GateCrossing | None, event_s: float, outcome: Outcome) -> bool:
        """Whether it was a glide: with the power off and, without a high key, all the way down to the runway."""
        airplane = self.exercise.airplane
        if had_power(self.flight, airplane, start.begin_s, min(event_s, start.begin_s + 2.0 * GLIDING_OVER_S)):
            return False
        if start.has_high_key or low is None:
            return True
        if self._height_m(low.time_s) > TWICE_AS_HIGH_FACTOR * self.exercise.low_key_height_m:
            return False
        if outcome is Outcome.DISCONTINUED:
            part = self.flight.smoothed.between(low.time_s, event_s)
            if float(np.ptp(part.track_rad)) < LEAST_TURN_TO_BASE_RAD:
                return False
        return self._mean_sink_mps(low.time_s, event_s) >= WHOLE_GLIDE_FRACTION * self.sink_mps

    def _mean_sink_mps(self, start_s: float, end_s: float) -> float:
        """Mean sink down to the round-out."""
        part = self.flight.smoothed.between(start_s, end_s)
        low = np.flatnonzero(part.height_m <= ROUND_OUT_M)
        last = int(low[0]) if len(low) else len(part.time_s) - 1
        return float((part.height_m[0] - part.height_m[last]) / max(part.time_s[last] - part.time_s[0], 1.0))

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
        return low.time_s if self.endings.level_from(high.time_s, low.time_s) is not None else high.time_s

    def _planned_y_m(self, pattern: Side) -> float:
        return -pattern.sign * self.exercise.high_key_offset_m

    def _height_m(self, time_s: float) -> float:
        return float(np.interp(time_s, self.flight.time_s, self.flight.smoothed.height_m))

    def _track_rad(self, time_s: float) -> float:
        return float(np.interp(time_s, self.flight.time_s, self.flight.smoothed.track_rad))

    def _is_gliding(self, start_s: float, end_s: float, *, with_energy: bool = False) -> bool:
        """Whether it sank as a glide does; a pilot who first slows down in level flight glides too, by its energy."""
        end_s = min(end_s, float(self.flight.time_s[-1]))
        if end_s - start_s < 3.0:
            return False
        lost_m = self._height_m(start_s) - self._height_m(end_s)
        if with_energy:
            speed = np.interp((start_s, end_s), self.flight.time_s, self.flight.smoothed.ground_speed_mps)
            lost_m += float(speed[0] ** 2 - speed[1] ** 2) / (2.0 * _GRAVITY_MPS2)
        return lost_m >= GLIDING_FRACTION * self.sink_mps * (end_s - start_s)

    def _turned_away(self, high_s: float, pattern: Side) -> bool:
        """Whether the flight glided and turned a quarter to the pattern side within a minute after a high key."""
        after = self.flight.smoothed.between(high_s, high_s + 60.0)
        if len(after.time_s) < 10 or not self._is_gliding(high_s, high_s + GLIDING_OVER_S):
            return False
        turned = pattern.sign * (after.track_rad - after.track_rad[0])
        return bool(turned.max() > np.pi / 2.0)

    def _glide_end_s(self, climb_s: float) -> float:
        """Last second before a climb at which the airplane still sank as in the glide."""
        before = self.flight.smoothed.between(climb_s - CORNER_S, climb_s)
        gliding = np.flatnonzero(-before.climb_mps >= STILL_GLIDING_FRACTION * self.sink_mps)
        return float(before.time_s[gliding[-1]]) - 1.0 if len(gliding) else climb_s - CORNER_S
