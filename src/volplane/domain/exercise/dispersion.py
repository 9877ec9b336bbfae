"""What happens when a plan is flown many times by a pilot who errs and corrects: for instructors, never on the card.

Every flight has its own wind, glide ratio, rising air, entry, hand and eye, drawn from `Uncertainties`; the `Pilot`
sees, corrects and gives up. The first number is the part that lands short of the runway. A flight depends on seed and
number alone, so the answer is the same to the last bit for any number of threads.
"""

from __future__ import annotations

import math
from collections.abc import Callable, Iterator
from dataclasses import replace

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
from volplane.domain.exercise.dispersion_scene import Scene
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.pilot import Pilot
from volplane.domain.exercise.plan import BreakOff
from volplane.domain.exercise.shape_search import Solution
from volplane.domain.exercise.thresholds import Thresholds
from volplane.domain.exercise.uncertainties import (
    FEWEST_RUNS,
    LARGEST_SEED,
    MOST_RUNS,
    Source,
    Uncertainties,
)
from volplane.domain.finding import Finding, Severity
from volplane.errors import Refusal
from volplane.units import FOOT_M

Array = NDArray[np.float64]
# told how many of how many flights are flown; a true answer stops the work
Progress = Callable[[int, int], object]

# the zone of the lesson: the point and 200 ft beyond (FAA-S-ACS-7B)
ZONE_M = 200.0 * FOOT_M
DEFAULT_SEED = 1
# flights with one source switched off, to see what it matters
SENSITIVITY_RUNS = 1500
# flights between two words about progress
_FLIGHTS_AT_ONCE = 2000
# of the gust spread, one standard deviation: a reported gust is taken as three of them (ours)
_GUST_PART = 1.0 / 3.0


class DispersionStopped(Refusal):
    """Whoever asked for many flights wanted no more of them."""

    code = "dispersion-stopped"

    def __init__(self, done: int, total: int) -> None:
        super().__init__(f"stopped after {done} of {total} flights")
        self.done = done
        self.total = total


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
    progress: Progress | None = None,
) -> Dispersion:
    """Fly a feasible solution many times.

    Same seed, same answer, for any number of `threads` (default: one per core). Sensitivities are found on the first
    SENSITIVITY_RUNS flights, flown again with each source switched off and all else the same. `progress` is told
    flights done and to do, between shares of them; what it answers, if true, stops the work.

    :raises DispersionStopped: `progress` said so.
    """
    if not FEWEST_RUNS <= runs <= MOST_RUNS:
        raise ValueError(f"{runs} runs; a dispersion takes {FEWEST_RUNS} to {MOST_RUNS}")
    if not 0 <= seed <= LARGEST_SEED:
        raise ValueError(f"seed {seed}; it must be from 0 to {LARGEST_SEED}")
    unknown = uncertainties_of(solution.bench.exercise) if uncertainties is None else uncertainties
    few = min(runs, SENSITIVITY_RUNS) if with_sensitivities else 0
    scene = Scene.of(solution, break_off, Pilot() if pilot is None else pilot)
    work = _Work(scene, seed, threads, progress, runs + few * len(Source))
    beyond_threshold_m = solution.bench.exercise.touchdown_beyond_threshold_m
    answers = work.fly(runs, unknown)
    shown = _summary(answers, seed, beyond_threshold_m)
    if not with_sensitivities:
        return shown
    found = [
        _sensitivity(source, answers[:few], work.fly(few, unknown.without(source)), beyond_threshold_m)
        for source in Source
    ]
    found.sort(key=lambda each: -each.variance_share_fraction)
    return replace(shown, sensitivities=tuple(found))


class _Work:
    """Flights of one scene, a share after another, with a word about progress in between."""

    def __init__(self, scene: Scene, seed: int, threads: int | None, progress: Progress | None, total: int) -> None:
        self.scene, self.seed, self.threads, self.progress, self.total = scene, seed, threads, progress, total
        self.done = 0

    def fly(self, runs: int, unknown: Uncertainties) -> Array:
        """The answers of flights 0, 1, 2 ... as rows."""
        shares = []
        for first in range(0, runs, _FLIGHTS_AT_ONCE):
            after = min(first + _FLIGHTS_AT_ONCE, runs)
            shares.append(self.scene.fly(first, after, self.seed, unknown, self.threads))
            self.done += after - first
            if self.progress is not None and self.progress(self.done, self.total):
                raise DispersionStopped(self.done, self.total)
        return np.concatenate(shares)


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


def _sensitivity(source: Source, whole: Array, without: Array, beyond_threshold_m: float) -> Sensitivity:
    """What a source matters, by the same flights with and without it.

    The variances are those of the flights that landed both ways, so that who goes around does not count as where the
    wheels touch.
    """
    from volplane.domain.exercise import dispersion_kernel as at
    from volplane.domain.exercise.dispersion_hand_kernel import LANDED

    landed, landed_without = whole[:, at.OUTCOME] == LANDED, without[:, at.OUTCOME] == LANDED
    both = landed & landed_without
    sd_m = float(whole[both, at.TOUCHDOWN_X].std()) if both.any() else math.nan
    sd_without_m = float(without[both, at.TOUCHDOWN_X].std()) if both.any() else math.nan
    short = landed_without & (without[:, at.TOUCHDOWN_X] < -beyond_threshold_m)
    return Sensitivity(
        source=source,
        variance_share_fraction=1.0 - (sd_without_m / sd_m) ** 2 if sd_m > 0.0 else 0.0,
        sd_without_m=sd_without_m,
        short_without_fraction=float(short.mean()),
        go_around_without_fraction=1.0 - float(landed_without.mean()),
    )


def _summary(answers: Array, seed: int, beyond_threshold_m: float) -> Dispersion:
    """Counts and percentiles of answers (n, ANSWER_COLUMNS)."""
    from volplane.domain.exercise import dispersion_kernel as at
    from volplane.domain.exercise.dispersion_hand_kernel import LANDED

    landed = answers[:, at.OUTCOME] == LANDED
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
    from volplane.domain.exercise import dispersion_hand_kernel as at

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
