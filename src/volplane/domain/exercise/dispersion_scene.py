"""A plan made ready for the pilot who errs: start, legs, what each is for, and how high the plan is where."""

from __future__ import annotations

import math
import os
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.before_key import CIRCLE, KEY_TURN, TO_KEY
from volplane.domain.exercise.flying import Bench
from volplane.domain.exercise.pilot import Pilot
from volplane.domain.exercise.pilot_limits import FINAL_COMPLETE_HEIGHT_M
from volplane.domain.exercise.plan import BreakOff
from volplane.domain.exercise.shape import (
    BASE,
    BASE_TURN,
    CROSSWIND,
    DOWNWIND,
    FINAL,
    FINAL_CLEAN,
    FINAL_RESERVE,
    FINAL_TURN,
    HALF_TURN,
    UPWIND,
)
from volplane.domain.exercise.shape_search import Solution
from volplane.domain.exercise.solver import BREAK_OFF_ABOVE_MPS, BREAK_OFF_BELOW_MPS
from volplane.domain.exercise.uncertainties import Uncertainties
from volplane.domain.glide.guided_flight import Leg, LegKind
from volplane.domain.glide.touchdown import flare_arguments

if TYPE_CHECKING:
    from volplane.domain.exercise.dispersion_chance_kernel import Spread
    from volplane.domain.exercise.dispersion_hand_kernel import Hand
    from volplane.domain.exercise.dispersion_lesson_kernel import Lesson, Slopes
    from volplane.domain.glide.flight_kernel import World

Array = NDArray[np.float64]

# a flight takes a third of a millisecond: a thread is worth starting for so many
_LEAST_SHARE = 50
# below this a deviation from the plan is no reason to cut a corner
_LEAST_CUT_M = 5.0


