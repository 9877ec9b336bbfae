"""Learning the glide from lessons: a Bayesian regression from the handbook and every stretch that teaches.

The handbook is the prior, believed to so much. Each stretch says drag less thrust at its speed, in parts of weight:

    y = A q (1 + a_c) + b_c B / q - (s p + o) / V - u_f / V + scatter,    q = (V_e / V_0)^2

with A and B of the clean, dead airplane (E = 1 / (2 sqrt(A B)), V* = V_0 (B / A)^(1/4)), a_c the extra drag of the
configuration, p the modelled thrust power to weight, s and o what the engine model is off by in size and at nought,
and u_f the air of that flight, rising positive. All of these are unknown, each with a prior, so a powered stretch
teaches the dead airplane only as far as its thrust is known, and one flight in rising air only as far as others agree.
Gauss and Newton's method on the logarithms of A and B, stretches that do not fit losing weight (Huber); the covariance
is the inverse of the curvature, widened where the stretches scatter more than expected.
Source: textbook Gaussian regression with a conjugate prior (from memory); the priors are ours.
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane.lesson_glides import BarredStretch, TeachingStretch
from volplane.domain.glide.polar import ParabolaPolar

Array = NDArray[np.float64]

YEAR_S = 365.25 * 86400.0
_HUBER = 2.0
_ROUNDS = 60
_PRIOR_COUNTS_AS = 10.0
# an extra drag is doubted as if it were at least this
_LEAST_DRAG_FACTOR = 0.2


@dataclass(frozen=True, slots=True)
class LearningPrior:
    """What is believed before any lesson; every figure is ours and may be changed.

    `ratio_sd_fraction` and `speed_sd_fraction`: how far the handbook's ratio and best speed may be off.
    `estimated_drag_sd_fraction` and `measured_drag_sd_fraction`: the extra drag of a configuration, in parts of itself.
    `power_sd_fraction` and `power_offset_sd_mps`: the engine model, in size and at nought. `air_sd_mps`: the mean air
    of a flight. `yearly_growth_sd_fraction`: how much an airframe's drag may change in a year.
    """

    ratio_sd_fraction: float = 0.08
    speed_sd_fraction: float = 0.05
    estimated_drag_sd_fraction: float = 0.4
    measured_drag_sd_fraction: float = 0.1
    power_sd_fraction: float = 0.25
    power_offset_sd_mps: float = 0.5
    air_sd_mps: float = 0.3
    yearly_growth_sd_fraction: float = 0.05


PRIOR = LearningPrior()


@dataclass(frozen=True, slots=True)
class FlightAir:
    """The mean air of one flight, rising positive, as far as its stretches and the others' tell."""

    flight: str
    rising_mps: float
    rising_sd_mps: float


@dataclass(frozen=True, slots=True)
class LearnedDrag:
    """The extra drag of a configuration after the lessons, in parts of the clean parasite drag."""

    configuration: str
    extra_drag_factor: float
    extra_drag_factor_sd: float


@dataclass(frozen=True, slots=True)
class JudgedStretch:
    """A stretch that teaches, with what it says more than the result and how much it counts."""

    stretch: TeachingStretch
    misfit_factor: float
    weight_fraction: float


@dataclass(frozen=True, slots=True)
class LearnedGlide:
    """The clean dead-engine glide after the lessons: a proposal, which changes nothing until somebody adopts it.

    Best speed and the sink there at sea level are at the reference weight. `taught_fraction` is the part of the
    handbook's doubt about the ratio that the lessons took away: 0 is nothing, 1 is everything. `flights_count` and
    `stretches_count` tell how many are behind it.
    """

    reference_weight_kg: float
    best_eas_mps: float
    best_eas_sd_mps: float
    best_ratio: float
    best_ratio_sd: float
    sink_mps: float
    sink_sd_mps: float
    taught_fraction: float
    flights_count: int
    stretches_count: int
    configurations: tuple[LearnedDrag, ...]
    air: tuple[FlightAir, ...]
    stretches: tuple[JudgedStretch, ...]

    @property
    def polar(self) -> ParabolaPolar:
        """The glide as a model, should it be adopted."""
        return ParabolaPolar(self.reference_weight_kg, self.best_eas_mps, self.best_ratio)


