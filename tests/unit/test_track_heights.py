"""Heights above the touchdown point from every kind of altitude, anchored where the wheels stood on the runway."""

from __future__ import annotations

import numpy as np
import pytest

from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.track.heights import Ground, heights_above_touchdown
from volplane.domain.track.track import AltitudeSource, Track

AIR = Atmosphere(286.5, 298.0, 101_900.0)
GROUND = Ground(286.5, 286.5)


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
    heights = heights_above_touchdown(track_with(written, source), AIR, GROUND, np.zeros(3, dtype=bool))
    assert heights is not None
    assert heights.height_m == pytest.approx(true, abs=0.3)
    assert not heights.is_anchored


def test_wheels_on_the_runway_take_the_error_away_and_say_how_much() -> None:
    altitude = np.concatenate([np.linspace(900.0, 300.0, 120), np.full(60, 286.5)]) + 9.0
    on_runway = np.arange(180) >= 125
    heights = heights_above_touchdown(track_with(altitude, AltitudeSource.GPS), AIR, GROUND, on_runway)
    assert heights is not None
    assert heights.correction_m == pytest.approx(-9.0)
    assert heights.height_m[-1] == pytest.approx(0.0)
    # near the ground the height is as good as the anchor, two minutes before it has wandered by some metres
    assert heights.slow_sd_m[140] < 1.5 < 2.5 < heights.slow_sd_m[0] < 6.0


def test_the_ground_run_nearest_to_the_exercise_anchors_it() -> None:
    altitude = np.full(1000, 286.5)
    altitude[:100] += 4.0
    altitude[900:] += 12.0
    on_runway = np.zeros(1000, dtype=bool)
    on_runway[:100] = on_runway[900:] = True
    track = track_with(altitude, AltitudeSource.GPS)
    early = heights_above_touchdown(track, AIR, GROUND, on_runway, ending_s=150.0)
    late = heights_above_touchdown(track, AIR, GROUND, on_runway, ending_s=880.0)
    assert early is not None
    assert late is not None
    assert (early.correction_m, late.correction_m) == (pytest.approx(-4.0), pytest.approx(-12.0))


def test_a_correction_too_large_to_be_an_error_is_not_made() -> None:
    altitude = np.full(60, 286.5 + 400.0)
    heights = heights_above_touchdown(track_with(altitude, AltitudeSource.GPS), AIR, GROUND, np.ones(60, dtype=bool))
    assert heights is not None
    assert heights.correction_m == 0.0


def test_a_practice_floor_plays_the_ground_while_the_real_runway_anchors() -> None:
    floor = Ground(1_000.0, 286.5)
    altitude = np.concatenate([np.full(50, 1_300.0), np.full(50, 286.5)]) + 5.0
    on_runway = np.arange(100) >= 50
    heights = heights_above_touchdown(track_with(altitude, AltitudeSource.GPS), AIR, floor, on_runway)
    assert heights is not None
    assert heights.height_m[0] == pytest.approx(300.0)


def test_a_track_without_altitude_has_no_heights() -> None:
    track = track_with(np.full(5, np.nan), AltitudeSource.NONE)
    assert heights_above_touchdown(track, AIR, GROUND, np.zeros(5, dtype=bool)) is None
