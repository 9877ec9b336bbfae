"""The pilot of a dispersion: what he sees, what he does about it a look later, and when he gives up.

Import inside functions only: importing a kernel starts the compiler.
"""

from __future__ import annotations

import math
from typing import NamedTuple

import numpy as np
from numpy.typing import NDArray

from volplane.compiled import njit
from volplane.domain.exercise.dispersion_chance_kernel import (
    ALTIMETER,
    FIRST_BANK,
    LOW_PICTURE,
    OFFSET,
    PICTURE,
    Spread,
)
from volplane.domain.exercise.dispersion_lesson_kernel import (
    BASE,
    BASE_TURN,
    BEFORE_KEY,
    DOWNWIND,
    FINAL_CLEAN,
    FINAL_TURN,
    HALF_TURN,
    Lesson,
    Slopes,
    along_leg,
    final_height,
    ground_left,
    height_over_plan,
    lost_on_leg_m,
    roll_out_x_m,
)
from volplane.domain.glide.flight_kernel import (
    ARC,
    EAS,
    END_HEIGHT,
    KIND,
    LINE,
    POINT_X,
    POINT_Y,
    RADIUS_OR_BANK,
    TRACK_END,
    TURN,
    TURN_SIGN,
    wrapped,
)
from volplane.domain.glide.touchdown_kernel import FIFTY_FEET_M

Array = NDArray[np.float64]

# how a flight ended: landed, or went around at the break-off height (still on downwind, speed, bank, would land short,
# would land long), because it was not on final when that should be complete, or without coming to any end
LANDED, STILL_DOWNWIND, WRONG_SPEED, STEEP_BANK, TOO_SHORT, TOO_LONG, NOT_ON_FINAL, NO_END = range(8)
# what the pilot has in mind: height over the plan's as judged, and by the altimeter the height to spare at the end of
# the last turn, both seen a look ago; extra drag wanted; what a wide downwind leg adds to the base leg, and how wide
# the pilot would fly it at the planned height
JUDGED, ROOM_ON_FINAL, WANTED_DRAG, LONGER_BASE, BELIEVED_WIDE = range(5)
MIND_ENTRIES = 5

# a pilot does not steer for the point with drag over less than this much ground
_LEAST_DISTANCE_M = 150.0
# a downwind leg lies wide or close by no more than this part of the base leg, or of its distance with a round turn
_MOST_OF_BASE, _MOST_OF_ROUND = 0.8, 0.15
# established on final: the gate finder's limits
_ESTABLISHED_RAD = math.radians(10.0)
# a half turn is put right after its first third, no turn shortly before its end, none for a smaller change of circle
_THIRD_FLOWN_LEFT_RAD, _LEAST_LEFT_RAD = math.radians(120.0), math.radians(30.0)
_LEAST_CHANGE_FRACTION = 0.03
_LEAST_ROOM_FRACTION = 0.25
_STEEPEST_CIRCLE_FRACTION, _WIDEST_CIRCLE_FRACTION = 0.75, 1.35


class Hand(NamedTuple):
    """The pilot's corrections and rules, as `Pilot` has them; `sees_factor` is 0 for a flight that follows the legs."""

    sees_factor: float
    look_s: float
    early_drag_factor: float
    more_drag_factor: float
    cut_angle_rad: float
    widen_angle_rad: float
    cut_below_m: float
    latest_landing_height_m: float
    room_on_final_m: float
    aims_beyond_m: float
    picture_weight_fraction: float
    accepts_short_m: float
    accepts_long_m: float
    break_off_height_m: float
    break_off_below_mps: float
    break_off_above_mps: float
    break_off_bank_rad: float
    reads_bank_rad: float
    reads_airspeed_mps: float
    final_complete_height_m: float


@njit
def begin_turns(luck: Array, lesson: Lesson, spread: Spread, slopes: Slopes, legs: Array, mind: Array) -> None:
    """The half turn begun at another bank, and the downwind leg where the pilot believes that it belongs."""
    planned = lesson.first_bank_rad
    least = min(spread.first_turn_least_bank_rad, planned)
    greatest = max(spread.first_turn_greatest_bank_rad, planned)
    bank = planned * (1.0 + spread.first_turn_bank_fraction * luck[FIRST_BANK])
    bank = min(max(bank, least), greatest)
    factor = 1.0 if bank == planned else math.tan(planned) / math.tan(bank)
    room = _room_across_m(lesson, slopes)
    mind[BELIEVED_WIDE] = min(max(spread.offset_fraction * luck[OFFSET] * lesson.offset_m, -room), room)
    _turn_at_another_bank(bank, factor, lesson, legs)
    _lay_downwind(mind[BELIEVED_WIDE], lesson, legs, mind)


