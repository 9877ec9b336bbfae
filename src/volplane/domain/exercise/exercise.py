"""An exercise as the instructor wants it: airplane, runway, wishes and today's air."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import StrEnum

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import ANEMOMETER_HEIGHT_M, WindProfile
from volplane.domain.exercise.thresholds import Thresholds
from volplane.domain.geometry.airfield import Airfield, Runway, Side
from volplane.units import FOOT_M


class GateName(StrEnum):
    """A place on the exercise with a planned height and a window."""

    HIGH_KEY = "high key"
    LOW_KEY = "low key"
    BASE_KEY = "base key"
    FINAL = "final"


class ShapeName(StrEnum):
    """What is flown: where the exercise begins and by which gates it comes down.

    OVERHEAD begins at the high key, POWER_OFF_180 abeam the touchdown point, NINETY_DEGREES on the base leg,
    STEEP_SPIRAL above the high key and circles down to it, EN_ROUTE at a place away from the airfield.
    """

    OVERHEAD = "overhead"
    POWER_OFF_180 = "power-off 180"
    NINETY_DEGREES = "90-degree approach"
    STEEP_SPIRAL = "steep spiral"
    EN_ROUTE = "en route"

    @property
    def has_high_key(self) -> bool:
        """Whether the exercise passes the high key and its half turn."""
        return self not in (ShapeName.POWER_OFF_180, ShapeName.NINETY_DEGREES)

    @property
    def has_low_key(self) -> bool:
        """Whether the exercise passes abeam the touchdown point on downwind."""
        return self is not ShapeName.NINETY_DEGREES


class HalfTurn(StrEnum):
    """How the turn from the high key is flown."""

    EVEN_RADIUS = "even radius"
    CONSTANT_BANK = "constant bank"


@dataclass(frozen=True, slots=True)
class WishedPhase:
    """One line of the instructor's own phase table: from a gate or a height on, this speed and configuration."""

    start_gate: GateName | None
    start_height_m: float | None
    ias_mps: float | None
    configuration: str | None


@dataclass(frozen=True, slots=True)
class Obstacle:
    """Something to stay above, in the runway frame; height above the touchdown point."""

    x_m: float
    y_m: float
    height_m: float


@dataclass(frozen=True, slots=True)
class TypedOverReport:
    """A figure typed beside a weather report that says otherwise; the typed one counts.

    `quantity` tells what `typed` and `reported` are in SI: "temperature_k", "pressure_pa", "angle_rad" and so on.
    """

    key: str
    typed: float
    reported: float
    quantity: str


@dataclass(frozen=True, slots=True)
class Weather:
    """Today's air at the airfield. Wind levels are heights above the field; what is not known is None.

    `cloud_base_above_field_m` is the lowest cloud that covers more than half the sky,
    `scattered_base_above_field_m` the lowest that covers less. `wind_range_true_rad` are the two directions between
    which the wind at the field swings, clockwise. A weather report leaves its time and what was typed over it.
    """

    atmosphere: Atmosphere
    wind: WindProfile
    gust_mps: float | None = None
    cloud_base_above_field_m: float | None = None
    visibility_m: float | None = None
    dew_point_k: float | None = None
    scattered_base_above_field_m: float | None = None
    wind_range_true_rad: tuple[float, float] | None = None
    observed_unix_s: float | None = None
    typed_over_report: tuple[TypedOverReport, ...] = ()

    @property
    def field_wind_mps(self) -> float:
        """Mean wind speed at the field, at the height of an anemometer."""
        return self.wind.speed_and_direction(ANEMOMETER_HEIGHT_M)[0]

    @property
    def gust_spread_mps(self) -> float:
        """Strongest gust less mean wind at the field; 0 where no gust is reported."""
        return 0.0 if self.gust_mps is None else max(self.gust_mps - self.field_wind_mps, 0.0)

    @property
    def field_wind_sd_mps(self) -> float:
        """Standard deviation of the wind at the field: a third of the gust spread, 0 without gusts.

        The strongest of ten minutes' three-second means lies about three deviations above their mean (peak factor of
        wind engineering, from memory).
        """
        return self.gust_spread_mps / 3.0


@dataclass(frozen=True, slots=True)
class Exercise:
    """Everything a plan starts from; gate heights are wishes above the touchdown point.

    `entry_height_m` is the height at which the shape begins. `start_position_deg` is where an en-route exercise begins,
    latitude and longitude. The path stays `obstacle_margin_m` above every obstacle it passes near. `stated` names the
    file keys that were given, so that a default can be told from a wish.
    """

    airplane: Airplane
    airfield: Airfield
    runway: Runway
    pattern: Side
    weight_kg: float
    weather: Weather
    time_unix_s: float
    entry_height_m: float
    low_key_height_m: float
    high_key_offset_m: float
    touchdown_beyond_threshold_m: float
    high_key_turn_bank_rad: float
    base_turn_bank_rad: float
    maximum_bank_rad: float
    maximum_bank_below_low_key_rad: float
    low_key_offset_m: float | None
    minimum_final_m: float
    reserve_m: float
    break_off_height_m: float
    stall_margin_fraction: float
    reaction_delay_s: float
    distance_limit_m: float
    standard: str = "lesson"
    half_turn: HalfTurn = HalfTurn.EVEN_RADIUS
    shape: ShapeName = ShapeName.OVERHEAD
    spiral_bank_rad: float = math.radians(40.0)
    start_position_deg: tuple[float, float] | None = None
    obstacle_margin_m: float = 100.0 * FOOT_M
    phases: tuple[WishedPhase, ...] = ()
    obstacles: tuple[Obstacle, ...] = ()
    thresholds: Thresholds = field(default_factory=Thresholds)
    stated: frozenset[str] = field(default_factory=frozenset)

    @property
    def ground_msl_m(self) -> float:
        """Altitude of the touchdown point: the runway's elevation, or the practice floor that plays the ground."""
        floor = self.airfield.practice_floor_msl_m
        return self.runway.elevation_msl_m if floor is None else floor

    @property
    def flies_to_practice_floor(self) -> bool:
        """Whether an altitude plays the ground, so that the exercise always ends in a go-around."""
        return self.airfield.practice_floor_msl_m is not None
