"""Weather reports as airfields issue them, "METAR ... 1353Z 35015G27KT 10SM OVC028 18/10 A3005", read into SI.

Groups by WMO-No. 306, Manual on Codes, FM 15 METAR, and the United States forms of FAA Order JO 7900.5 (both from
memory). A METAR's wind is true and a mean of two or ten minutes at 10 m, cloud is above the field. What stands after
the trend or the remarks is a forecast or detail and is not read, except the temperature in tenths. A group nobody
knows is left out and kept by name; a figure that cannot be is refused, because the rest can then not be trusted either.
"""

from __future__ import annotations

import datetime
import math
import re
from dataclasses import dataclass

from volplane.services.quantities import QuantityNotUnderstood, quoted
from volplane.units import (
    CELSIUS_ZERO_K,
    FOOT_M,
    HECTOPASCAL_PA,
    INCH_OF_MERCURY_PA,
    KILOMETRE_PER_HOUR_MPS,
    KNOT_MPS,
    STATUTE_MILE_M,
)

EXAMPLE = "XXXX 141353Z 35015G27KT 10SM OVC028 18/10 A3005"
# "9999" and CAVOK mean 10 km or more; CAVOK also no cloud below 5,000 ft (WMO-No. 306)
_TEN_KILOMETRES_M, _CAVOK_CLOUD_M = 10_000.0, 5000.0 * FOOT_M
_SPEED_UNITS_MPS = {"KT": KNOT_MPS, "MPS": 1.0, "KMH": KILOMETRE_PER_HOUR_MPS}
_HIGHEST_WIND_MPS = 200.0 * KNOT_MPS
_LOWEST_QNH_PA, _HIGHEST_QNH_PA = 850.0 * HECTOPASCAL_PA, 1090.0 * HECTOPASCAL_PA
_COLDEST_DEGC, _HOTTEST_DEGC = -60, 55
_HEAD = re.compile(r"(?:(?:METAR|SPECI)\s+)?(?:COR\s+)?([A-Z][A-Z0-9]{3})\s+(\d{2})(\d{2})(\d{2})Z\s+(.*)")
_WIND = re.compile(r"(\d{3}|VRB|///)(?:P?(\d{2,3})|//)(?:GP?(\d{2,3}))?(KT|MPS|KMH)")
_RANGE = re.compile(r"(\d{3})V(\d{3})")
_METRES = re.compile(r"(\d{4})(?:NDV)?")
_MILES = re.compile(r"[PM]?(?:(\d{1,2})|(?:(\d)\s)?(\d{1,2})/(\d{1,2}))SM")
_CLOUD = re.compile(r"(FEW|SCT|BKN|OVC|VV)(\d{3}|///)(?:CB|TCU|///)?")
_TEMPERATURE = re.compile(r"(M?)(\d{2})/(?:(M?)(\d{2})|//|XX)?")
_TENTHS = re.compile(r"\bT([01])(\d{3})([01])(\d{3})\b")
_PRESSURE = re.compile(r"([QA])(\d{4})")
_TREND = re.compile(r"\s(?:NOSIG|TEMPO|BECMG|RMK|INTER)\b")
# said about other things than a plan asks for: how it was made, runways, weather, colours, what was not observed
_OTHER = re.compile(
    r"AUTO|COR|CC[A-Z]|SKC|CLR|NSC|NCD|\d{4}(?:N|NE|E|SE|S|SW|W|NW)|R\d{2}[LCR]?/\S+|WS|ALL|RWY|R\d{2}[LCR]?|/+|\$|W\S+/\S+"
    r"|(?:RE|VC|[-+])?(?:(?:MI|BC|PR|DR|BL|SH|TS|FZ)?(?:DZ|RA|SN|SG|IC|PL|GR|GS|UP|BR|FG|FU|VA|DU|SA|HZ|PO|SQ|FC|SS|DS|PY)*"
    r"|TS|SH)"
)


