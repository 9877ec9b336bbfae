"""A guided glide over the ground, integrated: the compiled heart of plan, dispersion and demo flights.

Point mass in moving air. State: x, y, height, air heading, true airspeed, bank. Speed and bank answer a command with
a first-order lag and a limit; the path angle follows from energy, with load factor n = cos gamma / cos phi and the wind
gradient felt along the heading:

    sin gamma (1 + (V/g) cos gamma dw/dh) = (T - D)/W - V'/g        psi' = -g tan phi / V  (right bank turns clockwise)

Fixed step Runge-Kutta of fourth order; the guidance is evaluated inside each stage and a leg ends inside a step, so the
end of a flight is a smooth function of its legs. Import inside functions only: importing a kernel starts the compiler.

A leg is one row of LEG_COLUMNS numbers, an output row has OUT_COLUMNS (see the constants).
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit
from volplane.domain.atmosphere.air_kernel import density_kgpm3, wind_at, wind_gradient_at
from volplane.domain.glide.polar_kernel import drag_to_weight

Array = NDArray[np.float64]

# kinds of legs
LINE, ARC, TURN = 0.0, 1.0, 2.0
# columns of a leg
KIND, TRACK_END, POINT_X, POINT_Y, TURN_SIGN, RADIUS_OR_BANK = 0, 1, 2, 3, 4, 5
EAS, EXTRA_DRAG, INDUCED, THRUST_POWER, BANK_LIMIT, END_HEIGHT, END_TIME = 6, 7, 8, 9, 10, 11, 12
LEG_COLUMNS = 13
# columns of the output
(T, X, Y, HEIGHT, HEADING, TRACK, BANK, TAS, EAS_OUT, GROUND_SPEED, LEG, CLEAN_LOSS, EXTRA_LOSS) = range(13)
EXTRA_DRAG_OUT = 13
OUT_COLUMNS = 14
# columns of the disturbance
SPEED_ERROR, BANK_ERROR, AIR_RISING = 0, 1, 2
# entries of the handling array
ROLL_RATE, ROLL_TIME, SPEED_TIME, SPEED_RATE, CONFIGURATION_TIME = 0, 1, 2, 3, 4
AIR_PRESSURE, AIR_TEMPERATURE, SHEAR, BASE_HEIGHT = 5, 6, 7, 8
HANDLING_LENGTH = 9

_G = 9.80665
_SEA_LEVEL_DENSITY = 1.225
# guidance: time to close half an offset, and to turn onto the wanted track
_OFFSET_TIME_S = 6.0
_TRACK_TIME_S = 2.0
# A pilot in the wind gradient near the ground does not dive to more than twice the slope to keep every knot, and no
# glide is steeper than 45 degrees (both ours; they only bite where the model is not used).
_LEAST_GRADIENT_FACTOR = 0.5
_STEEPEST_SINE = 0.7
# turns a height left over into seconds, only to order the ends of a leg
_TYPICAL_SINK_MPS = 5.0


class World(NamedTuple):
    """What a flight flies in and with: kernel table of the polar, wind levels (k,) in the runway frame, handling."""

    polar: Array
    wind_heights: Array
    wind_x: Array
    wind_y: Array
    handling: Array


@njit
def wrapped(angle_rad: float) -> float:
    """Angle in (-pi, pi]."""
    return angle_rad - 2.0 * math.pi * math.ceil((angle_rad - math.pi) / (2.0 * math.pi))


@njit
def wanted_bank_of(
    leg: Array, x_m: float, y_m: float, heading_rad: float, track_rad: float, ground_speed_mps: float
) -> float:
    """Bank command that holds the leg's line, ground circle or constant bank; positive right wing down."""
    along: float = leg[TRACK_END]
    limit: float = leg[BANK_LIMIT]
    reach = ground_speed_mps * _OFFSET_TIME_S
    if leg[KIND] == TURN:
        held: float = -leg[TURN_SIGN] * leg[RADIUS_OR_BANK]
        return held
    if leg[KIND] == LINE:
        offset = -(x_m - leg[POINT_X]) * math.sin(along) + (y_m - leg[POINT_Y]) * math.cos(along)
        turn_rate = 0.0
        wanted = along - math.atan(offset / reach)
    else:
        from_centre_x = x_m - leg[POINT_X]
        from_centre_y = y_m - leg[POINT_Y]
        distance = math.hypot(from_centre_x, from_centre_y)
        sign = leg[TURN_SIGN]
        turn_rate = sign * ground_speed_mps / max(distance, 0.25 * leg[RADIUS_OR_BANK])
        tangent = math.atan2(from_centre_y, from_centre_x) + sign * 0.5 * math.pi
        wanted = tangent + sign * math.atan((distance - leg[RADIUS_OR_BANK]) / reach)
    turn_rate += wrapped(wanted - track_rad) / _TRACK_TIME_S
    crab = max(math.cos(wrapped(track_rad - heading_rad)), 0.3)
    bank = -math.atan(ground_speed_mps * turn_rate / (_G * crab))
    return min(max(bank, -limit), limit)


