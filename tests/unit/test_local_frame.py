"""The runway's flat map against geodesics of an independent library."""

from __future__ import annotations

import math

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from volplane.domain.geometry.local_frame import LocalFrame, PlaceOffTheEarth, PlaceOutsideFrame

EARTH = Geodesic.WGS84
ORIGINS = [(44.0, -40.0), (0.0, 0.0), (-33.9, 151.2), (69.7, 18.9), (-17.75, 179.9999), (88.0, 10.0), (-90.0, 0.0)]


@pytest.mark.parametrize("origin", ORIGINS)
@pytest.mark.parametrize("distance_m, error_m", [(1.0, 1e-6), (1e3, 1e-4), (1e4, 1e-3), (1e5, 2e-2)])
def test_places_lie_where_the_geodesic_says(origin: tuple[float, float], distance_m: float, error_m: float) -> None:
    bearing_deg = 238.4
    frame = LocalFrame(*origin, math.radians(bearing_deg))
    for azimuth_deg in np.arange(0.0, 360.0, 22.5):
        place = EARTH.Direct(*origin, azimuth_deg, distance_m)
        left_rad = math.radians(bearing_deg - azimuth_deg)
        x_m, y_m = frame.xy_m(place["lat2"], place["lon2"])
        assert math.hypot(x_m - distance_m * math.cos(left_rad), y_m - distance_m * math.sin(left_rad)) < error_m


@pytest.mark.parametrize("origin", ORIGINS)
def test_there_and_back(origin: tuple[float, float]) -> None:
    frame = LocalFrame(*origin, 1.1)
    x_m, y_m = np.meshgrid(np.linspace(-40e3, 40e3, 9), np.linspace(-40e3, 40e3, 9))
    again_x_m, again_y_m = frame.xy_m(*frame.latitude_longitude_deg(x_m, y_m))
    np.testing.assert_allclose(again_x_m, x_m, atol=1e-6)
    np.testing.assert_allclose(again_y_m, y_m, atol=1e-6)


def test_x_points_along_the_landing_direction_and_y_to_its_left() -> None:
    landing_east = LocalFrame(44.0, -40.0, math.pi / 2.0)
    x_m, y_m = landing_east.xy_m(44.0, -39.99)
    assert x_m > 790.0
    assert abs(y_m) < 0.2
    x_m, y_m = landing_east.xy_m(44.01, -40.0)
    assert y_m > 1100.0
    assert abs(x_m) < 1e-6


def test_one_place_gives_floats_and_the_origin_is_nought() -> None:
    frame = LocalFrame(44.0, -40.0, 4.161)
    assert frame.xy_m(44.0, -40.0) == (0.0, 0.0)
    assert [type(each) for each in frame.xy_m(44.1, -40.0)] == [float, float]
    assert frame.latitude_longitude_deg(0.0, 0.0) == (pytest.approx(44.0, abs=1e-12), pytest.approx(-40.0, abs=1e-12))


def test_what_is_not_known_stays_not_known() -> None:
    frame = LocalFrame(44.0, -40.0, 0.0)
    x_m, y_m = frame.xy_m(np.array([44.1, math.nan]), np.array([-40.0, -40.0]))
    assert np.isfinite([x_m[0], y_m[0]]).all()
    assert np.isnan([x_m[1], y_m[1]]).all()
    latitude_deg, _ = frame.latitude_longitude_deg(np.array([math.nan, 5.0]), np.array([0.0, 0.0]))
    assert np.isnan(latitude_deg[0])
    assert np.isfinite(latitude_deg[1])


def test_longitudes_stay_within_half_the_way_round_at_the_date_line() -> None:
    frame = LocalFrame(-17.75, 179.9999, math.pi / 2.0)
    _, longitude_deg = frame.latitude_longitude_deg(np.array([0.0, 500.0]), np.array([0.0, 0.0]))
    assert longitude_deg[0] == pytest.approx(179.9999)
    assert -180.0 <= longitude_deg[1] < -179.99
    x_m, _ = frame.xy_m(-17.75, -179.9999)
    assert x_m == pytest.approx(21.2, abs=0.1)


def test_a_place_on_the_other_side_of_the_earth_is_far_away() -> None:
    # a plane through the origin would show it at the origin itself
    frame = LocalFrame(44.0, -40.0, 0.0)
    assert math.hypot(*frame.xy_m(-43.9, 139.9)) > 19e6
    assert math.hypot(*frame.xy_m(44.0, 50.0)) == pytest.approx(EARTH.Inverse(44.0, -40.0, 44.0, 50.0)["s12"], rel=0.01)


def test_a_moved_frame_is_the_same_line_over_the_ground() -> None:
    frame = LocalFrame(60.0, 10.0, math.radians(80.0))
    moved = frame.moved(4000.0, -2500.0)
    for x_m, y_m in [(0.0, 0.0), (4000.0, -2500.0), (6000.0, 0.0), (-3000.0, 5000.0)]:
        place = frame.latitude_longitude_deg(x_m, y_m)
        got_x_m, got_y_m = moved.xy_m(*place)
        assert math.hypot(got_x_m - (x_m - 4000.0), got_y_m - (y_m + 2500.0)) < 0.005
    # meridians meet: going east in the north the bearing of a straight line grows
    line = EARTH.Inverse(60.0, 10.0, moved.origin_latitude_deg, moved.origin_longitude_deg)
    turned_deg = line["azi2"] - line["azi1"]
    assert math.degrees(moved.bearing_true_rad) == pytest.approx(80.0 + turned_deg, abs=1e-6)


@pytest.mark.parametrize("place", [(91.0, 0.0), (0.0, 181.0), (math.nan, 0.0), (0.0, math.nan)])
def test_an_origin_off_the_earth_is_refused(place: tuple[float, float]) -> None:
    with pytest.raises(PlaceOffTheEarth, match="latitude"):
        LocalFrame(*place, 0.0)


def test_a_bearing_that_is_no_number_is_refused() -> None:
    with pytest.raises(ValueError, match="bearing nan rad"):
        LocalFrame(0.0, 0.0, math.nan)


def test_a_place_beyond_the_map_is_refused() -> None:
    with pytest.raises(PlaceOutsideFrame, match="1500000 m from the origin, at most 1000000 m"):
        LocalFrame(44.0, -40.0, 0.0).latitude_longitude_deg(1.5e6, 0.0)
