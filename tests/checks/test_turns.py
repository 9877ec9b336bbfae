"""Table B: turns, load factor, stall, and turns over the ground in wind."""

from __future__ import annotations

import math

import pytest

from tests.checks.records import Check, assert_check, check
from volplane import units
from volplane.domain.geometry import turns_over_ground as turns

FLIGHT_TRAINING = "FAA flight training handbook, accelerated stalls"
GROUND_SCHOOL = "ground-school table of turn radius and time"
TROCHOID = "trochoid: circle in the air plus wind times time, computed independently"
EVEN_RADIUS = "force along the normal of the ground track, computed independently"
KT = units.KNOT_MPS


B1A = check(
    "B1a", "radius, 120 kt, 30 deg", 2208.0, "ft", 2.2, "0.1 %", "V^2/(g tan bank), printed and recomputed", "PV"
)
B1B = check(
    "B1b",
    "radius, 120 kt, 30 deg",
    2215.0,
    "ft",
    11.0,
    "0.5 %: the handbook's 11.26 tan(bank) is rounded",
    "FAA, Pilot's Handbook of Aeronautical Knowledge, from memory",
    "M",
)


def test_turn_radius_at_120_knots_and_30_degrees() -> None:
    radius_ft = units.ft_from_m(turns.turn_radius_m(120.0 * KT, math.radians(30.0)))
    assert_check(B1A, radius_ft)
    assert_check(B1B, radius_ft)


RADII = [
    (
        bank,
        check(
            f"B2r{bank}",
            f"radius, 100 kt, {bank} deg",
            radius,
            "m",
            1.0,
            "to a metre, some rounded, some cut off",
            GROUND_SCHOOL,
            "PV",
        ),
        check(
            f"B2t{bank}",
            f"time per 360, 100 kt, {bank} deg",
            time,
            "s",
            0.5,
            "printed to a second",
            GROUND_SCHOOL,
            "PV",
        ),
    )
    for bank, radius, time in [(30, 467.0, 57.0), (45, 269.0, 33.0), (60, 156.0, 19.0)]
]


@pytest.mark.parametrize("bank, radius, time", RADII)
def test_radius_and_time_of_a_circle_at_100_knots(bank: int, radius: Check, time: Check) -> None:
    bank_rad = math.radians(bank)
    assert_check(radius, turns.turn_radius_m(100.0 * KT, bank_rad))
    assert_check(time, 2.0 * math.pi / turns.turn_rate_radps(100.0 * KT, bank_rad))


B3 = check(
    "B3",
    "turn rate, 120 kt, 30 deg",
    5.25,
    "deg/s",
    0.01,
    "printed to a hundredth; the handbook's 1,091 is rounded",
    "FAA, Pilot's Handbook of Aeronautical Knowledge, from memory; recomputed",
    "M",
)


def test_turn_rate_at_120_knots_and_30_degrees() -> None:
    assert_check(B3, math.degrees(turns.turn_rate_radps(120.0 * KT, math.radians(30.0))))


STALL_FACTORS = [
    (bank, check(f"B4-{bank}", f"stall speed factor, {bank} deg", factor, "", 5e-4, "three decimals", source, tag))
    for bank, factor, source, tag in [
        (20, 1.032, "1/sqrt(cos bank), computed independently", "C"),
        (30, 1.075, "1/sqrt(cos bank), computed independently", "C"),
        (40, 1.143, "1/sqrt(cos bank), computed independently", "C"),
        (45, 1.189, "1/sqrt(cos bank), computed independently", "C"),
        (60, 1.414, "1/sqrt(cos bank), computed independently", "C"),
    ]
]


@pytest.mark.parametrize("bank, record", STALL_FACTORS)
def test_stall_speed_grows_with_bank(bank: int, record: Check) -> None:
    assert_check(record, turns.stall_speed_factor(math.radians(bank)))


B4H = check(
    "B4h", "increase of stall speed at 60 deg", 40.0, "%", 2.5, "'about 40 %'", "FAA Airplane Flying Handbook", "P"
)


def test_stall_speed_at_60_degrees_is_about_forty_percent_more() -> None:
    assert_check(B4H, 100.0 * (turns.stall_speed_factor(math.radians(60.0)) - 1.0))


