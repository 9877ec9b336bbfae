"""What a lesson can teach: a steady stretch of it with power and configuration recorded, as one equation for the glide.

A stretch whose power or configuration nobody recorded teaches nothing: the stand-in would pass for the airplane.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from enum import StrEnum

from volplane.domain.airplane.partial_glides import PartialGlide, Why
from volplane.domain.airplane.reduction import IDLE_MOST_PA, MOST_ACCELERATION_MPS2, STANDING_RADPS, reduced
from volplane.domain.airplane.thrust import AirState, Powerplant, thrust_power_w
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.glide.configuration import Configuration, Propeller
from volplane.domain.glide.defaults import idling_at_the_fine_stop, under_power, with_propeller


class WhyNot(StrEnum):
    """Why a stretch teaches nothing."""

    POWER_NOT_RECORDED = "power-not-recorded"
    CONFIGURATION_NOT_RECORDED = "configuration-not-recorded"
    CONFIGURATION_UNKNOWN = "configuration-unknown"
    NOT_STEADY = "not-steady"
    OUTSIDE_SPEEDS = "outside-speeds"
    AS_MEASURED = "barred-when-measured"


@dataclass(frozen=True, slots=True)
class LessonStretch:
    """A steady stretch of one flight; `glide.configuration` is "" where nobody recorded it.

    Stretches of one `flight` share their air. `flown_unix_s` is when, in seconds since 1970 UTC.
    """

    flight: str
    flown_unix_s: float
    glide: PartialGlide


@dataclass(frozen=True, slots=True)
class TeachingStretch:
    """A stretch as an equation: its place on the polar, and what thrust there was by the model.

    `drag_less_thrust_factor` is what sink and energy say, in parts of weight, as flown wings level at the reference
    weight at sea level. `tas_mps` is the true airspeed: a m/s of rising air, or of power to weight, takes its inverse
    from that. `thrust_power_per_weight_mps` is the modelled thrust power, 0 at idle and with the engine stopped, where
    the propeller's drag belongs to the configuration. `configuration` is the recorded one with the propeller as it was.
    """

    stretch: LessonStretch
    configuration: Configuration
    eas_mps: float
    drag_less_thrust_factor: float
    drag_less_thrust_factor_sd: float
    tas_mps: float
    thrust_power_per_weight_mps: float
    has_power: bool


@dataclass(frozen=True, slots=True)
class BarredStretch:
    """A stretch that teaches nothing, and why."""

    stretch: LessonStretch
    why: WhyNot


def teaching(
    stretch: LessonStretch,
    configurations: Sequence[Configuration],
    plant: Powerplant,
    reference_weight_kg: float,
    best_eas_mps: float,
) -> TeachingStretch | BarredStretch:
    """The equation of a stretch, or why it has none.

    Speeds from 0.75 to 1.7 times the best glide count: beyond them the parabola is no description.
    """
    glide = stretch.glide
    if glide.manifold_pressure_pa is None or glide.engine_speed_radps is None:
        return BarredStretch(stretch, WhyNot.POWER_NOT_RECORDED)
    if not glide.configuration:
        return BarredStretch(stretch, WhyNot.CONFIGURATION_NOT_RECORDED)
    configuration = next((each for each in configurations if each.name == glide.configuration), None)
    if configuration is None:
        return BarredStretch(stretch, WhyNot.CONFIGURATION_UNKNOWN)
    if glide.why is not None:
        return BarredStretch(stretch, WhyNot.NOT_STEADY if glide.why is Why.NOT_STEADY else WhyNot.AS_MEASURED)
    if abs(glide.acceleration_mps2 or 0.0) > MOST_ACCELERATION_MPS2:
        return BarredStretch(stretch, WhyNot.NOT_STEADY)
    point = reduced(glide, reference_weight_kg)
    if not 0.75 <= point.eas_mps / best_eas_mps <= 1.7:
        return BarredStretch(stretch, WhyNot.OUTSIDE_SPEEDS)
    air = AirState(isa.pressure_pa(glide.pressure_altitude_m), glide.air_temperature_k)
    tas_mps = airspeed.tas_mps_from_cas_mps(glide.cas_mps, air.pressure_pa, air.temperature_k)
    is_turning = glide.engine_speed_radps > STANDING_RADPS
    has_power = is_turning and glide.manifold_pressure_pa > IDLE_MOST_PA
    power_w = 0.0
    if has_power:
        power_w = thrust_power_w(plant, glide.manifold_pressure_pa, glide.engine_speed_radps, tas_mps, air)
    return TeachingStretch(
        stretch,
        _as_flown(configuration, is_turning=is_turning, has_power=has_power),
        point.eas_mps,
        point.drag_to_weight_factor,
        point.drag_to_weight_factor_sd,
        tas_mps,
        power_w / (glide.weight_kg * isa.STANDARD_GRAVITY_MPS2),
        has_power,
    )


def _as_flown(configuration: Configuration, *, is_turning: bool, has_power: bool) -> Configuration:
    """The recorded configuration with the propeller as power and propeller speed say: under power, idling, stopped."""
    if has_power:
        return replace(under_power(configuration), name=f"{configuration.name}, under power")
    if not is_turning:
        return with_propeller(configuration, Propeller.STOPPED)
    if configuration.propeller is Propeller.COARSE:
        return idling_at_the_fine_stop(configuration)
    return configuration
