"""The glide of the airplane from reduced partial glides: best speed, ratio and least sink, each with its uncertainty.

In the energy form the drag is linear in its two unknowns, f(V) = a V^2 + b / V^2, with a for each configuration and b
shared by all. With enough speeds a smooth departure from that parabola is allowed in the plane of drag and lift
coefficient, where a wing's polar is smooth; it is kept only when the glides speak for it clearly.

Everything is one Gaussian regression (best linear unbiased prediction): what is free is estimated, what has a prior is
drawn to it: the wind's change with height along the noses of glides whose heading is known, and induced drag when the
speeds cannot tell it from parasite drag. Each glide's own air is its scatter, expected beforehand and corrected by what
the glides show. Glides far from the curve are told and left out. Source of the method: Robinson, That BLUP is a good
thing, Statistical Science 6, 1991 (from memory); Rasmussen and Williams, Gaussian Processes for Machine Learning, 2006,
chapter 2 (from memory).
"""

from __future__ import annotations

import math
from collections.abc import Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane.partial_glides import CLEAN_NAME, ReducedGlide
from volplane.domain.airplane.reduction import GRADIENT_SD_PER_S

Array = NDArray[np.float64]
Mask = NDArray[np.bool_]

# the scatter expected counts like so many glides against the scatter found
PRIOR_WORTH = 2.0
# further from the curve than this many standard deviations is another air, or another configuration
OUTLIER_SD = 3.5
# a glide further off than this many pulls no harder while outliers are looked for, and the part of a normal variance
# that lies within
_HUBER, _HUBER_MEAN = 1.5, 0.778
_ROUNDS = 15
# no more than this part of the glides is left out as outliers
MOST_OUTLIERS_FRACTION = 0.25
# a departure from the parabola: its size in parts of the drag, its reach in parts of the lift coefficients flown
_DEPARTURES = (0.01, 0.02, 0.04, 0.08, 0.16)
_REACH = 0.5
_SUPPLE = 0.08
PARABOLA_DOUBT = 0.02
# the logarithm of how much likelier the curve must be than the parabola
CURVE_EVIDENCE = 2.5
_NORMAL_975 = 1.959964


@dataclass(frozen=True, slots=True)
class HandbookPrior:
    """The handbook's parabola at the reference weight, and how far its induced and parasite drag are trusted.

    An infinite `parasite_sd_fraction` says nothing of parasite drag.
    """

    best_eas_mps: float
    best_ratio: float
    induced_sd_fraction: float = 0.15
    parasite_sd_fraction: float = math.inf


@dataclass(frozen=True, slots=True)
class PolarFit:
    """A fitted polar: mean and covariance of f at any speeds, for each configuration that was flown.

    `is_used` and `residual_factor` (n,) are of the glides in the order given: how much more drag to weight each showed
    than the fit says. `scatter_ratio` is the scatter found over the one expected. `is_curve` tells a smooth curve from
    the parabola. Covariances are such that 1.96 standard deviations hold 95 %, however few the glides.
    """

    configurations: tuple[str, ...]
    is_curve: bool
    is_used: Mask
    residual_factor: Array
    scatter_ratio: float
    middle_eas_mps: float
    _state: _State = field(repr=False)
    _doubt: _State = field(repr=False)

    def drag_to_weight(self, eas_mps: Array, configuration: str = CLEAN_NAME) -> tuple[Array, Array]:
        """Mean (m,) and covariance (m, m) of drag to weight at one g at speeds (m,)."""
        u = (np.asarray(eas_mps, dtype=np.float64) / self.middle_eas_mps) ** 2
        which = np.full(len(u), self.configurations.index(configuration))
        rows = np.zeros((len(u), len(self._state.theta)))
        rows[:, : len(self.configurations) + 1] = _basis(u, which, len(self.configurations))
        state = self._state
        mean = rows @ state.theta + _departure(u, state.u, state.departure, state.reach) @ state.weights
        state = self._doubt
        across = _departure(u, state.u, state.departure, state.reach)
        lifted = rows - across @ state.solved_rows
        covariance = lifted @ state.covariance @ lifted.T
        covariance += _departure(u, u, state.departure, state.reach) - across @ state.inverse @ across.T
        return mean, covariance * state.widening**2

    def parasite_ratio(self, configuration: str) -> tuple[float, float]:
        """Parasite drag of a configuration in parts of the clean one, and its standard deviation."""
        at = self.configurations.index(configuration)
        clean, other = self._state.theta[0], self._state.theta[at]
        slope = np.zeros(len(self._state.theta))
        slope[at], slope[0] = 1.0 / clean, slope[0] - other / clean**2
        return float(other / clean), float(np.sqrt(slope @ self._state.covariance @ slope)) * self._state.widening


