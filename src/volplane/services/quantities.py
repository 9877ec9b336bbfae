"""Quantities as people type them, "2,500 ft" or "14.5 inHg", read into SI and written back.

Files, command options and page fields share this small language, so it stands below all of them. A quantity is a number
and a unit; a comma only separates thousands. A bare number is refused, because nobody can know what was meant.
"""

from __future__ import annotations

import math
import re
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from volplane import units
from volplane.errors import Refusal

_LONGEST_TEXT = 60
_NUMBER = re.compile(r"[+-]?(?:[0-9]+|[1-9][0-9]{0,2}(?:,[0-9]{3})+)?(?:\.[0-9]+)?")
_SPLIT = re.compile(r"([+-]?[0-9.,]*)\s*(.*)", re.DOTALL)
_LOOKALIKES = str.maketrans({"\u2212": "-", "\u00a0": " ", "\u202f": " ", "\u2009": " "})


@dataclass(frozen=True, slots=True)
class Unit:
    """A unit: its usual spelling, its size in SI, the SI value of its nought, and other spellings (in lower case).

    `decimals` is how many of them keep a value to well under what anybody can measure.
    """

    name: str
    size_si: float
    nought_si: float = 0.0
    spellings: tuple[str, ...] = ()
    decimals: int = 1


@dataclass(frozen=True, slots=True)
class Kind:
    """A kind of quantity with the units it may be typed in, the usual one first.

    `offers_metric` tells whether a message proposes the second unit too. `si_unit` is the SI unit of what is read, for
    programs; `example` is a sensible text of this kind.
    """

    name: str
    si_unit: str
    example: str
    units: tuple[Unit, ...]
    offers_metric: bool = True

    def unit(self, spelling: str) -> Unit | None:
        """The unit written like this, in small or large letters; None when this kind has none."""
        wanted = spelling.lower()
        return next((each for each in self.units if wanted == each.name.lower() or wanted in each.spellings), None)

    @property
    def accepted(self) -> str:
        """The units accepted, for a sentence: "kt, km/h, m/s or mph"."""
        names = [each.name for each in self.units]
        return names[0] if len(names) == 1 else f"{', '.join(names[:-1])} or {names[-1]}"


_FOOT = Unit("ft", units.FOOT_M, spellings=("feet", "foot", "'"))
_METRE = Unit("m", 1.0, spellings=("metre", "metres", "meter", "meters"), decimals=2)
_MILE = Unit("NM", units.NAUTICAL_MILE_M, spellings=("nmi",), decimals=3)
_KILOMETRE = Unit("km", 1000.0, spellings=("kilometres", "kilometers"), decimals=3)
_INCH = Unit("in", units.FOOT_M / 12.0, spellings=("inch", "inches", '"'))
_STATUTE_MILE = Unit("SM", units.FOOT_M * 5280.0, spellings=("mi",), decimals=3)

