"""Where the stand-in lies: its sink beside the dead engine's at other speeds, in turns, and on final.

Thrust falls as 1/V and drag grows as V squared, so a stand-in that is right at best glide sinks too much when flown
fast and too little when flown slow. In a turn at one speed the load adds the same induced drag to both, so there it is
nearly as honest as straight. On final the power comes off, the governed propeller runs to its fine stop and brakes.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from volplane.domain.airplane.stand_in import StandInMatch
from volplane.domain.airplane.thrust import AirState, fixed_throttle_pa
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.isa import SEA_LEVEL_DENSITY_KGPM3
from volplane.domain.glide.configuration import CLEAN, Configuration
from volplane.domain.glide.defaults import idling_at_the_fine_stop
from volplane.domain.glide.stall import margin_in_turn_fraction
from volplane.domain.glide.turning import steady_turn
from volplane.units import FOOT_M, FOOT_PER_MINUTE_MPS, KNOT_MPS

STILL_AIR, HEADWIND = "still air", "headwind"
FINAL_WITH_POWER, FINAL_POWER_OFF = "final, power on", "final, power off"
SPEED_OFFSETS_MPS = tuple(offset * KNOT_MPS for offset in (-10.0, 0.0, 10.0, 20.0))
BANKS_RAD = tuple(math.radians(bank) for bank in (0.0, 15.0, 30.0, 45.0))
HEADWIND_MPS = 20.0 * KNOT_MPS
# a difference nobody feels in the picture, and one that a lesson must know of (ours)
ALIKE_WITHIN_MPS = 75.0 * FOOT_PER_MINUTE_MPS
# sink this far off, and the throttle wants a touch (ours)
RETRIM_BEYOND_MPS = 50.0 * FOOT_PER_MINUTE_MPS
# nearer the stall than this nothing is compared (ours)
LEAST_STALL_MARGIN_FRACTION = 0.05


@dataclass(frozen=True, slots=True)
class HonestyRow:
    """One speed and bank: both sinks in still air, and where it matters the ratios over the ground.

    `speed_offset_mps` is against best glide (on final against the approach speed). Sinks are None too near the stall.
    Ratios over the ground are None in turns, and where nothing is made good.
    """

    phase: str
    eas_mps: float
    speed_offset_mps: float
    bank_rad: float
    headwind_mps: float
    stall_margin_fraction: float
    real_sink_mps: float | None
    stand_in_sink_mps: float | None
    stand_in_sink_sd_mps: float | None
    real_ground_ratio: float | None = None
    stand_in_ground_ratio: float | None = None

    @property
    def difference_mps(self) -> float | None:
        """Sink of the stand-in less the real one; positive where practice comes down faster than the dead engine."""
        if self.real_sink_mps is None or self.stand_in_sink_mps is None:
            return None
        return self.stand_in_sink_mps - self.real_sink_mps

    @property
    def verdict(self) -> str:
        """ "alike", "sinks more" or "sinks less": the stand-in against the real glide; "" where not compared."""
        difference = self.difference_mps
        if difference is None:
            return ""
        if abs(difference) <= ALIKE_WITHIN_MPS:
            return "alike"
        return "sinks more" if difference > 0.0 else "sinks less"


@dataclass(frozen=True, slots=True)
class Landing:
    """How the final is flown: equivalent approach speed, landing configuration, stall speed with full flap."""

    approach_eas_mps: float
    configuration: Configuration
    stall_eas_mps: float


@dataclass(frozen=True, slots=True)
class HeightRow:
    """The stand-in at one altitude on the way down, at best glide.

    `manifold_pressure_pa` is what the gauge shows with the throttle left where it was set, `honest_pa` what would sink
    like the dead engine there, `sink_error_mps` the stand-in's sink less the real one with the throttle left.
    """

    altitude_msl_m: float
    manifold_pressure_pa: float
    honest_pa: float
    sink_error_mps: float


def honesty_rows(found: StandInMatch, stall_clean_eas_mps: float, landing: Landing) -> tuple[HonestyRow, ...]:
    """The table: speeds and banks in still air, the same speeds into a headwind, and the final."""
    still = [
        _row(found, STILL_AIR, offset, bank, 0.0, stall_clean_eas_mps)
        for bank in BANKS_RAD
        for offset in SPEED_OFFSETS_MPS
    ]
    into_wind = [_row(found, HEADWIND, offset, 0.0, HEADWIND_MPS, stall_clean_eas_mps) for offset in SPEED_OFFSETS_MPS]
    return (*still, *into_wind, *_final_rows(found, landing))


def height_rows(found: StandInMatch, column: Atmosphere, altitudes_msl_m: tuple[float, ...]) -> tuple[HeightRow, ...]:
    """How the stand-in goes wrong on the way down with the throttle left, altitude by altitude, highest first."""
    return tuple(_height_row(found, column, altitude) for altitude in sorted(altitudes_msl_m, reverse=True))


def retrim_altitudes_msl_m(found: StandInMatch, column: Atmosphere, lowest_msl_m: float) -> tuple[float, ...]:
    """Altitudes, going down, at which the throttle wants a touch: each time the sink is off by `RETRIM_BEYOND_MPS`.

    Each time the throttle is set back to where it was at the start, as honest as then.
    """
    set_at_m = found.conditions.altitude_msl_m
    altitudes: list[float] = []
    altitude_m = set_at_m
    error_at_start = _height_row(found, column, set_at_m).sink_error_mps
    drift_from = 0.0
    while altitude_m - 10.0 * FOOT_M >= lowest_msl_m:
        altitude_m -= 10.0 * FOOT_M
        drift = _height_row(found, column, altitude_m).sink_error_mps - error_at_start
        if abs(drift - drift_from) > RETRIM_BEYOND_MPS:
            altitudes.append(altitude_m)
            drift_from = drift
    return tuple(altitudes)


def air_at(column: Atmosphere, altitude_msl_m: float) -> AirState:
    """The air of a column at an altitude."""
    above_m = altitude_msl_m - column.field_elevation_msl_m
    return AirState(float(column.pressure_pa(above_m)), float(column.temperature_k(above_m)))


def _height_row(found: StandInMatch, column: Atmosphere, altitude_msl_m: float) -> HeightRow:
    here, best = found.conditions, found.best_eas_mps
    air = air_at(column, altitude_msl_m)
    left_pa = fixed_throttle_pa(found.setting_pa, here.air, air)
    glide = found.powered.glide.at_weight(here.weight_kg)
    real_mps = steady_turn(glide, best, 0.0, CLEAN, air.density_kgpm3).sink_mps
    flown_mps = found.powered.sink_mps(left_pa, here.engine_speed_radps, best, 0.0, here.weight_kg, air)
    honest_pa = found.honest_pa(real_mps, air)
    return HeightRow(altitude_msl_m, left_pa, honest_pa, flown_mps - real_mps)


def _row(
    found: StandInMatch, phase: str, offset_mps: float, bank_rad: float, headwind_mps: float, stall_eas_mps: float
) -> HonestyRow:
    here, eas_mps = found.conditions, found.best_eas_mps + offset_mps
    margin = margin_in_turn_fraction(eas_mps, stall_eas_mps, bank_rad)
    if margin < LEAST_STALL_MARGIN_FRACTION:
        return HonestyRow(phase, eas_mps, offset_mps, bank_rad, headwind_mps, margin, None, None, None)
    glide = found.powered.glide.at_weight(here.weight_kg)
    real = steady_turn(glide, eas_mps, bank_rad, CLEAN, here.air.density_kgpm3).sink_mps
    flown = found.stand_in_sink_mps(found.setting_pa, eas_mps, bank_rad)
    sd = found.powered.sink_sd_mps(found.setting_pa, here.engine_speed_radps, eas_mps, here.weight_kg, here.air)
    row = HonestyRow(phase, eas_mps, offset_mps, bank_rad, headwind_mps, margin, real, flown, sd)
    if bank_rad > 0.0:
        return row
    real_ratio, flown_ratio = (_ground_ratio(eas_mps, sink, headwind_mps, here.air) for sink in (real, flown))
    return replace(row, real_ground_ratio=real_ratio, stand_in_ground_ratio=flown_ratio)


def _final_rows(found: StandInMatch, landing: Landing) -> tuple[HonestyRow, ...]:
    """On final: the dead engine in landing configuration, against the power left on, and taken off."""
    here, eas_mps = found.conditions, landing.approach_eas_mps
    glide = found.powered.glide.at_weight(here.weight_kg)
    density = here.air.density_kgpm3
    real = steady_turn(glide, eas_mps, 0.0, landing.configuration, density).sink_mps
    margin = margin_in_turn_fraction(eas_mps, landing.stall_eas_mps, 0.0)
    powered = found.powered.in_configuration(landing.configuration)
    with_power = powered.sink_mps(found.setting_pa, here.engine_speed_radps, eas_mps, 0.0, here.weight_kg, here.air)
    idle = idling_at_the_fine_stop(landing.configuration)
    power_off = steady_turn(glide, eas_mps, 0.0, idle, density).sink_mps
    return tuple(
        HonestyRow(
            phase,
            eas_mps,
            0.0,
            0.0,
            0.0,
            margin,
            real,
            flown,
            None,
            _ground_ratio(eas_mps, real, 0.0, here.air),
            _ground_ratio(eas_mps, flown, 0.0, here.air),
        )
        for phase, flown in ((FINAL_WITH_POWER, with_power), (FINAL_POWER_OFF, power_off))
    )


def _ground_ratio(eas_mps: float, sink_mps: float, headwind_mps: float, air: AirState) -> float | None:
    """Distance over the ground to height lost; None where it climbs or drifts back."""
    tas_mps = eas_mps * math.sqrt(SEA_LEVEL_DENSITY_KGPM3 / air.density_kgpm3)
    ground_mps = math.sqrt(max(tas_mps**2 - sink_mps**2, 0.0)) - headwind_mps
    return ground_mps / sink_mps if sink_mps > 0.0 and ground_mps > 0.0 else None
