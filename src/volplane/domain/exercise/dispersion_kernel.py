"""One exercise flown many times by a pilot who sees, errs and corrects: the compiled heart of the dispersion.

The glide is that of the guided flight (`flight_kernel`); here a step is a second, the hand moves once a step and the
air is felt at its middle, so a flight costs a third. Everything random is a function of seed, flight and step alone: a
flight is the same whoever flies it, in whatever order. Import inside functions only: importing a kernel starts the
compiler.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit
from volplane.domain.atmosphere.air_kernel import density_kgpm3, wind_at
from volplane.domain.glide.flight_kernel import (
    AIR_PRESSURE,
    AIR_TEMPERATURE,
    BASE_HEIGHT,
    CONFIGURATION_TIME,
    EAS,
    END_HEIGHT,
    EXTRA_DRAG,
    KIND,
    LINE,
    POINT_X,
    POINT_Y,
    RADIUS_OR_BANK,
    ROLL_RATE,
    ROLL_TIME,
    SHEAR,
    TRACK_END,
    TURN,
    TURN_SIGN,
    World,
    air_motion,
    ground_motion,
    past_end,
    wanted_bank_of,
    wrapped,
)
from volplane.domain.glide.touchdown_kernel import FIFTY_FEET_M, PATH_COLUMNS, flare

Array = NDArray[np.float64]

STEP_S = 1.0
# what a leg is for
HALF_TURN, DOWNWIND, BASE_TURN, BASE, FINAL_TURN, FINAL_CLEAN, FINAL_RESERVE, FINAL = range(8)
# how a flight ended: landed, or went around at the break-off height (still on downwind, speed, bank, would land short,
# would land long), because it was not on final when that should be complete, or without coming to any end
LANDED, STILL_DOWNWIND, WRONG_SPEED, STEEP_BANK, TOO_SHORT, TOO_LONG, NOT_ON_FINAL, NO_END = range(8)
# columns of the answer: how, where the wheels touched, heights at the gates (NaN where not passed)
OUTCOME, TOUCHDOWN_X, HIGH_KEY_HEIGHT, LOW_KEY_HEIGHT, BASE_KEY_HEIGHT, FINAL_HEIGHT = range(6)
ANSWER_COLUMNS = 6
# columns of the trace: leg, how far along it, height, ground distance flown, equivalent airspeed, x
TRACE_LEG, TRACE_ALONG, TRACE_HEIGHT, TRACE_FLOWN, TRACE_EAS, TRACE_X = range(6)
TRACE_COLUMNS = 6
LONGEST_STEPS = 900

_G = 9.80665
_SEA_LEVEL_DENSITY = 1.225
_MASK = 0xFFFFFFFF
_GOLDEN = 0x9E3779B9
# numbered draws of a flight; those of a step follow, this many a step
_WIND_SPEED, _WIND_TURN, _CALM_FROM, _RATIO, _ENTRY, _FIRST_BANK, _BIAS, _TIMING, _PICTURE, _LOW_PICTURE, _LANDING = (
    range(11)
)
_AIR_START = 11  # and the next two
_FLIGHT_DRAWS, _STEP_DRAWS = 16, 3
# extra drag grows or shrinks by at most this much a second, in parts of the clean parasite drag
_DRAG_RATE = 0.25
# a pilot does not steer for the point with drag over less than this much ground
_LEAST_DISTANCE_M = 150.0
# the base leg gets no longer or shorter than by this part of itself when the downwind leg lies wide or close
_MOST_OF_BASE = 0.8
# established on final: the gate finder's limits
_ESTABLISHED_RAD = math.radians(10.0)
_FARTHEST_FLOAT_M = 3000.0


class Spread(NamedTuple):
    """Standard deviations, as `Uncertainties` has them."""

    wind_speed_fraction: float
    wind_least_mps: float
    wind_direction_rad: float
    glide_ratio_fraction: float
    rising_air_mps: float
    rising_air_memory_s: float
    entry_height_m: float
    first_turn_bank_fraction: float
    first_turn_least_bank_rad: float
    first_turn_greatest_bank_rad: float
    bank_wander_rad: float
    bank_memory_s: float
    airspeed_bias_mps: float
    airspeed_wander_mps: float
    airspeed_memory_s: float
    timing_s: float
    picture_fraction: float
    picture_low_fraction: float
    landing_m: float


class Hand(NamedTuple):
    """The pilot's corrections and rules; `sees_factor` is 0 for a flight that only follows the legs."""

    sees_factor: float
    look_s: float
    early_drag_factor: float
    more_drag_factor: float
    cut_angle_rad: float
    cut_below_m: float
    latest_landing_height_m: float
    room_on_final_m: float
    accepts_short_m: float
    accepts_long_m: float
    break_off_height_m: float
    break_off_below_mps: float
    break_off_above_mps: float
    break_off_bank_rad: float
    final_complete_height_m: float


