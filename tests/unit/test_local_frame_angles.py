"""Angles, the wind triangle and turns over the ground."""

from __future__ import annotations

import math

import numpy as np
import pytest

from volplane.domain.geometry import turns_over_ground as turns
from volplane.domain.geometry.angles import (
    DirectionsHaveNoMean,
    TrackCannotBeHeld,
    circular_mean_rad,
    compass_rad,
    crab_rad,
    difference_rad,
    runway_heading_rad_from_true_rad,
    true_rad_from_runway_heading_rad,
    wind_triangle,
    wrapped_rad,
)

PI = math.pi


@pytest.mark.parametrize(
    "angle, wrapped", [(0.0, 0.0), (PI, PI), (-PI, PI), (3.0 * PI, PI), (-0.5, -0.5), (5.0, 5.0 - 2.0 * PI)]
)
def test_angles_wrap_to_the_half_circles(angle: float, wrapped: float) -> None:
    assert wrapped_rad(angle) == pytest.approx(wrapped)
    assert type(wrapped_rad(angle)) is float


@pytest.mark.parametrize(
    "angle, wrapped", [(0.0, 0.0), (2.0 * PI, 0.0), (-0.5, 2.0 * PI - 0.5), (7.0, 7.0 - 2.0 * PI), (-1e-17, 0.0)]
)
def test_compass_angles_never_reach_the_whole_circle(angle: float, wrapped: float) -> None:
    assert compass_rad(angle) == pytest.approx(wrapped)
    assert compass_rad(np.array([angle]))[0] < 2.0 * PI


def test_the_shorter_turn_through_north() -> None:
    assert difference_rad(math.radians(10.0), math.radians(350.0)) == pytest.approx(math.radians(20.0))
    assert difference_rad(math.radians(350.0), math.radians(10.0)) == pytest.approx(math.radians(-20.0))


def test_headings_in_the_runway_frame_count_to_the_left() -> None:
    bearing = math.radians(250.0)
    assert runway_heading_rad_from_true_rad(bearing, bearing) == 0.0
    # left of a landing to the west-south-west is south-south-east
    assert runway_heading_rad_from_true_rad(math.radians(160.0), bearing) == pytest.approx(PI / 2.0)
    assert math.degrees(true_rad_from_runway_heading_rad(PI / 2.0, bearing)) == pytest.approx(160.0)
    assert math.degrees(true_rad_from_runway_heading_rad(-2.0, math.radians(359.0))) == pytest.approx(113.59156)


def test_the_mean_of_directions_around_north_is_north() -> None:
    assert circular_mean_rad(np.radians([350.0, 10.0])) == pytest.approx(0.0, abs=1e-12)
    weighted = circular_mean_rad(np.radians([350.0, 10.0]), np.array([1.0, 3.0]))
    assert 0.0 < math.degrees(weighted) < 10.0


@pytest.mark.parametrize("angles", [np.array([]), np.array([0.0, PI])])
def test_directions_that_cancel_have_no_mean(angles: np.ndarray) -> None:
    with pytest.raises(DirectionsHaveNoMean, match="have no mean direction"):
        circular_mean_rad(angles)


def test_the_wind_triangle_closes() -> None:
    found = wind_triangle(2.0, 50.0, 8.0, -5.0)
    east = 50.0 * math.sin(found.heading_true_rad) + 8.0
    north = 50.0 * math.cos(found.heading_true_rad) - 5.0
    assert math.atan2(east, north) == pytest.approx(2.0)
    assert math.hypot(east, north) == pytest.approx(found.ground_speed_mps)


def test_the_crab_on_final_points_into_the_wind() -> None:
    assert crab_rad(-5.0, 0.0, 50.0) == pytest.approx(0.0)
    # wind from the right pushes to the left: nose right, clockwise, negative
    assert crab_rad(0.0, 10.0, 50.0) == pytest.approx(-math.asin(0.2))


@pytest.mark.parametrize("wind", [(60.0, 0.0), (0.0, -60.0)])
def test_a_track_the_wind_does_not_allow_is_refused(wind: tuple[float, float]) -> None:
    with pytest.raises(
        TrackCannotBeHeld, match=r"track 0 deg at 50\.0 m/s true airspeed in 60\.0 m/s of wind"
    ) as refusal:
        wind_triangle(0.0, 50.0, *wind)
    assert refusal.value.wind_mps == pytest.approx(60.0)


def test_an_even_radius_in_wind_stronger_than_the_airspeed_is_refused() -> None:
    with pytest.raises(TrackCannotBeHeld, match=r"at 50\.0 m/s"):
        turns.even_radius_turn(50.0, 400.0, -50.0, 0.0)
    with pytest.raises(TrackCannotBeHeld, match=r"at 50\.0 m/s"):
        turns.even_radius_turn(np.array([60.0, 50.0]), np.full(2, 400.0), np.zeros(2), np.full(2, 55.0))


@pytest.mark.parametrize("bank", [PI / 2.0, 2.0])
def test_a_bank_of_90_degrees_is_refused(bank: float) -> None:
    for relation in (turns.load_factor, turns.stall_speed_factor):
        with pytest.raises(ValueError, match="less than 90 degrees"):
            relation(bank)
    for relation_of_two in (turns.turn_radius_m, turns.turn_rate_radps):
        with pytest.raises(ValueError, match="less than 90 degrees"):
            relation_of_two(50.0, bank)
    with pytest.raises(ValueError, match="less than 90 degrees"):
        turns.ground_radius_m(50.0, bank, 0.0, 0.0)


def test_a_turn_without_bank_has_no_end() -> None:
    with pytest.raises(ValueError, match="is not positive"):
        turns.constant_bank_displacement_m(50.0, 0.0, 0.0, 1.0, 0.0, 0.0)


def test_flying_the_even_radius_bank_draws_a_circle_over_the_ground() -> None:
    """The bank law against a plain integration of the airplane's own motion, which knows no radius."""
    tas_mps, radius_m, wind_x, wind_y = 54.0, 700.0, 6.0, -9.0
    heading = track = 0.0
    heading = math.asin(-wind_y / tas_mps)  # crab on the first track, along x
    x_m = y_m = 0.0
    step_s = 0.002
    farthest = 0.0
    while track < PI:
        along = wind_x * math.cos(track) + wind_y * math.sin(track)
        left = wind_y * math.cos(track) - wind_x * math.sin(track)
        bank = turns.even_radius_turn(tas_mps, radius_m, along, left).bank_rad
        middle = heading + turns.turn_rate_radps(tas_mps, bank) * step_s / 2.0
        heading += turns.turn_rate_radps(tas_mps, bank) * step_s
        speed_x, speed_y = tas_mps * math.cos(middle) + wind_x, tas_mps * math.sin(middle) + wind_y
        x_m, y_m = x_m + speed_x * step_s, y_m + speed_y * step_s
        track = math.atan2(speed_y, speed_x) % (2.0 * PI)
        farthest = max(farthest, abs(math.hypot(x_m, y_m - radius_m) - radius_m))
    assert farthest < 0.1


def test_bank_from_radius_is_the_inverse_of_radius_from_bank() -> None:
    bank_rad = np.radians(np.array([5.0, 30.0, 60.0]))
    tas_mps = np.array([40.0, 54.0, 70.0])
    radius_m = turns.turn_radius_m(tas_mps, bank_rad)
    np.testing.assert_allclose(turns.bank_rad_from_radius_m(tas_mps, radius_m), bank_rad)
    rate = turns.turn_rate_radps(tas_mps, bank_rad)
    np.testing.assert_allclose(turns.bank_rad_from_turn_rate(tas_mps, rate), bank_rad)
