"""From the 50 ft point to the wheels: final glide, round-out and float along a path known beforehand.

The path over the ground is fixed: a straight line, a circular arc that ends level just above the runway, a level line.
What is integrated along it is the speed: the airplane is a point mass on a given curve in moving air, lift is whatever
the curve asks for, drag is the polar's at that lift. Wind gradient and crosswind need no terms of their own, because
drag and lift are taken from the velocity through the air. The airplane crabs so that it stays over the centreline.

The steps are a fixed number a phase (Runge-Kutta of fourth order), so that the result is a smooth function of its
arguments and a solver may differentiate it. Import inside functions only: importing a kernel starts the compiler.
"""

from __future__ import annotations

import math
from typing import TypeAlias

from volplane.compiled import njit
from volplane.domain.atmosphere.air_kernel import density_kgpm3, wind_at, wind_gradient_at
from volplane.domain.glide.polar import KernelTable
from volplane.domain.glide.polar_kernel import drag_to_weight
from volplane.units import FOOT_M

FIFTY_FEET_M = 50.0 * FOOT_M
# entries of `landing`, `configuration` and `air`
APPROACH_EAS, TOUCHDOWN_EAS, ADDED_LOAD, SPAN, WING_HEIGHT = 0, 1, 2, 3, 4
EXTRA_DRAG, INDUCED, THRUST_POWER = 0, 1, 2
PRESSURE, TEMPERATURE, BASE_HEIGHT, SHEAR = 0, 1, 2, 3
# columns of the path
(T, X, HEIGHT, GROUND_SPEED, TAS, EAS, LOAD_FACTOR) = range(7)
PATH_COLUMNS = 7
_LINE_STEPS, _ARC_STEPS, _FLOAT_STEPS = 4, 8, 8
# the start, one row a step, and the runway when the speed runs out in the round-out
PATH_ROWS = _LINE_STEPS + _ARC_STEPS + _FLOAT_STEPS + 2

_G = 9.80665
_SEA_LEVEL_DENSITY = 1.225
# A pilot in the wind gradient near the ground does not dive to more than twice the slope to keep every knot (ours).
_LEAST_GRADIENT_FACTOR = 0.5
_SHORTEST_LINE_M = 1e-6
# with less deceleration than this, in parts of g, the float has no end worth the name (ours)
_LEAST_DECELERATION = 0.005


# landing, polar, configuration, air and wind as `flare` takes them, in this order
World: TypeAlias = tuple[KernelTable, KernelTable, KernelTable, KernelTable, KernelTable]
# slope of the final glide, radius of the round-out, length of the straight line before it
Shape: TypeAlias = tuple[float, float, float]
Answer: TypeAlias = tuple[float, float, float, float, float, float, int]


@njit
def flare(
    landing: KernelTable,
    polar: KernelTable,
    configuration: KernelTable,
    air: KernelTable,
    wind: KernelTable,
    path: KernelTable,
) -> Answer:
    """Distances of a landing without power from the 50 ft point on.

    `landing` is approach EAS, touchdown EAS, the load factor added as the round-out begins, wing span, and height of
    the wing over the wheels; `polar` is `GlideModel.kernel_table()`; `configuration` is extra drag, induced drag and
    thrust power per weight; `air` is field pressure, field temperature, height of the runway above the field, shear
    exponent; `wind` (3, k) is heights above the field and the two components in the runway frame. `path` (PATH_ROWS,
    PATH_COLUMNS) receives the path, x from the 50 ft point; one of no rows receives nothing.

    Returns the distance from the 50 ft point to the aim point, the distance from it to the touchdown, the part of that
    spent floating, the time, the sink at touchdown, the height at which the round-out begins, and the rows written.
    Distances are infinite when the airplane does not come down: too much wind or thrust, or it never slows down.
    """
    world = (landing, polar, configuration, air, wind)
    slope, speed = _at_fifty_feet(world)
    if not slope > 0.0:
        return math.inf, math.inf, math.inf, math.inf, 0.0, FIFTY_FEET_M, 0
    # the arc that meets the runway; from a steep glide it would begin above 50 ft, and is flown tighter instead
    fall = 1.0 - math.cos(slope)
    radius_m = min(speed * speed / (_G * landing[ADDED_LOAD]), FIFTY_FEET_M / fall)
    round_out_m = radius_m * fall
    shape = (slope, radius_m, (FIFTY_FEET_M - round_out_m) / math.sin(slope))
    aim_m = FIFTY_FEET_M / math.tan(slope)

    rows = _write(0, path, 0.0, 0.0, speed, shape, False, world)
    along_m, time_s, speed, level, rows = _line_and_arc(rows, path, speed, shape, world)
    place_m, height_m, slope_left = _place(along_m, shape, True)
    if not level:
        beyond_m, spent_s, rows = _straight_on(rows, path, time_s, place_m, height_m, slope_left, speed)
        return aim_m, place_m + beyond_m, 0.0, time_s + spent_s, speed * math.sin(slope_left), round_out_m, rows
    float_m, float_s, rows = _float(rows, path, time_s, place_m, speed, world)
    return aim_m, place_m + float_m, float_m, time_s + float_s, 0.0, round_out_m, rows


