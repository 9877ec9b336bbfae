"""The rows of a marker table: when somebody on board marked something, and what."""

from __future__ import annotations

import datetime
from collections.abc import Sequence
from dataclasses import dataclass

from volplane.domain.debrief.results import MarkerKind
from volplane.errors import FilesRefused, Problem

_KINDS = {kind.value: kind for kind in MarkerKind}


@dataclass(frozen=True, slots=True)
class MarkerRow:
    """One row as it was typed."""

    line_number: int
    utc: str
    marker: str


def markers_of_rows(
    name: str, rows: Sequence[MarkerRow], recording_start_unix_s: float
) -> tuple[tuple[float, MarkerKind], ...]:
    """Moments in seconds since 1970 UTC with what was marked; a time of day is one of the recording's day or the next.

    :raises FilesRefused: with a problem for each row that cannot be read.
    """
    found, problems = [], []
    for row in rows:
        unix_s = _unix_s(row.utc, recording_start_unix_s)
        kind = _KINDS.get(" ".join(row.marker.lower().split()))
        if unix_s is None:
            expected = "a time in UTC, 14:03:10 or 2026-05-14T14:03:10Z"
            problems.append(_problem(name, row, "utc", row.utc, expected, "Write the time of day in UTC.", "no-time"))
        if kind is None:
            expected = ", ".join(_KINDS)
            problems.append(_problem(name, row, "marker", row.marker, expected, "Write one of them.", "marker-unknown"))
        if unix_s is not None and kind is not None:
            found.append((unix_s, kind))
    if problems:
        raise FilesRefused(tuple(problems))
    return tuple(found)


def _unix_s(text: str, start_unix_s: float) -> float | None:
    try:
        moment = datetime.datetime.fromisoformat(text.strip())
    except ValueError:
        return _of_the_day(text.strip().removesuffix("Z"), start_unix_s)
    aware = moment if moment.tzinfo is not None else moment.replace(tzinfo=datetime.UTC)
    return aware.timestamp()


def _of_the_day(text: str, start_unix_s: float) -> float | None:
    """A time of day of the recording's first day; one before its start is of the day after."""
    try:
        clock = datetime.time.fromisoformat(text)
    except ValueError:
        return None
    day = datetime.datetime.fromtimestamp(start_unix_s, datetime.UTC).date()
    unix_s = datetime.datetime.combine(day, clock, datetime.UTC).timestamp()
    # a marker a minute before the recorder ran is of this day all the same
    return unix_s if unix_s > start_unix_s - 3600.0 else unix_s + 86_400.0


def _problem(name: str, row: MarkerRow, title: str, found: str, expected: str, remedy: str, code: str) -> Problem:
    shown = "".join(letter if letter.isprintable() else "?" for letter in found[:30])
    return Problem(name, f"line {row.line_number}, {title}", f'"{shown}"', expected, remedy, code)
