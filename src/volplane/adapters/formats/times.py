"""Times as recordings write them, read into seconds since 1970 UTC.

Text that is no time gives NaN, never an exception, because a damaged line is data. Dates are proleptic Gregorian; a
leap second counts as the first second of the next minute.
"""

from __future__ import annotations

import datetime
import functools
import math
import re
from collections.abc import Callable, Sequence
from enum import StrEnum

DAY_S = 86_400.0
_EPOCH = datetime.date(1970, 1, 1).toordinal()
# people who write years with two digits mean the nearest century
_CENTURY_TURNS_AT = 70
_LONGEST_TEXT = 48

_DATE = r"(?P<a>\d{1,4})(?P<mark>[-/.])(?P<b>\d{1,2})(?P=mark)(?P<c>\d{1,4})|(?P<packed>\d{8}|\d{6})"
_CLOCK = r"(?P<h>\d{1,2}):(?P<m>\d{2})(?::(?P<s>\d{2})(?:[.,](?P<f>\d{1,12}))?)?\s*(?P<half>[AaPp])?(?:\.?[Mm]\.?)?"
_ZONE = r"(?P<zone>[Zz]|UTC|utc|GMT|gmt|(?:UTC|GMT)?\s*[+-]\d{1,2}(?::?\d{2})?)?"
_DATE_PATTERN = re.compile(rf"(?:{_DATE})", re.ASCII)
_CLOCK_PATTERN = re.compile(rf"{_CLOCK}\s*{_ZONE}", re.ASCII)
_PACKED_CLOCK = re.compile(r"([01]\d|2[0-3])([0-5]\d)([0-5]\d)(?:[.,](\d{1,12}))?", re.ASCII)
_OFFSET = re.compile(r"(?:UTC|GMT)?\s*([+\u2212-]?)(\d{1,2})(?::?(\d{2}))?(?::?(\d{2}))?", re.ASCII)
_MOMENT = re.compile(r"(?P<date>\d[\d/.-]{4,9}\d)[Tt ,]\s*(?P<clock>\d{1,2}:.*|\d{6}.*)", re.ASCII)


class DateOrder(StrEnum):
    """In which order a date with the year last is written."""

    DAY_FIRST = "day, month, year"
    MONTH_FIRST = "month, day, year"


class TimeKind(StrEnum):
    """What the cells of a column of times are, by their look alone."""

    MOMENT = "date and time"
    DATE = "date"
    CLOCK = "time of day"
    EPOCH_S = "seconds since 1970"
    EPOCH_MS = "milliseconds since 1970"
    EPOCH_US = "microseconds since 1970"
    COUNT = "a number that counts up"


def moment_s(text: str, order: DateOrder = DateOrder.DAY_FIRST) -> tuple[float, float | None]:
    """A date and time in one text: (seconds since 1970 as written, offset from UTC in s or None when it names none).

    ISO 8601 and its relatives: `2003-04-05T18:22:16.184+01:00`, `14.05.2026 16:00:03`, `5/14/2026 2:00:03 PM`.
    """
    match = _MOMENT.fullmatch(text.strip()) if len(text) <= _LONGEST_TEXT else None
    if match is None:
        return math.nan, None
    clock, zone_s = clock_s(match["clock"])
    return date_s(match["date"], order) + clock, zone_s


def clock_s(text: str) -> tuple[float, float | None]:
    """A time of day: (seconds since midnight, offset from UTC in s or None). Also `140203.5` and `2:00:03 PM`."""
    text = text.strip()
    if len(text) > _LONGEST_TEXT:
        return math.nan, None
    if packed := _PACKED_CLOCK.fullmatch(text.rstrip("Zz")):
        seconds = int(packed[1]) * 3600 + int(packed[2]) * 60 + int(packed[3])
        return seconds + _fraction(packed[4]), 0.0 if text[-1] in "Zz" else None
    match = _CLOCK_PATTERN.fullmatch(text)
    if match is None:
        return math.nan, None
    hour, minute, second = int(match["h"]), int(match["m"]), int(match["s"] or 0)
    if match["half"]:
        if not 1 <= hour <= 12:
            return math.nan, None
        hour = hour % 12 + (12 if match["half"] in "Pp" else 0)
    if hour > 24 or minute > 59 or second > 60 or (hour == 24 and minute + second > 0):
        return math.nan, None
    return hour * 3600 + minute * 60 + second + _fraction(match["f"]), _zone_s(match["zone"])


def offset_s(text: str) -> float:
    """An offset from UTC such as `-04:00`, `+5`, `UTC+0530`, in s; NaN when it is none."""
    text = text.strip()
    if text.upper() in ("Z", "UTC", "GMT"):
        return 0.0
    match = _OFFSET.fullmatch(text) if len(text) <= _LONGEST_TEXT else None
    if match is None:
        return math.nan
    seconds = int(match[2]) * 3600 + int(match[3] or 0) * 60 + int(match[4] or 0)
    if seconds > 18 * 3600 or int(match[3] or 0) > 59:
        return math.nan
    return -float(seconds) if match[1] in ("-", "\u2212") else float(seconds)


