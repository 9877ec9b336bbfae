"""Whole recordings, made by geometry, debriefed: what is said must be what was flown."""

from __future__ import annotations

import dataclasses
import math

import numpy as np
import pytest

from tests.faces import fixtures
from tests.unit.debrief_flights import (
    FACTS,
    STEP_S,
    Flown,
    Line,
    Made,
    cut,
    fly,
    go_around,
    joined,
    plan_for,
    recorded,
)
from volplane.domain.atmosphere.wind import WindProfile
from volplane.domain.debrief.debrief import debrief_track
from volplane.domain.debrief.refusals import RecordingFarFromAirfield, RecordingWithoutAltitude
from volplane.domain.debrief.results import Attempt, Debrief, Outcome, VerdictText
from volplane.domain.exercise.exercise import Exercise, GateName
from volplane.domain.geometry.airfield import Side
from volplane.domain.track.track import AltitudeSource
from volplane.units import m_from_ft, mps_from_kt

WIND = Made(wind_low_mps=(-4.0, 1.0), wind_high_mps=(-9.0, 3.0))


def debriefed(flown: Flown, exercise: Exercise | None = None, **recorder: float) -> Debrief:
    wish = fixtures.exercise() if exercise is None else exercise
    return debrief_track(recorded(flown, wish, **recorder), wish, FACTS, plan_of=plan_for)  # type: ignore[arg-type]


def the_one(debrief: Debrief) -> Attempt:
    assert len(debrief.attempts) == 1
    return debrief.attempts[0]


@pytest.mark.parametrize("side", [Side.LEFT, Side.RIGHT])
@pytest.mark.parametrize("made", [Made(), WIND])
def test_gates_are_where_and_when_geometry_puts_them(made: Made, side: Side) -> None:
    flown = fly(dataclasses.replace(made, side=side))
    attempt = the_one(debriefed(flown))
    assert attempt.pattern is side
    assert [gate.name for gate in attempt.gates] == list(GateName)
    for gate in attempt.gates:
        time_s = gate.time_s + flown.time_s[0]
        assert gate.height_m == pytest.approx(flown.at(flown.height_m, time_s), abs=2.5)
        assert gate.y_m == pytest.approx(flown.at(flown.y_m, time_s), abs=3.0)
        assert gate.cas_mps is None
    high, low, base, final = attempt.gates
    line = Line(made)
    assert (high.y_m, low.y_m) == pytest.approx((side.sign * -370.0, side.sign * 1290.0), abs=2.0)
    abeam = np.flatnonzero(np.diff(np.sign(flown.x_m)) < 0)[0] * STEP_S
    assert low.time_s == pytest.approx(abeam, abs=0.2)
    assert base.x_m == pytest.approx(-made.downwind_m - made.second_radius_m, abs=4.0)
    assert final.x_m == pytest.approx(line.starts[6][0], abs=120.0)


def test_the_wind_is_found_at_both_heights_within_its_error() -> None:
    off = []
    for seed in range(6):
        flown = fly(dataclasses.replace(WIND, wander_mps=1.03), seed=seed)
        for level in the_one(debriefed(flown, seed=seed + 10)).wind:
            bearing = fixtures.exercise().runway.bearing_true_rad
            toward = bearing - level.from_true_rad + math.pi
            share = level.height_m / 1000.0
            truth = np.array([-4.0, 1.0]) + share * np.array([-5.0, 2.0])
            found = level.speed_mps * np.array([math.cos(toward), math.sin(toward)])
            off.append(np.hypot(*(found - truth)) / level.sd_mps / math.sqrt(2.0))
            assert 0.5 < level.sd_mps < 3.0
    assert np.sqrt(np.mean(np.square(off))) < 1.3
    assert max(off) < 2.5