@dataclass(frozen=True, slots=True)
class Metar:
    """A weather report; what it does not say is None.

    `wind_from_true_rad` is None too where the wind is variable. `wind_range_true_rad` are the two directions between
    which it swings, clockwise. `ceiling_above_field_m` is the lowest layer that covers more than half the sky (or the
    vertical visibility), `scattered_base_above_field_m` the lowest that covers less. `not_read` are unknown groups.
    """

    station: str
    day: int
    minute_of_day: int
    wind_group: str
    wind_from_true_rad: float | None = None
    wind_speed_mps: float | None = None
    gust_mps: float | None = None
    wind_range_true_rad: tuple[float, float] | None = None
    visibility_m: float | None = None
    ceiling_above_field_m: float | None = None
    scattered_base_above_field_m: float | None = None
    temperature_k: float | None = None
    dew_point_k: float | None = None
    qnh_pa: float | None = None
    not_read: tuple[str, ...] = ()

    @property
    def is_variable(self) -> bool:
        """Whether it blows from no direction that could be planned for."""
        return bool(self.wind_speed_mps) and self.wind_from_true_rad is None

    def observed_unix_s(self, near_unix_s: float) -> float:
        """When it was observed: a report gives the day of the month only, so the nearest such day is meant."""
        near = datetime.datetime.fromtimestamp(near_unix_s, datetime.UTC)
        found: list[float] = []
        for months in (-1, 0, 1):
            year, month = divmod(12 * near.year + near.month - 1 + months, 12)
            try:
                day = datetime.datetime(year, month + 1, self.day, tzinfo=datetime.UTC)
            except ValueError:
                continue
            found.append(day.timestamp() + 60.0 * self.minute_of_day)
        return min(found, key=lambda time_s: abs(time_s - near_unix_s))


def read_metar(typed: object) -> Metar:
    """A weather report from its text.

    :raises QuantityNotUnderstood: no report, a group that cannot be, or no wind group.
    """
    text = " ".join(typed.upper().rstrip(" =").split()) if isinstance(typed, str) else ""
    head = _HEAD.fullmatch(text)
    if head is None:
        remedy = f'Paste it whole, such as "{EXAMPLE}".'
        raise QuantityNotUnderstood(quoted(typed), "a METAR: place, day and time, wind and the rest", remedy, "metar")
    station, day, hour, minute = head[1], int(head[2]), int(head[3]), int(head[4])
    if not (1 <= day <= 31 and hour <= 23 and minute <= 59):
        raise _impossible(f"{head[2]}{head[3]}{head[4]}Z", "day, hour and minute")
    body, remarks = _split(head[5])
    found = _Groups()
    for group in _groups(body):
        found.read(group)
    found.refine(remarks)
    return found.metar(station, day, 60 * hour + minute)


def _split(text: str) -> tuple[str, str]:
    trend = _TREND.search(f" {text}")
    return (text, "") if trend is None else (text[: max(trend.start() - 1, 0)], text[trend.start() :])


def _groups(body: str) -> list[str]:
    """The groups of a report; a visibility such as "1 1/2SM" is one of them."""
    return re.findall(r"\d \d/\d{1,2}SM|\S+", body)


