"""The shape of an exercise over the ground: its free numbers, and the legs they make.

Everything is flown as ground tracks along or across the runway and even ground circles, so the pattern closes by
construction and the wind shows in bank, crab and time. Left and right patterns are mirror images.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from volplane.domain.exercise.before_key import NOTHING_BEFORE, BeforeKey
from volplane.domain.exercise.exercise import HalfTurn, ShapeName
from volplane.domain.geometry.airfield import Side
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.guided_flight import Leg, LegKind
from volplane.domain.glide.limits import PilotLimits
from volplane.domain.glide.practical_height import FIFTY_FEET_M
from volplane.units import FOOT_M

# the point is made: landing configuration from here when the final is longer (between 500 and 200 ft, DESIGN section 4)
LANDING_CONFIGURATION_HEIGHT_M = 500.0 * FOOT_M
# the reserve is lost by here, so that the last of the final is steady
RESERVE_LOST_HEIGHT_M = 100.0 * FOOT_M
# a base leg shorter than this is flown as one round turn: there is no time to roll out and in again
_SHORTEST_STRAIGHT_M = 250.0

UPWIND, HALF_TURN, CROSSWIND, DOWNWIND = "upwind", "half turn", "crosswind", "downwind"
BASE_TURN, BASE, FINAL_TURN = "turn to base", "base", "turn to final"
FINAL_CLEAN, FINAL_RESERVE, FINAL = "final, clean", "final, losing the reserve", "final"


@dataclass(frozen=True, slots=True)
class OverheadShape:
    """The free numbers of the exercise from overhead, in metres; speeds are equivalent airspeeds.

    High key at x = 0, `high_key_offset_m` beside the line on the far side from the pattern; upwind leg; half turn of
    `first_radius_m` (a straight of `crosswind_m` in its middle); downwind to `downwind_m` beyond abeam; a turn to base
    and to final of `base_radius_m`; final. The plan keeps the reserve until the point is made on final and loses it
    there by `reserve_drag_factor` of extra drag (flap early, slip or S-turn: whatever the instructor likes).
    The other shapes are parts of it or come down to it: `name` tells which gates are passed, `before` what is flown
    before the high key.
    `drifted_offset_m` is where the downwind line lies when no even half turn says so: after a constant-bank turn, or in
    a shape without one.
    """

    pattern: Side
    high_key_offset_m: float
    upwind_m: float
    first_radius_m: float
    crosswind_m: float
    downwind_m: float
    base_radius_m: float
    half_turn: HalfTurn = HalfTurn.EVEN_RADIUS
    first_bank_rad: float = 0.0
    high_key_eas_mps: float | None = None
    drifted_offset_m: float | None = None
    landing_height_m: float = LANDING_CONFIGURATION_HEIGHT_M
    reserve_drag_factor: float = 0.0
    name: ShapeName = ShapeName.OVERHEAD
    before: BeforeKey = NOTHING_BEFORE

    @property
    def high_key_y_m(self) -> float:
        """The high key's y: on the side away from the pattern."""
        return -self.pattern.sign * self.high_key_offset_m

    @property
    def low_key_offset_m(self) -> float:
        """Distance of the downwind line from the extended centreline; where a constant-bank turn drifts to, if so."""
        if self.drifted_offset_m is not None:
            return self.drifted_offset_m
        return 2.0 * self.first_radius_m + self.crosswind_m - self.high_key_offset_m

    @property
    def base_m(self) -> float:
        """Length of the straight base leg; negative when the turn does not fit."""
        turns = 2.0 if self.name.has_low_key else 1.0
        return self.low_key_offset_m - turns * self.base_radius_m

    @property
    def base_x_m(self) -> float:
        """Where the base leg crosses: a radius beyond the downwind leg."""
        return -self.downwind_m - self.base_radius_m

    def to_low_key(self, limits: PilotLimits) -> tuple[Leg, ...]:
        """Legs from the beginning over the high key to abeam the touchdown point."""
        return (*self._to_half_turn(limits), *self._half_turn(limits), self._downwind(limits, 0.0))

    def from_low_key(self, limits: PilotLimits) -> tuple[Leg, ...]:
        """Legs from abeam the touchdown point, or from the base leg where the shape begins there, to 50 ft on final."""
        if not self.name.has_low_key:
            return self._base_and_final(limits)
        return (self._downwind(limits, self.downwind_m), *self._base_and_final(limits))

    def legs(self, limits: PilotLimits) -> tuple[Leg, ...]:
        """All legs from the beginning to 50 ft on final."""
        if not self.name.has_high_key:
            return self.from_low_key(limits)
        return (*self._to_half_turn(limits), *self._half_turn(limits), *self.from_low_key(limits))

    def _to_half_turn(self, limits: PilotLimits) -> tuple[Leg, ...]:
        eas_mps = limits.glide_eas_mps if self.high_key_eas_mps is None else self.high_key_eas_mps
        return self.before.legs(limits, eas_mps, self.pattern, self.high_key_y_m)

    def _line(self, name: str, limits: PilotLimits, track_rad: float, x_m: float, y_m: float, bank_rad: float) -> Leg:
        eas = limits.glide_eas_mps
        if name in (UPWIND, CROSSWIND) and self.high_key_eas_mps is not None:
            eas = self.high_key_eas_mps
        return Leg(name, LegKind.LINE, track_rad, eas, limits.glide_configuration, bank_rad, x_m=x_m, y_m=y_m)

    def _arc(
        self, name: str, limits: PilotLimits, track_rad: float, x_m: float, y_m: float, radius_m: float, bank_rad: float
    ) -> Leg:
        eas = limits.glide_eas_mps
        if name == HALF_TURN and self.high_key_eas_mps is not None:
            eas = self.high_key_eas_mps
        is_constant = name == HALF_TURN and self.half_turn is HalfTurn.CONSTANT_BANK
        return Leg(
            name,
            LegKind.TURN if is_constant else LegKind.ARC,
            track_rad,
            eas,
            limits.glide_configuration,
            bank_rad,
            x_m=x_m,
            y_m=y_m,
            turn_sign=self.pattern.sign,
            radius_m=radius_m,
            bank_rad=self.first_bank_rad if is_constant else 0.0,
        )

    def _half_turn(self, limits: PilotLimits) -> tuple[Leg, ...]:
        side = self.pattern.sign
        start_y = self.high_key_y_m
        radius, across, bank = self.first_radius_m, self.crosswind_m, limits.bank_high_rad
        legs: list[Leg] = []
        if self.upwind_m > 0.0:
            legs.append(self._line(UPWIND, limits, 0.0, self.upwind_m, start_y, bank))
        centre_y = start_y + side * radius
        if across < _SHORTEST_STRAIGHT_M:
            even = radius + 0.5 * across
            legs.append(self._arc(HALF_TURN, limits, math.pi, self.upwind_m, start_y + side * even, even, bank))
            return tuple(legs)
        legs.append(self._arc(HALF_TURN, limits, side * math.pi / 2, self.upwind_m, centre_y, radius, bank))
        second_y = centre_y + side * across
        legs.append(self._line(CROSSWIND, limits, side * math.pi / 2, self.upwind_m + radius, second_y, bank))
        legs.append(self._arc(HALF_TURN, limits, math.pi, self.upwind_m, second_y, radius, bank))
        return tuple(legs)

    def _downwind(self, limits: PilotLimits, to_x_m: float) -> Leg:
        line_y = self.pattern.sign * self.low_key_offset_m
        return self._line(DOWNWIND, limits, math.pi, -to_x_m, line_y, limits.bank_low_rad)

    def _base_and_final(self, limits: PilotLimits) -> tuple[Leg, ...]:
        return (*self._to_final(limits), *self._final(limits))

    def _to_final(self, limits: PilotLimits) -> tuple[Leg, ...]:
        """The turn to base, the base leg and the turn to final, as far as the shape has them."""
        side, bank = self.pattern.sign, limits.bank_low_rad
        abeam_y = side * self.low_key_offset_m
        x_m, radius = -self.downwind_m, self.base_radius_m
        base_track = -side * math.pi / 2
        if self.name.has_low_key and self.base_m < _SHORTEST_STRAIGHT_M:
            radius = 0.5 * self.low_key_offset_m
            return (self._arc(BASE_TURN, limits, 0.0, x_m, side * radius, radius, bank),)
        straight = self._line(BASE, limits, base_track, self.base_x_m, side * radius, bank)
        to_final = self._arc(FINAL_TURN, limits, 0.0, x_m, side * radius, radius, bank)
        if not self.name.has_low_key:
            return (straight, to_final)
        to_base = self._arc(BASE_TURN, limits, base_track, x_m, abeam_y - side * radius, radius, bank)
        return (to_base, straight, to_final)

    def _final(self, limits: PilotLimits) -> tuple[Leg, ...]:
        """Clean until the point is made, then in landing configuration, losing the reserve first."""
        bank = limits.bank_low_rad
        far_x = 1e6
        clean = Leg(
            FINAL_CLEAN,
            LegKind.LINE,
            0.0,
            limits.glide_eas_mps,
            limits.glide_configuration,
            bank,
            x_m=far_x,
            end_height_m=self.landing_height_m,
        )
        landing = Leg(
            FINAL,
            LegKind.LINE,
            0.0,
            limits.approach_eas_mps,
            limits.landing_configuration,
            bank,
            x_m=far_x,
            end_height_m=FIFTY_FEET_M,
        )
        if self.reserve_drag_factor <= 0.0:
            return (clean, landing)
        losing = replace(
            landing,
            name=FINAL_RESERVE,
            configuration=losing_the_reserve(limits.landing_configuration, self.reserve_drag_factor),
            end_height_m=RESERVE_LOST_HEIGHT_M,
        )
        return (clean, losing, landing)


def losing_the_reserve(configuration: Configuration, extra_drag_factor: float) -> Configuration:
    """The landing configuration with the drag that loses the reserve on final."""
    return replace(
        configuration,
        name=f"{configuration.name}, losing the reserve",
        extra_drag_factor=configuration.extra_drag_factor + extra_drag_factor,
    )
