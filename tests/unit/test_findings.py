"""What a plan warns of, from which figure on, and how much each warning weighs."""

from __future__ import annotations

import math
from dataclasses import fields, replace
from typing import Any

import pytest

from tests.exercises import AIRFIELD, AIRPLANE, RUNWAY, exercise_of, weather_of, wind_of
from volplane.domain.airplane.airplane import Airplane, Engine
from volplane.domain.airplane.go_around import go_around_climb_mps
from volplane.domain.atmosphere.atmosphere import Atmosphere
from volplane.domain.exercise.exercise import Exercise, TypedOverReport, Weather
from volplane.domain.exercise.solver import solve
from volplane.domain.exercise.thresholds import ABOUT, Status, Thresholds
from volplane.domain.exercise.weather_findings import runway_wind
from volplane.domain.finding import Finding, Severity
from volplane.domain.geometry.airfield import Airfield, Runway, Side
from volplane.domain.geometry.sun import sun_elevation_rad
from volplane.domain.glide.stall import margin_in_turn_fraction
from volplane.units import (
    FOOT_M,
    FOOT_PER_MINUTE_MPS,
    HORSEPOWER_W,
    KNOT_MPS,
    STATUTE_MILE_M,
    k_from_degc,
    kt_from_mps,
    m_from_ft,
    mps_from_kt,
    pa_from_inhg,
    rad_from_deg,
)

STOP, CAUTION, NOTE = Severity.STOP, Severity.CAUTION, Severity.NOTE
CLIMBS = replace(
    AIRPLANE,
    limits=replace(AIRPLANE.limits, go_around_climb_mps=600.0 * FOOT_PER_MINUTE_MPS),
    engine=Engine(rated_power_w=300.0 * HORSEPOWER_W),
)


def found(exercise: Exercise) -> dict[str, Finding]:
    return {each.code: each for each in solve(exercise).findings}


def weight(code: str, **changes: Any) -> Severity | None:
    """How much a finding weighs in the demo's exercise with changes, None where it is not raised."""
    finding = found(exercise_of(**({"airplane": CLIMBS} | changes))).get(code)
    return None if finding is None else finding.severity


def surface(from_deg: float, speed_kt: float, gust_kt: float | None = None, **more: Any) -> Weather:
    """The demo's air with this wind at the field and aloft."""
    air = weather_of(wind_of((0.0, from_deg, speed_kt), (3000.0, from_deg, speed_kt)))
    return replace(air, gust_mps=None if gust_kt is None else mps_from_kt(gust_kt), **more)


def test_the_demo_has_no_stop_and_one_caution_that_the_propeller_in_fine_pitch_would_not_make_it() -> None:
    plan = solve(exercise_of(airplane=CLIMBS))
    assert [each.code for each in plan.findings if each.severity is not NOTE] == ["fine-pitch"]
    assert plan.fine_pitch is not None
    assert min(gate.in_hand_m for gate in plan.fine_pitch.gates) < 0.0


def test_every_threshold_is_told_with_status_and_source() -> None:
    assert sorted(each.name for each in ABOUT) == sorted(each.name for each in fields(Thresholds))
    for each in ABOUT:
        assert each.source
        assert (each.status is Status.COMMON_PRACTICE) == (
            "no source" in each.source or each.name == "sun_caution_rad"
        ), each.name


# winds on a runway of 251 true, to the knot: 15 cos 99 = -2.35, 15 sin 99 = 14.8, 27 cos 99 = -4.22, 27 sin 99 = 26.7
ACROSS = replace(RUNWAY, bearing_true_rad=rad_from_deg(251.0))
INTO_IT = replace(RUNWAY, name="35", bearing_true_rad=rad_from_deg(346.0))


def with_ends(*ends: Runway) -> Airfield:
    return replace(AIRFIELD, runways=ends)