class _Groups:
    """The groups of one report as they are read."""

    def __init__(self) -> None:
        self.values: dict[str, float] = {}
        self.wind_group = ""
        self.swing: tuple[float, float] | None = None
        self.not_read: list[str] = []

    def read(self, group: str) -> None:
        """Take in one group."""
        for form, take in (
            (_WIND, self._wind),
            (_RANGE, self._range),
            (_MILES, self._miles),
            (_METRES, self._metres),
            (_CLOUD, self._cloud),
            (_TEMPERATURE, self._temperature),
            (_PRESSURE, self._pressure),
        ):
            match = form.fullmatch(group)
            if match is not None:
                take(match)
                return
        if group == "CAVOK":
            self.values |= {"visibility_m": _TEN_KILOMETRES_M, "ceiling_above_field_m": _CAVOK_CLOUD_M}
        elif not _OTHER.fullmatch(group):
            self.not_read.append(group)

    def refine(self, remarks: str) -> None:
        """The temperatures in tenths, where the remarks give them."""
        tenths = _TENTHS.search(remarks)
        if tenths is not None and "temperature_k" in self.values:
            for name, sign, figure in (("temperature_k", tenths[1], tenths[2]), ("dew_point_k", tenths[3], tenths[4])):
                exact_k = CELSIUS_ZERO_K + 0.1 * int(figure) * (-1.0 if sign == "1" else 1.0)
                # the whole degree is the tenth rounded: anything else is another report's remark
                if name in self.values and abs(exact_k - self.values[name]) < 0.55:
                    self.values[name] = exact_k

    def metar(self, station: str, day: int, minute_of_day: int) -> Metar:
        """The report."""
        if not self.wind_group:
            raise QuantityNotUnderstood(
                "a METAR without a wind group", "wind such as 35015G27KT", "Paste the report whole.", "metar"
            )
        temperature_k, dew_point_k = self.values.get("temperature_k"), self.values.get("dew_point_k")
        if temperature_k is not None and dew_point_k is not None and dew_point_k > temperature_k + 0.05:
            figures = f"{temperature_k - CELSIUS_ZERO_K:.0f}/{dew_point_k - CELSIUS_ZERO_K:.0f}"
            raise _impossible(figures, "a dew point at or below the temperature")
        return Metar(
            station,
            day,
            minute_of_day,
            self.wind_group,
            wind_range_true_rad=self.swing,
            not_read=tuple(self.not_read),
            **self.values,
        )

    def _wind(self, match: re.Match[str]) -> None:
        if self.wind_group:
            raise _impossible(f"{self.wind_group} and {match[0]}", "one wind group")
        self.wind_group = match[0]
        if match[1] == "///" or match[2] is None:
            return
        unit_mps = _SPEED_UNITS_MPS[match[4]]
        speed_mps = int(match[2]) * unit_mps
        if speed_mps > _HIGHEST_WIND_MPS:
            raise _impossible(match[0], "a wind up to 200 kt")
        self.values["wind_speed_mps"] = speed_mps
        if match[1] != "VRB":
            self.values["wind_from_true_rad"] = _direction_rad(match[1], match[0], speed_mps)
        if match[3] is not None:
            gust_mps = int(match[3]) * unit_mps
            if not speed_mps < gust_mps <= _HIGHEST_WIND_MPS:
                raise _impossible(match[0], "a gust stronger than the wind")
            self.values["gust_mps"] = gust_mps

    def _range(self, match: re.Match[str]) -> None:
        self.swing = (_direction_rad(match[1], match[0], 1.0), _direction_rad(match[2], match[0], 1.0))

    def _miles(self, match: re.Match[str]) -> None:
        if match[1] is not None:
            miles = float(match[1])
        else:
            if int(match[4]) == 0:
                raise _impossible(match[0], "a visibility")
            miles = int(match[2] or 0) + int(match[3]) / int(match[4])
        self.values["visibility_m"] = miles * STATUTE_MILE_M

    def _metres(self, match: re.Match[str]) -> None:
        metres = int(match[1])
        self.values["visibility_m"] = _TEN_KILOMETRES_M if metres == 9999 else float(metres)

    def _cloud(self, match: re.Match[str]) -> None:
        if match[2] == "///":
            return
        base_m = 100.0 * int(match[2]) * FOOT_M
        name = "scattered_base_above_field_m" if match[1] in ("FEW", "SCT") else "ceiling_above_field_m"
        self.values[name] = min(base_m, self.values.get(name, math.inf))

    def _temperature(self, match: re.Match[str]) -> None:
        for name, minus, figure in (("temperature_k", match[1], match[2]), ("dew_point_k", match[3], match[4])):
            if figure is None:
                continue
            degrees = -int(figure) if minus else int(figure)
            if not _COLDEST_DEGC <= degrees <= _HOTTEST_DEGC:
                raise _impossible(match[0], f"temperatures from {_COLDEST_DEGC} to {_HOTTEST_DEGC} degC")
            self.values[name] = CELSIUS_ZERO_K + degrees

    def _pressure(self, match: re.Match[str]) -> None:
        figure = int(match[2])
        qnh_pa = figure * HECTOPASCAL_PA if match[1] == "Q" else 0.01 * figure * INCH_OF_MERCURY_PA
        if not _LOWEST_QNH_PA <= qnh_pa <= _HIGHEST_QNH_PA:
            raise _impossible(match[0], "an altimeter setting from 850 to 1090 hPa")
        before_pa = self.values.get("qnh_pa")
        # some places give both, Q cut to the whole hectopascal: the finer one counts
        if before_pa is not None and abs(before_pa - qnh_pa) > 1.5 * HECTOPASCAL_PA:
            raise _impossible(match[0], "one altimeter setting")
        if before_pa is None or match[1] == "A":
            self.values["qnh_pa"] = qnh_pa


def _direction_rad(figures: str, group: str, speed_mps: float) -> float:
    degrees = int(figures)
    if degrees > 360 or (degrees == 0 and speed_mps > 0.0):
        raise _impossible(group, "a direction from 001 to 360")
    return math.radians(degrees % 360)


def _impossible(group: str, expected: str) -> QuantityNotUnderstood:
    return QuantityNotUnderstood(
        f"the impossible group {quoted(group)} in a METAR", expected, "Paste the report again, or type it.", "metar"
    )
