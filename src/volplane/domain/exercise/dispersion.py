"""What happens when a plan is flown many times by a pilot who errs and corrects: for instructors, never on the card.

Every flight has its own wind, glide ratio, rising air, entry, hand and eye, drawn from `Uncertainties`; the `Pilot`
sees, corrects and gives up. The first number is the part that lands short of the runway. A flight depends on seed and
number alone, so the answer is the same to the last bit for any number of threads.
"""

from __future__ import annotations

import math
from collections.abc import Iterator
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.dispersion_results import (
    PERCENTS,
    Dispersion,
    GateSpread,
    GoAroundReason,
    GoArounds,
    Sensitivity,
)
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.flying import Bench
from volplane.domain.exercise.not_dispersed import refuse_other_shapes
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
from volplane.domain.exercise.thresholds import Thresholds
from volplane.domain.exercise.uncertainties import (
    FEWEST_RUNS,
    LARGEST_SEED,
    MOST_RUNS,
    Source,
    Uncertainties,
)
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.shortest_paths import in_chunks
from volplane.domain.glide.touchdown import flare_arguments
from volplane.units import FOOT_M

if TYPE_CHECKING:
    from volplane.domain.exercise import dispersion_kernel as kernel
    from volplane.domain.glide.flight_kernel import World

Array = NDArray[np.float64]

# the zone of the lesson: the point and 200 ft beyond (FAA-S-ACS-7B)
ZONE_M = 200.0 * FOOT_M
DEFAULT_SEED = 1
# flights with one source switched off, to see what it matters
SENSITIVITY_RUNS = 1500
# below this a deviation from the plan is no reason to cut a corner
_LEAST_CUT_M = 5.0
# of the gust spread, one standard deviation: a reported gust is taken as three of them (ours)
_GUST_PART = 1.0 / 3.0


def disperse(
    solution: Solution,
    break_off: BreakOff,
    runs: int,
    seed: int = DEFAULT_SEED,
    *,
    pilot: Pilot | None = None,
    uncertainties: Uncertainties | None = None,
    threads: int | None = None,
    with_sensitivities: bool = True,
) -> Dispersion:
    """Fly a feasible solution many times.

    Same seed, same answer, for any number of `threads` (default: one per core). Sensitivities are found on the first
    SENSITIVITY_RUNS flights, flown again with each source switched off and all else the same.

    :raises ShapeNotDispersed: the exercise is not the one from overhead.
    """
    refuse_other_shapes(solution)
    if not FEWEST_RUNS <= runs <= MOST_RUNS:
        raise ValueError(f"{runs} runs; a dispersion takes {FEWEST_RUNS} to {MOST_RUNS}")
    if not 0 <= seed <= LARGEST_SEED:
        raise ValueError(f"seed {seed}; it must be from 0 to {LARGEST_SEED}")
    unknown = uncertainties_of(solution.bench.exercise) if uncertainties is None else uncertainties
    scene = _Scene.of(solution, break_off, Pilot() if pilot is None else pilot)
    answers = scene.fly(runs, seed, unknown, threads)
    shown = _summary(answers, seed, solution.bench.exercise.touchdown_beyond_threshold_m)
    if not with_sensitivities:
        return shown
    few = min(runs, SENSITIVITY_RUNS)
    whole = _summary(answers[:few], seed, solution.bench.exercise.touchdown_beyond_threshold_m)
    found = []
    for source in Source:
        less = _summary(
            scene.fly(few, seed, unknown.without(source), threads),
            seed,
            solution.bench.exercise.touchdown_beyond_threshold_m,
        )
        share = 1.0 - (less.sd_x_m / whole.sd_x_m) ** 2 if whole.sd_x_m > 0.0 else 0.0
        found.append(Sensitivity(source, share, less.sd_x_m, less.short_of_runway_fraction, less.go_around_fraction))
    found.sort(key=lambda each: -each.variance_share_fraction)
    return replace(shown, sensitivities=tuple(found))