@njit
def _line_and_arc(
    rows: int, path: KernelTable, speed: float, shape: Shape, world: World
) -> tuple[float, float, float, bool, int]:
    """Length, time and ground speed at the end of the round-out, or where the speed of the touchdown is reached in it.

    The truth value says whether the round-out was completed.
    """
    slope, radius_m, line_m = shape
    along_m, time_s = 0.0, 0.0
    first = 0 if line_m > _SHORTEST_LINE_M else _LINE_STEPS  # a round-out from 50 ft has no line before it
    for count in range(first, _LINE_STEPS + _ARC_STEPS):
        on_arc = count >= _LINE_STEPS
        step_m = radius_m * slope / _ARC_STEPS if on_arc else line_m / _LINE_STEPS
        next_speed, spent_s = _step(along_m, step_m, speed, shape, on_arc, world)
        left = _eas_left(along_m + step_m, next_speed, shape, world) if on_arc else 0.0
        if left < 0.0:
            over = max(_eas_left(along_m, speed, shape, world), 0.0)
            part = over / (over - left)
            along_m += part * step_m
            time_s += part * spent_s
            speed += part * (next_speed - speed)
            return along_m, time_s, speed, False, _write(rows, path, time_s, along_m, speed, shape, True, world)
        along_m += step_m
        time_s += spent_s
        speed = next_speed
        rows = _write(rows, path, time_s, along_m, speed, shape, on_arc, world)
    return along_m, time_s, speed, True, rows


@njit
def _at_fifty_feet(world: World) -> tuple[float, float]:
    """Slope of the final glide over the ground, downwards, and the ground speed along it, at 50 ft.

    The equivalent airspeed is held, through the wind gradient and the growing density too:
    sin gamma (1 + (V/g) (cos gamma dw/dh + dV/dh)) = (T - D)/W, as in the guided flight that arrives here.
    """
    landing, polar, configuration, air, wind = world
    height = FIFTY_FEET_M + air[BASE_HEIGHT]
    density = density_kgpm3(height, air[PRESSURE], air[TEMPERATURE])
    density_above = density_kgpm3(height + 1.0, air[PRESSURE], air[TEMPERATURE])
    eas = landing[APPROACH_EAS]
    tas = eas * math.sqrt(_SEA_LEVEL_DENSITY / density)
    tas_slope = eas * math.sqrt(_SEA_LEVEL_DENSITY / density_above) - tas
    air_x, air_y = wind_at(height, wind[0], wind[1], wind[2], air[SHEAR])
    slope_x, slope_y = wind_gradient_at(height, wind[0], wind[1], wind[2], air[SHEAR])
    induced = configuration[INDUCED] * _ground_effect(FIFTY_FEET_M, landing)
    sin_path, cos_path, forward = 0.0, 1.0, 0.0
    for _ in range(4):
        level = tas * cos_path
        if abs(air_y) >= level:
            return -1.0, 0.0
        forward = math.sqrt(level * level - air_y * air_y)
        gradient = (slope_x * forward - slope_y * air_y) / level
        net = drag_to_weight(eas, cos_path, polar, configuration[EXTRA_DRAG], induced)
        net -= configuration[THRUST_POWER] / tas
        sin_path = -net / max(1.0 + tas / _G * (cos_path * gradient + tas_slope), _LEAST_GRADIENT_FACTOR)
        if abs(sin_path) >= 1.0:
            return -1.0, 0.0
        cos_path = math.sqrt(1.0 - sin_path * sin_path)
    over_ground, down = forward + air_x, -tas * sin_path
    if over_ground <= 0.0 or down <= 0.0:
        return -1.0, 0.0
    return math.atan2(down, over_ground), math.hypot(down, over_ground)


