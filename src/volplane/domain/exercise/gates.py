"""The gate finder: where a path passes the places of the exercise; one meaning for the plan and for the flight flown.

Everything happens in the runway frame (origin at the touchdown point, x along the landing direction, y to the left).
Between two samples position, direction and bank change in a straight line, so a crossing has one exact moment.

- **low key**: last crossing of x = 0 with the track within 45 degrees of downwind.
- **high key**: last crossing of x = 0 before the low key with the track within 60 degrees of the landing direction and
  within 1,500 ft of the planned offset.
- **base key**: first moment after the low key at which the track is perpendicular to the runway.
- **final**: first moment after the base key with the track within 10 degrees of the runway and bank under 10 degrees.

The angles and the distance are ours: wide enough for a poor exercise, narrow enough to tell the gates apart.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass
from typing import Protocol

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.exercise import GateName
from volplane.units import m_from_ft, rad_from_deg

Array = NDArray[np.float64]

LOW_KEY_TRACK_LIMIT_RAD = rad_from_deg(45.0)
HIGH_KEY_TRACK_LIMIT_RAD = rad_from_deg(60.0)
HIGH_KEY_OFFSET_LIMIT_M = m_from_ft(1500.0)
FINAL_TRACK_LIMIT_RAD = rad_from_deg(10.0)
FINAL_BANK_LIMIT_RAD = rad_from_deg(10.0)
# a path that starts this near to x = 0 starts at the crossing: rounding, not flying
ON_THE_LINE_M = 1e-6
# as near to a limit as rounding comes
_ANGLE_SLACK_RAD = 1e-12


class PathOverGround(Protocol):
    """What the gate finder reads of a path: arrays (n,) in the runway frame; planned and flown paths both have them."""

    @property
    def time_s(self) -> Array:
        """Time, strictly growing."""
        ...

    @property
    def x_m(self) -> Array:
        """Along the landing direction from the touchdown point."""
        ...

    @property
    def y_m(self) -> Array:
        """To the left of the landing direction."""
        ...

    @property
    def track_rad(self) -> Array:
        """Direction over the ground, anticlockwise from the landing direction, wrapped or not."""
        ...

    @property
    def bank_rad(self) -> Array:
        """Bank, positive right wing down."""
        ...


@dataclass(frozen=True, slots=True)
class GateCrossing:
    """A gate passed: when and where, interpolated. Other channels of the same path are interpolated at `time_s`.

    `track_rad` is the direction over the ground, anticlockwise from the landing direction, in (-pi, pi].
    """

    name: GateName
    time_s: float
    x_m: float
    y_m: float
    track_rad: float
    bank_rad: float


def gates_of(path: PathOverGround, planned_high_key_y_m: float = 0.0) -> tuple[GateCrossing, ...]:
    """The gates of a planned or flown path, as `find_gates` finds them."""
    return find_gates(path.time_s, path.x_m, path.y_m, path.track_rad, path.bank_rad, planned_high_key_y_m)


def find_gates(
    time_s: Array, x_m: Array, y_m: Array, track_rad: Array, bank_rad: Array, planned_high_key_y_m: float = 0.0
) -> tuple[GateCrossing, ...]:
    """The gates passed by one exercise, in order of flying; a gate that was not passed is absent.

    Arrays are (n,), times strictly growing, finite; `track_rad` is anticlockwise from the landing direction, wrapped or
    not, and turns by less than half a circle between samples. `planned_high_key_y_m` is the y of the planned high key,
    0 (the centreline) without a plan. Without a low key there is no gate: all others are counted from it.
    """
    samples = _Samples(time_s, x_m, y_m, np.unwrap(track_rad), bank_rad)
    crossings = list(samples.crossings_of_abeam())
    low_key = _last([at for at in crossings if samples.is_low_key(at)])
    if low_key is None:
        return ()
    high_key = _last([at for at in crossings if at < low_key and samples.is_high_key(at, planned_high_key_y_m)])
    base_key = samples.first_perpendicular_after(low_key)
    final = None if base_key is None else samples.first_final_after(base_key)
    found = (
        (GateName.HIGH_KEY, high_key),
        (GateName.LOW_KEY, low_key),
        (GateName.BASE_KEY, base_key),
        (GateName.FINAL, final),
    )
    return tuple(samples.gate(name, at) for name, at in found if at is not None)


def gates_from_base(path: PathOverGround) -> tuple[GateCrossing, ...]:
    """The gates of a path that begins on the base leg: where it begins, and the final; it has no keys before."""
    samples = _Samples(path.time_s, path.x_m, path.y_m, np.unwrap(path.track_rad), path.bank_rad)
    final = samples.first_final_after(0.0)
    base_key = samples.gate(GateName.BASE_KEY, 0.0)
    return (base_key,) if final is None else (base_key, samples.gate(GateName.FINAL, final))


def high_keys(
    time_s: Array, x_m: Array, y_m: Array, track_rad: Array, bank_rad: Array, planned_high_key_y_m: float = 0.0
) -> tuple[GateCrossing, ...]:
    """Every crossing that could be a high key, in order: an exercise given up in its half turn has no other gate."""
    samples = _Samples(time_s, x_m, y_m, np.unwrap(track_rad), bank_rad)
    return tuple(
        samples.gate(GateName.HIGH_KEY, at)
        for at in samples.crossings_of_abeam()
        if samples.is_high_key(at, planned_high_key_y_m)
    )


def low_keys(time_s: Array, x_m: Array, y_m: Array, track_rad: Array, bank_rad: Array) -> tuple[GateCrossing, ...]:
    """Every crossing that could be a low key, in order: a recording with several exercises has several."""
    samples = _Samples(time_s, x_m, y_m, np.unwrap(track_rad), bank_rad)
    return tuple(samples.gate(GateName.LOW_KEY, at) for at in samples.crossings_of_abeam() if samples.is_low_key(at))


def _last(crossings: list[float]) -> float | None:
    return crossings[-1] if crossings else None


def _off(track_rad: float, direction_rad: float) -> float:
    """Angle between a track and a direction, 0 to pi, less the slack of rounding."""
    return abs(math.remainder(track_rad - direction_rad, 2.0 * math.pi)) - _ANGLE_SLACK_RAD


@dataclass(frozen=True, slots=True)
class _Samples:
    """The path with its track unwrapped. A moment on it is a real number: sample index plus part of the way on."""

    time_s: Array
    x_m: Array
    y_m: Array
    track_rad: Array
    bank_rad: Array

    def at(self, values: Array, moment: float) -> float:
        index = min(int(moment), len(values) - 1)
        after = min(index + 1, len(values) - 1)
        return float(values[index] + (moment - index) * (values[after] - values[index]))

    def track_at(self, moment: float) -> float:
        return self.at(self.track_rad, moment)

    def gate(self, name: GateName, moment: float) -> GateCrossing:
        wrapped = -math.remainder(-self.track_at(moment), 2.0 * math.pi)
        return GateCrossing(
            name,
            self.at(self.time_s, moment),
            self.at(self.x_m, moment),
            self.at(self.y_m, moment),
            math.pi if wrapped == -math.pi else wrapped,
            self.at(self.bank_rad, moment),
        )

    def crossings_of_abeam(self) -> Iterator[float]:
        """Moments at which the path passes x = 0, in order; a path that starts there passes it at once."""
        x = self.x_m
        if len(x) and abs(x[0]) <= ON_THE_LINE_M:
            yield 0.0
        before, after = x[:-1], x[1:]
        passes = ((before < 0.0) & (after >= 0.0)) | ((before > 0.0) & (after <= 0.0))
        if len(passes):
            passes[0] &= abs(x[0]) > ON_THE_LINE_M
        for index in np.flatnonzero(passes):
            yield float(index + before[index] / (before[index] - after[index]))

    def is_low_key(self, moment: float) -> bool:
        return _off(self.track_at(moment), math.pi) <= LOW_KEY_TRACK_LIMIT_RAD

    def is_high_key(self, moment: float, planned_y_m: float) -> bool:
        return (
            _off(self.track_at(moment), 0.0) <= HIGH_KEY_TRACK_LIMIT_RAD
            and abs(self.at(self.y_m, moment) - planned_y_m) <= HIGH_KEY_OFFSET_LIMIT_M
        )

    def first_perpendicular_after(self, moment: float) -> float | None:
        """First moment at which the unwrapped track passes an odd multiple of a quarter circle."""
        quarters = self.track_rad / math.pi - 0.5
        start = int(moment)
        previous = self.track_at(moment) / math.pi - 0.5
        position = moment
        for index in range(start + 1, len(quarters)):
            current = float(quarters[index])
            wall = math.floor(previous) + 1.0 if current > previous else math.ceil(previous) - 1.0
            if (current >= wall) if current > previous else (current <= wall):
                return position + (index - position) * (wall - previous) / (current - previous)
            previous, position = current, float(index)
        return None

    def first_final_after(self, moment: float) -> float | None:
        """First moment at which track and bank are both small."""
        for index in range(int(moment), len(self.time_s) - 1):
            middle = 0.5 * (self.track_rad[index] + self.track_rad[index + 1])
            turns = 2.0 * math.pi * round(middle / (2.0 * math.pi))
            track = _share_within(
                self.track_rad[index] - turns, self.track_rad[index + 1] - turns, FINAL_TRACK_LIMIT_RAD
            )
            bank = _share_within(self.bank_rad[index], self.bank_rad[index + 1], FINAL_BANK_LIMIT_RAD)
            if track is None or bank is None:
                continue
            earliest = max(track[0], bank[0], moment - index)
            if earliest <= min(track[1], bank[1]):
                return index + earliest
        return None


def _share_within(start: float, end: float, limit: float) -> tuple[float, float] | None:
    """The part of the way from `start` to `end` (0 to 1) on which the value is within plus or minus a limit."""
    if start == end:
        return (0.0, 1.0) if abs(start) <= limit else None
    first, second = sorted(((-limit - start) / (end - start), (limit - start) / (end - start)))
    first, second = max(first, 0.0), min(second, 1.0)
    return (first, second) if first <= second else None
