"""Heights above the touchdown point from every kind of altitude, anchored where the wheels stood on the runway."""

from __future__ import annotations

import numpy as np
import pytest

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.track.heights import OnGround, heights_above_touchdown
from volplane.domain.track.track import AltitudeSource, Track

AIR = Atmosphere(286.5, 298.0, 101_900.0)
GROUND_M = 286.5


def standing(where: np.ndarray) -> tuple[OnGround, ...]:
    return (OnGround(where, GROUND_M, 1.0),)


def track_with(altitude_m: np.ndarray, source: AltitudeSource) -> Track:
    n = len(altitude_m)
    return Track(0.0, np.arange(float(n)), np.full(n, 44.0), np.full(n, -40.0), altitude_m, source)


@pytest.mark.parametrize("source", [AltitudeSource.GPS, AltitudeSource.PRESSURE, AltitudeSource.INDICATED])
def test_every_kind_of_altitude_tells_the_same_true_height(source: AltitudeSource) -> None:
    true = np.array([0.0, 300.0, 900.0])
    written = {
        AltitudeSource.GPS: true + 286.5,
        AltitudeSource.PRESSURE: AIR.pressure_altitude_m(true),
        AltitudeSource.INDICATED: AIR.altimeter_msl_m(true),
    }[source]
    heights = heights_above_touchdown(track_with(written, source), AIR, GROUND_M, ())
    assert heights is not None
    assert heights.height_m == pytest.approx(true, abs=0.3)
    assert not heights.is_anchored


def test_wheels_on_the_runway_take_the_error_away_and_say_how_much() -> None:
    altitude = np.concatenate([np.linspace(900.0, 300.0, 120), np.full(60, 286.5)]) + 9.0
    on_runway = np.arange(180) >= 125
    heights = heights_above_touchdown(track_with(altitude, AltitudeSource.GPS), AIR, GROUND_M, standing(on_runway))
    assert heights is not None
    assert heights.correction_m == pytest.approx(-9.0)
    assert heights.height_m[-1] == pytest.approx(0.0)
    # near the ground the height is as good as the anchor, two minutes before it has wandered by some metres
    assert heights.slow_sd_m[140] < 1.5 < 3.0 < heights.slow_sd_m[0] < 7.0


def test_the_ground_run_nearest_to_the_exercise_anchors_it() -> None:
    altitude = np.full(1000, 286.5)
    altitude[:100] += 4.0
    altitude[900:] += 12.0
    on_runway = np.zeros(1000, dtype=bool)
    on_runway[:100] = on_runway[900:] = True
    track = track_with(altitude, AltitudeSource.GPS)
    early = heights_above_touchdown(track, AIR, GROUND_M, standing(on_runway), ending_s=150.0)
    late = heights_above_touchdown(track, AIR, GROUND_M, standing(on_runway), ending_s=880.0)
    assert early is not None
    assert late is not None
    assert (early.correction_m, late.correction_m) == (pytest.approx(-4.0), pytest.approx(-12.0))


def test_a_correction_too_large_to_be_an_error_is_not_made() -> None:
    altitude = np.full(60, 286.5 + 400.0)
    heights = heights_above_touchdown(
        track_with(altitude, AltitudeSource.GPS), AIR, GROUND_M, standing(np.ones(60, dtype=bool))
    )
    assert heights is not None
    assert heights.correction_m == 0.0


def test_a_practice_floor_plays_the_ground_while_the_real_runway_anchors() -> None:
    altitude = np.concatenate([np.full(50, 1_300.0), np.full(50, 286.5)]) + 5.0
    on_runway = np.arange(100) >= 50
    heights = heights_above_touchdown(track_with(altitude, AltitudeSource.GPS), AIR, 1_000.0, standing(on_runway))
    assert heights is not None
    assert heights.height_m[0] == pytest.approx(300.0)


def test_a_track_without_altitude_has_no_heights() -> None:
    track = track_with(np.full(5, np.nan), AltitudeSource.NONE)
    assert heights_above_touchdown(track, AIR, GROUND_M, ()) is None


def wander(sd_m: float, memory_s: float, seconds: int, random: np.random.Generator) -> np.ndarray:
    """A receiver's slow error, first order, once a second."""
    keep = np.exp(-1.0 / memory_s)
    values = np.empty(seconds)
    values[0] = sd_m * random.normal()
    for index, kick in enumerate(sd_m * np.sqrt(1.0 - keep**2) * random.normal(size=seconds - 1)):
        values[index + 1] = keep * values[index] + kick
    return values


@pytest.mark.parametrize("memory_s", [100.0, 180.0, 300.0])
def test_a_receiver_that_wanders_stays_within_what_is_stated_since_the_wheels_stood(memory_s: float) -> None:
    """Ninety-percent bands hold 80 to 97 % of the errors, however fast it wanders and however long ago it stood."""
    random = np.random.default_rng(11)
    true = np.concatenate([np.linspace(900.0, 0.0, 240), np.zeros(60)]) + GROUND_M
    on_runway = np.arange(300) >= 240
    held = []
    for _ in range(150):
        track = track_with(true + wander(4.8, memory_s, 300, random), AltitudeSource.GPS)
        heights = heights_above_touchdown(track, AIR, GROUND_M, standing(on_runway))
        assert heights is not None
        off = np.abs(heights.height_m - (true - GROUND_M))[:240:20]
        held.append(off <= 1.645 * heights.slow_sd_m[:240:20])
    assert 0.80 <= np.mean(held) <= 0.97


