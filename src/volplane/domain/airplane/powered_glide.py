"""The airplane in its stand-in configuration under power, as flown points and the model together have it.

Each point's sink, with the drag its configuration is taken to have, gives the power its thrust had, whatever height,
temperature and weight it was flown at. That power is taken as a + b x the model's of `thrust`, and the extra parasite
drag as the file's and d more. The three unknowns have priors (a nought, b one, d nought, each with its spread) and are
found by weighted linear least squares, which is Bayes' rule for normal errors (textbook). So no point leaves the model,
one shifts it, two or three at different manifold pressures make it their own straight line.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.airplane.thrust import AirState, Powerplant, thrust_power_w
from volplane.domain.atmosphere.isa import SEA_LEVEL_DENSITY_KGPM3
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.defaults import under_power
from volplane.domain.glide.polar import GlideModel
from volplane.domain.glide.turning import steady_turn
from volplane.units import FOOT_PER_MINUTE_MPS, RPM_RADPS, STANDARD_GRAVITY_MPS2

Array = NDArray[np.float64]

# one steady descent of a minute or two: air that rises or sinks by most of a foot a second (estimate, ours)
POINT_SINK_SD_MPS = 50.0 * FOOT_PER_MINUTE_MPS
# how far the model's power may be off: in parts of rated power everywhere, and in parts of itself (estimates, ours)
_POWER_OFFSET_SD_FRACTION, _POWER_SLOPE_SD_FACTOR = 0.09, 0.3
# how far the extra drag may be off: stated in the file, or an estimate of the program (estimates, ours)
_STATED_DRAG_SD, _ESTIMATED_DRAG_SD = (0.10, 0.10), (0.05, 0.25)
# points that say nothing about this setting
SAME_ENGINE_SPEED_RADPS = 150.0 * RPM_RADPS
_SLOWEST_FACTOR, _FASTEST_FACTOR = 0.75, 1.35
_OUTLIER_SD, _LEAST_POINTS_FOR_OUTLIERS = 3.5, 4


@dataclass(frozen=True, slots=True)
class StandInPoint:
    """One steady straight descent in the stand-in configuration; `line_number` is where its file has it."""

    manifold_pressure_pa: float
    engine_speed_radps: float
    eas_mps: float
    sink_mps: float
    weight_kg: float
    air: AirState
    line_number: int = 0


@dataclass(frozen=True, slots=True)
class JudgedPoint:
    """A point, whether it was used, and if not why, as a code: "engine speed", "speed", "climbing", "sink", "outlier".

    `reference_sink_mps` is the sink it would have shown at the match's height, temperature, weight and speed;
    `residual_mps` what it sinks more than the fit says.
    """

    point: StandInPoint
    is_used: bool
    why: str
    residual_mps: float
    reference_sink_mps: float


@dataclass(frozen=True, slots=True)
class StandInConditions:
    """For what the setting is worked out: weight, governed engine speed, and the air at the altitude of the setting."""

    weight_kg: float
    engine_speed_radps: float
    altitude_msl_m: float
    air: AirState


@dataclass(frozen=True, slots=True)
class PoweredGlide:
    """The airplane in its stand-in configuration under power.

    Thrust power is `power_offset_w` + `power_slope_factor` x the model's. `configuration` is the one named in the file
    with the drag found, the dead propeller's taken off. `covariance_rows` (3, 3) is of offset (W), slope, extra drag.
    """

    glide: GlideModel
    plant: Powerplant
    configuration: Configuration
    power_offset_w: float
    power_slope_factor: float
    covariance_rows: tuple[tuple[float, float, float], ...]

    def with_power(
        self, manifold_pressure_pa: float, engine_speed_radps: float, eas_mps: float, weight_kg: float, air: AirState
    ) -> Configuration:
        """The configuration with the thrust of a manifold pressure at a speed, weight and air."""
        tas_mps = true_airspeed_mps(eas_mps, air)
        model_w = thrust_power_w(self.plant, manifold_pressure_pa, engine_speed_radps, tas_mps, air)
        power_w = self.power_offset_w + self.power_slope_factor * model_w
        return replace(self.configuration, thrust_power_per_weight_mps=power_w / (weight_kg * STANDARD_GRAVITY_MPS2))

    def in_configuration(self, configuration: Configuration) -> PoweredGlide:
        """The same airplane and power with other gear and flap; what was found about its drag stays behind."""
        return replace(self, configuration=under_power(configuration))

    def sink_mps(
        self,
        manifold_pressure_pa: float,
        engine_speed_radps: float,
        eas_mps: float,
        bank_rad: float,
        weight_kg: float,
        air: AirState,
    ) -> float:
        """Sink in still air at a manifold pressure, speed and bank.

        :raises NoSteadyGlide: drag above the weight even without lift.
        """
        configuration = self.with_power(manifold_pressure_pa, engine_speed_radps, eas_mps, weight_kg, air)
        glide = self.glide.at_weight(weight_kg)
        return steady_turn(glide, eas_mps, bank_rad, configuration, air.density_kgpm3).sink_mps

    def sink_sd_mps(
        self,
        manifold_pressure_pa: float,
        engine_speed_radps: float,
        eas_mps: float,
        weight_kg: float,
        air: AirState,
    ) -> float:
        """How well that sink is known, one standard deviation; straight flight, and near enough in turns."""
        row = _sensitivity(self, manifold_pressure_pa, engine_speed_radps, eas_mps, weight_kg, air)
        return math.sqrt(max(float(row @ np.array(self.covariance_rows) @ row), 0.0))


def powered_glide(
    glide: GlideModel,
    plant: Powerplant,
    configuration: Configuration,
    points: tuple[StandInPoint, ...],
    conditions: StandInConditions,
) -> tuple[PoweredGlide, tuple[JudgedPoint, ...]]:
    """The stand-in under power, from the model and the points, and what became of each point."""
    start = _prior(glide, plant, configuration)
    reasons = {i: why for i, point in enumerate(points) if (why := _unfit(point, glide, conditions))}
    while True:
        kept = [i for i in range(len(points)) if i not in reasons]
        fitted = _fit(start, [points[i] for i in kept])
        outlier = _worst(start, points, kept)
        if outlier is None:
            break
        reasons[outlier] = "outlier"
    judged = tuple(_judged(fitted, glide, points[i], reasons.get(i, ""), conditions) for i in range(len(points)))
    return fitted, judged


def extra_drag_sd_factor(configuration: Configuration) -> float:
    """How far a configuration's extra drag may be off before points are flown: stated in the file, or an estimate."""
    least, part = _ESTIMATED_DRAG_SD if configuration.is_estimate else _STATED_DRAG_SD
    return least + part * abs(configuration.extra_drag_factor)