class Lesson(NamedTuple):
    """The plan to fly: start, legs (m, LEG_COLUMNS), what each is for (m,), and its own flight as reference.

    `trace` (n, TRACE_COLUMNS) is the flight of the plan without errors and `leg_starts` (m + 1,) its first row of each
    leg. `side_factor` is +1 for a left pattern, -1 for a right one. `farthest_m` is the distance limit,
    `reserve_drag_factor` what loses the reserve on final.
    """

    x_m: float
    y_m: float
    height_m: float
    eas_mps: float
    first_bank_rad: float
    side_factor: float
    legs: Array
    purpose: Array
    trace: Array
    leg_starts: Array
    farthest_m: float
    reserve_drag_factor: float
    landing_drag_factor: float
    landing_height_m: float
    touchdown_eas_mps: float
    best_ratio: float
    landing_hand: Array
    landing_air: Array
    landing_configuration: Array


class Slopes(NamedTuple):
    """What the pilot knows of the plan: height a metre of ground costs, and what drag costs over it."""

    downwind_fraction: float
    clean_fraction: float
    final_fraction: float
    drag_on_final_fraction: float
    drag_before_fraction: float
    roll_out_x_m: float
    reserve_lost_x_m: float
    fifty_foot_x_m: float
    turn_flown_m: float
    base_m: float
    whole_flown_m: float


@njit
def _mixed(value: int) -> int:
    """A 32-bit number stirred so that near ones come out far apart (a bijection; multipliers from memory)."""
    stirred = value & _MASK
    stirred = ((stirred ^ (stirred >> 16)) * 0x7FEB352D) & _MASK
    stirred = ((stirred ^ (stirred >> 15)) * 0x846CA68B) & _MASK
    return stirred ^ (stirred >> 16)


@njit
def flight_key(seed: int, flight: int) -> int:
    """The key of one flight's random numbers."""
    return _mixed(_mixed(seed + _GOLDEN) ^ flight)


@njit
def uniform(key: int, draw: int) -> float:
    """Number `draw` of a flight's stream, evenly spread between 0 and 1, never either."""
    return (_mixed(key ^ _mixed(draw + _GOLDEN)) + 0.5) / 4294967296.0


@njit
def normal(key: int, draw: int) -> float:
    """Number `draw` of a flight's stream, normally spread (Box and Muller, Annals of Mathematical Statistics 1958)."""
    return math.sqrt(-2.0 * math.log(uniform(key, 2 * draw))) * math.cos(2.0 * math.pi * uniform(key, 2 * draw + 1))


@njit
def _air_of_the_day(key: int, spread: Spread, world: World, landing_wind: Array) -> World:
    """The world of one flight: wind and glide ratio off by what nobody knows. Heights and components fill the wind."""
    turn = spread.wind_direction_rad * normal(key, _WIND_TURN)
    off = normal(key, _WIND_SPEED)
    cosine, sine = math.cos(turn), math.sin(turn)
    calm_from = 2.0 * math.pi * uniform(key, 2 * _CALM_FROM)
    for level in range(world.wind_heights.shape[0]):
        x, y = world.wind_x[level], world.wind_y[level]
        speed = math.hypot(x, y)
        along_x, along_y = math.cos(calm_from), math.sin(calm_from)
        if speed > 1e-9:
            along_x, along_y = x / speed, y / speed
        speed += off * max(spread.wind_speed_fraction * speed, spread.wind_least_mps)
        landing_wind[0, level] = world.wind_heights[level]
        landing_wind[1, level] = speed * (along_x * cosine - along_y * sine)
        landing_wind[2, level] = speed * (along_x * sine + along_y * cosine)
    polar = world.polar.copy()
    better = max(1.0 + spread.glide_ratio_fraction * normal(key, _RATIO), 0.5)
    polar[1] *= better
    for i in range(4, polar.shape[0]):
        polar[i] /= better
    return World(polar, landing_wind[0], landing_wind[1], landing_wind[2], world.handling)