@njit
def _room_across_m(lesson: Lesson, slopes: Slopes) -> float:
    """How far from its place the downwind leg may lie: a part of the base leg, or of the round turn's width."""
    return _MOST_OF_BASE * slopes.base_m if slopes.base_m > 0.0 else _MOST_OF_ROUND * lesson.offset_m


@njit
def _turn_at_another_bank(bank: float, factor: float, lesson: Lesson, legs: Array) -> None:
    """The first circle of the half turn with another radius; what comes after it is laid where it ends."""
    outward = 0.0
    for i in range(legs.shape[0]):
        if lesson.purpose[i] != HALF_TURN:
            continue
        if legs[i, KIND] == TURN:
            legs[i, RADIUS_OR_BANK] = bank
        elif legs[i, KIND] == ARC and outward == 0.0:
            outward = (factor - 1.0) * legs[i, RADIUS_OR_BANK]
            legs[i, POINT_Y] += lesson.side_factor * outward
            legs[i, RADIUS_OR_BANK] *= factor
        elif outward != 0.0:  # the crosswind leg and the second circle lie farther upwind, and end on the same line
            legs[i, POINT_X] += outward


@njit
def _lay_downwind(wide: float, lesson: Lesson, legs: Array, mind: Array) -> None:
    """The downwind leg so much wider than planned, and the turn to base begun from there."""
    mind[LONGER_BASE] = wide
    side = lesson.side_factor
    for i in range(legs.shape[0]):
        planned = lesson.legs[i, POINT_Y]
        if lesson.purpose[i] == DOWNWIND or (lesson.purpose[i] == BASE_TURN and lesson.purpose[i + 1] == BASE):
            legs[i, POINT_Y] = planned + side * wide
        elif lesson.purpose[i] == BASE_TURN:  # one round turn to final: a wider circle
            legs[i, POINT_Y] = planned + 0.5 * side * wide
            legs[i, RADIUS_OR_BANK] = lesson.legs[i, RADIUS_OR_BANK] + 0.5 * wide
            mind[LONGER_BASE] = 0.5 * math.pi * wide


@njit
def look(
    luck: Array,
    state: Array,
    track_rad: float,
    legs: Array,
    index: int,
    worse_factor: float,
    mind: Array,
    lesson: Lesson,
    hand: Hand,
    spread: Spread,
    slopes: Slopes,
) -> tuple[float, float]:
    """The height over the plan's as the pilot judges it, and that to spare where the last turn must be complete.

    He judges the glide angle: a glide worse by a part costs that part of all height still to be lost. The first mixes
    two ways to see it until the break-off height: by the picture of where the glide leads, which is off by a part of
    the way left, and by the altimeter against the card. From there on the picture alone counts, and is sharper. He
    aims for a place in the zone, not for its edge. The second is by the altimeter alone.
    """
    over_m = height_over_plan(state, track_rad, legs, index, mind[LONGER_BASE], lesson, slopes)
    planned = float(state[2]) - over_m
    read = over_m + spread.altimeter_m * luck[ALTIMETER]
    rolled_out = read + final_height(lesson, slopes, roll_out_x_m(legs, index, lesson, slopes))
    room = rolled_out - worse_factor * max(planned - hand.final_complete_height_m, 0.0) - hand.final_complete_height_m
    off, weight = spread.picture_fraction * luck[PICTURE], hand.picture_weight_fraction
    if state[2] <= hand.break_off_height_m:
        off, weight = spread.picture_low_fraction * luck[LOW_PICTURE], 1.0
    left = ground_left(state, track_rad, legs, index, lesson, slopes)
    judged = weight * (over_m + off * left * slopes.clean_fraction) + (1.0 - weight) * read
    judged -= worse_factor * max(planned - FIFTY_FEET_M, 0.0)
    return judged - hand.aims_beyond_m * slopes.final_fraction, room


