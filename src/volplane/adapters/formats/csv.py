"""Tables of text: any sensible titles, units, separators and times, recognised by what their words mean.

A line that cannot be read is left out and counted. `columns_of` tells which column would be taken as what; that map,
changed, can be passed back to `read`.
"""

from __future__ import annotations

import itertools
import math
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

import numpy as np
from numpy.typing import NDArray

from volplane import units
from volplane.adapters.formats import channels, clocks, lines, numbers, times, words
from volplane.adapters.formats import layout as layouts
from volplane.adapters.formats.fixes import sound_fixes
from volplane.domain.track.track import AltitudeSource, Track
from volplane.errors import Problem
from volplane.services.ports import MagneticVariation
from volplane.services.quantities import quoted
from volplane.services.recordings import Channel, Column, ColumnMap

NAME = "CSV"
EXTENSIONS: tuple[str, ...] = (".csv", ".txt", ".tsv", ".log")

Floats = NDArray[np.float64]
Read = tuple[Track | None, tuple[Problem, ...]]

# a day at ten fixes a second; ours
MOST_FIXES = 900_000
_CHUNK_LINES = 8192
_MAP = "column map"


def recognises(data: bytes) -> bool:
    """Whether a line of titles with latitude and longitude is among the first lines."""
    return layouts.layout_of(_head(data)) is not None


def columns_of(data: bytes) -> ColumnMap | None:
    """Which column is taken as what, with the unit its title names; None when there are no titles."""
    head = _head(data)
    layout = layouts.layout_of(head)
    if layout is None:
        return None
    rows = layouts.sample(head, layout)
    _, of_time, _ = clocks.clock_of("", layout, rows)
    indices = _indices(layout, rows)
    unique = {column.title: column for column in (*of_time, *map(layout.column, indices.values()))}
    return ColumnMap(tuple(unique.values()), layout.utc_offset_s)


def read(
    name: str, data: bytes, column_map: ColumnMap | None = None, variation: MagneticVariation | None = None
) -> Read:
    """The track in a table, and what is wrong with it; None for the track when it cannot be read at all."""
    head = _head(data)
    column_map, faults = _fitting(name, column_map)
    layout = layouts.layout_of(head, column_map)
    faults += _absent(name, layout, column_map)
    if layout is None:
        return None, (*faults, _no_titles(name, head))
    rows = layouts.sample(head, layout)
    clock, time_columns, clock_problems = clocks.clock_of(name, layout, rows)
    indices = _indices(layout, rows)
    if clock is None or not indices.keys() >= {Channel.LATITUDE, Channel.LONGITUDE}:
        return None, (*faults, _missing(name, layout, clock is not None))
    table = _Table(layout, clock, indices)
    table.fill(data)
    if table.hopeless_at:
        return None, (lines.hopeless(name, table.hopeless_at),)
    faults = (*faults, *clock_problems, *table.problems(name))
    if table.is_too_long:
        return None, faults
    track, columns, problems = _track(name, table, variation)
    if track is None:
        return None, (*faults, *problems)
    notes = (*track.notes, *table.notes(), _columns_sentence((*time_columns, *columns)))
    return replace(track, notes=notes), (*faults, *problems)


def _head(data: bytes) -> list[tuple[int, str]]:
    first = itertools.islice(lines.lines(data), layouts.HEAD_LINES)
    return [(number, text) for number, text, _ in first if text is not None and text.strip()]


def _indices(layout: layouts.Layout, rows: Sequence[Sequence[str]]) -> dict[Channel, int]:
    """The column of each channel of numbers: the likeliest, and of two as likely the better filled one."""
    found: dict[Channel, int] = {}
    for channel in words.KIND_OF_CHANNEL:
        candidates = layout.indices(channel) if channel not in words.TIMES else []
        best = (-math.inf, -1.0)
        for index in candidates:
            meaning = layout.meanings[index]
            assert meaning is not None
            filled = len(layouts.column_cells(rows, index)) / max(len(rows), 1)
            quality = (round(meaning.likelihood_ratio, 1), round(filled, 1))
            if quality > best:
                best, found[channel] = quality, index
    return found


