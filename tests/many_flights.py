"""Folders of invented five-minute recordings, one fix a second, in every format in turn, for the work on many."""

from __future__ import annotations

import functools
import pathlib

from tests.adapters.flights import Fix
from tests.adapters.writers import FOOT_M, WRITERS
from tests.unit.debrief_flights import Flown, Made, fly, recorded
from tests.unit.debrief_pieces import Piece, before
from volplane import bootstrap
from volplane.domain.exercise.exercise import Exercise

WINDS = ((0.0, 0.0), (-4.0, 1.0), (-6.0, -2.0), (-2.0, 3.0), (-8.0, 0.0))


@functools.cache
def exercise() -> Exercise:
    """The exercise they are flown for."""
    return bootstrap.demo_workbench().exercise({})


def write_exercise(folder: pathlib.Path) -> pathlib.Path:
    """Its three files; the path of the exercise's own."""
    for name, text in bootstrap.demo_texts().items():
        (folder / name).write_text(text, encoding="utf-8")
    return folder / next(iter(bootstrap.demo_texts()))


def recording(number: int) -> tuple[str, bytes]:
    """The name and the bytes of a recording; no two are alike."""
    low = WINDS[number % len(WINDS)]
    made = Made(wind_low_mps=low, wind_high_mps=(1.8 * low[0], 1.8 * low[1]))
    track = recorded(_flown(made), exercise(), seed=number)
    assert track.altitude_m is not None
    rows = zip(track.time_s, track.latitude_deg, track.longitude_deg, track.altitude_m, strict=True)
    fixes = [Fix(int(second), float(lat), float(lon), float(high) / FOOT_M) for second, lat, lon, high in rows]
    form = WRITERS[number % len(WRITERS)]
    return f"{number:04}-{form.file_name}", form.write(fixes)


@functools.cache
def _flown(made: Made) -> Flown:
    return before(fly(made), [Piece(80.0)])


def write_recordings(folder: pathlib.Path, count: int, first: int = 0) -> list[str]:
    """So many recordings in a folder; their names."""
    folder.mkdir(parents=True, exist_ok=True)
    names = []
    for number in range(first, first + count):
        name, data = recording(number)
        (folder / name).write_bytes(data)
        names.append(name)
    return names