@njit
def air_motion(
    height_m: float,
    heading_rad: float,
    tas_mps: float,
    bank_rad: float,
    wanted_eas_mps: float,
    speed_error_mps: float,
    configuration: Array,
    world: World,
) -> tuple[float, float, float, float, float, float, float]:
    """Velocity over the ground, climb and speed rate of a glide, with its equivalent airspeed, load and net drag."""
    above_field, shear = height_m + world.handling[BASE_HEIGHT], world.handling[SHEAR]
    density = density_kgpm3(above_field, world.handling[AIR_PRESSURE], world.handling[AIR_TEMPERATURE])
    to_eas = math.sqrt(density / _SEA_LEVEL_DENSITY)
    air_x, air_y = wind_at(above_field, world.wind_heights, world.wind_x, world.wind_y, shear)
    slope_x, slope_y = wind_gradient_at(above_field, world.wind_heights, world.wind_x, world.wind_y, shear)
    cos_heading, sin_heading = math.cos(heading_rad), math.sin(heading_rad)
    gradient = slope_x * cos_heading + slope_y * sin_heading

    wanted_speed = wanted_eas_mps / to_eas + speed_error_mps
    speed_rate = (wanted_speed - tas_mps) / world.handling[SPEED_TIME]
    speed_rate = min(max(speed_rate, -world.handling[SPEED_RATE]), world.handling[SPEED_RATE])

    eas = tas_mps * to_eas
    cos_path, sin_path, net, load_factor = 1.0, 0.0, 0.0, 1.0
    cos_bank = math.cos(bank_rad)
    thrust = configuration[2] / tas_mps
    for _ in range(2):  # the path angle is small: its cosine settles at once
        load_factor = cos_path / cos_bank
        net = drag_to_weight(eas, load_factor, world.polar, configuration[0], configuration[1]) - thrust
        felt = max(1.0 + tas_mps / _G * cos_path * gradient, _LEAST_GRADIENT_FACTOR)
        sin_path = min(max((-net - speed_rate / _G) / felt, -_STEEPEST_SINE), _STEEPEST_SINE)
        cos_path = math.sqrt(1.0 - sin_path * sin_path)
    velocity_x = tas_mps * cos_path * cos_heading + air_x
    velocity_y = tas_mps * cos_path * sin_heading + air_y
    return velocity_x, velocity_y, tas_mps * sin_path, speed_rate, eas, load_factor, net


@njit
def _rates(
    state: Array,
    leg: Array,
    configuration: Array,
    disturbance: Array,
    world: World,
    rates: Array,
) -> None:
    """Time derivatives of x, y, height, heading, airspeed, bank, clean loss, extra loss."""
    speed, bank = state[4], state[5]
    wanted_eas: float = leg[EAS]
    velocity_x, velocity_y, climb, speed_rate, eas, load_factor, net = air_motion(
        state[2], state[3], speed, bank, wanted_eas, disturbance[SPEED_ERROR], configuration, world
    )
    clean = drag_to_weight(eas, load_factor, world.polar, 0.0, 1.0)

    ground_speed = math.hypot(velocity_x, velocity_y)
    track = math.atan2(velocity_y, velocity_x)
    wanted_bank = wanted_bank_of(leg, state[0], state[1], state[3], track, ground_speed) + disturbance[BANK_ERROR]
    roll_rate = (wanted_bank - bank) / world.handling[ROLL_TIME]

    rates[0] = velocity_x
    rates[1] = velocity_y
    rates[2] = climb + disturbance[AIR_RISING]
    rates[3] = -_G * math.tan(bank) / speed
    rates[4] = speed_rate
    rates[5] = min(max(roll_rate, -world.handling[ROLL_RATE]), world.handling[ROLL_RATE])
    rates[6] = speed * clean
    rates[7] = speed * (net - clean)


