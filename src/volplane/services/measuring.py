"""Measuring the glide: from tables of points and recordings to the airplane's own curve, and into its file."""

from __future__ import annotations

import math
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from types import MappingProxyType

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.airplane.measured_glide import MeasuredGlide, measure_glide
from volplane.domain.airplane.partial_glides import CLEAN_NAME, PartialGlide, Why
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.exercise.speeds import cas_mps_from_ias_mps, ias_mps_from_cas_mps
from volplane.domain.finding import Finding, Severity
from volplane.domain.track.cleaning import cleaned
from volplane.domain.track.segments import SteadySegment, segment_between, steady_segments
from volplane.domain.track.track import AltitudeSource, Track
from volplane.errors import Refusal
from volplane.services.airplane_changes import AirplaneChanges, GlidePoint
from volplane.units import FOOT_M

# an altimeter is read to 20 ft at either end; ours
READING_SD_M = 10.0 * FOOT_M
# the same for the airspeed dial: the mean of a glide, ours
DIAL_SD_MPS = 0.4
_DAY_S = 86_400.0
# turning this much the wind's change with height averages out
_TURNING_RAD = math.radians(10.0)
# a weight less than this part of the maximum is a slip of the pen, as in an exercise file
LEAST_WEIGHT_FRACTION = 0.4


class AirspeedNotRecorded(Refusal):
    """A recording without airspeed tells nothing about the speed of a glide, and no speed was given for its windows."""

    code = "airspeed-not-recorded"

    def __init__(self, recording: str) -> None:
        super().__init__(f"{recording} has no airspeed")
        self.recording = recording


class NoSteadyGlides(Refusal):
    """No stretch of a recording is steady for long enough while it comes down."""

    code = "no-steady-glides"

    def __init__(self, recording: str, least_duration_s: float) -> None:
        super().__init__(f"{recording} has no steady descent of {least_duration_s:.0f} s")
        self.recording = recording
        self.least_duration_s = least_duration_s


@dataclass(frozen=True, slots=True)
class GlideRow:
    """One line of a table of points; heights are pressure altitudes, the temperature is that of the air half-way."""

    place: str
    ias_mps: float
    height_start_m: float
    height_end_m: float
    time_s: float
    air_temperature_k: float
    weight_kg: float
    bank_rad: float = 0.0
    configuration: str = CLEAN_NAME
    heading_true_rad: float | None = None


@dataclass(frozen=True, slots=True)
class GlideWindow:
    """A stretch of a recording that somebody marked: from and to as seconds of the day UTC, its speed where noted."""

    start_s: float
    end_s: float
    ias_mps: float | None = None


@dataclass(frozen=True, slots=True)
class DayOfMeasuring:
    """What a recording does not hold: weight, temperature of the air at the mean height, altimeter setting.

    `is_weight_assumed` tells that nobody said the weight.
    """

    weight_kg: float
    air_temperature_k: float | None = None
    qnh_pa: float | None = None
    configuration: str = CLEAN_NAME
    windows: tuple[GlideWindow, ...] = ()
    is_weight_assumed: bool = False


def row_of(place: str, si: Mapping[str, float], words: Mapping[str, str]) -> GlideRow:
    """A line of a table by the titles of the contract."""
    return GlideRow(
        place=place,
        ias_mps=si["speed_kias"],
        height_start_m=si["height_start_ft"],
        height_end_m=si["height_end_ft"],
        time_s=si["time_s"],
        air_temperature_k=si["temperature_degc"],
        weight_kg=si["weight_lb"],
        bank_rad=si.get("bank_deg", 0.0),
        configuration=words.get("configuration", CLEAN_NAME),
        heading_true_rad=si.get("heading_true_deg"),
    )


def glides_of_rows(airplane: Airplane, rows: Iterable[GlideRow]) -> tuple[PartialGlide, ...]:
    """The glides of a table, speeds calibrated by the airplane's own table."""
    return tuple(_of_row(airplane, row) for row in rows)


def glides_of_track(airplane: Airplane, track: Track, name: str, day: DayOfMeasuring) -> tuple[PartialGlide, ...]:
    """The glides of a recording: those marked, else every steady descent.

    :raises AirspeedNotRecorded: neither airspeed nor speeds for the windows.
    :raises NoSteadyGlides: no steady descent, or nothing in the windows.
    """
    track, _ = cleaned(track)
    has_airspeed = track.ias_mps is not None or track.tas_mps is not None
    if not has_airspeed and not (day.windows and all(each.ias_mps is not None for each in day.windows)):
        raise AirspeedNotRecorded(name)
    if day.windows:
        marked = [_marked(track, window) for window in day.windows]
        segments = tuple(each for each in marked if each is not None)
    else:
        segments = steady_segments(track)
    if not segments:
        raise NoSteadyGlides(name, 40.0)
    return tuple(glide_of_segment(airplane, segment, name, day) for segment in segments)