@njit
def _ground_effect(height: float, landing: KernelTable) -> float:
    """Induced drag in parts of that far from the ground (Wieselsberger, NACA TM 77, 1922, from memory).

    1 - (1 - 1.32 h/b) / (1.05 + 7.4 h/b) with the wing h above the ground and of span b; stated for h/b of 1/15 to 1/2.
    """
    share: float = (height + landing[WING_HEIGHT]) / landing[SPAN]
    return 1.0 - max(1.0 - 1.32 * share, 0.0) / (1.05 + 7.4 * share)


@njit
def _place(along_m: float, shape: Shape, on_arc: bool) -> tuple[float, float, float]:
    """Distance from the 50 ft point, height and slope at a length along the path: on the line, or on its arc."""
    slope, radius_m, line_m = shape
    if not on_arc:
        return along_m * math.cos(slope), FIFTY_FEET_M - along_m * math.sin(slope), slope
    here = slope - (along_m - line_m) / radius_m
    place_m = line_m * math.cos(slope) + radius_m * (math.sin(slope) - math.sin(here))
    return place_m, radius_m * (1.0 - math.cos(here)), here


@njit
def _motion(
    height: float, slope: float, curvature: float, speed: float, world: World
) -> tuple[float, float, float, float]:
    """Acceleration along the path, true and equivalent airspeed, load factor, at a ground speed along it.

    Newton's law along and across the path: gravity, drag against the velocity through the air, lift across that
    velocity in the vertical plane of the nose; the curve asks for speed^2 x curvature across, which gives the lift.
    """
    landing, polar, configuration, air, wind = world
    air_height = height + air[BASE_HEIGHT]
    air_x, air_y = wind_at(air_height, wind[0], wind[1], wind[2], air[SHEAR])
    cos_slope, sin_slope = math.cos(slope), math.sin(slope)
    forward, down = speed * cos_slope - air_x, speed * sin_slope
    level = math.hypot(forward, air_y)
    tas = math.hypot(level, down)
    eas = tas * math.sqrt(density_kgpm3(air_height, air[PRESSURE], air[TEMPERATURE]) / _SEA_LEVEL_DENSITY)
    # lift leans forward by the path angle through the air, and into the crab
    lift_forward, lift_up = down / tas * forward / level, level / tas
    drag_across = (forward * sin_slope - down * cos_slope) / tas
    drag_along = (forward * cos_slope + down * sin_slope) / tas
    induced = configuration[INDUCED] * _ground_effect(height, landing)
    load_factor = cos_slope + speed * speed * curvature / _G
    net = 0.0
    for _ in range(2):
        net = drag_to_weight(eas, load_factor, polar, configuration[EXTRA_DRAG], induced)
        net -= configuration[THRUST_POWER] / tas
        asked = cos_slope + speed * speed * curvature / _G + net * drag_across
        load_factor = asked / (lift_up * cos_slope + lift_forward * sin_slope)
    lift_along = load_factor * (lift_forward * cos_slope - lift_up * sin_slope)
    return _G * (sin_slope - net * drag_along + lift_along), tas, eas, load_factor


@njit
def _step(along_m: float, step_m: float, speed: float, shape: Shape, on_arc: bool, world: World) -> tuple[float, float]:
    """Ground speed after a step along the path, and the time it takes: d speed / d length = acceleration / speed."""
    curvature = 1.0 / shape[1] if on_arc else 0.0
    change, spent, rate, pace = 0.0, 0.0, 0.0, 0.0
    for stage in range(4):
        part = 0.0 if stage == 0 else 1.0 if stage == 3 else 0.5
        weight = 1.0 / 6.0 if stage in (0, 3) else 1.0 / 3.0
        here = speed + part * step_m * rate
        _, height, slope_here = _place(along_m + part * step_m, shape, on_arc)
        gain, _, _, _ = _motion(height, slope_here, curvature, here, world)
        rate, pace = gain / here, 1.0 / here
        change += weight * step_m * rate
        spent += weight * step_m * pace
    return speed + change, spent