@dataclass(slots=True)
class _Table:
    """The needed columns of a table, filled line by line; what cannot be read is counted."""

    layout: layouts.Layout
    clock: clocks.Clock
    indices: dict[Channel, int]
    seconds: list[float] = field(default_factory=list)
    value: dict[Channel, list[Floats]] = field(default_factory=dict)
    data_lines: int = 0
    bad_lines: int = 0
    first_bad: int = 0
    repeated_titles: int = 0
    is_cut: bool = False
    is_too_long: bool = False
    hopeless_at: int = 0

    def fill(self, data: bytes) -> None:
        """Read all lines below the titles."""
        waiting: list[list[str]] = []
        for row in self._rows(data):
            waiting.append(row)
            if len(waiting) == _CHUNK_LINES:
                self._take(waiting)
                waiting = []
            if len(self.seconds) > MOST_FIXES:
                self.is_too_long = True
                return
        self._take(waiting)

    def _rows(self, data: bytes) -> Iterator[list[str]]:
        """Rows that tell a time; others are counted as unreadable."""
        layout, width = self.layout, len(self.layout.titles)
        needed = max(*self.clock.indices, self.indices[Channel.LATITUDE], self.indices[Channel.LONGITUDE])
        for number, text, is_whole in lines.lines(data):
            if lines.is_hopeless(number, len(self.seconds)):
                self.hopeless_at = number
                return
            if number < layout.data_line or (text is not None and not text.strip(f" {layout.delimiter}\0")):
                continue
            row = lines.cells(text, layout.delimiter) if text is not None else []
            if layout.is_titles(row[:width]):
                self.repeated_titles += 1
                continue
            self.data_lines += 1
            seconds = self.clock.seconds(row) if len(row) > needed else math.nan
            is_short = not is_whole and len(row) < width
            if is_short or not math.isfinite(seconds):
                self._count_bad(number, is_cut=not is_whole)
                continue
            self.seconds.append(seconds)
            yield row if len(row) >= width else [*row, *[""] * (width - len(row))]

    def _count_bad(self, number: int, *, is_cut: bool) -> None:
        if is_cut:
            self.is_cut = True
            return
        self.bad_lines += 1
        self.first_bad = self.first_bad or number

    def _take(self, rows: list[list[str]]) -> None:
        for channel, index in self.indices.items():
            column = [row[index] for row in rows]
            of = numbers.coordinates if channel in (Channel.LATITUDE, Channel.LONGITUDE) else numbers.numbers
            self.value.setdefault(channel, []).append(of(column, self.layout.decimal_comma))

    def channel(self, channel: Channel) -> Floats:
        """A column of numbers as written, (n,)."""
        return np.concatenate(self.value[channel])

    def problems(self, name: str) -> tuple[Problem, ...]:
        """Unreadable lines and a table without end."""
        found: list[Problem] = []
        if self.bad_lines:
            what = f"{self.bad_lines:,} of {self.data_lines:,} lines unreadable"
            remedy = "They were left out."
            expected = "a time and a position in each line"
            found.append(Problem(name, f"line {self.first_bad}", what, expected, remedy, "lines-unreadable"))
        if self.is_cut:
            remedy = "It was left out; see whether the recording ends where the flight did."
            found.append(Problem(name, "last line", "half a line", "a whole line", remedy, "last-line-cut"))
        if self.is_too_long:
            remedy = "Export the part with the lesson only."
            expected = f"at most {MOST_FIXES:,}"
            found.append(Problem(name, "", f"more than {MOST_FIXES:,} fixes", expected, remedy, "recording-too-long"))
        return tuple(found)

    def notes(self) -> tuple[str, ...]:
        """What was passed over without harm."""
        return (f"The titles are repeated {self.repeated_titles} times.",) if self.repeated_titles else ()


