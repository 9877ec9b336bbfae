"""The debrief's parts one by one: verdict, standards, wind, findings."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest
from numpy.typing import NDArray

from tests.checks.records import assert_check, check
from tests.faces import fixtures
from tests.unit.debrief_flights import Made, fly, recorded
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.findings import Flown, findings_of
from volplane.domain.debrief.flight import Flight, calibrated_mps, prepared
from volplane.domain.debrief.in_hand import Judged, height_in_hand, verdict_of, verdict_text
from volplane.domain.debrief.results import Attempt, HeightInHand, VerdictText
from volplane.domain.debrief.standards import SLOWEST, TOUCHDOWN, judged, rules_of
from volplane.domain.debrief.wind import WindFound, given_wind, wind_from_track
from volplane.domain.exercise.exercise import GateName
from volplane.domain.finding import Severity
from volplane.domain.track.cleaning import cleaned
from volplane.units import m_from_ft, mps_from_kt, rad_from_deg

Array = NDArray[np.float64]

ZONE_LOW = check(
    "F1a",
    "least touchdown beyond the point that meets the power-off 180",
    0.0,
    "ft",
    0.0,
    "a limit is exact",
    "FAA-S-ACS-7B, power-off 180 accuracy approach: within 200 ft beyond or on the specified point",
    "P",
)
ZONE_HIGH = check(
    "F1b",
    "greatest touchdown beyond the point that meets the power-off 180",
    200.0,
    "ft",
    1e-9,
    "a limit is exact; feet to metres and back rounds",
    "FAA-S-ACS-7B, power-off 180 accuracy approach: within 200 ft beyond or on the specified point",
    "P",
)
GLIDE_SPEED = check(
    "F2a",
    "how far the speed may be from best glide in a simulated emergency approach",
    10.0,
    "kt",
    1e-9,
    "a limit is exact; knots to metres per second and back rounds",
    "FAA airman certification standards, emergency approach and landing (simulated)",
    "P",
)


def rule_for(standard: str, item: str) -> tuple[float | None, float | None]:
    exercise = dataclasses.replace(fixtures.exercise(), standard=standard)
    rule = next(rule for rule in rules_of(exercise) if rule.item == item)
    return rule.limit_low, rule.limit_high


@pytest.mark.parametrize("beyond_ft, met", [(-1.0, False), (0.0, True), (200.0, True), (201.0, False)])
def test_the_power_off_180_is_met_from_the_point_to_200_ft_beyond_it(beyond_ft: float, met: bool) -> None:
    exercise = dataclasses.replace(fixtures.exercise(), standard="commercial power-off 180")
    (item,) = judged(rules_of(exercise), {TOUCHDOWN: m_from_ft(beyond_ft)})
    assert item.is_met is met
    assert "FAA-S-ACS-7B" in item.source


def test_the_limits_of_the_standards_are_the_published_ones() -> None:
    low, high = rule_for("commercial power-off 180", TOUCHDOWN)
    assert low is not None
    assert high is not None
    assert_check(ZONE_LOW, low / 0.3048)
    assert_check(ZONE_HIGH, high / 0.3048)
    low, high = rule_for("simulated emergency approach", SLOWEST)
    assert low is not None
    assert high is not None
    assert_check(GLIDE_SPEED, high * 3600.0 / 1852.0)
    assert low == -high


def test_what_was_not_observed_is_neither_met_nor_missed_and_no_touchdown_number_is_invented() -> None:
    exercise = dataclasses.replace(fixtures.exercise(), standard="simulated emergency approach")
    rules = rules_of(exercise)
    assert TOUCHDOWN not in {rule.item for rule in rules}
    assert {item.is_met for item in judged(rules, {SLOWEST: None})} == {None}
    assert rules_of(dataclasses.replace(exercise, standard="my own")) == ()


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


def flown_like(attempt: Attempt, **changes: object) -> Flown:
    flown = Flown(
        attempt.plan,
        attempt.path,
        0.0,
        attempt.gates,
        attempt.height_in_hand,
        attempt.budget,
        attempt.touchdown,
        attempt.go_around,
    )
    return dataclasses.replace(flown, **changes)  # type: ignore[arg-type]


def moved(attempt: Attempt, by_m: dict[GateName, float]) -> tuple:  # type: ignore[type-arg]
    """Gates flown so much off the plan, windows of 60 m either way."""
    return tuple(
        dataclasses.replace(
            gate,
            height_m=500.0 + by_m.get(gate.name, 0.0),
            height_sd_m=2.0,
            planned_m=500.0,
            lowest_m=440.0,
            highest_m=560.0,
        )
        for gate in attempt.gates
    )


def test_one_cause_is_told_at_one_gate_and_costs_what_was_lost_since_the_gate_before() -> None:
    attempt = fixtures.attempt()
    low = {GateName.HIGH_KEY: -20.0, GateName.LOW_KEY: -21.0, GateName.BASE_KEY: -22.0, GateName.FINAL: -22.0}
    found = [f for f in findings_of(flown_like(attempt, gates=moved(attempt, low))) if f.code == "low-at-gate"]
    assert [(f.quantities["gate"], f.severity, f.cost_m) for f in found] == [
        ("high key", Severity.NOTE, pytest.approx(20.0))
    ]
    lower = {GateName.LOW_KEY: -30.0, GateName.BASE_KEY: -75.0, GateName.FINAL: -80.0}
    found = [f for f in findings_of(flown_like(attempt, gates=moved(attempt, lower))) if f.code == "low-at-gate"]
    assert [(f.quantities["gate"], f.severity, f.cost_m) for f in found] == [
        ("base key", Severity.CAUTION, pytest.approx(45.0)),
        ("low key", Severity.NOTE, pytest.approx(30.0)),
    ]
    assert found[0].number("outside_m") == pytest.approx(15.0)
    high = findings_of(flown_like(attempt, gates=moved(attempt, {GateName.LOW_KEY: 30.0})))
    assert "high-at-gate" in {f.code for f in high}


def test_a_late_turn_to_base_costs_the_height_in_hand_it_took() -> None:
    attempt = fixtures.attempt()
    late = next(f for f in findings_of(flown_like(attempt)) if f.code == "turn-to-base-late")
    # the fixture flies 3,630 ft where 3,200 ft were planned
    assert late.number("farther_m") == pytest.approx(m_from_ft(430.0), abs=35.0)
    assert late.cost_m is not None
    assert late.cost_m > 6.0
    assert late.number("cost_m") == late.cost_m


def test_a_bank_over_its_limit_is_a_caution_and_comes_first() -> None:
    attempt = fixtures.attempt()
    bank = attempt.path.bank_rad.copy()
    low = attempt.gate(GateName.LOW_KEY)
    assert low is not None
    bank[np.argmin(np.abs(attempt.path.time_s - low.time_s - 30.0))] = rad_from_deg(41.0)
    path, gates = dataclasses.replace(attempt.path, bank_rad=bank), moved(attempt, {GateName.LOW_KEY: -30.0})
    steep = findings_of(flown_like(attempt, path=path, gates=gates))[0]
    assert (steep.code, steep.severity) == ("steep-bank", Severity.CAUTION)
    assert steep.number("limit_rad") == pytest.approx(rad_from_deg(30.0))
    blurred = findings_of(
        flown_like(attempt, path=dataclasses.replace(attempt.path, bank_rad=bank), bank_sd_rad=rad_from_deg(6.0))
    )
    assert "steep-bank" not in {finding.code for finding in blurred}


def test_too_high_to_be_lost_is_a_caution() -> None:
    attempt = fixtures.attempt()
    series = attempt.height_in_hand
    assert series is not None
    high: HeightInHand = dataclasses.replace(series, room_above_m=np.full(series.time_s.shape, -90.0))
    found = next(f for f in findings_of(flown_like(attempt, series=high)) if f.code == "too-high-to-lose")
    assert found.number("above_m") == pytest.approx(90.0)


def test_a_touchdown_is_told_as_short_or_long_only_where_it_is_known_well_enough() -> None:
    attempt = fixtures.attempt()
    assert attempt.touchdown is not None
    for x_m, sd_m, code in (
        (-60.0, 10.0, "short-touchdown"),
        (-60.0, 80.0, None),
        (30.0, 10.0, None),
        (120.0, 10.0, "long-touchdown"),
    ):
        touchdown = dataclasses.replace(attempt.touchdown, x_m=x_m, x_sd_m=sd_m)
        codes = {finding.code for finding in findings_of(flown_like(attempt, touchdown=touchdown))}
        assert codes & {"short-touchdown", "long-touchdown"} == ({code} if code else set())
