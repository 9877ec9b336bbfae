"""Small tables people type: a line of titles that end in their unit, then one measurement a line.

Titles are those of the contract and stand in any order; other columns are passed over, lines that begin with # are
comments. Commas, semicolons and tabs separate; with semicolons or tabs a decimal comma is read too. What is wrong is
told line by line.
"""

from __future__ import annotations

import csv
import math
import re
from collections.abc import Sequence
from dataclasses import dataclass
from types import MappingProxyType

from volplane import units
from volplane.errors import Problem

LARGEST_BYTES = 1_000_000
MOST_ROWS = 2_000
_DELIMITERS = (",", ";", "\t")
_NUMBER = re.compile(r"[+-]?(?:\d+\.?\d*|\.\d+)(?:[eE][+-]?\d+)?", re.ASCII)
# endings of titles: size in SI and SI value of nought
_UNITS = {
    "kias": (units.KNOT_MPS, 0.0),
    "kt": (units.KNOT_MPS, 0.0),
    "fpm": (units.FOOT_PER_MINUTE_MPS, 0.0),
    "ft": (units.FOOT_M, 0.0),
    "s": (1.0, 0.0),
    "degc": (1.0, units.CELSIUS_ZERO_K),
    "deg": (units.DEGREE_RAD, 0.0),
    "lb": (units.POUND_KG, 0.0),
    "inhg": (units.INCH_OF_MERCURY_PA, 0.0),
    "rpm": (units.RPM_RADPS, 0.0),
}


@dataclass(frozen=True, slots=True)
class Title:
    """One column: its title, and the least and greatest sensible value in the unit the title ends in.

    A title without a unit holds words.
    """

    name: str
    least: int = 0
    most: int = 0
    is_required: bool = True

    @property
    def unit(self) -> str:
        """The unit the title ends in, "" for words."""
        last = self.name.rsplit("_", maxsplit=1)[-1]
        return last if last in _UNITS else ""


@dataclass(frozen=True, slots=True)
class TableRow:
    """One line: its number in the file, the SI values by title, and the words; an empty cell is absent."""

    line_number: int
    si: MappingProxyType[str, float]
    words: MappingProxyType[str, str]


@dataclass(frozen=True, slots=True)
class TableReading:
    """The sound lines of a table and what is wrong with the others."""

    rows: tuple[TableRow, ...]
    problems: tuple[Problem, ...]


MEASURE_TITLES = (
    Title("speed_kias", 20, 250),
    Title("height_start_ft", -1500, 30000),
    Title("height_end_ft", -1500, 30000),
    Title("time_s", 1, 3600),
    Title("temperature_degc", -60, 55),
    Title("weight_lb", 100, 20000),
    Title("bank_deg", -70, 70, is_required=False),
    Title("heading_true_deg", -180, 360, is_required=False),
    Title("configuration", is_required=False),
)
AIRSPEED_TITLES = (
    Title("speed_kias", 20, 250),
    Title("ground_speed_kt", 0, 350),
    Title("track_true_deg", -180, 360),
    Title("heading_true_deg", -180, 360, is_required=False),
    Title("pressure_altitude_ft", -1500, 30000, is_required=False),
    Title("temperature_degc", -60, 55, is_required=False),
)
# the same legs flown on headings, where no track was written down
AIRSPEED_HEADING_TITLES = (
    Title("speed_kias", 20, 250),
    Title("ground_speed_kt", 0, 350),
    Title("heading_true_deg", -180, 360),
    Title("pressure_altitude_ft", -1500, 30000, is_required=False),
    Title("temperature_degc", -60, 55, is_required=False),
)
# a recording has no column of just this name
AIRSPEED_MARK = (Title("speed_kias", 20, 250),)
# no recording has a column of these names; a touchdown needs no altimeter
KNEEBOARD_MARK = ("gate", "altimeter_ft")
KNEEBOARD_TITLES = (
    Title("gate"),
    Title("altimeter_ft", -10000, 30000, is_required=False),
    Title("x_ft", -10000, 20000, is_required=False),
    Title("time_s", 0, 86400, is_required=False),
)
MARKER_TITLES = (Title("utc"), Title("marker"))
STAND_IN_TITLES = (
    Title("manifold_pressure_inhg", 1, 60),
    Title("rpm", 300, 4000),
    Title("speed_kias", 20, 250),
    Title("sink_fpm", -3000, 6000),
    Title("altitude_ft", -1500, 30000),
    Title("temperature_degc", -60, 55),
    Title("weight_lb", 100, 20000),
)


def is_table_of(data: bytes, titles: Sequence[Title]) -> bool:
    """Whether the first line that is no comment holds most of the required titles: a table, and no recording."""
    present = _titles_present(data)
    required = [title.name for title in titles if title.is_required]
    return 2 * sum(name in present for name in required) >= len(required)


def holds_titles(data: bytes, names: Sequence[str]) -> bool:
    """Whether the first line that is no comment holds every one of these titles."""
    return _titles_present(data).issuperset(names)


def _titles_present(data: bytes) -> set[str]:
    head = data[:20_000].decode("utf-8-sig", errors="replace")
    first = next((line for line in head.splitlines() if line.strip() and not line.lstrip().startswith("#")), "")
    return {_plain(cell) for cell in _cells(first, _delimiter(first))}


