"""Raw tables of airports and runways: what is taken, what is left out, what is refused."""

from __future__ import annotations

import gzip
import hashlib
import math

import pytest

from tests.airfield_tables import AIRPORT_TITLES, AIRPORTS, RUNWAY_TITLES, RUNWAYS, raw_tables, runway, table
from volplane.adapters.runways.compact import CompactTable, read_compact, write_compact
from volplane.adapters.runways.raw import RawTables, read_raw, surface_word
from volplane.domain.geometry.runway_ends import PublishedAirfield
from volplane.errors import FilesRefused
from volplane.services.airfields import TableEntry, TableOrigin
from volplane.units import FOOT_M

ORIGIN = TableOrigin("2026-02-28", "invented", "none", "a" * 64, "b" * 64)


def read(runways: bytes | None = None, airports: bytes | None = None) -> RawTables:
    """The two tables, one of them changed."""
    own_airports, own_runways = raw_tables()
    files = [("runways.csv", runways or own_runways), ("airports.csv", airports or own_airports)]
    return read_raw(files)


def field(code: str) -> PublishedAirfield:
    """One airfield of the tables."""
    return next(each for each in read().airfields if each.code == code)


def test_only_land_airfields_with_an_open_runway_are_taken() -> None:
    assert [each.code for each in read().airfields] == ["ZZDM", "ZZNE", "ZZQM", "ZZUP"]
    assert [way.low.name for way in field("ZZQM").runways] == ["07"]


def test_an_airfield_is_what_the_tables_say_in_si() -> None:
    airfield = field("ZZQM")
    (way,) = airfield.runways
    assert (airfield.name, airfield.other_codes, airfield.country) == ("Quill Meadow", ("QMX", "Q1"), "ZZ")
    assert airfield.elevation_msl_m == pytest.approx(940 * FOOT_M)
    assert (way.length_m, way.surface) == (pytest.approx(4400 * FOOT_M), "asphalt")
    assert (way.low.displaced_m, way.high.displaced_m) == (pytest.approx(400 * FOOT_M), 0.0)
    assert (way.low.elevation_msl_m, way.high.elevation_msl_m) == (pytest.approx(938 * FOOT_M), None)
    assert way.low.bearing_true_rad == pytest.approx(math.radians(58.4))


def test_half_a_position_is_none_and_an_empty_elevation_is_not_known() -> None:
    assert field("ZZUP").runways[0].low.longitude_deg is None
    assert field("ZZNE").elevation_msl_m is None


def test_the_digests_are_those_of_the_files_and_packed_files_are_read_alike() -> None:
    airports, runways = raw_tables()
    plain, packed = read(), read(gzip.compress(runways), gzip.compress(airports))
    assert plain.airports_sha256 == hashlib.sha256(airports).hexdigest()
    assert packed.airfields == plain.airfields
    assert packed.runways_sha256 != plain.runways_sha256


@pytest.mark.parametrize(
    "bad", [{"le_latitude_deg": "north"}, {"le_latitude_deg": 91}, {"length_ft": -3}, {"he_longitude_deg": "nan"}]
)
def test_a_line_that_cannot_be_used_is_left_out_and_counted(bad: dict[str, object]) -> None:
    tables = read(table(RUNWAY_TITLES, [*RUNWAYS, runway("ZZNR", 44.4, **bad)]))
    assert tables.lines_left_out == 1
    assert "ZZNR" not in [each.code for each in tables.airfields]


def test_letters_that_steer_a_terminal_do_not_get_in() -> None:
    airports = table(AIRPORT_TITLES, [{**AIRPORTS[0], "name": "Quill\x1b[31m\tMeadow\n"}])
    assert read(airports=airports).airfields[0].name == "Quill [31m Meadow"