@njit
def _first_turn_as_flown(key: int, lesson: Lesson, spread: Spread, slopes: Slopes, legs: Array) -> None:
    """The half turn at another bank: a wider or tighter circle from the same place, and what follows it moved along.

    The downwind leg goes on where the turn ends, as far as the base leg has room for it.
    """
    planned = lesson.first_bank_rad
    least = min(spread.first_turn_least_bank_rad, planned)
    greatest = max(spread.first_turn_greatest_bank_rad, planned)
    bank = planned * (1.0 + spread.first_turn_bank_fraction * normal(key, _FIRST_BANK))
    bank = min(max(bank, least), greatest)
    factor = math.tan(planned) / math.tan(bank)
    moved = 0.0
    for i in range(legs.shape[0]):
        if lesson.purpose[i] != HALF_TURN:
            break
        if legs[i, KIND] == TURN:
            legs[i, RADIUS_OR_BANK] = bank
        elif legs[i, KIND] == LINE:
            legs[i, POINT_Y] += lesson.side_factor * moved
            legs[i, POINT_X] += moved
        else:
            if moved == 0.0:
                moved = (factor - 1.0) * legs[i, RADIUS_OR_BANK]
            legs[i, POINT_Y] += lesson.side_factor * moved
            legs[i, RADIUS_OR_BANK] *= factor
    room = _MOST_OF_BASE * slopes.base_m
    wide = lesson.side_factor * min(max(2.0 * moved, -room), room)
    for i in range(legs.shape[0]):
        if lesson.purpose[i] == DOWNWIND or lesson.purpose[i] == BASE_TURN:
            legs[i, POINT_Y] += wide


@njit
def _along(state: Array, track: float, leg: Array) -> float:
    """How far along a leg as planned, growing: metres on a line, the angle left to turn (negative) on a circle."""
    if leg[KIND] == LINE:
        along: float = state[0] * math.cos(leg[TRACK_END]) + state[1] * math.sin(leg[TRACK_END])
        return along
    left: float = wrapped(leg[TURN_SIGN] * (leg[TRACK_END] - track))
    if left < -0.5 * math.pi:
        left += 2.0 * math.pi
    return -left


@njit
def _reference_height(lesson: Lesson, index: int, along: float) -> float:
    """The plan's height at a place along one of its legs; beyond its ends along its slope there."""
    first, last = int(lesson.leg_starts[index]), int(lesson.leg_starts[index + 1]) - 1
    trace = lesson.trace
    if last <= first:
        return float(trace[first, TRACE_HEIGHT])
    row = first
    while row < last - 1 and trace[row + 1, TRACE_ALONG] < along:
        row += 1
    width = trace[row + 1, TRACE_ALONG] - trace[row, TRACE_ALONG]
    if width <= 0.0:
        return float(trace[row, TRACE_HEIGHT])
    part = (along - trace[row, TRACE_ALONG]) / width
    if lesson.legs[index, KIND] != LINE:
        part = min(max(part, 0.0), 1.0)
    height: float = trace[row, TRACE_HEIGHT] + part * (trace[row + 1, TRACE_HEIGHT] - trace[row, TRACE_HEIGHT])
    return height


@njit
def _final_height(lesson: Lesson, slopes: Slopes, x: float) -> float:
    """The plan's height on final at x; farther out at its slope there, and clean above the landing height."""
    trace = lesson.trace
    row = first = int(lesson.leg_starts[_first_final(lesson)])
    last = trace.shape[0] - 1
    if x < trace[first, TRACE_X]:
        height = trace[first, TRACE_HEIGHT]
        back = trace[first, TRACE_X] - x
        steep = (lesson.landing_height_m - height) / slopes.final_fraction
        if steep > 0.0:
            part = min(back, steep)
            height += part * slopes.final_fraction
            back -= part
        return float(height + back * slopes.clean_fraction)
    while row < last - 1 and trace[row + 1, TRACE_X] < x:
        row += 1
    width = trace[row + 1, TRACE_X] - trace[row, TRACE_X]
    part = 0.0 if width <= 0.0 else min((x - trace[row, TRACE_X]) / width, 1.0)
    return float(trace[row, TRACE_HEIGHT] + part * (trace[row + 1, TRACE_HEIGHT] - trace[row, TRACE_HEIGHT]))


