"""Steady segments of a recording: found where the flight was steady, with what was flown there."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest

from tests.mornings import TruePolar
from tests.recorded_morning import CALM, START_UNIX_S, Day, Part, glides_both_ways, recorded, without
from volplane.domain.track.segments import GLIDES, LEGS, SteadyLimits, SteadySegment, segment_between, steady_segments
from volplane.domain.track.track import AltitudeSource
from volplane.units import INCH_OF_MERCURY_PA, KNOT_MPS

POLAR = TruePolar(54.0, 9.6)
SPEEDS_KT = (85.0, 105.0, 130.0)
CALM_HOUR = recorded(POLAR, glides_both_ways(SPEEDS_KT), CALM)
# each glide: climb of 150 s, 20 s to settle, 100 s
STARTS_S = [270.0 * i + 150.0 for i in range(6)]


def test_every_glide_of_a_calm_flight_is_found_once_and_nothing_else() -> None:
    found = steady_segments(CALM_HOUR)
    assert len(found) == 6
    for segment, start_s in zip(found, STARTS_S, strict=True):
        assert start_s < segment.start_unix_s - START_UNIX_S < start_s + 30.0
        assert start_s + 95.0 < segment.end_unix_s - START_UNIX_S < start_s + 130.0


def test_a_segment_holds_what_was_flown() -> None:
    for segment, speed_kt in zip(steady_segments(CALM_HOUR), np.repeat(SPEEDS_KT, 2), strict=True):
        assert segment.ias_mps == pytest.approx(speed_kt * KNOT_MPS, abs=0.4)
        assert segment.manifold_pressure_pa == pytest.approx(10.0 * INCH_OF_MERCURY_PA, rel=0.02)
        assert segment.bank_rad < 0.01
        assert segment.altitude_source is AltitudeSource.GPS
        # in still air the velocity over the ground is the level part of the true airspeed, along the nose
        assert segment.tas_mps is not None
        assert segment.east_mps is not None
        assert segment.north_mps is not None
        assert segment.heading_true_rad is not None
        level_mps = math.sqrt(segment.tas_mps**2 - segment.sink_mps**2)
        assert math.hypot(segment.east_mps, segment.north_mps) == pytest.approx(level_mps, rel=2e-3)
        assert segment.track_true_rad == pytest.approx(segment.heading_true_rad, abs=0.01)
        # at a constant indicated airspeed the true one falls on the way down
        first = round(segment.start_unix_s - START_UNIX_S)
        last = first + round(segment.duration_s)
        slowing = (CALM_HOUR.tas_mps[last] - CALM_HOUR.tas_mps[first]) / segment.duration_s
        assert slowing < 0.0
        assert segment.ground_acceleration_mps2 == pytest.approx(slowing, abs=0.004)
        assert abs(segment.speed_change_mps2) < 0.01


def test_power_climbs_turns_and_changes_of_speed_are_no_glides() -> None:
    parts = [Part(55.0, 120, has_power=True), Part(55.0, 120, turn_rad=2.0 * math.pi)]
    parts += [Part(55.0 + 7.0 * i, 25) for i in range(5)]
    assert steady_segments(recorded(POLAR, parts, CALM)) == ()


def test_a_change_of_power_within_a_descent_ends_the_segment() -> None:
    parts = [Part(55.0, 90), Part(55.0, 90, has_power=True, thrust_to_weight=0.05)]
    found = steady_segments(recorded(POLAR, parts, CALM))
    assert [round(each.manifold_pressure_pa / INCH_OF_MERCURY_PA) for each in found] == [10, 25]


def test_a_hole_in_the_recording_ends_a_segment() -> None:
    track = recorded(POLAR, [Part(55.0, 200)], CALM)
    keep = (track.time_s < 90.0) | (track.time_s > 120.0)
    names = [name for name in track.__dataclass_fields__ if isinstance(getattr(track, name), np.ndarray)]
    broken = replace(track, **{name: getattr(track, name)[keep] for name in names})
    assert [round(each.duration_s) for each in steady_segments(broken)] == [72, 62]


@pytest.mark.parametrize(
    "lacking",
    [("bank_rad",), ("ias_mps",), ("tas_mps", "ias_mps"), ("ground_speed_mps", "track_true_rad", "bank_rad")],
)
def test_what_a_recorder_lacks_is_made_of_what_it_has(lacking: tuple[str, ...]) -> None:
    found = steady_segments(without(CALM_HOUR, *lacking))
    assert len(found) == 6
    for segment, whole in zip(found, steady_segments(CALM_HOUR), strict=True):
        assert segment.sink_mps == pytest.approx(whole.sink_mps, abs=0.1)


def test_level_legs_are_found_when_descents_are_not_asked_for() -> None:
    # thrust as large as the drag keeps the height
    level = Part(55.0, 60, has_power=True, thrust_to_weight=0.1075)
    track = recorded(POLAR, [level], CALM)
    assert abs(float(track.altitude_m[-1] - track.altitude_m[10])) < 30.0
    assert steady_segments(track) == ()
    assert len(steady_segments(track, LEGS)) == 1


def test_a_short_stretch_is_not_enough() -> None:
    track = recorded(POLAR, [Part(55.0, 35)], CALM)
    assert steady_segments(track) == ()
    assert len(steady_segments(track, SteadyLimits(least_duration_s=20.0))) == 1


def test_the_sink_of_a_segment_lies_within_its_own_uncertainty() -> None:
    # the receiver alone: air and hands still, so the real sink is that of the calm flight
    receiver = replace(CALM, height_drift_m=5.0)
    calm = [each.sink_mps for each in steady_segments(CALM_HOUR)]
    off = []
    for seed in range(12):
        noisy = steady_segments(replace_noise(seed, receiver))
        off += [(each.sink_mps - sink) / each.sink_sd_mps for each, sink in zip(noisy, calm, strict=True)]
    assert 0.5 < float(np.std(off)) < 1.5


def replace_noise(seed: int, day: Day):  # type: ignore[no-untyped-def]
    return recorded(POLAR, glides_both_ways(SPEEDS_KT), day, seed)


def test_a_marked_window_is_taken_as_it_is() -> None:
    marked = segment_between(CALM_HOUR, START_UNIX_S + 180.0, START_UNIX_S + 230.0)
    assert marked is not None
    assert marked.start_unix_s == START_UNIX_S + 180.0
    assert marked.duration_s == 50.0
    assert segment_between(CALM_HOUR, START_UNIX_S - 500.0, START_UNIX_S - 400.0) is None


def test_without_altitudes_there_is_nothing_to_find() -> None:
    track = replace(CALM_HOUR, altitude_m=None, altitude_source=AltitudeSource.NONE)
    assert steady_segments(track) == ()
    assert segment_between(track, START_UNIX_S, START_UNIX_S + 100.0) is None


def test_missing_samples_do_not_matter() -> None:
    ias = np.where(np.arange(len(CALM_HOUR.time_s)) % 7 == 0, np.nan, CALM_HOUR.ias_mps)
    assert len(steady_segments(replace(CALM_HOUR, ias_mps=ias), GLIDES)) == 6


def test_load_factor_and_checks_of_a_segment() -> None:
    segment = SteadySegment(0.0, 60.0, 1000.0, AltitudeSource.GPS, 5.0, 0.1, bank_rad=math.pi / 3.0)
    assert segment.load_factor == pytest.approx(2.0)
    assert segment.track_true_rad is None
    with pytest.raises(ValueError, match="segment of 0"):
        replace(segment, duration_s=0.0)
    with pytest.raises(ValueError, match="negative standard deviation"):
        replace(segment, sink_sd_mps=-1.0)