@njit
def ground_motion(state: Array, world: World) -> tuple[float, float]:
    """Track and ground speed; the path angle's cosine is left out (under 1 % of the airspeed, nowhere integrated)."""
    above_field = state[2] + world.handling[BASE_HEIGHT]
    air_x, air_y = wind_at(above_field, world.wind_heights, world.wind_x, world.wind_y, world.handling[SHEAR])
    velocity_x = state[4] * math.cos(state[3]) + air_x
    velocity_y = state[4] * math.sin(state[3]) + air_y
    return math.atan2(velocity_y, velocity_x), math.hypot(velocity_x, velocity_y)


@njit
def _roll_lead_s(bank: float, world: World) -> float:
    """Half the time a roll through this bank takes: by so much earlier a roll begins, to straddle the leg's end."""
    lead: float = 0.5 * abs(bank) / world.handling[ROLL_RATE] + world.handling[ROLL_TIME]
    return lead


@njit
def past_end(
    state: Array,
    leg: Array,
    next_leg: Array,
    has_next: bool,
    leg_time_s: float,
    world: World,
) -> float:
    """How far, in seconds, the leg's end has been passed; negative before it."""
    track, ground_speed = ground_motion(state, world)
    below: float = (leg[END_HEIGHT] - state[2]) / _TYPICAL_SINK_MPS
    past: float = max(leg_time_s - leg[END_TIME], below)
    if leg[KIND] == LINE:
        along = leg[TRACK_END]
        distance: float = (state[0] - leg[POINT_X]) * math.cos(along) + (state[1] - leg[POINT_Y]) * math.sin(along)
        lead = 0.0
        if has_next and next_leg[KIND] == ARC:
            lead = _roll_lead_s(math.atan(ground_speed**2 / (_G * next_leg[RADIUS_OR_BANK])), world)
        elif has_next and next_leg[KIND] == TURN:
            lead = _roll_lead_s(next_leg[RADIUS_OR_BANK], world)
        return max(past, distance / ground_speed + lead)
    rate: float = ground_speed / leg[RADIUS_OR_BANK]
    if leg[KIND] == TURN:
        rate = _G * math.tan(leg[RADIUS_OR_BANK]) / state[4]
    remaining = wrapped(leg[TURN_SIGN] * (leg[TRACK_END] - track))
    if remaining < -0.5 * math.pi:  # more than half a circle to go: the end is ahead, not behind
        remaining += 2.0 * math.pi
    if leg_time_s < 2.0:  # a turn of half a circle may start a hair past its own end
        return past if past > 0.0 else -1.0
    lead = _roll_lead_s(state[5], world)
    if has_next and next_leg[KIND] != LINE:
        lead = 0.0
    return max(past, lead - remaining / rate)


@njit
def _step(
    state: Array,
    step_s: float,
    leg: Array,
    configuration: Array,
    disturbance: Array,
    world: World,
    work: Array,
    result: Array,
) -> None:
    """One Runge-Kutta step of fourth order; `work` holds four rows of rates and one of a trial state."""
    count = state.shape[0]
    trial = work[4]
    for stage in range(4):
        for i in range(count):
            if stage == 0:
                trial[i] = state[i]
            elif stage == 3:
                trial[i] = state[i] + step_s * work[2, i]
            else:
                trial[i] = state[i] + 0.5 * step_s * work[stage - 1, i]
        _rates(trial, leg, configuration, disturbance, world, work[stage])
    for i in range(count):
        result[i] = state[i] + step_s / 6.0 * (work[0, i] + 2.0 * work[1, i] + 2.0 * work[2, i] + work[3, i])


