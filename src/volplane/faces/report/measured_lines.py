"""From the results of measurements to what their charts show: glides, calibration, stand-in and its honesty."""

from __future__ import annotations

import math

import numpy as np

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.airspeed_calibration import AirspeedCalibration
from volplane.domain.airplane.honesty import HEADWIND, STILL_AIR
from volplane.domain.airplane.honesty import HonestyRow as Compared
from volplane.domain.airplane.measured_glide import MeasuredGlide
from volplane.domain.airplane.partial_glides import CLEAN_NAME, JudgedGlide
from volplane.domain.airplane.powered_glide import JudgedPoint
from volplane.domain.airplane.stand_in import StandInMatch
from volplane.domain.exercise.speeds import ias_mps_from_cas_mps
from volplane.domain.glide.configuration import CLEAN
from volplane.domain.glide.turning import steady_turn
from volplane.faces.documents import wording
from volplane.faces.documents.standin_words import why_text
from volplane.faces.documents.wording import Units
from volplane.faces.report.calibration_charts import SpeedChecked
from volplane.faces.report.charts import BAND_SD
from volplane.faces.report.polar_charts import MeasuredGlideView, PolarLine, PolarPoint
from volplane.faces.report.stand_in_charts import HonestyRow, SettingFlown, StandInView
from volplane.units import INCH_OF_MERCURY_PA

# the line of the stand-in is drawn this far beyond the settings flown and the match
_BEYOND_PA = 1.0 * INCH_OF_MERCURY_PA
_LINE_POINTS = 41


def measured_glide_view(measured: MeasuredGlide, airplane: Airplane, units: Units) -> MeasuredGlideView:
    """The measured glide in sea-level air at the reference weight, with the glide of the airplane file beside it."""
    band = measured.band
    sink, sd = np.array(band.sink_mps), np.array(band.sink_sd_mps)
    line = PolarLine(
        name=units.weight.text(measured.reference_weight_kg),
        ias_mps=np.array([ias_mps_from_cas_mps(airplane, speed) for speed in band.eas_mps]),
        sink_mps=sink,
        best_ias_mps=ias_mps_from_cas_mps(airplane, measured.best_eas_mps),
        best_sink_mps=measured.sink_at_best_mps,
        best_ratio=measured.ratio,
        low_mps=sink - BAND_SD * sd,
        high_mps=sink + BAND_SD * sd,
        best_sd_mps=measured.best_eas_sd_mps,
    )
    stated = airplane.glide.at_weight(measured.reference_weight_kg)
    handbook = (
        ias_mps_from_cas_mps(airplane, stated.best_eas_mps),
        steady_turn(stated, stated.best_eas_mps, 0.0, CLEAN).sink_mps,
    )
    clean = [point for point in measured.points if point.glide.configuration == CLEAN_NAME or not point.is_used]
    return MeasuredGlideView(line, tuple(_polar_point(point, airplane) for point in clean), handbook)


def why_words(why: str | None) -> str:
    """A reason's code as words: power-on is power on."""
    return "" if why is None else str(why).replace("-", " ")


def calibration_speeds(found: AirspeedCalibration) -> tuple[SpeedChecked, ...]:
    """The speeds of a calibration whose position error is known."""
    return tuple(
        SpeedChecked(speed.ias_mps, speed.position_error_mps, speed.position_error_sd_mps)
        for speed in found.speeds
        if speed.ias_mps is not None and speed.position_error_mps is not None
    )


def stand_in_view(found: StandInMatch, stated: tuple[float, float] | None = None) -> StandInView:
    """Sink at best glide against manifold pressure, in the conditions of the match.

    `stated` is the setting of the airplane file and its sink there.
    """
    here, powered = found.conditions, found.powered
    flown = [judged.point.manifold_pressure_pa for judged in found.points]
    around = [*flown, found.wanted_pa, found.setting_pa, *([] if stated is None else stated[:1])]
    pressure = np.linspace(min(around) - _BEYOND_PA, max(around) + _BEYOND_PA, _LINE_POINTS)
    sink = np.array([found.stand_in_sink_mps(float(each), found.best_eas_mps, 0.0) for each in pressure])
    sd = np.array(
        [
            powered.sink_sd_mps(float(each), here.engine_speed_radps, found.best_eas_mps, here.weight_kg, here.air)
            for each in pressure
        ]
    )
    is_estimate = not found.used_points
    return StandInView(
        manifold_pressure_pa=pressure,
        sink_mps=sink,
        wished_sink_mps=found.real_sink_mps,
        match_pa=found.wanted_pa,
        match_sd_pa=found.sd_pa,
        low_mps=None if is_estimate else sink - BAND_SD * sd,
        high_mps=None if is_estimate else sink + BAND_SD * sd,
        points=tuple(_setting(judged) for judged in found.points),
        is_estimate=is_estimate,
        stated=stated,
    )


def honesty_drawn(rows: tuple[Compared, ...], airplane: Airplane, units: Units) -> tuple[HonestyRow, ...]:
    """The rows that the chart draws: speeds wings level, banks at best glide, the final; those that were compared."""
    drawn = []
    for row in rows:
        is_shown = row.phase not in (STILL_AIR, HEADWIND) or (
            row.phase == STILL_AIR and (row.bank_rad == 0.0 or row.speed_offset_mps == 0.0)
        )
        if is_shown and row.real_sink_mps is not None and row.stand_in_sink_mps is not None:
            drawn.append(HonestyRow(moment(row, airplane, units), row.real_sink_mps, row.stand_in_sink_mps))
    return tuple(drawn)


def moment(row: Compared, airplane: Airplane, units: Units) -> str:
    """What a row of the honesty table compares, in words: 114 kt, 30° of bank, the final."""
    speed = units.speed.text(ias_mps_from_cas_mps(airplane, row.eas_mps))
    if row.bank_rad > 0.0:
        bank = f"{wording.angle(row.bank_rad)} of bank"
        return bank if row.speed_offset_mps == 0.0 else f"{bank}, {speed}"
    if row.phase in (STILL_AIR, HEADWIND):
        return f"{speed}, best glide" if row.speed_offset_mps == 0.0 else speed
    return row.phase


def _polar_point(point: JudgedGlide, airplane: Airplane) -> PolarPoint:
    ias = ias_mps_from_cas_mps(airplane, point.eas_mps)
    return PolarPoint(ias, point.sink_mps, point.is_used, why_words(point.why))


def _setting(judged: JudgedPoint) -> SettingFlown:
    sink = judged.reference_sink_mps if math.isfinite(judged.reference_sink_mps) else judged.point.sink_mps
    return SettingFlown(judged.point.manifold_pressure_pa, sink, judged.is_used, why_text(judged.why))