@dataclass(frozen=True, slots=True)
class LearnedThen:
    """What was known after the flights up to one moment."""

    flown_unix_s: float
    glide: LearnedGlide


@dataclass(frozen=True, slots=True)
class DragDrift:
    """How the airframe's drag grows over time: parts of itself in a year, positive is worse.

    `is_seen` is whether it differs from nought by two standard deviations.
    """

    yearly_growth_fraction: float
    yearly_growth_fraction_sd: float

    @property
    def is_seen(self) -> bool:
        """Whether it differs from nought by two standard deviations."""
        return abs(self.yearly_growth_fraction) > 2.0 * self.yearly_growth_fraction_sd


def learn(handbook: ParabolaPolar, stretches: Sequence[TeachingStretch], prior: LearningPrior = PRIOR) -> LearnedGlide:
    """The glide that handbook and stretches give together; without stretches it is the handbook's, with its doubt."""
    regression = _Regression(handbook, stretches, prior, has_drift=False)
    return regression.learned()


def learned_over_time(
    handbook: ParabolaPolar, stretches: Sequence[TeachingStretch], prior: LearningPrior = PRIOR
) -> tuple[LearnedThen, ...]:
    """What was known after each flight, in order of time."""
    starts: dict[str, float] = {}
    for each in stretches:
        at = each.stretch.flown_unix_s
        starts[each.stretch.flight] = min(at, starts.get(each.stretch.flight, math.inf))
    order = sorted(starts, key=lambda flight: starts[flight])
    found = []
    for count, flight in enumerate(order, start=1):
        known = frozenset(order[:count])
        so_far = [each for each in stretches if each.stretch.flight in known]
        found.append(LearnedThen(starts[flight], learn(handbook, so_far, prior)))
    return tuple(found)


def drag_drift(
    handbook: ParabolaPolar,
    stretches: Sequence[TeachingStretch],
    prior: LearningPrior = PRIOR,
    least_span_s: float = YEAR_S / 12.0,
) -> DragDrift | None:
    """Growth of the drag over the time the flights span; None under three flights or under a month."""
    times = [each.stretch.flown_unix_s for each in stretches]
    if len({each.stretch.flight for each in stretches}) < 3 or max(times) - min(times) < least_span_s:
        return None
    return _Regression(handbook, stretches, prior, has_drift=True).drift()


def taught_and_barred(
    judged: Sequence[TeachingStretch | BarredStretch],
) -> tuple[tuple[TeachingStretch, ...], tuple[BarredStretch, ...]]:
    """Stretches that teach, and those that do not with their reasons."""
    return (
        tuple(each for each in judged if isinstance(each, TeachingStretch)),
        tuple(each for each in judged if isinstance(each, BarredStretch)),
    )


