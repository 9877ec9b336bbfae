"""From partial glides to the measured glide of the airplane: what is reported, with its uncertainty."""

from __future__ import annotations

import math
from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from types import MappingProxyType

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane import polar_fit, reduction
from volplane.domain.airplane.partial_glides import CLEAN_NAME, JudgedGlide, PartialGlide, ReducedGlide, Why
from volplane.domain.airplane.polar_fit import HandbookPrior, PolarFit
from volplane.domain.finding import Finding, Severity
from volplane.domain.glide.polar import BestGlideNotCovered, GlideModel, MeasuredPolar, ParabolaPolar
from volplane.errors import Refusal
from volplane.units import KNOT_MPS

Array = NDArray[np.float64]

# glides at speeds this much apart are at different speeds
DIFFERENT_SPEED_RATIO = 1.04
# below this range of speeds nothing can be said of the curve, below the next the handbook is asked for induced drag
LEAST_RANGE_RATIO, FREE_RANGE_RATIO = 1.15, 1.6
LEAST_GLIDES, LEAST_GLIDES_FOR_CURVE, LEAST_SPEEDS_FOR_CURVE = 4, 9, 5
# a parabola may be followed this far beyond the speeds flown
MOST_BEYOND_RATIO = 1.10
# motion of all the air of a morning that no glide can tell from drag; a hundredth of a metre a second or two of slow
# settling is usual in fair weather (ours)
COMMON_AIR_SD_MPS = 0.03
# error that all airspeeds share, without and with a calibration of the airspeed (ours)
COMMON_AIRSPEED_SD_MPS, CALIBRATED_AIRSPEED_SD_MPS = 1.0 * KNOT_MPS, 0.5 * KNOT_MPS
# sink at the best speed moves by a quarter of the slope when the airspeed reads wrong: the least of drag lies elsewhere
_SINK_TO_AIRSPEED_RATIO = 0.25
CURVE_SPEEDS = 9
BAND_SPEEDS = 41


class GlidesTooFew(Refusal):
    """After what was left out too few glides remain; `left_out` counts them by reason."""

    code = "glides-too-few"

    def __init__(self, used_count: int, least_count: int, left_out: Mapping[str, int]) -> None:
        super().__init__(f"{used_count} glides are left of {used_count + sum(left_out.values())}, {least_count} needed")
        self.used_count = used_count
        self.least_count = least_count
        self.left_out = MappingProxyType(dict(left_out))


class GlideSpeedsTooClose(Refusal):
    """One speed only, or speeds so close that the curve between and beyond them is anybody's."""

    code = "glide-speeds-too-close"

    def __init__(self, slowest_cas_mps: float, fastest_cas_mps: float, speeds_count: int) -> None:
        super().__init__(f"{speeds_count} speeds from {slowest_cas_mps:.1f} m/s to {fastest_cas_mps:.1f} m/s")
        self.slowest_cas_mps = slowest_cas_mps
        self.fastest_cas_mps = fastest_cas_mps
        self.speeds_count = speeds_count
        self.least_range_ratio = LEAST_RANGE_RATIO


@dataclass(frozen=True, slots=True)
class MeasuredConfiguration:
    """Extra parasite drag of a configuration, in parts of the clean one (a_c), from its own glides."""

    name: str
    extra_drag_factor: float
    extra_drag_factor_sd: float
    glides_count: int


@dataclass(frozen=True, slots=True)
class GlideBand:
    """Sink against speed over the speeds flown, wings level at the reference weight at sea level; all (n,)."""

    eas_mps: tuple[float, ...]
    sink_mps: tuple[float, ...]
    sink_sd_mps: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class MeasuredGlide:
    """The clean glide at the reference weight, as it was measured; standard deviations hold 95 % within 1.96.

    Sinks are at sea-level density. `is_curve` tells a smooth curve from a parabola, `scatter_ratio` how much the glides
    scattered in parts of what smooth air lets expect.
    """

    reference_weight_kg: float
    best_eas_mps: float
    best_eas_sd_mps: float
    ratio: float
    ratio_sd: float
    sink_at_best_mps: float
    sink_at_best_sd_mps: float
    minimum_sink_mps: float
    minimum_sink_sd_mps: float
    minimum_sink_eas_mps: float
    is_curve: bool
    scatter_ratio: float
    polar: GlideModel
    points: tuple[JudgedGlide, ...]
    configurations: tuple[MeasuredConfiguration, ...]
    band: GlideBand
    findings: tuple[Finding, ...]

    @property
    def curve_points(self) -> tuple[tuple[float, float], ...]:
        """Equivalent airspeed and sink of a curve as flown at sea level, from which it can be built again."""
        if not isinstance(self.polar, MeasuredPolar):
            return ()
        pairs = zip(self.polar.eas_mps, self.polar.drag_to_weight_factor, strict=True)
        return tuple(_as_flown(eas, factor) for eas, factor in pairs)