@pytest.mark.parametrize(
    ("files", "code"),
    [
        ([("airports.csv", raw_tables()[0])], "no-table"),
        ([("runways.csv", raw_tables()[1])], "no-table"),
        ([("a.csv", raw_tables()[0]), ("b.csv", raw_tables()[0])], "table-twice"),
        ([("a.csv", b"time,altitude\n1,2\n"), ("runways.csv", raw_tables()[1])], "not-such-a-table"),
        ([("a.csv", b""), ("runways.csv", raw_tables()[1])], "not-such-a-table"),
        ([("a.csv", b"ident,type,name\n"), ("runways.csv", raw_tables()[1])], "title-missing"),
        ([("a.csv", b"\xff\xfe"), ("runways.csv", raw_tables()[1])], "file-not-utf8"),
        ([("a.csv.gz", gzip.compress(raw_tables()[0])[:200]), ("runways.csv", raw_tables()[1])], "file-damaged"),
        ([("a.csv", raw_tables()[0]), ("b.csv", table(RUNWAY_TITLES, []))], "no-runways"),
    ],
)
def test_files_that_are_not_both_tables_are_refused(files: list[tuple[str, bytes]], code: str) -> None:
    with pytest.raises(FilesRefused, match=r"found .*, expected ") as refused:
        read_raw(files)
    assert [problem.code for problem in refused.value.problems] == [code]


@pytest.mark.parametrize(
    ("typed", "word"),
    [
        ("ASPH-G", "asphalt"),
        ("CON", "concrete"),
        ("GRS", "grass"),
        ("Turf/Dirt", "grass"),
        ("GRVL-F", "gravel"),
        ("WATER", "water"),
        ("UNK", ""),
        ("", ""),
    ],
)
def test_surfaces_are_one_word(typed: str, word: str) -> None:
    assert surface_word(typed) == word


def compact() -> CompactTable:
    """The tables in their compact form, written and read."""
    return read_compact(write_compact(ORIGIN, read().airfields), "table", is_own=False)


def test_the_compact_form_gives_back_what_went_in() -> None:
    table_read = compact()
    assert table_read.origin == ORIGIN
    for before, after in zip(read().airfields, table_read.airfields(), strict=True):
        assert (after.code, after.other_codes, after.name) == (before.code, before.other_codes, before.name)
        assert after.elevation_msl_m == pytest.approx(before.elevation_msl_m)
        for way, again in zip(before.runways, after.runways, strict=True):
            assert again.low.latitude_deg == pytest.approx(way.low.latitude_deg, abs=1e-6)
            assert again.high.longitude_deg == pytest.approx(way.high.longitude_deg, abs=1e-6)
            assert (again.length_m, again.surface) == (pytest.approx(way.length_m), way.surface)
            assert again.low.displaced_m == pytest.approx(way.low.displaced_m)
            assert again.low.bearing_true_rad == pytest.approx(way.low.bearing_true_rad, abs=1e-4)


def test_the_compact_form_is_found_by_code_and_is_the_same_bytes_every_time() -> None:
    assert compact().airfield("ZZQM").name == "Quill Meadow"
    assert TableEntry("ZZQM", ("QMX", "Q1"), "Quill Meadow", "Middle Ocean") in list(compact().entries())
    assert write_compact(ORIGIN, read().airfields) == write_compact(ORIGIN, read().airfields)


@pytest.mark.parametrize(
    "damage",
    [
        lambda data: b"",
        lambda data: data[:-20],
        lambda data: data[:40] + bytes([data[40] ^ 255]) + data[41:],
        lambda data: gzip.compress(b"name,place\n"),
        lambda data: gzip.compress(gzip.decompress(data).replace(b"runway ends 1", b"runway ends 2")),
        lambda data: gzip.compress(gzip.decompress(data).split(b"\nA\t")[0]),
        lambda data: gzip.compress(gzip.decompress(data).replace(b"licence\tnone\n", b"")),
    ],
)
def test_a_damaged_table_is_refused_with_the_way_back(damage: object) -> None:
    assert callable(damage)
    with pytest.raises(FilesRefused, match="--shipped"):
        read_compact(damage(write_compact(ORIGIN, read().airfields)), "own table", is_own=True)