@njit
def _first_final(lesson: Lesson) -> int:
    """Index of the first leg of the final that the plan flies."""
    for i in range(lesson.purpose.shape[0]):
        if lesson.purpose[i] >= FINAL_CLEAN and lesson.leg_starts[i + 1] - lesson.leg_starts[i] > 1:
            return i
    return len(lesson.purpose) - 1


@njit
def _excess(state: Array, track: float, legs: Array, index: int, lesson: Lesson, slopes: Slopes) -> float:
    """Height over the plan's at this place of the exercise, the final being as long as the turn to it makes it."""
    purpose = lesson.purpose[index]
    if purpose >= FINAL_CLEAN:
        above: float = state[2] - _final_height(lesson, slopes, state[0])
        return above
    along = _along(state, track, lesson.legs[index])
    height: float = state[2] - _reference_height(lesson, index, along)
    if purpose <= BASE_TURN:  # a downwind leg that lies wide makes the base leg longer
        wide = lesson.side_factor * (legs[index, POINT_Y] - lesson.legs[index, POINT_Y])
        height -= wide * slopes.downwind_fraction
    if purpose == DOWNWIND:
        return height
    turn = index
    while lesson.purpose[turn + 1] < FINAL_CLEAN:
        turn += 1
    moved = legs[turn, POINT_X] - lesson.legs[turn, POINT_X]
    roll_out_x = slopes.roll_out_x_m
    return height - (_final_height(lesson, slopes, roll_out_x + moved) - _final_height(lesson, slopes, roll_out_x))


@njit
def _ground_left(state: Array, track: float, legs: Array, index: int, lesson: Lesson, slopes: Slopes) -> float:
    """Ground distance left to the 50 ft point along the exercise."""
    purpose = lesson.purpose[index]
    if purpose >= FINAL_CLEAN:
        return max(slopes.fifty_foot_x_m - float(state[0]), 0.0)
    after_turn = slopes.whole_flown_m - slopes.turn_flown_m
    if purpose == DOWNWIND:
        return after_turn + max(float(state[0] - legs[index, POINT_X]), 0.0)
    first, last = int(lesson.leg_starts[index]), int(lesson.leg_starts[index + 1]) - 1
    trace = lesson.trace
    along = _along(state, track, lesson.legs[index])
    width = trace[last, TRACE_ALONG] - trace[first, TRACE_ALONG]
    part = 0.0 if width <= 0.0 else min(max((along - trace[first, TRACE_ALONG]) / width, 0.0), 1.0)
    flown = trace[first, TRACE_FLOWN] + part * (trace[last, TRACE_FLOWN] - trace[first, TRACE_FLOWN])
    return slopes.whole_flown_m - float(flown)


@njit
def _turn_later_m(excess: float, lesson: Lesson, slopes: Slopes) -> float:
    """How much farther than planned the downwind leg goes so that the excess is gone at the end of the final."""
    start = _final_height(lesson, slopes, slopes.roll_out_x_m)
    later = 0.0
    for _ in range(4):
        spent = later * slopes.downwind_fraction
        spent += _final_height(lesson, slopes, slopes.roll_out_x_m - later) - start
        later += (excess - spent) / (slopes.downwind_fraction + slopes.clean_fraction)
    return later


@njit
def _place_turn(state: Array, later: float, legs: Array, index: int, lesson: Lesson) -> None:
    """Put the end of the downwind leg, and the turns and base after it, so much farther out than planned."""
    planned = lesson.legs[index, POINT_X]
    end = min(max(planned - later, -lesson.farthest_m), 0.0, float(state[0]))
    i = index
    while lesson.purpose[i] < FINAL_CLEAN:
        legs[i, POINT_X] = lesson.legs[i, POINT_X] + end - planned
        i += 1


@njit
def _cut_corner(state: Array, missing: float, legs: Array, index: int, hand: Hand, slopes: Slopes) -> None:
    """Steer the base leg in towards the runway by an angle that saves about the missing height."""
    side = legs[index + 1, TURN_SIGN]
    radius = legs[index + 1, RADIUS_OR_BANK]
    wanted = missing / (slopes.clean_fraction * max(slopes.base_m, 1.0))
    angle = min(wanted, hand.cut_angle_rad)
    sine, cosine = math.sin(angle), math.cos(angle)
    beside = side * state[1]
    length = (beside - radius * (1.0 - sine)) / cosine
    if length <= 0.0:
        return
    legs[index, TRACK_END] = -side * (0.5 * math.pi - angle)
    legs[index, POINT_X] = state[0] + length * sine
    legs[index, POINT_Y] = state[1] - side * length * cosine
    legs[index + 1, POINT_X] = legs[index, POINT_X] + radius * cosine


