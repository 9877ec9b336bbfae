"""The weather table of an exercise file."""

from __future__ import annotations

import math

from volplane.adapters.toml.tables import Table
from volplane.domain.atmosphere import isa
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.atmosphere.wind import ANEMOMETER_HEIGHT_M, WindProfile
from volplane.domain.exercise.exercise import Weather
from volplane.domain.geometry.airfield import Airfield
from volplane.services.quantities import QuantityNotUnderstood, read_wind

Level = tuple[float, float, float]


def read_weather(top: Table, airfield: Airfield | None) -> Weather | None:
    """Today's air over the field; a standard, calm day where nothing is said; None with faults."""
    before = len(top.findings.problems)
    table = top.child("weather")
    qnh_pa = table.quantity("qnh")
    temperature_k = table.quantity_or_none("temperature")
    levels = _levels(table, 0.0 if airfield is None else airfield.variation_east_rad)
    gust_mps, dew_point_k = table.quantity_or_none("gust"), table.quantity_or_none("dew_point")
    cloud_base_m, visibility_m = table.quantity_or_none("cloud_base"), table.quantity_or_none("visibility")
    _compare(table, temperature_k, dew_point_k, gust_mps, levels)
    if airfield is None or len(top.findings.problems) > before:
        return None
    elevation_m = airfield.elevation_msl_m
    at_field_k = isa.temperature_k(elevation_m) if temperature_k is None else temperature_k
    return Weather(
        atmosphere=Atmosphere(elevation_m, at_field_k, qnh_pa),
        wind=WindProfile.from_levels(levels) if levels else WindProfile.calm(),
        gust_mps=gust_mps,
        cloud_base_above_field_m=cloud_base_m,
        visibility_m=visibility_m,
    )


def _levels(table: Table, variation_east_rad: float) -> list[Level]:
    """Wind levels (height, true direction from, speed), the tower's wind being the lowest where it is given."""
    rows = table.children("wind")
    levels = [(row.quantity("height"), row.quantity("from"), row.quantity("speed")) for row in rows]
    for row, level, below in zip(rows[1:], levels[1:], levels, strict=False):
        if level[0] <= max(below[0], ANEMOMETER_HEIGHT_M):
            row.add(
                "height",
                f"{row.typed('height')}, not above the level before",
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
    return [(0.0, magnetic_rad + variation_east_rad, speed_mps), *levels]


def _compare(
    table: Table, temperature_k: float | None, dew_point_k: float | None, gust_mps: float | None, levels: list[Level]
) -> None:
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