def true_airspeed_mps(eas_mps: float, air: AirState) -> float:
    """True airspeed in this air."""
    return eas_mps * math.sqrt(SEA_LEVEL_DENSITY_KGPM3 / air.density_kgpm3)


def _prior(glide: GlideModel, plant: Powerplant, configuration: Configuration) -> PoweredGlide:
    spreads = (
        _POWER_OFFSET_SD_FRACTION * plant.rated_power_w,
        _POWER_SLOPE_SD_FACTOR,
        extra_drag_sd_factor(configuration),
    )
    rows = np.diag(np.square(spreads))
    return PoweredGlide(glide, plant, under_power(configuration), 0.0, 1.0, _as_rows(rows))


def _as_rows(matrix: Array) -> tuple[tuple[float, float, float], ...]:
    return tuple((float(row[0]), float(row[1]), float(row[2])) for row in matrix)


def _sensitivity(
    powered: PoweredGlide,
    manifold_pressure_pa: float,
    engine_speed_radps: float,
    eas_mps: float,
    weight_kg: float,
    air: AirState,
) -> Array:
    """How the sink moves with power offset, power slope and extra drag, (3,)."""
    weight_n, tas_mps = weight_kg * STANDARD_GRAVITY_MPS2, true_airspeed_mps(eas_mps, air)
    model_w = thrust_power_w(powered.plant, manifold_pressure_pa, engine_speed_radps, tas_mps, air)
    at_weight = powered.glide.at_weight(weight_kg)
    clean, twice = (at_weight.drag_to_weight(eas_mps, 1.0, Configuration("", extra_drag_factor=a)) for a in (0.0, 1.0))
    return np.array([-1.0 / weight_n, -model_w / weight_n, tas_mps * (twice - clean)])


