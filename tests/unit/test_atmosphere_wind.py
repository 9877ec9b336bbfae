"""The wind profile, its compiled twin, and wind from legs."""

from __future__ import annotations

import math

import numpy as np
import pytest

from volplane.domain.atmosphere.refusals import LegsDoNotDetermineWind, WindLevelsWrong
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.atmosphere.wind_from_legs import from_headings, from_tracks, ground_speed_mps_on_heading

NORTH, EAST, SOUTH, WEST = 0.0, math.pi / 2.0, math.pi, 1.5 * math.pi
VEERING = WindProfile.from_levels([(900.0, WEST, 9.0), (0.0, SOUTH, 4.0), (300.0, SOUTH, 6.0)])


def test_a_west_wind_blows_to_the_east() -> None:
    east, north = WindProfile.uniform(WEST, 10.0).components_mps(50.0)
    assert (east, north) == (pytest.approx(10.0), pytest.approx(0.0, abs=1e-12))


def test_a_uniform_wind_is_the_same_down_to_the_ground() -> None:
    speed, direction = WindProfile.uniform(1.2, 7.0).speed_and_direction(np.array([0.0, 1.0, 10.0, 5000.0]))
    np.testing.assert_allclose(speed, 7.0)
    np.testing.assert_allclose(direction, 1.2)


def test_calm_is_calm_from_no_direction() -> None:
    assert WindProfile.calm().speed_and_direction(100.0) == (0.0, 0.0)
    assert WindProfile.calm() == WindProfile.uniform(2.0, 3.0).scaled(0.0)


def test_a_level_at_the_ground_means_the_anemometer() -> None:
    np.testing.assert_allclose(VEERING.height_above_field_m, [10.0, 300.0, 900.0])
    speed, direction = VEERING.speed_and_direction(10.0)
    assert (speed, direction) == (pytest.approx(4.0), pytest.approx(SOUTH))


def test_components_are_interpolated_between_levels_and_held_above() -> None:
    east, north = VEERING.components_mps(np.array([300.0, 600.0, 900.0, 2000.0]))
    np.testing.assert_allclose(east, [0.0, 4.5, 9.0, 9.0], atol=1e-12)
    np.testing.assert_allclose(north, [6.0, 3.0, 0.0, 0.0], atol=1e-12)


def test_below_the_lowest_level_the_power_law_holds_down_to_the_height_of_a_wing() -> None:
    speed, direction = VEERING.speed_and_direction(np.array([5.0, 2.0, 1.0, 0.0, -30.0]))
    np.testing.assert_allclose(speed, 4.0 * np.array([0.5, 0.2, 0.2, 0.2, 0.2]) ** (1.0 / 7.0))
    np.testing.assert_allclose(direction, SOUTH)


def test_runway_frame_has_headwind_against_x_and_wind_from_the_right_towards_y() -> None:
    landing_west = WEST
    _, x, y = WindProfile.uniform(WEST, 10.0).in_runway_frame(landing_west)
    assert (x[0], y[0]) == (pytest.approx(-10.0), pytest.approx(0.0, abs=1e-12))
    # landing west, north is on the right: its wind blows to the left
    _, x, y = WindProfile.uniform(NORTH, 10.0).in_runway_frame(landing_west)
    assert (x[0], y[0]) == (pytest.approx(0.0, abs=1e-12), pytest.approx(10.0))


def test_turning_the_wind_turns_its_direction_clockwise() -> None:
    _, direction = VEERING.rotated(math.radians(30.0)).speed_and_direction(10.0)
    assert direction == pytest.approx(SOUTH + math.radians(30.0))


def test_profiles_of_equal_numbers_are_equal_and_frozen() -> None:
    again = WindProfile.from_levels([(10.0, SOUTH, 4.0), (300.0, SOUTH, 6.0), (900.0, WEST, 9.0)])
    assert again == VEERING
    assert hash(again) == hash(VEERING)
    assert again != VEERING.scaled(1.01)
    assert again != "wind"
    with pytest.raises(ValueError, match="read-only"):
        VEERING.wind_east_mps[0] = 1.0


def test_the_profile_does_not_keep_the_callers_array() -> None:
    heights = np.array([10.0, 100.0])
    profile = WindProfile(heights, np.array([1.0, 2.0]), np.array([0.0, 0.0]))
    heights[1] = 50.0
    assert profile.height_above_field_m[1] == 100.0


@pytest.mark.parametrize(
    "levels, sentence",
    [
        ([], "one height, east and north component for each"),
        ([(0.0, 0.0, 4.0), (10.0, 0.0, 5.0)], "two of them mean the anemometer"),
        ([(300.0, 0.0, 4.0), (300.0, 1.0, 5.0)], "do not rise"),
        ([(-5.0, 0.0, 4.0)], "below the field"),
        ([(100.0, 0.0, math.nan)], "not a finite number"),
    ],
)
def test_levels_that_make_no_profile_are_refused(levels: list[tuple[float, float, float]], sentence: str) -> None:
    with pytest.raises(WindLevelsWrong, match=sentence):
        WindProfile.from_levels(levels)


def test_a_shear_exponent_that_is_none_is_refused() -> None:
    with pytest.raises(WindLevelsWrong, match="shear exponent -1 is not between 0 and 1"):
        WindProfile.from_levels([(10.0, 0.0, 4.0)], shear_exponent_factor=-1.0)


