"""A column map as a TOML file: seen, corrected and kept by a person, so that the next such table is read alike."""

from __future__ import annotations

import difflib
import json
import pathlib
import re
import tomllib
from typing import Any

from volplane.errors import FilesRefused, Problem
from volplane.services.quantities import quoted
from volplane.services.recordings import Channel, Column, ColumnMap

# a page of text; more is some other file. Ours
LARGEST_BYTES = 100_000
_MOST_COLUMNS = 200
_KEYS = ("utc_offset", "column")
_COLUMN_KEYS = ("title", "channel", "unit")
_OFFSET = re.compile(r"([+-])(\d{1,2}):(\d{2})", re.ASCII)
_MOST_OFFSET_MIN = 18 * 60
_HEAD = """\
# Which column of a table is what. A column that is not named here is not read.
# channel: {channels}
# unit: as people write it, such as "ft", "m", "kt", "km/h", "deg true", "deg magnetic"; "" where times or dates stand
# or where the recording itself is to be asked
"""


def read_column_map(path: pathlib.Path) -> ColumnMap:
    """The column map of a file. :raises FilesRefused: with every problem in it."""
    try:
        with path.open("rb") as stream:
            data = stream.read(LARGEST_BYTES + 1)
    except OSError as error:
        reason = (error.strerror or "an unknown fault").lower()
        found = f"a file that cannot be read ({reason})"
        raise FilesRefused(
            (Problem(str(path), "", found, "a column map", "Check the name and who may read it.", "file-unreadable"),)
        ) from error
    return column_map_of(str(path), data)


def column_map_of(name: str, data: bytes) -> ColumnMap:
    """The column map in the bytes of a file. :raises FilesRefused: with every problem in it."""
    problems: list[Problem] = []
    document: dict[str, Any] = {}
    try:
        document = tomllib.loads(data.decode("utf-8-sig") if len(data) <= LARGEST_BYTES else "?")
    except (tomllib.TOMLDecodeError, UnicodeDecodeError) as error:
        found = "text that is no TOML" if isinstance(error, UnicodeDecodeError) else f"no TOML ({str(error).lower()})"
        remedy = "Write a column map with --write-column-map and change that."
        problems.append(Problem(name, "", found, "a column map in TOML", remedy, "column-map-syntax"))
    problems += [_unknown(name, quoted(key), key, _KEYS) for key in document if key not in _KEYS]
    offset_s = _offset_s(name, document.get("utc_offset"), problems)
    tables = document.get("column", [])
    if not problems and (not isinstance(tables, list) or not tables or len(tables) > _MOST_COLUMNS):
        remedy = "Write [[column]] with title, channel and unit below it for each column."
        problems.append(Problem(name, "column", "no columns", "one column or more", remedy, "column-map-empty"))
    rows = tables if isinstance(tables, list) else []
    columns = [_column(name, f"column {place}", each, problems) for place, each in enumerate(rows, 1)]
    known = tuple(column for column in columns if column is not None)
    titles = [column.title for column in known]
    for title in sorted({each for each in titles if titles.count(each) > 1}):
        remedy = "Leave one of them out."
        problems.append(Problem(name, quoted(title), "it twice", "each title once", remedy, "column-map-doubled"))
    if problems:
        raise FilesRefused(tuple(problems))
    return ColumnMap(known, offset_s)


def column_map_text(column_map: ColumnMap) -> str:
    """The column map as a file that `column_map_of` reads back, with the reason of each reading beside it."""
    lines = [_HEAD.format(channels=", ".join(channel.value for channel in Channel))]
    if column_map.utc_offset_s is not None:
        minutes = round(abs(column_map.utc_offset_s) / 60.0)
        sign = "-" if column_map.utc_offset_s < 0.0 else "+"
        lines.append(f'utc_offset = "{sign}{minutes // 60:02}:{minutes % 60:02}"  # local time less UTC\n')
    else:
        lines.append('# utc_offset = "-04:00"  # local time less UTC, for times that name no zone\n')
    for column in column_map.columns:
        because = "".join(sign for sign in column.because if sign.isprintable())
        title = json.dumps(column.title, ensure_ascii=False).replace("\x7f", "\\u007F")
        lines += [
            "[[column]]",
            f"title = {title}",
            f'channel = "{column.channel.value}"{f"  # {because}" if because else ""}',
            f"unit = {json.dumps(column.unit, ensure_ascii=False)}\n",
        ]
    return "\n".join(lines)


def _column(name: str, place: str, table: object, problems: list[Problem]) -> Column | None:
    if not isinstance(table, dict):
        remedy = "Write [[column]] and its keys below."
        problems.append(Problem(name, place, "no table", "title, channel, unit", remedy, "column-map-syntax"))
        return None
    before = len(problems)
    problems += [_unknown(name, place, key, _COLUMN_KEYS) for key in table if key not in _COLUMN_KEYS]
    title, channel, unit = (table.get(key, "") for key in _COLUMN_KEYS)
    if not isinstance(title, str) or not title.strip():
        remedy = "Write the title as it stands in the table."
        problems.append(Problem(name, f"{place}, title", "no title", "a title", remedy, "column-map-title"))
    channels = {each.value: each for each in Channel}
    if not isinstance(channel, str) or channel not in channels:
        near = difflib.get_close_matches(str(channel), channels, 1)
        remedy = f"Did you mean {quoted(near[0])}?" if near else "The head of a written column map lists them."
        found = quoted(str(channel)) if channel else "no channel"
        problems.append(Problem(name, f"{place}, channel", found, "a channel", remedy, "column-map-channel"))
    if not isinstance(unit, str):
        remedy = 'Write the unit as text, such as "ft".'
        problems.append(Problem(name, f"{place}, unit", quoted(str(unit)), "text", remedy, "column-map-unit"))
    return Column(title, channels[channel], unit) if len(problems) == before else None


def _offset_s(name: str, value: object, problems: list[Problem]) -> float | None:
    if value is None:
        return None
    match = _OFFSET.fullmatch(value) if isinstance(value, str) else None
    minutes = int(match[2]) * 60 + int(match[3]) if match is not None else 0
    if match is None or int(match[3]) > 59 or minutes > _MOST_OFFSET_MIN:
        remedy = "Local time less UTC, west negative."
        found = quoted(str(value))
        problems.append(Problem(name, "utc_offset", found, 'text such as "-04:00"', remedy, "column-map-offset"))
        return None
    return (-60.0 if match[1] == "-" else 60.0) * minutes


def _unknown(name: str, place: str, key: str, known: tuple[str, ...]) -> Problem:
    near = difflib.get_close_matches(key, known, 1)
    remedy = f"Did you mean {quoted(near[0])}?" if near else "Leave it out."
    found, expected = f"the key {quoted(key)}", f"one of {', '.join(known)}"
    return Problem(name, place, found, expected, remedy, "column-map-key")
