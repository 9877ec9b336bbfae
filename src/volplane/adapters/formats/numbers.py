"""Numbers and coordinates as tables write them, read into floats; what is no number is NaN."""

from __future__ import annotations

import math
import re
from collections.abc import Sequence

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]

_LONGEST_CELL = 48
_LEADING_NUMBER = re.compile(r"\s*([+-]?(?:\d[\d ,.']*|[.,]\d+)(?:[eE][+-]?\d+)?)\s*([^\d]*)", re.ASCII)
_SIGNS = str.maketrans({"\u2212": "-", "\u2032": "'", "\u2019": "'", "\u2033": '"', "\u201d": '"', "\u00ba": "\u00b0"})
_COORDINATE = re.compile(
    r"(?P<before>[NSEW])?\s*(?P<sign>[+-])?(?P<deg>\d{1,3}(?:[.,]\d+)?)\s*"
    r"(?:[\u00b0 :D]\s*(?:(?P<min>\d{1,2}(?:[.,]\d+)?)\s*"
    r"(?:[' :M]\s*(?:(?P<sec>\d{1,2}(?:[.,]\d+)?)\s*[\"S']{0,2})?)?)?)?"
    r"\s*(?P<after>[NSEW])?",
    re.IGNORECASE,
)


def has_decimal_comma(cells: Sequence[str]) -> bool:
    """Whether coordinates, which always have decimals, are written with a comma."""
    commas = sum("," in cell and "." not in cell for cell in cells)
    return commas > sum("." in cell for cell in cells)


def numbers(cells: Sequence[str], decimal_comma: bool) -> Floats:
    """The cells as floats (n,); NaN for what is none, for infinities and for empty cells."""
    if not decimal_comma:
        try:
            value = np.array(cells, dtype=np.float64)
            return np.where(np.isfinite(value), value, np.nan)
        except (ValueError, OverflowError):
            pass
    return np.array([number(cell, decimal_comma) for cell in cells], dtype=np.float64)


def number(cell: str, decimal_comma: bool = False) -> float:
    """One cell as a float; a unit behind the number is passed over, a thousands separator too."""
    if not decimal_comma:
        try:
            value = float(cell)
            return value if math.isfinite(value) else math.nan
        except ValueError:
            pass
    if len(cell) > _LONGEST_CELL:
        return math.nan
    match = _LEADING_NUMBER.fullmatch(cell.translate(_SIGNS))
    if match is None:
        return math.nan
    text = match[1].replace(" ", "").replace("'", "")
    text = text.replace(".", "").replace(",", ".") if decimal_comma else text.replace(",", "")
    try:
        value = float(text)
    except ValueError:
        return math.nan
    return value if math.isfinite(value) else math.nan


def unit_in_cell(cell: str) -> str:
    """What stands behind the number of a cell, "ft" in "2,600 ft"; "" when nothing does."""
    match = _LEADING_NUMBER.fullmatch(cell) if len(cell) <= _LONGEST_CELL else None
    return match[2].strip() if match is not None else ""


def coordinates(cells: Sequence[str], decimal_comma: bool) -> Floats:
    """Latitudes or longitudes in degrees (n,), north and east positive; NaN for what is none."""
    if not decimal_comma:
        try:
            value = np.array(cells, dtype=np.float64)
            return np.where(np.isfinite(value), value, np.nan)
        except (ValueError, OverflowError):
            pass
    return np.array([coordinate(cell) for cell in cells], dtype=np.float64)


def coordinate(cell: str) -> float:
    """One latitude or longitude in degrees: `-40.25`, `40.25 W`, `W040 15.0`, `40\u00b015'00" W`; NaN when none."""
    text = cell.strip()
    if len(text) > _LONGEST_CELL:
        return math.nan
    match = _COORDINATE.fullmatch(text.translate(_SIGNS))
    if match is None or (match["before"] and match["after"]):
        return math.nan
    degrees, minutes, seconds = (_part(match[name]) for name in ("deg", "min", "sec"))
    if minutes >= 60.0 or seconds >= 60.0:
        return math.nan
    side = (match["before"] or match["after"] or "").upper()
    is_negative = (match["sign"] == "-") != (side in ("S", "W"))
    value = degrees + minutes / 60.0 + seconds / 3600.0
    return -value if is_negative else value


def _part(text: str | None) -> float:
    return float(text.replace(",", ".")) if text else 0.0
