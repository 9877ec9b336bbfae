"""Airspeed calibration: true airspeed, wind and position error from straight legs flown at several indicated speeds.

Each speed has its own true airspeed and its own wind; the winds of one session are alike to `WIND_CHANGE_SD_MPS`, so
that a speed flown in few directions leans on the others and a speed flown all round stands on its own. A leg is wrong
by what the air and the pilot do to it, one and the same for all; that scatter is measured on the legs themselves,
beginning from 1 kt with the weight of four legs, so that three legs have an uncertainty too. Legs that do not
fit lose weight (Huber). True airspeed becomes calibrated airspeed by the pressure and temperature of the leg.
Source of the geometry: Gray, Using GPS to accurately establish true airspeed, 1998 (title from memory).
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np

from volplane.domain.airplane.airspeed_fit import AirspeedFit
from volplane.domain.airplane.airspeed_legs import SPEED_GAP_MPS, AirspeedLeg, has_three_directions, speed_groups
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.atmosphere.refusals import LegsDoNotDetermineWind
from volplane.domain.atmosphere.wind_from_legs import LEAST_SPREAD_RAD
from volplane.errors import Refusal
from volplane.units import KNOT_MPS

# reading of the dial, averaged over a leg; ours
DIAL_SD_MPS = 0.5 * KNOT_MPS
TEMPERATURE_SD_K = 1.5
PRESSURE_ALTITUDE_SD_M = 15.0
# a wind less sure than this is no answer
LARGEST_WIND_SD_MPS = 5.0 * KNOT_MPS


@dataclass(frozen=True, slots=True)
class LegUsed:
    """A leg and what became of it.

    `misfit_mps` is the measured less the explained speed, None where the leg was left out (`left_out` says why, as a
    code). `weight_fraction` is 1 for a leg that fits and less for one that does not.
    """

    leg: AirspeedLeg
    speed: int | None
    misfit_mps: float | None
    weight_fraction: float
    left_out: str | None = None


@dataclass(frozen=True, slots=True)
class SpeedAlone:
    """What the legs of one speed say without the others."""

    tas_mps: float
    tas_sd_mps: float
    wind_east_mps: float
    wind_north_mps: float
    wind_sd_mps: float

    @property
    def wind_from_true_rad(self) -> float:
        """True direction the wind comes from."""
        return _from_rad(self.wind_east_mps, self.wind_north_mps)

    @property
    def wind_speed_mps(self) -> float:
        """Speed of the wind."""
        return math.hypot(self.wind_east_mps, self.wind_north_mps)


@dataclass(frozen=True, slots=True)
class CalibratedSpeed:
    """One indicated airspeed: what it was in the air.

    `position_error_mps` is indicated less calibrated airspeed: positive where the dial reads too much. Calibrated speed
    and position error are None without indicated speed, pressure altitude or temperature (`unknown` names the first
    that is missing). `wind_sd_mps` is one component's. `alone` is None where the legs of this speed do not suffice.
    """

    ias_mps: float | None
    tas_mps: float
    tas_sd_mps: float
    wind_east_mps: float
    wind_north_mps: float
    wind_sd_mps: float
    pressure_altitude_m: float | None
    temperature_k: float | None
    cas_mps: float | None
    position_error_mps: float | None
    position_error_sd_mps: float | None
    unknown: str | None
    legs_count: int
    alone: SpeedAlone | None

    @property
    def wind_from_true_rad(self) -> float:
        """True direction the wind comes from."""
        return _from_rad(self.wind_east_mps, self.wind_north_mps)

    @property
    def wind_speed_mps(self) -> float:
        """Speed of the wind."""
        return math.hypot(self.wind_east_mps, self.wind_north_mps)


@dataclass(frozen=True, slots=True)
class AirspeedCalibration:
    """The calibration: a line for each speed, growing, the wind of all together, and every leg with its fate.

    `leg_sd_mps` is the scatter of a leg of a minute. The joint wind is the session's; `wind_sd_mps` is one component's.
    """

    speeds: tuple[CalibratedSpeed, ...]
    wind_east_mps: float
    wind_north_mps: float
    wind_sd_mps: float
    leg_sd_mps: float
    legs: tuple[LegUsed, ...]

    @property
    def wind_from_true_rad(self) -> float:
        """True direction the joint wind comes from."""
        return _from_rad(self.wind_east_mps, self.wind_north_mps)

    @property
    def wind_speed_mps(self) -> float:
        """Speed of the joint wind."""
        return math.hypot(self.wind_east_mps, self.wind_north_mps)


class CalibrationNotUsable(Refusal):
    """A calibration that gives no table of corrections: what it lacks is a code."""

    code = "calibration-not-usable"

    def __init__(self, lacks: str, ias_mps: float | None) -> None:
        super().__init__(f"{lacks} at {'no' if ias_mps is None else f'{ias_mps:.1f} m/s'} indicated airspeed")
        self.lacks = lacks
        self.ias_mps = ias_mps


def calibrate(
    legs: Sequence[AirspeedLeg],
    *,
    each_speed_alone: bool = False,
    pressure_altitude_sd_m: float = PRESSURE_ALTITUDE_SD_M,
) -> AirspeedCalibration:
    """The calibration that the legs give.

    `each_speed_alone` leaves out every speed not flown in three directions, for legs that nobody chose: they may come
    from other air. Speeds that two heights share are kept apart.

    :raises LegsDoNotDetermineWind: too few legs, too alike, contradictory, or a wind not below the airspeed.
    """
    groups = speed_groups(legs)
    reasons: dict[int, str] = {}
    if each_speed_alone:
        reasons = {at: "few-directions" for group in groups if not _goes_round(legs, group) for at in group}
        groups = [group for group in groups if group[0] not in reasons]
    used = [at for group in groups for at in group]
    _refuse_too_few([legs[at] for at in used], len(groups), len(legs))
    fit = AirspeedFit(legs, groups)
    joint_wind = fit.joint_wind_mps()
    if joint_wind[2] > LARGEST_WIND_SD_MPS:
        raise LegsDoNotDetermineWind("too few directions at each speed", len(used))
    speeds = tuple(
        _calibrated([legs[at] for at in group], fit, number, _alone(legs, group), pressure_altitude_sd_m)
        for number, group in enumerate(groups)
    )
    fates = {at: LegUsed(legs[at], None, None, 0.0, reason) for at, reason in reasons.items()}
    for at, number, misfit, weight in zip(used, fit.group_of, fit.misfits_mps, fit.weights, strict=True):
        fates[at] = LegUsed(legs[at], int(number), float(misfit), float(weight))
    ordered = tuple(fates[at] for at in range(len(legs)))
    return AirspeedCalibration(speeds, *joint_wind, fit.leg_sd_mps, ordered)


def correction_table(calibration: AirspeedCalibration) -> tuple[tuple[float, float], ...]:
    """Indicated against calibrated airspeed, growing, for the airplane; speeds flown at two heights are averaged.

    :raises CalibrationNotUsable: a speed without its calibrated value, or a table that does not grow.
    """
    rows: list[tuple[float, float, float]] = []
    for speed in calibration.speeds:
        if speed.ias_mps is None or speed.cas_mps is None or speed.position_error_sd_mps is None:
            raise CalibrationNotUsable(speed.unknown or "indicated-airspeed", speed.ias_mps)
        row = (speed.ias_mps, speed.cas_mps, 1.0 / speed.position_error_sd_mps**2)
        if rows and row[0] - rows[-1][0] < SPEED_GAP_MPS:
            row = _together(rows.pop(), row)
        rows.append(row)
    for below, above in itertools.pairwise(rows):
        if above[1] <= below[1]:
            raise CalibrationNotUsable("growing-speeds", above[0])
    return tuple((ias, cas) for ias, cas, _ in rows)


def _calibrated(
    legs: Sequence[AirspeedLeg], fit: AirspeedFit, number: int, alone: SpeedAlone | None, pressure_altitude_sd_m: float
) -> CalibratedSpeed:
    ias = _mean([leg.ias_mps for leg in legs])
    altitude = _mean([leg.pressure_altitude_m for leg in legs])
    temperature = _mean([leg.temperature_k for leg in legs])
    tas, tas_sd = fit.tas(number)
    east, north, wind_sd = fit.wind_mps(number)
    cas = error = error_sd = None
    names = ("pressure-altitude", "temperature", "indicated-airspeed")
    unknown = next(
        (name for name, value in zip(names, (altitude, temperature, ias), strict=True) if value is None), None
    )
    if altitude is not None and temperature is not None:
        cas, cas_sd = _cas(tas, tas_sd, altitude, temperature, pressure_altitude_sd_m)
        if ias is not None:
            error, error_sd = ias - cas, math.hypot(cas_sd, DIAL_SD_MPS)
    return CalibratedSpeed(
        ias, tas, tas_sd, east, north, wind_sd, altitude, temperature, cas, error, error_sd, unknown, len(legs), alone
    )


def _cas(
    tas_mps: float, tas_sd_mps: float, altitude_m: float, temperature_k: float, altitude_sd_m: float
) -> tuple[float, float]:
    """Calibrated airspeed and its standard deviation, from the airspeed's, the height's and the temperature's own."""

    def at(tas: float, altitude: float, temperature: float) -> float:
        return airspeed.cas_mps_from_tas_mps(tas, isa.pressure_pa(altitude), temperature)

    cas = at(tas_mps, altitude_m, temperature_k)
    parts = (
        at(tas_mps + tas_sd_mps, altitude_m, temperature_k) - cas,
        at(tas_mps, altitude_m + altitude_sd_m, temperature_k) - cas,
        at(tas_mps, altitude_m, temperature_k + TEMPERATURE_SD_K) - cas,
    )
    return cas, math.hypot(*parts)


