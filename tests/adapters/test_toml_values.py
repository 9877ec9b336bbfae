"""What the three files say when nothing is wrong: values, defaults, estimates, what was stated."""

from __future__ import annotations

import math

import numpy as np
import pytest

from tests.adapters.toml_texts import (
    AIRFIELD,
    AIRPLANE,
    EXERCISE,
    NOW_UNIX_S,
    SHORTEST_EXERCISE,
    SIX_NUMBERS,
    FixedVariation,
    demo_text,
    read,
    replaced,
    sound,
)
from volplane import units
from volplane.adapters.toml.airfield import read_airfield
from volplane.adapters.toml.airplane import read_airplane
from volplane.domain.airplane.airplane import Airplane
from volplane.domain.exercise.exercise import GateName, HalfTurn
from volplane.domain.geometry.airfield import Side
from volplane.domain.glide.configuration import Flap, Gear
from volplane.domain.glide.polar import MeasuredPolar, ParabolaPolar


def airplane(text: str) -> Airplane:
    value, problems = read_airplane(text, "airplane.toml")
    assert problems == ()
    assert value is not None
    return value


def test_six_numbers_make_an_airplane_and_everything_else_is_a_marked_default() -> None:
    plain = airplane(SIX_NUMBERS)
    assert isinstance(plain.glide, ParabolaPolar)
    assert plain.glide.reference_weight_kg == pytest.approx(3650 * 0.45359237)
    assert units.kt_from_mps(plain.glide.best_eas_mps) == pytest.approx(109.0)
    # approach and touchdown without power: 1.3 and 1.1 times the landing stall speed of 60 kt
    assert units.kt_from_mps(plain.approach_ias_mps) == pytest.approx(78.0)
    assert units.kt_from_mps(plain.touchdown_ias_mps) == pytest.approx(66.0)
    assert plain.limits.gear_ias_mps is None
    assert plain.stand_in is None
    assert plain.engine.propeller_blades == 3
    assert plain.estimates >= {
        "landing_without_power.approach_speed",
        "landing_without_power.touchdown_speed",
        "configuration.gear and full flap",
    }


def test_a_stated_figure_is_no_estimate() -> None:
    full = airplane(AIRPLANE)
    assert units.kt_from_mps(full.approach_ias_mps) == pytest.approx(88.0)
    assert not any(key.startswith("landing_without_power") for key in full.estimates)
    assert "configuration.gear and approach flap" not in full.estimates
    assert full.limits.landing_roll_m == pytest.approx(1300 * 0.3048)
    assert full.limits.go_around_climb_mps == pytest.approx(600 * 0.3048 / 60)
    assert full.words.calls == ("Dunlin, high key, practice glide, two five.", "Low key.", "Final, full stop.")
    assert full.stand_in is not None
    assert units.inhg_from_pa(full.stand_in.manifold_pressure_pa) == pytest.approx(14.5)


def test_a_configuration_of_a_standard_name_changes_only_what_it_says() -> None:
    text = SIX_NUMBERS + '[[configuration]]\nname = "gear and full flap"\nextra_drag = 1.45\n'
    landing = airplane(text).configuration("gear and full flap")
    assert (landing.gear, landing.flap) == (Gear.DOWN, Flap.FULL)
    assert landing.extra_drag_factor == 1.45
    assert not landing.is_estimate


def test_a_configuration_of_a_new_name_is_added_after_the_standard_ones() -> None:
    text = SIX_NUMBERS + '[[configuration]]\nname = "gear only"\ngear = "down"\nextra_drag = 0.4\n'
    own = airplane(text)
    assert own.configurations[0].name == "clean"
    assert own.configurations[-1].name == "gear only"
    assert own.configurations[-1].induced_factor == 1.0


def test_a_calibration_turns_indicated_figures_into_calibrated_ones() -> None:
    table = '[[airspeed_correction]]\nindicated = "60 kt"\ncalibrated = "64 kt"\n'
    table += '[[airspeed_correction]]\nindicated = "100 kt"\ncalibrated = "102 kt"\n'
    corrected = airplane(SIX_NUMBERS + table)
    # by hand: +4 kt at 60, +2 at 100 and beyond, +3.6 at 68
    assert units.kt_from_mps(corrected.stall_landing_cas_mps) == pytest.approx(64.0)
    assert units.kt_from_mps(corrected.stall_clean_cas_mps) == pytest.approx(71.6)
    assert units.kt_from_mps(corrected.glide.best_eas_mps) == pytest.approx(111.0)