def fit_polar(
    glides: Sequence[ReducedGlide], handbook: HandbookPrior | None = None, *, may_curve: bool = False
) -> PolarFit:
    """The polar through glides (n,), at least two more than there are unknowns, some of them clean."""
    problem = _Problem.of(glides, handbook)
    used = np.ones(len(glides), dtype=bool)
    # where a curve may come out, the slow glides of a bent polar must not pass for outliers of a parabola
    supple = _SUPPLE if may_curve else 0.0
    while (~used).sum() + 1 <= MOST_OUTLIERS_FRACTION * len(glides):
        off = np.where(used, np.abs(problem.robust(used, supple).standardised), 0.0)
        worst = int(np.argmax(off))
        if off[worst] <= OUTLIER_SD:
            break
        used[worst] = False
    plain = chosen = problem.solved(used, 0.0)
    for size in _DEPARTURES if may_curve else ():
        bent = problem.solved(used, size)
        if bent.evidence > max(plain.evidence + CURVE_EVIDENCE, chosen.evidence):
            chosen = bent
    # no airplane is quite a parabola: what it may be off is in the uncertainty
    doubt = chosen if chosen.departure > 0.0 else problem.solved(used, PARABOLA_DOUBT)
    predicted = PolarFit(
        problem.names, chosen.departure > 0.0, used, problem.f, chosen.scale, problem.middle_mps, chosen, doubt
    )
    residual = np.array(
        [
            f - predicted.drag_to_weight(np.array([each.eas_mps]), each.glide.configuration)[0][0] - shift
            for each, f, shift in zip(glides, problem.f, problem.gradient_rows @ chosen.theta[-2:], strict=True)
        ]
    )
    return replace(predicted, residual_factor=residual)


@dataclass(frozen=True, slots=True)
class _State:
    """The regression solved: unknowns (each configuration's a, b, wind gradient east and north), for prediction."""

    theta: Array
    covariance: Array
    inverse: Array
    solved_rows: Array
    weights: Array
    u: Array
    departure: float
    reach: float
    scale: float
    widening: float
    standardised: Array
    evidence: float


