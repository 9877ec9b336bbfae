"""Cleaning leaves out what only the receiver can have got wrong, and nothing else."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from numpy.typing import NDArray

from volplane.domain.geometry.local_frame import LocalFrame
from volplane.domain.track.cleaning import cleaned, flights_apart, growing
from volplane.domain.track.track import AltitudeSource, Track

Array = NDArray[np.float64]


def straight(seconds: int = 60) -> Track:
    """North along a meridian at 55 m/s, sinking 5 m/s."""
    time = np.arange(float(seconds))
    return Track(
        0.0, time, 44.0 + 55.0 * time / 111_000.0, np.full(seconds, -40.0), 900.0 - 5.0 * time, AltitudeSource.GPS
    )


def test_a_sound_track_is_given_back_as_it_is() -> None:
    track = straight()
    same, notes = cleaned(track)
    assert same is track
    assert notes == ()


def test_a_fix_that_cannot_have_been_flown_is_left_out() -> None:
    track = straight()
    track.latitude_deg[30] += 0.05
    track.longitude_deg[45] -= 0.4
    clean, notes = cleaned(track)
    assert clean.time_s.tolist() == [t for t in track.time_s.tolist() if t not in (30.0, 45.0)]
    assert notes == ("2 fixes too far off the path to have been flown were left out.",)
    assert clean.altitude_m is not None
    assert len(clean.altitude_m) == 58


def test_a_first_fix_degrees_away_does_not_take_the_others_with_it() -> None:
    track = straight()
    track.latitude_deg[0] = 41.0
    clean, _ = cleaned(track)
    assert clean.time_s[0] == 1.0
    assert len(clean.time_s) == 59


def test_positions_repeated_while_moving_are_left_out_and_those_of_a_parked_airplane_stay() -> None:
    track = straight()
    track.latitude_deg[20:24] = track.latitude_deg[20]
    clean, notes = cleaned(track)
    assert [t for t in track.time_s.tolist() if t not in clean.time_s] == [21.0, 22.0, 23.0]
    assert notes == ("3 repeated positions while the airplane was moving were left out.",)
    parked = dataclasses.replace(track, latitude_deg=np.full(60, 44.0), altitude_m=np.full(60, 280.0))
    assert cleaned(parked) == (parked, ())


def test_an_altitude_that_jumps_becomes_missing_and_the_fix_stays() -> None:
    track = straight()
    assert track.altitude_m is not None
    track.altitude_m[[10, 40]] += (4000.0, -900.0)
    clean, notes = cleaned(track)
    assert clean.altitude_m is not None
    assert np.flatnonzero(np.isnan(clean.altitude_m)).tolist() == [10, 40]
    assert notes == ("2 altitudes that jump were left out.",)


def test_a_missing_position_is_left_out_and_a_gap_is_said() -> None:
    track = straight()
    track.latitude_deg[5] = np.nan
    track.longitude_deg[30:50] = np.nan
    clean, notes = cleaned(track)
    assert len(clean.time_s) == 39
    assert notes == ("21 fixes without a position were left out.", "1 gaps in the recording, the longest 21 s.")


@pytest.mark.parametrize(
    "times, kept",
    [
        ([0.0, 1.0, 2.0], [0, 1, 2]),
        ([0.0, 1.0, 1.0, 2.0], [0, 1, 3]),
        ([0.0, 1.0, 0.5, 2.0, 3.0], [0, 1, 3, 4]),
        ([0.0, 99.0, 1.0, 2.0, 3.0], [0, 2, 3, 4]),
        ([0.0, np.nan, 1.0], [0, 2]),
    ],
)
def test_times_that_do_not_grow_are_left_out_whoever_is_to_blame(times: list[float], kept: list[int]) -> None:
    keep, notes = growing(np.array(times))
    assert np.flatnonzero(keep).tolist() == kept
    assert bool(notes) == (len(kept) < len(times))


@pytest.mark.parametrize("displaced_m", [1_500.0, 40_000.0])
def test_a_stretch_of_wrong_places_is_left_out_as_a_whole(displaced_m: float) -> None:
    """Ten seconds somewhere else: part of them would be within reach of the last right fix by their time."""
    track = straight()
    track.longitude_deg[25:35] += displaced_m / 80_000.0
    clean, notes = cleaned(track)
    assert [t for t in track.time_s.tolist() if t not in clean.time_s] == list(range(25, 35))
    assert notes[0] == "10 fixes too far off the path to have been flown were left out."


def test_a_stretch_of_wrong_altitudes_becomes_missing_as_a_whole() -> None:
    track = straight()
    assert track.altitude_m is not None
    track.altitude_m[20:32] += 700.0
    clean, _ = cleaned(track)
    assert clean.altitude_m is not None
    assert np.flatnonzero(np.isnan(clean.altitude_m)).tolist() == list(range(20, 32))


def test_a_steep_descent_is_no_jump() -> None:
    track = dataclasses.replace(straight(), altitude_m=3_000.0 - 30.0 * np.arange(60.0))
    assert cleaned(track) == (track, ())


def test_the_date_line_is_no_jump_and_no_place_of_its_own() -> None:
    time = np.arange(60.0)
    east = 179.99 + 55.0 * time / 80_000.0
    track = dataclasses.replace(straight(), longitude_deg=np.where(east > 180.0, east - 360.0, east))
    assert cleaned(track) == (track, ())
    x_m, y_m = LocalFrame(44.0, 179.995, np.pi / 2.0).xy_m(np.full(60, 44.0), track.longitude_deg)
    assert np.diff(x_m) == pytest.approx(55.0, rel=0.01)
    assert np.abs(y_m).max() < 5.0


def test_flights_hours_apart_in_one_file_are_parted_and_keep_their_times() -> None:
    track = straight()
    gap = np.where(track.time_s < 30.0, 0.0, 90_000.0)
    first, second = flights_apart(dataclasses.replace(track, time_s=track.time_s + gap))
    assert first.time_s.tolist() == list(range(30))
    assert second.time_s.tolist() == [90_000.0 + second for second in range(30, 60)]
    assert second.altitude_m is not None
    assert len(second.altitude_m) == 30
    assert flights_apart(track) == (track,)


def test_a_parked_airplane_is_not_frozen_by_one_wild_fix() -> None:
    track = straight()
    parked = dataclasses.replace(track, latitude_deg=np.full(60, 44.0), altitude_m=np.full(60, 280.0))
    parked.latitude_deg[50] += 0.02
    clean, notes = cleaned(parked)
    assert len(clean.time_s) == 59
    assert notes == ("1 fixes too far off the path to have been flown were left out.",)