HEIGHT = Kind("height", "m", "2500 ft", (_FOOT, _METRE, _KILOMETRE))
LENGTH = Kind("length", "m", "1200 ft", (_FOOT, _METRE, _MILE, _KILOMETRE))
DISTANCE = Kind("distance", "m", "0.8 NM", (_MILE, _KILOMETRE, _FOOT, _METRE, _STATUTE_MILE))
SIZE = Kind("size", "m", "80 in", (_INCH, Unit("cm", 0.01), _METRE, _FOOT))
SPEED = Kind(
    "speed",
    "m/s",
    "105 kt",
    (
        Unit("kt", units.KNOT_MPS, spellings=("kts", "kn", "knot", "knots")),
        Unit("km/h", 1000.0 / 3600.0, spellings=("kmh", "kph")),
        Unit("m/s", 1.0, spellings=("mps",), decimals=2),
        Unit("mph", units.FOOT_M * 5280.0 / 3600.0),
    ),
)
VERTICAL_SPEED = Kind(
    "vertical speed",
    "m/s",
    "850 fpm",
    (
        Unit("fpm", units.FOOT_PER_MINUTE_MPS, spellings=("ft/min",), decimals=0),
        Unit("m/s", 1.0, spellings=("mps",), decimals=3),
        Unit("kt", units.KNOT_MPS, spellings=("kts", "kn", "knot", "knots"), decimals=2),
    ),
)
WEIGHT = Kind(
    "weight",
    "kg",
    "3650 lb",
    (
        Unit("lb", units.POUND_KG, spellings=("lbs", "pound", "pounds"), decimals=0),
        Unit("kg", 1.0, spellings=("kilogram", "kilograms"), decimals=0),
    ),
)
PRESSURE = Kind(
    "pressure",
    "Pa",
    "30.05 inHg",
    (
        Unit("inHg", units.INCH_OF_MERCURY_PA, spellings=("in hg", "in", "inch hg", "inches"), decimals=2),
        Unit("hPa", units.HECTOPASCAL_PA, spellings=("mbar", "mb"), decimals=1),
        Unit("kPa", 1000.0, decimals=2),
        Unit("Pa", 1.0, decimals=0),
    ),
)
TEMPERATURE = Kind(
    "temperature",
    "K",
    "18 degC",
    (
        Unit("degC", 1.0, units.CELSIUS_ZERO_K, spellings=("c", "\u00b0c", "celsius", "deg c")),
        Unit(
            "degF",
            5.0 / 9.0,
            units.CELSIUS_ZERO_K - 32.0 * 5.0 / 9.0,
            spellings=("f", "\u00b0f", "fahrenheit", "deg f"),
        ),
        Unit("K", 1.0, spellings=("kelvin",), decimals=2),
    ),
)
ANGLE = Kind(
    "angle",
    "rad",
    "20 deg",
    (
        Unit("deg", units.DEGREE_RAD, spellings=("\u00b0", "degree", "degrees"), decimals=2),
        Unit("rad", 1.0, spellings=("radian", "radians"), decimals=4),
    ),
    offers_metric=False,
)
VARIATION = Kind(
    "magnetic variation",
    "rad, east positive",
    "12 deg W",
    (
        Unit("deg W", -units.DEGREE_RAD, spellings=("w", "\u00b0 w", "\u00b0w", "degw"), decimals=2),
        Unit("deg E", units.DEGREE_RAD, spellings=("e", "\u00b0 e", "\u00b0e", "dege"), decimals=2),
    ),
)
PERCENTAGE = Kind("percentage", "1", "10 %", (Unit("%", 0.01, spellings=("percent",), decimals=2),))
TIME_SPAN = Kind(
    "time",
    "s",
    "4 s",
    (
        Unit("s", 1.0, spellings=("sec", "second", "seconds")),
        Unit("min", 60.0, spellings=("minute", "minutes"), decimals=3),
    ),
    offers_metric=False,
)
POWER = Kind(
    "power",
    "W",
    "300 hp",
    (Unit("hp", units.HORSEPOWER_W, spellings=("bhp",)), Unit("kW", 1000.0), Unit("W", 1.0, decimals=0)),
)
ENGINE_SPEED = Kind(
    "engine speed", "rad/s", "2300 rpm", (Unit("rpm", units.RPM_RADPS, spellings=("1/min",), decimals=0),)
)
VOLUME = Kind(
    "volume",
    "m3",
    "540 in3",
    (
        Unit("in3", units.CUBIC_INCH_M3, spellings=("cu in", "cubic inches", "in\u00b3")),
        Unit("L", 0.001, spellings=("l", "litre", "litres", "liter", "liters"), decimals=3),
        Unit("cm3", 1e-6, spellings=("cc", "cm\u00b3"), decimals=0),
    ),
)