def uncertainties_of(exercise: Exercise) -> Uncertainties:
    """The defaults, with the gusts of today's weather in the airspeed held."""
    bare = Uncertainties()
    gust_mps = exercise.weather.gust_mps
    if gust_mps is None:
        return bare
    east, north = exercise.weather.wind.components_mps(10.0)
    gusting_mps = _GUST_PART * max(gust_mps - math.hypot(float(east), float(north)), 0.0)
    return replace(bare, airspeed_wander_mps=math.hypot(bare.airspeed_wander_mps, gusting_mps))


def dispersion_findings(dispersion: Dispersion, thresholds: Thresholds) -> Iterator[Finding]:
    """What the instructor should know of a dispersion."""
    short = dispersion.short_of_runway_fraction
    if short > thresholds.short_of_runway_caution_fraction:
        is_stop = short > thresholds.short_of_runway_stop_fraction
        severity = Severity.STOP if is_stop else Severity.CAUTION
        limit = thresholds.short_of_runway_stop_fraction if is_stop else thresholds.short_of_runway_caution_fraction
        yield Finding("short-of-runway", severity, {"short_fraction": short, "limit_fraction": limit})


@dataclass(frozen=True, slots=True)
class _Scene:
    """A plan ready for the kernel."""

    lesson: kernel.Lesson
    hand: kernel.Hand
    slopes: kernel.Slopes
    world: World

    @classmethod
    def of(cls, solution: Solution, break_off: BreakOff, pilot: Pilot) -> _Scene:
        """Fly the plan once without errors; that flight is what the pilot compares with."""
        from volplane.domain.glide.flight_kernel import World

        world = World(*solution.bench.simulator.kernel_world())
        bare = _lesson(solution)
        hand = _hand(solution, break_off, pilot)
        trace = _trace(bare, hand, world)
        starts = np.searchsorted(trace[:, 0], np.arange(len(bare.purpose) + 1)).astype(np.float64)
        lesson = bare._replace(trace=trace, leg_starts=starts)
        return cls(lesson, hand, _slopes(solution, lesson), world)

    def fly(self, runs: int, seed: int, unknown: Uncertainties, threads: int | None) -> Array:
        """The answers of flights 0, 1, 2 ... as rows."""
        from volplane.domain.exercise.dispersion_kernel import ANSWER_COLUMNS, fly_many

        spread = _spread(unknown)

        def share(flights: Array, answers: Array) -> None:
            fly_many(seed, flights, self.lesson, self.hand, spread, self.slopes, self.world, answers)

        answers = np.empty((runs, ANSWER_COLUMNS))
        in_chunks(share, [np.arange(runs, dtype=np.float64)], [answers], threads=threads)
        return answers


def _purposes(solution: Solution) -> list[float]:
    """What each leg of the shape is for, as the kernel numbers it."""
    from volplane.domain.exercise import dispersion_kernel as numbers

    known = {
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
    return [float(known[leg.name]) for leg in solution.shape.legs(solution.bench.limits)]


def _lesson(solution: Solution) -> kernel.Lesson:
    """The plan as the kernel reads it, its reference flight still to be flown."""
    from volplane.domain.exercise.dispersion_kernel import TRACE_COLUMNS, Lesson

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
        eas_mps=start.eas_mps,
        first_bank_rad=shape.first_bank_rad,
        side_factor=float(shape.pattern.sign),
        legs=np.array([leg.row() for leg in legs]),
        purpose=np.array(_purposes(solution)),
        trace=np.empty((0, TRACE_COLUMNS)),
        leg_starts=np.zeros(len(legs) + 1),
        farthest_m=ready.exercise.distance_limit_m,
        reserve_drag_factor=max(shape.reserve_drag_factor, 0.0),
        landing_drag_factor=limits.landing_configuration.extra_drag_factor,
        landing_height_m=shape.landing_height_m,
        touchdown_eas_mps=limits.touchdown_eas_mps,
        best_ratio=ready.glide.best_ratio,
        landing_hand=hand,
        landing_air=air,
        landing_configuration=configuration,
    )


