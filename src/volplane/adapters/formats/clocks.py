"""Which columns of a table tell the time of each line, and that time in seconds since 1970 UTC.

What a column of times is, its cells decide; its title only says whose time it is. The best way a table offers is taken:
an instant with its zone before a date and a time of day, those before a time of day alone, that before a plain count.
"""

from __future__ import annotations

import math
import re
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from volplane.adapters.formats import layout as layouts
from volplane.adapters.formats import numbers, times
from volplane.adapters.formats.times import DateOrder, TimeKind
from volplane.errors import Problem
from volplane.services.recordings import Channel, Column

Floats = NDArray[np.float64]

_NAN = math.nan
_INSTANTS = (TimeKind.MOMENT, TimeKind.EPOCH_S, TimeKind.EPOCH_MS, TimeKind.EPOCH_US)
_SECONDS_PER_COUNT = {TimeKind.EPOCH_S: 1.0, TimeKind.EPOCH_MS: 1e-3, TimeKind.EPOCH_US: 1e-6}
_DATE_IN_TEXT = re.compile(r"(?<!\d)(?:\d{4}[-/.]\d{1,2}[-/.]\d{1,2}|\d{1,2}[-/.]\d{1,2}[-/.]\d{4})(?!\d)")
_MOMENT_IN_TEXT = re.compile(r"(?<!\d)\d{4}-\d{2}-\d{2}[T ]\d{2}:\d{2}:\d{2}(?:[.,]\d+)?(?:Z|[+-]\d{2}:?\d{2})?")


@dataclass(frozen=True, slots=True)
class Clock:
    """How the time of a line is put together; indices of columns, None where there is none.

    `main` holds the instant, time of day or count, `date` the date beside a time of day. `start_unix_s` is what a
    count, or a time of day without a date, is added to.
    """

    kind: TimeKind
    main: int
    date: int | None = None
    offset: int | None = None
    utc_offset_s: float | None = None
    start_unix_s: float = 0.0
    count_s: float = 1.0
    order: DateOrder = DateOrder.DAY_FIRST
    decimal_comma: bool = False

    @property
    def indices(self) -> tuple[int, ...]:
        """The columns that are read."""
        return tuple(index for index in (self.main, self.date, self.offset) if index is not None)

    def seconds(self, row: Sequence[str]) -> float:
        """Seconds of one line, in UTC where the zone is known; NaN when the line tells no time."""
        text = row[self.main]
        if self.kind is TimeKind.COUNT:
            return self.start_unix_s + self.count_s * numbers.number(text, self.decimal_comma)
        if self.kind in _SECONDS_PER_COUNT:
            return _SECONDS_PER_COUNT[self.kind] * numbers.number(text, self.decimal_comma)
        if self.kind is TimeKind.MOMENT:
            seconds, zone_s = times.moment_s(text, self.order)
        else:
            seconds, zone_s = times.clock_s(text)
            seconds += times.date_s(row[self.date], self.order) if self.date is not None else self.start_unix_s
        if zone_s is not None:
            return seconds - zone_s
        if self.offset is not None:
            return seconds - times.offset_s(row[self.offset])
        return seconds - (self.utc_offset_s or 0.0)

    def in_order(self, unix_s: Floats) -> Floats:
        """The times of all lines (n,), in file order; a time of day without a date goes on over midnight."""
        if self.kind is TimeKind.CLOCK and self.date is None:
            return np.array(times.with_midnights(unix_s.tolist()), dtype=np.float64)
        return unix_s


def clock_of(
    name: str, layout: layouts.Layout, rows: Sequence[Sequence[str]]
) -> tuple[Clock | None, tuple[Column, ...], tuple[Problem, ...]]:
    """The best clock a table offers, its columns as shown to people, and what had to be assumed; None without any."""
    kinds = _kinds(layout, rows)
    offsets = [index for index in layout.indices(Channel.UTC_OFFSET) if _is_offset(layouts.column_cells(rows, index))]
    offset = offsets[0] if offsets else None
    ways = [
        *((_rank(layout, rows, kinds, index, None, offset), index, None) for index in kinds),
        *(
            (_rank(layout, rows, kinds, index, date, offset), index, date)
            for index, kind in kinds.items()
            for date, other in kinds.items()
            if kind is TimeKind.CLOCK and other is TimeKind.DATE
        ),
    ]
    best = max(ways, key=lambda way: way[0], default=(0.0, 0, None))
    if best[0] <= 0.0:
        return None, (), ()
    _, main, date = best
    is_utc = _says_utc(layout, rows, main)
    order, is_order_shown = times.date_order(layouts.column_cells(rows, main if date is None else date))
    is_sure = is_utc or kinds[main] not in (TimeKind.MOMENT, TimeKind.CLOCK)
    start_unix_s, start_problems = _start(name, layout, kinds[main], date)
    clock = Clock(
        kinds[main],
        main,
        date,
        None if is_sure else offset,
        None if is_sure else layout.utc_offset_s,
        start_unix_s,
        1e-3 if _unit(layout, main) == "ms" else 1.0,
        order,
        layout.decimal_comma,
    )
    problems = [*start_problems]
    if not is_sure and clock.offset is None and clock.utc_offset_s is None:
        problems.append(_zone_not_named(name, layout, main))
    if not is_order_shown and (date is not None or clock.kind is TimeKind.MOMENT):
        problems.append(_order_not_shown(name, layout, main if date is None else date))
    return clock, _columns(layout, clock), tuple(problems)


