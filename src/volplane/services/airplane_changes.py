"""What a measurement changes in an airplane file: measured values in SI, each None where nothing was measured."""

from __future__ import annotations

from dataclasses import dataclass

from volplane.domain.airplane.airplane import StandIn
from volplane.domain.glide.configuration import Configuration


@dataclass(frozen=True, slots=True)
class GlidePoint:
    """One point of a measured glide: sink in the air at sea-level density, at the weight of the glide."""

    ias_mps: float
    sink_mps: float


@dataclass(frozen=True, slots=True)
class AirplaneChanges:
    """Values to be written into an airplane file; what is None or empty stays as the file has it.

    `glide_points` becomes `glide.points`; an empty tuple takes old points out, so that best speed and ratio count
    again. `airspeed_correction` holds (indicated, calibrated) speeds in m/s and replaces the whole table.
    `configurations` replace those of the same name and are added otherwise.
    """

    glide_best_ias_mps: float | None = None
    glide_ratio: float | None = None
    glide_weight_kg: float | None = None
    glide_points: tuple[GlidePoint, ...] | None = None
    airspeed_correction: tuple[tuple[float, float], ...] | None = None
    stand_in: StandIn | None = None
    configurations: tuple[Configuration, ...] = ()