KINDS: tuple[Kind, ...] = (
    HEIGHT,
    LENGTH,
    DISTANCE,
    SIZE,
    SPEED,
    VERTICAL_SPEED,
    WEIGHT,
    PRESSURE,
    TEMPERATURE,
    ANGLE,
    VARIATION,
    PERCENTAGE,
    TIME_SPAN,
    POWER,
    ENGINE_SPEED,
    VOLUME,
)
KIND_BY_NAME: Mapping[str, Kind] = MappingProxyType({kind.name: kind for kind in KINDS})


class QuantityNotUnderstood(Refusal):
    """A typed quantity that cannot be read: what stands there, what was expected, and what to write instead."""

    code = "quantity-not-understood"

    def __init__(self, found: str, expected: str, remedy: str, cause: str) -> None:
        super().__init__(f"found {found}, expected {expected}. {remedy}")
        self.found = found
        self.expected = expected
        self.remedy = remedy
        self.cause = cause


def read_quantity(typed: object, kind: Kind) -> float:
    """The SI value of a typed quantity.

    :raises QuantityNotUnderstood: no text, no unit, the unit of another kind, a number that is none or too large.
    """
    if isinstance(typed, bool) or not isinstance(typed, (str, int, float)):
        raise QuantityNotUnderstood(described(typed), _expected(kind), f'Write for example "{kind.example}".', "type")
    if not isinstance(typed, str):
        raise _without_unit(described(typed), _as_float(typed), kind)
    text = " ".join(typed.translate(_LOOKALIKES).split())
    number_text, unit_text = _split(text, kind)
    number = _number(number_text, typed, kind)
    if not unit_text:
        raise _without_unit(quoted(typed), number, kind)
    unit = kind.unit(unit_text)
    if unit is None:
        raise _wrong_unit(typed, number_text, unit_text, kind)
    value = unit.nought_si + number * unit.size_si
    if not math.isfinite(value):
        raise QuantityNotUnderstood(quoted(typed), "a finite number", f'Write for example "{kind.example}".', "number")
    return value


def read_wind(typed: object) -> tuple[float, float]:
    """Direction from (rad) and speed (m/s) of a typed wind such as "240 deg 8 kt"; "calm" is no wind.

    :raises QuantityNotUnderstood: not two quantities, or one of them not understood.
    """
    expected = 'a wind such as "240 deg 8 kt"'
    remedy = 'Write the direction it comes from, then its speed: "240 deg 8 kt".'
    if not isinstance(typed, str):
        raise QuantityNotUnderstood(described(typed), expected, remedy, "type")
    text = " ".join(typed.translate(_LOOKALIKES).split())
    if text.lower() == "calm":
        return 0.0, 0.0
    parts = re.fullmatch(r"([0-9.,]+\s?(?:deg\w*|\u00b0|rad\w*)),?\s?([0-9.,]+\s?[A-Za-z/]+)", text)
    if parts is None:
        raise QuantityNotUnderstood(quoted(typed), expected, remedy, "wind")
    return read_quantity(parts[1], ANGLE), read_quantity(parts[2], SPEED)


def write_wind(from_true_rad: float, speed_mps: float) -> str:
    """A wind as a person would type it: "240 deg 8 kt", or "calm"."""
    speed = write_quantity(speed_mps, SPEED)
    direction_rad = from_true_rad % (2.0 * math.pi)
    return "calm" if speed == "0 kt" else f"{write_quantity(direction_rad, ANGLE)} {speed}"


def write_quantity(value_si: float, kind: Kind, unit_name: str | None = None, *, with_comma: bool = False) -> str:
    """A quantity as a person would type it, "3650 lb" or with comma "3,650 lb", as precise as anybody can measure.

    :raises ValueError: not a finite value, or a unit this kind does not have.
    """
    unit = kind.units[0] if unit_name is None else kind.unit(unit_name)
    if unit is None or not math.isfinite(value_si):
        raise ValueError(f"{value_si} cannot be written as a {kind.name} in {unit_name or kind.units[0].name}")
    if kind is VARIATION and unit_name is None:
        unit = kind.units[0] if value_si < 0.0 else kind.units[1]
    number = f"{(value_si - unit.nought_si) / unit.size_si:{',' if with_comma else ''}.{unit.decimals}f}"
    if "." in number:
        number = number.rstrip("0").rstrip(".")
    return f"{'0' if number in ('-0', '') else number} {unit.name}"