def _alone(legs: Sequence[AirspeedLeg], group: Sequence[int]) -> SpeedAlone | None:
    if not _goes_round(legs, group):
        return None
    try:
        fit = AirspeedFit(legs, [group])
    except LegsDoNotDetermineWind:
        return None
    return SpeedAlone(*fit.tas(0), *fit.wind_mps(0))


def _goes_round(legs: Sequence[AirspeedLeg], group: Sequence[int]) -> bool:
    return has_three_directions([legs[at].direction_rad for at in group])


def _together(one: tuple[float, float, float], other: tuple[float, float, float]) -> tuple[float, float, float]:
    """Mean of two rows of indicated and calibrated airspeed by their weights, which come third."""
    total = one[2] + other[2]
    ias, cas = ((a * one[2] + b * other[2]) / total for a, b in zip(one[:2], other[:2], strict=True))
    return ias, cas, total


def _mean(values: Sequence[float | None]) -> float | None:
    known = [value for value in values if value is not None]
    return sum(known) / len(known) if len(known) == len(values) else None


def _refuse_too_few(legs: Sequence[AirspeedLeg], speeds_count: int, legs_count: int) -> None:
    if not legs and legs_count:
        raise LegsDoNotDetermineWind("at no speed were three directions flown", legs_count)
    count = len(legs)
    if count < 3:
        raise LegsDoNotDetermineWind("three legs are the least that give airspeed and wind", count)
    if count < speeds_count + 2:
        raise LegsDoNotDetermineWind("too few legs for so many speeds", count)
    if not all(math.isfinite(leg.ground_speed_mps) and math.isfinite(leg.direction_rad) for leg in legs):
        raise LegsDoNotDetermineWind("a leg's ground speed or direction is not a finite number", count)
    if not all(leg.ground_speed_mps > 0.0 for leg in legs):
        raise LegsDoNotDetermineWind("a leg's ground speed is not positive", count)
    ordered = np.sort(np.mod([leg.direction_rad for leg in legs], 2.0 * math.pi))
    widest_gap = float(np.diff(ordered, append=ordered[0] + 2.0 * math.pi).max())
    if 2.0 * math.pi - widest_gap < LEAST_SPREAD_RAD - 1e-9:
        raise LegsDoNotDetermineWind("the directions flown lie within 120 degrees", count)


def _from_rad(east_mps: float, north_mps: float) -> float:
    direction_rad = math.atan2(-east_mps, -north_mps) % (2.0 * math.pi)
    # the modulus of a hair below nought rounds up to a whole circle
    return direction_rad if direction_rad < 2.0 * math.pi else 0.0
