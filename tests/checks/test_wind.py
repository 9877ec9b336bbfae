"""Table E: wind and airspeed from ground speeds, the wind triangle, shear, and the geodesic the flat map is held to."""

from __future__ import annotations

import math
import statistics

import numpy as np
import pytest
from geographiclib.geodesic import Geodesic

from tests.checks.records import Check, assert_check, check
from volplane import units
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.atmosphere.wind_from_legs import from_headings, from_tracks, ground_speed_mps_on_heading
from volplane.domain.geometry.angles import headwind_and_crosswind_mps, wind_triangle
from volplane.domain.geometry.local_frame import FLATTENING_RATIO, SEMI_MAJOR_AXIS_M

GRAY = "Gray, Using GPS to accurately establish true airspeed, 1998"
WORKSHEET = "test-pilot-school worksheet, four legs"
WILLIAMS = "formula of Williams, three headings 120 degrees apart; case computed independently"
GROUND_SCHOOL = "ground-school wind triangle"
KT = units.KNOT_MPS


E1A = check("E1a", "TAS of GS/track 140/192, 112/283, 120/20", 130.0, "kt", 0.5, "printed to a knot", GRAY, "PV")
E1B = check("E1b", "wind from, the same legs", 314.8, "deg", 0.05, "printed to a tenth", GRAY, "PV")
E1C = check("E1c", "wind speed, the same legs", 20.6, "kt", 0.05, "printed to a tenth", GRAY, "PV")


def test_three_legs_give_airspeed_and_wind() -> None:
    found = from_tracks(np.array([140.0, 112.0, 120.0]) * KT, np.radians([192.0, 283.0, 20.0]))
    assert_check(E1A, found.tas_mps / KT)
    assert_check(E1B, math.degrees(found.wind_from_true_rad))
    assert_check(E1C, found.wind_speed_mps / KT)


# legs of each triple, and the wind it gives
TRIPLES = [
    (
        legs,
        check(f"E2s{number}", f"wind speed, triple {number}", speed, "kt", 5e-4, "three decimals", WORKSHEET, "PV"),
        check(f"E2d{number}", f"wind from, triple {number}", direction, "deg", 5e-3, "two decimals", WORKSHEET, "PV"),
    )
    for number, legs, speed, direction in [
        (1, [0, 1, 2], 5.261, 194.52),
        (2, [1, 2, 3], 3.582, 181.52),
        (3, [0, 2, 3], 5.150, 162.70),
        (4, [0, 1, 3], 6.444, 177.95),
    ]
]
E2A = check("E2a", "mean TAS of the four triples", 183.7267, "kt", 5e-05, "printed to that digit", WORKSHEET, "PV")
E2B = check(
    "E2b", "sample standard deviation of the four", 0.8271, "kt", 5e-05, "printed to that digit", WORKSHEET, "PV"
)


def test_four_legs_in_threes_show_the_scatter() -> None:
    ground_speed, track = np.array([178.0, 185.0, 188.0, 184.0]) * KT, np.radians([178.0, 82.0, 355.0, 265.0])
    found = [from_tracks(ground_speed[legs], track[legs]) for legs, _, _ in TRIPLES]
    speeds = [each.tas_mps / KT for each in found]
    assert_check(E2A, statistics.mean(speeds))
    assert_check(E2B, statistics.stdev(speeds))
    for each, (_, speed, direction) in zip(found, TRIPLES, strict=True):
        assert_check(speed, each.wind_speed_mps / KT)
        assert_check(direction, math.degrees(each.wind_from_true_rad))


CARDINAL = [
    (
        heading,
        check(
            f"E3-{heading}",
            f"GS on heading {heading}, TAS 100, west wind 20",
            gs,
            "kt",
            0.5,
            "to a knot",
            GROUND_SCHOOL,
            "PV",
        ),
    )
    for heading, gs in [(0, 102.0), (90, 120.0), (180, 102.0), (270, 80.0)]
]


@pytest.mark.parametrize("heading, record", CARDINAL)
def test_ground_speed_on_cardinal_headings(heading: int, record: Check) -> None:
    found = ground_speed_mps_on_heading(100.0 * KT, np.radians([float(heading)]), 20.0 * KT, 0.0)
    assert_check(record, found[0] / KT)


E3M = check("E3m", "mean GS of the cardinal headings", 101.0, "kt", 0.05, "to a tenth", GROUND_SCHOOL, "PV")
E3T = check("E3t", "TAS of those headings", 100.0, "kt", 1e-06, "exact", GROUND_SCHOOL, "PV")


def test_the_mean_of_cardinal_ground_speeds_is_not_the_airspeed() -> None:
    headings = np.radians([0.0, 90.0, 180.0, 270.0])
    ground_speed = ground_speed_mps_on_heading(100.0 * KT, headings, 20.0 * KT, 0.0)
    assert_check(E3M, float(ground_speed.mean()) / KT)
    assert_check(E3T, from_headings(ground_speed, headings).tas_mps / KT)


