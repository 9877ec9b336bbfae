"""The weather table: a METAR, figures typed beside it, winds aloft above sea level."""

from __future__ import annotations

import math
import re

import pytest

from tests.adapters.toml_texts import AIRFIELD, AIRPLANE, EXERCISE, NOW_UNIX_S, FixedVariation, read, sound
from volplane.adapters.toml.changes import exercise_with_changes
from volplane.adapters.toml.source import HeldTexts, NamedText
from volplane.domain.exercise.exercise import Weather
from volplane.domain.finding import Severity
from volplane.errors import Problem
from volplane.units import FOOT_M, deg_from_rad, degc_from_k, ft_from_m, inhg_from_pa, kt_from_mps

METAR = "XXXX 141353Z 23010G18KT 200V260 10SM SCT020 BKN045 21/12 A2999"
TOP = EXERCISE[: EXERCISE.index("[weather]")]


def exercise(table: str) -> str:
    return f"{TOP}[weather]\n{table}\n"


def weather(table: str) -> Weather:
    return sound(exercise(table)).weather


def faults(table: str) -> tuple[Problem, ...]:
    value, problems = read(exercise(table))
    assert value is None
    return problems


def field_wind(air: Weather) -> tuple[float, float]:
    speed_mps, from_rad = air.wind.speed_and_direction(10.0)
    return deg_from_rad(from_rad), kt_from_mps(speed_mps)


def test_a_report_alone_is_the_weather() -> None:
    air = weather(f'metar = "{METAR}"')
    assert field_wind(air) == pytest.approx((230.0, 10.0))
    assert kt_from_mps(air.gust_mps or 0.0) == pytest.approx(18.0)
    assert kt_from_mps(air.gust_spread_mps) == pytest.approx(8.0)
    assert [round(deg_from_rad(each)) for each in air.wind_range_true_rad or ()] == [200, 260]
    assert degc_from_k(air.atmosphere.field_temperature_k) == pytest.approx(21.0)
    assert inhg_from_pa(air.atmosphere.qnh_pa) == pytest.approx(29.99)
    assert ft_from_m(air.cloud_base_above_field_m or 0.0) == pytest.approx(4500.0)
    assert ft_from_m(air.scattered_base_above_field_m or 0.0) == pytest.approx(2000.0)
    assert air.observed_unix_s == NOW_UNIX_S - 7 * 60
    assert air.typed_over_report == ()


def test_winds_aloft_stand_over_a_reports_wind() -> None:
    air = weather(f'metar = "{METAR}"\nwind = [{{ height = "3000 ft", from = "270 deg", speed = "20 kt" }}]')
    assert field_wind(air) == pytest.approx((230.0, 10.0))
    speed_mps, from_rad = air.wind.speed_and_direction(3000.0 * FOOT_M)
    assert (deg_from_rad(from_rad), kt_from_mps(speed_mps)) == pytest.approx((270.0, 20.0))


def test_a_typed_figure_counts_before_the_reports_and_the_difference_is_kept() -> None:
    air = weather(f'metar = "{METAR}"\nqnh = "30.10 inHg"\ntemperature = "21 degC"\ncloud_base = "3000 ft"')
    assert inhg_from_pa(air.atmosphere.qnh_pa) == pytest.approx(30.10)
    assert ft_from_m(air.cloud_base_above_field_m or 0.0) == pytest.approx(3000.0)
    assert [each.key for each in air.typed_over_report] == ["qnh", "cloud base"]
    assert inhg_from_pa(air.typed_over_report[0].reported) == pytest.approx(29.99)


def test_a_typed_wind_at_the_field_counts_before_the_reports_and_does_not_swing() -> None:
    air = weather(f'metar = "{METAR}"\ntower_wind = "250 deg 6 kt"')
    # 12 degrees west: 250 magnetic is 238 true
    assert field_wind(air) == pytest.approx((238.0, 6.0))
    assert air.wind_range_true_rad is None
    assert [each.key for each in air.typed_over_report] == ["wind direction", "wind speed"]
    assert kt_from_mps(air.gust_mps or 0.0) == pytest.approx(18.0)


def test_a_reports_gust_is_dropped_beside_a_stronger_typed_wind() -> None:
    assert weather(f'metar = "{METAR}"\ntower_wind = "242 deg 20 kt"').gust_mps is None


@pytest.mark.parametrize(("wind", "code"), [("VRB04KT", "variable-wind-only"), ("/////KT", "no-wind-in-report")])
def test_a_report_without_a_direction_asks_for_one_in_one_sentence(wind: str, code: str) -> None:
    (problem,) = faults(f'metar = "{METAR.replace("23010G18KT 200V260", wind)}"')
    assert problem.code == code
    assert wind in problem.found
    assert "tower_wind" in problem.remedy


@pytest.mark.parametrize(
    "typed", ['tower_wind = "calm"', 'wind = [{ height = "0 ft", from = "240 deg", speed = "4 kt" }]']
)
def test_a_variable_wind_is_taken_where_one_is_typed_beside_it(typed: str) -> None:
    weather(f'metar = "{METAR.replace("23010G18KT 200V260", "VRB04KT")}"\n{typed}')