def test_measured_points_are_the_glide_when_they_are_given() -> None:
    # sinks of a parabola of 10 to 1 at 100 kt, exact helix: tan gamma = (v^2 + 1/v^2) / 20 at v = V / sqrt(cos gamma)
    rows = []
    for part in (0.8, 0.9, 1.0, 1.15, 1.3):
        slope = (part**2 + part**-2) / 20.0
        gamma = math.atan(slope)
        speed_kt = 100.0 * part * math.sqrt(math.cos(gamma))
        sink_fpm = speed_kt * 1852 / 60 / 0.3048 * math.sin(gamma)
        rows.append(f'{{ speed = "{speed_kt:.4f} kt", sink = "{sink_fpm:.4f} fpm" }}')
    text = replaced(SIX_NUMBERS, 'best_speed = "109 kt", ratio = 9.6', f"points = [{', '.join(rows)}]")
    glide = airplane(text).glide
    assert isinstance(glide, MeasuredPolar)
    assert units.kt_from_mps(glide.best_eas_mps) == pytest.approx(100.0, abs=0.2)
    assert glide.best_ratio == pytest.approx(10.0, rel=1e-3)


def test_a_point_measured_in_thin_air_is_brought_to_sea_level() -> None:
    # at 8,000 ft the standard density is 0.786 of sea level's (NASA RP-1046, table D2 of the checks: 0.06011 lb/ft3)
    thin = math.sqrt(0.06011 / 0.0764742)
    flat = [("85 kt", 1000.0), ("100 kt", 900.0), ("130 kt", 1500.0)]

    def points(factor: float, extra: str) -> str:
        rows = [f'{{ speed = "{speed}", sink = "{sink * factor:.3f} fpm"{extra} }}' for speed, sink in flat]
        return replaced(SIX_NUMBERS, 'best_speed = "109 kt", ratio = 9.6', f"points = [{', '.join(rows)}]")

    low = airplane(points(1.0, "")).glide
    high = airplane(points(1.0 / thin, ', pressure_altitude = "8000 ft"')).glide
    # true sink is higher in thin air by the root of the density; the small rest is compressibility in CAS against EAS
    assert high.best_ratio == pytest.approx(low.best_ratio, rel=5e-3)


def test_the_demo_holds_no_fault() -> None:
    assert sound(demo_text("exercise.toml")).airfield.name == "Quill Meadow"


def test_an_exercise_says_what_its_file_says() -> None:
    demo = sound()
    assert demo.airplane.name == "Dunlin Tourer"
    assert demo.airfield.name == "Quill Meadow"
    assert demo.runway.name == "25"
    assert units.lb_from_kg(demo.weight_kg) == pytest.approx(3350.0)
    assert demo.time_unix_s == NOW_UNIX_S
    assert units.ft_from_m(demo.entry_height_m) == pytest.approx(2600.0)
    assert units.ft_from_m(demo.touchdown_beyond_threshold_m) == pytest.approx(1200.0)
    assert units.inhg_from_pa(demo.weather.atmosphere.qnh_pa) == pytest.approx(30.05)
    assert units.degc_from_k(demo.weather.atmosphere.field_temperature_k) == pytest.approx(18.0)
    speed, direction = demo.weather.wind.speed_and_direction(units.m_from_ft(3000.0))
    assert units.kt_from_mps(speed) == pytest.approx(18.0)
    assert math.degrees(direction) == pytest.approx(270.0)
    assert demo.airfield.variation_east_rad == pytest.approx(-math.radians(12.0))


def test_every_default_of_the_exercise_is_the_documented_one() -> None:
    plain = sound(SHORTEST_EXERCISE)
    in_feet = {
        "entry_height_m": 2500.0,
        "low_key_height_m": 1500.0,
        "minimum_final_m": 1500.0,
        "reserve_m": 100.0,
        "break_off_height_m": 500.0,
        "touchdown_beyond_threshold_m": 1000.0,
    }
    assert {name: pytest.approx(units.ft_from_m(getattr(plain, name))) for name in in_feet} == in_feet
    in_degrees = {
        "high_key_turn_bank_rad": 20.0,
        "base_turn_bank_rad": 25.0,
        "maximum_bank_rad": 45.0,
        "maximum_bank_below_low_key_rad": 30.0,
    }
    assert {name: pytest.approx(math.degrees(getattr(plain, name))) for name in in_degrees} == in_degrees
    assert plain.high_key_offset_m == pytest.approx(0.2 * 1852)
    assert plain.distance_limit_m == pytest.approx(3 * 1852)
    assert plain.low_key_offset_m is None
    assert plain.stall_margin_fraction == pytest.approx(0.1)
    assert plain.reaction_delay_s == 4.0
    assert plain.standard == "lesson"
    assert plain.half_turn is HalfTurn.EVEN_RADIUS
    assert plain.pattern is Side.LEFT
    assert plain.weight_kg == plain.airplane.maximum_weight_kg
    assert plain.time_unix_s == NOW_UNIX_S


