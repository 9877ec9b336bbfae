"""The stand-in: which manifold pressure, with gear and flap out, comes down as the dead engine does at best glide.

Flown points say it, the model of `thrust` where they are silent; `powered_glide` joins the two.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from volplane.domain.airplane.powered_glide import (
    JudgedPoint,
    PoweredGlide,
    StandInConditions,
    StandInPoint,
    powered_glide,
    true_airspeed_mps,
)
from volplane.domain.airplane.thrust import AirState, Powerplant, thrust_power_w
from volplane.domain.atmosphere.isa import SEA_LEVEL_PRESSURE_PA
from volplane.domain.glide.configuration import CLEAN, Configuration
from volplane.domain.glide.defaults import DEAD_COARSE_PROPELLER_DRAG_FACTOR
from volplane.domain.glide.polar import GlideModel, MeasuredPolar
from volplane.domain.glide.turning import steady_turn
from volplane.errors import Refusal
from volplane.units import INCH_OF_MERCURY_PA, STANDARD_GRAVITY_MPS2

# the real glide itself: two figures of a handbook, or measured (estimates, ours)
HANDBOOK_RATIO_SD_FRACTION, MEASURED_RATIO_SD_FRACTION = 0.05, 0.02
# a manifold pressure no closed throttle of a turning engine shows (estimate, ours)
LOWEST_MANIFOLD_PRESSURE_PA = 5.0 * INCH_OF_MERCURY_PA


class StandInNotPossible(Refusal):
    """No manifold pressure makes this configuration sink like the dead engine.

    `manifold_pressure_pa` is what it would take: beyond `limit_pa`, the engine's most (too much drag) or its least (too
    little drag).
    """

    code = "stand-in-not-possible"

    def __init__(self, configuration: str, manifold_pressure_pa: float, limit_pa: float) -> None:
        super().__init__(
            f'"{configuration}" would need a manifold pressure of {manifold_pressure_pa:.0f} Pa, the limit is '
            f"{limit_pa:.0f} Pa"
        )
        self.configuration = configuration
        self.manifold_pressure_pa = manifold_pressure_pa
        self.limit_pa = limit_pa


@dataclass(frozen=True, slots=True)
class StandInMatch:
    """The manifold pressure at which the stand-in sinks like the dead engine at best glide, and how well it is known.

    `wanted_pa` is the match and `sd_pa` its spread, the real glide's own in it where points stand behind the match.
    `setting_pa` is what is to be set, the match unless the airplane's least manifold pressure is above it;
    `setting_sink_mps` is the stand-in's sink there, at best glide.
    """

    conditions: StandInConditions
    powered: PoweredGlide
    best_eas_mps: float
    real_sink_mps: float
    wanted_pa: float
    sd_pa: float
    setting_pa: float
    setting_sink_mps: float
    points: tuple[JudgedPoint, ...]

    @property
    def extra_drag_factor(self) -> float:
        """The extra drag of the configuration as an airplane file has it, the dead propeller's counted as clean."""
        return self.powered.configuration.extra_drag_factor + DEAD_COARSE_PROPELLER_DRAG_FACTOR

    @property
    def extra_drag_sd_factor(self) -> float:
        """How well the extra drag of the configuration is known, one standard deviation."""
        return math.sqrt(self.powered.covariance_rows[2][2])

    @property
    def used_points(self) -> int:
        """How many flown points stand behind it; without one it is the model's."""
        return sum(judged.is_used for judged in self.points)

    def stand_in_sink_mps(self, manifold_pressure_pa: float, eas_mps: float, bank_rad: float) -> float:
        """Sink of the stand-in in the conditions of the match."""
        here = self.conditions
        return self.powered.sink_mps(
            manifold_pressure_pa, here.engine_speed_radps, eas_mps, bank_rad, here.weight_kg, here.air
        )

    def honest_pa(self, sink_mps: float, air: AirState) -> float:
        """The manifold pressure that gives a sink at best glide in other air, all else as in the match."""
        return manifold_pressure_for_sink_pa(
            self.powered, sink_mps, self.best_eas_mps, replace(self.conditions, air=air)
        )[0]


