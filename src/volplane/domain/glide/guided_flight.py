"""A glide flown over the ground leg by leg in today's air: the typed face of the compiled integrator."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from enum import IntEnum

import numpy as np
from numpy.typing import NDArray

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.glide.configuration import Configuration
from volplane.domain.glide.flight_path import FlightPath
from volplane.domain.glide.polar import GlideModel

Array = NDArray[np.float64]

# half a second: the end of a whole exercise moves by 4 cm against a sixteenth
STEP_S = 0.5
LONGEST_FLIGHT_S = 1500.0
_NEVER_S = 1e9
_NO_HEIGHT_M = -1e9


@dataclass(frozen=True, slots=True)
class Handling:
    """How airplane and hand answer a command: first-order lags with limits.

    Defaults are estimates of ours for a heavy single: roll rate 15 degrees a second, 0.5 s lag in roll, 4 s in speed,
    speed changed by at most 0.06 g, 6 s for gear and flap to travel.
    """

    roll_rate_radps: float = math.radians(15.0)
    roll_time_s: float = 0.5
    speed_time_s: float = 4.0
    speed_rate_mps2: float = 0.06 * 9.80665
    configuration_time_s: float = 6.0


@dataclass(frozen=True, slots=True)
class Air:
    """Today's air over one runway, in the runway frame whose origin lies `base_above_field_m` above the field.

    `base_above_field_m` is the height of the touchdown point over the field: a few feet, or a practice floor.
    """

    atmosphere: Atmosphere
    wind: WindProfile
    bearing_true_rad: float
    base_above_field_m: float = 0.0

    def wind_xy_mps(self, height_m: float | Array) -> tuple[Array, Array]:
        """Velocity of the air at heights above the touchdown point: along the landing direction and to its left."""
        east, north = self.wind.components_mps(np.asarray(height_m, dtype=float) + self.base_above_field_m)
        sine, cosine = math.sin(self.bearing_true_rad), math.cos(self.bearing_true_rad)
        return east * sine + north * cosine, -east * cosine + north * sine

    def tas_mps_from_eas_mps(self, eas_mps: float, height_m: float) -> float:
        """True airspeed at a height above the touchdown point."""
        return eas_mps / math.sqrt(self.atmosphere.density_ratio(height_m + self.base_above_field_m))

    def altimeter_msl_m(self, height_m: float) -> float:
        """What the altimeter reads, on today's setting, at a true height above the touchdown point."""
        return float(self.atmosphere.altimeter_msl_m(height_m + self.base_above_field_m))


class LegKind(IntEnum):
    """How a leg is flown: a straight ground track, an even ground circle, or a turn at constant bank."""

    LINE = 0
    ARC = 1
    TURN = 2


@dataclass(frozen=True, slots=True)
class Leg:
    """One leg of a guided flight, in the runway frame; directions are over the ground, anticlockwise.

    LINE: along `track_rad` through the point (`x_m`, `y_m`), ending abeam it. ARC: around the centre (`x_m`, `y_m`)
    with `radius_m` until the track is `track_rad`. TURN: at `bank_rad` until the track is `track_rad`. `turn_sign` is
    +1 to the left. A leg also ends at `end_height_m` above the touchdown point or after `end_time_s`.
    """

    name: str
    kind: LegKind
    track_rad: float
    eas_mps: float
    configuration: Configuration
    bank_limit_rad: float
    x_m: float = 0.0
    y_m: float = 0.0
    turn_sign: int = 1
    radius_m: float = 0.0
    bank_rad: float = 0.0
    end_height_m: float = _NO_HEIGHT_M
    end_time_s: float = _NEVER_S

    def row(self) -> tuple[float, ...]:
        """The leg as the kernel reads it."""
        return (
            float(self.kind),
            self.track_rad,
            self.x_m,
            self.y_m,
            float(self.turn_sign),
            self.bank_rad if self.kind is LegKind.TURN else self.radius_m,
            self.eas_mps,
            self.configuration.extra_drag_factor,
            self.configuration.induced_factor,
            self.configuration.thrust_power_per_weight_mps,
            self.bank_limit_rad,
            self.end_height_m,
            self.end_time_s,
        )


@dataclass(frozen=True, slots=True)
class Start:
    """Where a guided flight starts: position, air heading, equivalent airspeed and bank."""

    x_m: float
    y_m: float
    height_m: float
    heading_rad: float
    eas_mps: float
    bank_rad: float = 0.0