B5A = check("B5a", "50 kt stall at 4 g", 100.0, "kt", 0.5, "printed to a knot", FLIGHT_TRAINING, "PV")
B5B = check("B5b", "50 kt stall at 9 g", 150.0, "kt", 0.5, "printed to a knot", FLIGHT_TRAINING, "PV")


def test_stall_speed_grows_with_the_root_of_load_factor() -> None:
    assert_check(B5A, 50.0 * turns.stall_speed_factor(math.acos(1.0 / 4.0)))
    assert_check(B5B, 50.0 * turns.stall_speed_factor(math.acos(1.0 / 9.0)))


DRIFTS = [
    (
        bank,
        check(f"B6t{bank}", f"time of a 360, 100 kt, {bank} deg", time, "s", 0.01, "two decimals", TROCHOID, "C"),
        check(
            f"B6d{bank}", f"drift in a 360, 100 kt in 20 kt, {bank} deg", drift, "ft", 0.5, "to a foot", TROCHOID, "C"
        ),
    )
    for bank, time, drift in [(30, 57.09, 1927.0), (45, 32.96, 1113.0)]
]


@pytest.mark.parametrize("heading_deg", [0.0, 77.0, 180.0, 301.0])
@pytest.mark.parametrize("side", [-1.0, 1.0])
@pytest.mark.parametrize("bank, time, drift", DRIFTS)
def test_a_circle_at_constant_bank_drifts_the_same_from_any_heading(
    bank: int, time: Check, drift: Check, side: float, heading_deg: float
) -> None:
    bank_rad, around = math.radians(bank), side * 2.0 * math.pi
    x_m, y_m = turns.constant_bank_displacement_m(
        100.0 * KT, bank_rad, math.radians(heading_deg), around, 12.0 * KT, -16.0 * KT
    )
    assert_check(time, 2.0 * math.pi / turns.turn_rate_radps(100.0 * KT, bank_rad))
    assert_check(drift, units.ft_from_m(math.hypot(x_m, y_m)))
    assert math.atan2(y_m, x_m) == pytest.approx(math.atan2(-16.0, 12.0), abs=1e-9)


B7A = check(
    "B7a", "ground radius at 45 deg downwind, 100 kt, 20 kt wind", 1275.0, "ft", 0.5, "to a foot", EVEN_RADIUS, "C"
)
B7B = check("B7b", "bank upwind on that radius", 23.96, "deg", 0.005, "two decimals", EVEN_RADIUS, "C")
B7C = check("B7c", "bank crosswind on that radius", 34.23, "deg", 0.005, "two decimals", EVEN_RADIUS, "C")
B7D = check("B7d", "crab crosswind on that radius", 11.54, "deg", 0.005, "two decimals", EVEN_RADIUS, "C")


def test_an_even_radius_over_the_ground_needs_a_bank_that_follows_the_wind() -> None:
    tas_mps, wind_mps = 100.0 * KT, 20.0 * KT
    radius_m = turns.ground_radius_m(tas_mps, math.radians(45.0), wind_mps, 0.0)
    assert_check(B7A, units.ft_from_m(radius_m))
    assert_check(B7B, math.degrees(turns.even_radius_turn(tas_mps, radius_m, -wind_mps, 0.0).bank_rad))
    beam = turns.even_radius_turn(tas_mps, radius_m, 0.0, wind_mps)
    assert_check(B7C, math.degrees(beam.bank_rad))
    # wind to the left is met with the nose to the right, which is negative in the runway frame
    assert_check(B7D, -math.degrees(beam.crab_rad))


STANDARD_RATES = [
    (
        kt,
        check(
            f"B8-{kt}",
            f"bank for 3 deg/s at {kt} kt",
            bank,
            "deg",
            tolerance,
            "last printed digit",
            GROUND_SCHOOL,
            "PV",
        ),
    )
    for kt, bank, tolerance in [(100, 15.4, 0.05), (120, 18.24, 0.005)]
]


@pytest.mark.parametrize("kt, record", STANDARD_RATES)
def test_bank_of_a_standard_rate_turn(kt: int, record: Check) -> None:
    assert_check(record, math.degrees(turns.bank_rad_from_turn_rate(kt * KT, math.radians(3.0))))