class _Regression:
    """Unknowns in a row: log A, log B, extra drags, engine size and nought (with power), air of flights, growth."""

    def __init__(
        self, handbook: ParabolaPolar, stretches: Sequence[TeachingStretch], prior: LearningPrior, *, has_drift: bool
    ) -> None:
        self.handbook, self.stretches, self.prior, self.has_drift = handbook, stretches, prior, has_drift
        changed = {each.configuration.name: each.configuration for each in stretches}
        self.configurations = [each for each in changed.values() if each.extra_drag_factor != 0.0 or each.is_estimate]
        self.flights = list(dict.fromkeys(each.stretch.flight for each in stretches))
        has_power = any(each.has_power for each in stretches)
        self.at_drag = 2
        self.at_power = self.at_drag + len(self.configurations)
        self.at_air = self.at_power + (2 if has_power else 0)
        self.at_drift = self.at_air + len(self.flights)
        self._lay_out()
        self._believe()
        self._solve()

    def _lay_out(self) -> None:
        each = self.stretches
        self.q = np.array([(one.eas_mps / self.handbook.best_eas_mps) ** 2 for one in each])
        self.y = np.array([one.drag_less_thrust_factor for one in each])
        self.sd = np.array([one.drag_less_thrust_factor_sd for one in each])
        self.per_mps = np.array([1.0 / one.tas_mps for one in each])
        self.power = np.array([one.thrust_power_per_weight_mps for one in each])
        self.has_power = np.array([one.has_power for one in each], dtype=np.float64)
        self.induced = np.array([one.configuration.induced_factor for one in each])
        names = [configuration.name for configuration in self.configurations]
        # -1 is a configuration without extra drag
        self.drag_of = np.array(
            [names.index(one.configuration.name) if one.configuration.name in names else -1 for one in each], dtype=int
        )
        self.flight_of = np.array([self.flights.index(one.stretch.flight) for one in each], dtype=int)
        times = np.array([one.stretch.flown_unix_s for one in each])
        self.years = (times - times.mean()) / YEAR_S if len(times) else times

    def _believe(self) -> None:
        """Mean and inverse covariance of what is believed beforehand."""
        prior, count = self.prior, self.at_drift + (1 if self.has_drift else 0)
        self.mean, variance = np.zeros(count), np.zeros((count, count))
        self.mean[:2] = -math.log(2.0 * self.handbook.best_ratio)
        # log A = -log 2E - 2 log v and log B = -log 2E + 2 log v, v the best speed in parts of the handbook's
        of_ratio, of_speed = prior.ratio_sd_fraction**2, 4.0 * prior.speed_sd_fraction**2
        variance[:2, :2] = [[of_ratio + of_speed, of_ratio - of_speed], [of_ratio - of_speed, of_ratio + of_speed]]
        for at, configuration in enumerate(self.configurations, start=self.at_drag):
            share = prior.estimated_drag_sd_fraction if configuration.is_estimate else prior.measured_drag_sd_fraction
            self.mean[at] = configuration.extra_drag_factor
            variance[at, at] = (share * max(abs(configuration.extra_drag_factor), _LEAST_DRAG_FACTOR)) ** 2
        if self.at_air > self.at_power:
            self.mean[self.at_power] = 1.0
            variance[self.at_power, self.at_power] = prior.power_sd_fraction**2
            variance[self.at_power + 1, self.at_power + 1] = prior.power_offset_sd_mps**2
        for at in range(self.at_air, self.at_drift):
            variance[at, at] = prior.air_sd_mps**2
        if self.has_drift:
            variance[-1, -1] = prior.yearly_growth_sd_fraction**2
        self.prior_covariance = variance
        self.belief = np.linalg.inv(variance)

    def _solve(self) -> None:
        guess, weights = self.mean.copy(), np.ones(len(self.y))
        for _ in range(_ROUNDS):
            said, slopes = self._said(guess)
            pull = slopes * (weights / self.sd**2)[:, None]
            curvature = slopes.T @ pull + self.belief
            step = np.linalg.solve(curvature, pull.T @ (self.y - said) - self.belief @ (guess - self.mean))
            # a step of the logarithms by more than a third would leave the straight part
            guess = guess + step * min(1.0, 0.3 / max(float(np.abs(step[:2]).max()), 1e-12))
            size = np.abs(self.y - self._said(guess)[0]) / self.sd
            before, weights = weights, np.where(size <= _HUBER, 1.0, _HUBER / np.maximum(size, 1e-12))
            if float(np.abs(step).max()) < 1e-10 and bool(np.all(np.abs(weights - before) < 1e-8)):
                break
        said, slopes = self._said(guess)
        self.guess, self.weights, self.misfit = guess, weights, self.y - said
        strain = float(weights @ np.square(self.misfit / self.sd))
        widened = max(1.0, (_PRIOR_COUNTS_AS + strain) / (_PRIOR_COUNTS_AS + len(self.y)))
        pull = slopes * (weights / (widened * self.sd**2))[:, None]
        self.covariance = np.linalg.inv(slopes.T @ pull + self.belief)

    def _said(self, guess: Array) -> tuple[Array, Array]:
        """What the unknowns say each stretch should show (n,), and the slopes (n, unknowns)."""
        growth = np.exp(guess[-1] * self.years) if self.has_drift else np.ones(len(self.q))
        parasite, induced = math.exp(guess[0]) * self.q * growth, math.exp(guess[1]) * self.induced / self.q * growth
        slopes = np.zeros((len(self.q), len(guess)))
        extra = np.zeros(len(self.q))
        rows = np.flatnonzero(self.drag_of >= 0)
        extra[rows] = guess[self.at_drag + self.drag_of[rows]]
        slopes[:, 0], slopes[:, 1] = parasite * (1.0 + extra), induced
        slopes[rows, self.at_drag + self.drag_of[rows]] = parasite[rows]
        said = slopes[:, 0] + induced
        if self.has_drift:
            slopes[:, -1] = said * self.years
        if self.at_air > self.at_power:
            slopes[:, self.at_power] = -self.power * self.per_mps
            slopes[:, self.at_power + 1] = -self.has_power * self.per_mps
            said = said + slopes[:, self.at_power : self.at_air] @ guess[self.at_power : self.at_air]
        every = np.arange(len(self.q))
        slopes[every, self.at_air + self.flight_of] = -self.per_mps
        return said - self.per_mps * guess[self.at_air + self.flight_of], slopes

    def learned(self) -> LearnedGlide:
        """The result, with standard deviations carried over by the slopes of the logarithms."""
        log_a, log_b = (float(value) for value in self.guess[:2])
        ratio = 0.5 * math.exp(-0.5 * (log_a + log_b))
        speed = self.handbook.best_eas_mps * math.exp(0.25 * (log_b - log_a))
        of_ratio, of_speed = np.array([-0.5, -0.5]), np.array([-0.25, 0.25])
        ratio_sd, speed_sd, sink_sd = (
            math.sqrt(float(slope @ self.covariance[:2, :2] @ slope))
            for slope in (of_ratio, of_speed, of_speed - of_ratio)
        )
        sds = np.sqrt(np.diag(self.covariance))
        return LearnedGlide(
            reference_weight_kg=self.handbook.reference_weight_kg,
            best_eas_mps=speed,
            best_eas_sd_mps=speed * speed_sd,
            best_ratio=ratio,
            best_ratio_sd=ratio * ratio_sd,
            sink_mps=speed * math.sin(math.atan(1.0 / ratio)),
            sink_sd_mps=speed / ratio * sink_sd,
            taught_fraction=1.0 - (ratio_sd / self.prior.ratio_sd_fraction) ** 2,
            flights_count=len(self.flights),
            stretches_count=len(self.stretches),
            configurations=tuple(
                LearnedDrag(each.name, float(self.guess[at]), float(sds[at]))
                for at, each in enumerate(self.configurations, start=self.at_drag)
            ),
            air=tuple(
                FlightAir(flight, float(self.guess[at]), float(sds[at]))
                for at, flight in enumerate(self.flights, start=self.at_air)
            ),
            stretches=tuple(
                JudgedStretch(each, float(misfit), float(weight))
                for each, misfit, weight in zip(self.stretches, self.misfit, self.weights, strict=True)
            ),
        )

    def drift(self) -> DragDrift:
        """The growth, which is the last unknown."""
        return DragDrift(float(self.guess[-1]), math.sqrt(float(self.covariance[-1, -1])))