E4A = check(
    "E4a",
    "TAS of GS 84.88496899, 99.56165239, 118.66768479",
    100.0,
    "kt",
    1e-06,
    "inputs printed to eight decimals",
    WILLIAMS,
    "C",
)
E4B = check(
    "E4b",
    "wind speed of GS 84.88496899, 99.56165239, 118.66768479",
    20.0,
    "kt",
    1e-06,
    "inputs printed to eight decimals",
    WILLIAMS,
    "C",
)


@pytest.mark.parametrize("first_heading_deg", [0.0, 40.0, 200.0])
def test_three_ground_speeds_alone_give_airspeed_and_wind(first_heading_deg: float) -> None:
    ground_speed = np.array([84.88496899, 99.56165239, 118.66768479]) * KT
    found = from_headings(ground_speed, np.radians(first_heading_deg + np.array([0.0, 120.0, 240.0])))
    assert_check(E4A, found.tas_mps / KT)
    assert_check(E4B, found.wind_speed_mps / KT)


E6A = check(
    "E6a",
    "crosswind, runway 18, wind 220/30",
    19.28,
    "kt",
    0.005,
    "printed to a hundredth",
    "FAA test item on wind components",
    "PV",
)
E6B = check(
    "E6b",
    "headwind, runway 18, wind 220/30",
    22.98,
    "kt",
    0.005,
    "printed to a hundredth",
    "FAA test item on wind components",
    "PV",
)


def test_headwind_and_crosswind_on_a_runway() -> None:
    headwind, crosswind = headwind_and_crosswind_mps(math.radians(180.0), math.radians(220.0), 30.0 * KT)
    assert_check(E6A, crosswind / KT)
    assert_check(E6B, headwind / KT)


E6C = check(
    "E6c", "heading, track 270, TAS 120, wind 180/30", 255.5, "deg", 0.05, "printed to a tenth", GROUND_SCHOOL, "PV"
)
E6D = check("E6d", "GS, track 270, TAS 120, wind 180/30", 116.0, "kt", 0.5, "to a knot", GROUND_SCHOOL, "PV")
E6E = check(
    "E6e", "correction right, track 045, TAS 110, wind 090/25", 9.25, "deg", 0.005, "two decimals", GROUND_SCHOOL, "PV"
)
E6F = check("E6f", "GS, track 045, TAS 110, wind 090/25", 90.89, "kt", 0.005, "two decimals", GROUND_SCHOOL, "PV")


def test_heading_and_ground_speed_for_a_track() -> None:
    south = WindProfile.uniform(math.radians(180.0), 30.0 * KT).components_mps(0.0)
    west = wind_triangle(math.radians(270.0), 120.0 * KT, *south)
    assert_check(E6C, math.degrees(west.heading_true_rad))
    assert_check(E6D, west.ground_speed_mps / KT)
    east = WindProfile.uniform(math.radians(90.0), 25.0 * KT).components_mps(0.0)
    diagonal = wind_triangle(math.radians(45.0), 110.0 * KT, *east)
    assert_check(E6E, math.degrees(diagonal.correction_rad))
    assert_check(E6F, diagonal.ground_speed_mps / KT)


def _wind_at_100_m(record_exponent: float) -> float:
    """Speed at 100 m that leaves 8 m/s at 10 m."""
    unit = WindProfile.from_levels([(100.0, 0.0, 1.0)], shear_exponent_factor=record_exponent)
    return 8.0 / unit.speed_and_direction(10.0)[0]


E7A = check(
    "E7a",
    "8 m/s at 10 m, to 100 m, exponent 0.143",
    11.12,
    "m/s",
    0.005,
    "two decimals",
    "power law of wind shear",
    "PV",
)
E7B = check(
    "E7b",
    "8 m/s at 10 m, to 100 m",
    11.17,
    "m/s",
    0.1,
    "another law of the same shear (log law, roughness 0.03 m): 1 %",
    "log law of wind shear",
    "PV",
)


def test_shear_by_the_power_law() -> None:
    assert_check(E7A, _wind_at_100_m(0.143))
    assert_check(E7B, _wind_at_100_m(1.0 / 7.0))


E8 = check(
    "E8",
    "geodesic 40.6,-73.8 to 51.6,-0.5",
    5551759.4,
    "m",
    0.001,
    "printed to a millimetre",
    "published geodesic test, WGS 84",
    "PV",
)


def test_the_reference_of_the_flat_map_is_the_ellipsoid_it_uses() -> None:
    reference = Geodesic(SEMI_MAJOR_AXIS_M, FLATTENING_RATIO)
    assert_check(E8, reference.Inverse(40.6, -73.8, 51.6, -0.5)["s12"])