@dataclass(frozen=True, slots=True)
class _Problem:
    """The glides as rows of a regression; u is the square of the speed in parts of a middle one."""

    names: tuple[str, ...]
    u: Array
    f: Array
    sd: Array
    rows: Array
    gradient_rows: Array
    prior_mean: Array
    prior_precision: Array
    middle_mps: float

    @classmethod
    def of(cls, glides: Sequence[ReducedGlide], handbook: HandbookPrior | None) -> _Problem:
        """Rows, priors and expected scatter."""
        names = (CLEAN_NAME, *sorted({each.glide.configuration for each in glides} - {CLEAN_NAME}))
        speed = np.array([each.eas_mps for each in glides])
        middle = float(np.exp(np.mean(np.log(speed))))
        u = (speed / middle) ** 2
        which = np.array([names.index(each.glide.configuration) for each in glides])
        known = [(each.gradient_s, each.glide.heading_true_rad) for each in glides]
        gradient = np.array(
            [(0.0, 0.0) if to is None else (lever * math.sin(to), lever * math.cos(to)) for lever, to in known]
        )
        rows = np.hstack([_basis(u, which, len(names)), gradient])
        mean, precision = np.zeros(rows.shape[1]), np.zeros(rows.shape[1])
        precision[-2:] = GRADIENT_SD_PER_S**-2
        if handbook is not None:
            v = (handbook.best_eas_mps / middle) ** 2
            mean[-3], mean[0] = v / (2.0 * handbook.best_ratio), 1.0 / (2.0 * handbook.best_ratio * v)
            precision[-3] = (handbook.induced_sd_fraction * mean[-3]) ** -2
            precision[0] = (handbook.parasite_sd_fraction * mean[0]) ** -2
        factor = np.array([each.drag_to_weight_factor for each in glides])
        sd = np.array([each.drag_to_weight_factor_sd for each in glides])
        return cls(names, u, factor, sd, rows, gradient, mean, precision, middle)

    def robust(self, used: Mask, departure: float) -> _State:
        """The fit with glides far off pulling less, for finding outliers."""
        return self._iterated(used, departure, is_robust=True)

    def solved(self, used: Mask, departure: float) -> _State:
        """The fit with every glide used counting by its expected scatter."""
        return self._iterated(used, departure, is_robust=False)

    def _iterated(self, used: Mask, departure: float, *, is_robust: bool) -> _State:
        scale, inflation = 1.0, np.ones(int(used.sum()))
        for _ in range(_ROUNDS):
            state, freedom, normal = self._solve(used, departure, scale, inflation)
            squares = np.minimum(normal**2, _HUBER**2) / _HUBER_MEAN if is_robust else normal**2
            found = math.sqrt((PRIOR_WORTH + float(np.sum(squares)) * scale**2) / (PRIOR_WORTH + freedom))
            change, scale = abs(found / scale - 1.0), found
            if is_robust:
                inflation = np.maximum(1.0, np.abs(normal) / _HUBER)
            if change < 1e-4:
                break
        off = np.zeros(len(self.f))
        off[used] = state.standardised
        return replace(state, standardised=off, widening=student_975(PRIOR_WORTH + freedom) / _NORMAL_975)

    def _solve(self, used: Mask, departure: float, scale: float, inflation: Array) -> tuple[_State, float, Array]:
        """One solution; also how many glides the scatter rests on, and residuals in parts of the scatter."""
        u, y, rows = self.u[used], self.f[used], self.rows[used]
        lift = 1.0 / self.u
        reach = _REACH * float(lift.max() - lift.min())
        size = departure * float(np.median(self.f / self.u))
        noise = (scale * self.sd[used]) ** 2 * inflation
        bent = _departure(u, u, size, reach)
        spread = bent + np.diag(noise)
        inverse = np.asarray(np.linalg.inv(spread), dtype=np.float64)
        precision = np.diag(self.prior_precision)
        information = rows.T @ inverse @ rows + precision
        covariance = np.asarray(np.linalg.inv(information), dtype=np.float64)
        theta = covariance @ (rows.T @ inverse @ y + precision @ self.prior_mean)
        left = y - rows @ theta
        weights = inverse @ left
        through = rows @ covariance @ rows.T @ inverse
        hat = through + bent @ inverse @ (np.eye(len(y)) - through)
        residual = noise * weights
        own = np.clip(1.0 - np.diag(hat), 0.05, 1.0)
        normal = residual / (scale * self.sd[used])
        misfit = float(left @ weights + self.prior_precision @ (theta - self.prior_mean) ** 2)
        evidence = -0.5 * (np.linalg.slogdet(spread)[1] + np.linalg.slogdet(information)[1] + misfit)
        evidence -= PRIOR_WORTH * math.log(scale) + 0.5 * PRIOR_WORTH / scale**2
        state = _State(
            theta, covariance, inverse, inverse @ rows, weights, u, size, reach, scale, 1.0, normal / np.sqrt(own),
            float(evidence),
        )  # fmt: skip
        return state, float(len(y) - np.trace(hat)), normal


def student_975(freedom_ratio: float) -> float:
    """Quantile 0.975 of Student's distribution, the freedom not whole; within 1 % from 3 on.

    Source: Abramowitz and Stegun, Handbook of Mathematical Functions, 1964, equation 26.7.5.
    """
    z, n = _NORMAL_975, max(freedom_ratio, 2.0)
    return (
        z
        + (z**3 + z) / (4.0 * n)
        + (5.0 * z**5 + 16.0 * z**3 + 3.0 * z) / (96.0 * n**2)
        + (3.0 * z**7 + 19.0 * z**5 + 17.0 * z**3 - 15.0 * z) / (384.0 * n**3)
    )


def _basis(u: Array, which: NDArray[np.int64], count: int) -> Array:
    """Columns a of each configuration and b: f = a u + b / u."""
    rows = np.zeros((len(u), count + 1))
    rows[np.arange(len(u)), which] = u
    rows[:, -1] = 1.0 / u
    return rows


def _departure(u: Array, other: Array, size: float, reach: float) -> Array:
    """Covariance of the departure of f at two sets of speeds: smooth in lift coefficient, a part of the drag."""
    if size == 0.0:
        return np.zeros((len(u), len(other)))
    apart = 1.0 / u[:, None] - 1.0 / other[None, :]
    return np.asarray(size**2 * u[:, None] * other[None, :] * np.exp(-0.5 * (apart / reach) ** 2))