def test_a_gusting_crosswind_with_cloud_at_the_entry_is_a_stop() -> None:
    air = surface(350.0, 15.0, 27.0, cloud_base_above_field_m=m_from_ft(2800.0))
    findings = found(exercise_of(airplane=CLIMBS, runway=ACROSS, airfield=with_ends(ACROSS), weather=air))
    crosswind, tailwind = findings["crosswind"], findings["tailwind"]
    assert crosswind.severity is STOP
    assert 14.0 <= kt_from_mps(crosswind.number("wind_mps")) <= 15.0
    assert 26.0 <= kt_from_mps(crosswind.number("gust_mps")) <= 27.0
    assert 2.0 <= kt_from_mps(tailwind.number("wind_mps")) <= 5.0
    assert 2.0 <= kt_from_mps(tailwind.number("gust_mps")) <= 5.0
    assert findings["cloud"].severity is STOP
    assert crosswind.quantities["other"] == ""


def test_a_runway_within_the_limits_is_named() -> None:
    air = surface(350.0, 15.0, 27.0)
    exercise = exercise_of(airplane=CLIMBS, runway=ACROSS, airfield=with_ends(ACROSS, INTO_IT), weather=air)
    assert found(exercise)["crosswind"].quantities["other"] == "35"


@pytest.mark.parametrize(("tail_kt", "severity"), [(2.9, None), (3.1, CAUTION), (4.9, CAUTION), (5.1, STOP)])
def test_tailwind_is_a_caution_over_three_knots_and_a_stop_over_five(tail_kt: float, severity: Severity | None) -> None:
    assert weight("tailwind", weather=surface(58.4, tail_kt)) is severity


def test_a_headwind_is_no_tailwind() -> None:
    assert weight("tailwind", weather=surface(238.4, 12.0)) is None


@pytest.mark.parametrize(("cross_kt", "severity"), [(11.0, None), (12.5, CAUTION), (15.5, STOP)])
def test_crosswind_is_measured_against_the_airplanes_own(cross_kt: float, severity: Severity | None) -> None:
    assert weight("crosswind", weather=surface(238.4 + 90.0, cross_kt)) is severity


def test_a_wind_that_swings_counts_from_its_worst_direction() -> None:
    swinging = surface(238.4, 14.0, wind_range_true_rad=(rad_from_deg(200.0), rad_from_deg(328.4)))
    wind = runway_wind(swinging, RUNWAY)
    assert kt_from_mps(wind.crosswind_mps) == pytest.approx(14.0)
    assert wind.tailwind_mps == pytest.approx(0.0, abs=1e-9)
    assert weight("crosswind", weather=swinging) is CAUTION


def test_a_swing_through_north_goes_the_short_way_it_is_given() -> None:
    across_north = surface(0.0, 10.0, wind_range_true_rad=(rad_from_deg(340.0), rad_from_deg(20.0)))
    south = replace(RUNWAY, bearing_true_rad=rad_from_deg(180.0))
    assert kt_from_mps(runway_wind(across_north, south).crosswind_mps) == pytest.approx(
        10.0 * math.sin(math.radians(20))
    )


@pytest.mark.parametrize(("gust_kt", "severity"), [(17.9, None), (18.1, CAUTION), (23.1, STOP)])
def test_gust_spread_is_a_caution_from_ten_knots_and_a_stop_from_fifteen(
    gust_kt: float, severity: Severity | None
) -> None:
    assert weight("gusts", weather=surface(238.4, 8.0, gust_kt)) is severity


def test_strong_wind_at_the_entry_is_a_caution() -> None:
    strong = weather_of(wind_of((0.0, 240.0, 10.0), (2000.0, 240.0, 34.0)))
    assert weight("strong-wind-at-entry", weather=strong) is CAUTION


def test_wind_known_at_the_field_alone_is_told_with_what_is_likely_aloft() -> None:
    finding = found(exercise_of(airplane=CLIMBS, weather=weather_of(wind_of((0.0, 240.0, 10.0)))))["wind-aloft-unknown"]
    # seventh-root law from 10 m to 2,800 ft: (853.4 / 10) ^ (1/7) = 1.888
    assert kt_from_mps(finding.number("likely_mps")) == pytest.approx(18.88, abs=0.02)