def date_s(text: str, order: DateOrder = DateOrder.DAY_FIRST) -> float:
    """Midnight at the start of a date, in seconds since 1970; NaN when it is none."""
    return _date_s(text.strip(), order) if len(text) <= _LONGEST_TEXT else math.nan


@functools.lru_cache(maxsize=4096)
def _date_s(text: str, order: DateOrder) -> float:
    match = _DATE_PATTERN.fullmatch(text)
    if match is None:
        return math.nan
    year, month, day = _parts(match, order)
    if year < 100:
        year += 1900 if year >= _CENTURY_TURNS_AT else 2000
    try:
        return (datetime.date(year, month, day).toordinal() - _EPOCH) * DAY_S
    except ValueError:
        return math.nan


def date_order(cells: Sequence[str]) -> tuple[DateOrder, bool]:
    """How dates with the year last are ordered, and whether the cells themselves show it."""
    has_open_order = False
    for cell in cells:
        match = _DATE_PATTERN.match(cell.strip())
        if match is None or match["packed"] or len(match["a"]) > 2:
            continue
        if int(match["a"]) > 12 or match["mark"] == ".":
            return DateOrder.DAY_FIRST, True
        if int(match["b"]) > 12:
            return DateOrder.MONTH_FIRST, True
        has_open_order = True
    return (DateOrder.MONTH_FIRST, False) if has_open_order else (DateOrder.DAY_FIRST, True)


def kind_of(cells: Sequence[str], *, says_date: bool = False, is_number: bool = False) -> TimeKind | None:
    """What the cells of a column are, by the look of most of them; None when they are no times.

    Six digits can be a date as well as a time of day: `says_date` tells that the title speaks of a date. `is_number`
    tells that the title names a unit, so that digits are a number.
    """
    filled = [cell for cell in cells if cell.strip()]
    looks = [TimeKind.MOMENT, TimeKind.DATE, TimeKind.CLOCK] if says_date else list(_LOOKS)
    for kind in () if is_number else looks:
        if filled and sum(map(_LOOKS[kind], filled)) > _MOST * len(filled):
            return kind
    numbers = sorted(filter(math.isfinite, map(_as_number, filled)))
    if len(numbers) <= _MOST * len(filled) or not numbers:
        return None
    middle = numbers[len(numbers) // 2]
    for kind, least in ((TimeKind.EPOCH_US, 1e14), (TimeKind.EPOCH_MS, 1e11), (TimeKind.EPOCH_S, 1e8)):
        if middle > least:
            return kind
    return TimeKind.COUNT


def with_midnights(day_s: Sequence[float]) -> list[float]:
    """Times of day that go on over midnight: a fall by more than half a day adds a day."""
    days = 0.0
    last = math.nan
    unwrapped: list[float] = []
    for value in day_s:
        if math.isfinite(value):
            if value < last - DAY_S / 2.0:
                days += DAY_S
            elif value > last + DAY_S / 2.0 and days > 0.0:
                days -= DAY_S
            last = value
        unwrapped.append(value + days)
    return unwrapped


def utc_text(unix_s: float) -> str:
    """A moment in ISO 8601 to the millisecond, "2026-05-14T14:00:03.250Z"."""
    milliseconds = round(unix_s * 1000.0)
    moment = datetime.datetime(1970, 1, 1) + datetime.timedelta(milliseconds=milliseconds)
    return f"{moment.isoformat(timespec='milliseconds')}Z"


_OTHER = DateOrder.MONTH_FIRST


_LOOKS: dict[TimeKind, Callable[[str], bool]] = {
    TimeKind.MOMENT: lambda cell: math.isfinite(moment_s(cell)[0]) or math.isfinite(moment_s(cell, _OTHER)[0]),
    TimeKind.CLOCK: lambda cell: math.isfinite(clock_s(cell)[0]),
    TimeKind.DATE: lambda cell: math.isfinite(date_s(cell)) or math.isfinite(date_s(cell, _OTHER)),
}
# a column is what more than this part of its cells look like; the rest is damage
_MOST = 0.8


def _parts(match: re.Match[str], order: DateOrder) -> tuple[int, int, int]:
    packed = match["packed"]
    if packed is not None and len(packed) == 8:
        return int(packed[:4]), int(packed[4:6]), int(packed[6:])
    if packed is not None:
        # six digits are day, month, year, as in most recorders' sentences
        return int(packed[4:]), int(packed[2:4]), int(packed[:2])
    first, middle, last = int(match["a"]), int(match["b"]), int(match["c"])
    if len(match["a"]) > 2:
        return first, middle, last
    return (last, middle, first) if order is DateOrder.DAY_FIRST else (last, first, middle)


def _fraction(digits: str | None) -> float:
    return float(f"0.{digits}") if digits else 0.0


def _zone_s(zone: str | None) -> float | None:
    return None if zone is None else offset_s(zone)


def _as_number(text: str) -> float:
    try:
        return float(text.replace(",", "."))
    except ValueError:
        return math.nan
