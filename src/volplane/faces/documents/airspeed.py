"""The document `volplane/airspeed/1` and its words: airspeed calibration and wind from straight legs."""

from __future__ import annotations

from typing import Any

from volplane.domain.airplane.airspeed_calibration import AirspeedCalibration, CalibratedSpeed, LegUsed
from volplane.faces.documents import wording
from volplane.faces.documents.quantities import deg, degc, ft, kt, rounded, seconds
from volplane.faces.documents.wording import IMPERIAL, Units

SCHEMA = "volplane/airspeed/1"

UNKNOWN = {
    "pressure-altitude": "The pressure altitude of the legs is not known.",
    "temperature": "The temperature of the air is not known.",
    "indicated-airspeed": "The indicated airspeed is not known.",
}
LEFT_OUT = {
    "few-directions": "at this speed and height fewer than three directions, or all within 120 degrees",
}
# a leg that counts for less than this did not fit
DOUBTFUL_FRACTION = 0.999


def airspeed_document(
    calibration: AirspeedCalibration,
    *,
    source: str,
    airplane: str | None = None,
    written: str | None = None,
    kept: str | None = None,
) -> dict[str, Any]:
    """The calibration of one source; `written` is the airplane file written, `kept` where the old one is."""
    speeds = calibration.speeds
    return {
        "schema": SCHEMA,
        "source": source,
        "airplane": airplane,
        "wind": {
            "wind_from_true_deg": deg(calibration.wind_from_true_rad),
            "wind_kt": kt(calibration.wind_speed_mps),
            "wind_sd_kt": rounded_kt(calibration.wind_sd_mps),
        },
        "leg_sd_kt": rounded_kt(calibration.leg_sd_mps),
        "speeds": [_speed_entry(speed) for speed in speeds],
        "legs": [_leg_entry(leg) for leg in calibration.legs],
        "not_observable": [
            {"key": f"speeds[{number}].{key}", "reason": reason}
            for number, speed in enumerate(speeds)
            for key, reason in _missing(speed)
        ],
        "written": written,
        "kept": kept,
    }


def rounded_kt(speed_mps: float | None) -> float | None:
    """Knots to a hundredth, for standard deviations and position errors, which a tenth would swallow."""
    from volplane import units

    return rounded(None if speed_mps is None else speed_mps / units.KNOT_MPS, 2)


def leg_words(leg: LegUsed, units: Units = IMPERIAL) -> str:
    """A leg as words: its direction and speeds, and when it was flown if it was found in a recording."""
    said = leg.leg
    direction = wording.direction(said.direction_rad)
    over_ground = f"{units.speed.text(said.ground_speed_mps)} over the ground"
    words = f"{'track' if said.track_true_rad is not None else 'heading'} {direction}, {over_ground}"
    if said.ias_mps is not None:
        words = f"{units.speed.text(said.ias_mps)} indicated, {words}"
    if said.start_s is not None:
        words += f", {wording.duration(said.start_s)} into the recording"
    return words


def notes(calibration: AirspeedCalibration, units: Units = IMPERIAL) -> list[str]:
    """What the reader should know about the legs and the answer, as sentences."""
    said = []
    for leg in calibration.legs:
        if leg.left_out is not None:
            said.append(f"Left out: {leg_words(leg, units)}: {LEFT_OUT[leg.left_out]}.")
        elif leg.weight_fraction < DOUBTFUL_FRACTION and leg.misfit_mps is not None:
            off = wording.figure(abs(units.speed.value(leg.misfit_mps)), 1)
            said.append(
                f"Does not fit, {off} {units.speed.unit} off, and counts for {wording.percent(leg.weight_fraction)}: "
                f"{leg_words(leg, units)}."
            )
    reasons = dict.fromkeys(speed.unknown for speed in calibration.speeds if speed.unknown is not None)
    said += [f"{UNKNOWN[reason]} Without it there is no position error." for reason in reasons]
    if any(speed.alone is None for speed in calibration.speeds):
        said.append("A speed not flown in three directions leans on the wind of the others.")
    return said


def _missing(speed: CalibratedSpeed) -> list[tuple[str, str]]:
    found: list[tuple[str, str]] = []
    if speed.unknown is not None:
        reason = UNKNOWN[speed.unknown]
        values = {
            "ias_kt": speed.ias_mps,
            "cas_kt": speed.cas_mps,
            "position_error_kt": speed.position_error_mps,
            "position_error_sd_kt": speed.position_error_sd_mps,
        }
        found += [
            (key, UNKNOWN["indicated-airspeed"] if key == "ias_kt" else reason)
            for key, value in values.items()
            if value is None
        ]
    if speed.alone is None:
        found.append(("alone", "This speed was not flown in three directions spread over 120 degrees."))
    return found


def _speed_entry(speed: CalibratedSpeed) -> dict[str, Any]:
    alone = speed.alone
    return {
        "ias_kt": kt(speed.ias_mps),
        "cas_kt": kt(speed.cas_mps),
        "tas_kt": kt(speed.tas_mps),
        "tas_sd_kt": rounded_kt(speed.tas_sd_mps),
        "wind_from_true_deg": deg(speed.wind_from_true_rad),
        "wind_kt": kt(speed.wind_speed_mps),
        "wind_sd_kt": rounded_kt(speed.wind_sd_mps),
        "position_error_kt": rounded_kt(speed.position_error_mps),
        "position_error_sd_kt": rounded_kt(speed.position_error_sd_mps),
        "pressure_altitude_ft": ft(speed.pressure_altitude_m),
        "temperature_degc": degc(speed.temperature_k),
        "legs": speed.legs_count,
        "alone": None
        if alone is None
        else {
            "tas_kt": kt(alone.tas_mps),
            "tas_sd_kt": rounded_kt(alone.tas_sd_mps),
            "wind_from_true_deg": deg(alone.wind_from_true_rad),
            "wind_kt": kt(alone.wind_speed_mps),
            "wind_sd_kt": rounded_kt(alone.wind_sd_mps),
        },
    }


def _leg_entry(used: LegUsed) -> dict[str, Any]:
    leg = used.leg
    return {
        "speed": used.speed,
        "ias_kt": kt(leg.ias_mps),
        "ground_speed_kt": kt(leg.ground_speed_mps),
        "track_true_deg": deg(leg.track_true_rad),
        "heading_true_deg": deg(leg.heading_true_rad),
        "start_s": seconds(leg.start_s),
        "duration_s": seconds(leg.duration_s),
        "used": used.left_out is None,
        "why": None if used.left_out is None else LEFT_OUT[used.left_out],
        "misfit_kt": rounded_kt(used.misfit_mps),
        "weight": rounded(used.weight_fraction, 4),
    }
