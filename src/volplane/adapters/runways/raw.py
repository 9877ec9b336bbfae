"""The raw tables of airports and of runways, as the open data set publishes them (CSV, each with a line of titles).

Which file is which is told by its titles, not by its name. A line that cannot be used is counted and left out; a file
that is no such table is refused. Heliports, seaplane bases, closed fields and closed runways are left out: nobody
glides an airplane with wheels there.
"""

from __future__ import annotations

import csv
import gzip
import hashlib
import io
import math
import re
import zlib
from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from volplane import units
from volplane.adapters.runways.compact import LARGEST_TEXT_BYTES
from volplane.domain.geometry.runway_ends import PublishedAirfield, PublishedEnd, PublishedRunway
from volplane.errors import FilesRefused, Problem

AIRPORT_TITLES = (
    "ident type name latitude_deg longitude_deg elevation_ft iso_country municipality iata_code gps_code local_code"
).split()
_END_TITLES = "ident latitude_deg longitude_deg elevation_ft heading_degT displaced_threshold_ft".split()
RUNWAY_TITLES = ["airport_ident", "length_ft", "surface", "closed"] + [
    f"{end}_{title}" for end in ("le", "he") for title in _END_TITLES
]
# a newer edition has this column too
_FURTHER_CODE = "icao_code"
LAND_AIRFIELDS = frozenset({"small_airport", "medium_airport", "large_airport"})
_SURFACES = (
    ("water", r"WAT"),
    ("asphalt", r"ASP|BIT|MAC|TAR|PEM|PAVED"),
    ("concrete", r"CON|CEM"),
    ("grass", r"GRS|GRASS|TURF|GRE|SOD"),
    ("gravel", r"GVL|GRV|GRAVEL"),
    ("earth", r"CLA|DIRT|EARTH|SOIL|LAT|SAN|COR"),
    ("snow or ice", r"SNO|ICE"),
)
_LONGEST_WORDS = 80


@dataclass(frozen=True, slots=True)
class RawTables:
    """Both raw tables, read: the airfields with their runways, what was left out, and the digests of the files."""

    airfields: tuple[PublishedAirfield, ...]
    lines_left_out: int
    airports_sha256: str
    runways_sha256: str

    def counted_ends(self) -> tuple[int, int]:
        """How many runway ends there are, and how many of them with the positions of both ends of the runway."""
        runways = [runway for airfield in self.airfields for runway in airfield.runways]
        ends = [(runway, end) for runway in runways for end in (runway.low, runway.high) if end.name]
        placed = sum(None not in (runway.low.latitude_deg, runway.high.latitude_deg) for runway, _ in ends)
        return len(ends), placed


def read_raw(files: Sequence[tuple[str, bytes]]) -> RawTables:
    """The airfields of a table of airports and a table of runways, given as (name, bytes) in any order.

    :raises FilesRefused: a file is neither, or one of the two is missing or given twice.
    """
    tables: dict[str, tuple[str, bytes, str]] = {}
    problems: list[Problem] = []
    for name, data in files:
        try:
            text = _text(name, data)
            kind = _kind(name, text)
            if kind in tables:
                remedy = "Give one table of airports and one of runways."
                raise _refused(name, f"a second table of {kind}", "one of each", remedy, "table-twice")
            tables[kind] = (name, data, text)
        except FilesRefused as refusal:
            problems.extend(refusal.problems)
    shown = files[0][0] if files else ""
    for kind in ("airports", "runways"):
        if not problems and kind not in tables:
            remedy = f"Give the file {kind}.csv too."
            raise _refused(shown, f"no table of {kind}", "a table of airports and one of runways", remedy, "no-table")
    if problems:
        raise FilesRefused(tuple(problems))
    runways, bad_runways = _runways(tables["runways"][2])
    airfields, bad_airfields = _airfields(tables["airports"][2], runways)
    if not airfields:
        remedy = "Take both files from the same day."
        raise _refused(tables["runways"][0], "no runway of any airfield", "runways of airfields", remedy, "no-runways")
    digests = [hashlib.sha256(tables[kind][1]).hexdigest() for kind in ("airports", "runways")]
    return RawTables(airfields, bad_runways + bad_airfields, digests[0], digests[1])


def surface_word(typed: str) -> str:
    """The surface as one word, the first of a mixture; empty when it is not known."""
    first = re.split(r"[-/ ,]", typed.strip().upper(), maxsplit=1)[0]
    return next((word for word, pattern in _SURFACES if re.match(pattern, first)), "")


def _text(name: str, data: bytes) -> str:
    if data[:2] == b"\x1f\x8b":
        try:
            with gzip.open(io.BytesIO(data)) as packed:
                data = packed.read(LARGEST_TEXT_BYTES + 1)
        except (OSError, EOFError, zlib.error):
            remedy = "Fetch it again."
            raise _refused(name, "a damaged compressed file", "a whole one", remedy, "file-damaged") from None
    if len(data) > LARGEST_TEXT_BYTES:
        remedy = "Give the files airports.csv and runways.csv."
        raise _refused(name, "more than 100 MB", "a table of airports or runways", remedy, "table-too-large")
    try:
        return data.decode("utf-8-sig")
    except UnicodeDecodeError as fault:
        place = f"line {data.count(bytes([10]), 0, fault.start) + 1}"
        remedy = "Give the file as it was published."
        problem = Problem(name, place, "a byte that is no UTF-8", "text in UTF-8", remedy, "file-not-utf8")
        raise FilesRefused((problem,)) from None