@njit
def _act(
    seen: float,
    state: Array,
    legs: Array,
    index: int,
    late: float,
    has_cut: bool,
    lesson: Lesson,
    hand: Hand,
    slopes: Slopes,
) -> tuple[float, bool]:
    """Do what the height seen a look ago asks for; the extra drag wanted, and whether the corner has been cut."""
    purpose = lesson.purpose[index]
    if purpose < DOWNWIND:
        return 0.0, has_cut
    if purpose == DOWNWIND:
        later = _turn_later_m(seen, lesson, slopes)
        # and early enough to be on final by the height where that must be complete
        spare = seen + _final_height(lesson, slopes, slopes.roll_out_x_m) - hand.final_complete_height_m
        later = min(later, (spare - hand.room_on_final_m) / slopes.downwind_fraction)
        _place_turn(state, later + late, legs, index, lesson)
        return 0.0, has_cut
    losing_m = max(slopes.reserve_lost_x_m - max(float(state[0]), slopes.roll_out_x_m), _LEAST_DISTANCE_M)
    per_drag = slopes.drag_on_final_fraction * losing_m
    reserve = lesson.reserve_drag_factor * per_drag
    for i in range(index, legs.shape[0]):  # far too low: clean for longer
        if lesson.purpose[i] == FINAL_CLEAN:
            is_far_too_low = seen < -reserve - 1.0
            legs[i, END_HEIGHT] = hand.latest_landing_height_m if is_far_too_low else lesson.landing_height_m
    if purpose < FINAL_CLEAN:
        if purpose == BASE and not has_cut and seen < -hand.cut_below_m:
            _cut_corner(state, -seen - hand.cut_below_m, legs, index, hand, slopes)
            return 0.0, True
        spare = seen - hand.more_drag_factor * per_drag
        wanted = spare / (slopes.drag_before_fraction * max(slopes.base_m, _LEAST_DISTANCE_M))
        return min(max(wanted, 0.0), hand.early_drag_factor * lesson.landing_drag_factor), has_cut
    if purpose == FINAL_CLEAN:
        if seen > 0.5 * hand.more_drag_factor * per_drag:
            legs[index, END_HEIGHT] = 1e6
        return 0.0, has_cut
    if purpose == FINAL_RESERVE:
        return min(max(seen / per_drag, -lesson.reserve_drag_factor), hand.more_drag_factor), has_cut
    return 0.0, has_cut


@njit
def _breaks_off(
    seen: float, state: Array, purpose: float, eas: float, lesson: Lesson, hand: Hand, slopes: Slopes
) -> int:
    """The rule at the break-off height: speed, bank, and a touchdown near enough with what can still be done.

    LANDED for going on, otherwise why not.
    """
    if purpose <= DOWNWIND:
        return STILL_DOWNWIND
    glide_eas, approach_eas = lesson.eas_mps, lesson.legs[lesson.purpose.shape[0] - 1, EAS]
    least_eas = min(glide_eas, approach_eas) if purpose >= FINAL_CLEAN else glide_eas
    if eas < least_eas - hand.break_off_below_mps or eas > max(glide_eas, approach_eas) + hand.break_off_above_mps:
        return WRONG_SPEED
    if abs(state[5]) > hand.break_off_bank_rad:
        return STEEP_BANK
    losing_m = max(slopes.reserve_lost_x_m - max(float(state[0]), slopes.roll_out_x_m), _LEAST_DISTANCE_M)
    per_drag = slopes.drag_on_final_fraction * losing_m
    long_m = (seen - hand.more_drag_factor * per_drag) / slopes.final_fraction
    short_m = (-seen - lesson.reserve_drag_factor * per_drag) / slopes.final_fraction
    if long_m > hand.accepts_long_m:
        return TOO_LONG
    return TOO_SHORT if short_m > hand.accepts_short_m else LANDED


