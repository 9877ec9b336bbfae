"""What must hold in any air and any wind."""

from __future__ import annotations

import math

import numpy as np
import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from volplane.domain.atmosphere.atmosphere import Atmosphere, density_altitude_m
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.atmosphere.wind_from_legs import from_headings, from_tracks, ground_speed_mps_on_heading
from volplane.domain.geometry.angles import compass_rad, crab_rad, difference_rad, wind_triangle, wrapped_rad
from volplane.domain.geometry.local_frame import LocalFrame
from volplane.domain.geometry.turns_over_ground import (
    constant_bank_displacement_m,
    even_radius_turn,
    ground_radius_m,
)

angles = st.floats(-20.0, 20.0)
airs = st.builds(Atmosphere, st.floats(-300.0, 3000.0), st.floats(240.0, 320.0), st.floats(95000.0, 105000.0))
heights = st.floats(-200.0, 4000.0)
speeds = st.floats(0.0, 25.0)
levels = st.lists(
    st.tuples(st.floats(10.0, 4000.0), st.floats(0.0, 2.0 * math.pi), speeds),
    min_size=1,
    max_size=5,
    unique_by=lambda level: level[0],
)
profiles = st.builds(WindProfile.from_levels, levels)


@given(airs)
def test_an_altimeter_on_todays_setting_reads_the_elevation_on_the_field(air: Atmosphere) -> None:
    assert air.altimeter_msl_m(0.0) == air.field_elevation_msl_m


@given(airs, heights)
def test_the_altimeter_goes_there_and_back(air: Atmosphere, height_m: float) -> None:
    assert air.height_above_field_m_from_altimeter_m(air.altimeter_msl_m(height_m)) == pytest.approx(height_m, abs=1e-6)
    again = air.height_above_field_m_from_pressure_altitude_m(air.pressure_altitude_m(height_m))
    assert again == pytest.approx(height_m, abs=1e-6)


@given(airs, st.floats(10.0, 120.0), heights)
def test_airspeeds_go_there_and_back(air: Atmosphere, cas_mps: float, height_m: float) -> None:
    tas_mps = air.tas_mps_from_cas_mps(cas_mps, height_m)
    assert air.cas_mps_from_tas_mps(tas_mps, height_m) == pytest.approx(cas_mps, rel=1e-11)


@given(airs, heights, st.floats(1.0, 500.0))
def test_higher_air_is_thinner_and_colder_and_the_airplane_faster_in_it(
    air: Atmosphere, height_m: float, climb_m: float
) -> None:
    above_m = height_m + climb_m
    assert air.pressure_pa(above_m) < air.pressure_pa(height_m)
    assert air.density_kgpm3(above_m) < air.density_kgpm3(height_m)
    assert air.temperature_k(above_m) < air.temperature_k(height_m)
    assert air.tas_mps_from_cas_mps(55.0, above_m) > air.tas_mps_from_cas_mps(55.0, height_m)


@given(st.floats(-300.0, 4000.0), st.floats(250.0, 315.0), st.floats(0.0, 30.0))
def test_damp_air_is_never_denser_than_dry_air(altitude_m: float, temperature_k: float, spread_k: float) -> None:
    damp_m = density_altitude_m(altitude_m, temperature_k, temperature_k - spread_k)
    assert damp_m > density_altitude_m(altitude_m, temperature_k)


@given(profiles, angles, heights)
def test_turning_the_wind_and_the_runway_together_changes_nothing_on_the_runway(
    profile: WindProfile, turn_rad: float, bearing_rad: float
) -> None:
    _, x, y = profile.in_runway_frame(bearing_rad)
    _, turned_x, turned_y = profile.rotated(turn_rad).in_runway_frame(bearing_rad + turn_rad)
    np.testing.assert_allclose(turned_x, x, atol=1e-9)
    np.testing.assert_allclose(turned_y, y, atol=1e-9)


@given(profiles, heights)
def test_wind_is_never_stronger_than_the_strongest_level(profile: WindProfile, height_m: float) -> None:
    speed_mps, from_rad = profile.speed_and_direction(height_m)
    assert speed_mps <= np.hypot(profile.wind_east_mps, profile.wind_north_mps).max() + 1e-9
    assert 0.0 <= from_rad < 2.0 * math.pi


@given(profiles, st.floats(-500.0, 4500.0))
def test_the_wind_has_no_steps(profile: WindProfile, height_m: float) -> None:
    thinnest_m = float(np.diff(profile.height_above_field_m, prepend=0.0).min())
    here, above = profile.components_mps(height_m), profile.components_mps(height_m + 1e-7)
    # two levels differ by 50 m/s at the most, and the shear near the ground by a tenth of the wind per metre
    steepest = 50.0 / min(thinnest_m, 1.0) + 10.0
    assert math.dist(here, above) <= steepest * 1e-7 * 2.0


@given(profiles)
def test_levels_come_back_as_they_were_given(profile: WindProfile) -> None:
    speed, direction = profile.speed_and_direction(profile.height_above_field_m)
    again = WindProfile.from_levels(list(zip(profile.height_above_field_m, direction, speed, strict=True)))
    np.testing.assert_allclose(again.wind_east_mps, profile.wind_east_mps, atol=1e-9)
    np.testing.assert_allclose(again.wind_north_mps, profile.wind_north_mps, atol=1e-9)


