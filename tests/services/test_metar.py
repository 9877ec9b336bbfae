"""Weather reports read: what each group means, and what cannot be.

What the groups mean: WMO-No. 306, Manual on Codes, FM 15 METAR, and FAA Order JO 7900.5 (both from memory). The station
XXXX is nobody's.
"""

from __future__ import annotations

import datetime
import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from volplane.services.metar import EXAMPLE, Metar, read_metar
from volplane.services.quantities import QuantityNotUnderstood
from volplane.units import deg_from_rad, degc_from_k, ft_from_m, hpa_from_pa, inhg_from_pa, kt_from_mps


def report(groups: str) -> Metar:
    return read_metar(f"METAR XXXX 141353Z {groups}")


def degrees(angle_rad: float | None) -> float:
    assert angle_rad is not None
    return deg_from_rad(angle_rad)


def test_a_report_of_the_united_states_is_read_whole() -> None:
    read = read_metar(EXAMPLE)
    assert read.station == "XXXX"
    assert (read.day, read.minute_of_day) == (14, 13 * 60 + 53)
    assert degrees(read.wind_from_true_rad) == pytest.approx(350.0)
    assert kt_from_mps(read.wind_speed_mps or 0.0) == pytest.approx(15.0)
    assert kt_from_mps(read.gust_mps or 0.0) == pytest.approx(27.0)
    assert read.visibility_m == pytest.approx(16093.44)  # ten statute miles of 5,280 ft
    assert ft_from_m(read.ceiling_above_field_m or 0.0) == pytest.approx(2800.0)
    assert degc_from_k(read.temperature_k or 0.0) == pytest.approx(18.0)
    assert degc_from_k(read.dew_point_k or 0.0) == pytest.approx(10.0)
    assert inhg_from_pa(read.qnh_pa or 0.0) == pytest.approx(30.05)
    assert read.not_read == ()


def test_a_report_of_other_countries_is_read_whole() -> None:
    read = report("AUTO 24008G19KT 210V280 9999 FEW012 SCT030TCU BKN045 M02/M07 Q1013 NOSIG")
    assert [round(degrees(each)) for each in read.wind_range_true_rad or ()] == [210, 280]
    assert read.visibility_m == 10000.0
    assert ft_from_m(read.scattered_base_above_field_m or 0.0) == pytest.approx(1200.0)
    assert ft_from_m(read.ceiling_above_field_m or 0.0) == pytest.approx(4500.0)
    assert degc_from_k(read.temperature_k or 0.0) == pytest.approx(-2.0)
    assert degc_from_k(read.dew_point_k or 0.0) == pytest.approx(-7.0)
    assert hpa_from_pa(read.qnh_pa or 0.0) == pytest.approx(1013.0)
    assert read.not_read == ()


def test_calm_is_no_wind_and_not_variable() -> None:
    read = report("00000KT CAVOK 20/12 Q1020")
    assert read.wind_speed_mps == 0.0
    assert not read.is_variable


def test_variable_wind_has_no_direction() -> None:
    read = report("VRB04KT 9999 20/12 Q1020")
    assert read.is_variable
    assert read.wind_from_true_rad is None
    assert kt_from_mps(read.wind_speed_mps or 0.0) == pytest.approx(4.0)


def test_a_wind_that_was_not_measured_is_not_known() -> None:
    read = report("/////KT 9999 20/12 Q1020")
    assert read.wind_speed_mps is None
    assert not read.is_variable


@pytest.mark.parametrize(
    ("group", "speed_mps"), [("24008MPS", 8.0), ("24036KMH", 10.0), ("240P99KT", 99 * 1852 / 3600)]
)
def test_winds_in_other_units_are_read(group: str, speed_mps: float) -> None:
    assert report(f"{group} 9999 20/12 Q1020").wind_speed_mps == pytest.approx(speed_mps)


@pytest.mark.parametrize(
    ("group", "metres"),
    [
        ("1 1/2SM", 2414.016),
        ("1/4SM", 402.336),
        ("M1/4SM", 402.336),
        ("P6SM", 9656.064),
        ("0800", 800.0),
        ("9999", 1e4),
    ],
)
def test_visibility_is_read_in_metres_and_statute_miles(group: str, metres: float) -> None:
    assert report(f"24008KT {group} 20/12 Q1020").visibility_m == pytest.approx(metres)


def test_cavok_is_ten_kilometres_and_no_cloud_below_5000_feet() -> None:
    read = report("24008KT CAVOK 20/12 Q1020")
    assert read.visibility_m == 10000.0
    assert ft_from_m(read.ceiling_above_field_m or 0.0) == pytest.approx(5000.0)


def test_few_and_scattered_cloud_is_no_ceiling_and_vertical_visibility_is() -> None:
    assert report("24008KT 9999 FEW008 SCT012 20/12 Q1020").ceiling_above_field_m is None
    assert ft_from_m(report("24008KT 0400 FG VV002 20/20 Q1020").ceiling_above_field_m or 0.0) == pytest.approx(200.0)


def test_the_lowest_broken_layer_counts() -> None:
    read = report("24008KT 9999 BKN040 OVC015 20/12 Q1020")
    assert ft_from_m(read.ceiling_above_field_m or 0.0) == pytest.approx(1500.0)


