"""The shipped table of runway ends: its size, its provenance, and that its figures are those of this earth."""

from __future__ import annotations

import datetime
import itertools
import math
import statistics
from collections.abc import Sequence

import pytest

from tests.adapters.toml_texts import NOW_UNIX_S
from volplane.adapters.magnetic import WorldMagneticModel
from volplane.adapters.runways.compact import CompactTable, read_compact
from volplane.adapters.runways.folder import SHIPPED
from volplane.adapters.toml.airfield import read_airfield
from volplane.adapters.toml.airfield_text import write_airfield
from volplane.services.airfields import FoundAirfield, worked_out


@pytest.fixture(scope="module")
def table() -> CompactTable:
    """The shipped table."""
    return read_compact(SHIPPED.read_bytes(), SHIPPED.name, is_own=False)


@pytest.fixture(scope="module")
def sample(table: CompactTable) -> Sequence[FoundAirfield]:
    """Every thirtieth airfield, worked out for today's needle."""
    every = itertools.islice(table.airfields(), 0, None, 30)
    return [worked_out(airfield, WorldMagneticModel(), NOW_UNIX_S) for airfield in every]


def test_it_is_small_dated_and_says_where_it_comes_from(table: CompactTable) -> None:
    assert SHIPPED.stat().st_size < 3_000_000
    origin = table.origin
    assert datetime.date(2025, 1, 1) < datetime.date.fromisoformat(origin.dated) < datetime.date(2027, 1, 1)
    assert "public domain" in origin.licence
    assert len(origin.airports_sha256) == len(origin.runways_sha256) == 64
    assert not origin.is_own


def test_it_holds_the_world(table: CompactTable) -> None:
    # the open data set: over 40,000 small, medium and large airports, of which some two thirds have a runway
    fields = list(table.airfields())
    assert 25_000 < len(fields) < 45_000
    assert len({each.code for each in fields}) == len(fields)
    assert len({each.country for each in fields}) > 200
    assert {(each.latitude_deg > 0, each.longitude_deg > 0) for each in fields} == {
        (north, east) for north in (True, False) for east in (True, False)
    }
    ends = [end for each in fields for way in each.runways for end in (way.low, way.high) if end.name]
    assert 50_000 < len(ends) < 90_000
    assert sum(end.latitude_deg is not None for end in ends) > 25_000
    # the highest airfields of the earth lie a little above 4,400 m, the lowest some 380 m below the sea
    elevations = [each.elevation_msl_m for each in fields if each.elevation_msl_m is not None]
    assert -400.0 < min(elevations) < -300.0
    assert 4_000.0 < max(elevations) < 5_200.0


def test_its_positions_agree_with_what_is_published_beside_them(sample: Sequence[FoundAirfield]) -> None:
    placed = [way for each in sample for way in each.runways if way.between_ends_m is not None]
    usable = [way for way in placed if way.is_usable]
    assert len(placed) > 500
    assert len(usable) / len(placed) > 0.96
    off = [
        abs(way.between_ends_m / way.published_length_m - 1.0)
        for way in usable
        if way.between_ends_m is not None and way.published_length_m is not None
    ]
    assert statistics.median(off) < 0.005
    turned = [
        abs(math.remainder(way.bearing_true_rad - way.published_bearing_true_rad, math.tau))
        for way in usable
        if way.bearing_true_rad is not None and way.published_bearing_true_rad is not None
    ]
    assert math.degrees(statistics.median(turned)) < 0.5
    assert all(way.length_m is not None and 100.0 <= way.length_m <= 6_000.0 for way in usable)


def test_every_airfield_with_a_usable_end_can_be_written_and_read_back(
    table: CompactTable, sample: Sequence[FoundAirfield]
) -> None:
    usable = [
        each
        for each in sample
        if each.usable_count and each.published.elevation_msl_m is not None and abs(each.published.latitude_deg) < 85.0
    ]
    assert len(usable) > 200
    for found in usable:
        text = write_airfield(found, table.origin, {})
        airfield, problems = read_airfield(text, found.published.code, WorldMagneticModel(), NOW_UNIX_S)
        assert problems == ()
        assert airfield is not None
        by_name = {way.name: way for way in found.runways if way.is_usable}
        for runway in airfield.runways:
            way = by_name[runway.name]
            assert runway.length_m == pytest.approx(way.length_m, abs=0.02)
            assert way.bearing_true_rad is not None
            assert abs(math.remainder(runway.bearing_true_rad - way.bearing_true_rad, math.tau)) < 1e-4
