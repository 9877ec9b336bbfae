"""From legs written down or a recording to an airspeed calibration, and from that to a line of the airplane file."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from volplane.domain.airplane.airspeed_calibration import AirspeedCalibration, calibrate, correction_table
from volplane.domain.airplane.airspeed_legs import AirspeedLeg, legs_of, pressure_altitude_sd_m
from volplane.domain.atmosphere.refusals import LegsDoNotDetermineWind
from volplane.domain.track.cleaning import cleaned
from volplane.errors import FilesRefused
from volplane.services.airplane_changes import AirplaneChanges
from volplane.services.recordings import Recording


@dataclass(frozen=True, slots=True)
class DayOfLegs:
    """What was said about the legs beside what is written or recorded; None is not said, a value said wins.

    `pressure_altitude_m` is on the standard setting; `qnh_pa` turns recorded altitudes of another kind into it.
    `ias_mps` is the one indicated airspeed of a recording without any.
    """

    pressure_altitude_m: float | None = None
    temperature_k: float | None = None
    qnh_pa: float | None = None
    ias_mps: float | None = None


AS_RECORDED = DayOfLegs()


def calibrate_rows(rows: Sequence[Mapping[str, float]], day: DayOfLegs = AS_RECORDED) -> AirspeedCalibration:
    """The calibration of legs written down: each a mapping from the titles of the table to SI values.

    :raises LegsDoNotDetermineWind: they give no wind and airspeed.
    """
    legs = [
        AirspeedLeg(
            ground_speed_mps=row["ground_speed_kt"],
            track_true_rad=row.get("track_true_deg"),
            heading_true_rad=row.get("heading_true_deg"),
            ias_mps=row["speed_kias"],
            pressure_altitude_m=row.get("pressure_altitude_ft"),
            temperature_k=row.get("temperature_degc"),
        )
        for row in rows
    ]
    return calibrate([_on_the_day(leg, day) for leg in legs])


def calibrate_recording(recording: Recording, day: DayOfLegs = AS_RECORDED) -> AirspeedCalibration:
    """The calibration of a recording: its straight, level, steady legs, at each speed flown in three directions.

    :raises FilesRefused: the file held no track.
    :raises LegsDoNotDetermineWind: no such legs.
    """
    if recording.track is None:
        raise FilesRefused(recording.problems)
    track, _ = cleaned(recording.track)
    legs = [_on_the_day(leg, day) for leg in legs_of(track, day.qnh_pa)]
    if not legs:
        raise LegsDoNotDetermineWind("nothing straight, level and steady for 20 s was flown", 0)
    return calibrate(legs, each_speed_alone=True, pressure_altitude_sd_m=pressure_altitude_sd_m(track, day.qnh_pa))


def changes_of(calibration: AirspeedCalibration) -> AirplaneChanges:
    """The calibration as a change of the airplane file.

    :raises CalibrationNotUsable: it gives no table.
    """
    return AirplaneChanges(airspeed_correction=correction_table(calibration))


def _on_the_day(leg: AirspeedLeg, day: DayOfLegs) -> AirspeedLeg:
    return replace(
        leg,
        pressure_altitude_m=leg.pressure_altitude_m if day.pressure_altitude_m is None else day.pressure_altitude_m,
        temperature_k=leg.temperature_k if day.temperature_k is None else day.temperature_k,
        ias_mps=day.ias_mps if leg.ias_mps is None else leg.ias_mps,
    )