@njit
def act(
    state: Array,
    track_rad: float,
    legs: Array,
    index: int,
    late_m: float,
    mind: Array,
    lesson: Lesson,
    hand: Hand,
    spread: Spread,
    slopes: Slopes,
) -> None:
    """Do what was seen a look ago asks for: legs still ahead are laid anew, `mind` takes the extra drag wanted."""
    purpose_row = lesson.purpose[index]
    mind[WANTED_DRAG] = 0.0
    if purpose_row == HALF_TURN:
        if legs[index, KIND] != LINE:
            _put_half_turn_right(state, track_rad, legs, index, lesson, spread)
    elif purpose_row == DOWNWIND:
        _come_closer(mind, lesson, hand, slopes, legs)
        _place_turn(state, _later_m(late_m, mind, lesson, hand, slopes), legs, index, lesson)
    elif purpose_row > DOWNWIND:
        _keep_clean_when_low(mind[JUDGED], state, legs, index, lesson, hand, slopes)
        excess_m = mind[JUDGED]
        if purpose_row <= FINAL_TURN:  # what the final can lose is left to it, and so is what the last turn needs
            to_lose = min(
                excess_m - _more_than_reserve_m(state, hand, slopes), mind[ROOM_ON_FINAL] - hand.room_on_final_m
            )
            excess_m = min(excess_m, max(to_lose, 0.0))
        if purpose_row in (BASE_TURN, BASE):
            _steer_base(excess_m, state, track_rad, legs, index, lesson, hand, slopes)
        mind[WANTED_DRAG] = _wanted_drag(excess_m, state, purpose_row, lesson, hand, slopes)


@njit
def circle_to_key(over_m: float, legs: Array, index: int, lesson: Lesson) -> None:
    """A whole circle before the key begun with `over` too much height: widened or tightened to lose just that."""
    lost = lost_on_leg_m(lesson, index) + lost_on_leg_m(lesson, index + 1)
    factor = 1.0 + over_m / max(lost, 1.0)
    factor = min(max(factor, _STEEPEST_CIRCLE_FRACTION), _WIDEST_CIRCLE_FRACTION)
    for i in range(index, index + 2):
        planned = lesson.legs[i, RADIUS_OR_BANK]
        legs[i, RADIUS_OR_BANK] = factor * planned
        legs[i, POINT_Y] = lesson.legs[i, POINT_Y] + lesson.legs[i, TURN_SIGN] * (factor - 1.0) * planned


@njit
def begins_circle(legs: Array, index: int, lesson: Lesson) -> bool:
    """Whether a leg is the first half of a whole circle before the key."""
    if lesson.purpose[index] != BEFORE_KEY or legs[index, KIND] != ARC:
        return False
    following = legs[index + 1]
    return bool(lesson.purpose[index + 1] == BEFORE_KEY and following[KIND] == ARC and legs[index, TRACK_END] != 0.0)


@njit
def _put_half_turn_right(
    state: Array, track_rad: float, legs: Array, index: int, lesson: Lesson, spread: Spread
) -> None:
    """A third of the way round, turn the rest tighter or wider, so that it ends on the downwind line."""
    left = -along_leg(state, track_rad, legs[index])
    ends_downwind = math.cos(legs[index, TRACK_END]) < 0.0
    if not ends_downwind or not _LEAST_LEFT_RAD < left <= _THIRD_FLOWN_LEFT_RAD:
        return
    if legs[index, KIND] == TURN:
        legs[index, RADIUS_OR_BANK] = lesson.first_bank_rad
        return
    side = legs[index, TURN_SIGN]
    planned = lesson.legs[index, RADIUS_OR_BANK]
    line = lesson.side_factor * legs[_next_with(DOWNWIND, index, lesson), POINT_Y]
    round_rad = 1.0 - math.cos(left)
    radius = (line - side * float(state[1])) / round_rad
    tightest, widest = _circles_within(planned, lesson, spread)
    radius = min(max(radius, tightest), widest)
    if abs(radius - legs[index, RADIUS_OR_BANK]) < _LEAST_CHANGE_FRACTION * planned:
        return
    legs[index, RADIUS_OR_BANK] = radius
    legs[index, POINT_X] = state[0] - side * radius * math.sin(track_rad)
    legs[index, POINT_Y] = state[1] + side * radius * math.cos(track_rad)


@njit
def _circles_within(planned_m: float, lesson: Lesson, spread: Spread) -> tuple[float, float]:
    """The tightest and the widest circle between the banks that a half turn is flown at."""
    tangent = planned_m * math.tan(lesson.first_bank_rad)
    tightest = tangent / math.tan(max(spread.first_turn_greatest_bank_rad, lesson.first_bank_rad))
    return tightest, tangent / math.tan(min(spread.first_turn_least_bank_rad, lesson.first_bank_rad))


@njit
def _next_with(purpose_row: float, index: int, lesson: Lesson) -> int:
    """The next leg for a purpose, or the last one."""
    for i in range(index, lesson.purpose.shape[0]):
        if lesson.purpose[i] == purpose_row:
            return i
    return int(lesson.purpose.shape[0] - 1)