@njit
def _write(out: Array, row: int, time_s: float, state: Array, leg: int, extra_drag: float, world: World) -> None:
    """One row of the output."""
    track, ground_speed = ground_motion(state, world)
    height = state[2] + world.handling[BASE_HEIGHT]
    density = density_kgpm3(height, world.handling[AIR_PRESSURE], world.handling[AIR_TEMPERATURE])
    previous = track if row == 0 else out[row - 1, TRACK]
    out[row, T] = time_s
    out[row, X] = state[0]
    out[row, Y] = state[1]
    out[row, HEIGHT] = state[2]
    out[row, HEADING] = state[3]
    out[row, TRACK] = previous + wrapped(track - previous)
    out[row, BANK] = state[5]
    out[row, TAS] = state[4]
    out[row, EAS_OUT] = state[4] * math.sqrt(density / _SEA_LEVEL_DENSITY)
    out[row, GROUND_SPEED] = ground_speed
    out[row, LEG] = leg
    out[row, CLEAN_LOSS] = state[6]
    out[row, EXTRA_LOSS] = state[7]
    out[row, EXTRA_DRAG_OUT] = extra_drag


@njit
def _advance(
    state: Array,
    step_s: float,
    leg: Array,
    next_leg: Array,
    has_next: bool,
    leg_time: float,
    configuration: Array,
    disturbance: Array,
    world: World,
    work: Array,
    trial: Array,
) -> tuple[float, bool]:
    """Move the state one step on, or to the leg's end where that lies inside it; time taken and whether it ended."""
    before = past_end(state, leg, next_leg, has_next, leg_time, world)
    if before >= 0.0:
        return 0.0, True
    taken = step_s
    _step(state, taken, leg, configuration, disturbance, world, work, trial)
    after = past_end(trial, leg, next_leg, has_next, leg_time + taken, world)
    is_over = after >= 0.0
    for _ in range(4):  # the secant through the step's beginning closes in on the end
        if not is_over or abs(after) <= 1e-7 or after == before:
            break
        taken = min(max(taken * before / (before - after), 1e-6), step_s)
        _step(state, taken, leg, configuration, disturbance, world, work, trial)
        after = past_end(trial, leg, next_leg, has_next, leg_time + taken, world)
    state[:] = trial
    return taken, is_over


@njit
def fly_legs(start: Array, legs: Array, world: World, disturbance: Array, step_s: float, out: Array) -> int:
    """Fly the legs one after another; returns the number of rows written to `out`.

    `start` is x, y, height, air heading, true airspeed, bank (6,); `legs` (m, LEG_COLUMNS); `disturbance` (j, 3), one
    row a step, the last row held; `out` (n, OUT_COLUMNS). A flight ends with its last leg, with `out` full, or 30 m
    under the touchdown point.
    """
    state = np.zeros(8)
    state[:6] = start
    trial = np.zeros(8)
    work = np.zeros((5, 8))
    configuration = legs[0, EXTRA_DRAG : EXTRA_DRAG + 3].copy()
    from_configuration = configuration.copy()
    time_s = 0.0
    leg_time = 0.0
    index = 0
    last = legs.shape[0] - 1
    _write(out, 0, time_s, state, index, configuration[0], world)
    row = 1
    while row < out.shape[0] and state[2] > -30.0:
        leg = legs[index]
        # the middle of the step stands for it: gear and flap travel evenly
        travelled = min((leg_time + 0.5 * step_s) / world.handling[CONFIGURATION_TIME], 1.0)
        for i in range(3):
            configuration[i] = from_configuration[i] + travelled * (leg[EXTRA_DRAG + i] - from_configuration[i])
        gust = disturbance[min(int(time_s / step_s), disturbance.shape[0] - 1)]
        taken, is_over = _advance(
            state, step_s, leg, legs[min(index + 1, last)], index < last, leg_time, configuration, gust, world, work,
            trial,
        )  # fmt: skip
        if taken > 0.0:
            time_s += taken
            leg_time += taken
            _write(out, row, time_s, state, index, configuration[0], world)
            row += 1
        if is_over:
            if index == last:
                break
            index += 1
            leg_time = 0.0
            from_configuration[:] = configuration
    return row
