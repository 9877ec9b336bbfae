"""Airspeed calibration from legs, written down and found in recordings."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from tests.airspeed_flights import (
    PRESSURE_ALTITUDE_M,
    SPEEDS_KT,
    TEMPERATURE_K,
    Morning,
    boxes,
    dial_error_mps,
    true_airspeed_mps,
)
from volplane.domain.airplane.airspeed_calibration import CalibrationNotUsable, calibrate, correction_table
from volplane.domain.airplane.airspeed_legs import (
    AirspeedLeg,
    has_three_directions,
    legs_of,
    pressure_altitude_sd_m,
    speed_groups,
)
from volplane.domain.atmosphere import isa
from volplane.domain.atmosphere.refusals import LegsDoNotDetermineWind
from volplane.domain.track.track import AltitudeSource
from volplane.units import FOOT_M, KNOT_MPS

KT = KNOT_MPS


def leg(
    tas_kt: float,
    heading_deg: float,
    wind_kt: tuple[float, float] = (10.0, -14.0),
    *,
    ias_kt: float | None = 100.0,
    on_heading: bool = False,
    has_air: bool = True,
) -> AirspeedLeg:
    """A leg flown exactly, the wind as the velocity of the air, east and north."""
    heading = math.radians(heading_deg)
    east, north = tas_kt * math.sin(heading) + wind_kt[0], tas_kt * math.cos(heading) + wind_kt[1]
    return AirspeedLeg(
        ground_speed_mps=math.hypot(east, north) * KT,
        track_true_rad=None if on_heading else math.atan2(east, north) % (2.0 * math.pi),
        heading_true_rad=heading,
        ias_mps=None if ias_kt is None else ias_kt * KT,
        pressure_altitude_m=0.0 if has_air else None,
        temperature_k=isa.SEA_LEVEL_TEMPERATURE_K if has_air else None,
    )


@pytest.mark.parametrize("on_heading", [False, True])
def test_exact_legs_at_two_speeds_give_back_airspeed_wind_and_dial(on_heading: bool) -> None:
    legs = [leg(97.0, 15.0 + 120.0 * each, ias_kt=100.0, on_heading=on_heading) for each in range(3)]
    legs += [leg(116.0, 40.0 + 90.0 * each, ias_kt=120.0, on_heading=on_heading) for each in range(4)]
    found = calibrate(legs)
    assert [speed.tas_mps / KT for speed in found.speeds] == pytest.approx([97.0, 116.0], abs=1e-4)
    for speed in found.speeds:
        assert (speed.wind_east_mps / KT, speed.wind_north_mps / KT) == pytest.approx((10.0, -14.0), abs=1e-4)
        # at sea level on a standard day true airspeed is calibrated airspeed
        assert speed.cas_mps == pytest.approx(speed.tas_mps, rel=1e-9)
        assert speed.alone is not None
        assert speed.alone.tas_mps == pytest.approx(speed.tas_mps, abs=1e-3)
    errors = [speed.position_error_mps for speed in found.speeds]
    assert [error / KT for error in errors if error is not None] == pytest.approx([3.0, 4.0], abs=1e-4)
    assert found.wind_speed_mps / KT == pytest.approx(math.hypot(10.0, 14.0), abs=1e-4)


def test_tracks_and_headings_may_be_mixed() -> None:
    legs = [leg(97.0, 90.0 * each, on_heading=each % 2 == 0) for each in range(4)]
    (speed,) = calibrate(legs).speeds
    assert speed.tas_mps / KT == pytest.approx(97.0, abs=1e-4)


def test_a_leg_flown_faster_than_its_fellows_is_taken_so() -> None:
    # the same dial error in per cent: a leg at 103 kt is 3 % faster in the air
    speeds = (100.0, 103.0, 99.0, 101.0)
    legs = [leg(0.97 * speed, 90.0 * at, ias_kt=speed) for at, speed in enumerate(speeds)]
    (found,) = calibrate(legs).speeds
    assert found.tas_mps / KT == pytest.approx(0.97 * np.mean(speeds), abs=1e-4)
    assert max(abs(each.misfit_mps or 0.0) for each in calibrate(legs).legs) < 1e-4


def test_two_opposite_legs_at_a_second_speed_lean_on_the_wind_of_the_first() -> None:
    legs = [leg(97.0, 90.0 * each) for each in range(4)]
    legs += [leg(116.0, 10.0, ias_kt=120.0), leg(116.0, 190.0, ias_kt=120.0)]
    first, second = calibrate(legs).speeds
    assert second.alone is None
    assert second.tas_mps / KT == pytest.approx(116.0, abs=1e-3)
    assert second.tas_sd_mps > first.tas_sd_mps
    with_others_only = calibrate(legs, each_speed_alone=True)
    assert len(with_others_only.speeds) == 1
    assert [each.left_out for each in with_others_only.legs] == [None] * 4 + ["few-directions"] * 2


def test_one_bad_leg_of_many_loses_its_weight() -> None:
    legs = [leg(97.0, 45.0 * each) for each in range(8)]
    bad = dataclasses.replace(legs[3], ground_speed_mps=legs[3].ground_speed_mps + 12.0 * KT)
    found = calibrate([*legs[:3], bad, *legs[4:]])
    weights = [each.weight_fraction for each in found.legs]
    assert weights[3] < 0.35
    assert min(weights[:3] + weights[4:]) > 0.9
    assert found.speeds[0].tas_mps / KT == pytest.approx(97.0, abs=1.0)


def test_three_legs_have_an_uncertainty_and_more_legs_a_smaller_one() -> None:
    three = calibrate([leg(97.0, 120.0 * each) for each in range(3)]).speeds[0]
    twelve = calibrate([leg(97.0, 30.0 * each) for each in range(12)]).speeds[0]
    # sd of a mean of three legs of 1 kt each
    assert three.tas_sd_mps / KT == pytest.approx(1.0 / math.sqrt(3.0), rel=0.01)
    assert twelve.tas_sd_mps < 0.5 * three.tas_sd_mps


def test_scattered_legs_say_so_in_their_uncertainty() -> None:
    quiet = [leg(97.0, 45.0 * each) for each in range(8)]
    rough = [
        dataclasses.replace(each, ground_speed_mps=each.ground_speed_mps + (-1.0) ** at * 3.0 * KT)
        for at, each in enumerate(quiet)
    ]
    assert calibrate(rough).leg_sd_mps > 2.0 * calibrate(quiet).leg_sd_mps
    assert calibrate(rough).speeds[0].tas_sd_mps > 2.0 * calibrate(quiet).speeds[0].tas_sd_mps


def test_without_height_or_temperature_the_true_airspeed_is_known_and_the_dial_is_not() -> None:
    (speed,) = calibrate([leg(97.0, 120.0 * each, has_air=False) for each in range(3)]).speeds
    assert speed.tas_mps / KT == pytest.approx(97.0, abs=1e-4)
    assert (speed.cas_mps, speed.position_error_mps, speed.unknown) == (None, None, "pressure-altitude")
    with pytest.raises(CalibrationNotUsable, match="pressure-altitude"):
        correction_table(calibrate([leg(97.0, 120.0 * each, has_air=False) for each in range(3)]))


def test_an_unsure_height_makes_an_unsure_dial() -> None:
    legs = [leg(97.0, 120.0 * each) for each in range(3)]
    sure, unsure = (calibrate(legs, pressure_altitude_sd_m=sd).speeds[0] for sd in (0.0, 300.0))
    assert sure.position_error_sd_mps is not None
    assert unsure.position_error_sd_mps is not None
    # the temperature being measured, 300 m are 3.5 % of pressure and density, 1.77 % of airspeed
    grown = math.sqrt(unsure.position_error_sd_mps**2 - sure.position_error_sd_mps**2)
    assert grown == pytest.approx(0.0177 * 97.0 * KT, rel=0.02)


@pytest.mark.parametrize(
    ("legs", "match"),
    [
        ([], "three legs are the least"),
        ([leg(97.0, 0.0), leg(97.0, 180.0)], "three legs are the least"),
        ([leg(97.0, each) for each in (0.0, 20.0, 40.0)], "within 120 degrees"),
        ([leg(97.0, 120.0 * each, ias_kt=80.0 + 20.0 * each) for each in range(3)], "too few legs"),
        ([leg(97.0, 0.0), leg(97.0, 180.0), leg(97.0, 0.0), leg(97.0, 180.0)], "too few directions|too alike"),
        ([leg(20.0, 120.0 * each, (0.0, 30.0)) for each in range(3)], "within 120 degrees|not below the airspeed"),
        ([dataclasses.replace(leg(97.0, 120.0 * each), ground_speed_mps=0.0) for each in range(3)], "not positive"),
        ([dataclasses.replace(leg(97.0, 0.0), track_true_rad=math.nan)] * 3, "not a finite number"),
    ],
)
def test_legs_that_give_no_answer_are_refused(legs: list[AirspeedLeg], match: str) -> None:
    with pytest.raises(LegsDoNotDetermineWind, match=match):
        calibrate(legs)


def test_a_table_that_does_not_grow_is_refused() -> None:
    legs = [leg(97.0, 120.0 * each, ias_kt=100.0) for each in range(3)]
    legs += [leg(96.0, 120.0 * each, ias_kt=106.0) for each in range(3)]
    with pytest.raises(CalibrationNotUsable, match="growing"):
        correction_table(calibrate(legs))


def test_speeds_flown_at_two_heights_make_one_line_of_the_table() -> None:
    low = [leg(97.0, 120.0 * each) for each in range(3)]
    high = [dataclasses.replace(leg(97.0, 120.0 * each), pressure_altitude_m=900.0) for each in range(3)]
    found = calibrate([*low, *high])
    assert len(found.speeds) == 2
    ((ias, cas),) = correction_table(found)
    calibrated = [speed.cas_mps for speed in found.speeds if speed.cas_mps is not None]
    assert ias / KT == pytest.approx(100.0)
    assert min(calibrated) < cas < max(calibrated)


def test_legs_are_grouped_by_speed_and_height() -> None:
    legs = [leg(97.0, 0.0, ias_kt=speed) for speed in (100.0, 120.0, 102.0, 99.0, 121.0)]
    assert speed_groups(legs) == [[0, 2, 3], [1, 4]]
    legs[3] = dataclasses.replace(legs[3], pressure_altitude_m=1000.0 * FOOT_M)
    assert speed_groups(legs) == [[0, 2], [3], [1, 4]]


@pytest.mark.parametrize(
    ("degrees", "are_three"),
    [((0, 120, 240), True), ((0, 90, 180), True), ((0, 180), False), ((0, 5, 180, 185), False), ((0, 30, 60), False)],
)
def test_three_directions_are_three_different_ones(degrees: tuple[float, ...], are_three: bool) -> None:
    assert has_three_directions([math.radians(each) for each in degrees]) is are_three


# three mornings keep this fast; docs/airspeed.md tells of sixty
@pytest.mark.parametrize("seed", [0, 1, 2])
@pytest.mark.parametrize("has_velocity", [True, False])
def test_boxes_at_five_speeds_in_18_kt_of_wind_give_wind_within_1_kt_and_airspeed_within_0_7_kt(
    seed: int, has_velocity: bool
) -> None:
    morning = Morning(has_velocity=has_velocity)
    found = calibrate(legs_of(boxes(seed, morning)), each_speed_alone=True)
    assert len(found.speeds) == len(SPEEDS_KT)
    east, north = morning.wind_mps
    assert math.hypot(found.wind_east_mps - east, found.wind_north_mps - north) < 1.0 * KT
    for speed in found.speeds:
        assert speed.ias_mps is not None
        assert speed.position_error_mps is not None
        assert math.hypot(speed.wind_east_mps - east, speed.wind_north_mps - north) < 1.0 * KT
        assert abs(speed.tas_mps - true_airspeed_mps(speed.ias_mps)) < 0.7 * KT
        assert abs(speed.position_error_mps - dial_error_mps(speed.ias_mps)) < 0.7 * KT
        assert speed.pressure_altitude_m == pytest.approx(PRESSURE_ALTITUDE_M, abs=1.0)
        assert speed.temperature_k == pytest.approx(TEMPERATURE_K)


def test_the_reported_uncertainty_covers_what_happens() -> None:
    misses = []
    for seed in range(12):
        for speed in calibrate(legs_of(boxes(100 + seed)), each_speed_alone=True).speeds:
            assert speed.ias_mps is not None
            misses.append(abs(speed.tas_mps - true_airspeed_mps(speed.ias_mps)) / speed.tas_sd_mps)
    assert np.mean(np.array(misses) < 1.96) >= 0.95
    # and is no blanket statement either
    assert np.sqrt(np.mean(np.square(misses))) > 0.4


def test_the_turns_between_the_legs_are_no_legs() -> None:
    legs = legs_of(boxes(3, Morning(wander_kt=0.0, gust_kt=0.0)))
    assert len(legs) == 4 * len(SPEEDS_KT)
    for each in legs:
        assert each.start_s is not None
        assert each.duration_s is not None
        assert each.start_s % 90.0 < 30.0 or each.start_s % 90.0 > 85.0
        assert 40.0 <= each.duration_s <= 60.0


def test_a_climb_is_no_leg_and_a_gap_ends_one() -> None:
    track = boxes(0)
    assert track.altitude_m is not None
    climbing = dataclasses.replace(track, altitude_m=track.altitude_m + 2.5 * track.time_s)
    assert legs_of(climbing) == ()
    keep = (track.time_s < 20.0) | (track.time_s > 45.0)
    channels = "time_s latitude_deg longitude_deg altitude_m ground_speed_mps track_true_rad ias_mps air_temperature_k"
    torn = dataclasses.replace(track, **{name: getattr(track, name)[keep] for name in channels.split()})
    first = legs_of(torn)[0]
    assert first.start_s is not None
    assert first.start_s >= 45.0


def test_without_airspeed_all_legs_are_of_one_unknown_speed() -> None:
    track = boxes(5, Morning(has_airspeed=False, wander_kt=0.5), speeds_kt=(100.0,))
    (speed,) = calibrate(legs_of(track), each_speed_alone=True).speeds
    assert (speed.ias_mps, speed.unknown) == (None, "indicated-airspeed")
    assert speed.tas_mps == pytest.approx(true_airspeed_mps(100.0 * KT), abs=1.0 * KT)


def test_the_altimeter_setting_turns_indicated_into_pressure_altitude() -> None:
    track = dataclasses.replace(boxes(0, speeds_kt=(100.0,)), altitude_source=AltitudeSource.INDICATED)
    plain, high = legs_of(track)[0], legs_of(track, isa.SEA_LEVEL_PRESSURE_PA + 1000.0)[0]
    assert plain.pressure_altitude_m is not None
    assert high.pressure_altitude_m is not None
    # 10 hPa above standard: 83 m lower on the standard setting
    assert plain.pressure_altitude_m - high.pressure_altitude_m == pytest.approx(83.0, abs=1.0)
    assert pressure_altitude_sd_m(track, None) > pressure_altitude_sd_m(track, 101325.0)
    assert pressure_altitude_sd_m(boxes(0, speeds_kt=(100.0,)), None) < pressure_altitude_sd_m(track, 101325.0)


def test_a_hole_in_one_channel_ends_a_leg_too_and_slow_recorders_are_read() -> None:
    track = boxes(0, speeds_kt=(100.0,))
    assert track.ias_mps is not None
    holed = np.where((track.time_s > 20.0) & (track.time_s < 45.0), np.nan, track.ias_mps)
    first = legs_of(dataclasses.replace(track, ias_mps=holed))[0]
    assert first.start_s is not None
    assert first.start_s >= 45.0
    channels = "time_s latitude_deg longitude_deg altitude_m ground_speed_mps track_true_rad ias_mps air_temperature_k"
    slow = dataclasses.replace(track, **{name: getattr(track, name)[::6] for name in channels.split()})
    (speed,) = calibrate(legs_of(slow), each_speed_alone=True).speeds
    assert speed.tas_mps == pytest.approx(true_airspeed_mps(100.0 * KT), abs=1.5 * KT)


def test_tracks_too_short_or_without_altitude_do_no_harm() -> None:
    track = boxes(0, speeds_kt=(100.0,))
    two = dataclasses.replace(
        track,
        **{
            name: getattr(track, name)[:2]
            for name in "time_s latitude_deg longitude_deg altitude_m ground_speed_mps track_true_rad".split()
        },
        ias_mps=None,
        air_temperature_k=None,
    )
    assert legs_of(two) == ()
    flat = dataclasses.replace(track, altitude_m=None, altitude_source=AltitudeSource.NONE)
    assert {each.pressure_altitude_m for each in legs_of(flat)} == {None}
