"""What is flown before the high key: the way to it from a place away from the airfield, and circles down to it.

Everything lies in the runway frame. The way is a straight ground track and one turn that ends over the high key in the
landing direction; circles are even ground circles on the side of the pattern that begin and end there.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

from volplane.domain.geometry.airfield import Side
from volplane.domain.glide.guided_flight import Leg, LegKind
from volplane.domain.glide.limits import PilotLimits

TO_KEY, KEY_TURN, CIRCLE = "to the key", "turn over the key", "circle"
_WHOLE_TURN_RAD = 2.0 * math.pi
# a smaller change of direction needs no turn of its own
_LEAST_TURN_RAD = 0.05


@dataclass(frozen=True, slots=True)
class WayToKey:
    """From a place straight to a turn that ends over the high key in the landing direction.

    The place is (`start_x_m`, `start_y_m`), `track_rad` the straight track from there, (`turn_x_m`, `turn_y_m`) where
    the turn begins; its circle has its centre at (0, `centre_y_m`) and `radius_m`; `turn_sign` is +1 to the left.
    """

    start_x_m: float
    start_y_m: float
    track_rad: float
    turn_x_m: float
    turn_y_m: float
    centre_y_m: float
    radius_m: float
    turn_sign: int
    turn_rad: float

    @property
    def length_m(self) -> float:
        """Length over the ground."""
        straight_m = math.hypot(self.turn_x_m - self.start_x_m, self.turn_y_m - self.start_y_m)
        return straight_m + self.radius_m * self.turn_rad

    def legs(self, limits: PilotLimits, eas_mps: float) -> tuple[Leg, ...]:
        """The straight leg and the turn."""
        bank, configuration = limits.bank_high_rad, limits.glide_configuration
        straight = Leg(
            TO_KEY, LegKind.LINE, self.track_rad, eas_mps, configuration, bank, x_m=self.turn_x_m, y_m=self.turn_y_m
        )
        if self.turn_rad < _LEAST_TURN_RAD:
            return (straight,)
        turn = Leg(
            KEY_TURN,
            LegKind.ARC,
            0.0,
            eas_mps,
            configuration,
            bank,
            y_m=self.centre_y_m,
            turn_sign=self.turn_sign,
            radius_m=self.radius_m,
        )
        return (straight, turn)


def way_to_key(start_x_m: float, start_y_m: float, key_y_m: float, radius_m: float) -> WayToKey:
    """The shorter of the two ways, by a left or a right turn of `radius_m`, that end over (0, `key_y_m`).

    No place lies inside both circles, since they touch at the key.
    """
    ways = [way for sign in (1, -1) if (way := _by_turn(start_x_m, start_y_m, key_y_m, radius_m, sign)) is not None]
    return min(ways, key=lambda way: way.length_m)


def _by_turn(start_x_m: float, start_y_m: float, key_y_m: float, radius_m: float, sign: int) -> WayToKey | None:
    """The tangent from the place onto the circle of that turn; None from inside the circle."""
    centre_y_m = key_y_m + sign * radius_m
    to_centre_m = math.hypot(-start_x_m, centre_y_m - start_y_m)
    if to_centre_m < radius_m * (1.0 - 1e-9):
        return None
    track_rad = math.atan2(centre_y_m - start_y_m, -start_x_m) - sign * math.asin(min(radius_m / to_centre_m, 1.0))
    turn_rad = (-sign * track_rad) % _WHOLE_TURN_RAD
    if turn_rad > _WHOLE_TURN_RAD - 1e-6:
        turn_rad = 0.0
    return WayToKey(
        start_x_m=start_x_m,
        start_y_m=start_y_m,
        track_rad=track_rad,
        turn_x_m=sign * radius_m * math.sin(track_rad),
        turn_y_m=centre_y_m - sign * radius_m * math.cos(track_rad),
        centre_y_m=centre_y_m,
        radius_m=radius_m,
        turn_sign=sign,
        turn_rad=turn_rad,
    )


@dataclass(frozen=True, slots=True)
class BeforeKey:
    """Way and circles before the high key; none of both where the exercise begins there."""

    way: WayToKey | None = None
    circles: int = 0
    circle_radius_m: float = 0.0

    def legs(self, limits: PilotLimits, eas_mps: float, pattern: Side, key_y_m: float) -> tuple[Leg, ...]:
        """The legs that end over (0, `key_y_m`) in the landing direction; a circle is flown as two halves."""
        way = () if self.way is None else self.way.legs(limits, eas_mps)
        halves = tuple(
            Leg(
                CIRCLE,
                LegKind.ARC,
                track_rad,
                eas_mps,
                limits.glide_configuration,
                limits.bank_high_rad,
                y_m=key_y_m + pattern.sign * self.circle_radius_m,
                turn_sign=pattern.sign,
                radius_m=self.circle_radius_m,
            )
            for track_rad in (math.pi, 0.0)
        )
        return (*way, *(half for _ in range(self.circles) for half in halves))


NOTHING_BEFORE = BeforeKey()
