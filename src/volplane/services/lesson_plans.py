"""A lesson planned on a rung of the ladder: how many exercises, how long each takes, and the box for a surprise."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from volplane.domain.atmosphere.wind import ANEMOMETER_HEIGHT_M
from volplane.domain.debrief.standards import Rule, StandardUnknown, standard_named
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.plan import Plan
from volplane.services.rungs import MOST_EXERCISES, Rung
from volplane.units import mps_from_fpm

# where the airplane's file does not say how it climbs (estimate)
_ESTIMATED_CLIMB_MPS = mps_from_fpm(500.0)
# from the ground to the first exercise and from the last to the blocks; set-up and slow cooling between two (ours)
_THERE_AND_BACK_S = 1200.0
_SET_UP_S = 180.0
BRIEFING_S, DEBRIEFING_S = 1800.0, 1800.0


@dataclass(frozen=True, slots=True)
class Box:
    """Where a surprise may come: not below `lowest_msl_m` on the altimeter, not further from the touchdown point."""

    lowest_msl_m: float
    farthest_m: float


@dataclass(frozen=True, slots=True)
class LessonPlan:
    """A lesson: its rung, the plan its figures come from, and the times of a sortie of `exercises` exercises."""

    rung: Rung
    plan: Plan
    exercises: int
    exercise_s: float
    climb_s: float
    is_climb_estimated: bool

    @property
    def flight_s(self) -> float:
        """Time in the air, from one exercise after the other."""
        return _THERE_AND_BACK_S + self.exercises * (self.exercise_s + self.climb_s + _SET_UP_S)

    @property
    def needs_floor(self) -> bool:
        """Whether the rung is flown above an altitude that plays the ground."""
        return self.rung in (Rung.TRIM, Rung.POINT)

    @property
    def box(self) -> Box:
        """The box of a surprise: as high as the first gate's lowest, as near as the plan's own path lies."""
        gate = self.plan.gate(GateName.HIGH_KEY) or self.plan.gates[0]
        path = self.plan.path
        return Box(gate.altimeter_lowest_msl_m, float(np.hypot(path.x_m, path.y_m).max()))

    @property
    def crosswind_mps(self) -> float:
        """Wind across the runway at the field, from the left positive."""
        exercise = self.plan.exercise
        speed_mps, from_rad = exercise.weather.wind.speed_and_direction(ANEMOMETER_HEIGHT_M)
        return float(speed_mps * np.sin(exercise.runway.bearing_true_rad - from_rad))

    @property
    def rules(self) -> tuple[Rule, ...]:
        """The items of the exercise's standard; none where it is a file of the instructor's own."""
        try:
            return standard_named(self.plan.exercise.standard).rules
        except StandardUnknown:
            return ()


def lesson_plan(plan: Plan, rung: Rung, exercises: int = MOST_EXERCISES) -> LessonPlan:
    """A lesson of so many exercises, never more than a sortie bears."""
    climb = plan.exercise.airplane.limits.go_around_climb_mps
    return LessonPlan(
        rung=rung,
        plan=plan,
        exercises=min(max(exercises, 1), MOST_EXERCISES),
        exercise_s=plan.touchdown_time_s,
        climb_s=plan.exercise.entry_height_m / (climb or _ESTIMATED_CLIMB_MPS),
        is_climb_estimated=climb is None,
    )
