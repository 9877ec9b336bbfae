"""When the wheels met the runway, weighed over every moment it may have been.

Before the touchdown height and speed are one curve: what the airplane keeps of its sink it pays in speed
(V V'/g + h' = -V D/W, the energy equation), and the curve ends at the runway with a little sink. After it the height
stands still, which shows how wrong the heights are here, and the roll slows as it likes. Each moment of a fine grid is
given the probability of the fixes seen backwards from the roll (Kalman filter); that is weighed by how likely an
airplane is to touch at the airspeed it had then. Neither heights nor speed nor slowing would tell it alone: a float is
a few feet high, a fast landing is flown on at any speed, and rolling without brakes slows as floating does.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

GRAVITY_MPS2 = 9.80665
STEP_S = 0.1
# sink and upward acceleration just before the wheels touch: firm and soft landings; ours
SINK_MPS, SINK_SD_MPS = 0.5, 0.7
ACCELERATION_SD_MPS2 = 1.5
# a round-out is a harder movement than anything else on the way down; ours
JERK_M2PS5 = 1.5
# drag in parts of the weight while floating: from clean to full flap, less near the ground; and how it changes; ours
DRAG_FACTOR, DRAG_SD_FACTOR, DRAG_WALK_PER_S = 0.14, 0.05, 2e-4
# induced drag in parts of the weight: pulling n g costs twice (n - 1) of it; ours
INDUCED_FACTOR = 0.05
# slowing on the wheels in parts of g: from rolling free to full brakes, and how a foot changes it; ours
ROLL_FACTOR, ROLL_SD_FACTOR, ROLL_WALK_PER_S = 0.18, 0.10, 3e-3
# gusts along the runway, as a white acceleration; ours
GUST_M2PS3 = 0.15
# the error of heights just after the anchor, before the roll tells it, and the least it wanders
OFFSET_SD_M, LEAST_WANDER_M2PS = 3.0, 0.01
# what the model leaves out (a nervous hand, a bounce, a level float) makes the filter too sure: its log likelihood
# counts for this part only; ours, so that stated bands hold for floats and for landings flown on
TRUSTED_FRACTION = 0.5
# share of landings flown on too fast, up to this part over the touchdown speed; ours
FAST_FRACTION, FASTEST_FACTOR = 0.2, 1.6
# order of the filter's state: place and speed along the runway, height, climb, its rate, error of heights, drag
_X, _U, _H, _V, _A, _B, _D = range(7)
_GAUSS = ((0.5 - math.sqrt(0.15), 5.0 / 18.0), (0.5, 8.0 / 18.0), (0.5 + math.sqrt(0.15), 5.0 / 18.0))


@dataclass(frozen=True, slots=True)
class LandingFixes:
    """Fixes (n,) about a landing, ascending in time, in the runway frame; NaN where not recorded.

    `x_scatter_m`, `height_scatter_m` and `speed_sd_mps` are the white scatter of one fix; `wander_m2ps` is how fast the
    variance of the slow error of heights grows.
    """

    time_s: Array
    x_m: Array
    height_m: Array
    speed_mps: Array
    x_scatter_m: float
    height_scatter_m: float
    speed_sd_mps: float
    wander_m2ps: float


@dataclass(frozen=True, slots=True)
class Moments:
    """Moments (m,) the wheels may have met the runway and their probabilities (m,), which add up to 1."""

    time_s: Array
    probability_fraction: Array

    @property
    def mean_s(self) -> float:
        """Expected moment."""
        return float(self.probability_fraction @ self.time_s)

    @property
    def sd_s(self) -> float:
        """Standard deviation."""
        return math.sqrt(float(self.probability_fraction @ (self.time_s - self.mean_s) ** 2) + STEP_S**2 / 12.0)


def moments(time_s: Array, log_likelihood_factor: Array) -> Moments:
    """Moments (m,) from sums of log likelihoods (m,)."""
    weight = np.exp(log_likelihood_factor - log_likelihood_factor.max())
    return Moments(time_s, weight / weight.sum())


def fixes_log_likelihood(moment_s: Array, fixes: LandingFixes, speed_mps: float) -> Array:
    """Log likelihood (m,) of fixes for a touchdown at each of the moments (m,); `speed_mps` is about the airspeed."""
    count = len(moment_s)
    state, covariance = _rolling(count, fixes)
    total, last_s = np.zeros(count), float(fixes.time_s[-1])
    for k in range(len(fixes.time_s) - 1, -1, -1):
        time = float(fixes.time_s[k])
        rolled = np.clip(last_s - np.maximum(moment_s, time), 0.0, None)
        state, covariance = _earlier(state, covariance, rolled, _roll_rates())
        flown = np.clip(np.minimum(moment_s, last_s) - time, 0.0, None)
        begins = (flown > 0.0) & ((moment_s < last_s) | (k == len(fixes.time_s) - 1))
        _take_off(state, covariance, begins)
        state, covariance = _earlier(state, covariance, flown, _air_rates(speed_mps))
        covariance[:, _B, _B] += max(fixes.wander_m2ps, LEAST_WANDER_M2PS) * (last_s - time)
        for columns, value, sd in (
            ((_X,), fixes.x_m[k], fixes.x_scatter_m),
            ((_U,), fixes.speed_mps[k], fixes.speed_sd_mps),
            ((_H, _B), fixes.height_m[k], fixes.height_scatter_m),
        ):
            if math.isfinite(value):
                state, covariance = _seen(state, covariance, columns, float(value), sd, total)
        last_s = time
    return TRUSTED_FRACTION * total


def speed_log_likelihood(tas_mps: Array, expected_mps: float, sd_mps: float) -> Array:
    """Log probability (m,) of touching at true airspeeds (m,): near the touchdown speed, or flown on faster."""
    near = np.exp(-0.5 * ((tas_mps - expected_mps) / sd_mps) ** 2) / (sd_mps * math.sqrt(2.0 * math.pi))
    above = 0.5 * (1.0 + np.tanh((tas_mps - expected_mps) / sd_mps))
    below = 0.5 * (1.0 - np.tanh((tas_mps - FASTEST_FACTOR * expected_mps) / sd_mps))
    fast = above * below / ((FASTEST_FACTOR - 1.0) * expected_mps)
    return np.asarray(np.log((1.0 - FAST_FRACTION) * near + FAST_FRACTION * fast + 1e-9))


def _rolling(count: int, fixes: LandingFixes) -> tuple[Array, Array]:
    """State of an airplane on its wheels at the last fix."""
    state, covariance = np.zeros((count, 7)), np.zeros((count, 7, 7))
    state[:, _X], state[:, _D] = fixes.x_m[-1], ROLL_FACTOR
    for place, sd in ((_X, 50.0), (_U, 50.0), (_B, OFFSET_SD_M), (_D, ROLL_SD_FACTOR)):
        covariance[:, place, place] = sd**2
    return state, covariance


def _take_off(state: Array, covariance: Array, begins: NDArray[np.bool_]) -> None:
    """Seen backwards the airplane leaves the runway: its height begins, its slowing becomes drag."""
    for place, mean, sd in (
        (_H, 0.0, 0.0),
        (_V, -SINK_MPS, SINK_SD_MPS),
        (_A, 0.0, ACCELERATION_SD_MPS2),
        (_D, DRAG_FACTOR, DRAG_SD_FACTOR),
    ):
        state[begins, place] = mean
        covariance[begins, place, :] = 0.0
        covariance[begins, :, place] = 0.0
        covariance[begins, place, place] = sd**2


def _roll_rates() -> tuple[Array, Array]:
    """Rates of change of the state on the wheels (7, 7) and the white disturbances (7,)."""
    rates, noise = np.zeros((7, 7)), np.zeros(7)
    rates[_X, _U], rates[_U, _D] = 1.0, -GRAVITY_MPS2
    noise[_U], noise[_D] = GUST_M2PS3, ROLL_WALK_PER_S
    return rates, noise


def _air_rates(speed_mps: float) -> tuple[Array, Array]:
    """The same in the air: u' = -g (D/W + v / V), the energy equation."""
    rates, noise = np.zeros((7, 7)), np.zeros(7)
    rates[_X, _U], rates[_U, _D], rates[_U, _V] = 1.0, -GRAVITY_MPS2, -GRAVITY_MPS2 / speed_mps
    rates[_U, _A] = -2.0 * INDUCED_FACTOR
    rates[_H, _V] = rates[_V, _A] = 1.0
    noise[_U], noise[_A], noise[_D] = GUST_M2PS3, JERK_M2PS5, DRAG_WALK_PER_S
    return rates, noise


