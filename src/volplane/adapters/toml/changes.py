"""An exercise file with some values typed over, as the page of the exercise does it; the file itself stays.

Fields have short names: the keys of the exercise file and of its weather, and `wind_0`, `wind_1` and so on for the wind
levels from the lowest up, each typed as "240 deg 8 kt".
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from typing import Any

import tomlkit

from volplane.adapters.toml.exercise import exercise_from_data
from volplane.adapters.toml.exercise_keys import EXERCISE
from volplane.adapters.toml.keys import Form, section
from volplane.adapters.toml.source import NamedText, TextResolver, parse
from volplane.domain.atmosphere.wind import ANEMOMETER_HEIGHT_M
from volplane.domain.exercise.exercise import Exercise, HalfTurn, ShapeName
from volplane.domain.geometry.airfield import Side
from volplane.errors import FilesRefused, Problem
from volplane.services.ports import MagneticVariation
from volplane.services.quantities import (
    ANGLE,
    DISTANCE,
    HEIGHT,
    LENGTH,
    PRESSURE,
    SPEED,
    TEMPERATURE,
    WEIGHT,
    QuantityNotUnderstood,
    read_quantity,
    read_wind,
    write_quantity,
    write_wind,
)

_WIND_FIELD = re.compile(r"wind_(\d{1,2})")
_WEATHER_FIELDS = ("qnh", "temperature", "dew_point", "gust", "cloud_base", "visibility")
_NOT_FIELDS = (Form.TABLE, Form.TABLES)
_SHAPES_WITHOUT_A_PLACE = tuple(shape for shape in ShapeName if shape is not ShapeName.EN_ROUTE)


@dataclass(frozen=True, slots=True)
class TypedField:
    """One value of an exercise as it would be typed; `height_above_field_m` for a wind level only.

    `is_seldom` marks what is changed less often, or is rather dragged on the whiteboard than typed. `choices` are the
    only words it may hold, where there are some.
    """

    key: str
    text: str
    height_above_field_m: float | None = None
    is_seldom: bool = False
    choices: tuple[str, ...] = ()


def typed_fields(exercise: Exercise) -> tuple[TypedField, ...]:
    """The values of an exercise that can be changed in place, in the order in which they are shown: wind first."""
    wind = exercise.weather.wind
    fields: list[TypedField] = []
    for number, height_m in enumerate(map(float, wind.height_above_field_m)):
        speed_mps, from_rad = wind.speed_and_direction(height_m)
        fields.append(TypedField(f"wind_{number}", write_wind(from_rad, speed_mps), height_m))
    for key, value, kind in (
        ("weight", exercise.weight_kg, WEIGHT),
        ("high_key_turn_bank", exercise.high_key_turn_bank_rad, ANGLE),
        ("base_turn_bank", exercise.base_turn_bank_rad, ANGLE),
        ("touchdown_point", exercise.touchdown_beyond_threshold_m, LENGTH),
        ("reserve", exercise.reserve_m, HEIGHT),
        ("qnh", exercise.weather.atmosphere.qnh_pa, PRESSURE),
        ("temperature", exercise.weather.atmosphere.field_temperature_k, TEMPERATURE),
        ("break_off_height", exercise.break_off_height_m, HEIGHT),
    ):
        fields.append(TypedField(key, write_quantity(value, kind, with_comma=True)))
    return (*fields, *_seldom_typed(exercise))


def _seldom_typed(exercise: Exercise) -> Iterator[TypedField]:
    for key, word, choices in _words_of(exercise):
        yield TypedField(key, word, is_seldom=True, choices=choices)
    for key, value, kind in (
        ("entry_height", exercise.entry_height_m, HEIGHT),
        ("low_key_height", exercise.low_key_height_m, HEIGHT),
        ("low_key_offset", exercise.low_key_offset_m, DISTANCE),
        ("high_key_offset", exercise.high_key_offset_m, DISTANCE),
        ("maximum_bank", exercise.maximum_bank_rad, ANGLE),
        ("maximum_bank_below_low_key", exercise.maximum_bank_below_low_key_rad, ANGLE),
        ("minimum_final", exercise.minimum_final_m, LENGTH),
        ("gust", exercise.weather.gust_mps, SPEED),
        ("cloud_base", exercise.weather.cloud_base_above_field_m, HEIGHT),
    ):
        text = "" if value is None else write_quantity(value, kind, with_comma=True)
        yield TypedField(key, text, is_seldom=True)


def _words_of(exercise: Exercise) -> Iterator[tuple[str, str, tuple[str, ...]]]:
    """What is chosen among words: key, the word chosen, all of them."""
    yield "runway", exercise.runway.name, tuple(runway.name for runway in exercise.airfield.runways)
    yield "pattern", str(exercise.pattern), tuple(map(str, Side))
    # where an en-route exercise begins is a place on the map, which only the file can say
    shapes = [shape for shape in ShapeName if shape in (exercise.shape, *_SHAPES_WITHOUT_A_PLACE)]
    yield "shape", str(exercise.shape), tuple(map(str, shapes))
    yield "half_turn", str(exercise.half_turn), tuple(map(str, HalfTurn))


def exercise_with_changes(
    source: NamedText,
    changes: Mapping[str, str],
    resolve: TextResolver,
    variation: MagneticVariation,
    now_unix_s: float,
) -> Exercise:
    """The exercise of a file with the changes.

    :raises FilesRefused: every problem; those of a field have the field's name as their place.
    """
    data = parse(source)
    problems = [problem for key, typed in changes.items() if (problem := _apply(data, source, key, typed)) is not None]
    if problems:
        raise FilesRefused(tuple(problems))
    exercise, found = exercise_from_data(data, source, resolve, variation, now_unix_s)
    if exercise is None:
        first = 1 if _has_wind_beside(_table(data.get("weather"))) else 0
        raise FilesRefused(tuple(replace(each, place=_field_of(each.place, changes, first)) for each in found))
    return exercise


def text_with_changes(source: NamedText, changes: Mapping[str, str]) -> str:
    """The text of an exercise file with values typed over, everything else as it stands.

    :raises FilesRefused: a value cannot be placed; whether it may stand there the reader says.
    """
    document = tomlkit.parse(source.text)
    problems = [
        problem for key, typed in changes.items() if (problem := _apply(document, source, key, typed)) is not None
    ]
    if problems:
        raise FilesRefused(tuple(problems))
    return tomlkit.dumps(document)


def _apply(data: dict[str, Any], source: NamedText, key: str, typed: str) -> Problem | None:
    """Type one value over the file's; the problem if that cannot be done."""
    if match := _WIND_FIELD.fullmatch(key):
        return _apply_wind(data, source, key, int(match[1]), typed)
    own = [each.name for each in section(EXERCISE, "").keys if each.form not in _NOT_FIELDS]
    if key in _WEATHER_FIELDS:
        if not isinstance(data.get("weather"), dict):
            data["weather"] = {}
        _type_over(data["weather"], key, typed)
    elif key in own:
        _type_over(data, key, typed)
    else:
        expected = f"one of {', '.join((*own, *_WEATHER_FIELDS, 'wind_0'))}"
        return Problem(source.name, key, "an unknown field", expected, "Leave it out.", "field-unknown")
    return None