@njit
def _come_closer(mind: Array, lesson: Lesson, hand: Hand, slopes: Slopes, legs: Array) -> None:
    """Low on downwind: angle in, so that the base leg gets shorter by what is missing."""
    excess_m = mind[JUDGED] + mind[LONGER_BASE] * slopes.downwind_fraction
    closer = max(-excess_m - hand.cut_below_m, 0.0) / slopes.downwind_fraction
    room = _room_across_m(lesson, slopes)
    _lay_downwind(max(min(mind[BELIEVED_WIDE], mind[BELIEVED_WIDE] - closer), -room), lesson, legs, mind)


@njit
def _later_m(late_m: float, mind: Array, lesson: Lesson, hand: Hand, slopes: Slopes) -> float:
    """How much farther than planned the pilot goes on downwind; `late_m` by misjudging the moment.

    As far as the glide leads, but early enough to be on final by the height where that must be complete: with room to
    spare as long as the final can still lose what that leaves too high. Past the place where the altimeter leaves a
    quarter of the room he does not go, late or not.
    """
    by_glide = _turn_later_m(mind[JUDGED], lesson, slopes)
    roomy = (mind[ROOM_ON_FINAL] - hand.room_on_final_m) / slopes.downwind_fraction
    latest = (mind[ROOM_ON_FINAL] - _LEAST_ROOM_FRACTION * hand.room_on_final_m) / slopes.downwind_fraction
    can_lose = hand.more_drag_factor * slopes.drag_on_final_fraction * (slopes.reserve_lost_x_m - slopes.roll_out_x_m)
    earlier = by_glide - can_lose / (slopes.downwind_fraction + slopes.final_fraction)
    return float(min(max(min(by_glide, roomy), earlier) + late_m, latest))


@njit
def _turn_later_m(excess_m: float, lesson: Lesson, slopes: Slopes) -> float:
    """How much farther than planned the downwind leg goes so that the excess is gone at the end of the final."""
    start = final_height(lesson, slopes, slopes.roll_out_x_m)
    later = 0.0
    for _ in range(4):
        spent = later * slopes.downwind_fraction
        spent += final_height(lesson, slopes, slopes.roll_out_x_m - later) - start
        later += (excess_m - spent) / (slopes.downwind_fraction + slopes.clean_fraction)
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
def _steer_base(
    excess_m: float, state: Array, track_rad: float, legs: Array, index: int, lesson: Lesson, hand: Hand, slopes: Slopes
) -> None:
    """Steer the base leg in towards the runway when low, away from it with an excess."""
    base = _next_with(BASE, index, lesson)
    if lesson.purpose[base] != BASE:
        return
    turn = base + 1
    side, radius = legs[turn, TURN_SIGN], legs[turn, RADIUS_OR_BANK]
    straight = side * float(state[1]) - radius
    if lesson.purpose[index] == BASE_TURN:
        if -along_leg(state, track_rad, legs[index]) < _LEAST_LEFT_RAD:
            return
        straight = side * legs[index, POINT_Y] - radius
    wanted = max(-excess_m - hand.cut_below_m, 0.0) if excess_m < 0.0 else -excess_m
    angle = wanted / (slopes.clean_fraction * max(straight, _LEAST_DISTANCE_M))
    angle = min(max(angle, -hand.widen_angle_rad), hand.cut_angle_rad)
    _lay_base(angle, state, legs, index, base, lesson)


@njit
def _lay_base(angle: float, state: Array, legs: Array, index: int, base: int, lesson: Lesson) -> None:
    """The base leg at an angle to the planned one, positive in towards the runway, and the turn to final at its end."""
    turn = base + 1
    side, radius = legs[turn, TURN_SIGN], legs[turn, RADIUS_OR_BANK]
    track_rad = -side * (0.5 * math.pi - angle)
    sine, cosine = math.sin(angle), math.cos(angle)
    from_x, from_y = float(state[0]), float(state[1])
    if lesson.purpose[index] == BASE_TURN:  # from where that turn will end
        round_m = legs[index, RADIUS_OR_BANK]
        from_x = legs[index, POINT_X] + side * round_m * math.sin(track_rad)
        from_y = legs[index, POINT_Y] - side * round_m * math.cos(track_rad)
    length = (side * from_y - radius * (1.0 - sine)) / cosine
    if length <= 0.0:
        return
    if lesson.purpose[index] == BASE_TURN:
        legs[index, TRACK_END] = track_rad
    legs[base, TRACK_END] = track_rad
    legs[base, POINT_X] = from_x + length * sine
    legs[base, POINT_Y] = from_y - side * length * cosine
    legs[turn, POINT_X] = legs[base, POINT_X] + radius * cosine