def glide_of_segment(airplane: Airplane, segment: SteadySegment, name: str, day: DayOfMeasuring) -> PartialGlide:
    """A steady segment of a recording as a glide: altitudes, temperature and airspeed made one kind."""
    is_gps = segment.altitude_source is AltitudeSource.GPS
    setting_m = isa.pressure_altitude_m(isa.SEA_LEVEL_PRESSURE_PA if day.qnh_pa is None else day.qnh_pa)
    pressure_altitude_m = segment.altitude_m
    if segment.altitude_source is not AltitudeSource.PRESSURE:
        pressure_altitude_m += setting_m
    temperature_k = segment.air_temperature_k or day.air_temperature_k or isa.temperature_k(pressure_altitude_m)
    pressure_pa = isa.pressure_pa(pressure_altitude_m)
    if segment.ias_mps is not None:
        cas_mps = cas_mps_from_ias_mps(airplane, segment.ias_mps)
    else:
        assert segment.tas_mps is not None
        cas_mps = airspeed.cas_mps_from_tas_mps(segment.tas_mps, pressure_pa, temperature_k)
    return PartialGlide(
        place=f"{name}, {_clock(segment.start_unix_s)} to {_clock(segment.end_unix_s)}",
        cas_mps=cas_mps,
        sink_mps=segment.sink_mps,
        time_s=segment.duration_s,
        pressure_altitude_m=pressure_altitude_m,
        air_temperature_k=temperature_k,
        weight_kg=day.weight_kg,
        is_pressure_height=not is_gps,
        bank_rad=segment.bank_rad if segment.bank_rad > _TURNING_RAD else 0.0,
        configuration=segment.configuration or day.configuration,
        acceleration_mps2=segment.ground_acceleration_mps2,
        heading_true_rad=segment.heading_true_rad,
        holds_wind_gradient=segment.ground_acceleration_mps2 is not None,
        sink_sd_mps=segment.sink_sd_mps,
        airspeed_sd_mps=math.hypot(DIAL_SD_MPS, segment.airspeed_sd_mps),
        manifold_pressure_pa=segment.manifold_pressure_pa,
        engine_speed_radps=segment.engine_speed_radps,
    )


def measure(airplane: Airplane, glides: Sequence[PartialGlide], *, trusts_handbook: bool = False) -> MeasuredGlide:
    """The glide of the airplane at the reference weight of its file, from glides of any day.

    :raises Refusal: too few glides, speeds too close, or a best glide far from the speeds flown.
    """
    maximum_kg = airplane.maximum_weight_kg * (1.0 + 1e-6)
    judged = [
        each
        if LEAST_WEIGHT_FRACTION * maximum_kg <= each.weight_kg <= maximum_kg
        else replace(each, why=each.why or Why.WEIGHT)
        for each in glides
    ]
    return measure_glide(
        judged,
        airplane.glide,
        airplane.stall_clean_at_mps(airplane.glide.reference_weight_kg),
        known_configurations=frozenset(each.name for each in airplane.configurations),
        has_calibration=bool(airplane.airspeed_correction),
        trusts_handbook=trusts_handbook,
    )


def with_assumed_weight(measured: MeasuredGlide, weight_kg: float) -> MeasuredGlide:
    """The result with a caution that the weight of its recordings was assumed; best speed goes with its root."""
    quantities = MappingProxyType({"weight_kg": weight_kg})
    finding = Finding("recording-weight-assumed", Severity.CAUTION, quantities)
    return replace(measured, findings=(*measured.findings, finding))


def changes_of(airplane: Airplane, measured: MeasuredGlide) -> AirplaneChanges:
    """What a measurement changes in the airplane's file: speed and ratio, or the points of a curve; configurations."""
    points = tuple(GlidePoint(ias_mps_from_cas_mps(airplane, eas), sink) for eas, sink in measured.curve_points)
    configurations = tuple(
        replace(
            airplane.configuration(each.name),
            extra_drag_factor=each.extra_drag_factor,
            is_estimate=False,
        )
        for each in measured.configurations
        if each.glides_count >= 2
    )
    return AirplaneChanges(
        # calibrated airspeed at sea level is equivalent airspeed
        glide_best_ias_mps=ias_mps_from_cas_mps(airplane, measured.best_eas_mps),
        glide_ratio=measured.ratio,
        glide_weight_kg=measured.reference_weight_kg,
        glide_points=points,
        configurations=configurations,
    )


def _of_row(airplane: Airplane, row: GlideRow) -> PartialGlide:
    is_turning = abs(row.bank_rad) > _TURNING_RAD
    return PartialGlide(
        place=row.place,
        cas_mps=cas_mps_from_ias_mps(airplane, row.ias_mps),
        sink_mps=(row.height_start_m - row.height_end_m) / row.time_s,
        time_s=row.time_s,
        pressure_altitude_m=0.5 * (row.height_start_m + row.height_end_m),
        air_temperature_k=row.air_temperature_k,
        weight_kg=row.weight_kg,
        bank_rad=row.bank_rad,
        configuration=row.configuration,
        heading_true_rad=None if is_turning else row.heading_true_rad,
        holds_wind_gradient=is_turning,
        sink_sd_mps=READING_SD_M * math.sqrt(2.0) / row.time_s,
        airspeed_sd_mps=DIAL_SD_MPS,
    )


def _marked(track: Track, window: GlideWindow) -> SteadySegment | None:
    """The segment of a window, its times on the first day of the recording that holds them."""
    start_unix_s = track.start_unix_s + (window.start_s - track.start_unix_s) % _DAY_S
    # a window that begins a moment before the recording does
    if start_unix_s > track.end_unix_s:
        start_unix_s -= _DAY_S
    end_unix_s = start_unix_s + (window.end_s - window.start_s) % _DAY_S
    segment = segment_between(track, start_unix_s, end_unix_s)
    if segment is None or window.ias_mps is None:
        return segment
    return replace(segment, ias_mps=window.ias_mps)


def _clock(time_unix_s: float) -> str:
    seconds = round(time_unix_s % _DAY_S)
    return f"{seconds // 3600 % 24:02d}:{seconds // 60 % 60:02d}:{seconds % 60:02d}"