def _type_over(table: dict[str, Any], key: str, typed: str) -> None:
    if typed:
        table[key] = typed
    else:
        table.pop(key, None)


def _apply_wind(data: dict[str, Any], source: NamedText, key: str, number: int, typed: str) -> Problem | None:
    weather = _table(data.get("weather"))
    given = weather.get("wind")
    levels = [dict(level) for level in given if isinstance(level, dict)] if isinstance(given, list) else []
    is_beside = _has_wind_beside(weather)
    if is_beside or not levels:
        levels.insert(0, {"height": "0 ft"})
    if number >= len(levels):
        expected = f"wind_0 to wind_{len(levels) - 1}" if len(levels) > 1 else "wind_0, the only level"
        return Problem(source.name, key, "an unknown field", expected, "Add the level to the file.", "field-unknown")
    try:
        from_rad, speed_mps = read_wind(typed)
    except QuantityNotUnderstood as refusal:
        return Problem(source.name, key, refusal.found, refusal.expected, refusal.remedy, f"quantity-{refusal.cause}")
    if number == 0:
        weather.pop("tower_wind", None)
    elif is_beside:
        levels.pop(0)
        number -= 1
    levels[number] |= {"from": write_quantity(from_rad, ANGLE), "speed": write_quantity(speed_mps, SPEED)}
    data["weather"] = {**weather, "wind": levels}
    return None


def _has_wind_beside(weather: Mapping[str, Any]) -> bool:
    """Whether the wind at the field, level 0 of the fields, stands beside the list: the tower's or a METAR's."""
    if "tower_wind" in weather:
        return True
    rows = weather.get("wind")
    first = rows[0] if isinstance(rows, list) and rows else {}
    return "metar" in weather and not (isinstance(first, dict) and _is_at_field(first))


def _is_at_field(level: Mapping[str, Any]) -> bool:
    """Whether a wind level is that of the anemometer."""
    try:
        return read_quantity(level.get("height"), HEIGHT) <= ANEMOMETER_HEIGHT_M
    except QuantityNotUnderstood:
        return False


def _table(value: object) -> dict[str, Any]:
    return dict(value) if isinstance(value, dict) else {}


def _field_of(place: str, changes: Mapping[str, str], first: int) -> str:
    """The field a problem belongs to, or its place in the file when no field is to blame."""
    key = re.sub(r" \(line \d+\)$", "", place)
    if level := re.match(r"weather\.wind\[(\d+)\]", key):
        return f"wind_{int(level[1]) - 1 + first}"
    if key == "weather.wind":
        typed = sorted((each for each in changes if _WIND_FIELD.fullmatch(each)), key=lambda each: int(each[5:]))
        return typed[-1] if typed else "wind_0"
    name = key.removeprefix("weather.")
    return name if name in changes or name in _WEATHER_FIELDS else place