def _unfit(point: StandInPoint, glide: GlideModel, conditions: StandInConditions) -> str:
    """Why a point says nothing about this setting, empty when it does."""
    best = glide.at_weight(point.weight_kg).best_eas_mps
    if abs(point.engine_speed_radps - conditions.engine_speed_radps) > SAME_ENGINE_SPEED_RADPS:
        return "engine speed"
    if not _SLOWEST_FACTOR * best <= point.eas_mps <= _FASTEST_FACTOR * best:
        return "speed"
    if point.sink_mps <= 0.0:
        return "climbing"
    if point.sink_mps >= 0.5 * true_airspeed_mps(point.eas_mps, point.air):
        return "sink"
    return ""


def _residuals(powered: PoweredGlide, points: list[StandInPoint]) -> Array:
    """What the points sink more than this says, (n,)."""
    return np.array(
        [
            point.sink_mps
            - powered.sink_mps(
                point.manifold_pressure_pa, point.engine_speed_radps, point.eas_mps, 0.0, point.weight_kg, point.air
            )
            for point in points
        ]
    )


def _design(powered: PoweredGlide, points: list[StandInPoint]) -> Array:
    rows = [
        _sensitivity(
            powered, point.manifold_pressure_pa, point.engine_speed_radps, point.eas_mps, point.weight_kg, point.air
        )
        for point in points
    ]
    return np.array(rows).reshape(len(points), 3)


def _fit(start: PoweredGlide, points: list[StandInPoint]) -> PoweredGlide:
    """Least squares with the prior's weight, twice: the balance along a steep path is a hair off linear."""
    if not points:
        return start
    prior = np.linalg.inv(np.array(start.covariance_rows))
    offset: Array = np.zeros(3)
    fitted, scatter = start, 1.0
    for _ in range(3):
        design = _design(fitted, points) / POINT_SINK_SD_MPS
        wanted = _residuals(fitted, points) / POINT_SINK_SD_MPS + design @ offset
        information = design.T @ design / scatter + prior
        offset = np.asarray(np.linalg.solve(information, design.T @ wanted / scatter), dtype=np.float64)
        fitted = _moved(start, offset, np.asarray(np.linalg.inv(information), dtype=np.float64))
        if len(points) >= _LEAST_POINTS_FOR_OUTLIERS:
            left = _residuals(fitted, points) / POINT_SINK_SD_MPS
            scatter = max(1.0, float(left @ left) / (len(points) - 2))
    return fitted


def _moved(start: PoweredGlide, offset: Array, covariance: Array) -> PoweredGlide:
    extra = max(start.configuration.extra_drag_factor + float(offset[2]), -0.9)
    return replace(
        start,
        configuration=replace(start.configuration, extra_drag_factor=extra),
        power_offset_w=float(offset[0]),
        power_slope_factor=max(1.0 + float(offset[1]), 0.1),
        covariance_rows=_as_rows(covariance),
    )


def _worst(start: PoweredGlide, points: tuple[StandInPoint, ...], kept: list[int]) -> int | None:
    """The point farthest from what all the others say, where it is too far to be the same airplane in still air."""
    if len(kept) < _LEAST_POINTS_FOR_OUTLIERS:
        return None
    worst, farthest = None, _OUTLIER_SD
    for i in kept:
        others = _fit(start, [points[j] for j in kept if j != i])
        point = points[i]
        known = others.sink_sd_mps(
            point.manifold_pressure_pa, point.engine_speed_radps, point.eas_mps, point.weight_kg, point.air
        )
        off = abs(float(_residuals(others, [point])[0])) / math.hypot(known, POINT_SINK_SD_MPS)
        if off > farthest:
            worst, farthest = i, off
    return worst


def _judged(
    powered: PoweredGlide, glide: GlideModel, point: StandInPoint, why: str, conditions: StandInConditions
) -> JudgedPoint:
    """The point beside the fit, and moved to the match's conditions by the fit's own differences."""
    if why == "sink":
        return JudgedPoint(point, False, why, math.nan, math.nan)
    residual_mps = float(_residuals(powered, [point])[0])
    there = powered.sink_mps(
        point.manifold_pressure_pa,
        conditions.engine_speed_radps,
        glide.at_weight(conditions.weight_kg).best_eas_mps,
        0.0,
        conditions.weight_kg,
        conditions.air,
    )
    return JudgedPoint(point, not why, why, residual_mps, there + residual_mps)