@njit
def _drag_worth_m(state: Array, slopes: Slopes) -> float:
    """Height that drag of the clean airplane's parasite drag loses on the final from here."""
    losing = max(slopes.reserve_lost_x_m - max(float(state[0]), slopes.roll_out_x_m), _LEAST_DISTANCE_M)
    return slopes.drag_on_final_fraction * losing


@njit
def _more_than_reserve_m(state: Array, hand: Hand, slopes: Slopes) -> float:
    """Height the pilot can lose on final beyond the reserve."""
    return hand.more_drag_factor * _drag_worth_m(state, slopes)


@njit
def _clean_for_longer_m(state: Array, lesson: Lesson, hand: Hand, slopes: Slopes) -> float:
    """Height the pilot saves by letting gear and flap out as late as he may."""
    lost_height = final_height(lesson, slopes, slopes.reserve_lost_x_m)
    begin = min(lesson.landing_height_m, final_height(lesson, slopes, slopes.roll_out_x_m))
    part = (begin - hand.latest_landing_height_m) / max(begin - lost_height, 1.0)
    return min(max(part, 0.0), 1.0) * lesson.landing_drag_factor * _drag_worth_m(state, slopes)


@njit
def _keep_clean_when_low(
    excess_m: float, state: Array, legs: Array, index: int, lesson: Lesson, hand: Hand, slopes: Slopes
) -> None:
    """Lower, or at once, the height of the landing configuration: low beyond the reserve late, far too high early."""
    reserve = lesson.reserve_drag_factor * _drag_worth_m(state, slopes)
    for i in range(index, legs.shape[0]):
        if lesson.purpose[i] == FINAL_CLEAN:
            legs[i, END_HEIGHT] = lesson.landing_height_m
            if excess_m < -reserve - 1.0:
                legs[i, END_HEIGHT] = hand.latest_landing_height_m
            elif i == index and excess_m > 0.5 * _more_than_reserve_m(state, hand, slopes):
                legs[i, END_HEIGHT] = 1e6


@njit
def _wanted_drag(
    excess_m: float, state: Array, purpose_row: float, lesson: Lesson, hand: Hand, slopes: Slopes
) -> float:
    """Extra drag for the excess: gear and flap let out early before the final, more or less than planned on it."""
    if purpose_row <= FINAL_TURN:
        wanted = excess_m / (slopes.drag_before_fraction * max(slopes.base_m, _LEAST_DISTANCE_M))
        return min(max(wanted, 0.0), hand.early_drag_factor * lesson.landing_drag_factor)
    if purpose_row == FINAL_CLEAN or state[0] > slopes.reserve_lost_x_m:
        return 0.0
    return min(max(excess_m / _drag_worth_m(state, slopes), -lesson.reserve_drag_factor), hand.more_drag_factor)


@njit
def breaks_off(
    seen_m: float, state: Array, purpose_row: float, eas_mps: float, lesson: Lesson, hand: Hand, slopes: Slopes
) -> int:
    """The rule at the break-off height: speed, bank, and a touchdown near enough with what can still be done.

    LANDED for going on, otherwise why not.
    """
    if purpose_row <= DOWNWIND:
        return STILL_DOWNWIND
    glide_eas, approach_eas = lesson.glide_eas_mps, lesson.legs[lesson.purpose.shape[0] - 1, EAS]
    least_eas = min(glide_eas, approach_eas) if purpose_row >= FINAL_CLEAN else glide_eas
    most_eas = max(glide_eas, approach_eas) + hand.break_off_above_mps + hand.reads_airspeed_mps
    if eas_mps > most_eas or eas_mps < least_eas - hand.break_off_below_mps - hand.reads_airspeed_mps:
        return WRONG_SPEED
    if abs(state[5]) > hand.break_off_bank_rad + hand.reads_bank_rad:
        return STEEP_BANK
    reserve = lesson.reserve_drag_factor * _drag_worth_m(state, slopes)
    long_m = (seen_m - _more_than_reserve_m(state, hand, slopes)) / slopes.final_fraction
    short_m = (-seen_m - reserve - _clean_for_longer_m(state, lesson, hand, slopes)) / slopes.final_fraction
    if long_m > hand.accepts_long_m:
        return TOO_LONG
    return TOO_SHORT if short_m > hand.accepts_short_m else LANDED


@njit
def is_established(state: Array, track_rad: float) -> bool:
    """On final by the gate finder's limits: track along the runway, wings near level."""
    return abs(wrapped(track_rad)) <= _ESTABLISHED_RAD and abs(float(state[5])) <= _ESTABLISHED_RAD