def _hand(solution: Solution, break_off: BreakOff, pilot: Pilot) -> kernel.Hand:
    from volplane.domain.exercise.dispersion_kernel import Hand

    exercise = solution.bench.exercise
    return Hand(
        sees_factor=1.0,
        look_s=pilot.look_s,
        early_drag_factor=pilot.early_drag_factor,
        more_drag_factor=pilot.more_drag_factor,
        cut_angle_rad=pilot.cut_angle_rad,
        cut_below_m=max(pilot.cut_reserve_fraction * exercise.reserve_m, _LEAST_CUT_M),
        latest_landing_height_m=pilot.latest_landing_height_m,
        room_on_final_m=pilot.room_on_final_m,
        accepts_short_m=pilot.accepts_short_m,
        accepts_long_m=pilot.accepts_long_m,
        break_off_height_m=break_off.height_m,
        break_off_below_mps=BREAK_OFF_BELOW_MPS,
        break_off_above_mps=BREAK_OFF_ABOVE_MPS,
        break_off_bank_rad=break_off.bank_rad,
        final_complete_height_m=solution.bench.limits.final_complete_height_m,
    )


def _spread(unknown: Uncertainties) -> kernel.Spread:
    from volplane.domain.exercise.dispersion_kernel import Spread

    return Spread(**{name: float(getattr(unknown, name)) for name in Spread._fields})


def _trace(lesson: kernel.Lesson, hand: kernel.Hand, world: World) -> Array:
    """The plan flown by the kernel itself without errors and without looking."""
    from volplane.domain.exercise.dispersion_kernel import (
        ANSWER_COLUMNS,
        LONGEST_STEPS,
        TRACE_COLUMNS,
        Slopes,
        fly_one,
    )

    trace = np.zeros((LONGEST_STEPS + 2 * len(lesson.purpose), TRACE_COLUMNS))
    blind = hand._replace(sees_factor=0.0)
    nothing = Slopes(*([1.0] * len(Slopes._fields)))
    rows = fly_one(0, lesson, blind, _spread(Uncertainties.none()), nothing, world, np.zeros(ANSWER_COLUMNS), trace)
    return trace[:rows].copy()


def _slopes(solution: Solution, lesson: kernel.Lesson) -> kernel.Slopes:
    """What a metre of ground and a unit of drag cost in height, from the reference and the glide."""
    from volplane.domain.exercise import dispersion_kernel as at

    ready, trace, purpose = solution.bench, lesson.trace, lesson.purpose
    downwind = trace[trace[:, at.TRACE_LEG] == float(np.flatnonzero(purpose == at.DOWNWIND)[0])]
    after_downwind = trace[trace[:, at.TRACE_LEG] > downwind[0, at.TRACE_LEG]]
    counts = np.diff(lesson.leg_starts)
    first_final = next(i for i, use in enumerate(purpose) if use >= at.FINAL_CLEAN and counts[i] > 1)
    final = trace[int(lesson.leg_starts[first_final]) :]
    on_last = final[final[:, at.TRACE_LEG] == len(purpose) - 1]
    lost = on_last[0] if len(on_last) > 1 else final[-1]
    base = trace[np.isin(trace[:, at.TRACE_LEG], np.flatnonzero(purpose == at.BASE))]
    fell_m, gone_m = final[0, at.TRACE_HEIGHT] - lost[at.TRACE_HEIGHT], lost[at.TRACE_X] - final[0, at.TRACE_X]
    clean = _clean_final_fraction(ready)
    return at.Slopes(
        downwind_fraction=_slope(downwind),
        clean_fraction=clean,
        final_fraction=float(fell_m / gone_m) if gone_m > 1.0 else clean,
        drag_on_final_fraction=_drag_fraction(ready, ready.limits.approach_eas_mps, into_wind=True),
        drag_before_fraction=_drag_fraction(ready, ready.limits.glide_eas_mps, into_wind=False),
        roll_out_x_m=float(final[0, at.TRACE_X]),
        reserve_lost_x_m=float(lost[at.TRACE_X]),
        fifty_foot_x_m=float(final[-1, at.TRACE_X]),
        turn_flown_m=float(after_downwind[0, at.TRACE_FLOWN]),
        base_m=float(base[-1, at.TRACE_FLOWN] - base[0, at.TRACE_FLOWN]) if len(base) else 0.0,
        whole_flown_m=float(final[-1, at.TRACE_FLOWN]),
    )