@pytest.mark.parametrize(("base_ft", "severity"), [(3301.0, None), (3200.0, CAUTION), (2800.0, STOP), (1500.0, STOP)])
def test_cloud_must_lie_500_feet_over_the_entry(base_ft: float, severity: Severity | None) -> None:
    assert weight("cloud", weather=replace(weather_of(), cloud_base_above_field_m=m_from_ft(base_ft))) is severity


def test_scattered_cloud_in_the_way_is_a_note() -> None:
    air = replace(weather_of(), scattered_base_above_field_m=m_from_ft(2500.0))
    assert weight("scattered-cloud", weather=air) is NOTE


@pytest.mark.parametrize(("miles", "severity"), [(5.0, None), (4.0, CAUTION), (3.0, CAUTION), (2.5, STOP)])
def test_little_visibility_is_a_caution_then_a_stop(miles: float, severity: Severity | None) -> None:
    assert weight("visibility", weather=replace(weather_of(), visibility_m=miles * STATUTE_MILE_M)) is severity


# the demo's field at 44 N 40 W on 14 May: noon near 14:37 UTC, the day 14 h 38 min long, dusk 32 min (sunrise equation)
DAY_UNIX_S = 1778716800.0


@pytest.mark.parametrize(
    ("hour", "severity"), [(14.0, None), (21.7, None), (22.2, CAUTION), (23.0, STOP), (5.0, STOP), (7.6, None)]
)
def test_dusk_is_a_caution_and_night_a_stop(hour: float, severity: Severity | None) -> None:
    time_s, stated = DAY_UNIX_S + 3600.0 * hour, frozenset({"weight", "time"})
    assert weight("night", time_unix_s=time_s, stated=stated) is severity


def test_night_is_a_note_where_no_time_was_given() -> None:
    findings = found(exercise_of(airplane=CLIMBS, time_unix_s=DAY_UNIX_S + 82800.0))
    assert findings["night-now"].severity is NOTE
    assert "night" not in findings


def test_the_sun_stands_at_noon_as_high_as_latitude_and_declination_say() -> None:
    # equator, equinox of March 2026 (20 March 14:46 UTC), longitude where it is noon: overhead within a degree
    assert math.degrees(sun_elevation_rad(0.0, -40.0, 1774017960.0)) == pytest.approx(90.0, abs=1.5)


@pytest.mark.parametrize(
    ("climb_fpm", "severity"),
    # the demo's air is 0.9606 of the standard one, by hand: 1.0203 x climb - 132 fpm are left of it
    [(100.0, STOP), (315.0, STOP), (335.0, CAUTION), (415.0, CAUTION), (435.0, None), (600.0, None)],
)
def test_a_go_around_that_hardly_climbs_is_a_caution_then_a_stop(climb_fpm: float, severity: Severity | None) -> None:
    limits = replace(CLIMBS.limits, go_around_climb_mps=climb_fpm * FOOT_PER_MINUTE_MPS)
    heavy = {"airplane": replace(CLIMBS, limits=limits), "weight_kg": CLIMBS.maximum_weight_kg}
    assert weight("go-around-climb", **heavy) is severity


def climb_fpm(airplane: Airplane, density_ratio: float, weight_factor: float = 1.0) -> float:
    climb_mps = go_around_climb_mps(airplane, weight_factor * airplane.maximum_weight_kg, density_ratio)
    assert climb_mps is not None
    return climb_mps / FOOT_PER_MINUTE_MPS


def test_at_sea_level_and_maximum_weight_the_go_around_climbs_as_the_manual_says() -> None:
    assert climb_fpm(CLIMBS, 1.0) == pytest.approx(600.0)


def test_the_climb_falls_with_density_and_weight() -> None:
    assert climb_fpm(CLIMBS, 0.9) < climb_fpm(CLIMBS, 1.0)
    assert climb_fpm(CLIMBS, 0.9, 0.9) > climb_fpm(CLIMBS, 0.9)


def test_the_climb_in_thin_air_is_power_left_less_power_needed() -> None:
    # by hand: 300 hp x 550 x 0.75 / 3650 lb = 2034.2 fpm; less 600 leaves 1434.2 needed.
    # At 0.8: 2034.2 x 0.7736 = 1573.7, needed 1434.2 / 0.8944 = 1603.5
    assert climb_fpm(CLIMBS, 0.8) == pytest.approx(1573.7 - 1603.5, abs=0.5)


