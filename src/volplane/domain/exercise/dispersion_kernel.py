"""One exercise flown many times by a pilot who sees, errs and corrects: the compiled heart of the dispersion.

A flight is put together from what chance does (`dispersion_chance_kernel`), the plan as the pilot knows it
(`dispersion_lesson_kernel`), what he does (`dispersion_hand_kernel`) and the glide (`dispersion_step_kernel`). Import
inside functions only: importing a kernel starts the compiler.
"""

from __future__ import annotations

import math

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit
from volplane.domain.atmosphere.air_kernel import wind_at
from volplane.domain.exercise.dispersion_chance_kernel import (
    ENTRY,
    LANDING,
    TIMING,
    Spread,
    air_of_the_day,
    flight_key,
    luck_of,
    wander,
)
from volplane.domain.exercise.dispersion_hand_kernel import (
    JUDGED,
    LANDED,
    LONGER_BASE,
    MIND_ENTRIES,
    NO_END,
    NOT_ON_FINAL,
    ROOM_ON_FINAL,
    WANTED_DRAG,
    Hand,
    act,
    begin_turns,
    begins_circle,
    breaks_off,
    circle_to_key,
    is_established,
    look,
)
from volplane.domain.exercise.dispersion_lesson_kernel import (
    BASE,
    BEFORE_KEY,
    DOWNWIND,
    HALF_TURN,
    TRACE_ALONG,
    TRACE_COLUMNS,
    TRACE_EAS,
    TRACE_FLOWN,
    TRACE_HEIGHT,
    TRACE_LEG,
    TRACE_X,
    Lesson,
    Slopes,
    along_leg,
    height_over_plan,
)
from volplane.domain.exercise.dispersion_step_kernel import STEP_S, advanced, eas_of
from volplane.domain.glide.flight_kernel import (
    BASE_HEIGHT,
    CONFIGURATION_TIME,
    EAS,
    EXTRA_DRAG,
    SHEAR,
    World,
    ground_motion,
)
from volplane.domain.glide.touchdown_kernel import PATH_COLUMNS, flare

Array = NDArray[np.float64]

# columns of the answer: how, where the wheels touched, heights at the gates (NaN where not passed)
OUTCOME, TOUCHDOWN_X, HIGH_KEY_HEIGHT, LOW_KEY_HEIGHT, BASE_KEY_HEIGHT, FINAL_HEIGHT = range(6)
ANSWER_COLUMNS = 6
LONGEST_STEPS = 1500

# extra drag grows or shrinks by at most this much a second, in parts of the clean parasite drag
_DRAG_RATE = 0.25
_FARTHEST_FLOAT_M = 3000.0
_UNDER_THE_GROUND_M = -30.0


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
    """One flight of the exercise; fills the answer (ANSWER_COLUMNS,) and, where it has rows, the trace.

    Returns the rows of the trace. A flight that comes to no end is a go-around.
    """
    luck = luck_of(key)
    landing_wind = np.empty((3, planned_world.wind_heights.shape[0]))
    world = air_of_the_day(key, luck, spread, planned_world, landing_wind)
    legs, mind = lesson.legs.copy(), np.zeros(MIND_ENTRIES)
    begin_turns(luck, lesson, spread, slopes, legs, mind)
    state = _started(luck, lesson, spread, world)
    answer[:] = math.nan
    answer[OUTCOME] = NO_END
    _note_start(state, lesson, answer)
    sees = hand.sees_factor > 0.0
    worse = lesson.best_ratio / float(world.polar[1]) - 1.0
    before, trial, errors, wandering = state.copy(), np.zeros(6), np.zeros(3), np.zeros(3)
    from_hanging, hanging = legs[0, EXTRA_DRAG : EXTRA_DRAG + 3].copy(), legs[0, EXTRA_DRAG : EXTRA_DRAG + 3].copy()
    configuration = hanging.copy()
    index, last = 0, legs.shape[0] - 1
    time, leg_time, next_look, flown, drag = 0.0, 0.0, hand.look_s, 0.0, 0.0
    checks_break_off = checks_final = sees
    track, ground_speed = ground_motion(state, world)
    rows = _trace_row(state, track, flown, lesson, index, world, trace, 0)
    for step in range(LONGEST_STEPS):
        if sees and time >= next_look:
            next_look += hand.look_s
            late_m = spread.timing_s * luck[TIMING] * ground_speed
            act(state, track, legs, index, late_m, mind, lesson, hand, spread, slopes)
            mind[JUDGED], mind[ROOM_ON_FINAL] = look(
                luck, state, track, legs, index, worse, mind, lesson, hand, spread, slopes
            )
        purpose = lesson.purpose[index]
        drag += min(max(mind[WANTED_DRAG] - drag, -_DRAG_RATE * STEP_S), _DRAG_RATE * STEP_S)
        travelled = min((leg_time + 0.5 * STEP_S) / world.handling[CONFIGURATION_TIME], 1.0)
        for i in range(3):
            hanging[i] = from_hanging[i] + travelled * (legs[index, EXTRA_DRAG + i] - from_hanging[i])
            configuration[i] = hanging[i]
        configuration[0] = max(configuration[0] + drag, 0.0)
        wander(key, luck, step, STEP_S, spread, wandering, errors)
        before[:] = state
        track_before = track
        taken, gone, is_over = advanced(state, legs, index, leg_time, errors, configuration, world, trial)
        time += taken
        leg_time += taken
        flown += gone
        track, ground_speed = ground_motion(state, world)
        _note_gates(before, track_before, state, track, purpose, answer)
        if taken > 0.0:
            rows = _trace_row(state, track, flown, lesson, index, world, trace, rows)
        if checks_break_off and state[2] <= hand.break_off_height_m:
            checks_break_off = False
            seen, _ = look(luck, state, track, legs, index, worse, mind, lesson, hand, spread, slopes)
            verdict = breaks_off(seen, state, purpose, eas_of(state, world), lesson, hand, slopes)
            if verdict != LANDED:
                answer[OUTCOME] = verdict
                return rows
        if checks_final and state[2] <= hand.final_complete_height_m:
            checks_final = False
            if not is_established(state, track):
                answer[OUTCOME] = NOT_ON_FINAL
                return rows
        if is_over:
            if index == last:
                answer[OUTCOME] = LANDED
                answer[TOUCHDOWN_X] = _touchdown_x(luck, state, lesson, spread, world, landing_wind)
                return rows
            index += 1
            leg_time = 0.0
            from_hanging[:] = hanging
            _enter_leg(state, track, legs, index, mind, sees, lesson, slopes, answer)
            rows = _trace_row(state, track, flown, lesson, index, world, trace, rows)
        if state[2] < _UNDER_THE_GROUND_M:
            return rows
    return rows