def quoted(typed: object) -> str:
    """What somebody typed, for a sentence: in quotes, on one line, cut where it is very long."""
    text = "".join(letter if letter.isprintable() else "?" for letter in " ".join(str(typed).split()))
    return f'"{text if len(text) <= _LONGEST_TEXT else text[:_LONGEST_TEXT] + "..."}"'


def described(value: object) -> str:
    """What stands in a file in words: text in quotes, a number as it is, else its type in plain words."""
    if isinstance(value, bool):
        return "true" if value else "false"
    if isinstance(value, str):
        return quoted(value) if value.strip() else "an empty text"
    if isinstance(value, (int, float)):
        return str(value)[:_LONGEST_TEXT]
    if isinstance(value, dict):
        return "a table"
    if isinstance(value, list):
        return "a list"
    return str(value)[:_LONGEST_TEXT]


def _with_article(name: str) -> str:
    return f"{'an' if name[0] in 'aeiou' else 'a'} {name}"


def _expected(kind: Kind) -> str:
    return f"{_with_article(kind.name)} in {kind.accepted}"


def _as_float(number: int | float) -> float:
    try:
        return float(number)
    except OverflowError:
        return math.inf


def _split(text: str, kind: Kind) -> tuple[str, str]:
    match = _SPLIT.fullmatch(text)
    if not text or match is None or not any(letter.isdigit() for letter in match[1]):
        raise QuantityNotUnderstood(
            described(text), _expected(kind), f'Write a number and its unit, such as "{kind.example}".', "number"
        )
    return match[1], match[2]


def _number(number_text: str, typed: str, kind: Kind) -> float:
    if not _NUMBER.fullmatch(number_text):
        remedy = f'A comma only separates thousands and a point marks decimals; write for example "{kind.example}".'
        raise QuantityNotUnderstood(quoted(typed), _expected(kind), remedy, "number")
    number = float(number_text.replace(",", ""))
    if not math.isfinite(number):
        raise QuantityNotUnderstood(quoted(typed), "a finite number", f'Write for example "{kind.example}".', "number")
    return number


def _without_unit(found: str, number: float, kind: Kind) -> QuantityNotUnderstood:
    first = kind.units[0]
    choices = [f'"{_plain(number)} {first.name}"' if _is_plain(number) else f'"{kind.example}"']
    if kind is VARIATION and _is_plain(number):
        choices.append(f'"{_plain(number)} {kind.units[1].name}"')
    elif kind.offers_metric and len(kind.units) > 1 and _is_plain(number):
        choices.append(f'"{write_quantity(first.nought_si + number * first.size_si, kind, kind.units[1].name)}"')
    return QuantityNotUnderstood(f"{found} without a unit", _expected(kind), f"Write {' or '.join(choices)}.", "unit")


def _wrong_unit(typed: str, number_text: str, unit_text: str, kind: Kind) -> QuantityNotUnderstood:
    other = next((each for each in KINDS if each is not kind and each.unit(unit_text) is not None), None)
    what = f", which is {_with_article(other.name)}" if other is not None else ""
    remedy = f'Write for example "{number_text} {kind.units[0].name}" if that is what was meant.'
    return QuantityNotUnderstood(f"{quoted(typed)}{what}", _expected(kind), remedy, "unit")


def _is_plain(number: float) -> bool:
    return math.isfinite(number) and abs(number) < 1e9


def _plain(number: float) -> str:
    return f"{number:.6f}".rstrip("0").rstrip(".")
