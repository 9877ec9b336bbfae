"""Reduction of a flown glide to the polar: true height, energy, load factor, weight and density taken out.

An instrument counts pressure, not feet: height by pressure altitude is stretched by the warmth of the air. Speed lost
on the way is height lent. A wind that changes on the way down takes or gives speed. What is left is drag.
"""

from __future__ import annotations

import math

from volplane.domain.airplane.partial_glides import CLEAN_NAME, PartialGlide, ReducedGlide, Why
from volplane.domain.atmosphere import airspeed, isa
from volplane.units import FOOT_M, INCH_OF_MERCURY_PA

# air that rises and sinks: 1 ft/s that lasts half a minute (METHODS of this project, ours)
AIR_SD_MPS, AIR_S = FOOT_M, 30.0
# change of the wind along the nose with height on a day fit for measuring: 3 kt in 1,000 ft, ours
GRADIENT_SD_PER_S = 0.005
# a throttled engine draws less than this in a glide (ours, from memory): more is power
IDLE_MOST_PA = 12.5 * INCH_OF_MERCURY_PA
# a propeller slower than this stands still, whatever the pressure
STANDING_RADPS = 30.0
# steeper than this is a dive, and the polar's one-g speed would mean little
STEEPEST_RAD = math.radians(30.0)
# the airspeed may change by so much a second and still be corrected for; 0.3 kt, ours
MOST_ACCELERATION_MPS2 = 0.15
_SHOWN_SINE = 0.95


def true_sink_mps(pressure_sink_mps: float, pressure_altitude_m: float, air_temperature_k: float) -> float:
    """Sink in true height from sink in pressure altitude: dh = dh_p T / T_std, the tapeline correction.

    Source: standard flight-test reduction of partial climbs and glides (from memory); it follows from the hydrostatic
    equation in air warmer than standard.
    """
    isa.refuse_odd_temperature(air_temperature_k)
    return pressure_sink_mps * air_temperature_k / isa.temperature_k(pressure_altitude_m)


def air_motion_sd_mps(time_s: float) -> float:
    """Scatter of the mean vertical air motion over a glide: AIR_SD_MPS with a memory of AIR_S, averaged.

    Variance of the mean of a first-order Markov process (textbook): 2 s^2 (T/t) (1 - (T/t)(1 - exp(-t/T))).
    """
    memory = AIR_S / time_s
    return AIR_SD_MPS * math.sqrt(2.0 * memory * (1.0 - memory * -math.expm1(-1.0 / memory)))


def reduced(glide: PartialGlide, reference_weight_kg: float) -> ReducedGlide:
    """The point of the polar that a glide shows.

    Along the path m (V' + w' cos gamma) = W sin gamma - D with w' the wind's growth along the nose, so
    D/W = sink/V - acceleration/g, both growths together. Across it L cos phi = W cos gamma, so the load factor is
    n = cos gamma / cos phi, and by equal lift coefficient D/W(n, V) = n f(V sqrt(W_ref/W) / sqrt n) (Lowry, Performance
    of Light Aircraft, AIAA 1999, chapter 9).
    """
    pressure_pa = isa.pressure_pa(glide.pressure_altitude_m)
    tas_mps = airspeed.tas_mps_from_cas_mps(glide.cas_mps, pressure_pa, glide.air_temperature_k)
    sink_mps = glide.sink_mps
    if glide.is_pressure_height:
        sink_mps = true_sink_mps(sink_mps, glide.pressure_altitude_m, glide.air_temperature_k)
    # what is steeper was barred before, and is only shown
    sine = min(max(sink_mps / tas_mps, -_SHOWN_SINE), _SHOWN_SINE)
    cosine = math.sqrt(1.0 - sine * sine)
    load_factor = cosine / math.cos(glide.bank_rad)
    acceleration = glide.acceleration_mps2
    if acceleration is None:
        acceleration = -sink_mps * _tas_growth_per_s(glide)
    drag_to_weight = sine - acceleration / isa.STANDARD_GRAVITY_MPS2
    weight_ratio = reference_weight_kg / glide.weight_kg
    eas_mps = airspeed.eas_mps_from_cas_mps(glide.cas_mps, pressure_pa) * math.sqrt(weight_ratio / load_factor)
    gradient_s = 0.0 if glide.holds_wind_gradient else sink_mps * cosine / isa.STANDARD_GRAVITY_MPS2 / load_factor
    factor = drag_to_weight / load_factor
    sd = math.hypot(
        air_motion_sd_mps(glide.time_s) / tas_mps,
        glide.sink_sd_mps / tas_mps,
        glide.airspeed_sd_mps / tas_mps * factor,
    )
    if glide.heading_true_rad is None:
        # nobody knows which way it went: the gradient is scatter
        sd = math.hypot(sd, GRADIENT_SD_PER_S * gradient_s)
    return ReducedGlide(glide, eas_mps, factor, sd / load_factor, gradient_s)


def _tas_growth_per_s(glide: PartialGlide) -> float:
    """Growth of the true airspeed with true height at a constant calibrated one, in m/s a metre."""
    step_m = 50.0
    warmth = glide.air_temperature_k / isa.temperature_k(glide.pressure_altitude_m)
    above, below = (
        airspeed.tas_mps_from_cas_mps(
            glide.cas_mps,
            isa.pressure_pa(glide.pressure_altitude_m + way * step_m),
            glide.air_temperature_k - way * step_m * warmth * isa.LAPSE_K_PER_M,
        )
        for way in (1.0, -1.0)
    )
    return (above - below) / (2.0 * step_m * warmth)


def excluded(glide: PartialGlide, stall_eas_mps: float, known: frozenset[str]) -> Why | None:
    """What bars a glide before any fit, None when nothing does.

    `stall_eas_mps` is the clean stall at its weight; `known` the names of the airplane's configurations.
    """
    if glide.why is not None:
        return glide.why
    if glide.configuration not in known:
        return Why.UNKNOWN_CONFIGURATION
    if glide.sink_mps <= 0.0:
        return Why.CLIMBING
    if _has_power(glide):
        return Why.POWER_ON
    if abs(glide.acceleration_mps2 or 0.0) > MOST_ACCELERATION_MPS2:
        return Why.NOT_STEADY
    if glide.configuration == CLEAN_NAME and glide.cas_mps < stall_eas_mps / math.sqrt(math.cos(glide.bank_rad)):
        return Why.STALLED
    pressure_pa = isa.pressure_pa(glide.pressure_altitude_m)
    tas_mps = airspeed.tas_mps_from_cas_mps(glide.cas_mps, pressure_pa, glide.air_temperature_k)
    return Why.TOO_STEEP if glide.sink_mps > tas_mps * math.sin(STEEPEST_RAD) else None


def _has_power(glide: PartialGlide) -> bool:
    """Manifold pressure above that of a closed throttle, while the propeller turns."""
    if glide.manifold_pressure_pa is None or glide.manifold_pressure_pa <= IDLE_MOST_PA:
        return False
    return glide.engine_speed_radps is None or glide.engine_speed_radps > STANDING_RADPS
