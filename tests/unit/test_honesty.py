"""Where the stand-in lies: right at best glide, too steep fast, too flat slow, and what happens on the way down."""

from __future__ import annotations

import itertools
import math

import pytest

from tests.exercises import AIRPLANE
from tests.unit.test_stand_in import CONDITIONS, IN, WEIGHT, Truth, matched
from volplane.domain.airplane.honesty import (
    BANKS_RAD,
    FINAL_POWER_OFF,
    FINAL_WITH_POWER,
    HEADWIND,
    SPEED_OFFSETS_MPS,
    STILL_AIR,
    HonestyRow,
    Landing,
    height_rows,
    honesty_rows,
    retrim_altitudes_msl_m,
)
from volplane.domain.airplane.stand_in import StandInMatch
from volplane.domain.atmosphere import isa
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.units import FOOT_M, FOOT_PER_MINUTE_MPS, KNOT_MPS, mps_from_fpm, mps_from_kt

FOUND = matched(*(Truth().point(inches) for inches in (12, 14, 16)))
STALL = AIRPLANE.stall_clean_at_mps(WEIGHT)
LANDING = Landing(
    mps_from_kt(88.0), AIRPLANE.configuration("gear and full flap"), AIRPLANE.stall_landing_at_mps(WEIGHT)
)
ALTITUDE_M = CONDITIONS.altitude_msl_m
COLUMN = Atmosphere(ALTITUDE_M, float(isa.temperature_k(ALTITUDE_M)), isa.SEA_LEVEL_PRESSURE_PA)


def rows(phase: str = STILL_AIR, found: StandInMatch = FOUND, stall_mps: float = STALL) -> list[HonestyRow]:
    return [row for row in honesty_rows(found, stall_mps, LANDING) if row.phase == phase]


def straight(offset_kt: float) -> HonestyRow:
    return next(
        row for row in rows() if row.bank_rad == 0.0 and row.speed_offset_mps == pytest.approx(offset_kt * KNOT_MPS)
    )


def difference(row: HonestyRow) -> float:
    assert row.difference_mps is not None
    return row.difference_mps


def test_the_table_holds_every_speed_and_bank_in_still_air() -> None:
    got = {(round(row.bank_rad, 6), round(row.speed_offset_mps, 6)) for row in rows()}
    assert got == {(round(bank, 6), round(offset, 6)) for bank in BANKS_RAD for offset in SPEED_OFFSETS_MPS}
    assert len(rows(HEADWIND)) == 4


def test_the_stand_in_is_right_at_best_glide_and_twenty_knots_faster_it_sinks_more() -> None:
    assert difference(straight(0.0)) == pytest.approx(0.0, abs=1e-6)
    assert straight(0.0).verdict == "alike"
    assert straight(20.0).verdict == "sinks more"
    assert difference(straight(20.0)) > 100.0 * FOOT_PER_MINUTE_MPS
    assert difference(straight(-10.0)) < 0.0 < difference(straight(10.0))


def test_the_difference_grows_as_the_cube_of_the_speed_does_by_hand() -> None:
    # extra drag takes a / 2E V* v^3 of sink and thrust gives back what it takes at v = 1, small angles
    extra = FOUND.powered.configuration.extra_drag_factor
    best_tas = FOUND.best_eas_mps * math.sqrt(1.225 / CONDITIONS.air.density_kgpm3)
    for offset in (-10.0, 10.0, 20.0):
        v = 1.0 + offset * KNOT_MPS / FOUND.best_eas_mps
        by_hand = extra / (2.0 * 9.6) * best_tas * (v**3 - 1.0)
        assert difference(straight(offset)) == pytest.approx(by_hand, rel=0.1)


def test_turns_at_one_speed_are_as_honest_as_straight_flight() -> None:
    for row in rows():
        same_speed = next(each for each in rows() if each.speed_offset_mps == row.speed_offset_mps)
        assert difference(row) == pytest.approx(difference(same_speed), abs=mps_from_fpm(15.0))
    sinks = [row.real_sink_mps or 0.0 for row in rows() if row.speed_offset_mps == 0.0]
    assert sinks == sorted(sinks)
    assert sinks[-1] > 1.4 * sinks[0]


