"""Cleaning leaves out what only the receiver can have got wrong, and nothing else."""

from __future__ import annotations

import dataclasses

import numpy as np
import pytest
from numpy.typing import NDArray

from volplane.domain.track.cleaning import cleaned, growing
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
