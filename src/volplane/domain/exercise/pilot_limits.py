"""The pilot's limits and today's air of one exercise, as every calculation of it uses them."""

from __future__ import annotations

import math
from dataclasses import replace

from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps, eas_mps_from_ias_mps
from volplane.domain.geometry.local_frame import LocalFrame
from volplane.domain.glide.configuration import CLEAN, Configuration, Flap, Gear, Propeller
from volplane.domain.glide.guided_flight import Air, Handling
from volplane.domain.glide.limits import PilotLimits
from volplane.domain.glide.polar import GlideModel
from volplane.units import FOOT_M

# the turn to final is complete by 300 ft: FAA Airplane Flying Handbook, 360-degree overhead approach
FINAL_COMPLETE_HEIGHT_M = 300.0 * FOOT_M


def air_of(exercise: Exercise) -> Air:
    """Today's air in the frame of the exercise's runway, heights counted from the touchdown point."""
    base_m = exercise.ground_msl_m - exercise.airfield.elevation_msl_m
    weather = exercise.weather
    return Air(weather.atmosphere, weather.wind, exercise.runway.bearing_true_rad, base_m)


def frame_of(exercise: Exercise) -> LocalFrame:
    """The runway frame with its origin at the touchdown point."""
    runway = exercise.runway
    at_threshold = LocalFrame(runway.threshold_latitude_deg, runway.threshold_longitude_deg, runway.bearing_true_rad)
    return at_threshold.moved(exercise.touchdown_beyond_threshold_m, 0.0)


def glide_of(exercise: Exercise) -> GlideModel:
    """The dead-engine glide at today's weight."""
    return exercise.airplane.glide.at_weight(exercise.weight_kg)


def gliding_configuration(exercise: Exercise) -> Configuration:
    """Clean, dead engine, propeller coarse."""
    return _first(exercise, Gear.UP, Flap.UP, Propeller.COARSE) or CLEAN


def landing_configuration(exercise: Exercise) -> Configuration:
    """Gear down and full flap without power; the gliding one where the airplane file knows no such configuration."""
    return _first(exercise, Gear.DOWN, Flap.FULL, Propeller.COARSE) or gliding_configuration(exercise)


def fine_pitch_configuration(exercise: Exercise) -> Configuration | None:
    """Clean with the propeller stuck in fine pitch, None where the airplane file knows no such configuration."""
    return _first(exercise, Gear.UP, Flap.UP, Propeller.FINE)


def _first(exercise: Exercise, gear: Gear, flap: Flap, propeller: Propeller) -> Configuration | None:
    """The first unpowered configuration of the airplane with these positions."""
    for known in exercise.airplane.configurations:
        is_powered = known.thrust_power_per_weight_mps > 0.0
        if (known.gear, known.flap, known.propeller) == (gear, flap, propeller) and not is_powered:
            return known
    return None


def wished_ias_mps(exercise: Exercise, gate: GateName) -> float | None:
    """The indicated airspeed the exercise's own phase table wants from a gate on, None where it does not say."""
    for phase in exercise.phases:
        if phase.start_gate is gate and phase.ias_mps is not None:
            return phase.ias_mps
    return None


def pilot_limits(exercise: Exercise) -> PilotLimits:
    """The pilot's limits of the exercise: best glide for today's weight unless its phase table wishes another speed.

    Speeds are turned into equivalent airspeeds at half the low-key height.
    """
    weather = exercise.weather
    height_m = 0.5 * exercise.low_key_height_m + exercise.ground_msl_m - exercise.airfield.elevation_msl_m
    airplane = exercise.airplane

    def eas(ias_mps: float) -> float:
        return eas_mps_from_ias_mps(airplane, ias_mps, weather.atmosphere, height_m)

    wished = wished_ias_mps(exercise, GateName.LOW_KEY) or wished_ias_mps(exercise, GateName.HIGH_KEY)
    final = wished_ias_mps(exercise, GateName.FINAL) or airplane.approach_ias_mps
    return PilotLimits(
        glide_eas_mps=glide_of(exercise).best_eas_mps if wished is None else eas(wished),
        approach_eas_mps=eas(final),
        touchdown_eas_mps=cas_mps_from_ias_mps(airplane, airplane.touchdown_ias_mps),
        bank_high_rad=exercise.maximum_bank_rad,
        bank_low_rad=exercise.maximum_bank_below_low_key_rad,
        bank_band_height_m=exercise.low_key_height_m,
        roll_rate_radps=Handling().roll_rate_radps,
        reaction_delay_s=exercise.reaction_delay_s,
        minimum_final_m=exercise.minimum_final_m,
        final_complete_height_m=FINAL_COMPLETE_HEIGHT_M,
        stall_margin_fraction=exercise.stall_margin_fraction,
        glide_configuration=gliding_configuration(exercise),
        landing_configuration=landing_configuration(exercise),
    )


def with_propeller_fine(limits: PilotLimits, fine: Configuration) -> PilotLimits:
    """The same limits with the propeller in fine pitch, on final too."""
    landing = limits.landing_configuration
    stuck = replace(
        landing,
        name=f"{landing.name}, propeller fine",
        propeller=Propeller.FINE,
        extra_drag_factor=landing.extra_drag_factor + fine.extra_drag_factor,
    )
    return replace(limits, glide_configuration=fine, landing_configuration=stuck)


def even_radius_m(tas_mps: float, wind_mps: float, mean_bank_rad: float) -> float:
    """Radius of an even ground circle whose bank is `mean_bank_rad` on average: g tan phi R = mean of V_ground^2.

    Round the circle the square of the ground speed is V^2 + w^2 on average (law of cosines, first order in w/V).
    """
    return (tas_mps**2 + wind_mps**2) / (9.80665 * math.tan(mean_bank_rad))


def mean_bank_within_rad(tas_mps: float, wind_mps: float, limit_rad: float) -> float:
    """Mean bank of an even ground circle whose greatest bank, where the wind is behind, is the limit.

    The radius is that of `even_radius_m`; the greatest bank belongs to the ground speed V + w.
    """
    return math.atan(math.tan(limit_rad) * (tas_mps**2 + wind_mps**2) / (tas_mps + wind_mps) ** 2)