@dataclass(frozen=True, slots=True)
class Scene:
    """A plan ready for the kernel."""

    lesson: Lesson
    hand: Hand
    slopes: Slopes
    world: World

    @classmethod
    def of(cls, solution: Solution, break_off: BreakOff, pilot: Pilot) -> Scene:
        """Fly the plan once without errors; that flight is what the pilot compares with."""
        from volplane.domain.glide.flight_kernel import World

        world = World(*solution.bench.simulator.kernel_world())
        bare = _lesson(solution)
        hand = _hand(solution, break_off, pilot)
        trace = _trace(bare, hand, world)
        starts = np.searchsorted(trace[:, 0], np.arange(len(bare.purpose) + 1)).astype(np.float64)
        lesson = bare._replace(trace=trace, leg_starts=starts)
        return cls(lesson, hand, _slopes(solution, lesson), world)

    def fly(self, first: int, after: int, seed: int, unknown: Uncertainties, threads: int | None) -> Array:
        """The answers of the flights from number `first` up to `after`, as rows."""
        from volplane.domain.exercise.dispersion_kernel import ANSWER_COLUMNS, fly_many

        spread = _spread(unknown)

        def share(flights: Array, answers: Array) -> None:
            fly_many(seed, flights, self.lesson, self.hand, spread, self.slopes, self.world, answers)

        flights, answers = np.arange(first, after, dtype=np.float64), np.empty((after - first, ANSWER_COLUMNS))
        workers = max(min(threads or os.cpu_count() or 1, len(flights) // _LEAST_SHARE), 1)
        with ThreadPoolExecutor(workers) as pool:  # the kernel holds no lock while it runs
            list(pool.map(share, np.array_split(flights, workers), np.array_split(answers, workers)))
        return answers


def _purposes(legs: tuple[Leg, ...]) -> list[float]:
    """What each leg is for, as the kernel numbers it."""
    from volplane.domain.exercise import dispersion_lesson_kernel as numbers

    known = {
        TO_KEY: numbers.BEFORE_KEY,
        KEY_TURN: numbers.BEFORE_KEY,
        CIRCLE: numbers.BEFORE_KEY,
        UPWIND: numbers.HALF_TURN,
        HALF_TURN: numbers.HALF_TURN,
        CROSSWIND: numbers.HALF_TURN,
        DOWNWIND: numbers.DOWNWIND,
        BASE_TURN: numbers.BASE_TURN,
        BASE: numbers.BASE,
        FINAL_TURN: numbers.FINAL_TURN,
        FINAL_CLEAN: numbers.FINAL_CLEAN,
        FINAL_RESERVE: numbers.FINAL_RESERVE,
        FINAL: numbers.FINAL,
    }
    return [float(known[leg.name]) for leg in legs]


def _lesson(solution: Solution) -> Lesson:
    """The plan as the kernel reads it, its reference flight still to be flown."""
    from volplane.domain.exercise.dispersion_lesson_kernel import TRACE_COLUMNS, Lesson

    ready, shape = solution.bench, solution.shape
    limits = ready.limits
    start = ready.start(shape, solution.entry_height_m)
    legs = shape.legs(limits)
    hand, _, configuration, air, _ = flare_arguments(
        ready.glide, ready.air, limits.landing_configuration, limits.approach_eas_mps, limits.touchdown_eas_mps
    )
    return Lesson(
        x_m=start.x_m,
        y_m=start.y_m,
        height_m=start.height_m,
        track_rad=legs[0].track_rad if legs[0].kind is LegKind.LINE else 0.0,
        eas_mps=start.eas_mps,
        glide_eas_mps=limits.glide_eas_mps,
        first_bank_rad=shape.first_bank_rad,
        side_factor=float(shape.pattern.sign),
        legs=np.array([leg.row() for leg in legs]),
        purpose=np.array(_purposes(legs)),
        trace=np.empty((0, TRACE_COLUMNS)),
        leg_starts=np.zeros(len(legs) + 1),
        farthest_m=ready.exercise.distance_limit_m,
        offset_m=shape.low_key_offset_m,
        reserve_drag_factor=max(shape.reserve_drag_factor, 0.0),
        landing_drag_factor=limits.landing_configuration.extra_drag_factor,
        landing_height_m=shape.landing_height_m,
        touchdown_eas_mps=limits.touchdown_eas_mps,
        best_ratio=ready.glide.best_ratio,
        landing_hand=hand,
        landing_air=air,
        landing_configuration=configuration,
    )


def _hand(solution: Solution, break_off: BreakOff, pilot: Pilot) -> Hand:
    from volplane.domain.exercise.dispersion_hand_kernel import Hand

    exercise = solution.bench.exercise
    return Hand(
        sees_factor=1.0,
        look_s=pilot.look_s,
        early_drag_factor=pilot.early_drag_factor,
        more_drag_factor=pilot.more_drag_factor,
        cut_angle_rad=pilot.cut_angle_rad,
        widen_angle_rad=pilot.widen_angle_rad,
        cut_below_m=max(pilot.cut_reserve_fraction * exercise.reserve_m, _LEAST_CUT_M),
        latest_landing_height_m=pilot.latest_landing_height_m,
        room_on_final_m=pilot.room_on_final_m,
        aims_beyond_m=pilot.aims_beyond_m,
        picture_weight_fraction=pilot.picture_weight_fraction,
        accepts_short_m=pilot.accepts_short_m,
        accepts_long_m=pilot.accepts_long_m,
        break_off_height_m=break_off.height_m,
        break_off_below_mps=BREAK_OFF_BELOW_MPS,
        break_off_above_mps=BREAK_OFF_ABOVE_MPS,
        break_off_bank_rad=break_off.bank_rad,
        reads_bank_rad=pilot.reads_bank_rad,
        reads_airspeed_mps=pilot.reads_airspeed_mps,
        final_complete_height_m=solution.bench.limits.final_complete_height_m,
    )


def _spread(unknown: Uncertainties) -> Spread:
    from volplane.domain.exercise.dispersion_chance_kernel import Spread

    return Spread(**{name: float(getattr(unknown, name)) for name in Spread._fields})


def _trace(lesson: Lesson, hand: Hand, world: World) -> Array:
    """The plan flown by the kernel itself without errors and without looking."""
    from volplane.domain.exercise.dispersion_kernel import ANSWER_COLUMNS, LONGEST_STEPS, fly_one
    from volplane.domain.exercise.dispersion_lesson_kernel import TRACE_COLUMNS, Slopes

    trace = np.zeros((LONGEST_STEPS + 2 * len(lesson.purpose), TRACE_COLUMNS))
    blind = hand._replace(sees_factor=0.0)
    nothing = Slopes(*([1.0] * len(Slopes._fields)))
    rows = fly_one(0, lesson, blind, _spread(Uncertainties.none()), nothing, world, np.zeros(ANSWER_COLUMNS), trace)
    return trace[:rows].copy()


def _slopes(solution: Solution, lesson: Lesson) -> Slopes:
    """What a metre of ground and a unit of drag cost in height, from the reference and the glide."""
    from volplane.domain.exercise import dispersion_lesson_kernel as at

    ready, trace, purpose = solution.bench, lesson.trace, lesson.purpose
    final = trace[int(lesson.leg_starts[at.first_final(lesson)]) :]
    on_last = final[final[:, at.TRACE_LEG] == len(purpose) - 1]
    lost = on_last[0] if len(on_last) > 1 else final[-1]
    downwind, base = _flown_for(at.DOWNWIND, lesson), _flown_for(at.BASE, lesson)
    past_downwind = trace[trace[:, at.TRACE_LEG] > downwind[-1, at.TRACE_LEG]] if len(downwind) else trace
    fell_m, gone_m = final[0, at.TRACE_HEIGHT] - lost[at.TRACE_HEIGHT], lost[at.TRACE_X] - final[0, at.TRACE_X]
    clean = _clean_final_fraction(ready)
    return at.Slopes(
        downwind_fraction=_slope(downwind) if len(downwind) > 1 else 1.0 / ready.glide.best_ratio,
        clean_fraction=clean,
        final_fraction=float(fell_m / gone_m) if gone_m > 1.0 else clean,
        drag_on_final_fraction=_drag_fraction(ready, ready.limits.approach_eas_mps, into_wind=True),
        drag_before_fraction=_drag_fraction(ready, ready.limits.glide_eas_mps, into_wind=False),
        roll_out_x_m=float(final[0, at.TRACE_X]),
        reserve_lost_x_m=float(lost[at.TRACE_X]),
        fifty_foot_x_m=float(final[-1, at.TRACE_X]),
        turn_flown_m=float(past_downwind[0, at.TRACE_FLOWN]),
        base_m=float(base[-1, at.TRACE_FLOWN] - base[0, at.TRACE_FLOWN]) if len(base) else 0.0,
        whole_flown_m=float(final[-1, at.TRACE_FLOWN]),
    )


def _flown_for(use: int, lesson: Lesson) -> Array:
    """The rows of the trace on legs for one purpose."""
    from volplane.domain.exercise.dispersion_lesson_kernel import TRACE_LEG

    return lesson.trace[np.isin(lesson.trace[:, TRACE_LEG], np.flatnonzero(lesson.purpose == use))]


def _slope(rows: Array) -> float:
    """Height a metre of ground costs over some rows of the trace."""
    from volplane.domain.exercise.dispersion_lesson_kernel import TRACE_FLOWN, TRACE_HEIGHT

    fell_m = float(rows[0, TRACE_HEIGHT] - rows[-1, TRACE_HEIGHT])
    return fell_m / max(float(rows[-1, TRACE_FLOWN] - rows[0, TRACE_FLOWN]), 1.0)


def _clean_final_fraction(ready: Bench) -> float:
    """Height a metre of ground costs on a final flown clean at the glide speed, at twice the break-off height."""
    height_m = 2.0 * FINAL_COMPLETE_HEIGHT_M
    tas_mps = ready.tas_mps(height_m)
    ground_mps = _ground_speed_mps(ready, tas_mps, height_m)
    return ready.glide.drag_to_weight(ready.limits.glide_eas_mps, 1.0, ready.limits.glide_configuration) * (
        tas_mps / ground_mps
    )


def _ground_speed_mps(ready: Bench, tas_mps: float, height_m: float) -> float:
    """Ground speed along the landing direction."""
    wind_x, wind_y = (float(wind) for wind in ready.air.wind_xy_mps(height_m))
    return max(math.sqrt(max(tas_mps**2 - wind_y**2, 0.0)) + wind_x, 1.0)


def _drag_fraction(ready: Bench, eas_mps: float, *, into_wind: bool) -> float:
    """Height that extra drag of the clean airplane's parasite drag costs over a metre of ground."""
    glide = ready.glide
    share = 0.5 / glide.best_ratio * (eas_mps / glide.best_eas_mps) ** 2
    if not into_wind:
        return share
    tas_mps = ready.air.tas_mps_from_eas_mps(eas_mps, FINAL_COMPLETE_HEIGHT_M)
    return share * tas_mps / _ground_speed_mps(ready, tas_mps, FINAL_COMPLETE_HEIGHT_M)
