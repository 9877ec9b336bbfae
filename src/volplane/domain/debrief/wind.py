"""Wind from the track: the tips of the ground velocities of a circling airplane lie about the wind.

One batch least squares over the exercise for the wind at two heights (linear between) and one equivalent airspeed per
phase. What blurs the answer is not the receiver but the airspeed, which wanders: the residuals are therefore correlated
in time, a wander of 2 kt with a memory of 10 s and a slower one of 1 kt with a memory of a minute (METHODS figures of
this project, after flights at 105 kt), more of it where the flight itself shows more. Gauss and Newton's method with
Huber's loss; the covariance comes from the Jacobian. Recorded airspeed and heading enter as measurements of their own.
The planned wind has no part in it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.flight import Flight
from volplane.domain.debrief.results import WindEstimate
from volplane.units import KNOT_MPS

Array = NDArray[np.float64]

LEAST_TURN_RAD = math.radians(120.0)
WANDER_SD_MPS, WANDER_S = 2.0 * KNOT_MPS, 10.0
DRIFT_SD_MPS, DRIFT_S = 1.0 * KNOT_MPS, 60.0
# smoothing spreads a receiver's scatter over this long
SMOOTHED_S = 2.0
# recorded airspeed and heading: scatter and constant error
AIRSPEED_SD_MPS, AIRSPEED_BIAS_SD_MPS = 0.8, 2.0
HEADING_SD_RAD, HEADING_BIAS_SD_RAD = math.radians(2.0), math.radians(3.0)
# wind at the two heights is alike to this much a metre of height between them; 5 m/s in 1,000 ft, ours
SHEAR_SD_PER_S = 0.0164
WIND_SD_MPS = 30.0
PHASE_SPEED_SD_MPS = 3.0
# a pilot may let the speed go in the last turn: by so much from its beginning to its end
SLOWING_SD_MPS = 4.0
# a wind that was given is trusted to this, per component: the least of the usual errors of a reported wind, ours
GIVEN_SD_MPS = 3.0 * KNOT_MPS
LOWEST_M = 20.0
_HUBER = 1.5
# mean of weight times square for normal residuals at this bend
_HUBER_MEAN = 0.87
_ROUNDS = 25


@dataclass(frozen=True, slots=True)
class WindFound:
    """Velocity of the air at two heights above the touchdown point, in the runway frame, with its covariance.

    Linear between the heights, constant beyond. `covariance_m2ps2` is (4, 4) in the order x low, y low, x high, y high.
    """

    low_m: float
    high_m: float
    low_x_mps: float
    low_y_mps: float
    high_x_mps: float
    high_y_mps: float
    covariance_m2ps2: Array
    is_given: bool = False

    def at(self, height_m: Array) -> tuple[Array, Array]:
        """Components along the landing direction and to its left at heights (n,)."""
        share = self._share(height_m)
        return (
            self.low_x_mps + share * (self.high_x_mps - self.low_x_mps),
            self.low_y_mps + share * (self.high_y_mps - self.low_y_mps),
        )

    def sd_at_mps(self, height_m: Array) -> Array:
        """Standard deviation of one component (root mean square of the two) at heights (n,)."""
        share = np.asarray(self._share(height_m))
        covariance = self.covariance_m2ps2
        total = np.zeros_like(share)
        for axis in (0, 1):
            low, high, both = covariance[axis, axis], covariance[axis + 2, axis + 2], covariance[axis, axis + 2]
            total += (1.0 - share) ** 2 * low + share**2 * high + 2.0 * share * (1.0 - share) * both
        return np.sqrt(total / 2.0)

    def moved(self, change_mps: Array) -> WindFound:
        """The same wind with its four components changed by (4,)."""
        return WindFound(
            self.low_m,
            self.high_m,
            self.low_x_mps + float(change_mps[0]),
            self.low_y_mps + float(change_mps[1]),
            self.high_x_mps + float(change_mps[2]),
            self.high_y_mps + float(change_mps[3]),
            self.covariance_m2ps2,
            self.is_given,
        )

    def one_sd_changes_mps(self) -> tuple[Array, ...]:
        """Independent changes of the four components, one standard deviation each: axes of the error ellipsoid."""
        values, vectors = np.linalg.eigh(self.covariance_m2ps2)
        return tuple(math.sqrt(max(value, 0.0)) * vectors[:, k] for k, value in enumerate(values) if value > 1e-6)

    def profile(self, bearing_true_rad: float, base_above_field_m: float) -> WindProfile:
        """The wind as the plan's physics takes it: levels above the field, power law below the lower one."""
        levels = [(self.low_m, self.low_x_mps, self.low_y_mps), (self.high_m, self.high_x_mps, self.high_y_mps)]
        sine, cosine = math.sin(bearing_true_rad), math.cos(bearing_true_rad)
        return WindProfile(
            np.array([max(height, LOWEST_M) + base_above_field_m for height, _, _ in levels]),
            np.array([x * sine - y * cosine for _, x, y in levels]),
            np.array([x * cosine + y * sine for _, x, y in levels]),
        )

    def estimates(self, bearing_true_rad: float) -> tuple[WindEstimate, ...]:
        """The two levels as results, lowest first."""
        found = []
        for height, x, y in (
            (self.low_m, self.low_x_mps, self.low_y_mps),
            (self.high_m, self.high_x_mps, self.high_y_mps),
        ):
            from_rad = (bearing_true_rad - math.atan2(-y, -x)) % (2.0 * math.pi)
            sd = float(self.sd_at_mps(np.array([height]))[0])
            found.append(WindEstimate(height, from_rad, math.hypot(x, y), sd))
        return tuple(found)

    def _share(self, height_m: Array) -> Array:
        return np.clip((np.asarray(height_m) - self.low_m) / (self.high_m - self.low_m), 0.0, 1.0)


