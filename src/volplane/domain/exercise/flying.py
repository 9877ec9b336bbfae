"""Flies a shape in today's air, from the high key to the wheels; the measure every search of the planner asks."""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import NDArray

from volplane.domain.exercise.exercise import Exercise, HalfTurn, ShapeName
from volplane.domain.exercise.pilot_limits import air_of, glide_of, pilot_limits
from volplane.domain.exercise.shape import OverheadShape
from volplane.domain.glide.guided_flight import Air, GuidedFlight, Simulator, Start, crab_heading_rad
from volplane.domain.glide.limits import PilotLimits
from volplane.domain.glide.polar import GlideModel
from volplane.domain.glide.stall import refuse_too_little_margin
from volplane.domain.glide.touchdown import LandingFlare, landing_flare
from volplane.errors import WindNotBelowAirspeed

Array = NDArray[np.float64]

# columns of the integrator's rows
X, Y, HEIGHT, HEADING, TRACK, BANK, TAS, EAS, GROUND_SPEED, LEG, CLEAN_LOSS, EXTRA_LOSS, EXTRA_DRAG_OUT = range(1, 14)
ROW_COLUMNS = 14
# wings level after a turn at constant bank, long enough to be so
_HARDLY_BANKED_RAD, _ROLL_OUT_S = 1e-6, 4.0
_DRIFT_ROUNDS = 3
_WIND_HEIGHTS_M = np.arange(0.0, 1501.0, 50.0)


@dataclass(frozen=True, slots=True)
class Bench:
    """One exercise made ready to fly: limits, air, glide at today's weight, and the landing from 50 ft on."""

    exercise: Exercise
    limits: PilotLimits
    air: Air
    simulator: Simulator
    flare: LandingFlare

    @property
    def glide(self) -> GlideModel:
        """The dead-engine glide at today's weight."""
        return self.simulator.glide

    @property
    def fifty_foot_x_m(self) -> float:
        """Where the final passes 50 ft so that the wheels meet the touchdown point."""
        return -self.flare.touchdown_from_fifty_foot_m

    @property
    def aim_x_m(self) -> float:
        """Where the straight final, prolonged, meets the runway."""
        return self.fifty_foot_x_m + self.flare.aim_point_from_fifty_foot_m

    def tas_mps(self, height_m: float) -> float:
        """True airspeed of the glide at a height above the touchdown point."""
        return self.air.tas_mps_from_eas_mps(self.limits.glide_eas_mps, height_m)

    def wind_mps(self, height_m: float) -> float:
        """Wind speed at a height above the touchdown point."""
        wind_x, wind_y = self.air.wind_xy_mps(height_m)
        return math.hypot(float(wind_x), float(wind_y))

    def start(self, shape: OverheadShape, height_m: float) -> Start:
        """Where the shape begins, wings level, crabbed onto the track it begins with."""
        if not shape.name.has_high_key:
            row = self.abeam(shape, height_m) if shape.name.has_low_key else self.on_base(shape, height_m)
            return _start_of(row)
        eas_mps = shape.high_key_eas_mps or self.limits.glide_eas_mps
        way = shape.before.way
        x_m, y_m, track = (
            (0.0, shape.high_key_y_m, 0.0) if way is None else (way.start_x_m, way.start_y_m, way.track_rad)
        )
        return Start(x_m, y_m, height_m, self._heading_rad(track, eas_mps, height_m), eas_mps)

    def _heading_rad(self, track_rad: float, eas_mps: float, height_m: float) -> float:
        wind_x, wind_y = (float(wind) for wind in self.air.wind_xy_mps(height_m))
        return crab_heading_rad(track_rad, self.air.tas_mps_from_eas_mps(eas_mps, height_m), wind_x, wind_y)

    def abeam(self, shape: OverheadShape, height_m: float) -> Array:
        """A row of the integrator abeam the touchdown point, wings level, tracking downwind."""
        return self._row(0.0, shape.pattern.sign * shape.low_key_offset_m, height_m, math.pi)

    def on_base(self, shape: OverheadShape, height_m: float) -> Array:
        """A row of the integrator where a shape begins that begins on the base leg, wings level, tracking across."""
        side = shape.pattern.sign
        return self._row(shape.base_x_m, side * shape.low_key_offset_m, height_m, -side * math.pi / 2)

    def _row(self, x_m: float, y_m: float, height_m: float, track_rad: float) -> Array:
        row = np.zeros(ROW_COLUMNS)
        row[X], row[Y], row[HEIGHT], row[EAS] = x_m, y_m, height_m, self.limits.glide_eas_mps
        row[HEADING] = self._heading_rad(track_rad, self.limits.glide_eas_mps, height_m)
        return row

    def to_low_key(self, shape: OverheadShape, height_m: float) -> Array:
        """Fly from the beginning to abeam the touchdown point; the integrator's rows."""
        return self.simulator.fly_rows(self.start(shape, height_m), shape.to_low_key(self.limits))

    def from_low_key(self, shape: OverheadShape, row: Array) -> Array:
        """Fly from a row abeam the touchdown point to 50 ft; the integrator's rows.

        A shape that begins on the base leg moves with its legs: only the height of the row counts.
        """
        begin = row if shape.name.has_low_key else self.on_base(shape, float(row[HEIGHT]))
        return self.simulator.fly_rows(_start_of(begin), shape.from_low_key(self.limits))

    def whole(self, shape: OverheadShape, height_m: float) -> GuidedFlight:
        """Fly the whole exercise from its beginning to 50 ft."""
        return self.simulator.fly(self.start(shape, height_m), shape.legs(self.limits))

    def touchdown_x_m(self, rows: Array) -> float:
        """Where the wheels meet the runway when the flight passes 50 ft at the end of these rows."""
        return float(rows[-1, X]) + self.flare.touchdown_from_fifty_foot_m