def _track(
    name: str, table: _Table, variation: MagneticVariation | None
) -> tuple[Track | None, tuple[Column, ...], tuple[Problem, ...]]:
    unix_s = table.clock.in_order(np.array(table.seconds, dtype=np.float64))
    latitude_deg, longitude_deg = (_degrees(table, channel) for channel in (Channel.LATITUDE, Channel.LONGITUDE))
    sound = sound_fixes(unix_s, latitude_deg, longitude_deg)
    keep = sound.index
    if len(keep) < 2:
        return None, (), (_no_fixes(name, table.data_lines),)
    fixes = channels.Fixes(unix_s[keep], latitude_deg[keep], longitude_deg[keep])
    raw = [
        channels.RawColumn.of(_column(table.layout, index), table.channel(channel)[keep])
        for channel, index in table.indices.items()
        if channel not in (Channel.LATITUDE, Channel.LONGITUDE)
    ]
    track, used, problems = channels.track_of(name, fixes, raw, variation)
    places = [table.layout.column(table.indices[each]) for each in (Channel.LATITUDE, Channel.LONGITUDE)]
    return replace(track, notes=sound.notes), (*places, *used), problems


def _degrees(table: _Table, channel: Channel) -> Floats:
    value = table.channel(channel)
    if table.layout.column(table.indices[channel]).unit == "rad":
        value = np.degrees(value)
    # east of Greenwich all the way round
    return np.where(value > 180.0, value - 360.0, value) if channel is Channel.LONGITUDE else value


def _column(layout: layouts.Layout, index: int) -> Column:
    """A column, its barometric altitude taken as on the altimeter's setting where the table records a setting."""
    column = layout.column(index)
    meaning = layout.meanings[index]
    assert meaning is not None
    is_open = column.channel is Channel.PRESSURE_ALTITUDE and not meaning.ideas & {"pressure", "standard"}
    headings = itertools.zip_longest(layout.titles, layout.units, fillvalue="")
    if is_open and "barometric" in meaning.ideas and any(itertools.starmap(words.is_altimeter_setting, headings)):
        return replace(column, channel=Channel.INDICATED_ALTITUDE, because="the table records the altimeter's setting")
    return column


def _columns_sentence(columns: Sequence[Column]) -> str:
    parts = [f"{quoted(each.title)} as {each.channel}{f' in {each.unit}' if each.unit else ''}" for each in columns]
    return f"Columns read: {', '.join(parts)}."


def _fitting(name: str, column_map: ColumnMap | None) -> tuple[ColumnMap | None, tuple[Problem, ...]]:
    """A column map without the columns whose unit does not fit their channel."""
    if column_map is None:
        return None, ()
    wrong = [column for column in column_map.columns if not words.unit_fits(column.channel, column.unit)]
    kept = tuple(column for column in column_map.columns if column not in wrong)
    faults = tuple(
        Problem(
            name,
            _MAP,
            f"{quoted(column.title)} as {column.channel} in {quoted(column.unit)}",
            "a unit of that channel",
            "The column was passed over; name a unit that fits.",
            "column-unit",
        )
        for column in wrong
    )
    return replace(column_map, columns=kept), faults


def _absent(name: str, layout: layouts.Layout | None, column_map: ColumnMap | None) -> tuple[Problem, ...]:
    """Columns of a map that the table does not have."""
    present = {layouts.plain(title) for title in layout.titles} if layout is not None else set()
    remedy = "Look at the titles of the table; the column was passed over."
    return tuple(
        Problem(name, _MAP, f"no column {quoted(column.title)}", "a title of the table", remedy, "column-missing")
        for column in (column_map.columns if column_map is not None else ())
        if layouts.plain(column.title) not in present
    )


def _no_titles(name: str, head: Sequence[tuple[int, str]]) -> Problem:
    found = f"no titles with latitude and longitude in the first {layouts.HEAD_LINES} lines"
    if head:
        found += f"; line {head[0][0]} is {quoted(head[0][1])}"
    remedy = "Export the recording with a line of titles."
    return Problem(name, "", found, "a line of titles such as UTC, latitude, longitude, altitude", remedy, "no-titles")


