"""What follows from the published ends of a runway, on invented strips in mid-ocean."""

from __future__ import annotations

import math
from dataclasses import replace

import pytest
from geographiclib.geodesic import Geodesic

from volplane.domain.geometry.runway_ends import (
    Doubt,
    LandingRunway,
    PublishedAirfield,
    PublishedEnd,
    PublishedRunway,
    landing_runways,
    named_direction_rad,
    off_its_number_rad,
)

LATITUDE, LONGITUDE, BEARING_DEG, LENGTH_M = 44.0, -40.0, 60.0, 1500.0
VARIATION_RAD = math.radians(-12.0)


def strip(length_m: float = LENGTH_M, bearing_deg: float = BEARING_DEG) -> PublishedRunway:
    """A runway 07/25 of that length along that true bearing, published as it lies."""
    far = Geodesic.WGS84.Direct(LATITUDE, LONGITUDE, bearing_deg, length_m)
    low = PublishedEnd("07", LATITUDE, LONGITUDE, 290.0, 0.0, math.radians(BEARING_DEG))
    high = PublishedEnd("25", far["lat2"], far["lon2"], None, 0.0, math.radians(BEARING_DEG + 180.0))
    return PublishedRunway(low, high, LENGTH_M, "grass")


def worked_out(runway: PublishedRunway) -> tuple[LandingRunway, ...]:
    """Its landing directions."""
    field = PublishedAirfield("ZZQM", (), "Quill Meadow", "Ocean", "ZZ", LATITUDE, LONGITUDE, 286.5, (runway,))
    return landing_runways(field, VARIATION_RAD)


def apart_m(runway: LandingRunway, latitude_deg: float, longitude_deg: float) -> float:
    """How far its threshold is from a place."""
    here = (runway.threshold_latitude_deg, runway.threshold_longitude_deg)
    return float(Geodesic.WGS84.Inverse(*here, latitude_deg, longitude_deg)["s12"])


def test_a_sound_runway_has_two_landing_directions_and_no_doubt() -> None:
    low, high = worked_out(strip())
    assert (low.name, high.name, low.doubts, high.doubts) == ("07", "25", (), ())
    assert low.bearing_true_rad == pytest.approx(math.radians(60.0), abs=1e-9)
    assert high.bearing_true_rad == pytest.approx(math.radians(240.0), abs=1e-3)
    assert low.length_m == high.length_m == pytest.approx(LENGTH_M, abs=1e-6)
    assert apart_m(low, LATITUDE, LONGITUDE) < 1e-6


def test_a_displaced_threshold_moves_the_landing_threshold_and_shortens_only_its_own_landing() -> None:
    runway = strip()
    low, high = worked_out(replace(runway, low=replace(runway.low, displaced_m=200.0)))
    along = Geodesic.WGS84.Direct(LATITUDE, LONGITUDE, BEARING_DEG, 200.0)
    assert apart_m(low, along["lat2"], along["lon2"]) < 1e-6
    assert (low.length_m, high.length_m) == (pytest.approx(1300.0, abs=1e-6), pytest.approx(1500.0, abs=1e-6))
    assert low.doubts == ()


def test_positions_that_must_be_those_of_the_displaced_thresholds_are_not_moved_again() -> None:
    runway = strip(length_m=LENGTH_M - 400.0)
    low, high = worked_out(replace(runway, low=replace(runway.low, displaced_m=400.0)))
    assert apart_m(low, LATITUDE, LONGITUDE) < 1e-6
    assert (low.length_m, high.length_m) == (pytest.approx(1100.0), pytest.approx(1500.0))
    assert low.doubts == high.doubts == (Doubt.TAKEN_AS_THRESHOLDS,)
    assert low.is_usable


@pytest.mark.parametrize("length_m", [1210.0, 1440.0, 1560.0, 1870.0])
def test_where_lengths_disagree_the_shorter_is_landed_on_and_the_difference_told(length_m: float) -> None:
    low, _ = worked_out(strip(length_m=length_m))
    assert low.doubts == (Doubt.LENGTH_DIFFERS,)
    assert low.length_m == pytest.approx(min(length_m, LENGTH_M))
    assert low.between_ends_m == pytest.approx(length_m)