@njit
def _moved(
    state: Array,
    step_s: float,
    leg: Array,
    errors: Array,
    configuration: Array,
    world: World,
    result: Array,
) -> float:
    """One step: the hand moves once, the air is felt at the middle. Fills the state after it; ground distance flown.

    The bank follows its command as a first-order lag with a limit, exactly, which a step longer than the lag needs.
    """
    track, ground_speed = ground_motion(state, world)
    wanted = wanted_bank_of(leg, state[0], state[1], state[3], track, ground_speed) + errors[1]
    most = world.handling[ROLL_RATE] * step_s
    rolled = (wanted - state[5]) * (1.0 - math.exp(-step_s / world.handling[ROLL_TIME]))
    bank = state[5] + min(max(rolled, -most), most)
    middle_bank = 0.5 * (state[5] + bank)
    wanted_eas = leg[EAS]
    half = 0.5 * step_s
    _, _, climb, speed_rate, _, _, _ = air_motion(
        state[2], state[3], state[4], state[5], wanted_eas, errors[0], configuration, world
    )
    heading = state[3] - half * _G * math.tan(0.5 * (state[5] + middle_bank)) / state[4]
    speed = state[4] + half * speed_rate
    velocity_x, velocity_y, climb, speed_rate, _, _, _ = air_motion(
        state[2] + half * (climb + errors[2]), heading, speed, middle_bank, wanted_eas, errors[0], configuration, world
    )
    result[0] = state[0] + step_s * velocity_x
    result[1] = state[1] + step_s * velocity_y
    result[2] = state[2] + step_s * (climb + errors[2])
    result[3] = state[3] - step_s * _G * math.tan(middle_bank) / speed
    result[4] = state[4] + step_s * speed_rate
    result[5] = bank
    return step_s * math.hypot(velocity_x, velocity_y)


@njit
def _wander(key: int, step: int, spread: Spread, errors: Array, wandering: Array) -> None:
    """Airspeed, bank and rising air of this step: first-order Gauss and Markov processes, started in their own spread.

    `errors` (3,) is what the step flies with, as the guided flight's disturbance; `wandering` (3,) the processes.
    """
    sizes = (spread.airspeed_wander_mps, spread.bank_wander_rad, spread.rising_air_mps)
    memories = (spread.airspeed_memory_s, spread.bank_memory_s, spread.rising_air_memory_s)
    for i in range(3):
        if sizes[i] <= 0.0:
            wandering[i] = 0.0
        elif step == 0:
            wandering[i] = sizes[i] * normal(key, _AIR_START + i)
        else:
            keep = math.exp(-STEP_S / memories[i])
            fresh = normal(key, _FLIGHT_DRAWS + _STEP_DRAWS * step + i)
            wandering[i] = keep * wandering[i] + sizes[i] * math.sqrt(1.0 - keep * keep) * fresh
        errors[i] = wandering[i]
    errors[0] += spread.airspeed_bias_mps * normal(key, _BIAS)


@njit
def _advanced(
    state: Array,
    legs: Array,
    index: int,
    leg_time: float,
    errors: Array,
    configuration: Array,
    world: World,
    trial: Array,
) -> tuple[float, float, bool]:
    """Move on by a step, or to the leg's end inside it: time taken, ground flown, whether the leg has ended."""
    last = legs.shape[0] - 1
    leg, following, has_next = legs[index], legs[min(index + 1, last)], index < last
    before = past_end(state, leg, following, has_next, leg_time, world)
    if before >= 0.0:
        return 0.0, 0.0, True
    taken = STEP_S
    flown = _moved(state, taken, leg, errors, configuration, world, trial)
    after = past_end(trial, leg, following, has_next, leg_time + taken, world)
    is_over = after >= 0.0
    for _ in range(4):  # the secant through the step's beginning closes in on the end
        if not is_over or abs(after) <= 1e-4 or after == before:
            break
        taken = min(max(taken * before / (before - after), 1e-6), STEP_S)
        flown = _moved(state, taken, leg, errors, configuration, world, trial)
        after = past_end(trial, leg, following, has_next, leg_time + taken, world)
    state[:] = trial
    return taken, flown, is_over


@njit
def _note_gates(before: Array, track_before: float, state: Array, track: float, purpose: float, answer: Array) -> None:
    """Heights where the flight passes the gates, as the gate finder means them, straight between two steps."""
    if purpose <= DOWNWIND:
        if before[0] > 0.0 >= state[0] and math.cos(track) < 0.0:
            part = before[0] / (before[0] - state[0])
            answer[LOW_KEY_HEIGHT] = before[2] + part * (state[2] - before[2])
        return
    cos_before, cos_now = math.cos(track_before), math.cos(track)
    if math.isnan(answer[BASE_KEY_HEIGHT]):
        if cos_before < 0.0 <= cos_now:
            part = cos_before / (cos_before - cos_now)
            answer[BASE_KEY_HEIGHT] = before[2] + part * (state[2] - before[2])
    elif math.isnan(answer[FINAL_HEIGHT]) and _is_established(state, track):
        answer[FINAL_HEIGHT] = state[2]


