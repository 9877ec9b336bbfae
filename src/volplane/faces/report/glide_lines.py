"""From an airplane as its file describes it to the lines and rows of its charts, in sea-level air."""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.exercise.speeds import ias_mps_from_cas_mps
from volplane.domain.glide.configuration import CLEAN, Configuration
from volplane.domain.glide.polar import GlideModel, MeasuredPolar
from volplane.domain.glide.turning import NoSteadyGlide, SteadyTurn, minimum_sink, steady_turn
from volplane.faces.documents.wording import Units
from volplane.faces.report.calibration_charts import SpeedChecked
from volplane.faces.report.polar_charts import PolarLine

# a line begins this much above the stall and ends this far beyond best glide (ours): slower and faster nobody glides
_SLOWEST_TO_STALL_RATIO = 1.1
_FASTEST_TO_BEST_RATIO = 1.35
# the least weight shown, in parts of the greatest (ours)
LIGHT_FRACTION = 0.8
_SPEEDS = 61


@dataclass(frozen=True, slots=True)
class WeightRow:
    """The glide at one weight in sea-level air; `minimum_sink_ias_mps` and its sink belong to staying up longest."""

    weight_kg: float
    best_ias_mps: float
    best_sink_mps: float
    best_ratio: float
    minimum_sink_ias_mps: float
    minimum_sink_mps: float


@dataclass(frozen=True, slots=True)
class ConfigurationRow:
    """A configuration at best glide speed; ratio and sink are None where the drag exceeds the weight or it climbs."""

    configuration: Configuration
    ratio: float | None
    sink_mps: float | None


def weights_of(airplane: Airplane, weight_kg: float) -> tuple[float, ...]:
    """The weights to show: today's, the greatest, and a light one, each once."""
    wanted = (weight_kg, airplane.maximum_weight_kg, LIGHT_FRACTION * airplane.maximum_weight_kg)
    different: list[float] = []
    for each in wanted:
        if all(abs(each - other) > 0.01 * airplane.maximum_weight_kg for other in different):
            different.append(each)
    return tuple(different)


def polar_line(airplane: Airplane, weight_kg: float, units: Units) -> PolarLine:
    """Sink against indicated airspeed, clean and with a dead engine, over the speeds a glide is flown at.

    All weights end at the same speed. A measured glide is drawn over the speeds it was measured at, no further.
    """
    glide = airplane.glide.at_weight(weight_kg)
    best = steady_turn(glide, glide.best_eas_mps, 0.0, CLEAN)
    turns = [steady_turn(glide, float(speed), 0.0, CLEAN) for speed in _speeds(airplane, glide, weight_kg)]
    return PolarLine(
        name=units.weight.text(weight_kg),
        ias_mps=np.array([ias_mps_from_cas_mps(airplane, turn.eas_mps) for turn in turns]),
        sink_mps=np.array([turn.sink_mps for turn in turns]),
        best_ias_mps=ias_mps_from_cas_mps(airplane, glide.best_eas_mps),
        best_sink_mps=best.sink_mps,
        best_ratio=glide.best_ratio,
    )


def weight_row(airplane: Airplane, weight_kg: float) -> WeightRow:
    """What the glide is worth at a weight."""
    glide = airplane.glide.at_weight(weight_kg)
    best = steady_turn(glide, glide.best_eas_mps, 0.0, CLEAN)
    longest = minimum_sink(glide, 0.0, CLEAN)
    return WeightRow(
        weight_kg=weight_kg,
        best_ias_mps=ias_mps_from_cas_mps(airplane, glide.best_eas_mps),
        best_sink_mps=best.sink_mps,
        best_ratio=glide.best_ratio,
        minimum_sink_ias_mps=ias_mps_from_cas_mps(airplane, longest.eas_mps),
        minimum_sink_mps=longest.sink_mps,
    )


def configuration_rows(airplane: Airplane, weight_kg: float) -> tuple[ConfigurationRow, ...]:
    """Every configuration of the airplane at today's best glide speed."""
    glide = airplane.glide.at_weight(weight_kg)
    rows = []
    for configuration in airplane.configurations:
        turn = _steady(glide, configuration)
        is_glide = turn is not None and turn.path_angle_rad > 0.0
        ratio, sink = (turn.glide_ratio, turn.sink_mps) if turn is not None and is_glide else (None, None)
        rows.append(ConfigurationRow(configuration, ratio, sink))
    return tuple(rows)


def speeds_checked(airplane: Airplane) -> tuple[SpeedChecked, ...]:
    """The airplane's table of indicated and calibrated speeds, as its chart shows it."""
    return tuple(SpeedChecked(ias, ias - cas) for ias, cas in airplane.airspeed_correction)


def _steady(glide: GlideModel, configuration: Configuration) -> SteadyTurn | None:
    try:
        return steady_turn(glide, glide.best_eas_mps, 0.0, configuration)
    except NoSteadyGlide:
        return None


def _speeds(airplane: Airplane, glide: GlideModel, weight_kg: float) -> list[float]:
    if isinstance(glide, MeasuredPolar):
        # a straight glide of drag f at the speed V / sqrt(cos) of the curve: 1 % inside its ends is inside them
        slowest, fastest = 1.01 * glide.eas_mps[0], 0.99 * glide.eas_mps[-1]
    else:
        slowest = min(_SLOWEST_TO_STALL_RATIO * airplane.stall_clean_at_mps(weight_kg), 0.95 * glide.best_eas_mps)
        fastest = _FASTEST_TO_BEST_RATIO * airplane.glide.at_weight(airplane.maximum_weight_kg).best_eas_mps
    speeds = np.linspace(slowest, fastest, _SPEEDS)
    return [float(speed) for speed in speeds if math.isfinite(speed)]
