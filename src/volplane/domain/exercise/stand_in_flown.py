"""A planned exercise flown with the stand-in: how much more, or less, height it takes than the dead engine.

The same path over the ground at the same speeds and banks, both airplanes steady step by step: the dead engine as
planned; the stand-in with the throttle left where it was set, and closed for the final. So the errors of the honesty
table are weighed by how long an exercise really spends in each.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np

from volplane.domain.airplane.honesty import air_at
from volplane.domain.airplane.stand_in import StandInMatch
from volplane.domain.airplane.thrust import AirState, fixed_throttle_pa
from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.pilot_limits import gliding_configuration, landing_configuration
from volplane.domain.exercise.plan import Plan
from volplane.domain.exercise.shape import FINAL, FINAL_RESERVE
from volplane.domain.geometry.angles import headwind_and_crosswind_mps
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.defaults import idling_at_the_fine_stop
from volplane.domain.glide.guided_flight import STEP_S
from volplane.domain.glide.turning import steady_turn

TO_LOW_KEY, TO_FINAL, ON_FINAL = "to the low key", "low key to final", "final, power off"
_PARTS = (TO_LOW_KEY, TO_FINAL, ON_FINAL)
# every so many integration steps is near enough
_EVERY = 4


@dataclass(frozen=True, slots=True)
class FlownPart:
    """One part of the exercise: height the dead engine loses on it, and height the stand-in loses."""

    part: str
    real_loss_m: float
    stand_in_loss_m: float

    @property
    def error_m(self) -> float:
        """What the stand-in loses more; negative where it loses less."""
        return self.stand_in_loss_m - self.real_loss_m


@dataclass(frozen=True, slots=True)
class FlownExercise:
    """The whole exercise at a speed off best glide: its parts, and the errors added up in both directions.

    `headwind_mps` is the wind on the runway, at its entry height; `is_in_stronger_wind` tells the flight into more wind
    than the exercise's own.

    `more_m` adds up what the stand-in loses more, `less_m` what it loses less (positive), step by step; they may cancel
    in `error_m` and still mislead where they arise.
    """

    speed_offset_mps: float
    parts: tuple[FlownPart, ...]
    more_m: float
    less_m: float
    headwind_mps: float = 0.0
    is_in_stronger_wind: bool = False

    @property
    def error_m(self) -> float:
        """What the stand-in loses more from the high key to the round-out."""
        return self.more_m - self.less_m


def flown_with_stand_in(plan: Plan, found: StandInMatch, speed_offset_mps: float = 0.0) -> FlownExercise:
    """Fly a plan with a stand-in, at the planned speeds and so much faster before the final.

    A faster airplane banks more over the same ground and is there sooner; both airplanes do.

    :raises NoSteadyGlide: drag above the weight even without lift.
    """
    path = plan.path
    low_key = plan.gate(GateName.LOW_KEY)
    low_key_s = math.inf if low_key is None else low_key.time_s
    losses = {part: [0.0, 0.0] for part in _PARTS}
    more = less = 0.0
    airs: dict[int, AirState] = {}
    flown_from_s, flown_to_s = float(path.time_s[0]), _fifty_foot_s(plan)
    for row in range(0, len(path.time_s), _EVERY):
        now_s = float(path.time_s[row])
        if not flown_from_s <= now_s < flown_to_s:
            continue
        duration_s = min(_EVERY * STEP_S, flown_to_s - now_s)
        leg = path.phase_names[int(path.phase_index[row])]
        part = ON_FINAL if leg in (FINAL, FINAL_RESERVE) else TO_LOW_KEY if now_s < low_key_s else TO_FINAL
        offset = 0.0 if part == ON_FINAL else speed_offset_mps
        real, flown, shorter = _sinks(plan, found, airs, row, offset, part == ON_FINAL)
        step_s = duration_s * shorter
        losses[part][0] += real * step_s
        losses[part][1] += flown * step_s
        more += max(flown - real, 0.0) * step_s
        less += max(real - flown, 0.0) * step_s
    parts = tuple(FlownPart(part, *losses[part]) for part in _PARTS)
    return FlownExercise(speed_offset_mps, parts, more, less, _headwind_mps(plan))


def _headwind_mps(plan: Plan) -> float:
    exercise = plan.exercise
    speed_mps, from_rad = exercise.weather.wind.speed_and_direction(exercise.entry_height_m)
    head_mps, _ = headwind_and_crosswind_mps(exercise.runway.bearing_true_rad, from_rad, speed_mps)
    return head_mps


def _fifty_foot_s(plan: Plan) -> float:
    """When the straight final ends; round-out and float follow."""
    path = plan.path
    before = path.x_m < plan.legs.fifty_foot_x_m
    on_final = np.isin(np.array(path.phase_names)[path.phase_index], (FINAL, FINAL_RESERVE))
    inside = np.flatnonzero(on_final & before)
    return float(path.time_s[inside[-1]]) if len(inside) else float(path.time_s[-1])


def _sinks(
    plan: Plan, found: StandInMatch, airs: dict[int, AirState], row: int, offset_mps: float, is_final: bool
) -> tuple[float, float, float]:
    """Real and stand-in sink at a row of the path, and how much shorter the step is at the faster speed."""
    path, exercise, here = plan.path, plan.exercise, found.conditions
    altitude_m = exercise.ground_msl_m + float(path.height_m[row])
    key = round(altitude_m / 15.0)
    if key not in airs:
        airs[key] = air_at(exercise.weather.atmosphere, key * 15.0)
    air = airs[key]
    glide = found.powered.glide.at_weight(exercise.weight_kg)
    eas_mps = float(path.eas_mps[row]) + offset_mps
    faster = eas_mps / float(path.eas_mps[row])
    bank_rad = math.atan(math.tan(abs(float(path.bank_rad[row]))) * faster**2)

    def sink(configuration: Configuration) -> float:
        return steady_turn(glide, eas_mps, bank_rad, configuration, air.density_kgpm3).sink_mps

    if is_final:
        landing = landing_configuration(exercise)
        return sink(landing), sink(idling_at_the_fine_stop(landing)), 1.0
    left_pa = fixed_throttle_pa(found.setting_pa, here.air, air)
    powered = found.powered.with_power(left_pa, here.engine_speed_radps, eas_mps, exercise.weight_kg, air)
    return sink(gliding_configuration(exercise)), sink(powered), 1.0 / faster