def test_an_impossible_report_is_one_sentence_with_its_line() -> None:
    (problem,) = faults(f'metar = "{METAR.replace("23010", "39010")}"')
    assert re.fullmatch(r"weather\.metar \(line \d+\)", problem.place)
    assert '"39010G18KT"' in problem.found
    assert problem.code == "quantity-metar"


def test_a_calm_report_is_calm() -> None:
    assert field_wind(weather('metar = "XXXX 141353Z 00000KT CAVOK 20/12 Q1013"')) == (0.0, 0.0)


def test_winds_aloft_may_be_given_above_sea_level() -> None:
    air = weather('wind = [{ altitude = "3940 ft", from = "270 deg", speed = "20 kt" }]')
    assert ft_from_m(float(air.wind.height_above_field_m[0])) == pytest.approx(3000.0)


def level(keys: str) -> str:
    return f'wind = [{{ {keys}, from = "270 deg", speed = "20 kt" }}]'


@pytest.mark.parametrize(
    ("keys", "place", "code"),
    [
        ('altitude = "500 ft"', "weather.wind[1].altitude", "wind-level-below-field"),
        ('altitude = "3000 ft", height = "2000 ft"', "weather.wind[1].altitude", "height-twice"),
    ],
)
def test_a_level_that_cannot_be_is_named(keys: str, place: str, code: str) -> None:
    (problem,) = faults(level(keys))
    assert problem.place.startswith(place)
    assert problem.code == code


def test_a_level_without_a_height_is_named() -> None:
    (problem,) = faults('wind = [{ from = "270 deg", speed = "20 kt" }]')
    assert problem.code == "key-missing"


def changed(table: str, changes: dict[str, str]) -> Weather:
    texts = HeldTexts({"dunlin_tourer.toml": AIRPLANE, "quill_meadow.toml": AIRFIELD})
    source = NamedText("exercise.toml", exercise(table))
    return exercise_with_changes(source, changes, texts, FixedVariation(), NOW_UNIX_S).weather


def test_on_the_page_the_first_wind_field_is_the_reports_and_the_next_the_first_level() -> None:
    table = f'metar = "{METAR}"\nwind = [{{ height = "3000 ft", from = "270 deg", speed = "20 kt" }}]'
    aloft = changed(table, {"wind_1": "280 deg 25 kt"})
    assert field_wind(aloft) == pytest.approx((230.0, 10.0))
    assert kt_from_mps(aloft.wind.speed_and_direction(3000.0 * FOOT_M)[0]) == pytest.approx(25.0)
    below = changed(table, {"wind_0": "240 deg 8 kt"})
    assert field_wind(below) == pytest.approx((240.0, 8.0))
    assert kt_from_mps(below.wind.speed_and_direction(3000.0 * FOOT_M)[0]) == pytest.approx(20.0)


def thresholds_text(keys: str) -> str:
    return f"{EXERCISE}\n[thresholds]\n{keys}\n"


def test_thresholds_are_settings_of_the_exercise() -> None:
    read_back = sound(thresholds_text('tailwind_stop = "8 kt"\nsun_caution = "2 deg"')).thresholds
    assert kt_from_mps(read_back.tailwind_stop_mps) == pytest.approx(8.0)
    assert read_back.sun_caution_rad == pytest.approx(math.radians(2.0))
    assert read_back.tailwind_caution_mps == sound().thresholds.tailwind_caution_mps


@pytest.mark.parametrize(
    ("keys", "place"),
    [
        ('tailwind_stop = "2 kt"', "thresholds.tailwind_stop"),
        ('visibility_caution = "2 SM"', "thresholds.visibility_caution"),
        ('go_around_climb_stop = "400 fpm"', "thresholds.go_around_climb_stop"),
    ],
)
def test_a_stop_before_its_caution_is_named(keys: str, place: str) -> None:
    value, (problem,) = read(thresholds_text(keys))
    assert value is None
    assert problem.place.startswith(place)
    assert problem.code == "key-order"


def test_the_example_of_the_issue_is_a_stop_whatever_the_day() -> None:
    table = 'metar = "XXXX 141353Z 35015G27KT 10SM OVC028 18/10 A3005"'
    from volplane.domain.exercise.solver import solve

    found = {each.code: each.severity for each in solve(sound(exercise(table))).findings}
    assert found["crosswind"] is Severity.STOP


def test_every_threshold_of_an_exercise_is_a_key_with_its_own_default() -> None:
    import dataclasses

    from volplane.adapters.toml.threshold_keys import _KEYS, THRESHOLDS
    from volplane.domain.exercise.thresholds import Thresholds
    from volplane.services.quantities import Kind, read_quantity

    assert sorted(name for _, name, *_ in _KEYS) == sorted(each.name for each in dataclasses.fields(Thresholds))
    for key, name, *_ in _KEYS:
        form, default = THRESHOLDS.key(key).form, THRESHOLDS.key(key).default
        assert isinstance(form, Kind)
        # a default is printed to a hundredth of a degree and read by nobody: the value itself counts
        assert read_quantity(default, form) == pytest.approx(getattr(Thresholds(), name), abs=1e-4)