def _missing(name: str, layout: layouts.Layout, has_clock: bool) -> Problem:
    found = f"the titles {', '.join(map(quoted, layout.titles[:12]))}"
    expected = "columns of latitude and longitude" if has_clock else "a column that tells the time of each line"
    remedy = "Export the recording with these columns."
    code = "no-position-column" if has_clock else "no-time-column"
    return Problem(name, f"line {layout.header_line}", found, expected, remedy, code)


def _no_fixes(name: str, data_lines: int) -> Problem:
    found = f"{data_lines:,} lines, and no two of them with a time and a position"
    return Problem(name, "", found, "a fix in each line", "Send a recording that holds a flight.", "no-fixes")


# title, field of the track, size of the unit in SI, its nought in SI, decimals written
_WRITTEN: tuple[tuple[str, str, float, float, int], ...] = (
    ("Ground speed (kt)", "ground_speed_mps", units.KNOT_MPS, 0.0, 2),
    ("Track (deg true)", "track_true_rad", units.DEGREE_RAD, 0.0, 2),
    ("IAS (kt)", "ias_mps", units.KNOT_MPS, 0.0, 2),
    ("TAS (kt)", "tas_mps", units.KNOT_MPS, 0.0, 2),
    ("Bank (deg)", "bank_rad", units.DEGREE_RAD, 0.0, 2),
    ("Vertical speed (fpm)", "vertical_speed_mps", units.FOOT_PER_MINUTE_MPS, 0.0, 1),
    ("OAT (degC)", "air_temperature_k", 1.0, units.CELSIUS_ZERO_K, 1),
    ("MP (inHg)", "manifold_pressure_pa", units.INCH_OF_MERCURY_PA, 0.0, 2),
    ("RPM", "engine_speed_radps", units.RPM_RADPS, 0.0, 0),
)
_ALTITUDE_TITLE = {
    AltitudeSource.GPS: "GPS altitude (ft)",
    AltitudeSource.PRESSURE: "Pressure altitude (ft)",
    AltitudeSource.INDICATED: "Indicated altitude (ft)",
}


def write(track: Track, variation: MagneticVariation | None = None) -> bytes:
    """The track as a table: UTC to the millisecond, degrees to 1e-7, trade units; missing values are empty.

    With a variation headings are written magnetic, as panels do, without it true. CRLF ends a line (RFC 4180).
    """
    columns: list[tuple[str, list[str]]] = [
        ("UTC", [times.utc_text(track.start_unix_s + seconds) for seconds in track.time_s.tolist()]),
        ("Latitude (deg)", _texts(track.latitude_deg, 7)),
        ("Longitude (deg)", _texts(track.longitude_deg, 7)),
    ]
    if track.altitude_m is not None and track.altitude_source in _ALTITUDE_TITLE:
        columns.append((_ALTITUDE_TITLE[track.altitude_source], _texts(track.altitude_m / units.FOOT_M, 1)))
    for title, name, size_si, nought_si, decimals in _WRITTEN:
        channel = getattr(track, name)
        if channel is not None:
            columns.append((title, _texts((channel - nought_si) / size_si, decimals)))
    if track.heading_true_rad is not None:
        columns.append(_heading(track, track.heading_true_rad, variation))
    rows = zip(*(texts for _, texts in columns), strict=True)
    text = "\r\n".join([",".join(title for title, _ in columns), *(",".join(row) for row in rows), ""])
    return text.encode("ascii")


def _heading(track: Track, heading_true_rad: Floats, variation: MagneticVariation | None) -> tuple[str, list[str]]:
    if variation is None:
        return "Heading (deg true)", _texts(heading_true_rad / units.DEGREE_RAD, 2)
    middle = len(track.time_s) // 2
    east_rad = variation.variation_east_rad(
        float(track.latitude_deg[middle]),
        float(track.longitude_deg[middle]),
        0.0,
        track.start_unix_s + float(track.time_s[middle]),
    )
    magnetic_rad = np.remainder(heading_true_rad - east_rad, 2.0 * math.pi)
    return "Heading (deg magnetic)", _texts(magnetic_rad / units.DEGREE_RAD, 2)


def _texts(value: Floats, decimals: int) -> list[str]:
    return ["" if math.isnan(each) else f"{each:.{decimals}f}" for each in value.tolist()]
