"""The airplane as an instructor describes it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field

from volplane.domain.glide.configuration import CLEAN, Configuration
from volplane.domain.glide.polar import GlideModel


@dataclass(frozen=True, slots=True)
class AirplaneLimits:
    """Limits from the flight manual; None is unknown and is printed as "look it up"."""

    gear_ias_mps: float | None = None
    approach_flap_ias_mps: float | None = None
    full_flap_ias_mps: float | None = None
    crosswind_mps: float | None = None
    landing_roll_m: float | None = None
    go_around_climb_mps: float | None = None
    minimum_descent_manifold_pressure_pa: float | None = None


@dataclass(frozen=True, slots=True)
class StandIn:
    """The stand-in setting: a configuration with power that glides like the dead-engine airplane."""

    configuration: str
    manifold_pressure_pa: float
    engine_speed_radps: float
    altitude_msl_m: float


@dataclass(frozen=True, slots=True)
class Engine:
    """Engine and propeller data; None is not known."""

    rated_power_w: float | None = None
    rated_manifold_pressure_pa: float | None = None
    rated_engine_speed_radps: float | None = None
    displacement_m3: float | None = None
    propeller_diameter_m: float | None = None
    propeller_blades: int = 3


@dataclass(frozen=True, slots=True)
class InstructorWords:
    """The instructor's own words for the card."""

    go_around: str | None = None
    sight_mark: str | None = None
    calls: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class Airplane:
    """An airplane: weights, glide, stall, landing without power, limits, configurations.

    `glide` is the clean dead-engine glide with the propeller coarse, at its own reference weight. Stall speeds are
    calibrated, at `maximum_weight_kg`. `approach_ias_mps` and `touchdown_ias_mps` are the speeds of a landing without
    power. `airspeed_correction` is a table of (indicated, calibrated) in m/s, growing, empty when they are taken as
    equal. `estimates` names the file keys whose value is a stated default.
    """

    name: str
    maximum_weight_kg: float
    glide: GlideModel
    stall_clean_cas_mps: float
    stall_landing_cas_mps: float
    approach_ias_mps: float
    touchdown_ias_mps: float
    limits: AirplaneLimits = field(default_factory=AirplaneLimits)
    configurations: tuple[Configuration, ...] = (CLEAN,)
    stand_in: StandIn | None = None
    engine: Engine = field(default_factory=Engine)
    words: InstructorWords = field(default_factory=InstructorWords)
    airspeed_correction: tuple[tuple[float, float], ...] = ()
    estimates: frozenset[str] = frozenset()

    def configuration(self, name: str) -> Configuration:
        """The configuration of that name; KeyError when there is none."""
        for configuration in self.configurations:
            if configuration.name == name:
                return configuration
        raise KeyError(name)

    def stall_clean_at_mps(self, weight_kg: float) -> float:
        """Clean stall speed (calibrated) at a weight: it goes with the square root of the weight."""
        return self.stall_clean_cas_mps * math.sqrt(weight_kg / self.maximum_weight_kg)

    def stall_landing_at_mps(self, weight_kg: float) -> float:
        """Stall speed in landing configuration (calibrated) at a weight."""
        return self.stall_landing_cas_mps * math.sqrt(weight_kg / self.maximum_weight_kg)