def test_lengths_that_differ_by_less_than_thirty_metres_and_two_percent_agree() -> None:
    assert worked_out(strip(length_m=1471.0))[0].doubts == ()
    assert worked_out(strip(length_m=1469.0))[0].doubts == (Doubt.LENGTH_DIFFERS,)


def test_a_bearing_more_than_two_degrees_off_the_published_one_is_told() -> None:
    assert worked_out(strip(bearing_deg=61.9))[0].doubts == ()
    low, _ = worked_out(strip(bearing_deg=62.1))
    assert (low.doubts, low.is_usable) == ((Doubt.BEARING_DIFFERS,), True)
    assert low.bearing_true_rad == pytest.approx(math.radians(62.1))


def test_ends_that_are_exchanged_are_told_and_never_used() -> None:
    runway = strip()
    exchanged = replace(
        runway, low=replace(runway.low, name="25"), high=replace(runway.high, name="07"), length_m=LENGTH_M
    )
    assert [each.doubts[0] for each in worked_out(exchanged)] == [Doubt.ENDS_EXCHANGED] * 2
    assert not any(each.is_usable for each in worked_out(exchanged))


def test_a_name_without_a_number_leaves_the_published_bearing_as_the_witness() -> None:
    runway = strip(bearing_deg=240.0)
    named = replace(runway, low=replace(runway.low, name="NE"), high=replace(runway.high, name="SW"))
    assert worked_out(named)[0].doubts[0] is Doubt.ENDS_EXCHANGED


def test_a_name_that_fits_neither_direction_forbids_the_end() -> None:
    runway = strip()
    low, high = worked_out(replace(runway, low=replace(runway.low, name="16")))
    assert (low.doubts, low.is_usable) == ((Doubt.NAME_DISAGREES,), False)
    assert high.is_usable


@pytest.mark.parametrize("length_m", [0.0, 60.0, 1190.0, 1890.0, 9_000_000.0])
def test_positions_that_cannot_be_those_of_the_runway_forbid_it(length_m: float) -> None:
    for end in worked_out(strip(length_m=length_m)):
        assert end.doubts == (Doubt.POSITIONS_IMPOSSIBLE,)
        assert end.threshold_latitude_deg is end.bearing_true_rad is end.length_m is None


def test_a_displacement_that_leaves_no_runway_forbids_that_end_only() -> None:
    runway = strip()
    low, high = worked_out(replace(runway, low=replace(runway.low, displaced_m=1450.0)))
    assert (low.is_usable, high.is_usable) == (False, True)


def test_a_runway_far_from_its_airfield_is_no_runway_of_it() -> None:
    field = PublishedAirfield("ZZQM", (), "Quill Meadow", "", "", LATITUDE + 1.0, LONGITUDE, None, (strip(),))
    assert {each.doubts for each in landing_runways(field, VARIATION_RAD)} == {(Doubt.POSITIONS_IMPOSSIBLE,)}


def test_an_end_without_position_is_told_and_an_end_without_name_is_none() -> None:
    runway = strip()
    unplaced = replace(runway, high=replace(runway.high, latitude_deg=None, longitude_deg=None))
    assert [each.doubts for each in worked_out(unplaced)] == [(Doubt.NO_POSITIONS,)] * 2
    (only,) = worked_out(replace(runway, high=replace(runway.high, name="")))
    assert (only.name, only.is_usable) == ("07", True)


def test_the_number_of_a_runway_is_magnetic_or_true_whichever_is_nearer() -> None:
    # 10 degrees true is 22 magnetic where the needle points 12 west
    assert off_its_number_rad("02", math.radians(10.0), VARIATION_RAD) == pytest.approx(math.radians(2.0))
    assert off_its_number_rad("01", math.radians(10.0), VARIATION_RAD) == pytest.approx(0.0)
    assert off_its_number_rad("36", math.radians(2.0), math.nan) == pytest.approx(math.radians(2.0))
    assert off_its_number_rad("NW", math.radians(10.0), VARIATION_RAD) == 0.0
    assert named_direction_rad("07L") == pytest.approx(math.radians(70.0))
    assert named_direction_rad("2500") is None
