"""Smoothing of one axis of a flight: position, velocity and acceleration from scattered fixes, with their variances.

Acceleration changes by white noise (jerk), positions and velocities are measured now and then; forward Kalman filter,
backward pass of Rauch, Tung and Striebel (Maximum likelihood estimates of linear dynamic systems, AIAA Journal 1965).
Import inside functions only: importing a kernel starts the compiler.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit

Array = NDArray[np.float64]

# a measurement further off than this many standard deviations is believed less, in proportion
_BELIEVED_SD = 3.0


@njit
def _predict(
    state: Array, covariance: Array, step: float, jerk: float, new_state: Array, new_covariance: Array
) -> None:
    """State and covariance after a time step; `jerk` is the spectral density of the white jerk."""
    half = 0.5 * step * step
    new_state[0] = state[0] + step * state[1] + half * state[2]
    new_state[1] = state[1] + step * state[2]
    new_state[2] = state[2]
    p00, p01, p02 = covariance[0, 0], covariance[0, 1], covariance[0, 2]
    p11, p12, p22 = covariance[1, 1], covariance[1, 2], covariance[2, 2]
    a0, a1, a2 = p00 + step * p01 + half * p02, p01 + step * p11 + half * p12, p02 + step * p12 + half * p22
    b1, b2 = p11 + step * p12, p12 + step * p22
    new_covariance[0, 0] = a0 + step * a1 + half * a2 + jerk * step**5 / 20.0
    new_covariance[0, 1] = a1 + step * a2 + jerk * step**4 / 8.0
    new_covariance[0, 2] = a2 + jerk * step**3 / 6.0
    new_covariance[1, 1] = b1 + step * b2 + jerk * step**3 / 3.0
    new_covariance[1, 2] = b2 + jerk * step**2 / 2.0
    new_covariance[2, 2] = p22 + jerk * step
    new_covariance[1, 0] = new_covariance[0, 1]
    new_covariance[2, 0] = new_covariance[0, 2]
    new_covariance[2, 1] = new_covariance[1, 2]


@njit
def _update(state: Array, covariance: Array, which: int, measured: float, sd: float) -> None:
    """Take in one measurement of position (0) or velocity (1); a far-off one is believed less."""
    off = measured - state[which]
    expected = np.sqrt(covariance[which, which] + sd * sd)
    doubt = max(1.0, abs(off) / (_BELIEVED_SD * expected))
    total = covariance[which, which] + (sd * doubt) ** 2
    gain = np.empty(3)
    row = np.empty(3)
    for i in range(3):
        gain[i] = covariance[i, which] / total
        row[i] = covariance[which, i]
    for i in range(3):
        state[i] += gain[i] * off
        for j in range(3):
            covariance[i, j] -= gain[i] * row[j]


@njit
def _inverse(matrix: Array, result: Array) -> None:
    """Inverse of a symmetric positive 3 by 3 matrix by cofactors, scaled to its diagonal for accuracy."""
    scale = np.empty(3)
    m = np.empty((3, 3))
    for i in range(3):
        scale[i] = np.sqrt(matrix[i, i])
    for i in range(3):
        for j in range(3):
            m[i, j] = matrix[i, j] / (scale[i] * scale[j])
    c00 = m[1, 1] * m[2, 2] - m[1, 2] * m[1, 2]
    c01 = m[0, 2] * m[1, 2] - m[0, 1] * m[2, 2]
    c02 = m[0, 1] * m[1, 2] - m[0, 2] * m[1, 1]
    determinant = m[0, 0] * c00 + m[0, 1] * c01 + m[0, 2] * c02
    result[0, 0], result[0, 1], result[0, 2] = c00, c01, c02
    result[1, 1] = m[0, 0] * m[2, 2] - m[0, 2] * m[0, 2]
    result[1, 2] = m[0, 1] * m[0, 2] - m[0, 0] * m[1, 2]
    result[2, 2] = m[0, 0] * m[1, 1] - m[0, 1] * m[0, 1]
    result[1, 0], result[2, 0], result[2, 1] = result[0, 1], result[0, 2], result[1, 2]
    for i in range(3):
        for j in range(3):
            result[i, j] /= determinant * scale[i] * scale[j]


@njit
def smooth_axis(
    time_s: Array,
    position_m: Array,
    velocity_mps: Array,
    position_sd_m: float,
    velocity_sd_mps: float,
    jerk_m2ps5: float,
) -> tuple[Array, Array]:
    """Smoothed states (n, 3) and covariances (n, 3, 3) at the times (n,); a measurement that is NaN is none.

    The first position must be measured.
    """
    n = time_s.shape[0]
    states, covariances = np.zeros((n, 3)), np.zeros((n, 3, 3))
    ahead_states, ahead_covariances = np.zeros((n, 3)), np.zeros((n, 3, 3))
    ahead_states[0, 0] = position_m[0]
    ahead_covariances[0, 0, 0], ahead_covariances[0, 1, 1], ahead_covariances[0, 2, 2] = 1e4, 1e4, 25.0
    for k in range(n):
        if k > 0:
            _predict(
                states[k - 1], covariances[k - 1], time_s[k] - time_s[k - 1], jerk_m2ps5,
                ahead_states[k], ahead_covariances[k],
            )  # fmt: skip
        states[k] = ahead_states[k]
        covariances[k] = ahead_covariances[k]
        if not np.isnan(position_m[k]):
            _update(states[k], covariances[k], 0, position_m[k], position_sd_m)
        if not np.isnan(velocity_mps[k]):
            _update(states[k], covariances[k], 1, velocity_mps[k], velocity_sd_mps)
    _backward(time_s, states, covariances, ahead_states, ahead_covariances)
    return states, covariances


@njit
def _backward(time_s: Array, states: Array, covariances: Array, ahead_states: Array, ahead_covariances: Array) -> None:
    """Correct the filtered states by what came after them, in place."""
    inverse, carried, gain, change = np.zeros((3, 3)), np.zeros((3, 3)), np.zeros((3, 3)), np.zeros((3, 3))
    for k in range(time_s.shape[0] - 2, -1, -1):
        step = time_s[k + 1] - time_s[k]
        half = 0.5 * step * step
        _inverse(ahead_covariances[k + 1], inverse)
        for i in range(3):
            carried[i, 0] = covariances[k, i, 0] + step * covariances[k, i, 1] + half * covariances[k, i, 2]
            carried[i, 1] = covariances[k, i, 1] + step * covariances[k, i, 2]
            carried[i, 2] = covariances[k, i, 2]
        for i in range(3):
            for j in range(3):
                gain[i, j] = (
                    carried[i, 0] * inverse[0, j] + carried[i, 1] * inverse[1, j] + carried[i, 2] * inverse[2, j]
                )
                change[i, j] = covariances[k + 1, i, j] - ahead_covariances[k + 1, i, j]
        for i in range(3):
            for j in range(3):
                states[k, i] += gain[i, j] * (states[k + 1, j] - ahead_states[k + 1, j])
        for i in range(3):
            for j in range(3):
                total = 0.0
                for a in range(3):
                    for b in range(3):
                        total += gain[i, a] * change[a, b] * gain[j, b]
                covariances[k, i, j] += total