def measure_glide(
    glides: Sequence[PartialGlide],
    handbook: GlideModel,
    stall_cas_mps: float,
    *,
    known_configurations: frozenset[str] = frozenset({CLEAN_NAME}),
    has_calibration: bool = False,
    trusts_handbook: bool = False,
) -> MeasuredGlide:
    """The glide that partial glides show, at the reference weight of the handbook's.

    `stall_cas_mps` is the clean stall at that weight. The handbook counts only where the speeds flown cannot tell, or
    with `trusts_handbook`.

    :raises GlidesTooFew: fewer than four clean glides are left.
    :raises GlideSpeedsTooClose: one speed only, or a range under 1.15 to 1.
    :raises BestGlideNotCovered: the best glide lies far beyond the speeds flown.
    """
    weight_kg = handbook.reference_weight_kg
    barred = [_barred(each, weight_kg, stall_cas_mps, known_configurations) for each in glides]
    free = [(i, reduction.reduced(each, weight_kg)) for i, each in enumerate(glides) if barred[i] is None]
    clean = [each for _, each in free if each.glide.configuration == CLEAN_NAME]
    if len(clean) < LEAST_GLIDES:
        left_out: dict[str, int] = {}
        for glide, why in zip(glides, barred, strict=True):
            if why is not None or glide.configuration != CLEAN_NAME:
                word = str(why or "other-configuration")
                left_out[word] = left_out.get(word, 0) + 1
        raise GlidesTooFew(len(clean), LEAST_GLIDES, left_out)
    speeds = different_speeds([each.eas_mps for each in clean])
    spread = speeds[-1] / speeds[0]
    if len(speeds) < 2 or spread < LEAST_RANGE_RATIO:
        flown = [each.glide.cas_mps for each in clean]
        raise GlideSpeedsTooClose(min(flown), max(flown), len(speeds))
    prior = _prior(handbook, is_needed=spread < FREE_RANGE_RATIO or len(speeds) < 3, is_trusted=trusts_handbook)
    may_curve = prior is None and len(speeds) >= LEAST_SPEEDS_FOR_CURVE and len(clean) >= LEAST_GLIDES_FOR_CURVE
    fit = polar_fit.fit_polar([each for _, each in free], prior, may_curve=may_curve)
    if fit.is_curve and not _is_covered(fit, _flown(fit, clean, free)):
        fit = polar_fit.fit_polar([each for _, each in free], prior)
    airspeed_sd_mps = CALIBRATED_AIRSPEED_SD_MPS if has_calibration else COMMON_AIRSPEED_SD_MPS
    return _Summary(fit, weight_kg, _flown(fit, clean, free), airspeed_sd_mps).measured(
        _judged(glides, barred, free, fit, weight_kg), _findings(prior, spread, fit, handbook)
    )


def different_speeds(speed_mps: Sequence[float]) -> list[float]:
    """The speeds that differ by more than scatter, slowest first."""
    different: list[float] = []
    for speed in sorted(speed_mps):
        if not different or speed > different[-1] * DIFFERENT_SPEED_RATIO:
            different.append(speed)
    return different


def _barred(glide: PartialGlide, weight_kg: float, stall_cas_mps: float, known: frozenset[str]) -> Why | None:
    stall = stall_cas_mps * math.sqrt(glide.weight_kg / weight_kg)
    return reduction.excluded(glide, stall, known)


def _prior(handbook: GlideModel, *, is_needed: bool, is_trusted: bool) -> HandbookPrior | None:
    if is_trusted:
        return HandbookPrior(handbook.best_eas_mps, handbook.best_ratio, parasite_sd_fraction=0.15)
    return HandbookPrior(handbook.best_eas_mps, handbook.best_ratio) if is_needed else None