@njit
def _is_established(state: Array, track: float) -> bool:
    """On final by the gate finder's limits: track along the runway, wings near level."""
    return abs(wrapped(track)) <= _ESTABLISHED_RAD and abs(float(state[5])) <= _ESTABLISHED_RAD


@njit
def _eas(state: Array, world: World) -> float:
    """Equivalent airspeed."""
    height = state[2] + world.handling[BASE_HEIGHT]
    density = density_kgpm3(height, world.handling[AIR_PRESSURE], world.handling[AIR_TEMPERATURE])
    return float(state[4]) * math.sqrt(density / _SEA_LEVEL_DENSITY)


@njit
def _touchdown_x(
    key: int, state: Array, lesson: Lesson, spread: Spread, world: World, landing_wind: Array, no_path: Array
) -> float:
    """Where the wheels meet the runway: round-out and float from this speed in this wind, and their scatter."""
    last = lesson.legs.shape[0] - 1
    eas = float(lesson.legs[last, EAS])
    rows = lesson.trace.shape[0]
    if rows > 0:
        eas += _eas(state, world) - lesson.trace[rows - 1, TRACE_EAS]
    landing = lesson.landing_hand.copy()
    landing[0] = max(eas, 1.02 * lesson.touchdown_eas_mps)
    answer = flare(landing, world.polar, lesson.landing_configuration, lesson.landing_air, landing_wind, no_path)
    return float(state[0]) + min(answer[1], _FARTHEST_FLOAT_M) + spread.landing_m * normal(key, _LANDING)


@njit
def _started(key: int, lesson: Lesson, spread: Spread, world: World) -> Array:
    """The state over the high key: at the height flown there, crabbed so that the track is the landing direction."""
    state = np.zeros(6)
    state[0], state[1] = lesson.x_m, lesson.y_m
    state[2] = lesson.height_m + spread.entry_height_m * normal(key, _ENTRY)
    state[4] = 1.0
    state[4] = lesson.eas_mps / _eas(state, world)
    above_field = state[2] + world.handling[BASE_HEIGHT]
    _, across = wind_at(above_field, world.wind_heights, world.wind_x, world.wind_y, world.handling[SHEAR])
    state[3] = -math.asin(min(max(across / state[4], -0.9), 0.9))
    return state


@njit
def _trace_row(
    state: Array, track: float, flown: float, lesson: Lesson, index: int, world: World, trace: Array, row: int
) -> int:
    """One row of the reference; the number of rows after it."""
    if row < trace.shape[0]:
        trace[row, TRACE_LEG] = index
        trace[row, TRACE_ALONG] = _along(state, track, lesson.legs[index])
        trace[row, TRACE_HEIGHT] = state[2]
        trace[row, TRACE_FLOWN] = flown
        trace[row, TRACE_EAS] = _eas(state, world)
        trace[row, TRACE_X] = state[0]
        return row + 1
    return row


@njit
def _perceived(
    key: int,
    state: Array,
    track: float,
    legs: Array,
    index: int,
    lesson: Lesson,
    hand: Hand,
    spread: Spread,
    slopes: Slopes,
    world: World,
) -> float:
    """The height over the plan's as the pilot sees it.

    He judges the glide angle: a worse glide costs the more the more height is still to be lost. Where he believes to
    glide to is off by a part of the way left.
    """
    if lesson.purpose[index] < DOWNWIND:
        return 0.0
    excess = _excess(state, track, legs, index, lesson, slopes)
    worse = lesson.best_ratio / float(world.polar[1]) - 1.0
    excess -= worse * max(float(state[2]) - excess - FIFTY_FEET_M, 0.0)
    left = _ground_left(state, track, legs, index, lesson, slopes)
    off = spread.picture_fraction * normal(key, _PICTURE)
    if state[2] < hand.break_off_height_m:
        off = spread.picture_low_fraction * normal(key, _LOW_PICTURE)
    return excess + off * left * slopes.clean_fraction