def descent(seconds: int = 200) -> np.ndarray:
    """Level, then down at 5.2 m/s to a landing at the field's elevation."""
    return np.maximum(GROUND_M + 800.0 - 5.2 * np.maximum(np.arange(float(seconds)) - 30.0, 0.0), GROUND_M)


@pytest.mark.parametrize("step_ft", [25.0, 100.0])
def test_coarse_steps_are_read_where_one_follows_the_other(step_ft: float) -> None:
    true, step = descent(), step_ft * 0.3048
    track = track_with(step * np.round(true / step), AltitudeSource.INDICATED)
    heights = heights_above_touchdown(track, AIR, GROUND_M, standing(np.arange(200) > 190))
    assert heights is not None
    assert any("coarse steps" in note for note in heights.notes)
    known = np.flatnonzero(np.isfinite(heights.height_m[40:180])) + 40
    joined = np.interp(np.arange(40, 180), known, heights.height_m[known])
    expected = AIR.height_above_field_m_from_altimeter_m(true[40:180])
    # read as they stand they are off by up to half a step; where one follows the other they are known as well
    # as the airplane sinks between two fixes, half of 5.2 m either way
    off = joined - expected - heights.correction_m
    assert np.abs(off).max() < 0.75 * step
    assert np.abs(off[15:130]).max() < 0.1 * step + 0.55 * 5.2
    assert (heights.slow_sd_m >= 0.25 * step).all()


def test_fine_altitudes_are_never_taken_for_steps() -> None:
    in_tens = descent()[::2]
    for altitude in (
        descent(),
        np.round(descent()),
        np.round(in_tens),
        np.round(descent() / 0.3048) * 0.3048,
        np.full(60, 300.0),
    ):
        heights = heights_above_touchdown(track_with(altitude, AltitudeSource.GPS), AIR, GROUND_M, ())
        assert heights is not None
        assert heights.height_m + GROUND_M == pytest.approx(altitude)


def test_an_altitude_no_longer_received_low_down_is_left_out_and_the_ground_stands_in() -> None:
    """A transponder out of sight below some hundred feet: the last altitude is repeated until the airplane stands."""
    altitude = descent()
    low = int(np.flatnonzero(altitude < GROUND_M + 150.0)[0])
    altitude[low:] = altitude[low]
    on_runway = np.arange(200) > 190
    heights = heights_above_touchdown(track_with(altitude, AltitudeSource.GPS), AIR, GROUND_M, standing(on_runway))
    assert heights is not None
    assert np.isnan(heights.height_m[low + 1 : 191]).all()
    assert heights.height_m[191:] == pytest.approx(0.0)
    assert any("repeated until" in note for note in heights.notes)
    assert any("elevation stands in" in note for note in heights.notes)


@pytest.mark.parametrize("off_m, says", [(-42.0, "ellipsoid"), (-GROUND_M, "count from the ground")])
def test_altitudes_above_the_ellipsoid_or_the_ground_are_set_right_where_the_airplane_stood(
    off_m: float, says: str
) -> None:
    track = track_with(descent() + off_m, AltitudeSource.GPS)
    heights = heights_above_touchdown(track, AIR, GROUND_M, standing(np.arange(200) > 190))
    assert heights is not None
    assert heights.correction_m == pytest.approx(-off_m)
    assert heights.height_m == pytest.approx(descent() - GROUND_M)
    assert any(says in note for note in heights.notes)


def test_altitudes_of_no_known_kind_are_told_to_be_that_wrong() -> None:
    track = track_with(descent() + 700.0, AltitudeSource.GPS)
    heights = heights_above_touchdown(track, AIR, GROUND_M, standing(np.arange(200) > 190))
    assert heights is not None
    assert heights.correction_m == 0.0
    assert heights.slow_sd_m.min() >= 700.0
    assert any("too far from the field's elevation" in note for note in heights.notes)


def test_a_barometer_drifts_less_than_a_receiver_but_does_not_know_the_air_between() -> None:
    on_runway = standing(np.arange(200) > 190)
    for source in (AltitudeSource.PRESSURE, AltitudeSource.INDICATED):
        written = AIR.pressure_altitude_m(descent() - GROUND_M) if source is AltitudeSource.PRESSURE else descent()
        track = track_with(np.asarray(written), source)
        anchored = heights_above_touchdown(track, AIR, GROUND_M, on_runway)
        free = heights_above_touchdown(track, AIR, GROUND_M, ())
        assert anchored is not None
        assert free is not None
        assert anchored.slow_sd_m[-1] < 1.5
        # eight metres for a hundredth of the height above the field
        assert 8.0 <= anchored.slow_sd_m[0] < 10.0 <= free.slow_sd_m[0] < 14.0
        assert any("could not be checked" in note for note in free.notes)