def given_wind(wind: WindProfile, bearing_true_rad: float, base_above_field_m: float, high_m: float) -> WindFound:
    """A wind that was given, as found at 20 m and at `high_m` above the touchdown point, sure to 3 kt a component."""
    heights = np.array([LOWEST_M, max(high_m, LOWEST_M + 1.0)])
    east, north = wind.components_mps(heights + base_above_field_m)
    sine, cosine = math.sin(bearing_true_rad), math.cos(bearing_true_rad)
    x, y = east * sine + north * cosine, north * sine - east * cosine
    block = np.eye(2) * GIVEN_SD_MPS**2
    return WindFound(
        float(heights[0]),
        float(heights[1]),
        float(x[0]),
        float(y[0]),
        float(x[1]),
        float(y[1]),
        np.block([[block, block], [block, block]]),
        is_given=True,
    )


def turned_rad(flight: Flight) -> float:
    """How far round the track over the ground has been: greatest less least direction, unwrapped."""
    track = flight.smoothed.track_rad
    return float(track.max() - track.min()) if len(track) else 0.0


def wind_from_track(flight: Flight, phase_index: NDArray[np.int64]) -> WindFound | None:
    """The wind over a gliding flight, airspeed held by phase; `phase_index` (n,) numbers the phases of its seconds.
    Over the last of several phases the airspeed may also change steadily.

    None when the flight turned by less than 120 degrees (and no airspeed and heading tell the wind) or has no heights.
    """
    smoothed = flight.smoothed
    has_triangle = flight.recorded.tas_mps is not None and flight.recorded.heading_rad is not None
    if len(flight.time_s) < 20 or not smoothed.has_height:
        return None
    if turned_rad(flight) < LEAST_TURN_RAD and not has_triangle:
        return None
    problem = _problem(flight, phase_index)
    answer = problem.solve()
    if answer is None:
        return None
    theta, covariance = answer
    low_x, low_y, high_x, high_y = (float(value) for value in theta[:4])
    return WindFound(problem.low_m, problem.high_m, low_x, low_y, high_x, high_y, covariance[:4, :4].copy())


