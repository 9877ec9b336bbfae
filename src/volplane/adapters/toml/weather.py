"""The weather table of an exercise file: typed by hand, from a weather report, or both; what is typed counts."""

from __future__ import annotations

import math
from dataclasses import dataclass

from volplane.adapters.toml.tables import Table
from volplane.domain.atmosphere import isa
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import ANEMOMETER_HEIGHT_M, WindProfile
from volplane.domain.exercise.exercise import TypedOverReport, Weather
from volplane.domain.geometry.airfield import Airfield
from volplane.domain.geometry.angles import difference_rad
from volplane.services.metar import Metar, read_metar
from volplane.services.quantities import QuantityNotUnderstood, quoted, read_wind
from volplane.units import FOOT_M, HECTOPASCAL_PA, KNOT_MPS

Level = tuple[float, float, float]

# keys that a report gives too: its field there, what the value is in SI, and what is no difference to anybody
_REPORTED = {
    "qnh": ("qnh_pa", "pressure_pa", 0.6 * HECTOPASCAL_PA),
    "temperature": ("temperature_k", "temperature_k", 0.6),
    "dew_point": ("dew_point_k", "temperature_k", 0.6),
    "gust": ("gust_mps", "speed_mps", 1.0 * KNOT_MPS),
    "cloud_base": ("ceiling_above_field_m", "height_m", 100.0 * FOOT_M),
    "visibility": ("visibility_m", "length_m", 500.0),
}
_SAME_DIRECTION_RAD, _SAME_SPEED_MPS = math.radians(5.0), 1.0 * KNOT_MPS


@dataclass(slots=True)
class _Air:
    """What is known of the air before it becomes a value: typed figures, and a report's where nothing is typed."""

    values: dict[str, float | None]
    levels: list[Level]
    report: Metar | None
    differences: list[TypedOverReport]
    wind_range_true_rad: tuple[float, float] | None = None


def read_weather(top: Table, airfield: Airfield | None, time_unix_s: float) -> Weather | None:
    """Today's air over the field; a standard, calm day where nothing is said; None with faults."""
    before = len(top.findings.problems)
    table = top.child("weather")
    report = _report(table)
    # every typed figure is read, so that each fault is told
    typed = {key: table.quantity_or_none(key) for key in _REPORTED}
    levels = _levels(table, airfield)
    _compare(table, typed, levels)
    air = _Air(typed, levels, report, [])
    if report is not None:
        _take_wind(table, air, report)
        _take_figures(table, air, report)
    if airfield is None or len(top.findings.problems) > before:
        return None
    return _weather(air, airfield.elevation_msl_m, time_unix_s)


def _weather(air: _Air, elevation_m: float, time_unix_s: float) -> Weather:
    values, report = air.values, air.report
    temperature_k, qnh_pa = values["temperature"], values["qnh"]
    at_field_k = isa.temperature_k(elevation_m) if temperature_k is None else temperature_k
    dew_point_k = values["dew_point"]
    assert qnh_pa is not None
    return Weather(
        atmosphere=Atmosphere(elevation_m, at_field_k, qnh_pa),
        wind=WindProfile.from_levels(air.levels) if air.levels else WindProfile.calm(),
        gust_mps=values["gust"],
        cloud_base_above_field_m=values["cloud_base"],
        visibility_m=values["visibility"],
        dew_point_k=None if dew_point_k is None else min(dew_point_k, at_field_k),
        scattered_base_above_field_m=None if report is None else report.scattered_base_above_field_m,
        wind_range_true_rad=air.wind_range_true_rad,
        observed_unix_s=None if report is None else report.observed_unix_s(time_unix_s),
        typed_over_report=tuple(air.differences),
    )


def _report(table: Table) -> Metar | None:
    text = table.text("metar")
    if not text:
        return None
    try:
        return read_metar(text)
    except QuantityNotUnderstood as refusal:
        table.add("metar", refusal.found, refusal.expected, refusal.remedy, f"quantity-{refusal.cause}")
        return None


def _take_wind(table: Table, air: _Air, report: Metar) -> None:
    """The report's wind as that of the field, unless one is typed for the field."""
    speed_mps, from_rad = report.wind_speed_mps, report.wind_from_true_rad
    is_typed = bool(air.levels) and not air.levels[0][0] > ANEMOMETER_HEIGHT_M
    if is_typed:
        _tell_wind(air, speed_mps, from_rad)
    elif speed_mps is None or report.is_variable:
        what = "wind from no direction" if report.is_variable else "no wind"
        table.add(
            "metar",
            f"{quoted(report.wind_group)}, {what}",
            "a wind to plan with",
            'Type the wind to plan for beside it: tower_wind = "250 deg 4 kt" (magnetic) or tower_wind = "calm".',
            "variable-wind-only" if report.is_variable else "no-wind-in-report",
        )
    else:
        air.levels.insert(0, (0.0, from_rad or 0.0, speed_mps))
        air.wind_range_true_rad = report.wind_range_true_rad


