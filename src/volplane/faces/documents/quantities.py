"""Where SI becomes the numbers of JSON documents: trade units, rounded alike everywhere, null for what is missing.

Each function is named by the unit it gives, as the keys of the documents end.
"""

from __future__ import annotations

import datetime
import json
import math
from typing import Any

from volplane import units

SCHEMA_FOLDER = "schemas"


def rounded(value: float | None, decimals: int) -> float | None:
    """A number to so many decimals, null for None and NaN; never minus nought, so that documents compare equal."""
    if value is None or not math.isfinite(value):
        return None
    return round(float(value), decimals) + 0.0


def ft(length_m: float | None) -> float | None:
    """Feet, one decimal."""
    return rounded(None if length_m is None else length_m / units.FOOT_M, 1)


def nm(length_m: float | None) -> float | None:
    """Nautical miles, three decimals."""
    return rounded(None if length_m is None else length_m / units.NAUTICAL_MILE_M, 3)


def kt(speed_mps: float | None) -> float | None:
    """Knots, one decimal."""
    return rounded(None if speed_mps is None else speed_mps / units.KNOT_MPS, 1)


def fpm(speed_mps: float | None) -> float | None:
    """Feet per minute, one decimal."""
    return rounded(None if speed_mps is None else speed_mps / units.FOOT_PER_MINUTE_MPS, 1)


def lb(mass_kg: float | None) -> float | None:
    """Pounds, one decimal."""
    return rounded(None if mass_kg is None else mass_kg / units.POUND_KG, 1)


def inhg(pressure_pa: float | None) -> float | None:
    """Inches of mercury, two decimals."""
    return rounded(None if pressure_pa is None else units.inhg_from_pa(pressure_pa), 2)


def degc(temperature_k: float | None) -> float | None:
    """Degrees Celsius, one decimal."""
    return rounded(None if temperature_k is None else units.degc_from_k(temperature_k), 1)


def deg(angle_rad: float | None) -> float | None:
    """Degrees of an angle such as a bank, two decimals."""
    return rounded(None if angle_rad is None else angle_rad / units.DEGREE_RAD, 2)


def direction_deg(direction_rad: float | None) -> float | None:
    """Degrees of a direction in [0, 360), two decimals."""
    degrees = deg(direction_rad)
    return None if degrees is None else rounded(degrees % 360.0, 2)


def place_deg(degrees: float | None) -> float | None:
    """A latitude or longitude, seven decimals (a centimetre)."""
    return rounded(degrees, 7)


def seconds(time_s: float | None) -> float | None:
    """Seconds, two decimals."""
    return rounded(time_s, 2)


def pure(ratio: float | None) -> float | None:
    """A ratio or fraction, four decimals."""
    return rounded(ratio, 4)


def utc(time_unix_s: float | None) -> str | None:
    """A moment as UTC in ISO 8601 with tenths of a second: 2026-05-14T14:00:00.0Z."""
    if time_unix_s is None or not math.isfinite(time_unix_s):
        return None
    tenths = math.floor(time_unix_s * 10.0 + 0.5)
    moment = datetime.datetime.fromtimestamp(tenths // 10, datetime.UTC)
    return f"{moment:%Y-%m-%dT%H:%M:%S}.{tenths % 10}Z"


def in_trade_units(value_si: float | None, quantity: str) -> tuple[float | None, str]:
    """A value whose SI unit is told by a word ("length_m", "mass_kg") in trade units, and the unit it is given in."""
    for ending, (convert, unit) in _BY_ENDING.items():
        if quantity == ending or quantity.endswith("_" + ending):
            return convert(value_si), unit
    return pure(value_si), "1"


_BY_ENDING = {
    "sink_mps": (fpm, "fpm"),
    "m": (ft, "ft"),
    "mps": (kt, "kt"),
    "rad": (deg, "deg"),
    "kg": (lb, "lb"),
    "pa": (inhg, "inHg"),
    "k": (degc, "degC"),
    "s": (seconds, "s"),
}


def as_text(document: dict[str, Any]) -> str:
    """A document as JSON text: keys in their order, no NaN, UTF-8 letters as they are."""
    return json.dumps(document, ensure_ascii=False, allow_nan=False, indent=2)


def schema(name: str) -> dict[str, Any]:
    """The JSON Schema of a document, by its name: schema("plan") describes volplane/plan/1."""
    import importlib.resources

    folder = importlib.resources.files(__package__) / SCHEMA_FOLDER
    loaded: dict[str, Any] = json.loads((folder / f"{name}.json").read_text(encoding="utf-8"))
    return loaded