@dataclass(frozen=True, slots=True)
class _Problem:
    """The least squares problem. Unknowns: four wind components, an airspeed a phase, a slowing over the last one,
    two errors of the recorder.
    """

    velocity: Array
    climb: Array
    share: Array
    tas_ratio: Array
    phase: NDArray[np.int64]
    whitener: Array
    tas: Array | None
    heading: Array | None
    low_m: float
    high_m: float
    slowing: Array

    @property
    def phases(self) -> int:
        return int(self.phase.max()) + 1

    @property
    def size(self) -> int:
        return 4 + self.phases + 3

    def residuals(self, theta: Array) -> tuple[Array, Array]:
        """Whitened residuals and their Jacobian."""
        n = len(self.climb)
        lower, upper = 1.0 - self.share, self.share
        air_x = self.velocity[:, 0] - (lower * theta[0] + upper * theta[2])
        air_y = self.velocity[:, 1] - (lower * theta[1] + upper * theta[3])
        speed = np.sqrt(air_x**2 + air_y**2 + self.climb**2)
        slopes = np.zeros((n, self.size))
        for column, part in enumerate((-air_x * lower, -air_y * lower, -air_x * upper, -air_y * upper)):
            slopes[:, column] = part / speed
        if self.tas is None:
            flown = theta[4 + self.phase] * self.tas_ratio
            flown = flown + theta[-3] * self.slowing
            slopes[np.arange(n), 4 + self.phase] = -self.tas_ratio
            slopes[:, -3] = -self.slowing
        else:
            flown = self.tas + theta[-2]
            slopes[:, -2] = -1.0
        values, jacobian = [self.whitener @ (speed - flown)], [self.whitener @ slopes]
        if self.heading is not None:
            level = np.hypot(air_x, air_y)
            off = np.arctan2(air_y, air_x) - self.heading - theta[-1]
            off = np.arctan2(np.sin(off), np.cos(off))
            turning = np.zeros((n, self.size))
            for column, part in enumerate((air_y * lower, -air_x * lower, air_y * upper, -air_x * upper)):
                turning[:, column] = part / level**2
            turning[:, -1] = -1.0
            # a compass error lasts as the wander does: a tenth of the seconds count
            scale = 1.0 / (HEADING_SD_RAD * math.sqrt(WANDER_S))
            values.append(off * scale)
            jacobian.append(turning * scale)
        return np.concatenate(values), np.vstack(jacobian)

    def prior(self) -> tuple[Array, Array]:
        """Rows (value is row times unknowns) of what is known beforehand, and their standard deviations."""
        rows: list[Array] = []
        sds: list[float] = []

        def add(entries: dict[int, float], sd: float) -> None:
            row = np.zeros(self.size)
            for column, value in entries.items():
                row[column] = value
            rows.append(row)
            sds.append(sd)

        shear = max(SHEAR_SD_PER_S * (self.high_m - self.low_m), 0.05)
        for axis in (0, 1):
            add({axis: 1.0, axis + 2: -1.0}, shear)
            add({axis: 0.5, axis + 2: 0.5}, WIND_SD_MPS)
        for phase in range(1, self.phases):
            add({4 + phase - 1: 1.0, 4 + phase: -1.0}, PHASE_SPEED_SD_MPS)
        add({self.size - 3: 1.0}, SLOWING_SD_MPS)
        add({self.size - 2: 1.0}, AIRSPEED_BIAS_SD_MPS)
        add({self.size - 1: 1.0}, HEADING_BIAS_SD_RAD)
        if self.tas is not None:
            # the phases' speeds are not used then; they only keep the unknowns determined
            for phase in range(self.phases):
                add({4 + phase: 1.0}, WIND_SD_MPS)
        return np.array(rows), np.array(sds)

    def start(self) -> Array:
        """Circle through the velocity tips, linear: 2 vx wx + 2 vy wy + c = v squared; calm air if it fits badly."""
        theta = np.zeros(self.size)
        vx, vy = self.velocity[:, 0], self.velocity[:, 1]
        squared = vx**2 + vy**2 + self.climb**2
        design = np.column_stack([2.0 * vx, 2.0 * vy, np.ones_like(vx)])
        wind = np.linalg.lstsq(design, squared, rcond=None)[0][:2]
        if not np.hypot(*wind) < 0.7 * math.sqrt(float(squared.mean())):
            wind = np.zeros(2)
        theta[[0, 2]], theta[[1, 3]] = wind[0], wind[1]
        speed = np.sqrt((vx - wind[0]) ** 2 + (vy - wind[1]) ** 2 + self.climb**2) / self.tas_ratio
        for phase in range(self.phases):
            inside = self.phase == phase
            theta[4 + phase] = float(np.median(speed[inside] if inside.any() else speed))
        return theta

    def solve(self) -> tuple[Array, Array] | None:
        theta = self.start()
        rows, sds = self.prior()
        known = rows / sds[:, None]
        for _ in range(_ROUNDS):
            values, jacobian = self.residuals(theta)
            weight = np.minimum(1.0, _HUBER / np.maximum(np.abs(values), 1e-12))
            normal = jacobian.T @ (weight[:, None] * jacobian) + known.T @ known
            step = np.linalg.solve(normal, jacobian.T @ (weight * values) + known.T @ (known @ theta))
            theta = theta - step
            if np.abs(step).max() < 1e-6:
                break
        if not np.isfinite(theta).all():
            return None
        values, jacobian = self.residuals(theta)
        weight = np.minimum(1.0, _HUBER / np.maximum(np.abs(values), 1e-12))
        # a flight that shows less wander than assumed may hide it in the wind, so only more counts
        scale = max(1.0, float(np.mean(weight * values**2)) / _HUBER_MEAN)
        normal = jacobian.T @ (weight[:, None] * jacobian) / scale + known.T @ known
        return theta, np.asarray(np.linalg.inv(normal), dtype=np.float64)


