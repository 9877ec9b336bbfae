"""Finding an airfield in a table of runway ends, by code, by name, by a part of either."""

from __future__ import annotations

import math
import unicodedata
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Protocol

from volplane.domain.geometry.runway_ends import LandingRunway, PublishedAirfield, landing_runways
from volplane.errors import Refusal
from volplane.services.ports import MagneticVariation

# nobody reads more at a terminal
USUAL_MOST = 10


@dataclass(frozen=True, slots=True)
class TableOrigin:
    """Where a table of runway ends comes from: its day (ISO), its source and licence in words, the digests of the raw
    tables it was made of, and whether the user put it in place of the one that is shipped."""

    dated: str
    source: str
    licence: str
    airports_sha256: str
    runways_sha256: str
    is_own: bool = False


@dataclass(frozen=True, slots=True)
class TableEntry:
    """What an airfield is found by."""

    code: str
    other_codes: tuple[str, ...]
    name: str
    place: str


class RunwayTable(Protocol):
    """A table of runway ends: where it comes from, what its airfields are found by, and each airfield by its code."""

    @property
    def origin(self) -> TableOrigin: ...

    def entries(self) -> Iterable[TableEntry]: ...

    def airfield(self, code: str) -> PublishedAirfield: ...

    def airfields(self) -> Iterator[PublishedAirfield]: ...


@dataclass(frozen=True, slots=True)
class FoundAirfield:
    """An airfield of the table with its runway ends worked out."""

    published: PublishedAirfield
    runways: tuple[LandingRunway, ...]

    @property
    def usable_count(self) -> int:
        """How many of its runway ends an exercise may be planned on."""
        return sum(runway.is_usable for runway in self.runways)


@dataclass(frozen=True, slots=True)
class Search:
    """What a text found: codes, the best match first, and whether the first is meant and no other."""

    text: str
    codes: tuple[str, ...]
    is_exact: bool

    @property
    def is_one(self) -> bool:
        """Whether one airfield is meant: the only one found, or the only one with that very code or name."""
        return self.is_exact or len(self.codes) == 1


@dataclass(frozen=True, slots=True)
class AirfieldsFound:
    """An answer of the table: the search, the first airfields it found, worked out, and where the table comes from."""

    search: Search
    airfields: tuple[FoundAirfield, ...]
    origin: TableOrigin

    @property
    def the_one(self) -> FoundAirfield:
        """The airfield that is meant.

        :raises SeveralAirfields: several answer to the text, and none of them by its very code or name.
        """
        if not self.search.is_one:
            raise SeveralAirfields(self.search.text, self.search.codes)
        return self.airfields[0]


@dataclass(frozen=True, slots=True)
class TableMade:
    """A table made of raw ones: where it comes from, what it holds, what was left out, and where it lies.

    `placed_ends_count` is how many of its runway ends have positions.
    """

    origin: TableOrigin
    airfields_count: int
    runway_ends_count: int
    placed_ends_count: int
    lines_left_out: int
    path: str


class AirfieldUnknown(Refusal):
    """No airfield of the table answers to a text."""

    code = "airfield-unknown"

    def __init__(self, text: str, dated: str) -> None:
        super().__init__(f'nothing for "{text}" in the table of {dated}')
        self.text = text
        self.dated = dated


class SeveralAirfields(Refusal):
    """One airfield is to be written and several answer to the text."""

    code = "several-airfields"

    def __init__(self, text: str, codes: tuple[str, ...]) -> None:
        super().__init__(f'"{text}" is {len(codes)} airfields')
        self.text = text
        self.codes = codes


class AirfieldNotPlaced(Refusal):
    """An airfield none of whose runway ends can be used, or whose elevation is not known."""

    code = "airfield-not-placed"

    def __init__(self, code: str, name: str, lacks: str) -> None:
        super().__init__(f"{code}: no {lacks}")
        self.airfield_code = code
        self.name = name
        self.lacks = lacks


def search(table: RunwayTable, text: str) -> Search:
    """The airfields that answer to a text: every word of it stands in a code, the name or the place.

    The very code comes first, then the very name, then names and places with words that begin so, then
    parts of them; of equals first those whose runway ends have positions.

    :raises AirfieldUnknown: there is none.
    """
    wanted = plain(text)
    words = wanted.split()
    ranks = {
        entry.code: rank for entry in table.entries() if words and (rank := _rank(entry, wanted, words)) is not None
    }
    if not ranks:
        raise AirfieldUnknown(text, table.origin.dated)
    ranked = sorted(ranks, key=lambda code: (ranks[code], not _has_positions(table.airfield(code)), code))
    best = ranks[ranked[0]]
    is_exact = best <= _VERY_NAME and sum(rank == best for rank in ranks.values()) == 1
    return Search(text, tuple(ranked), is_exact)


def _has_positions(airfield: PublishedAirfield) -> bool:
    return any(None not in (runway.low.latitude_deg, runway.high.latitude_deg) for runway in airfield.runways)


_PLAIN_ASCII = {number: chr(number).lower() if chr(number).isalnum() else " " for number in range(128)}


def plain(text: str) -> str:
    """A text for comparison: small letters without accents, anything else than letters and digits a blank."""
    if text.isascii():
        return " ".join(text.translate(_PLAIN_ASCII).split())
    parts = unicodedata.normalize("NFKD", text.casefold())
    kept = "".join(letter if letter.isalnum() else " " for letter in parts if not unicodedata.combining(letter))
    return " ".join(kept.split())


def find(table: RunwayTable, text: str, most: int, variation: MagneticVariation, time_unix_s: float) -> AirfieldsFound:
    """The first airfields that answer to a text, their runway ends worked out.

    :raises AirfieldUnknown: there is none.
    """
    found = search(table, text)
    shown = tuple(worked_out(table.airfield(code), variation, time_unix_s) for code in found.codes[:most])
    return AirfieldsFound(found, shown, table.origin)


def worked_out(airfield: PublishedAirfield, variation: MagneticVariation, time_unix_s: float) -> FoundAirfield:
    """An airfield with its landing directions; a day without a magnetic model leaves names to be compared with true."""
    try:
        east_rad = variation.variation_east_rad(
            airfield.latitude_deg, airfield.longitude_deg, airfield.elevation_msl_m or 0.0, time_unix_s
        )
    except Refusal:
        east_rad = math.nan
    return FoundAirfield(airfield, landing_runways(airfield, east_rad))


_VERY_CODE, _OTHER_CODE, _VERY_NAME, _BEGINNINGS_IN_NAME, _BEGINNINGS, _PARTS = range(6)


def _rank(entry: TableEntry, wanted: str, words: list[str]) -> int | None:
    code = plain(entry.code)
    if wanted == code:
        return _VERY_CODE
    codes = [code, *(plain(each) for each in entry.other_codes)]
    if wanted in codes:
        return _OTHER_CODE
    name = plain(entry.name)
    everything = f"{name} {plain(entry.place)} {' '.join(codes)}"
    if not all(word in everything for word in words):
        return None
    if wanted == name:
        return _VERY_NAME
    if all(f" {word}" in f" {name}" for word in words):
        return _BEGINNINGS_IN_NAME
    return _BEGINNINGS if all(f" {word}" in f" {everything}" for word in words) else _PARTS