def read_table(name: str, data: bytes, titles: Sequence[Title]) -> TableReading:
    """The lines of a table, converted to SI; never raises for what a file holds."""
    if len(data) > LARGEST_BYTES:
        return _nothing(name, "", "more than 1 MB", "a small table", "Send the measurements only.", "table-too-large")
    try:
        lines = data.decode("utf-8-sig").splitlines()
    except UnicodeDecodeError as fault:
        line_number = data.count(b"\n", 0, fault.start) + 1
        remedy = "Save the table as UTF-8."
        return _nothing(
            name, f"line {line_number}", "a byte that is no UTF-8", "text in UTF-8", remedy, "file-not-utf8"
        )
    numbered = [
        (number, line)
        for number, line in enumerate(lines, start=1)
        if line.strip(" \t,;") and not line.lstrip().startswith("#")
    ]
    if not numbered:
        remedy = f"Begin with a line of titles: {_listed(titles)}."
        return _nothing(name, "", "an empty table", "titles and measurements", remedy, "table-empty")
    header_line, header = numbered[0]
    delimiter = _delimiter(header)
    present = [_plain(cell) for cell in _cells(header, delimiter)]
    if faults := _title_faults(name, header_line, present, titles):
        return TableReading((), faults)
    if len(numbered) - 1 > MOST_ROWS:
        remedy = "Send the measurements only; a recording needs a column of times."
        found = f"{len(numbered) - 1:,} lines"
        return _nothing(name, "", found, f"at most {MOST_ROWS:,}", remedy, "table-too-long")
    rows: list[TableRow] = []
    problems: list[Problem] = []
    for number, text in numbered[1:]:
        row, bad_cells = _row(
            name, number, dict(zip(present, _cells(text, delimiter), strict=False)), titles, delimiter
        )
        problems.extend(bad_cells)
        if not bad_cells:
            rows.append(row)
    if not rows and not problems:
        remedy = "Add a line for each measurement."
        return _nothing(name, f"line {header_line}", "titles only", "measurements below", remedy, "table-empty")
    return TableReading(tuple(rows), tuple(problems))


def _row(
    name: str, number: int, cells: dict[str, str], titles: Sequence[Title], delimiter: str
) -> tuple[TableRow, list[Problem]]:
    si: dict[str, float] = {}
    words: dict[str, str] = {}
    problems = []
    for title in titles:
        cell = cells.get(title.name, "").strip()
        if not title.unit:
            if cell:
                words[title.name] = cell
            continue
        place = f"line {number}, {title.name}"
        if not cell:
            if title.is_required:
                remedy = "Fill it in, or take the line out."
                problems.append(Problem(name, place, "an empty cell", "a number", remedy, "cell-empty"))
            continue
        value = _number(cell, delimiter)
        if not math.isfinite(value):
            found = f'"{_printable(cell)}"'
            remedy = f"Write the number only; the title says {title.unit}."
            problems.append(Problem(name, place, found, "a number", remedy, "cell-no-number"))
        elif not title.least <= value <= title.most:
            expected = f"{title.least:,} to {title.most:,} {title.unit}"
            remedy = "Check the value and its unit."
            problems.append(Problem(name, place, f"{value:,g} {title.unit}", expected, remedy, "cell-out-of-range"))
        else:
            size_si, nought_si = _UNITS[title.unit]
            si[title.name] = value * size_si + nought_si
    return TableRow(number, MappingProxyType(si), MappingProxyType(words)), problems


def _title_faults(name: str, line: int, present: list[str], titles: Sequence[Title]) -> tuple[Problem, ...]:
    place = f"line {line}"
    known = {title.name for title in titles}
    missing = [title.name for title in titles if title.is_required and title.name not in present]
    if missing:
        found = f"no title {' and no '.join(missing)}" if len(missing) <= 3 else "a line that is not the titles"
        remedy = "Write the titles exactly so, units included."
        return (Problem(name, place, found, _listed(titles), remedy, "title-missing"),)
    twice = sorted({each for each in present if each in known and present.count(each) > 1})
    return tuple(
        Problem(name, place, f"the title {each} twice", "each title once", "Take one out.", "title-twice")
        for each in twice
    )


def _listed(titles: Sequence[Title]) -> str:
    return ", ".join(title.name for title in titles if title.is_required)


def _delimiter(header: str) -> str:
    return max(_DELIMITERS, key=header.count)


def _cells(line: str, delimiter: str) -> list[str]:
    try:
        return next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        return line.split(delimiter)


def _plain(title: str) -> str:
    return re.sub(r"\s+", "_", title.strip().strip("\"'").lower())


def _number(cell: str, delimiter: str) -> float:
    text = cell.replace("\u2212", "-")
    if delimiter != ",":
        text = text.replace(",", ".")
    return float(text) if _NUMBER.fullmatch(text) else math.nan


def _printable(cell: str) -> str:
    shown = "".join(letter if letter.isprintable() else "?" for letter in cell)
    return shown if len(shown) <= 30 else f"{shown[:29]}..."


def _nothing(name: str, place: str, found: str, expected: str, remedy: str, code: str) -> TableReading:
    return TableReading((), (Problem(name, place, found, expected, remedy, code),))