def test_an_unknown_go_around_climb_is_a_note() -> None:
    assert weight("go-around-climb-unknown", airplane=AIRPLANE) is NOTE
    assert weight("go-around-climb-unknown") is None


HIGH_M, WARM_K = m_from_ft(6000.0), 20.0


def isa_air(elevation_m: float, warmer_k: float) -> Weather:
    """The demo's wind over a field in air that much warmer than standard."""
    air = Atmosphere(elevation_m, 288.15 - 0.0065 * elevation_m + warmer_k, 101325.0)
    return replace(weather_of(), atmosphere=air)


def high_field(**changes: Any) -> Exercise:
    runway = replace(RUNWAY, elevation_msl_m=HIGH_M)
    airfield = replace(AIRFIELD, elevation_msl_m=HIGH_M, runways=(runway,))
    values = {"airplane": CLIMBS, "runway": runway, "airfield": airfield, "weather": isa_air(HIGH_M, WARM_K)}
    return exercise_of(**(values | changes))


def test_a_high_field_on_a_warm_day_stops_the_go_around_and_tells_what_turns_cost() -> None:
    findings = found(high_field())
    assert findings["go-around-climb"].severity is STOP
    habit = findings["sea-level-habit"]
    # density in the middle of the exercise, 1,650 ft up, in parts of the standard one: over the sea 0.9524, here 0.7435
    # (barometric formula by hand: 0.8014 x (292.99 / 296.26) ^ 5.2559 x 288.15 / 292.99): 28.1 % dearer
    assert habit.number("dearer_fraction") == pytest.approx(0.281, abs=0.003)
    assert habit.number("extra_m") > 150.0 * FOOT_M


def test_at_sea_level_on_a_standard_day_turns_cost_what_they_do_there() -> None:
    runway = replace(RUNWAY, elevation_msl_m=0.0)
    airfield = replace(AIRFIELD, elevation_msl_m=0.0, runways=(runway,))
    exercise = exercise_of(airplane=CLIMBS, runway=runway, airfield=airfield, weather=isa_air(0.0, 0.0))
    assert "sea-level-habit" not in found(exercise)


def test_a_high_warm_field_makes_the_same_turn_a_sixth_dearer_and_faster() -> None:
    """CHECKS: 6,000 ft, ISA+20: 112-118 kt true at 100 KCAS; turns 15-19 % over 940 ft ISA+20, 21-25 % over 18 degC."""
    high = isa_air(HIGH_M, WARM_K).atmosphere
    low_m = m_from_ft(940.0)
    for above_m in (0.0, m_from_ft(2500.0)):
        assert 112.0 <= kt_from_mps(high.tas_mps_from_cas_mps(mps_from_kt(100.0), above_m)) <= 118.0
        # one equivalent airspeed and bank: height of a turn goes with true airspeed squared
        warm = isa_air(low_m, WARM_K).atmosphere.density_ratio(above_m) / high.density_ratio(above_m)
        mild = Atmosphere(low_m, k_from_degc(18.0), pa_from_inhg(29.92)).density_ratio(above_m) / high.density_ratio(
            above_m
        )
        assert 1.15 <= warm <= 1.19
        assert 1.21 <= mild <= 1.25


@pytest.mark.parametrize(("point_ft", "severity"), [(1300.0, None), (1100.0, CAUTION)])
def test_the_aim_point_lies_300_feet_beyond_the_threshold(point_ft: float, severity: Severity | None) -> None:
    assert weight("aim-point-near-threshold", touchdown_beyond_threshold_m=m_from_ft(point_ft)) is severity


def test_an_aim_point_before_the_threshold_is_a_stop() -> None:
    assert weight("aim-point-before-threshold", touchdown_beyond_threshold_m=m_from_ft(400.0)) is STOP


@pytest.mark.parametrize(("length_ft", "severity"), [(4400.0, None), (2900.0, CAUTION), (2500.0, STOP)])
def test_runway_must_be_left_for_the_roll(length_ft: float, severity: Severity | None) -> None:
    assert weight("little-runway-left", runway=replace(RUNWAY, length_m=m_from_ft(length_ft))) is severity