@given(angles, angles)
def test_wrapping_keeps_the_direction(angle_rad: float, other_rad: float) -> None:
    for wrapped in (wrapped_rad(angle_rad), compass_rad(angle_rad)):
        assert math.cos(wrapped - angle_rad) == pytest.approx(1.0)
    assert -math.pi < wrapped_rad(angle_rad) <= math.pi
    assert 0.0 <= compass_rad(angle_rad) < 2.0 * math.pi
    assert math.cos(other_rad + difference_rad(angle_rad, other_rad) - angle_rad) == pytest.approx(1.0)


@given(angles, st.floats(30.0, 90.0), st.floats(-25.0, 25.0), st.floats(-25.0, 25.0))
def test_the_held_track_is_the_wanted_one(track_rad: float, tas_mps: float, east_mps: float, north_mps: float) -> None:
    assume(math.hypot(east_mps, north_mps) < 0.9 * tas_mps)
    found = wind_triangle(track_rad, tas_mps, east_mps, north_mps)
    over_east = tas_mps * math.sin(found.heading_true_rad) + east_mps
    over_north = tas_mps * math.cos(found.heading_true_rad) + north_mps
    assert over_east == pytest.approx(found.ground_speed_mps * math.sin(track_rad), abs=1e-9)
    assert over_north == pytest.approx(found.ground_speed_mps * math.cos(track_rad), abs=1e-9)


@given(st.floats(-25.0, 25.0), st.floats(-25.0, 25.0), st.floats(40.0, 90.0))
def test_the_crab_keeps_the_track_on_the_runway(x_mps: float, y_mps: float, tas_mps: float) -> None:
    heading_rad = crab_rad(x_mps, y_mps, tas_mps)
    assert tas_mps * math.sin(heading_rad) + y_mps == pytest.approx(0.0, abs=1e-9)


@given(st.floats(40.0, 90.0), st.floats(200.0, 2000.0), st.floats(-20.0, 20.0), st.floats(-20.0, 20.0))
def test_bank_and_ground_radius_belong_together(tas_mps: float, radius_m: float, along: float, left: float) -> None:
    bank_rad = even_radius_turn(tas_mps, radius_m, along, left).bank_rad
    assert ground_radius_m(tas_mps, bank_rad, along, left) == pytest.approx(radius_m, rel=1e-9)


@given(st.floats(40.0, 90.0), st.floats(0.1, 1.2), angles, st.floats(-7.0, 7.0), st.floats(-7.0, 7.0))
def test_two_pieces_of_a_turn_make_the_whole(
    tas_mps: float, bank_rad: float, heading_rad: float, first_rad: float, wind_mps: float
) -> None:
    assume(abs(first_rad) > 1e-3)
    half = constant_bank_displacement_m(tas_mps, bank_rad, heading_rad, first_rad, wind_mps, -wind_mps)
    rest = constant_bank_displacement_m(tas_mps, bank_rad, heading_rad + first_rad, first_rad, wind_mps, -wind_mps)
    whole = constant_bank_displacement_m(tas_mps, bank_rad, heading_rad, 2.0 * first_rad, wind_mps, -wind_mps)
    assert np.add(half, rest) == pytest.approx(whole, abs=1e-6)


@given(
    st.floats(40.0, 90.0),
    st.floats(-20.0, 20.0),
    st.floats(-20.0, 20.0),
    angles,
    st.integers(3, 8),
)
def test_legs_give_back_the_airspeed_and_wind_they_were_flown_in(
    tas_mps: float, east_mps: float, north_mps: float, first_rad: float, count: int
) -> None:
    assume(math.hypot(east_mps, north_mps) < 0.45 * tas_mps)
    heading = first_rad + np.arange(count) * 2.0 * math.pi / count
    ground_speed = ground_speed_mps_on_heading(tas_mps, heading, east_mps, north_mps)
    over_east, over_north = tas_mps * np.sin(heading) + east_mps, tas_mps * np.cos(heading) + north_mps
    for found in (from_headings(ground_speed, heading), from_tracks(ground_speed, np.arctan2(over_east, over_north))):
        assert found.tas_mps == pytest.approx(tas_mps, abs=1e-6)
        assert (found.wind_east_mps, found.wind_north_mps) == pytest.approx((east_mps, north_mps), abs=1e-6)


@given(
    st.floats(-89.0, 89.0),
    st.floats(-180.0, 180.0),
    angles,
    st.floats(-50e3, 50e3),
    st.floats(-50e3, 50e3),
    angles,
)
def test_turning_the_frame_turns_the_map(
    latitude_deg: float, longitude_deg: float, bearing_rad: float, x_m: float, y_m: float, turn_rad: float
) -> None:
    frame = LocalFrame(latitude_deg, longitude_deg, bearing_rad)
    place = frame.latitude_longitude_deg(x_m, y_m)
    assert frame.xy_m(*place) == pytest.approx((x_m, y_m), abs=1e-5)
    # a frame turned clockwise sees the place turned to the left
    turned_x_m, turned_y_m = LocalFrame(latitude_deg, longitude_deg, bearing_rad + turn_rad).xy_m(*place)
    assert turned_x_m == pytest.approx(x_m * math.cos(turn_rad) - y_m * math.sin(turn_rad), abs=1e-5)
    assert turned_y_m == pytest.approx(x_m * math.sin(turn_rad) + y_m * math.cos(turn_rad), abs=1e-5)