@njit
def _started(luck: Array, lesson: Lesson, spread: Spread, world: World) -> Array:
    """The state at the beginning: at the height flown there, crabbed onto the track the exercise begins with."""
    state = np.zeros(6)
    state[0], state[1] = lesson.x_m, lesson.y_m
    state[2] = lesson.height_m + spread.entry_height_m * luck[ENTRY]
    state[4] = 1.0
    state[4] = lesson.eas_mps / eas_of(state, world)
    above_field = state[2] + world.handling[BASE_HEIGHT]
    air_x, air_y = wind_at(above_field, world.wind_heights, world.wind_x, world.wind_y, world.handling[SHEAR])
    across = -air_x * math.sin(lesson.track_rad) + air_y * math.cos(lesson.track_rad)
    state[3] = lesson.track_rad - math.asin(min(max(across / state[4], -0.9), 0.9))
    return state


@njit
def _note_start(state: Array, lesson: Lesson, answer: Array) -> None:
    """The gate at which the exercise begins, if it begins at one."""
    begins = lesson.purpose[0]
    if begins == HALF_TURN:
        answer[HIGH_KEY_HEIGHT] = state[2]
    elif begins == DOWNWIND:
        answer[LOW_KEY_HEIGHT] = state[2]
    elif begins == BASE:
        answer[BASE_KEY_HEIGHT] = state[2]


@njit
def _enter_leg(
    state: Array,
    track: float,
    legs: Array,
    index: int,
    mind: Array,
    sees: bool,
    lesson: Lesson,
    slopes: Slopes,
    answer: Array,
) -> None:
    """What the pilot does and what is noted as a leg begins: a circle chosen by the altimeter, the high key passed."""
    if lesson.purpose[index] == HALF_TURN and lesson.purpose[index - 1] == BEFORE_KEY:
        answer[HIGH_KEY_HEIGHT] = state[2]
    if sees and begins_circle(legs, index, lesson):
        over = height_over_plan(state, track, legs, index, mind[LONGER_BASE], lesson, slopes)
        circle_to_key(over, legs, index, lesson)


@njit
def _note_gates(before: Array, track_before: float, state: Array, track: float, purpose: float, answer: Array) -> None:
    """Heights where the flight passes the gates, as the gate finder means them, straight between two steps."""
    if purpose == BEFORE_KEY:
        return
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
    elif math.isnan(answer[FINAL_HEIGHT]) and is_established(state, track):
        answer[FINAL_HEIGHT] = state[2]


@njit
def _touchdown_x(luck: Array, state: Array, lesson: Lesson, spread: Spread, world: World, landing_wind: Array) -> float:
    """Where the wheels meet the runway: round-out and float from this speed in this wind, and their scatter."""
    last = lesson.legs.shape[0] - 1
    eas = float(lesson.legs[last, EAS])
    rows = lesson.trace.shape[0]
    if rows > 0:
        eas += eas_of(state, world) - lesson.trace[rows - 1, TRACE_EAS]
    landing = lesson.landing_hand.copy()
    landing[0] = max(eas, 1.02 * lesson.touchdown_eas_mps)
    no_path = np.empty((0, PATH_COLUMNS))
    answer = flare(landing, world.polar, lesson.landing_configuration, lesson.landing_air, landing_wind, no_path)
    return float(state[0] + min(answer[1], _FARTHEST_FLOAT_M) + spread.landing_m * luck[LANDING])


@njit
def _trace_row(
    state: Array, track: float, flown: float, lesson: Lesson, index: int, world: World, trace: Array, row: int
) -> int:
    """One row of the reference; the number of rows after it."""
    if row < trace.shape[0]:
        trace[row, TRACE_LEG] = index
        trace[row, TRACE_ALONG] = along_leg(state, track, lesson.legs[index])
        trace[row, TRACE_HEIGHT] = state[2]
        trace[row, TRACE_FLOWN] = flown
        trace[row, TRACE_EAS] = eas_of(state, world)
        trace[row, TRACE_X] = state[0]
        return row + 1
    return row