def _earlier(
    state: Array, covariance: Array, seconds: Array, rates_and_noise: tuple[Array, Array]
) -> tuple[Array, Array]:
    """The states (m, 7) and covariances (m, 7, 7) so many seconds (m,) earlier."""
    if not seconds.any():
        return state, covariance
    rates, noise = rates_and_noise
    step = _transition(rates, -seconds)
    moved = step @ covariance @ step.transpose(0, 2, 1)
    for share, weight in _GAUSS:
        part = _transition(rates, -share * seconds)
        moved += (weight * seconds)[:, None, None] * ((part * noise) @ part.transpose(0, 2, 1))
    return np.einsum("mij,mj->mi", step, state), moved


def _transition(rates: Array, seconds: Array) -> Array:
    """exp(rates t): rates are nilpotent of the fourth order, so that the cubic is exact."""
    t = seconds[:, None, None]
    squared = rates @ rates
    return np.asarray(np.eye(7) + t * rates + t**2 / 2.0 * squared + t**3 / 6.0 * (squared @ rates))


def _seen(
    state: Array, covariance: Array, columns: tuple[int, ...], value: float, sd: float, total: Array
) -> tuple[Array, Array]:
    """The state after a measurement of the sum of some of its parts; its log likelihood is added to `total`."""
    seen = list(columns)
    innovation = value - state[:, seen].sum(axis=1)
    reach = covariance[:, :, seen].sum(axis=2)
    variance = reach[:, seen].sum(axis=1) + sd**2
    total -= 0.5 * (np.log(variance) + innovation**2 / variance)
    gain = reach / variance[:, None]
    return state + gain * innovation[:, None], covariance - gain[:, :, None] * reach[:, None, :]
