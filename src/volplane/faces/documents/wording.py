"""Where SI becomes trade text: figures with their unit, as pages, figures, cards and sentences print them.

Thousands have a comma, minus is the true minus, the unit follows after a no-break space, directions have three digits.
A value that is None or NaN prints as an en dash. Text for input files and fields is made by `services.quantities`.
"""

from __future__ import annotations

import datetime
import math
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Literal

from volplane import units

NO_BREAK_SPACE = "\u00a0"
MINUS = "\u2212"
DEGREE = "\u00b0"
NOT_OBSERVABLE = "\u2013"
CAUTION_LINES = (
    "Training aid, not for navigation, and no substitute for the approved flight manual.",
    "Figures are estimates: the flight manual, local rules and a licensed instructor decide.",
)

Rounding = Literal["nearest", "up", "down"]
_VULGAR = {0.25: "\u00bc", 0.5: "\u00bd", 0.75: "\u00be"}
_MONTHS = (
    *("January", "February", "March", "April", "May", "June"),
    *("July", "August", "September", "October", "November", "December"),
)
_WORDS = ("no", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine")


def is_missing(value: float | None) -> bool:
    """Whether a value is not there: None or NaN."""
    return value is None or math.isnan(value)


def figure(value: float | None, decimals: int = 0) -> str:
    """A number with thousands comma and true minus; never a minus before nought, an en dash for what is missing."""
    if value is None or math.isnan(value):
        return NOT_OBSERVABLE
    if math.isinf(value):
        return "no limit" if value > 0 else NOT_OBSERVABLE
    text = f"{abs(value):,.{decimals}f}"
    is_nought = not any(digit in text for digit in "123456789")
    return text if value >= 0 or is_nought else MINUS + text


def signed(value: float | None, decimals: int = 0) -> str:
    """A number whose sign is always shown, nought excepted."""
    text = figure(value, decimals)
    is_positive = value is not None and value > 0 and any(digit in text for digit in "123456789")
    return "+" + text if is_positive else text


def with_unit(text: str, unit: str) -> str:
    """A figure and its unit with a no-break space between; the en dash stands alone."""
    return text if text == NOT_OBSERVABLE else f"{text}{NO_BREAK_SPACE}{unit}"


def rounded(value: float, step: float, mode: Rounding = "nearest") -> float:
    """A number rounded to a step; up and down forgive a millionth of a step, so that 2,150.0000001 stays 2,150."""
    steps = value / step
    if mode == "up":
        return math.ceil(steps - 1e-6) * step
    if mode == "down":
        return math.floor(steps + 1e-6) * step
    return math.floor(steps + 0.5) * step


def with_fraction(value: float | None) -> str:
    """A number to the nearest quarter in printer's fractions: 14.5 is 14½, 0.75 is ¾."""
    if value is None or math.isnan(value):
        return NOT_OBSERVABLE
    quarters = rounded(abs(value), 0.25)
    whole = math.floor(quarters)
    part = _VULGAR.get(quarters - whole, "")
    text = f"{whole:,}{part}" if whole or not part else part
    return MINUS + text if value < 0 and quarters else text


def direction(direction_rad: float | None) -> str:
    """A direction as three digits and a degree sign, north being 360°."""
    if direction_rad is None or math.isnan(direction_rad):
        return NOT_OBSERVABLE
    return three_digits(direction_rad) + DEGREE


def three_digits(direction_rad: float) -> str:
    """A direction as three digits, 001 to 360."""
    whole = math.floor(units.deg_from_rad(direction_rad) + 0.5) % 360
    return f"{whole or 360:03d}"


def angle(angle_rad: float | None, decimals: int = 0) -> str:
    """An angle such as a bank, as a figure and a degree sign."""
    text = figure(None if angle_rad is None else units.deg_from_rad(angle_rad), decimals)
    return text if text == NOT_OBSERVABLE else text + DEGREE


def variation(east_rad: float) -> str:
    """Magnetic variation: 12° W."""
    text = figure(abs(units.deg_from_rad(east_rad)))
    return f"{text}{DEGREE}{NO_BREAK_SPACE}{'E' if east_rad >= 0 else 'W'}"


def seconds(time_s: float | None) -> str:
    """A short time in whole seconds: 16 s."""
    return with_unit(figure(time_s), "s")


def duration(time_s: float | None) -> str:
    """A time as minutes and seconds from a minute on: 45 s, 2 min 05 s."""
    if time_s is None or math.isnan(time_s) or abs(time_s) < 59.5:
        return seconds(time_s)
    minutes, rest = divmod(math.floor(abs(time_s) + 0.5), 60)
    sign = MINUS if time_s < 0 else ""
    return f"{sign}{minutes}{NO_BREAK_SPACE}min{NO_BREAK_SPACE}{rest:02d}{NO_BREAK_SPACE}s"


def ratio(ratio: float | None) -> str:
    """A glide ratio: 9.6 to 1."""
    text = figure(ratio, 1)
    return text if text == NOT_OBSERVABLE else f"{text} to 1"


def percent(fraction: float | None, decimals: int = 0) -> str:
    """A fraction as a percentage: 10 %."""
    return with_unit(figure(None if fraction is None else fraction * 100.0, decimals), "%")


def utc_clock(time_unix_s: float, *, with_seconds: bool = False) -> str:
    """The time of day in UTC: 14:00, or 14:00:07; cut to the whole unit, as a clock shows it."""
    moment = _moment(time_unix_s)
    return f"{moment:%H:%M:%S}" if with_seconds else f"{moment:%H:%M}"


def utc_date(time_unix_s: float, *, with_year: bool = True) -> str:
    """The date in UTC: 14 May 2026."""
    moment = _moment(time_unix_s)
    day = f"{moment.day} {_MONTHS[moment.month - 1]}"
    return f"{day} {moment.year}" if with_year else day


def listed(words: Sequence[str], joiner: str = "and") -> str:
    """Words as a list in a sentence: a, b and c."""
    if len(words) < 2:
        return "".join(words)
    return f"{', '.join(words[:-1])} {joiner} {words[-1]}"


def counted(number: int, one: str, many: str | None = None) -> str:
    """How many of a thing, small numbers in words: two gates, 14 gates."""
    noun = one if number == 1 else many or one + "s"
    return f"{_WORDS[number] if 0 <= number < len(_WORDS) else f'{number:,}'} {noun}"


def sentence_case(text: str) -> str:
    """The text with its first letter large and the rest as it is."""
    return text[:1].upper() + text[1:]


def _moment(time_unix_s: float) -> datetime.datetime:
    return datetime.datetime.fromtimestamp(time_unix_s, datetime.UTC)


@dataclass(frozen=True, slots=True)
class Scale:
    """One quantity in one unit: how many SI a unit is, how it is written, and with how many decimals.

    `unit_si` is the size of the unit in SI; figures and axes divide by it.
    """

    unit_si: float
    unit: str
    decimals: int = 0

    def value(self, si_value: float) -> float:
        """The number in this unit."""
        return si_value / self.unit_si

    def figure(self, si_value: float | None) -> str:
        """The number in this unit as printed, without the unit."""
        return figure(None if si_value is None else si_value / self.unit_si, self.decimals)

    def text(self, si_value: float | None) -> str:
        """The number with its unit."""
        return with_unit(self.figure(si_value), self.unit)

    def signed(self, si_value: float | None) -> str:
        """The number with its sign and unit: +50 ft, −140 ft."""
        return with_unit(signed(None if si_value is None else si_value / self.unit_si, self.decimals), self.unit)


@dataclass(frozen=True, slots=True)
class Units:
    """The units of one reader: how every quantity is written on pages, figures, cards and in sentences.

    A `Scale` for each quantity gives number, text and the divisor for axes; the methods below are for what is more than
    a number and a unit. Directions, angles and times are the same for everybody: they are functions of this module.
    """

    system: Literal["imperial", "metric"]
    height: Scale
    length: Scale
    distance: Scale
    speed: Scale
    sink: Scale
    weight: Scale
    altimeter_setting: Scale
    manifold_pressure: Scale
    altimeter_step: float

    def altimeter(self, altitude_msl_m: float | None, mode: Rounding = "nearest") -> str:
        """An altimeter reading for the card without its unit, to 50 ft (or 10 m): a lowest goes up, a highest down."""
        if altitude_msl_m is None or not math.isfinite(altitude_msl_m):
            return figure(altitude_msl_m)
        return figure(rounded(self.height.value(altitude_msl_m), self.altimeter_step, mode))

    def altimeter_text(self, altitude_msl_m: float | None, mode: Rounding = "nearest") -> str:
        """An altimeter reading with its unit."""
        return with_unit(self.altimeter(altitude_msl_m, mode), self.height.unit)

    def rounded_height(self, height_m: float, step: float = 10.0, mode: Rounding = "nearest") -> str:
        """A height to a round number of the reader's units, with its unit: sentences say 640 ft, not 643."""
        return with_unit(figure(rounded(self.height.value(height_m), step, mode)), self.height.unit)

    def manifold_pressure_fraction(self, pressure_pa: float | None) -> str:
        """Manifold pressure as set on the gauge: 14½ in; whole hectopascals in metric units."""
        if self.system == "metric":
            return self.manifold_pressure.text(pressure_pa)
        value = None if pressure_pa is None else self.manifold_pressure.value(pressure_pa)
        return with_unit(with_fraction(value), self.manifold_pressure.unit)

    def distance_fraction(self, distance_m: float | None) -> str:
        """A distance beside the runway to a quarter of a mile, as the card says it: ¾ NM; tenths of a kilometre."""
        if self.system == "metric":
            return self.distance.text(distance_m)
        return with_unit(with_fraction(None if distance_m is None else self.distance.value(distance_m)), "NM")

    def temperature(self, temperature_k: float | None) -> str:
        """Air temperature: 18 °C."""
        return with_unit(figure(None if temperature_k is None else units.degc_from_k(temperature_k)), f"{DEGREE}C")

    def engine_speed(self, engine_speed_radps: float | None) -> str:
        """Engine speed: 2,300 rpm."""
        value = None if engine_speed_radps is None else engine_speed_radps / units.RPM_RADPS
        return with_unit(figure(value), "rpm")

    def wind(self, from_rad: float, speed_mps: float) -> str:
        """A wind: 240° 8 kt, or calm."""
        speed = self.speed.text(speed_mps)
        return "calm" if speed.startswith("0") else f"{direction(from_rad)} {speed}"


IMPERIAL = Units(
    system="imperial",
    height=Scale(units.FOOT_M, "ft"),
    length=Scale(units.FOOT_M, "ft"),
    distance=Scale(units.NAUTICAL_MILE_M, "NM", 2),
    speed=Scale(units.KNOT_MPS, "kt"),
    sink=Scale(units.FOOT_PER_MINUTE_MPS, "fpm"),
    weight=Scale(units.POUND_KG, "lb"),
    altimeter_setting=Scale(units.INCH_OF_MERCURY_PA, "in", 2),
    manifold_pressure=Scale(units.INCH_OF_MERCURY_PA, "in", 1),
    altimeter_step=50.0,
)
METRIC = Units(
    system="metric",
    height=Scale(1.0, "m"),
    length=Scale(1.0, "m"),
    distance=Scale(1000.0, "km", 1),
    speed=Scale(1000.0 / 3600.0, "km/h"),
    sink=Scale(1.0, "m/s", 1),
    weight=Scale(1.0, "kg"),
    altimeter_setting=Scale(units.HECTOPASCAL_PA, "hPa"),
    manifold_pressure=Scale(units.HECTOPASCAL_PA, "hPa"),
    altimeter_step=10.0,
)


def units_named(system: str) -> Units:
    """The units setting of that name, "imperial" or "metric"; KeyError for any other."""
    return {"imperial": IMPERIAL, "metric": METRIC}[system]