def test_recorded_airspeed_and_heading_make_the_wind_surer() -> None:
    flown = fly(WIND)
    without, with_it = the_one(debriefed(flown)), the_one(debriefed(flown, with_airspeed=True))
    assert with_it.wind[0].sd_mps < 0.6 * without.wind[0].sd_mps
    assert with_it.gates[1].cas_mps is not None
    assert [item.key for item in without.not_observable if item.reason == "no-airspeed-recorded"] == ["speed_kcas"]
    assert "no-airspeed-recorded" not in {item.reason for item in with_it.not_observable}


def test_the_glide_through_the_air_is_the_one_flown_whatever_the_wind() -> None:
    # the same wind at every height: in a gradient the energy equation would find its work, which these flights lack
    for made in (Made(), Made(wind_low_mps=(-6.0, 2.0), wind_high_mps=(-6.0, 2.0))):
        attempt = the_one(debriefed(fly(made)))
        assert attempt.glide is not None
        by_phase = {phase.phase: phase for phase in attempt.glide.by_phase}
        # 9.6 straight; in the half turn of 830 m at 54 m/s in still air the bank is 19.7 degrees
        assert by_phase["downwind"].ratio == pytest.approx(9.6, abs=1.7 * by_phase["downwind"].ratio_sd)
        turning = 9.6 / ((1.0 + 1.0 / math.cos(math.atan(54.0**2 / 830.0 / 9.80665)) ** 2) / 2.0)
        assert by_phase["half turn"].ratio == pytest.approx(turning, abs=1.7 * by_phase["half turn"].ratio_sd)
        assert attempt.glide.cas_mps is None
        assert 0.1 < attempt.glide.ratio_sd < 1.0


@pytest.mark.parametrize("touchdown_x_m", [-60.0, 0.0, 150.0])
def test_the_touchdown_is_found_within_its_error(touchdown_x_m: float) -> None:
    for with_airspeed in (False, True):
        flown = fly(dataclasses.replace(WIND, touchdown_x_m=touchdown_x_m))
        attempt = the_one(debriefed(flown, with_airspeed=with_airspeed, height_bias_m=6.0))
        assert attempt.outcome is Outcome.LANDED
        assert attempt.touchdown is not None
        assert attempt.touchdown.x_m == pytest.approx(touchdown_x_m, abs=2.0 * attempt.touchdown.x_sd_m)
        # these float for some seven seconds, which no recording tells from wheels flown on fast
        assert attempt.touchdown.x_sd_m < 160.0
        assert attempt.touchdown.y_m == pytest.approx(0.0, abs=3.0)


def test_the_parked_airplane_corrects_the_heights_and_the_correction_is_told() -> None:
    debrief = debriefed(fly(Made()), height_bias_m=9.0)
    assert debrief.recording.altitude_correction_m == pytest.approx(-9.0, abs=0.5)
    assert the_one(debrief).gates[1].height_m == pytest.approx(
        the_one(debriefed(fly(Made()))).gates[1].height_m, abs=1.0
    )


def test_height_in_hand_ends_at_fifty_feet_and_its_verdict_rests_on_the_least_before_the_final() -> None:
    attempt = the_one(debriefed(fly(WIND)))
    series, verdict = attempt.height_in_hand, attempt.verdict
    assert series is not None
    assert verdict is not None
    assert np.nanmin(series.height_m) >= m_from_ft(50.0) - 1.0
    low, final = attempt.gate(GateName.LOW_KEY), attempt.gate(GateName.FINAL)
    assert low is not None
    assert final is not None
    judged = (series.time_s >= low.time_s) & (series.time_s <= final.time_s)
    assert verdict.in_hand_m == pytest.approx(float(np.nanmin(series.in_hand_m[judged])))
    assert 5.0 < verdict.sd_m < 60.0
    assert (series.sd_m[np.isfinite(series.in_hand_m)] > 0.0).all()


