"""Practical required height: the least height from which a trainee, within the pilot's limits, reaches the runway.

The airplane goes on as it is for the reaction delay and while it rolls, flies the cheapest turn-straight-turn or
turn-turn-turn path in today's layered air to the start of the final, and glides the final straight to the aim point,
over the minimum final in landing configuration. The final starts, wings level, at `final_complete_height_m` or higher,
no farther out than the glide down it reaches and no nearer than the minimum final. The reserve is not in it.

All turns use the steepest bank allowed low down (`bank_low_rad`): every such path ends there, and the steeper bank
allowed higher up would only make the figure smaller, so this errs on the safe side.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.guided_flight import Air, Handling, Leg, LegKind, Simulator, Start, crab_heading_rad
from volplane.domain.glide.limits import PilotLimits
from volplane.domain.glide.polar import GlideModel
from volplane.domain.glide.required_height import is_established_on_final
from volplane.errors import WindNotBelowAirspeed
from volplane.units import FOOT_M

Array = NDArray[np.float64]

FIFTY_FEET_M = 50.0 * FOOT_M
_HIGHEST_AIR_M = 4500.0
# the profile of the final is flown from this far above the height at which the turn must be complete
_PROFILE_ABOVE_M = 600.0
_SWITCH_TOLERANCE_M = 0.2
# half the height of the glide between low key and final, where its mean sink is taken
_TYPICAL_ABOVE_FINAL_M = 150.0


@dataclass(frozen=True, slots=True)
class FinalGlide:
    """The straight glide down the final to 50 ft: gliding configuration, then landing configuration.

    `distance_m` (n,) is the ground distance still to fly to the aim point and `height_m` (n,) the height there, both
    falling along the glide. The final proper starts `start_distance_m` from the aim point at `start_height_m`.
    """

    start_distance_m: float
    start_height_m: float
    distance_m: Array
    height_m: Array


def final_glide(glide: GlideModel, air: Air, limits: PilotLimits, fifty_foot_to_aim_m: float) -> FinalGlide:
    """Fly the final, wings level: best glide, then slower with gear and flap over `minimum_final_m` to the aim point.

    The turn must be complete where this glide still has `final_complete_height_m`, or farther out.
    """
    simulator = Simulator(glide, air)
    top_m = limits.final_complete_height_m + _PROFILE_ABOVE_M
    switch_m = FIFTY_FEET_M + 0.1 * limits.minimum_final_m
    rows = _fly_final(simulator, air, limits, top_m, switch_m)
    for _ in range(20):
        left_m = rows[-1, 1] - rows[:, 1] + fifty_foot_to_aim_m
        excess_m = float(np.interp(-switch_m, -rows[:, 3], left_m)) - limits.minimum_final_m
        if abs(excess_m) < _SWITCH_TOLERANCE_M:
            break
        slope = (switch_m - FIFTY_FEET_M) / max(limits.minimum_final_m + excess_m - fifty_foot_to_aim_m, 1.0)
        switch_m = max(switch_m - excess_m * slope, FIFTY_FEET_M + 0.1)
        rows = _fly_final(simulator, air, limits, top_m, switch_m)
    distance_m = rows[-1, 1] - rows[:, 1] + fifty_foot_to_aim_m
    height_m = rows[:, 3].copy()
    start_m = max(limits.final_complete_height_m, switch_m)
    start_distance_m = float(np.interp(-start_m, -height_m, distance_m))
    return FinalGlide(start_distance_m, start_m, distance_m, height_m)


def _fly_final(simulator: Simulator, air: Air, limits: PilotLimits, height_m: float, switch_m: float) -> Array:
    """Rows of a straight glide along the runway from a height to 50 ft, landing configuration below `switch_m`."""
    wind_x, wind_y = (float(wind) for wind in air.wind_xy_mps(height_m))
    tas_mps = air.tas_mps_from_eas_mps(limits.glide_eas_mps, height_m)
    if math.hypot(wind_x, wind_y) >= tas_mps:
        raise WindNotBelowAirspeed(math.hypot(wind_x, wind_y), tas_mps, height_m + air.base_above_field_m)
    heading_rad = crab_heading_rad(0.0, tas_mps, wind_x, wind_y)
    clean = Leg(
        "final, clean",
        LegKind.LINE,
        0.0,
        limits.glide_eas_mps,
        limits.glide_configuration,
        limits.bank_low_rad,
        x_m=1e6,
        end_height_m=switch_m,
    )
    landing = replace(
        clean,
        name="final",
        eas_mps=limits.approach_eas_mps,
        configuration=limits.landing_configuration,
        end_height_m=FIFTY_FEET_M,
    )
    return simulator.fly_rows(Start(0.0, 0.0, height_m, heading_rad, limits.glide_eas_mps), (clean, landing))


@dataclass(frozen=True, slots=True)
class SteadyGlide:
    """A steady straight or turning glide as fractions of the airspeed: sine and cosine of the path angle."""

    sink_fraction: float
    level_fraction: float


def steady_glide(glide: GlideModel, eas_mps: float, bank_rad: float, configuration: Configuration) -> SteadyGlide:
    """Path angle of the exact helix without thrust: n = cos gamma / cos phi, sin gamma = D/W."""
    level = 1.0
    sink = 0.0
    for _ in range(6):
        sink = glide.drag_to_weight(eas_mps, level / math.cos(bank_rad), configuration)
        level = math.sqrt(max(1.0 - sink * sink, 0.01))
    return SteadyGlide(sink, level)


def falling_airspeed_factor(air: Air, eas_mps: float, height_m: float) -> float:
    """Sink at a constant equivalent airspeed in parts of the sink at a constant true one, a little under 1.

    On the way down the true airspeed falls with the growing density, and its energy is given back as height: by energy
    sin gamma (1 + V dV/dh / g) = D/W, with V dV/dh = V^2/2 times the relative fall of density with height.
    """
    below, above = (air.atmosphere.density_ratio(height_m + air.base_above_field_m + off) for off in (-50.0, 50.0))
    tas_mps = air.tas_mps_from_eas_mps(eas_mps, height_m)
    return 1.0 / (1.0 + tas_mps**2 / (2.0 * 9.80665) * math.log(below / above) / 100.0)


@dataclass(frozen=True, slots=True)
class PracticalHeight:
    """Practical required height for one airplane, weight, runway and air; made by `practical_height`."""

    final: FinalGlide
    aim_x_m: float
    parameter_row: Array
    air_table: Array

    def required_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        """Least height above the touchdown point from states (n,): position, air heading, bank, present height.

        The present height only tells at which wind the reaction delay is flown. Infinite where there is no way, NaN for
        NaN. Not for states established on final: see `on_final_m`.
        """
        from volplane.domain.glide.practical_height_kernel import required_heights

        states = [
            np.atleast_1d(np.asarray(value, dtype=float)) for value in (x_m, y_m, heading_rad, bank_rad, height_m)
        ]
        shape = np.broadcast_shapes(*(state.shape for state in states))
        x, y, heading, bank, height = (np.ascontiguousarray(np.broadcast_to(state, shape).ravel()) for state in states)
        out = np.empty(x.shape)
        required_heights(x, y, heading, bank, height, self.parameter_row, self.air_table, out)
        return out.reshape(shape)

    def on_final_m(self, x_m: Array) -> Array:
        """Height of the straight glide to the aim point at distances along the runway line, (n,) to (n,).

        In landing configuration inside the minimum final, in gliding configuration farther out, prolonged at its last
        slope beyond the profile flown; NaN within the last 50 ft of height.
        """
        distance_m = self.aim_x_m - np.asarray(x_m, dtype=float)
        final = self.final
        inside = np.interp(distance_m, final.distance_m[::-1], final.height_m[::-1])
        slope = (final.height_m[0] - final.height_m[4]) / (final.distance_m[0] - final.distance_m[4])
        beyond = final.height_m[0] + (distance_m - final.distance_m[0]) * slope
        height_m = np.where(distance_m > final.distance_m[0], beyond, inside)
        return np.where(distance_m < final.distance_m[-1], np.nan, height_m)

    def glide_tas_mps(self, height_m: Array) -> Array:
        """True airspeed of the glide at heights above the touchdown point, (n,) to (n,)."""
        from volplane.domain.glide.practical_height_kernel import AIR_STEP_M, GLIDE_EAS

        place = np.asarray(height_m, dtype=float) / AIR_STEP_M
        factor = np.interp(place, np.arange(len(self.air_table)), self.air_table[:, 0])
        return np.asarray(self.parameter_row[GLIDE_EAS] * factor)

    def is_established(self, x_m: Array, y_m: Array, track_rad: Array) -> NDArray[np.bool_]:
        """Whether states (n,) are lined up with the runway, so that the straight glide counts: see the exact form."""
        return np.asarray(is_established_on_final(np.asarray(x_m) - self.aim_x_m, y_m, track_rad), dtype=np.bool_)


def practical_height(
    glide: GlideModel, air: Air, limits: PilotLimits, aim_x_m: float, fifty_foot_x_m: float
) -> PracticalHeight:
    """The practical required height of an airplane at the glide model's reference weight in today's air.

    :raises WindNotBelowAirspeed: the wind on final is as strong as the airspeed.
    """
    final = final_glide(glide, air, limits, aim_x_m - fifty_foot_x_m)
    straight = steady_glide(glide, limits.glide_eas_mps, 0.0, limits.glide_configuration)
    turning = steady_glide(glide, limits.glide_eas_mps, limits.bank_low_rad, limits.glide_configuration)
    kept = falling_airspeed_factor(air, limits.glide_eas_mps, final.start_height_m + _TYPICAL_ABOVE_FINAL_M)
    parameters = np.array(
        [
            limits.glide_eas_mps,
            straight.sink_fraction * kept,
            straight.level_fraction,
            limits.bank_low_rad,
            turning.sink_fraction * kept,
            turning.level_fraction,
            aim_x_m - final.start_distance_m,
            aim_x_m - min(limits.minimum_final_m, final.start_distance_m),
            final.start_height_m,
            limits.reaction_delay_s + rolling_s(limits),
        ]
    )
    return PracticalHeight(final, aim_x_m, parameters, _air_table(air))


def rolling_s(limits: PilotLimits) -> float:
    """How much later a turn begins because the airplane has to roll: half the roll and the lag of hand and airplane.

    A bank that grows evenly turns, until it is reached, as far as half that time at full bank would. Rolling out is
    begun so much earlier, so only the first turn is late.
    """
    return 0.5 * limits.bank_low_rad / limits.roll_rate_radps + Handling().roll_time_s


def _air_table(air: Air) -> Array:
    """TAS to EAS, cumulative wind and wind at equal steps of height above the touchdown point, (n, 5)."""
    from volplane.domain.glide.practical_height_kernel import AIR_STEP_M

    heights_m = np.arange(0.0, _HIGHEST_AIR_M + AIR_STEP_M, AIR_STEP_M)
    wind_x, wind_y = air.wind_xy_mps(heights_m)
    density_ratio = air.atmosphere.density_ratio(heights_m + air.base_above_field_m)
    table = np.zeros((len(heights_m), 5))
    table[:, 0] = 1.0 / np.sqrt(density_ratio)
    table[1:, 1] = np.cumsum(0.5 * (wind_x[1:] + wind_x[:-1])) * AIR_STEP_M
    table[1:, 2] = np.cumsum(0.5 * (wind_y[1:] + wind_y[:-1])) * AIR_STEP_M
    table[:, 3] = wind_x
    table[:, 4] = wind_y
    return table