@njit
def _eas_left(along_m: float, speed: float, shape: Shape, world: World) -> float:
    """Equivalent airspeed above that of the touchdown, on the arc."""
    _, height, here = _place(along_m, shape, True)
    _, _, eas, _ = _motion(height, here, 1.0 / shape[1], speed, world)
    left: float = eas - world[0][TOUCHDOWN_EAS]
    return left


@njit
def _straight_on(
    rows: int, path: KernelTable, time_s: float, place_m: float, height_m: float, slope: float, speed: float
) -> tuple[float, float, int]:
    """The speed is used up in the round-out: nothing is left to bend the path with, so it goes on to the runway."""
    beyond_m = height_m / math.tan(slope)
    spent_s = height_m / math.sin(slope) / speed
    if path.shape[0] > 0:
        _fill(path, rows, time_s + spent_s, place_m + beyond_m, 0.0, speed)
        path[rows, TAS], path[rows, EAS] = path[rows - 1, TAS], path[rows - 1, EAS]
        path[rows, LOAD_FACTOR] = math.cos(slope)
    return beyond_m, spent_s, rows + 1


@njit
def _float(
    rows: int, path: KernelTable, time_s: float, place_m: float, speed: float, world: World
) -> tuple[float, float, int]:
    """Length, time and rows of the level flight just above the runway until the speed of the touchdown.

    Speed is what runs on evenly here: d length / d speed = speed / acceleration.
    """
    landing, _, _, air, wind = world
    air_x, air_y = wind_at(air[BASE_HEIGHT], wind[0], wind[1], wind[2], air[SHEAR])
    density = density_kgpm3(air[BASE_HEIGHT], air[PRESSURE], air[TEMPERATURE])
    last_tas = landing[TOUCHDOWN_EAS] * math.sqrt(_SEA_LEVEL_DENSITY / density)
    last_speed = air_x + math.sqrt(max(last_tas * last_tas - air_y * air_y, 0.0))
    if last_speed <= 0.0 or last_tas <= abs(air_y):
        return math.inf, math.inf, rows
    step = (last_speed - speed) / _FLOAT_STEPS
    length_m, float_s = 0.0, 0.0
    for count in range(_FLOAT_STEPS):
        for stage in range(3):  # the right side knows the speed only: Runge-Kutta becomes Simpson's rule
            weight = 4.0 / 6.0 if stage == 1 else 1.0 / 6.0
            here = speed + (count + 0.5 * stage) * step
            gain, _, _, _ = _motion(0.0, 0.0, 0.0, here, world)
            if gain > -_LEAST_DECELERATION * _G:
                return math.inf, math.inf, rows
            float_s += weight * step / gain
            length_m += weight * step * here / gain
        if path.shape[0] > 0:
            reached = speed + (count + 1) * step
            _fill(path, rows, time_s + float_s, place_m + length_m, 0.0, reached)
            _, path[rows, TAS], path[rows, EAS], path[rows, LOAD_FACTOR] = _motion(0.0, 0.0, 0.0, reached, world)
        rows += 1
    return length_m, float_s, rows


@njit
def _write(
    rows: int, path: KernelTable, time_s: float, along_m: float, speed: float, shape: Shape, on_arc: bool, world: World
) -> int:
    """One row of the line or the arc; the number of rows after it."""
    if path.shape[0] > 0:
        place_m, height_m, here = _place(along_m, shape, on_arc)
        curvature = 1.0 / shape[1] if on_arc else 0.0
        _fill(path, rows, time_s, place_m, height_m, speed)
        _, path[rows, TAS], path[rows, EAS], path[rows, LOAD_FACTOR] = _motion(height_m, here, curvature, speed, world)
    return rows + 1


@njit
def _fill(path: KernelTable, row: int, time_s: float, place_m: float, height_m: float, speed: float) -> None:
    """Time, place, height and ground speed of a row."""
    path[row, T] = time_s
    path[row, X] = place_m
    path[row, HEIGHT] = height_m
    path[row, GROUND_SPEED] = speed