def _start_of(row: Array) -> Start:
    return Start(*(float(row[column]) for column in (X, Y, HEIGHT, HEADING, EAS, BANK)))


def bench(exercise: Exercise, limits: PilotLimits | None = None) -> Bench:
    """Make an exercise ready to fly.

    :raises WindNotBelowAirspeed: the wind is as strong as the airspeed somewhere on the way.
    :raises BankLeavesTooLittleMargin: a bank of the exercise leaves less than the stall margin.
    """
    limits = pilot_limits(exercise) if limits is None else limits
    air = air_of(exercise)
    glide = glide_of(exercise)
    _refuse_too_much_wind(exercise, air, limits)
    _refuse_steep_banks(exercise, limits)
    flare = landing_flare(glide, air, limits.landing_configuration, limits.approach_eas_mps, limits.touchdown_eas_mps)
    return Bench(exercise, limits, air, Simulator(glide, air), flare)


def _refuse_steep_banks(exercise: Exercise, limits: PilotLimits) -> None:
    """No bank of the exercise may leave less than the margin above the clean stall at today's weight."""
    stall_mps = exercise.airplane.stall_clean_at_mps(exercise.weight_kg)
    steepest = max(limits.bank_high_rad, limits.bank_low_rad, exercise.high_key_turn_bank_rad)
    if exercise.shape is ShapeName.STEEP_SPIRAL:
        steepest = max(steepest, exercise.spiral_bank_rad)
    refuse_too_little_margin(steepest, limits.glide_eas_mps, stall_mps, limits.stall_margin_fraction)


def _refuse_too_much_wind(exercise: Exercise, air: Air, limits: PilotLimits) -> None:
    slowest_eas_mps = min(limits.glide_eas_mps, limits.approach_eas_mps)
    for height_m in (*_WIND_HEIGHTS_M[exercise.entry_height_m > _WIND_HEIGHTS_M], exercise.entry_height_m):
        wind_x, wind_y = air.wind_xy_mps(float(height_m))
        wind_mps = math.hypot(float(wind_x), float(wind_y))
        eas_mps = slowest_eas_mps if height_m < limits.final_complete_height_m else limits.glide_eas_mps
        tas_mps = air.tas_mps_from_eas_mps(eas_mps, float(height_m))
        if wind_mps >= 0.9 * tas_mps:
            raise WindNotBelowAirspeed(wind_mps, tas_mps, float(height_m) + air.base_above_field_m)


def drifted(bench_: Bench, shape: OverheadShape, height_m: float) -> OverheadShape:
    """The shape with its downwind line where the constant-bank half turn really rolls out; even circles unchanged.

    Where the wind carries the turn back past abeam, it begins so much farther upwind that it is complete there.
    """
    if shape.half_turn is not HalfTurn.CONSTANT_BANK:
        return shape
    placed = replace(shape, drifted_offset_m=None)
    offset_m = 0.0
    # a turn after an upwind leg begins with a roll that one at the key does not have: a second look settles it
    for _ in range(_DRIFT_ROUNDS):
        turn = placed.to_low_key(bench_.limits)[:-1]
        level = replace(turn[-1], name="roll out", track_rad=0.0, bank_rad=_HARDLY_BANKED_RAD, end_time_s=_ROLL_OUT_S)
        rows = bench_.simulator.fly_rows(bench_.start(placed, height_m), (*turn, level))
        offset_m = shape.pattern.sign * float(rows[-1, Y])
        placed = replace(placed, upwind_m=max(placed.upwind_m - float(rows[-1, X]), 0.0))
    return replace(placed, drifted_offset_m=offset_m)