@dataclass(frozen=True, slots=True)
class GuidedFlight:
    """A flown flight with the drag bookkeeping of the integrator; arrays (n,), `legs` as they were flown.

    `clean_loss_m` is the height the clean airplane's drag has cost since the start, `extra_loss_m` what gear, flap and
    propeller added (thrust taken off), `extra_drag_factor` the extra drag hanging out.
    """

    path: FlightPath
    legs: tuple[Leg, ...]
    clean_loss_m: Array
    extra_loss_m: Array
    extra_drag_factor: Array


@dataclass(frozen=True, slots=True)
class Simulator:
    """Flies legs in today's air with one airplane at one weight."""

    glide: GlideModel
    air: Air
    handling: Handling = Handling()
    _world: list[Array] = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        object.__setattr__(self, "_world", self._world_arrays())

    def fly(self, start: Start, legs: tuple[Leg, ...], disturbance_rows: Array | None = None) -> GuidedFlight:
        """Fly the legs, one after another.

        `disturbance_rows` (j, 3): errors of airspeed (m/s) and bank (rad), and rising air (m/s), a row a step. The
        flight ends with the last leg, 30 m below the touchdown point, or after LONGEST_FLIGHT_S.
        """
        rows = self.fly_rows(start, legs, disturbance_rows)
        return GuidedFlight(_path(rows, legs), legs, rows[:, 11].copy(), rows[:, 12].copy(), rows[:, 13].copy())

    def fly_rows(self, start: Start, legs: tuple[Leg, ...], disturbance_rows: Array | None = None) -> Array:
        """The same flight as the integrator's bare rows, for searches that fly thousands."""
        from volplane.domain.glide.flight_kernel import OUT_COLUMNS, World, fly_legs

        tas_mps = self.air.tas_mps_from_eas_mps(start.eas_mps, start.height_m)
        state = np.array([start.x_m, start.y_m, start.height_m, start.heading_rad, tas_mps, start.bank_rad])
        out = np.empty((int(LONGEST_FLIGHT_S / STEP_S), OUT_COLUMNS))
        table = np.array([leg.row() for leg in legs])
        errors = np.zeros((1, 3)) if disturbance_rows is None else np.ascontiguousarray(disturbance_rows, dtype=float)
        count = fly_legs(state, table, World(*self._world), errors, STEP_S, out)
        return out[:count]

    def kernel_world(self) -> tuple[Array, Array, Array, Array, Array]:
        """The arrays of `flight_kernel.World`, for kernels that fly on their own; not to be written to."""
        polar, heights_m, wind_x, wind_y, handling = self._world
        return polar, heights_m, wind_x, wind_y, handling

    def _world_arrays(self) -> list[Array]:
        """Polar, wind levels and response as the kernel reads them."""
        heights_m, wind_x, wind_y = self.air.wind.in_runway_frame(self.air.bearing_true_rad)
        handling = self.handling
        pressure_pa, temperature_k = self.air.atmosphere.kernel_parameters()[:2]
        response = np.array(
            [
                handling.roll_rate_radps,
                handling.roll_time_s,
                handling.speed_time_s,
                handling.speed_rate_mps2,
                handling.configuration_time_s,
                pressure_pa,
                temperature_k,
                self.air.wind.shear_exponent_factor,
                self.air.base_above_field_m,
            ]
        )
        return [self.glide.kernel_table(), heights_m, wind_x, wind_y, response]


def _path(rows: Array, legs: tuple[Leg, ...]) -> FlightPath:
    """The integrator's rows as a flight path; legs become phases."""
    leg_index = rows[:, 10].astype(np.int64)
    names = tuple(dict.fromkeys(leg.configuration.name for leg in legs))
    by_leg = np.array([names.index(leg.configuration.name) for leg in legs], dtype=np.int64)
    return FlightPath(
        time_s=rows[:, 0].copy(),
        x_m=rows[:, 1].copy(),
        y_m=rows[:, 2].copy(),
        height_m=rows[:, 3].copy(),
        heading_rad=rows[:, 4].copy(),
        track_rad=rows[:, 5].copy(),
        bank_rad=rows[:, 6].copy(),
        tas_mps=rows[:, 7].copy(),
        eas_mps=rows[:, 8].copy(),
        ground_speed_mps=rows[:, 9].copy(),
        phase_index=leg_index,
        configuration_index=by_leg[leg_index],
        phase_names=tuple(leg.name for leg in legs),
        configuration_names=names,
    )


def crab_heading_rad(track_rad: float, tas_mps: float, wind_x_mps: float, wind_y_mps: float) -> float:
    """Air heading that holds a ground track in wind, in the runway frame; NaN when the wind is too strong across."""
    across = -wind_x_mps * math.sin(track_rad) + wind_y_mps * math.cos(track_rad)
    if abs(across) >= tas_mps:
        return math.nan
    return track_rad - math.asin(across / tas_mps)
