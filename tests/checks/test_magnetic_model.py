"""Magnetic variation against the test values published with the World Magnetic Model."""

from __future__ import annotations

import datetime
import math

import pytest

from tests.checks.records import Check, assert_check, check
from volplane.adapters.magnetic import WorldMagneticModel

SOURCE = "NOAA and British Geological Survey, World Magnetic Model 2025, test values"
# latitude and longitude on the ellipsoid, year, declination in degrees
POINTS = [
    ("E9a", 80.0, 0.0, 2025.0, 1.28),
    ("E9b", 0.0, 120.0, 2025.0, -0.16),
    ("E9c", -80.0, 240.0, 2025.0, 68.78),
    ("E9d", 80.0, 0.0, 2027.5, 2.59),
    ("E9e", 0.0, 120.0, 2027.5, -0.24),
    ("E9f", -80.0, 240.0, 2027.5, 68.49),
]
RECORDS = [
    (
        check(id, f"declination at {lat:g}, {lon:g} in {year}", value, "deg", 0.006, "two decimals", SOURCE, "PV"),
        lat,
        lon,
        year,
    )
    for id, lat, lon, year, value in POINTS
]


@pytest.mark.parametrize(("record", "latitude_deg", "longitude_deg", "year"), RECORDS, ids=[r[0].id for r in RECORDS])
def test_the_variation_is_the_published_one(
    record: Check, latitude_deg: float, longitude_deg: float, year: float
) -> None:
    start, end = (datetime.datetime(int(year) + more, 1, 1, tzinfo=datetime.UTC).timestamp() for more in (0, 1))
    moment_s = start + (year - int(year)) * (end - start)
    variation_rad = WorldMagneticModel().variation_east_rad(latitude_deg, longitude_deg, 0.0, moment_s)
    assert_check(record, math.degrees(variation_rad))
