"""An airspeed calibration for a reader at the terminal."""

from __future__ import annotations

from collections.abc import Callable

from volplane.domain.airplane.airspeed_calibration import AirspeedCalibration, CalibratedSpeed
from volplane.faces.cli.sheet import Column, Sheet
from volplane.faces.documents import wording
from volplane.faces.documents.airspeed import notes
from volplane.faces.documents.wording import IMPERIAL, Units

SHOWN_NOTES = 8


def airspeed_report(
    calibration: AirspeedCalibration,
    *,
    airplane: str | None = None,
    written: str | None = None,
    kept: str | None = None,
    units: Units = IMPERIAL,
    sheet: Sheet | None = None,
) -> str:
    """The whole report as text; uncertainties are one standard deviation."""
    page = Sheet() if sheet is None else sheet
    used = sum(leg.left_out is None for leg in calibration.legs)
    speeds, legs = wording.counted(len(calibration.speeds), "speed"), wording.counted(used, "leg")
    page.headline(f"Airspeed calibration{'' if airplane is None else f' of {airplane}'}: {speeds}, {legs}")
    wind, spread = units.wind(calibration.wind_from_true_rad, calibration.wind_speed_mps), _fine(units)
    page.line(
        f"Wind {wind}, give or take {spread(calibration.wind_sd_mps)} {units.speed.unit}. Legs of a minute scatter by "
        f"{spread(calibration.leg_sd_mps)} {units.speed.unit}. Give or take is one standard deviation."
    )
    page.blank()
    page.table(_columns(calibration.speeds, units))
    said = notes(calibration, units)
    if said:
        page.blank()
    for note in said[:SHOWN_NOTES]:
        page.line(note)
    if len(said) > SHOWN_NOTES:
        page.line(f"And {wording.counted(len(said) - SHOWN_NOTES, 'more note')}; --json has every leg.")
    if written is not None:
        page.blank()
        old = "" if kept is None else f" What stood there is kept as {kept}."
        page.line(f"The correction table was written to {written}.{old}")
    page.cautions()
    return page.text()


def _columns(speeds: tuple[CalibratedSpeed, ...], units: Units) -> list[Column]:
    fine, unit = _fine(units), units.speed.unit

    def column(title: str, importance: int, cell: Callable[[CalibratedSpeed], str]) -> Column:
        return Column(title, [cell(speed) for speed in speeds], importance=importance)

    return [
        column(f"Indicated\n{unit}", 0, lambda speed: fine(speed.ias_mps)),
        column(f"Calibrated\n{unit}", 0, lambda speed: fine(speed.cas_mps)),
        column(f"Dial reads\ntoo much, {unit}", 0, lambda speed: _signed(speed.position_error_mps, units)),
        column("Give\nor take", 1, lambda speed: fine(speed.position_error_sd_mps)),
        column(f"True\n{unit}", 2, lambda speed: fine(speed.tas_mps)),
        column("Give\nor take", 3, lambda speed: fine(speed.tas_sd_mps)),
        column("Wind", 4, lambda speed: units.wind(speed.wind_from_true_rad, speed.wind_speed_mps)),
        column("Give\nor take", 5, lambda speed: fine(speed.wind_sd_mps)),
        column("Legs", 6, lambda speed: str(speed.legs_count)),
    ]


def _fine(units: Units) -> Callable[[float | None], str]:
    """Speeds to a tenth: what a calibration is about."""
    return lambda speed_mps: wording.figure(None if speed_mps is None else units.speed.value(speed_mps), 1)


def _signed(speed_mps: float | None, units: Units) -> str:
    return wording.NOT_OBSERVABLE if speed_mps is None else wording.signed(units.speed.value(speed_mps), 1)
