"""The least squares behind an airspeed calibration: true airspeed of each speed, its wind, and the wind of all.

Residuals are speeds: with a track the length of the air vector against the airspeed, with a heading the ground speed
against that of the wind triangle. What is expected of the winds enters as further residuals.
"""

from __future__ import annotations

import math
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane.airspeed_legs import AirspeedLeg
from volplane.domain.atmosphere.refusals import LegsDoNotDetermineWind
from volplane.domain.atmosphere.scalars import FloatArray
from volplane.units import KNOT_MPS

# what air and pilot leave in the mean of a leg of a minute on a smooth morning, before the legs say better; ours
LEG_SD_MPS = 1.0 * KNOT_MPS
USUAL_LEG_S = 60.0
_LEG_SD_COUNTS_AS = 4.0
# how far the winds of two speeds of one session may differ, each component; ours
WIND_CHANGE_SD_MPS = 1.5 * KNOT_MPS
_HUBER = 2.0
_ROUNDS = 200


class AirspeedFit:
    """Least squares over all speeds: true airspeed of each, the joint wind, and each speed's wind less the joint one.

    Gauss and Newton with damping (Levenberg), reweighted after Huber.
    """

    def __init__(self, legs: Sequence[AirspeedLeg], groups: Sequence[Sequence[int]]) -> None:
        used = [legs[at] for group in groups for at in group]
        self.count = len(groups)
        self.group_of = np.array([number for number, group in enumerate(groups) for _ in group])
        self.ground = np.array([leg.ground_speed_mps for leg in used])
        direction = np.array([leg.direction_rad for leg in used])
        self.east, self.north = np.sin(direction), np.cos(direction)
        self.is_track = np.array([leg.track_true_rad is not None for leg in used])
        self.share = _speed_shares(used, self.group_of, self.count)
        self.leg_sd = LEG_SD_MPS * np.array([_sd_factor(leg.duration_s) for leg in used])
        # one speed alone has no other to differ from
        self.winds = self.count if self.count > 1 else 0
        self.weights = np.ones(len(used))
        self.misfits_mps = np.zeros(len(used))
        self._solve()

    def joint_wind_mps(self) -> tuple[float, float, float]:
        """Wind of the session, the mean of the speeds' winds, and the standard deviation of one component."""
        return self._wind(np.mean([self._wind_rows(number) for number in range(self.count)], axis=0))

    def tas(self, number: int) -> tuple[float, float]:
        """True airspeed of a speed and its standard deviation."""
        return float(self.guess[number]), math.sqrt(float(self.covariance[number, number]))

    def wind_mps(self, number: int) -> tuple[float, float, float]:
        """Wind of a speed, and the standard deviation of one component."""
        return self._wind(self._wind_rows(number))

    def _wind(self, rows: FloatArray) -> tuple[float, float, float]:
        east, north = (float(value) for value in rows @ self.guess)
        sd = math.sqrt(float(np.trace(rows @ self.covariance @ rows.T)) / 2.0)
        return east, north, sd

    def _wind_rows(self, number: int) -> FloatArray:
        """What makes the two components of a speed's wind of the unknowns, (2, unknowns)."""
        rows = np.zeros((2, len(self.guess)))
        for axis in (0, 1):
            rows[axis, self.count + axis] = 1.0
            if self.winds:
                rows[axis, self.count + 2 + 2 * number + axis] = 1.0
        return rows

    def _solve(self) -> None:
        # the mean speed over the ground of opposite directions is near the airspeed
        start = [float(self.ground[self.group_of == number].mean()) for number in range(self.count)]
        self.guess = np.array(start + [0.0] * (2 + 2 * self.winds))
        damping = 1e-3
        residuals, slopes = self._weighted(self.guess)
        for _ in range(_ROUNDS):
            normal = slopes.T @ slopes
            step = np.linalg.solve(normal + damping * np.diag(np.diag(normal)), -slopes.T @ residuals)
            tried, _ = self._weighted(self.guess + step)
            if float(tried @ tried) > float(residuals @ residuals) * (1.0 + 1e-12):
                damping *= 10.0
                if damping > 1e12:
                    break
                continue
            self.guess, damping = self.guess + step, max(damping / 10.0, 1e-12)
            before = self.weights
            self._reweigh()
            residuals, slopes = self._weighted(self.guess)
            if float(np.abs(step).max()) < 1e-8 and float(np.abs(self.weights - before).max()) < 1e-6:
                break
        self._finish(slopes)

    def _finish(self, slopes: FloatArray) -> None:
        normal = slopes.T @ slopes
        if not np.isfinite(self.guess).all() or np.linalg.cond(normal) > 1e12:
            raise LegsDoNotDetermineWind("the legs are too alike", len(self.ground))
        for number in range(self.count):
            east, north = (float(value) for value in self._wind_rows(number) @ self.guess)
            if not math.hypot(east, north) < float(self.guess[number]):
                raise LegsDoNotDetermineWind("the wind they give is not below the airspeed", len(self.ground))
        misfits, _ = self._misfit(self.guess)
        self.misfits_mps = misfits
        spare = max(len(misfits) - len(self.guess) + 2 * self.winds, 0)
        found = float(self.weights @ np.square(misfits / self.leg_sd))
        # what one speed's wind may differ by does not shrink with the scatter of the legs
        scale = (_LEG_SD_COUNTS_AS + found) / (_LEG_SD_COUNTS_AS + spare)
        self.leg_sd_mps = LEG_SD_MPS * math.sqrt(scale)
        own = slopes[: len(misfits)]
        others = slopes[len(misfits) :]
        self.covariance = np.linalg.inv(own.T @ own / scale + others.T @ others)

    def _reweigh(self) -> None:
        misfits, _ = self._misfit(self.guess)
        size = np.abs(misfits) / self.leg_sd
        self.weights = np.where(size <= _HUBER, 1.0, _HUBER / np.maximum(size, 1e-12))

    def _weighted(self, guess: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Residuals in standard deviations, legs first and then what is expected of the winds, with their slopes."""
        misfits, slopes = self._misfit(guess)
        root = np.sqrt(self.weights) / self.leg_sd
        expected = np.zeros((2 * self.winds, len(guess)))
        expected[:, self.count + 2 :] = np.eye(2 * self.winds) / WIND_CHANGE_SD_MPS
        return (
            np.concatenate([misfits * root, expected @ guess]),
            np.vstack([slopes * root[:, None], expected]),
        )

    def _misfit(self, guess: FloatArray) -> tuple[FloatArray, FloatArray]:
        """Measured less explained speed of each leg (n,), and its slopes (n, unknowns)."""
        wind = np.tile(guess[self.count : self.count + 2], (len(self.ground), 1))
        if self.winds:
            wind = wind + guess[self.count + 2 :].reshape(-1, 2)[self.group_of]
        speed = guess[self.group_of] * self.share
        # with a track: the air vector's length against the airspeed; with a heading: the sum's against the ground speed
        sign = np.where(self.is_track, -1.0, 1.0)
        length = np.where(self.is_track, self.ground, speed)
        east, north = length * self.east + sign * wind[:, 0], length * self.north + sign * wind[:, 1]
        total = np.maximum(np.hypot(east, north), 1e-9)
        misfit = np.where(self.is_track, total - speed, self.ground - total)
        along = (east * self.east + north * self.north) / total
        slopes = np.zeros((len(self.ground), len(guess)))
        rows = np.arange(len(self.ground))
        slopes[rows, self.group_of] = -self.share * np.where(self.is_track, 1.0, along)
        for axis, component in enumerate((east / total, north / total)):
            slopes[:, self.count + axis] = -component
            if self.winds:
                slopes[rows, self.count + 2 + 2 * self.group_of + axis] = -component
        return misfit, slopes


def _sd_factor(duration_s: float | None) -> float:
    """How much worse than a leg of a minute a shorter one is: air and pilot average out with the root of the time."""
    return 1.0 if duration_s is None else min(max(math.sqrt(USUAL_LEG_S / duration_s), 0.7), 2.0)


def _speed_shares(legs: Sequence[AirspeedLeg], group_of: NDArray[np.int64], count: int) -> FloatArray:
    """Indicated airspeed of each leg in parts of its group's mean, (n,): a leg flown a knot fast is no surprise."""
    speeds = np.array([math.nan if leg.ias_mps is None else leg.ias_mps for leg in legs])
    share = np.ones(len(legs))
    for number in range(count):
        inside = group_of == number
        if np.isfinite(speeds[inside]).all():
            share[inside] = speeds[inside] / speeds[inside].mean()
    return share
