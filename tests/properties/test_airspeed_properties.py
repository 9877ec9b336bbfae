"""What is true of every airspeed calibration, wherever north is and whatever the speeds."""

from __future__ import annotations

import dataclasses
import math

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from volplane.domain.airplane.airspeed_calibration import calibrate
from volplane.domain.airplane.airspeed_legs import AirspeedLeg

FIRST = st.floats(0.0, 2.0 * math.pi)
SPEEDS = st.floats(35.0, 100.0)
WINDS = st.floats(0.0, 0.6)


def legs_flown(
    first_rad: float, tas_mps: float, wind_ratio: float, from_rad: float, count: int, *, on_heading: bool
) -> list[AirspeedLeg]:
    """Legs all round the compass from a first heading, exact."""
    east_mps, north_mps = (-wind_ratio * tas_mps * part(from_rad) for part in (math.sin, math.cos))
    found = []
    for number in range(count):
        heading = first_rad + 2.0 * math.pi * number / count
        east, north = tas_mps * math.sin(heading) + east_mps, tas_mps * math.cos(heading) + north_mps
        track = None if on_heading else math.atan2(east, north)
        found.append(AirspeedLeg(math.hypot(east, north), track, heading))
    return found


@settings(deadline=None, max_examples=60)
@given(first=FIRST, tas=SPEEDS, wind=WINDS, wind_from=FIRST, count=st.integers(3, 8), on_heading=st.booleans())
def test_exact_legs_all_round_give_back_airspeed_and_wind(
    first: float, tas: float, wind: float, wind_from: float, count: int, on_heading: bool
) -> None:
    (speed,) = calibrate(legs_flown(first, tas, wind, wind_from, count, on_heading=on_heading)).speeds
    assert speed.tas_mps == pytest.approx(tas, rel=1e-5)
    assert speed.wind_east_mps == pytest.approx(-wind * tas * math.sin(wind_from), abs=1e-4 * tas)
    assert speed.wind_north_mps == pytest.approx(-wind * tas * math.cos(wind_from), abs=1e-4 * tas)


@settings(deadline=None, max_examples=30)
@given(turn=FIRST, seconds=st.lists(st.floats(-3.0, 3.0), min_size=4, max_size=4))
def test_turning_the_compass_turns_the_wind_and_nothing_else(turn: float, seconds: list[float]) -> None:
    legs = legs_flown(0.3, 55.0, 0.2, 1.0, 4, on_heading=False)
    rough = [
        dataclasses.replace(leg, ground_speed_mps=leg.ground_speed_mps + off)
        for leg, off in zip(legs, seconds, strict=True)
    ]
    turned = [
        dataclasses.replace(leg, track_true_rad=(leg.track_true_rad or 0.0) + turn, heading_true_rad=None)
        for leg in rough
    ]
    one, other = calibrate(rough), calibrate(turned)
    assert other.speeds[0].tas_mps == pytest.approx(one.speeds[0].tas_mps, rel=1e-5)
    assert other.speeds[0].tas_sd_mps == pytest.approx(one.speeds[0].tas_sd_mps, rel=1e-3)
    assert other.wind_speed_mps == pytest.approx(one.wind_speed_mps, abs=1e-3)
    away = math.remainder(other.wind_from_true_rad - one.wind_from_true_rad - turn, 2.0 * math.pi)
    assert away * one.wind_speed_mps == pytest.approx(0.0, abs=1e-2)