def _slope(rows: Array) -> float:
    """Height a metre of ground costs over some rows of the trace."""
    from volplane.domain.exercise.dispersion_kernel import TRACE_FLOWN, TRACE_HEIGHT

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


def _summary(answers: Array, seed: int, beyond_threshold_m: float) -> Dispersion:
    """Counts and percentiles of answers (n, ANSWER_COLUMNS)."""
    from volplane.domain.exercise import dispersion_kernel as at

    landed = answers[:, at.OUTCOME] == at.LANDED
    x = answers[landed, at.TOUCHDOWN_X]
    runs = len(answers)
    short, before = int((x < -beyond_threshold_m).sum()), int((x < 0.0).sum())
    long = int((x > ZONE_M).sum())
    columns = (
        (GateName.HIGH_KEY, at.HIGH_KEY_HEIGHT),
        (GateName.LOW_KEY, at.LOW_KEY_HEIGHT),
        (GateName.BASE_KEY, at.BASE_KEY_HEIGHT),
        (GateName.FINAL, at.FINAL_HEIGHT),
    )
    return Dispersion(
        runs=runs,
        seed=seed,
        short_of_runway_fraction=short / runs,
        before_zone_fraction=(before - short) / runs,
        in_zone_fraction=(len(x) - before - long) / runs,
        long_fraction=long / runs,
        go_around_fraction=(runs - len(x)) / runs,
        mean_x_m=float(x.mean()) if len(x) else math.nan,
        sd_x_m=float(x.std()) if len(x) else math.nan,
        percentile_x_m=_percentiles(x),
        gates=tuple(_gate_spread(name, answers[:, column]) for name, column in columns),
        go_arounds=_go_arounds(answers[:, at.OUTCOME]),
    )


def _go_arounds(outcomes: Array) -> tuple[GoArounds, ...]:
    """The reasons that occurred, commonest first."""
    from volplane.domain.exercise import dispersion_kernel as at

    reasons = {
        at.STILL_DOWNWIND: GoAroundReason.STILL_DOWNWIND,
        at.WRONG_SPEED: GoAroundReason.SPEED,
        at.STEEP_BANK: GoAroundReason.BANK,
        at.TOO_SHORT: GoAroundReason.SHORT,
        at.TOO_LONG: GoAroundReason.LONG,
        at.NOT_ON_FINAL: GoAroundReason.NOT_ON_FINAL,
        at.NO_END: GoAroundReason.NO_END,
    }
    found = [GoArounds(reason, float(np.mean(outcomes == number))) for number, reason in reasons.items()]
    return tuple(sorted((each for each in found if each.flights_fraction > 0.0), key=lambda it: -it.flights_fraction))


def _percentiles(values: Array) -> tuple[float, ...]:
    if not len(values):
        return (math.nan,) * len(PERCENTS)
    return tuple(float(value) for value in np.percentile(values, PERCENTS))


def _gate_spread(name: GateName, heights_m: Array) -> GateSpread:
    passed = heights_m[np.isfinite(heights_m)]
    mean_m, sd_m = (float(passed.mean()), float(passed.std())) if len(passed) else (math.nan, math.nan)
    return GateSpread(name, mean_m, sd_m, _percentiles(passed), len(passed) / len(heights_m))