def test_the_parts_of_the_budget_are_the_whole_change() -> None:
    attempt = the_one(debriefed(fly(WIND)))
    series, low = attempt.height_in_hand, attempt.gate(GateName.LOW_KEY)
    assert series is not None
    assert low is not None
    first = float(series.in_hand_m[series.time_s >= low.time_s][0])
    assert sum(item.height_m for item in attempt.budget) == pytest.approx(series.minimum_m - first, abs=1e-6)
    # it glided as the airplane glides, and the rest of the budget shows that nothing else took height
    by_cause = {item.cause: item.height_m for item in attempt.budget}
    assert by_cause["speed, configuration and air"] == pytest.approx(0.0, abs=15.0)


def test_more_sink_than_the_dead_engine_has_lands_on_the_configuration() -> None:
    fair = {item.cause: item.height_m for item in the_one(debriefed(fly(Made()))).budget}
    heavy = {item.cause: item.height_m for item in the_one(debriefed(fly(Made(ratio=7.5)))).budget}
    assert heavy["speed, configuration and air"] < fair["speed, configuration and air"] - 15.0


@pytest.mark.parametrize("height_ft, timely", [(480.0, True), (300.0, False)])
def test_a_go_around_is_told_with_its_lowest_height_and_whether_it_was_in_time(height_ft: float, timely: bool) -> None:
    flown = go_around(fly(Made(downwind_m=1300.0)), m_from_ft(height_ft) + 10.0)
    attempt = the_one(debriefed(flown))
    assert attempt.outcome is Outcome.WENT_AROUND
    assert attempt.touchdown is None
    assert attempt.go_around is not None
    assert attempt.go_around.height_m == pytest.approx(float(flown.height_m.min()), abs=7.0)
    assert attempt.go_around.is_timely is timely
    assert {"timely-go-around" if timely else "late-go-around"} <= {finding.code for finding in attempt.findings}


def test_a_climb_before_the_base_key_is_an_exercise_given_up() -> None:
    flown = fly(Made())
    attempt = the_one(debriefed(go_around(flown, 380.0)))
    assert attempt.outcome is Outcome.DISCONTINUED
    assert attempt.gate(GateName.BASE_KEY) is None
    assert attempt.verdict is not None


def test_an_exercise_given_up_in_the_half_turn_is_found_without_a_verdict() -> None:
    flown = fly(Made())
    turned = int(np.flatnonzero(flown.heading_rad >= 2.2)[0])
    attempt = the_one(debriefed(go_around(flown, float(flown.height_m[turned]))))
    assert attempt.outcome is Outcome.DISCONTINUED
    assert [gate.name for gate in attempt.gates] == [GateName.HIGH_KEY]
    assert attempt.verdict is None
    assert {item.key for item in attempt.not_observable} >= {"verdict"}


def test_a_recording_that_ends_in_the_air_says_so() -> None:
    flown = fly(Made())
    attempt = the_one(debriefed(cut(flown, flown.time_s[0] + 100.0)))
    assert attempt.outcome is Outcome.NOT_RECORDED_TO_THE_END
    assert attempt.touchdown is None
    assert attempt.verdict is not None


def test_several_exercises_in_one_recording_are_each_found_alone() -> None:
    flights = [fly(Made()), fly(dataclasses.replace(WIND, side=Side.RIGHT)), go_around(fly(WIND), 160.0)]
    attempts = debriefed(joined(flights)).attempts
    assert [attempt.outcome for attempt in attempts] == [Outcome.LANDED, Outcome.LANDED, Outcome.WENT_AROUND]
    assert [attempt.pattern for attempt in attempts] == [Side.LEFT, Side.RIGHT, Side.LEFT]


def test_nothing_leaks_from_one_flight_into_the_next() -> None:
    """A debrief kept state between flights once elsewhere; here the same flight says the same in any company."""
    alone = the_one(debriefed(fly(WIND)))
    debriefed(go_around(fly(Made(side=Side.RIGHT, ratio=7.0)), 150.0))
    again = the_one(debriefed(fly(WIND)))
    assert again.verdict == alone.verdict
    assert again.wind == alone.wind
    assert again.gates == alone.gates
    assert again.touchdown == alone.touchdown


