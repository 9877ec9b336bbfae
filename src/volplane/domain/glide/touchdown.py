"""Where a landing without power touches down: final glide from 50 ft, round-out and float, by energy.

The final glide goes straight on at the slope it has at 50 ft. Prolonged, it would meet the runway at the aim point. The
round-out is a circular arc over the ground that ends level just above the runway; it begins with `added_load_factor`
over straight flight, and where the arc that does so would begin above 50 ft, at 50 ft with more. Level, the airplane
floats until drag has brought it to the touchdown speed. When the speed is used up before the round-out ends, the wings
have nothing left to bend the path with and the airplane meets the runway sinking.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.guided_flight import Air
from volplane.domain.glide.polar import GlideModel, KernelTable
from volplane.errors import Refusal
from volplane.units import FOOT_M

Array = NDArray[np.float64]

FIFTY_FEET_M = 50.0 * FOOT_M


class DoesNotTouchDown(Refusal):
    """The landing has no end: the airplane does not come down from 50 ft, or does not slow down over the runway."""

    code = "does-not-touch-down"

    def __init__(self, approach_eas_mps: float, touchdown_eas_mps: float, wind_x_mps: float, wind_y_mps: float) -> None:
        super().__init__(
            f"approach at {approach_eas_mps:.1f} m/s and touchdown at {touchdown_eas_mps:.1f} m/s in a wind of "
            f"{wind_x_mps:.1f} m/s along and {wind_y_mps:.1f} m/s across the runway"
        )
        self.approach_eas_mps = approach_eas_mps
        self.touchdown_eas_mps = touchdown_eas_mps
        self.wind_x_mps = wind_x_mps
        self.wind_y_mps = wind_y_mps


class TouchdownNotSlowerThanApproach(Refusal):
    """A touchdown speed that leaves no speed to round out with."""

    code = "touchdown-not-slower-than-approach"

    def __init__(self, approach_eas_mps: float, touchdown_eas_mps: float) -> None:
        super().__init__(f"touchdown at {touchdown_eas_mps:.1f} m/s, approach at {approach_eas_mps:.1f} m/s")
        self.approach_eas_mps = approach_eas_mps
        self.touchdown_eas_mps = touchdown_eas_mps


@dataclass(frozen=True, slots=True)
class LandingHand:
    """How the round-out is flown and how near the ground the wing is; defaults are estimates of ours.

    `added_load_factor` is lift over that of straight flight, in parts of weight, as the round-out begins. The span and
    the height of the wing over the wheels set how much induced drag the nearness of the runway takes away.
    """

    added_load_factor: float = 0.25
    span_m: float = 10.5
    wing_height_m: float = 1.4

    def __post_init__(self) -> None:
        for name in ("added_load_factor", "span_m"):
            if not getattr(self, name) > 0.0:
                raise ValueError(f"{name} {getattr(self, name)} must be positive")
        if not self.wing_height_m >= 0.0:
            raise ValueError(f"wing_height_m {self.wing_height_m} must not be negative")


@dataclass(frozen=True, slots=True, eq=False)
class LandingFlare:
    """The last seconds of a landing without power, measured over the ground from the 50 ft point.

    `sink_at_touchdown_mps` is nought when the airplane was held off to its touchdown speed, and positive when the speed
    ran out during the round-out. The path arrays (n,) run from the 50 ft point to the touchdown: height above the
    runway, x from the 50 ft point; they are read-only.
    """

    aim_point_from_fifty_foot_m: float
    touchdown_from_fifty_foot_m: float
    float_m: float
    time_s: float
    sink_at_touchdown_mps: float
    round_out_height_m: float
    path_time_s: Array
    path_x_m: Array
    path_height_m: Array
    path_ground_speed_mps: Array
    path_tas_mps: Array
    path_eas_mps: Array
    path_load_factor: Array

    @property
    def touchdown_from_aim_point_m(self) -> float:
        """How far beyond the aim point the wheels touch."""
        return self.touchdown_from_fifty_foot_m - self.aim_point_from_fifty_foot_m


def landing_flare(
    glide: GlideModel,
    air: Air,
    configuration: Configuration,
    approach_eas_mps: float,
    touchdown_eas_mps: float,
    hand: LandingHand | None = None,
) -> LandingFlare:
    """Fly from 50 ft above the runway to the touchdown with one airplane at one weight in today's air.

    :raises TouchdownNotSlowerThanApproach: the touchdown speed is not below the approach speed.
    :raises DoesNotTouchDown: too much wind or thrust to come down, or to slow down.
    """
    from volplane.domain.glide.touchdown_kernel import PATH_COLUMNS, PATH_ROWS, flare

    path = np.empty((PATH_ROWS, PATH_COLUMNS))
    arguments = flare_arguments(glide, air, configuration, approach_eas_mps, touchdown_eas_mps, hand)
    aim_m, touchdown_m, float_m, time_s, sink_mps, round_out_m, rows = flare(*arguments, path)
    if not math.isfinite(touchdown_m):
        wind_x, wind_y = (float(wind) for wind in air.wind_xy_mps(FIFTY_FEET_M))
        raise DoesNotTouchDown(approach_eas_mps, touchdown_eas_mps, wind_x, wind_y)
    path.flags.writeable = False
    columns = path[:rows].T
    return LandingFlare(
        float(aim_m), float(touchdown_m), float(float_m), float(time_s), float(sink_mps), float(round_out_m), *columns
    )


def flare_arguments(
    glide: GlideModel,
    air: Air,
    configuration: Configuration,
    approach_eas_mps: float,
    touchdown_eas_mps: float,
    hand: LandingHand | None = None,
) -> tuple[KernelTable, KernelTable, KernelTable, KernelTable, KernelTable]:
    """The first five arguments of `touchdown_kernel.flare`, for searches that call it thousands of times.

    :raises TouchdownNotSlowerThanApproach: the touchdown speed is not below the approach speed.
    """
    if not 0.0 < touchdown_eas_mps < approach_eas_mps:
        raise TouchdownNotSlowerThanApproach(approach_eas_mps, touchdown_eas_mps)
    hand = LandingHand() if hand is None else hand
    pressure_pa, temperature_k = air.atmosphere.kernel_parameters()[:2]
    shear_exponent_factor = air.wind.shear_exponent_factor
    return (
        np.array([approach_eas_mps, touchdown_eas_mps, hand.added_load_factor, hand.span_m, hand.wing_height_m]),
        glide.kernel_table(),
        np.array(
            [
                configuration.extra_drag_factor,
                configuration.induced_factor,
                configuration.thrust_power_per_weight_mps,
            ]
        ),
        np.array([pressure_pa, temperature_k, air.base_above_field_m, shear_exponent_factor]),
        np.array(air.wind.in_runway_frame(air.bearing_true_rad)),
    )