def _kinds(layout: layouts.Layout, rows: Sequence[Sequence[str]]) -> dict[int, TimeKind]:
    """What the cells of each column of times are, the likeliest columns first."""
    channels = (
        Channel.DATE_AND_TIME,
        Channel.SECONDS_SINCE_1970,
        Channel.TIME_OF_DAY,
        Channel.DATE,
        Channel.ELAPSED_TIME,
    )
    found: dict[int, TimeKind] = {}
    for channel in channels:
        for index in layout.indices(channel):
            kind = times.kind_of(
                layouts.column_cells(rows, index),
                says_date=channel is Channel.DATE,
                is_number=bool(_unit(layout, index)),
            )
            if kind is not None:
                found[index] = kind
    return found


def _rank(
    layout: layouts.Layout,
    rows: Sequence[Sequence[str]],
    kinds: dict[int, TimeKind],
    main: int,
    date: int | None,
    offset: int | None,
) -> float:
    """How good a way to tell the time is; 0 for none at all."""
    kind = kinds[main]
    if kind is TimeKind.DATE:
        return 0.0
    if kind in _SECONDS_PER_COUNT:
        return 9.0
    if kind is TimeKind.COUNT:
        return 1.0
    is_zone_known = _says_utc(layout, rows, main)
    zone = 3.0 if is_zone_known else 2.0 if offset is not None else 0.0
    if kind is TimeKind.MOMENT:
        return 7.0 + zone
    if date is None:
        return 2.0 + 0.1 * zone
    # a local date does not go with a time in UTC where a date in UTC stands beside it
    agrees = ("local" in _ideas(layout, main)) == ("local" in _ideas(layout, date))
    return 5.0 + zone + (0.5 if agrees else 0.0)


def _says_utc(layout: layouts.Layout, rows: Sequence[Sequence[str]], index: int) -> bool:
    """Whether the title, the unit or the cells say which zone a time is in."""
    if _ideas(layout, index) & {"utc", "gps"} and "local" not in _ideas(layout, index):
        return True
    zones = [_zone_s(cell) for cell in layouts.column_cells(rows, index)[:20]]
    return bool(zones) and all(zone is not None for zone in zones)


def _zone_s(cell: str) -> float | None:
    seconds, zone = times.moment_s(cell)
    return zone if math.isfinite(seconds) else times.clock_s(cell)[1]


def _ideas(layout: layouts.Layout, index: int) -> frozenset[str]:
    meaning = layout.meanings[index]
    return meaning.ideas if meaning is not None else frozenset()


def _unit(layout: layouts.Layout, index: int) -> str:
    meaning = layout.meanings[index]
    return meaning.unit if meaning is not None else ""


def _is_offset(cells: Sequence[str]) -> bool:
    return bool(cells) and sum(math.isfinite(times.offset_s(cell)) for cell in cells) > 0.8 * len(cells)


def _columns(layout: layouts.Layout, clock: Clock) -> tuple[Column, ...]:
    shown = {
        TimeKind.MOMENT: Channel.DATE_AND_TIME,
        TimeKind.CLOCK: Channel.TIME_OF_DAY,
        TimeKind.COUNT: Channel.ELAPSED_TIME,
    }
    columns = [
        Column(
            layout.titles[clock.main],
            shown.get(clock.kind, Channel.SECONDS_SINCE_1970),
            _unit(layout, clock.main),
            f"its cells hold {clock.kind.value if clock.kind is TimeKind.COUNT else f'a {clock.kind.value}'}",
        )
    ]
    if clock.date is not None:
        columns.append(Column(layout.titles[clock.date], Channel.DATE, "", "its cells hold dates"))
    if clock.offset is not None:
        columns.append(Column(layout.titles[clock.offset], Channel.UTC_OFFSET, "", "its cells hold offsets from UTC"))
    return tuple(columns)


def _start(name: str, layout: layouts.Layout, kind: TimeKind, date: int | None) -> tuple[float, list[Problem]]:
    """What a count or a bare time of day is added to: a date or instant said above the titles, else 1 January 1970."""
    if kind in _INSTANTS or date is not None:
        return 0.0, []
    for line in layout.preamble:
        if kind is TimeKind.COUNT and (moment := _MOMENT_IN_TEXT.search(line)):
            seconds, zone_s = times.moment_s(moment.group())
            if math.isfinite(seconds):
                return seconds - (zone_s or 0.0), []
        if found := _DATE_IN_TEXT.search(line):
            order, _ = times.date_order([found.group()])
            seconds = times.date_s(found.group(), order)
            if math.isfinite(seconds):
                return seconds, []
    remedy = "The day was left at 1 January 1970; durations are right. Export with a date to have it in the record."
    problem = Problem(name, f"line {layout.header_line}", "times without a date", "a date", remedy, "date-missing")
    return 0.0, [problem]


def _zone_not_named(name: str, layout: layouts.Layout, main: int) -> Problem:
    found = f'times without a zone under "{layout.titles[main]}"'
    remedy = "They were taken as UTC; only the printed time of day depends on it."
    return Problem(name, f"line {layout.header_line}", found, "UTC or an offset", remedy, "zone-not-named")


def _order_not_shown(name: str, layout: layouts.Layout, index: int) -> Problem:
    found = f'dates under "{layout.titles[index]}" in which day and month could be either'
    remedy = "The month was taken to stand first; only the printed date depends on it."
    return Problem(name, f"line {layout.header_line}", found, "dates such as 2026-05-14", remedy, "date-order-open")
