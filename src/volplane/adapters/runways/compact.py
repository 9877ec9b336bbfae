"""The compact table of runway ends: compressed text, a block for each airfield, taken apart only where it is asked for.

First lines: what the file is, then `key TAB value` of its origin, then an empty line. Each block begins with a line
`A` (code, other codes with commas, name, place, country, latitude, longitude, elevation in feet) and holds a line `R`
for each runway (twice name, latitude, longitude, elevation, displaced threshold, true heading; then length and surface;
feet and degrees). Fields are parted by tabs; an empty field is not published.
"""

from __future__ import annotations

import gzip
import zlib
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, field, fields

from volplane import units
from volplane.domain.geometry.runway_ends import PublishedAirfield, PublishedEnd, PublishedRunway
from volplane.errors import FilesRefused, Problem
from volplane.services.airfields import TableEntry, TableOrigin

FIRST_LINE = "volplane runway ends 1"
# the table of the whole world is a tenth of this
LARGEST_TEXT_BYTES = 100_000_000
_END_FIELDS = 6
_ORIGIN_KEYS = tuple(each.name for each in fields(TableOrigin) if each.name != "is_own")


@dataclass(frozen=True, slots=True)
class CompactTable:
    """A table of runway ends held as text; an airfield is taken apart when it is asked for."""

    origin: TableOrigin
    blocks: tuple[str, ...]
    _by_code: dict[str, str] = field(default_factory=dict, compare=False)

    def __post_init__(self) -> None:
        self._by_code.update((block[: block.index("\t")], block) for block in self.blocks)

    def entries(self) -> Iterator[TableEntry]:
        """What the airfields are found by."""
        for block in self.blocks:
            code, others, name, place, _ = block.split("\t", 4)
            yield TableEntry(code, tuple(filter(None, others.split(","))), name, place)

    def airfield(self, code: str) -> PublishedAirfield:
        """The airfield of that very code; KeyError when there is none."""
        return _airfield(self._by_code[code])

    def airfields(self) -> Iterator[PublishedAirfield]:
        """Every airfield, which takes a second."""
        return (_airfield(block) for block in self.blocks)


def read_compact(data: bytes, name: str, *, is_own: bool) -> CompactTable:
    """A table from its file.

    :raises FilesRefused: it is damaged, or no such table.
    """
    try:
        head, *blocks = _unpacked(data).rstrip("\n").split("\nA\t")
        first, *lines = head.rstrip("\n").split("\n")
        origin = TableOrigin(**dict(line.split("\t", 1) for line in lines), is_own=is_own)
        table = CompactTable(origin, tuple(blocks))
        if first != FIRST_LINE or not blocks:
            raise ValueError(first)
        table.airfield(blocks[-1][: blocks[-1].index("\t")])
    except (ValueError, TypeError, IndexError, OSError, EOFError, zlib.error):
        remedy = "Make it again: volplane airfields update FILES; or go back to the shipped one: --shipped."
        raise FilesRefused(
            (Problem(name, "", "no table of runway ends", "one as it was written", remedy, "runway-table-damaged"),)
        ) from None
    return table


def write_compact(origin: TableOrigin, airfields: Iterable[PublishedAirfield]) -> bytes:
    """The file of a table, the same bytes for the same table."""
    lines = [FIRST_LINE, *(f"{key}\t{getattr(origin, key)}" for key in _ORIGIN_KEYS), ""]
    for airfield in airfields:
        lines.append("\t".join(("A", *_airfield_fields(airfield))))
        lines.extend("\t".join(("R", *_runway_fields(runway))) for runway in airfield.runways)
    return gzip.compress(("\n".join(lines) + "\n").encode("utf-8"), compresslevel=9, mtime=0)


def _unpacked(data: bytes) -> str:
    """The text, read no further than a table can be long."""
    opened = zlib.decompressobj(wbits=zlib.MAX_WBITS | 16)
    text = opened.decompress(data, LARGEST_TEXT_BYTES)
    if not opened.eof:
        raise ValueError("cut short, or too long")
    return text.decode("utf-8")


def _airfield(block: str) -> PublishedAirfield:
    head, *lines = block.split("\n")
    code, others, name, place, country, latitude, longitude, elevation = head.split("\t")
    return PublishedAirfield(
        code,
        tuple(filter(None, others.split(","))),
        name,
        place,
        country,
        float(latitude),
        float(longitude),
        _feet(elevation),
        tuple(_runway(line) for line in lines if line.startswith("R\t")),
    )


def _runway(line: str) -> PublishedRunway:
    cells = line.split("\t")[1:]
    low, high, (length, surface) = cells[:_END_FIELDS], cells[_END_FIELDS : 2 * _END_FIELDS], cells[2 * _END_FIELDS :]
    return PublishedRunway(_end(low), _end(high), _feet(length), surface)


def _end(cells: list[str]) -> PublishedEnd:
    name, latitude, longitude, elevation, displaced, heading = cells
    return PublishedEnd(
        name,
        float(latitude) if latitude else None,
        float(longitude) if longitude else None,
        _feet(elevation),
        _feet(displaced) or 0.0,
        float(heading) * units.DEGREE_RAD if heading else None,
    )


def _airfield_fields(airfield: PublishedAirfield) -> Iterator[str]:
    yield from (airfield.code, ",".join(airfield.other_codes), airfield.name, airfield.place, airfield.country)
    yield from (_number(airfield.latitude_deg, 6), _number(airfield.longitude_deg, 6))
    yield _in_feet(airfield.elevation_msl_m)


def _runway_fields(runway: PublishedRunway) -> Iterator[str]:
    for end in (runway.low, runway.high):
        yield from (end.name, _number(end.latitude_deg, 6), _number(end.longitude_deg, 6))
        yield from (_in_feet(end.elevation_msl_m), _in_feet(end.displaced_m or None))
        yield _number(None if end.bearing_true_rad is None else end.bearing_true_rad / units.DEGREE_RAD, 2)
    yield from (_in_feet(runway.length_m), runway.surface)


def _feet(cell: str) -> float | None:
    return units.m_from_ft(float(cell)) if cell else None


def _in_feet(length_m: float | None) -> str:
    return _number(None if length_m is None else units.ft_from_m(length_m), 1)


def _number(value: float | None, decimals: int) -> str:
    """A number as short as it can be written; a millionth of a degree is a tenth of a metre."""
    if value is None:
        return ""
    text = f"{value:.{decimals}f}"
    return (text.rstrip("0").rstrip(".") if "." in text else text) or "0"
