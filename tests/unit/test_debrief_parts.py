"""The debrief's parts one by one: verdict, height in hand, wind."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.faces import fixtures
from tests.unit.debrief_flights import Made, fly, recorded
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.flight import Flight, calibrated_mps, prepared
from volplane.domain.debrief.in_hand import Judged, height_in_hand, verdict_of, verdict_text
from volplane.domain.debrief.results import VerdictText
from volplane.domain.debrief.wind import WindFound, given_wind, wind_from_track
from volplane.domain.track.cleaning import cleaned
from volplane.units import mps_from_kt, rad_from_deg

Array = NDArray[np.float64]


@pytest.mark.parametrize(
    "in_hand_m, sd_m, text",
    [
        (20.0, 12.0, VerdictText.MADE_IT),
        (19.0, 12.0, VerdictText.TOO_CLOSE_TO_CALL),
        (-19.0, 12.0, VerdictText.TOO_CLOSE_TO_CALL),
        (-20.0, 12.0, VerdictText.WOULD_NOT_HAVE_MADE_IT),
        (0.5, 0.0, VerdictText.MADE_IT),
    ],
)
def test_the_verdict_is_decided_by_the_90_percent_band(in_hand_m: float, sd_m: float, text: VerdictText) -> None:
    # 1.645 standard deviations either way hold 90 % of a normal error: 12 m is 19.74 m
    assert verdict_text(in_hand_m, sd_m) is text


@dataclasses.dataclass(frozen=True)
class KnownHeights:
    """A required height that is a plain number, another one once the last turn is under way."""

    before_m: float
    last_turn: float

    def required_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        return np.full(x_m.shape, self.before_m)

    def last_turn_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        return np.full(x_m.shape, self.last_turn)

    def highest_m(self, x_m: Array, y_m: Array, heading_rad: Array, bank_rad: Array, height_m: Array) -> Array:
        return np.full(x_m.shape, 900.0)


def flight_of(made: Made, **recorder: float) -> Flight:
    exercise = fixtures.exercise()
    track, _ = cleaned(recorded(fly(made), exercise, **recorder))  # type: ignore[arg-type]
    flight = prepared(track, exercise, exercise.weather.atmosphere)
    assert flight is not None
    return flight


def still(flight: Flight) -> WindFound:
    return given_wind(WindProfile.calm(), flight.bearing_true_rad, flight.base_above_field_m, 700.0)


def test_height_in_hand_is_height_less_what_is_required_at_each_moment() -> None:
    flight = flight_of(Made()).between(50.0, 120.0)
    series = height_in_hand(flight, still(flight), lambda _: KnownHeights(300.0, 100.0), Judged(60.0, 90.0, 110.0))
    assert series is not None
    before = series.time_s < 90.0
    assert series.in_hand_m[before] == pytest.approx(series.height_m[before] - 300.0)
    assert series.in_hand_m[~before] == pytest.approx(series.height_m[~before] - 100.0)
    assert series.room_above_m == pytest.approx(900.0 - series.height_m)
    last_before = np.flatnonzero(before)[-1]
    assert series.minimum_m == pytest.approx(series.in_hand_m[last_before])
    assert series.first_negative_time_s is not None
    assert series.in_hand_m[series.time_s == series.first_negative_time_s][0] < 0.0
    # heights to a few metres, the glide ratio to a twentieth of the height it needs
    assert series.sd_m[0] == pytest.approx(math.hypot(0.05 * 300.0, 3.0), abs=2.0)


def test_height_lost_on_the_final_counts_only_where_it_is_surely_missing() -> None:
    flight = flight_of(Made()).between(50.0, 120.0)
    wind = still(flight)
    kept = height_in_hand(flight, wind, lambda _: KnownHeights(150.0, 55.0), Judged(60.0, 90.0, 100.0))
    lost = height_in_hand(flight, wind, lambda _: KnownHeights(150.0, 150.0), Judged(60.0, 90.0, 100.0))
    assert kept is not None
    assert lost is not None
    assert kept.minimum_time_s <= 100.0
    assert verdict_of(kept).text is VerdictText.MADE_IT
    assert lost.minimum_time_s > 110.0
    assert verdict_of(lost).text is VerdictText.WOULD_NOT_HAVE_MADE_IT


def test_wind_is_refused_under_120_degrees_of_turn() -> None:
    flight = flight_of(Made())
    straight = flight.between(60.0, 85.0)
    assert wind_from_track(straight, np.zeros(len(straight.time_s), dtype=np.int64)) is None
    turned = flight.between(5.0, 70.0)
    assert wind_from_track(turned, np.zeros(len(turned.time_s), dtype=np.int64)) is not None


def test_the_stated_wind_error_covers_an_airspeed_that_wanders() -> None:
    """The deviation is checked on many flights: a wander of 2 kt with a memory of 10 s is what it is made for."""
    off = []
    for seed in range(12):
        exercise = fixtures.exercise()
        flown = fly(Made(wander_mps=mps_from_kt(2.0), wind_low_mps=(-5.0, 2.0), wind_high_mps=(-5.0, 2.0)), seed=seed)
        flight = prepared(recorded(flown, exercise, seed=seed), exercise, exercise.weather.atmosphere)
        assert flight is not None
        part = flight.between(6.0, 110.0)
        found = wind_from_track(part, np.searchsorted(np.array([7.0, 56.0, 92.0]), part.time_s))
        assert found is not None
        middle = np.array([0.5 * (found.low_m + found.high_m)])
        wind_x, wind_y = found.at(middle)
        off.append(math.hypot(wind_x[0] + 5.0, wind_y[0] - 2.0) / math.sqrt(2.0) / found.sd_at_mps(middle)[0])
    # root mean square of twelve, of a figure whose own error is a fifth
    assert 0.3 < math.sqrt(float(np.mean(np.square(off)))) < 1.4


def test_a_wind_found_turns_into_the_profile_and_the_levels_it_means() -> None:
    wind = WindFound(50.0, 800.0, -4.0, 1.0, -9.0, 3.0, np.eye(4))
    bearing = rad_from_deg(238.4)
    heights, along, left = wind.profile(bearing, 2.0).in_runway_frame(bearing)
    assert heights == pytest.approx([52.0, 802.0])
    assert along == pytest.approx([-4.0, -9.0])
    assert left == pytest.approx([1.0, 3.0])
    low, high = wind.estimates(bearing)
    assert (low.speed_mps, high.speed_mps) == pytest.approx((math.hypot(4.0, 1.0), math.hypot(9.0, 3.0)))
    # straight down the runway the wind comes from where the runway points
    ahead = WindFound(50.0, 800.0, -5.0, 0.0, -5.0, 0.0, np.eye(4)).estimates(bearing)[0]
    assert ahead.from_true_rad == pytest.approx(bearing)
    changes = np.array(wind.one_sd_changes_mps())
    assert changes.T @ changes == pytest.approx(np.eye(4))


def test_indicated_airspeeds_are_calibrated_by_the_airplanes_table() -> None:
    table = ((40.0, 41.0), (60.0, 60.5))
    assert calibrated_mps(np.array([30.0, 50.0, 80.0]), table) == pytest.approx([31.0, 50.75, 80.5])
    assert calibrated_mps(np.array([50.0]), ()) == pytest.approx([50.0])