def _flown(
    fit: PolarFit, clean: Sequence[ReducedGlide], free: Sequence[tuple[int, ReducedGlide]]
) -> tuple[float, float]:
    """Slowest and fastest clean glide that was used."""
    used = [each for (_, each), is_used in zip(free, fit.is_used, strict=True) if is_used and each in clean]
    speeds = [each.eas_mps for each in used or clean]
    return min(speeds), max(speeds)


def _is_covered(fit: PolarFit, flown: tuple[float, float]) -> bool:
    """Whether the least drag of a curve lies inside the speeds flown, with a hair to either side."""
    grid = np.linspace(*flown, 101)
    at = int(np.argmin(fit.drag_to_weight(grid)[0]))
    return 2 <= at <= 98


def _as_flown(eas_mps: float, drag_to_weight: float) -> tuple[float, float]:
    """Equivalent airspeed and sink at sea level of a steady glide, from speed and drag at one g: tan gamma = f."""
    cosine = 1.0 / math.sqrt(1.0 + drag_to_weight**2)
    speed = eas_mps * math.sqrt(cosine)
    return speed, speed * drag_to_weight * cosine


@dataclass(frozen=True, slots=True)
class _Summary:
    """Best speed, ratio and sinks of a fit, with their standard deviations."""

    fit: PolarFit
    weight_kg: float
    flown: tuple[float, float]
    airspeed_sd_mps: float

    def measured(self, points: tuple[JudgedGlide, ...], findings: list[Finding]) -> MeasuredGlide:
        """The whole result."""
        best, factor = self._least(power=0)
        slowest, fastest = self.flown
        if not slowest / MOST_BEYOND_RATIO <= best <= fastest * MOST_BEYOND_RATIO:
            raise BestGlideNotCovered(slowest if best < slowest else fastest, slowest, fastest)
        if not slowest <= best <= fastest:
            findings.append(_beyond(best, slowest, fastest))
        factor_sd, best_sd, sink_sd = self._uncertainty(best, factor)
        slow, slow_factor = self._least(power=1)
        speed, sink = _as_flown(best, factor)
        slow_speed, least_sink = _as_flown(slow, slow_factor)
        slow_sd = slow * math.sqrt(max(float(self.fit.drag_to_weight(np.array([slow]))[1][0, 0]), 0.0))
        shared = math.hypot(COMMON_AIR_SD_MPS, _SINK_TO_AIRSPEED_RATIO * sink / speed * self.airspeed_sd_mps)
        return MeasuredGlide(
            reference_weight_kg=self.weight_kg,
            best_eas_mps=best,
            best_eas_sd_mps=math.hypot(best_sd, self.airspeed_sd_mps),
            ratio=1.0 / factor,
            ratio_sd=math.hypot(factor_sd / factor, COMMON_AIR_SD_MPS / sink, self.airspeed_sd_mps / best) / factor,
            sink_at_best_mps=sink,
            sink_at_best_sd_mps=math.hypot(sink_sd, shared),
            minimum_sink_mps=least_sink,
            minimum_sink_sd_mps=math.hypot(slow_sd, shared),
            minimum_sink_eas_mps=slow_speed,
            is_curve=self.fit.is_curve,
            scatter_ratio=self.fit.scatter_ratio,
            polar=self._polar(best, factor),
            points=points,
            configurations=self._configurations(points),
            band=self._band(),
            findings=tuple(findings),
        )

    def _least(self, power: int) -> tuple[float, float]:
        """Speed where f V^power is least, and f there; a curve is not followed beyond the speeds flown."""
        slowest, fastest = self.flown
        beyond = 1.0 if self.fit.is_curve else 1.3
        low, high = slowest / beyond, fastest * beyond
        for _ in range(4):
            grid = np.linspace(low, high, 41)
            mean, _ = self.fit.drag_to_weight(grid)
            at = int(np.argmin(mean * grid**power))
            low, high = float(grid[max(at - 1, 0)]), float(grid[min(at + 1, 40)])
        return float(grid[at]), float(mean[at])

    def _uncertainty(self, best_mps: float, factor: float) -> tuple[float, float, float]:
        """Standard deviation of f at the best speed, of that speed, and of the sink there.

        To first order the best speed moves by -f' error / f'', and the sink V f by V times the error of f and f times
        that move (delta method).
        """
        step = 0.02 * best_mps
        mean, covariance = self.fit.drag_to_weight(np.array([best_mps - step, best_mps, best_mps + step]))
        bend = (mean[0] - 2.0 * mean[1] + mean[2]) / step**2
        # less bent than a quarter of a parabola's is chance
        bend = max(float(bend), factor / best_mps**2)
        to_speed = np.array([0.5, 0.0, -0.5]) / step / bend
        to_sink = best_mps * np.array([0.0, 1.0, 0.0]) + factor * to_speed

        def sd(weights: Array) -> float:
            return math.sqrt(max(float(weights @ covariance @ weights), 0.0))

        return sd(np.array([0.0, 1.0, 0.0])), sd(to_speed), sd(to_sink)

    def _polar(self, best_mps: float, factor: float) -> GlideModel:
        if not self.fit.is_curve:
            return ParabolaPolar(self.weight_kg, best_mps, 1.0 / factor)
        speeds = np.linspace(*self.flown, CURVE_SPEEDS)
        drags, _ = self.fit.drag_to_weight(speeds)
        return MeasuredPolar(self.weight_kg, tuple(map(float, speeds)), tuple(map(float, drags)))

    def _band(self) -> GlideBand:
        speeds = np.linspace(*self.flown, BAND_SPEEDS)
        mean, covariance = self.fit.drag_to_weight(speeds)
        shown = [_as_flown(float(speed), float(factor)) for speed, factor in zip(speeds, mean, strict=True)]
        sds = np.hypot(speeds * np.sqrt(np.maximum(np.diag(covariance), 0.0)), COMMON_AIR_SD_MPS)
        return GlideBand(tuple(v for v, _ in shown), tuple(sink for _, sink in shown), tuple(map(float, sds)))

    def _configurations(self, points: Sequence[JudgedGlide]) -> tuple[MeasuredConfiguration, ...]:
        found = []
        for name in self.fit.configurations[1:]:
            ratio, sd = self.fit.parasite_ratio(name)
            count = sum(point.is_used and point.glide.configuration == name for point in points)
            found.append(MeasuredConfiguration(name, ratio - 1.0, sd, count))
        return tuple(found)


