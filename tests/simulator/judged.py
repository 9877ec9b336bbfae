"""A debrief of a recorded fixture held against what happened: one row of numbers for each."""

from __future__ import annotations

import functools
import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from tests.simulator import described
from tests.simulator.fixtures import Fixture
from tests.simulator.flight import Truth
from volplane import bootstrap
from volplane.adapters.formats import csv
from volplane.domain.debrief.results import Attempt, Outcome
from volplane.domain.exercise.exercise import GateName
from volplane.units import FOOT_M, KNOT_MPS

Array = NDArray[np.float64]

WIND_AT_M = 1500.0 * FOOT_M
_GRAVITY_MPS2 = 9.80665


@dataclass(frozen=True, slots=True)
class Off:
    """A difference from the truth, and the standard deviation the debrief states for it, both in one unit."""

    by: float
    sd: float

    @property
    def is_in_90_band(self) -> bool:
        """Whether the truth lies in the stated 90 % band of a normal error."""
        return abs(self.by) <= 1.645 * self.sd


@dataclass(frozen=True, slots=True)
class Judged:
    """A fixture, its debrief and the truth side by side."""

    fixture: Fixture
    is_panel: bool
    truth: Truth
    attempts: tuple[Attempt, ...]

    @property
    def attempt(self) -> Attempt:
        """The only exercise flown."""
        (attempt,) = self.attempts
        return attempt

    @property
    def is_outcome_right(self) -> bool:
        """Whether one exercise was found that ended as it did."""
        expected = Outcome.WENT_AROUND if self.fixture.goes_around else Outcome.LANDED
        return [attempt.outcome for attempt in self.attempts] == [expected]

    def height_m(self, time_s: float) -> float:
        """True height above the field at a time of the recording."""
        return self._at(time_s, self.truth.altitude_msl_m) - described.field().elevation_m

    def gates_ft(self) -> list[Off]:
        """Heights at the gates."""
        return [
            Off((gate.height_m - self.height_m(gate.time_s)) / FOOT_M, gate.height_sd_m / FOOT_M)
            for gate in self.attempt.gates
        ]

    def wind_kt(self) -> tuple[Off, Off]:
        """Northerly and easterly components of the wind at 1,500 ft."""
        north, east, _ = self.fixture.steady_motion()(described.field().elevation_m + WIND_AT_M, 0.0)
        low, high = self.attempt.wind[0], self.attempt.wind[-1]
        share = min(max((WIND_AT_M - low.height_m) / (high.height_m - low.height_m), 0.0), 1.0)
        found = [
            tuple(-wind.speed_mps * turn(wind.from_true_rad) for turn in (math.cos, math.sin)) for wind in (low, high)
        ]
        sd = math.sqrt((1.0 - share) * low.sd_mps**2 + share * high.sd_mps**2)
        offs = [
            Off((low_part + share * (high_part - low_part) - true) / KNOT_MPS, sd / KNOT_MPS)
            for low_part, high_part, true in zip(*found, (north, east), strict=True)
        ]
        return offs[0], offs[1]

    def wind_vector_kt(self) -> float:
        """Length of the error of the wind at 1,500 ft."""
        return math.hypot(*(off.by for off in self.wind_kt()))

    def ratio_percent(self) -> Off:
        """Glide ratio through the air from the high key to the final."""
        glide = self.attempt.glide
        assert glide is not None
        true = self.true_ratio()
        return Off(100.0 * (glide.ratio / true - 1.0), 100.0 * glide.ratio_sd / true)

    def true_ratio(self) -> float:
        """Distance along the level through the air to height lost to drag, as the airplane flew it.

        The drag's work is what height and airspeed gave up less what the moving air gave: read each second from the
        exact states, air that rises and changes on the way included.
        """
        first, last = (self._gate_s(name) for name in (GateName.HIGH_KEY, GateName.FINAL))
        truth = self.truth
        inside = (truth.time_s - truth.time_s[0] >= first) & (truth.time_s - truth.time_s[0] <= last)
        time, tas = truth.time_s[inside], truth.tas_mps[inside]
        air = np.array(
            [self.fixture.air().motion(a, t) for a, t in zip(truth.altitude_msl_m[inside], time, strict=True)]
        )
        through = np.column_stack([truth.north_mps[inside], truth.east_mps[inside], truth.climb_mps[inside]]) - air
        kinetic = 0.5 * (tas[0] ** 2 - tas[-1] ** 2) / _GRAVITY_MPS2
        work = float(np.trapezoid((through * np.gradient(air, time, axis=0)).sum(axis=1), time)) / _GRAVITY_MPS2
        lost = -float(np.trapezoid(through[:, 2], time)) + kinetic - work
        return float(np.trapezoid(np.hypot(through[:, 0], through[:, 1]), time)) / lost

    def touchdown_ft(self) -> Off | None:
        """Where the wheels met the runway along it; None for a go-around."""
        touchdown, wheels_s = self.attempt.touchdown, self.wheels_time_s()
        if touchdown is None or wheels_s is None:
            return None
        x_m, _ = described.field().xy_m(self.truth.latitude_deg, self.truth.longitude_deg)
        return Off((touchdown.x_m - self._at(wheels_s, x_m)) / FOOT_M, touchdown.x_sd_m / FOOT_M)

    def wheels_time_s(self) -> float | None:
        """When the wheels met the runway: written down is each second, so the last sink in the air tells the part."""
        truth, down = self.truth, np.flatnonzero(self.truth.on_wheels > 0.0)
        if len(down) == 0:
            return None
        first = int(down[0])
        left_m = truth.above_ground_m[first - 1] - truth.above_ground_m[first]
        late = min(max(left_m / max(-truth.climb_mps[first - 1], 0.2), 0.0), 1.0)
        return float(truth.time_s[first - 1] - truth.time_s[0] + late)

    def wheels_cas_kt(self) -> float:
        """Airspeed as the wheels met the ground."""
        return float(self.truth.cas_mps[np.flatnonzero(self.truth.on_wheels > 0.0)[0]]) / KNOT_MPS

    def _gate_s(self, name: GateName) -> float:
        return next(gate.time_s for gate in self.attempt.gates if gate.name is name)

    def _at(self, time_s: float, channel: Array) -> float:
        return float(np.interp(self.truth.time_s[0] + time_s, self.truth.time_s, channel))


@functools.cache
def judged(fixture: Fixture, *, is_panel: bool, seed: int = 0) -> Judged:
    """The fixture recorded, written to a file, read back and debriefed."""
    recorded = csv.write(fixture.recorded(is_panel=is_panel, seed=seed))
    recording = bootstrap.read_recording("lesson.csv", recorded)
    debrief = bootstrap.debrief_read(recording, described.exercise(fixture.air()))
    return Judged(fixture, is_panel, fixture.truth(), debrief.attempts)