def _tell_wind(air: _Air, speed_mps: float | None, from_rad: float | None) -> None:
    _, typed_rad, typed_mps = air.levels[0]
    if speed_mps is None or math.isnan(typed_rad + typed_mps):
        return
    both_blow = from_rad is not None and speed_mps > 0.0 and typed_mps > 0.0
    if both_blow and abs(difference_rad(typed_rad, from_rad or 0.0)) > _SAME_DIRECTION_RAD:
        air.differences.append(TypedOverReport("wind direction", typed_rad, from_rad or 0.0, "angle_rad"))
    if abs(typed_mps - speed_mps) > _SAME_SPEED_MPS:
        air.differences.append(TypedOverReport("wind speed", typed_mps, speed_mps, "speed_mps"))


def _take_figures(table: Table, air: _Air, report: Metar) -> None:
    """The report's figures where none is typed; a typed one that differs is told."""
    for key, (name, quantity, tolerance) in _REPORTED.items():
        reported = getattr(report, name)
        if reported is None:
            continue
        typed = air.values[key]
        if not table.has(key):
            air.values[key] = reported
        elif typed is not None and abs(typed - reported) > tolerance:
            air.differences.append(TypedOverReport(key.replace("_", " "), typed, reported, quantity))
    # a report's gust beside a stronger typed wind says nothing more
    gust_mps = air.values["gust"]
    if not table.has("gust") and gust_mps is not None and air.levels and gust_mps <= air.levels[0][2]:
        air.values["gust"] = None


def _levels(table: Table, airfield: Airfield | None) -> list[Level]:
    """Wind levels (height, true direction from, speed), the tower's wind being the lowest where it is given."""
    rows = table.children("wind")
    levels = [(_height_m(row, airfield), row.quantity("from"), row.quantity("speed")) for row in rows]
    for row, level, below in zip(rows[1:], levels[1:], levels, strict=False):
        if level[0] <= max(below[0], ANEMOMETER_HEIGHT_M):
            key = "altitude" if row.has("altitude") else "height"
            row.add(
                key,
                f"{row.typed(key)}, not above the level before",
                "heights that rise, the lowest first (up to 10 m all mean the anemometer)",
                "Sort the levels by height.",
                "wind-level-order",
            )
    if not table.has("tower_wind"):
        return levels
    try:
        magnetic_rad, speed_mps = read_wind(table.data["tower_wind"])
    except QuantityNotUnderstood as refusal:
        table.add("tower_wind", refusal.found, refusal.expected, refusal.remedy, f"quantity-{refusal.cause}")
        return levels
    if levels and levels[0][0] <= ANEMOMETER_HEIGHT_M:
        table.add(
            "tower_wind",
            f"{table.typed('tower_wind')} and a wind level at the field",
            "the wind at the field once",
            "Take out one of the two.",
            "wind-twice",
        )
    variation_east_rad = 0.0 if airfield is None else airfield.variation_east_rad
    return [(0.0, magnetic_rad + variation_east_rad, speed_mps), *levels]


def _height_m(row: Table, airfield: Airfield | None) -> float:
    """Height of a wind level above the field, given as such or as an altitude above sea level."""
    if not row.has("altitude"):
        if not row.has("height"):
            row.missing("height")
        return row.quantity("height")
    if row.has("height"):
        row.add("altitude", f"{row.typed('altitude')} and a height", "one of the two", "Take one out.", "height-twice")
    altitude_m = row.quantity("altitude")
    if airfield is None:
        return math.nan
    height_m = altitude_m - airfield.elevation_msl_m
    if height_m < 0.0:
        row.add(
            "altitude",
            f"{row.typed('altitude')}, below the field",
            "an altitude above sea level over the field",
            "Leave levels below the field out; a height above the field is called height.",
            "wind-level-below-field",
        )
    return height_m


def _compare(table: Table, typed: dict[str, float | None], levels: list[Level]) -> None:
    temperature_k, dew_point_k, gust_mps = typed["temperature"], typed["dew_point"], typed["gust"]
    if temperature_k is not None and dew_point_k is not None and dew_point_k > temperature_k + 0.05:
        table.add(
            "dew_point",
            f"{table.typed('dew_point')}, above the temperature {table.typed('temperature')}",
            "a dew point at or below the temperature",
            "Exchange the two, or check them.",
            "dew-point-above-temperature",
        )
    if gust_mps is not None and levels and not math.isnan(levels[0][2]) and gust_mps < levels[0][2]:
        table.add(
            "gust",
            f"{table.typed('gust')}, below the wind at the field",
            "a gust stronger than the wind",
            "Check both, or take the gust out.",
            "gust-below-wind",
        )