def match(
    glide: GlideModel,
    plant: Powerplant,
    configuration: Configuration,
    points: tuple[StandInPoint, ...],
    conditions: StandInConditions,
    least_manifold_pressure_pa: float | None = None,
) -> StandInMatch:
    """The stand-in setting at a weight, engine speed and altitude.

    :raises StandInNotPossible: more power than full throttle gives, or so little drag that even without power it sinks
        less, and the airplane names no least manifold pressure.
    """
    powered, judged = powered_glide(glide, plant, configuration, points, conditions)
    weight_kg, air, engine = conditions.weight_kg, conditions.air, conditions.engine_speed_radps
    at_weight = glide.at_weight(weight_kg)
    best = at_weight.best_eas_mps
    real_mps = steady_turn(at_weight, best, 0.0, CLEAN, air.density_kgpm3).sink_mps
    wanted_pa, slope = manifold_pressure_for_sink_pa(powered, real_mps, best, conditions)
    most_pa = most_manifold_pressure_pa(plant, air)
    if wanted_pa > most_pa:
        raise StandInNotPossible(configuration.name, wanted_pa, most_pa)
    lowest_pa = least_manifold_pressure_pa or LOWEST_MANIFOLD_PRESSURE_PA
    if wanted_pa < LOWEST_MANIFOLD_PRESSURE_PA and least_manifold_pressure_pa is None:
        raise StandInNotPossible(configuration.name, wanted_pa, LOWEST_MANIFOLD_PRESSURE_PA)
    setting_pa = max(wanted_pa, lowest_pa)
    sd_mps = powered.sink_sd_mps(wanted_pa, engine, best, weight_kg, air)
    if any(each.is_used for each in judged):
        # without points an error of the ratio is in both sinks and nearly cancels
        sd_mps = math.hypot(sd_mps, ratio_sd_fraction(glide) * real_mps)
    sink_mps = powered.sink_mps(setting_pa, engine, best, 0.0, weight_kg, air)
    return StandInMatch(conditions, powered, best, real_mps, wanted_pa, sd_mps / slope, setting_pa, sink_mps, judged)


def most_manifold_pressure_pa(plant: Powerplant, air: AirState) -> float:
    """The most the engine can show: the pressure outside, or the rated one where that is a supercharged engine's."""
    rated_pa = plant.rated_manifold_pressure_pa
    return rated_pa if rated_pa > SEA_LEVEL_PRESSURE_PA else min(air.pressure_pa, rated_pa)


def ratio_sd_fraction(glide: GlideModel) -> float:
    """How well the real glide is known, in parts of its ratio."""
    return MEASURED_RATIO_SD_FRACTION if isinstance(glide, MeasuredPolar) else HANDBOOK_RATIO_SD_FRACTION


def manifold_pressure_for_sink_pa(
    powered: PoweredGlide, sink_mps: float, eas_mps: float, conditions: StandInConditions
) -> tuple[float, float]:
    """The manifold pressure that gives a sink in straight flight, and the sink a pascal takes off (m/s a Pa).

    Exact at that sink: thrust power is linear in manifold pressure, and its balance with drag that of the steep path.
    """
    weight_n = conditions.weight_kg * STANDARD_GRAVITY_MPS2
    tas_mps = true_airspeed_mps(eas_mps, conditions.air)
    cosine = math.sqrt(1.0 - (sink_mps / tas_mps) ** 2)
    bare = replace(powered.configuration, thrust_power_per_weight_mps=0.0)
    drag = powered.glide.at_weight(conditions.weight_kg).drag_to_weight(eas_mps, cosine, bare)
    needed_w = weight_n * (tas_mps * drag - sink_mps)
    engine, air = conditions.engine_speed_radps, conditions.air
    at_nought_w, at_rated_w = (
        powered.power_offset_w
        + powered.power_slope_factor * thrust_power_w(powered.plant, pressure_pa, engine, tas_mps, air)
        for pressure_pa in (0.0, powered.plant.rated_manifold_pressure_pa)
    )
    slope = (at_rated_w - at_nought_w) / powered.plant.rated_manifold_pressure_pa
    return (needed_w - at_nought_w) / slope, slope / weight_n
