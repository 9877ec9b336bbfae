"""One flight in every format: the same times, places and heights within what each format can write."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.adapters.flights import START_UNIX_S, Fix, glide
from tests.adapters.writers import FOOT_M, WRITERS, Written, arc
from volplane.adapters.formats import sniff
from volplane.domain.track.track import AltitudeSource, Track
from volplane.services.recordings import Recording, read_recording

EVERY = pytest.mark.parametrize("written", WRITERS, ids=lambda written: written.file_name)


def opened(written: Written, data: bytes) -> Recording:
    return read_recording(written.file_name, data, sniff.FORMATS, sniff.unwrapped)


def assert_holds(track: Track | None, fixes: list[Fix], written: Written) -> None:
    """The track is the flight, as closely as the format can write it."""
    assert track is not None
    assert track.altitude_m is not None
    assert track.altitude_source is AltitudeSource.GPS
    seconds = track.start_unix_s - START_UNIX_S + track.time_s
    assert seconds == pytest.approx([fix.second for fix in fixes], abs=written.time_s)
    assert track.latitude_deg == pytest.approx([fix.latitude_deg for fix in fixes], abs=written.place_deg)
    assert track.longitude_deg == pytest.approx([fix.longitude_deg for fix in fixes], abs=written.place_deg)
    assert track.altitude_m == pytest.approx([fix.altitude_ft * FOOT_M for fix in fixes], abs=written.altitude_m)


@EVERY
def test_a_flight_comes_back_from_each_format_within_its_last_digit(written: Written) -> None:
    fixes = glide(60)
    recording = opened(written, written.write(fixes))
    assert_holds(recording.track, fixes, written)
    # by its standard the third coordinate of GeoJSON is above the ellipsoid; nothing else is odd
    assert {problem.code for problem in recording.problems} <= {"altitude-above-ellipsoid"}


@EVERY
def test_two_hours_at_a_fix_a_second_come_back_whole(written: Written) -> None:
    fixes = arc(7200)
    recording = opened(written, written.write(fixes))
    assert recording.track is not None
    assert len(recording.track.time_s) == 7200


# at nought and nought a receiver has no fix; that place is left out
FIX = st.tuples(st.floats(0.1, 89.9) | st.floats(-89.9, -0.1), st.floats(-179.9, 179.9), st.floats(10.0, 15_000.0))


@given(st.sampled_from(WRITERS), st.lists(FIX, min_size=10, max_size=30), st.lists(st.integers(1, 900), min_size=30))
@settings(max_examples=150, deadline=None)
def test_any_track_that_is_written_is_read_back(
    written: Written, places: list[tuple[float, float, float]], steps: list[int]
) -> None:
    """Any place on earth, any step of time; only the speed may be doubted where the places jump."""
    seconds = np.cumsum(steps[: len(places)]).tolist()
    fixes = [Fix(second, *place) for second, place in zip(seconds, places, strict=True)]
    assert_holds(opened(written, written.write(fixes)).track, fixes, written)