def _problem(flight: Flight, phase_index: NDArray[np.int64]) -> _Problem:
    smoothed = flight.smoothed
    known = np.isfinite(smoothed.height_m)
    tas, heading = flight.recorded.tas_mps, flight.recorded.heading_rad
    if tas is not None:
        known &= np.isfinite(tas)
    height, time = smoothed.height_m[known], smoothed.time_s[known]
    low_m = max(float(height.min()), LOWEST_M)
    high_m = max(float(height.max()), low_m + 1.0)
    _, phase = np.unique(phase_index[known], return_inverse=True)
    last = phase == phase.max()
    slowing = np.where(last, (time - time[last][0]) / max(float(time[-1] - time[last][0]), 1.0), 0.0)
    apart = np.abs(time[:, None] - time[None, :])
    scatter = np.maximum(smoothed.velocity_sd_mps[known], 0.05)
    noise = np.outer(scatter, scatter) * np.exp(-apart / SMOOTHED_S)
    if tas is None:
        spread = WANDER_SD_MPS**2 * np.exp(-apart / WANDER_S) + DRIFT_SD_MPS**2 * np.exp(-apart / DRIFT_S)
    else:
        spread = AIRSPEED_SD_MPS**2 * np.exp(-apart / WANDER_S)
    whitener = np.linalg.inv(np.linalg.cholesky(spread + noise))
    return _Problem(
        velocity=np.column_stack([smoothed.velocity_x_mps[known], smoothed.velocity_y_mps[known]]),
        climb=smoothed.climb_mps[known],
        share=np.clip((height - low_m) / (high_m - low_m), 0.0, 1.0),
        tas_ratio=flight.tas_to_eas_ratio(height),
        phase=phase.astype(np.int64),
        whitener=whitener,
        tas=None if tas is None else tas[known],
        heading=None if heading is None else heading[known],
        low_m=low_m,
        high_m=high_m,
        slowing=slowing if phase.max() > 0 else np.zeros_like(slowing),
    )