def test_nothing_is_compared_near_the_stall() -> None:
    # a stall at 85 kt is above 100 kt in a 45-degree turn: 85 / sqrt(cos 45) = 101 kt
    steep = [row for row in rows(stall_mps=mps_from_kt(85.0)) if row.bank_rad > 0.7]
    blank = [row for row in steep if row.real_sink_mps is None]
    assert [round(row.speed_offset_mps / KNOT_MPS) for row in blank] == [-10, 0]
    assert {row.verdict for row in blank} == {""}
    assert all(row.stand_in_sink_mps is None and row.difference_mps is None for row in blank)


def test_into_a_headwind_both_ratios_over_the_ground_fall_and_part_with_the_speed() -> None:
    for row in rows(HEADWIND):
        still = next(each for each in rows() if each.bank_rad == 0.0 and each.speed_offset_mps == row.speed_offset_mps)
        assert row.real_ground_ratio is not None
        assert still.real_ground_ratio is not None
        tas = row.eas_mps * math.sqrt(1.225 / CONDITIONS.air.density_kgpm3)
        assert row.real_ground_ratio == pytest.approx(still.real_ground_ratio * (1.0 - 20.0 * KNOT_MPS / tas), rel=0.01)
    fastest = rows(HEADWIND)[-1]
    assert (fastest.stand_in_ground_ratio or 0.0) < (fastest.real_ground_ratio or 0.0)
    assert rows()[-1].real_ground_ratio is None


def test_on_final_the_power_holds_up_and_the_fine_stop_brakes() -> None:
    (with_power,), (power_off,) = rows(FINAL_WITH_POWER), rows(FINAL_POWER_OFF)
    assert with_power.verdict == "sinks less"
    assert power_off.verdict == "sinks more"
    assert power_off.eas_mps == mps_from_kt(88.0)
    # half a clean airplane's parasite drag more, by hand: 0.5 / 2E v^2 V
    v = 88.0 * KNOT_MPS / FOUND.best_eas_mps
    tas = power_off.eas_mps * math.sqrt(1.225 / CONDITIONS.air.density_kgpm3)
    assert difference(power_off) == pytest.approx(0.5 / (2.0 * 9.6) * v**2 * tas, rel=0.05)


def test_a_throttle_left_gains_half_an_inch_a_thousand_feet_and_sinks_less_and_less() -> None:
    altitudes = tuple(feet * FOOT_M for feet in (500.0, 1500.0, 2500.0, 3500.0))
    way_down = height_rows(FOUND, COLUMN, altitudes)
    assert [row.altitude_msl_m for row in way_down] == sorted(altitudes, reverse=True)
    creeps = [(low.manifold_pressure_pa - high.manifold_pressure_pa) / IN for high, low in itertools.pairwise(way_down)]
    assert all(0.4 <= creep <= 0.7 for creep in creeps)
    errors = [row.sink_error_mps for row in way_down]
    assert errors == sorted(errors, reverse=True)
    at_setting = way_down[1]
    assert at_setting.sink_error_mps == pytest.approx(0.0, abs=1e-6)
    assert at_setting.manifold_pressure_pa == pytest.approx(at_setting.honest_pa)


def test_the_throttle_is_set_back_each_time_fifty_feet_a_minute_have_crept_in() -> None:
    places = retrim_altitudes_msl_m(FOUND, COLUMN, -3000.0 * FOOT_M)
    assert len(places) >= 2
    assert list(places) == sorted(places, reverse=True)
    (first,) = height_rows(FOUND, COLUMN, (places[0],))
    assert abs(first.sink_error_mps) == pytest.approx(50.0 * FOOT_PER_MINUTE_MPS, rel=0.05)
    assert retrim_altitudes_msl_m(FOUND, COLUMN, places[0] + 100.0) == ()