def test_an_ordinary_circuit_with_power_is_no_exercise() -> None:
    def circuit(beyond_low_key_m: float, height_m: float) -> float:
        """Level downwind at 1,000 ft, from abeam down at 500 ft a minute, reckoned backwards from the runway."""
        return 2.54 if beyond_low_key_m < 0.0 and height_m < 320.0 else 0.0

    flown = fly(Made(sink_of=circuit, tas_mps=46.0, downwind_m=1800.0))
    assert debriefed(flown).attempts == ()


def test_a_given_wind_is_taken_and_the_planned_one_never() -> None:
    exercise = fixtures.exercise()
    track = recorded(fly(Made()), exercise)
    given = WindProfile.uniform(math.radians(100.0), mps_from_kt(12.0))
    attempt = debrief_track(track, exercise, FACTS, wind=given, plan_of=plan_for).attempts[0]
    assert [level.speed_mps for level in attempt.wind] == pytest.approx([mps_from_kt(12.0)] * 2)
    other = dataclasses.replace(exercise, weather=dataclasses.replace(exercise.weather, wind=given))
    found = debrief_track(track, exercise, FACTS, plan_of=plan_for).attempts[0]
    found_too = debrief_track(track, other, FACTS, plan_of=plan_for).attempts[0]
    assert found.wind == found_too.wind
    assert found.verdict == found_too.verdict


def test_a_recording_far_away_or_without_altitude_is_refused_in_so_many_words() -> None:
    exercise = fixtures.exercise()
    track = recorded(fly(Made()), exercise)
    far = dataclasses.replace(track, latitude_deg=track.latitude_deg + 2.0)
    with pytest.raises(RecordingFarFromAirfield, match="comes no nearer to Quill Meadow"):
        debrief_track(far, exercise, FACTS, plan_of=plan_for)
    flat = dataclasses.replace(track, altitude_m=None, altitude_source=AltitudeSource.NONE)
    with pytest.raises(RecordingWithoutAltitude, match="has an altitude"):
        debrief_track(flat, exercise, FACTS, plan_of=plan_for)


def test_another_altimeter_setting_moves_pressure_altitudes() -> None:
    exercise = fixtures.exercise()
    gps = recorded(cut(fly(Made()), fly(Made()).time_s[0] + 100.0), exercise)
    air = exercise.weather.atmosphere
    assert gps.altitude_m is not None
    pressure = dataclasses.replace(
        gps,
        altitude_m=air.pressure_altitude_m(gps.altitude_m - air.field_elevation_msl_m),
        altitude_source=AltitudeSource.PRESSURE,
    )
    as_planned = debrief_track(pressure, exercise, FACTS, plan_of=plan_for).attempts[0]
    lower = debrief_track(pressure, exercise, FACTS, qnh_pa=air.qnh_pa + 100.0, plan_of=plan_for).attempts[0]
    truth = debrief_track(gps, exercise, FACTS, plan_of=plan_for).attempts[0]
    assert as_planned.gates[1].height_m == pytest.approx(truth.gates[1].height_m, abs=0.5)
    # a hectopascal is some 27 ft near the ground
    assert lower.gates[1].height_m - as_planned.gates[1].height_m == pytest.approx(m_from_ft(27.0), rel=0.06)


def test_landing_long_is_no_missing_height() -> None:
    """Past the aim point, high and lined up, the required height once jumped by the circle back to it."""
    attempt = the_one(debriefed(fly(Made(touchdown_x_m=420.0))))
    assert attempt.verdict is not None
    assert attempt.verdict.text is VerdictText.MADE_IT
    assert "long-touchdown" in {finding.code for finding in attempt.findings}
