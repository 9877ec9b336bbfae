"""What is written is read back: the same track within the digits that were written."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from volplane.adapters.formats import csv, gpx
from volplane.domain.track.track import AltitudeSource, Track

DEGREE = math.pi / 180.0
KNOT = 1852.0 / 3600.0
# half of the last digit written, in the unit of the track
HALF_DIGIT = {
    "latitude_deg": 0.51e-7,
    "longitude_deg": 0.51e-7,
    "altitude_m": 0.051 * 0.3048,
    "ground_speed_mps": 0.0051 * KNOT,
    "track_true_rad": 0.0051 * DEGREE,
    "ias_mps": 0.0051 * KNOT,
    "tas_mps": 0.0051 * KNOT,
    "heading_true_rad": 0.0051 * DEGREE,
    "bank_rad": 0.0051 * DEGREE,
    "vertical_speed_mps": 0.051 * 0.3048 / 60.0,
    "air_temperature_k": 0.051,
    "manifold_pressure_pa": 0.0051 * 3386.389,
    "engine_speed_radps": 0.51 * 2.0 * math.pi / 60.0,
}
RANGES = {
    "altitude_m": (-100.0, 5000.0),
    "track_true_rad": (0.0, 2.0 * math.pi),
    "ias_mps": (0.0, 120.0),
    "tas_mps": (0.0, 120.0),
    "heading_true_rad": (0.0, 2.0 * math.pi),
    "bank_rad": (-1.0, 1.0),
    "vertical_speed_mps": (-15.0, 15.0),
    "air_temperature_k": (230.0, 320.0),
    "manifold_pressure_pa": (30_000.0, 110_000.0),
    "engine_speed_radps": (50.0, 300.0),
}


@st.composite
def tracks(draw: st.DrawFn) -> Track:
    """Any flight at a steady speed, with any channels, holes in time and missing samples."""
    rng = np.random.default_rng(draw(st.integers(0, 2**32 - 1)))
    count = draw(st.integers(12, 60))
    # milliseconds are written
    time_s = np.cumsum(np.round(rng.choice([0.1, 0.2, 1.0, 1.0, 1.0, 45.0], count), 3))
    latitude, longitude = draw(st.floats(-80.0, 80.0)), draw(st.floats(-179.0, 179.0))
    speed_mps, course = draw(st.floats(30.0, 100.0)), draw(st.floats(0.0, 2.0 * math.pi))
    metre_deg = math.degrees(1.0 / 6_371_000.0)
    channels = {
        name: np.where(rng.random(count) < 0.1, np.nan, rng.uniform(*limits, count))
        for name, limits in RANGES.items()
        if draw(st.booleans())
    }
    if draw(st.booleans()):
        channels["ground_speed_mps"] = np.full(count, speed_mps)
    channels = {name: value for name, value in channels.items() if np.isfinite(value).any()}
    sources = [AltitudeSource.GPS, AltitudeSource.PRESSURE, AltitudeSource.INDICATED]
    return Track(
        start_unix_s=draw(st.integers(1_000_000_000, 1_900_000_000)) + float(time_s[0]),
        time_s=time_s - time_s[0],
        latitude_deg=latitude + speed_mps * time_s * math.cos(course) * metre_deg,
        longitude_deg=np.clip(
            longitude + speed_mps * time_s * math.sin(course) * metre_deg / math.cos(math.radians(latitude)),
            -180,
            179.9,
        ),
        altitude_m=channels.pop("altitude_m", None),
        altitude_source=draw(st.sampled_from(sources)),
        **channels,
    )


def assert_same(read: Track | None, written: Track, half_digit: dict[str, float]) -> None:
    assert read is not None
    assert read.start_unix_s == pytest.approx(written.start_unix_s, abs=0.00051)
    np.testing.assert_allclose(read.time_s, written.time_s, atol=0.00101)
    for name, tolerance in half_digit.items():
        value, expected = getattr(read, name), getattr(written, name)
        if expected is None:
            assert value is None, name
            continue
        off = value - expected
        if name in ("track_true_rad", "heading_true_rad"):
            off = np.remainder(off + math.pi, 2.0 * math.pi) - math.pi
        np.testing.assert_array_equal(np.isnan(value), np.isnan(expected), err_msg=name)
        assert np.nanmax(np.abs(off)) <= tolerance, name


@given(tracks())
@settings(max_examples=60, deadline=None)
def test_a_table_written_is_the_track_read(track: Track) -> None:
    read, problems = csv.read("written.csv", csv.write(track))
    assert problems == ()
    assert_same(read, track, HALF_DIGIT)
    assert read is not None
    if track.altitude_m is not None:
        assert read.altitude_source is track.altitude_source


@given(tracks())
@settings(max_examples=60, deadline=None)
def test_a_gpx_written_is_the_track_read(track: Track) -> None:
    read, problems = gpx.read("written.gpx", gpx.write(track))
    assert problems == ()
    assert_same(read, track, {"latitude_deg": 0.51e-7, "longitude_deg": 0.51e-7, "altitude_m": 0.0051})


class Easterly:
    """A variation that grows by a degree for each degree of longitude."""

    def variation_east_rad(
        self, latitude_deg: float, longitude_deg: float, altitude_msl_m: float, time_unix_s: float
    ) -> float:
        return (20.0 + longitude_deg / 10.0) * DEGREE


def test_headings_are_written_magnetic_for_a_variation_and_read_back_true() -> None:
    count = 30
    track = Track(
        start_unix_s=1_778_767_200.0,
        time_s=np.arange(float(count)),
        latitude_deg=np.linspace(44.0, 44.01, count),
        longitude_deg=np.full(count, -40.0),
        altitude_m=None,
        altitude_source=AltitudeSource.NONE,
        heading_true_rad=np.full(count, 10.0 * DEGREE),
    )
    data = csv.write(track, Easterly())
    lines = data.decode().splitlines()
    assert lines[0].endswith("Heading (deg magnetic)")
    assert lines[1].endswith(",354.00")  # 10 true, 16 degrees east
    read, problems = csv.read("written.csv", data, None, Easterly())
    assert problems == ()
    assert_same(read, track, HALF_DIGIT)


def test_a_written_table_is_plain_to_any_other_program() -> None:
    """RFC 4180 (Shafranovich, 2005), section 2: every line ends in CRLF, every line has as many cells as the titles."""
    count = 12
    track = Track(
        start_unix_s=1_778_767_200.0,
        time_s=np.arange(float(count)),
        latitude_deg=np.linspace(44.0, 44.01, count),
        longitude_deg=np.full(count, -40.0),
        altitude_m=np.full(count, 300.0),
        altitude_source=AltitudeSource.GPS,
        ias_mps=np.full(count, math.nan),
    )
    text = csv.write(track).decode("ascii")
    lines = text.split("\r\n")
    assert lines.pop() == ""
    assert {line.count(",") for line in lines} == {4}
    assert lines[1] == "2026-05-14T14:00:00.000Z,44.0000000,-40.0000000,984.3,"
