"""The fields of the exercise page: their labels, how a value reads on the page, and what stands in the address."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping

from volplane.faces.documents.wording import DEGREE, MINUS, NO_BREAK_SPACE, Units
from volplane.faces.web.ports import FIELD_KEYS, ExerciseField

LABELS = {
    "weight": "Weight",
    "high_key_turn_bank": "First turn",
    "base_turn_bank": "Turn to base",
    "touchdown_point": "Touchdown point",
    "reserve": "Reserve",
    "qnh": "Altimeter setting",
    "temperature": "Temperature",
    "break_off_height": "Break off at",
    "runway": "Runway",
    "pattern": "Pattern",
    "shape": "Flown",
    "half_turn": "Half turn",
    "entry_height": "Entry height",
    "low_key_height": "Low key height",
    "low_key_offset": "Low key abeam",
    "high_key_offset": "High key beside",
    "maximum_bank": "Steepest bank",
    "maximum_bank_below_low_key": "Below the low key",
    "minimum_final": "Least final",
    "gust": "Gusts to",
    "cloud_base": "Cloud base",
}
# a wind level this low is the anemometer's, and is called the wind at the field
AT_THE_FIELD_M = 15.0
_TYPED = (("degC", f"{DEGREE}C"), ("degF", f"{DEGREE}F"), (" deg", DEGREE), ("deg", DEGREE))


_FIELD = re.compile(r"wind_\d{1,2}")


def is_field(place: str) -> bool:
    """Whether the place of a problem is a field of the exercise page."""
    return place in FIELD_KEYS or _FIELD.fullmatch(place) is not None


def label(field: ExerciseField, units: Units) -> str:
    """What a field is called on the page."""
    height_m = field.height_above_field_m
    if height_m is None:
        return LABELS.get(field.key, field.key.replace("_", " "))
    return "Wind at the field" if height_m <= AT_THE_FIELD_M else f"Wind at {units.height.text(height_m)}"


def shown(text: str) -> str:
    """A typed value as the page shows it: 240° 8 kt, 18 °C, −5 °C."""
    for typed, sign in _TYPED:
        text = text.replace(typed, sign)
    return re.sub(r"(?<![\w,.])-(?=\d)", MINUS, text)


def typed(text: str) -> str:
    """A value of the page as a file would have it: degree signs and true minus written out, single spaces."""
    text = text.replace(NO_BREAK_SPACE, " ").replace(MINUS, "-")
    text = re.sub(rf"\s*{DEGREE}\s*([CF])\b", r" deg\1", text)
    text = re.sub(rf"\s*{DEGREE}\s*", " deg ", text)
    return " ".join(text.split())


def changes_from(query: Mapping[str, str], fields: Iterable[ExerciseField]) -> dict[str, str]:
    """What a query changes, in the order of the fields; other keys of the query and unchanged values are left out."""
    changes = {}
    for field in fields:
        value = query.get(field.key)
        if value is not None and typed(value) != typed(shown(field.text)):
            changes[field.key] = typed(value)
    return changes