@njit
def fly_one(
    key: int,
    lesson: Lesson,
    hand: Hand,
    spread: Spread,
    slopes: Slopes,
    planned_world: World,
    answer: Array,
    trace: Array,
) -> int:
    """One flight from the high key; fills the answer (ANSWER_COLUMNS,) and, where it has rows, the trace.

    Returns the rows of the trace. A flight that comes to no end is a go-around.
    """
    landing_wind = np.empty((3, planned_world.wind_heights.shape[0]))
    world = _air_of_the_day(key, spread, planned_world, landing_wind)
    legs = lesson.legs.copy()
    _first_turn_as_flown(key, lesson, spread, slopes, legs)
    state = _started(key, lesson, spread, world)
    answer[:] = math.nan
    answer[OUTCOME], answer[HIGH_KEY_HEIGHT] = NO_END, state[2]
    before, trial = state.copy(), np.zeros(6)
    errors, wandering = np.zeros(3), np.zeros(3)
    hanging = legs[0, EXTRA_DRAG : EXTRA_DRAG + 3].copy()
    from_hanging, configuration = hanging.copy(), hanging.copy()
    index, last = 0, legs.shape[0] - 1
    time, leg_time, next_look, flown = 0.0, 0.0, hand.look_s, 0.0
    seen, drag, wanted_drag, has_cut = 0.0, 0.0, 0.0, False
    checks_break_off = checks_final = hand.sees_factor > 0.0
    timing_s = spread.timing_s * normal(key, _TIMING)
    track, ground_speed = ground_motion(state, world)
    rows = _trace_row(state, track, flown, lesson, index, world, trace, 0)
    for step in range(LONGEST_STEPS):
        if hand.sees_factor > 0.0 and time >= next_look:
            next_look += hand.look_s
            late = timing_s * ground_speed
            wanted_drag, has_cut = _act(seen, state, legs, index, late, has_cut, lesson, hand, slopes)
            seen = _perceived(key, state, track, legs, index, lesson, hand, spread, slopes, world)
        purpose = lesson.purpose[index]
        travelled = min((leg_time + 0.5 * STEP_S) / world.handling[CONFIGURATION_TIME], 1.0)
        for i in range(3):
            hanging[i] = from_hanging[i] + travelled * (legs[index, EXTRA_DRAG + i] - from_hanging[i])
            configuration[i] = hanging[i]
        drag += min(max((wanted_drag if purpose < FINAL else 0.0) - drag, -_DRAG_RATE * STEP_S), _DRAG_RATE * STEP_S)
        configuration[0] = max(configuration[0] + drag, 0.0)
        _wander(key, step, spread, errors, wandering)
        before[:] = state
        track_before = track
        taken, gone, is_over = _advanced(state, legs, index, leg_time, errors, configuration, world, trial)
        time += taken
        leg_time += taken
        flown += gone
        track, ground_speed = ground_motion(state, world)
        _note_gates(before, track_before, state, track, purpose, answer)
        if taken > 0.0:
            rows = _trace_row(state, track, flown, lesson, index, world, trace, rows)
        if checks_break_off and state[2] <= hand.break_off_height_m:
            checks_break_off = False
            sight = _perceived(key, before, track_before, legs, index, lesson, hand, spread, slopes, world)
            verdict = _breaks_off(sight, state, purpose, _eas(state, world), lesson, hand, slopes)
            if verdict != LANDED:
                answer[OUTCOME] = verdict
                return rows
        if checks_final and state[2] <= hand.final_complete_height_m:
            checks_final = False
            if not _is_established(state, track):
                answer[OUTCOME] = NOT_ON_FINAL
                return rows
        if is_over:
            if index == last:
                answer[OUTCOME] = LANDED
                answer[TOUCHDOWN_X] = _touchdown_x(
                    key, state, lesson, spread, world, landing_wind, np.empty((0, PATH_COLUMNS))
                )
                return rows
            index += 1
            leg_time = 0.0
            from_hanging[:] = hanging
            rows = _trace_row(state, track, flown, lesson, index, world, trace, rows)
        if state[2] < -30.0:
            return rows
    return rows


@njit
def fly_many(
    seed: int,
    flights: Array,
    lesson: Lesson,
    hand: Hand,
    spread: Spread,
    slopes: Slopes,
    world: World,
    answers: Array,
) -> None:
    """Flights of these numbers (n,) as answers (n, ANSWER_COLUMNS)."""
    no_trace = np.empty((0, TRACE_COLUMNS))
    for i in range(flights.shape[0]):
        fly_one(flight_key(seed, int(flights[i])), lesson, hand, spread, slopes, world, answers[i], no_trace)
