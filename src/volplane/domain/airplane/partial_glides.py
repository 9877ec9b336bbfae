"""Partial glides: stretches flown at one speed through a known height, and what is said of each afterwards."""

from __future__ import annotations

import math
from dataclasses import dataclass
from enum import StrEnum

CLEAN_NAME = "clean"


class Why(StrEnum):
    """Why a glide has no part in the result."""

    CLIMBING = "climbing"
    POWER_ON = "power-on"
    TOO_STEEP = "too-steep"
    NOT_STEADY = "not-steady"
    UNKNOWN_CONFIGURATION = "unknown-configuration"
    WEIGHT = "weight-outside-limits"
    STALLED = "below-stall"
    SINKS_MORE = "sinks-more"
    SINKS_LESS = "sinks-less"


@dataclass(frozen=True, slots=True)
class PartialGlide:
    """One glide as flown, in calibrated figures; means over its time.

    `sink_mps` is positive down: that of the pressure altitude with `is_pressure_height`, the true one otherwise.
    `acceleration_mps2` is the rate at which speed along the nose grows: over the ground where that was recorded (the
    wind's change with height is then in it), through the air otherwise; None is a constant airspeed on the dial, at
    which the true airspeed falls on the way down. `heading_true_rad` is None where nobody noted
    it; `holds_wind_gradient` tells that the wind's change with height is in the acceleration already. `place` tells
    people which glide it is. Manifold pressure and propeller speed are None where not recorded. `why` holds a reason
    known beforehand.

    :raises ValueError: a time, weight, speed, pressure or temperature that is not positive.
    """

    place: str
    cas_mps: float
    sink_mps: float
    time_s: float
    pressure_altitude_m: float
    air_temperature_k: float
    weight_kg: float
    is_pressure_height: bool = True
    bank_rad: float = 0.0
    configuration: str = CLEAN_NAME
    acceleration_mps2: float | None = None
    heading_true_rad: float | None = None
    holds_wind_gradient: bool = False
    sink_sd_mps: float = 0.05
    airspeed_sd_mps: float = 0.5
    manifold_pressure_pa: float | None = None
    engine_speed_radps: float | None = None
    why: Why | None = None

    def __post_init__(self) -> None:
        for name in ("cas_mps", "time_s", "air_temperature_k", "weight_kg"):
            if not getattr(self, name) > 0.0:
                raise ValueError(f"{name} is {getattr(self, name)}; it must be positive")
        if not abs(self.bank_rad) < math.radians(80.0):
            raise ValueError(f"a glide at a bank of {self.bank_rad} rad")


@dataclass(frozen=True, slots=True)
class ReducedGlide:
    """The same glide as flown wings level at the reference weight at sea-level density, in air that stands still.

    `eas_mps` and `drag_to_weight_factor` are a point of the polar: speed and drag in parts of weight at one g.
    `drag_to_weight_factor_sd` is the expected scatter of the latter: air that rises and sinks, readings, airspeed.
    `gradient_s` is how much a wind gradient along the nose of one per second would add to it.
    """

    glide: PartialGlide
    eas_mps: float
    drag_to_weight_factor: float
    drag_to_weight_factor_sd: float
    gradient_s: float


@dataclass(frozen=True, slots=True)
class JudgedGlide:
    """A glide after the fit, as flown wings level at the reference weight at sea level.

    `residual_mps` is how much more it sank than the result says; None where it never got into the fit, `why` tells why
    it has no part in the result, None when it has.
    """

    glide: PartialGlide
    eas_mps: float
    sink_mps: float
    ratio: float
    residual_mps: float | None
    why: Why | None

    @property
    def is_used(self) -> bool:
        """Whether it has a part in the result."""
        return self.why is None