def test_a_low_break_off_is_a_caution() -> None:
    assert weight("low-break-off", break_off_height_m=m_from_ft(400.0)) is CAUTION
    assert weight("low-break-off", break_off_height_m=m_from_ft(500.0)) is None


def test_an_entry_above_the_airspace_ceiling_is_a_caution() -> None:
    low = replace(AIRFIELD, airspace_ceiling_msl_m=m_from_ft(3500.0))
    assert weight("above-ceiling", airfield=low) is CAUTION


def test_the_side_that_is_not_published_is_a_caution() -> None:
    assert weight("unpublished-side", pattern=Side.RIGHT) is CAUTION


def test_coming_down_through_the_traffic_pattern_is_a_note_with_its_leg() -> None:
    busy = replace(AIRFIELD, traffic_pattern_height_m=m_from_ft(1400.0))
    finding = found(exercise_of(airplane=CLIMBS, airfield=busy))["through-pattern-height"]
    assert finding.severity is NOTE
    assert finding.quantities["leg"] == "downwind"
    assert "through-pattern-height" not in found(exercise_of(airplane=CLIMBS))


def test_over_a_practice_floor_the_pattern_is_far_below() -> None:
    floor = replace(AIRFIELD, traffic_pattern_height_m=m_from_ft(1000.0), practice_floor_msl_m=m_from_ft(3500.0))
    findings = found(exercise_of(airplane=CLIMBS, airfield=floor))
    assert "through-pattern-height" not in findings
    assert findings["practice-floor"].severity is NOTE


def test_a_tight_turn_near_the_stall_is_a_caution() -> None:
    wide = replace(Thresholds(), stall_margin_caution_fraction=0.6)
    finding = found(exercise_of(airplane=CLIMBS, thresholds=wide))["near-stall"]
    stall_mps = CLIMBS.stall_clean_at_mps(exercise_of().weight_kg)
    # the tightest turn is flown near the best glide speed of the day, 109 kt x sqrt(3350/3650)
    expected = margin_in_turn_fraction(109.0 * KNOT_MPS * math.sqrt(3350 / 3650), stall_mps, finding.number("bank_rad"))
    assert finding.number("margin_fraction") == pytest.approx(expected, abs=0.03)
    assert weight("near-stall") is None


def test_a_higher_least_height_for_the_turn_to_final_is_told() -> None:
    strict = replace(Thresholds(), turn_to_final_height_m=m_from_ft(450.0))
    assert weight("low-turn-to-final", thresholds=strict) is CAUTION
    assert weight("low-turn-to-final") is None


def test_what_was_typed_over_a_report_and_an_old_report_are_notes() -> None:
    exercise = exercise_of(airplane=CLIMBS)
    typed = TypedOverReport("qnh", 101900.0, 101500.0, "pressure_pa")
    air = replace(weather_of(), observed_unix_s=exercise.time_unix_s - 10800.0, typed_over_report=(typed,))
    findings = found(replace(exercise, weather=air))
    assert findings["typed-over-report"].severity is NOTE
    assert findings["report-not-of-this-hour"].number("age_s") == 10800.0
    fresh = replace(air, observed_unix_s=exercise.time_unix_s - 600.0)
    assert "report-not-of-this-hour" not in found(replace(exercise, weather=fresh))


def test_stops_stand_before_cautions_and_cautions_before_notes() -> None:
    air = surface(350.0, 15.0, 27.0, cloud_base_above_field_m=m_from_ft(2800.0))
    order = [each.severity for each in solve(exercise_of(runway=ACROSS, weather=air)).findings]
    assert order == sorted(order, key=[STOP, CAUTION, NOTE].index)
    assert order[0] is STOP


def test_gusts_are_an_uncertainty_of_the_wind_at_the_field() -> None:
    assert surface(240.0, 8.0, 20.0).field_wind_sd_mps == pytest.approx(4.0 * KNOT_MPS)
    assert surface(240.0, 8.0).field_wind_sd_mps == 0.0