def _kind(name: str, text: str) -> str:
    titles = set(next(csv.reader([text.split("\n", 1)[0]]), []))
    for kind, wanted, mark in (("airports", AIRPORT_TITLES, "type"), ("runways", RUNWAY_TITLES, "le_ident")):
        missing = [title for title in wanted if title not in titles]
        if not missing:
            return kind
        if mark in titles:
            found = f"a table of {kind} without {', '.join(missing[:3])}"
            remedy = "Give the file as it was published."
            problem = Problem(name, "line 1", found, "every column of it", remedy, "title-missing")
            raise FilesRefused((problem,))
    remedy = "Give the files airports.csv and runways.csv as they were published."
    problem = Problem(name, "line 1", "other titles", "a table of airports or of runways", remedy, "not-such-a-table")
    raise FilesRefused((problem,))


def _rows(text: str) -> Iterator[dict[str, str]]:
    return ({key: value or "" for key, value in row.items() if key} for row in csv.DictReader(io.StringIO(text)))


def _runways(text: str) -> tuple[dict[str, list[PublishedRunway]], int]:
    """Runways by the code of their airfield, and how many lines could not be used."""
    runways: dict[str, list[PublishedRunway]] = defaultdict(list)
    bad = 0
    for row in _rows(text):
        surface = surface_word(row["surface"])
        if row["closed"] == "1" or surface == "water" or row["le_ident"].upper().startswith("H"):
            continue
        try:
            low, high = (_end(row, prefix) for prefix in ("le_", "he_"))
            length_m = _metres(row["length_ft"], 0.0, 40_000.0)
        except ValueError:
            bad += 1
            continue
        if low.name or high.name:
            runways[row["airport_ident"]].append(PublishedRunway(low, high, length_m or None, surface))
    return runways, bad


def _end(row: dict[str, str], prefix: str) -> PublishedEnd:
    latitude = _number(row[f"{prefix}latitude_deg"], -90.0, 90.0)
    longitude = _number(row[f"{prefix}longitude_deg"], -180.0, 180.0)
    heading = _number(row[f"{prefix}heading_degT"], -360.0, 720.0)
    has_place = latitude is not None and longitude is not None
    return PublishedEnd(
        _words(row[f"{prefix}ident"]),
        latitude if has_place else None,
        longitude if has_place else None,
        _metres(row[f"{prefix}elevation_ft"], -2_000.0, 20_000.0),
        _metres(row[f"{prefix}displaced_threshold_ft"], 0.0, 20_000.0) or 0.0,
        None if heading is None else heading % 360.0 * units.DEGREE_RAD,
    )


def _airfields(text: str, runways: dict[str, list[PublishedRunway]]) -> tuple[tuple[PublishedAirfield, ...], int]:
    """The airfields that have a runway, by code, and how many lines could not be used."""
    airfields = {}
    bad = 0
    for row in _rows(text):
        own = runways.get(row["ident"])
        if row["type"] not in LAND_AIRFIELDS or not own:
            continue
        try:
            latitude = _number(row["latitude_deg"], -90.0, 90.0)
            longitude = _number(row["longitude_deg"], -180.0, 180.0)
            elevation_m = _metres(row["elevation_ft"], -2_000.0, 20_000.0)
        except ValueError:
            latitude = longitude = None
        code, name = _words(row["ident"]), _words(row["name"])
        if latitude is None or longitude is None or not code or not name or code in airfields:
            bad += 1
            continue
        titles = (_FURTHER_CODE, "gps_code", "iata_code", "local_code")
        codes = dict.fromkeys(_words(row.get(title, "")).replace(",", " ") for title in titles)
        others = tuple(each for each in codes if each and each != code)
        place, country = _words(row["municipality"]), _words(row["iso_country"])
        airfields[code] = PublishedAirfield(
            code, others, name, place, country, latitude, longitude, elevation_m, tuple(own)
        )
    return tuple(airfields[code] for code in sorted(airfields)), bad


def _words(cell: str) -> str:
    """A cell as words on one line, without letters that steer a terminal."""
    return " ".join("".join(letter if letter.isprintable() else " " for letter in cell).split())[:_LONGEST_WORDS]


def _number(cell: str, least: float, greatest: float) -> float | None:
    """A number, None where the cell is empty. :raises ValueError: no number, or outside its bounds."""
    if not cell.strip():
        return None
    value = float(cell)
    if not (math.isfinite(value) and least <= value <= greatest):
        raise ValueError(cell)
    return value


def _metres(cell: str, least_ft: float, greatest_ft: float) -> float | None:
    value = _number(cell, least_ft, greatest_ft)
    return None if value is None else units.m_from_ft(value)


def _refused(name: str, found: str, expected: str, remedy: str, code: str) -> FilesRefused:
    return FilesRefused((Problem(name, "", found, expected, remedy, code),))