def test_without_weather_the_day_is_standard_and_calm_and_nothing_claims_otherwise() -> None:
    plain = sound(SHORTEST_EXERCISE)
    assert plain.stated == {"airplane", "airfield", "runway"}
    assert plain.weather.atmosphere.qnh_pa == pytest.approx(101325.0)
    # standard temperature at 940 ft: 15 degC less 1.98 degC a thousand feet
    assert units.degc_from_k(plain.weather.atmosphere.field_temperature_k) == pytest.approx(15.0 - 0.94 * 1.9812)
    assert np.all(plain.weather.wind.wind_east_mps == 0.0)
    assert "weather" in sound().stated
    assert "weather.qnh" in sound().stated


def test_on_a_short_runway_the_touchdown_point_lies_a_third_in() -> None:
    short = replaced(AIRFIELD, '"4400 ft"', '"2400 ft"')
    assert units.ft_from_m(sound(SHORTEST_EXERCISE, airfield=short).touchdown_beyond_threshold_m) == pytest.approx(
        800.0
    )


def test_the_pattern_is_the_published_one_unless_the_exercise_says_otherwise() -> None:
    other_end = replaced(SHORTEST_EXERCISE, '"25"', '"07"')
    assert sound(other_end).pattern is Side.RIGHT
    assert sound(other_end + 'pattern = "Left"\n').pattern is Side.LEFT


def test_a_tower_wind_is_magnetic_and_takes_the_lowest_level() -> None:
    text = SHORTEST_EXERCISE + '[weather]\ntower_wind = "250 deg 8 kt"\n'
    text += 'wind = [{ height = "3000 ft", from = "270 deg", speed = "18 kt" }]\n'
    wind = sound(text).weather.wind
    speed, direction = wind.speed_and_direction(10.0)
    assert math.degrees(direction) == pytest.approx(238.0)  # 250 magnetic less 12 west
    assert units.kt_from_mps(speed) == pytest.approx(8.0)
    assert len(wind.height_above_field_m) == 2


def test_phases_start_at_a_gate_or_a_height() -> None:
    text = SHORTEST_EXERCISE + '[[phase]]\nfrom = "Low key"\nspeed = "104 kt"\n[[phase]]\nfrom = "400 ft"\n'
    text += 'configuration = "gear and full flap"\n'
    first, second = sound(text).phases
    assert first.start_gate is GateName.LOW_KEY
    assert first.ias_mps == pytest.approx(units.mps_from_kt(104.0))
    assert second.start_gate is None
    assert second.start_height_m == pytest.approx(units.m_from_ft(400.0))
    assert second.configuration == "gear and full flap"


def test_obstacles_lie_in_the_runway_frame() -> None:
    text = 'obstacles = [{ x = "-3000 ft", y = "0 ft", height = "120 ft" }]\n' + SHORTEST_EXERCISE
    (tower,) = sound(text).obstacles
    assert (tower.x_m, tower.y_m, tower.height_m) == pytest.approx((-914.4, 0.0, 36.576))


@pytest.mark.parametrize("date", ['"2026-05-14"', "2026-05-14"])
def test_a_date_may_stand_in_quotes_or_not(date: str) -> None:
    assert sound(replaced(EXERCISE, '"2026-05-14"', date)).time_unix_s == NOW_UNIX_S


def test_date_and_time_are_now_where_they_are_missing() -> None:
    only_time = 'time = "09:30Z"\n' + SHORTEST_EXERCISE
    assert sound(only_time).time_unix_s == NOW_UNIX_S - 4.5 * 3600
    only_date = 'date = "2026-05-13"\n' + SHORTEST_EXERCISE
    assert sound(only_date).time_unix_s == NOW_UNIX_S - 86400


def test_a_stated_variation_goes_before_the_model() -> None:
    text = 'variation = "3 deg E"\n' + AIRFIELD.split("[[runway]]")[0]
    text += '[[runway]]\nname = "24"\nthreshold = [44.0, -40.0]\nbearing_true = "238.4 deg"\nlength = "1300 m"\n'
    field, problems = read_airfield(text, "f.toml", FixedVariation(), NOW_UNIX_S)
    assert problems == ()
    assert field is not None
    assert field.variation_east_rad == pytest.approx(math.radians(3.0))
    assert field.runways[0].elevation_msl_m == field.elevation_msl_m
    assert field.runways[0].length_m == 1300.0


def test_metric_files_give_the_same_exercise_to_the_precision_they_are_written_with() -> None:
    metric = replaced(EXERCISE, '"2600 ft"', '"792.48 m"')
    metric = replaced(metric, '"3350 lb"', '"1519.5344395 kg"')
    metric = replaced(metric, '"30.05 inHg"', '"1017.6098 hPa"')
    assert sound(metric).entry_height_m == pytest.approx(sound().entry_height_m)
    assert sound(metric).weight_kg == pytest.approx(sound().weight_kg)
    assert sound(metric).weather.atmosphere.qnh_pa == pytest.approx(sound().weather.atmosphere.qnh_pa, abs=0.1)


def test_a_byte_order_mark_and_foreign_line_ends_do_not_matter() -> None:
    assert read("\ufeff" + EXERCISE.replace("\n", "\r\n"))[1] == ()