def _judged(
    glides: Sequence[PartialGlide],
    barred: Sequence[Why | None],
    free: Sequence[tuple[int, ReducedGlide]],
    fit: PolarFit,
    weight_kg: float,
) -> tuple[JudgedGlide, ...]:
    judged = []
    place_in_fit = {i: place for place, (i, _) in enumerate(free)}
    for i, (glide, why) in enumerate(zip(glides, barred, strict=True)):
        point = free[place_in_fit[i]][1] if i in place_in_fit else reduction.reduced(glide, weight_kg)
        speed, sink = _as_flown(point.eas_mps, point.drag_to_weight_factor)
        residual = None
        if i in place_in_fit:
            place = place_in_fit[i]
            residual = float(fit.residual_factor[place]) * speed
            if not fit.is_used[place]:
                why = Why.SINKS_MORE if residual > 0.0 else Why.SINKS_LESS
        ratio = 1.0 / point.drag_to_weight_factor if point.drag_to_weight_factor > 0.0 else math.inf
        judged.append(JudgedGlide(glide, speed, sink, ratio, residual, why))
    return tuple(judged)


def _findings(prior: HandbookPrior | None, spread: float, fit: PolarFit, handbook: GlideModel) -> list[Finding]:
    found = []
    if prior is not None and spread < FREE_RANGE_RATIO:
        quantities: dict[str, float | str] = {"range_ratio": spread, "needed_ratio": FREE_RANGE_RATIO}
        found.append(Finding("induced-drag-from-handbook", Severity.CAUTION, MappingProxyType(quantities)))
    if fit.scatter_ratio > 2.0:
        found.append(Finding("rough-air", Severity.CAUTION, MappingProxyType({"scatter_ratio": fit.scatter_ratio})))
    return found


def _beyond(best_mps: float, slowest_mps: float, fastest_mps: float) -> Finding:
    quantities = {"best_eas_mps": best_mps, "slowest_eas_mps": slowest_mps, "fastest_eas_mps": fastest_mps}
    return Finding("best-speed-beyond-flown", Severity.CAUTION, MappingProxyType(quantities))