def test_what_stands_in_trend_and_remarks_is_no_observation() -> None:
    read = report("24008KT 9999 20/12 Q1020 TEMPO 27025G40KT 2000 BKN005")
    assert kt_from_mps(read.wind_speed_mps or 0.0) == pytest.approx(8.0)
    assert read.gust_mps is None
    assert read.ceiling_above_field_m is None


def test_temperatures_in_tenths_refine_the_whole_degrees() -> None:
    read = report("24008KT 10SM CLR 18/M02 A3005 RMK AO2 SLP176 T01831017")
    assert degc_from_k(read.temperature_k or 0.0) == pytest.approx(18.3)
    assert degc_from_k(read.dew_point_k or 0.0) == pytest.approx(-1.7)


def test_a_remark_that_contradicts_the_whole_degrees_is_left() -> None:
    read = report("24008KT 10SM CLR 18/10 A3005 RMK T02830100")
    assert degc_from_k(read.temperature_k or 0.0) == pytest.approx(18.0)


def test_two_altimeter_settings_that_agree_are_one() -> None:
    read = report("24008KT 9999 20/12 Q1017 A3005")
    assert inhg_from_pa(read.qnh_pa or 0.0) == pytest.approx(30.05)


@pytest.mark.parametrize(
    "weather", ["-SHRA", "VCTS", "+TSRAGR", "BR", "RERA", "R25/0600FT", "R07L/P2000N", "BCFG", "DZ"]
)
def test_weather_and_runway_groups_pass(weather: str) -> None:
    assert report(f"24008KT 4000 {weather} 20/12 Q1020").not_read == ()


def test_a_group_nobody_knows_is_kept_by_name() -> None:
    assert report("24008KT 9999 QWERTY 20/12 Q1020").not_read == ("QWERTY",)


@pytest.mark.parametrize(
    ("groups", "found"),
    [
        ("37015KT 9999 20/12 Q1020", "37015KT"),
        ("00015KT 9999 20/12 Q1020", "00015KT"),
        ("24027G15KT 9999 20/12 Q1020", "24027G15KT"),
        ("240999KT 9999 20/12 Q1020", "240999KT"),
        ("24008KT 210V380 9999 20/12 Q1020", "210V380"),
        ("24008KT 9999 12/20 Q1020", "12/20"),
        ("24008KT 9999 80/12 Q1020", "80/12"),
        ("24008KT 9999 20/12 Q0420", "Q0420"),
        ("24008KT 9999 20/12 A4005", "A4005"),
        ("24008KT 9999 20/12 Q1020 A2960", "A2960"),
        ("24008KT 27010KT 9999 20/12 Q1020", "24008KT and 27010KT"),
        ("24008KT 1/0SM 20/12 Q1020", "1/0SM"),
        ("9999 20/12 Q1020", "without a wind group"),
    ],
)
def test_a_report_that_cannot_be_is_refused_by_its_group(groups: str, found: str) -> None:
    with pytest.raises(QuantityNotUnderstood, match="METAR") as refused:
        report(groups)
    assert found in refused.value.found
    assert refused.value.cause == "metar"


@pytest.mark.parametrize(
    "text", ["", "fine weather", "XXXX 24008KT 9999", "XXXX 321353Z 24008KT", "XXXX 142553Z 24008KT", 7]
)
def test_what_is_no_report_is_refused(text: object) -> None:
    with pytest.raises(QuantityNotUnderstood, match=r"METAR|day, hour"):
        read_metar(text)


def utc(*when: int) -> float:
    return datetime.datetime(*when, tzinfo=datetime.UTC).timestamp()  # type: ignore[arg-type, misc]


def test_the_day_of_a_report_is_the_nearest_of_that_number() -> None:
    read = read_metar("XXXX 312350Z 24008KT 9999 20/12 Q1020")
    assert read.observed_unix_s(utc(2026, 6, 1, 0, 30)) == utc(2026, 5, 31, 23, 50)
    assert read.observed_unix_s(utc(2026, 1, 1, 2, 0)) == utc(2025, 12, 31, 23, 50)


@given(st.integers(1, 36), st.integers(1, 60), st.integers(-40, 45), st.integers(0, 30), st.integers(900, 1060))
def test_what_is_written_is_what_is_read(tens: int, speed_kt: int, warm: int, spread: int, qnh_hpa: int) -> None:
    dew = max(warm - spread, -60)
    figures = "/".join(f"{'M' if each < 0 else ''}{abs(each):02}" for each in (warm, dew))
    read = report(f"{10 * tens:03}{speed_kt:02}KT 9999 {figures} Q{qnh_hpa:04}")
    assert degrees(read.wind_from_true_rad) % 360.0 == pytest.approx(10 * tens % 360)
    assert kt_from_mps(read.wind_speed_mps or 0.0) == pytest.approx(speed_kt)
    assert degc_from_k(read.temperature_k or 0.0) == pytest.approx(warm)
    assert hpa_from_pa(read.qnh_pa or 0.0) == pytest.approx(qnh_hpa)


@given(st.text(alphabet="METARX0123456789/ZGKTVSQA CAVOK", max_size=80))
def test_any_text_is_a_report_or_refused_in_words(text: str) -> None:
    read, refusal = None, None
    try:
        read = read_metar(f"XXXX 141353Z {text}")
    except QuantityNotUnderstood as refused:
        refusal = refused
    if read is None:
        assert refusal is not None
        assert refusal.remedy
    else:
        assert read.wind_speed_mps is None or math.isfinite(read.wind_speed_mps)