@pytest.mark.parametrize("profile", [VEERING, WindProfile.uniform(1.0, 8.0), WindProfile.calm()])
def test_the_compiled_wind_and_its_slope_agree_with_the_profile(profile: WindProfile) -> None:
    from volplane.domain.atmosphere.air_kernel import wind_at, wind_gradient_at

    bearing_rad = math.radians(238.4)
    table = (*profile.in_runway_frame(bearing_rad), profile.shear_exponent_factor)
    sine, cosine = math.sin(bearing_rad), math.cos(bearing_rad)
    for height_m in (-3.0, 0.0, 1.0, 2.5, 9.0, 11.0, 150.0, 299.0, 301.0, 800.0, 899.0, 950.0):
        east, north = profile.components_mps(height_m)
        along, left = east * sine + north * cosine, north * sine - east * cosine
        assert wind_at(height_m, *table) == (pytest.approx(along, abs=1e-12), pytest.approx(left, abs=1e-12))
        upper, lower = wind_at(height_m + 1e-4, *table), wind_at(height_m - 1e-4, *table)
        slope = wind_gradient_at(height_m, *table)
        assert slope[0] == pytest.approx((upper[0] - lower[0]) / 2e-4, abs=1e-6)
        assert slope[1] == pytest.approx((upper[1] - lower[1]) / 2e-4, abs=1e-6)


def test_compiled_wind_at_a_level_is_the_level() -> None:
    from volplane.domain.atmosphere.air_kernel import wind_at

    heights, x, y = VEERING.in_runway_frame(0.0)
    for index, height_m in enumerate(heights):
        got = wind_at(float(height_m), heights, x, y, VEERING.shear_exponent_factor)
        assert got == (pytest.approx(x[index], abs=1e-12), pytest.approx(y[index], abs=1e-12))


def test_many_noisy_legs_give_the_wind_within_their_own_uncertainty() -> None:
    noise = np.random.default_rng(7)
    heading = np.radians(np.arange(0.0, 360.0, 15.0))
    east = 55.0 * np.sin(heading) + 6.0 + noise.normal(0.0, 0.3, heading.size)
    north = 55.0 * np.cos(heading) - 3.0 + noise.normal(0.0, 0.3, heading.size)
    found = from_tracks(np.hypot(east, north), np.arctan2(east, north))
    assert found.tas_sd_mps is not None
    assert found.wind_sd_mps is not None
    # expected by theory: 0.3 / sqrt(n) for airspeed, 0.3 sqrt(2 / n) for a wind component
    assert found.tas_sd_mps == pytest.approx(0.3 / math.sqrt(24.0), rel=0.5)
    assert found.wind_sd_mps == pytest.approx(0.3 * math.sqrt(2.0 / 24.0), rel=0.5)
    assert abs(found.tas_mps - 55.0) < 3.0 * found.tas_sd_mps
    assert math.hypot(found.wind_east_mps - 6.0, found.wind_north_mps + 3.0) < 3.0 * found.wind_sd_mps


def test_three_legs_carry_no_uncertainty_of_their_own() -> None:
    found = from_tracks(np.array([60.0, 50.0, 55.0]), np.radians([0.0, 120.0, 240.0]))
    assert (found.tas_sd_mps, found.wind_sd_mps) == (None, None)


ROUND = np.radians([0.0, 120.0, 240.0])


@pytest.mark.parametrize(
    "ground_speed, track, sentence",
    [
        (np.array([50.0, 60.0]), ROUND[:2], "2 legs: three legs are the least"),
        (np.array([50.0, 60.0]), ROUND, "one ground speed and one direction"),
        (np.array([50.0, 60.0, 70.0]), np.radians([0.0, 50.0, 110.0]), "within 120 degrees"),
        (np.array([50.0, 60.0, math.nan]), ROUND, "not a finite number"),
        (np.array([50.0, 60.0, 0.0]), ROUND, "not positive"),
    ],
)
def test_legs_that_give_no_wind_are_refused(ground_speed: object, track: object, sentence: str) -> None:
    with pytest.raises(LegsDoNotDetermineWind, match=sentence):
        from_tracks(ground_speed, track)  # type: ignore[arg-type]
    with pytest.raises(LegsDoNotDetermineWind, match=sentence):
        from_headings(ground_speed, track)  # type: ignore[arg-type]


def test_tips_on_a_straight_line_are_refused() -> None:
    track = np.radians([0.0, 90.0, 180.0, 45.0])
    speed = np.array([10.0, 1e-9, 10.0, 1e-9])
    with pytest.raises(LegsDoNotDetermineWind, match=r"too alike|contradict|not below"):
        from_tracks(speed, track)


def test_ground_speeds_no_wind_can_give_are_refused() -> None:
    with pytest.raises(LegsDoNotDetermineWind, match="no airspeed and wind give these"):
        from_headings(np.array([100.0, 1.0, 1.0]), ROUND)


def test_headings_and_tracks_tell_the_same_story() -> None:
    heading = np.radians([10.0, 95.0, 200.0, 290.0])
    east = 48.0 * np.sin(heading) - 5.0
    north = 48.0 * np.cos(heading) + 9.0
    by_track = from_tracks(np.hypot(east, north), np.arctan2(east, north))
    by_heading = from_headings(ground_speed_mps_on_heading(48.0, heading, -5.0, 9.0), heading)
    for found in (by_track, by_heading):
        assert (found.tas_mps, found.wind_east_mps, found.wind_north_mps) == pytest.approx((48.0, -5.0, 9.0))
