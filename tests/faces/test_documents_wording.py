"""How figures read: the rules of the visual language for numbers."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from volplane import units
from volplane.faces.documents import wording
from volplane.faces.documents.dispersion import part_of_flights
from volplane.faces.documents.wording import IMPERIAL, METRIC, MINUS, NO_BREAK_SPACE

EN_DASH = "\u2013"


def spaced(text: str) -> str:
    """The text with plain spaces, so that expectations can be read."""
    return text.replace(NO_BREAK_SPACE, " ")


@pytest.mark.parametrize(
    ("got", "expected"),
    [
        (IMPERIAL.height.text(units.m_from_ft(2500.0)), "2,500 ft"),
        (METRIC.height.text(762.0), "762 m"),
        (IMPERIAL.speed.text(units.mps_from_kt(104.4)), "104 kt"),
        (METRIC.speed.text(50.0), "180 km/h"),
        (IMPERIAL.sink.text(850 * units.FOOT_PER_MINUTE_MPS), "850 fpm"),
        (METRIC.sink.text(4.32), "4.3 m/s"),
        (IMPERIAL.distance.text(0.74 * 1852), "0.74 NM"),
        (IMPERIAL.distance_fraction(0.74 * 1852), "¾ NM"),
        (METRIC.distance_fraction(1370.0), "1.4 km"),
        (IMPERIAL.weight.text(units.kg_from_lb(3350)), "3,350 lb"),
        (IMPERIAL.altimeter_setting.text(units.pa_from_inhg(30.05)), "30.05 in"),
        (METRIC.altimeter_setting.text(101760.0), "1,018 hPa"),
        (IMPERIAL.manifold_pressure.text(units.pa_from_inhg(14.5)), "14.5 in"),
        (IMPERIAL.manifold_pressure_fraction(units.pa_from_inhg(14.5)), "14½ in"),
        (METRIC.manifold_pressure_fraction(49100.0), "491 hPa"),
        (IMPERIAL.temperature(units.k_from_degc(18.0)), "18 °C"),
        (IMPERIAL.temperature(units.k_from_degc(-5.0)), f"{MINUS}5 °C"),
        (IMPERIAL.engine_speed(2300 * units.RPM_RADPS), "2,300 rpm"),
        (IMPERIAL.wind(math.radians(240), units.mps_from_kt(8)), "240° 8 kt"),
        (IMPERIAL.wind(math.radians(240), 0.1), "calm"),
        (IMPERIAL.height.signed(units.m_from_ft(-140)), f"{MINUS}140 ft"),
        (IMPERIAL.height.signed(units.m_from_ft(50)), "+50 ft"),
        (IMPERIAL.rounded_height(units.m_from_ft(643)), "640 ft"),
        (wording.ratio(9.6), "9.6 to 1"),
        (wording.seconds(16.2), "16 s"),
        (wording.duration(125.0), "2 min 05 s"),
        (wording.duration(59.6), "1 min 00 s"),
        (wording.percent(0.1), "10 %"),
        (wording.variation(math.radians(-12.4)), "12° W"),
        (wording.angle(math.radians(25)), "25°"),
        (wording.utc_clock(1778767207.9), "14:00"),
        (wording.utc_clock(1778767207.9, with_seconds=True), "14:00:07"),
        (wording.utc_date(1778767207.0), "14 May 2026"),
        (wording.utc_date(1778767207.0, with_year=False), "14 May"),
        (wording.listed(["gear", "flap", "power"]), "gear, flap and power"),
        (wording.listed(["gear"]), "gear"),
        (wording.counted(2, "gate"), "two gates"),
        (wording.counted(1, "gate"), "one gate"),
        (wording.counted(14, "gate"), "14 gates"),
        (wording.sentence_case("turn NO later"), "Turn NO later"),
    ],
)
def test_every_quantity_is_written_as_the_trade_writes_it(got: str, expected: str) -> None:
    assert spaced(got) == expected


def test_unit_and_figure_are_never_broken_apart_at_a_line_end() -> None:
    assert IMPERIAL.height.text(762.0) == f"2,500{NO_BREAK_SPACE}ft"


@pytest.mark.parametrize(
    ("degrees", "expected"), [(0.0, "360°"), (359.6, "360°"), (4.4, "004°"), (90.0, "090°"), (-20.0, "340°")]
)
def test_a_direction_has_three_digits_and_north_is_360(degrees: float, expected: str) -> None:
    assert wording.direction(math.radians(degrees)) == expected


@pytest.mark.parametrize("missing", [None, math.nan])
def test_what_is_not_observable_is_an_en_dash_without_a_unit(missing: float | None) -> None:
    texts = [
        IMPERIAL.height.text(missing),
        IMPERIAL.altimeter_text(missing),
        IMPERIAL.temperature(missing),
        IMPERIAL.manifold_pressure_fraction(missing),
        IMPERIAL.distance_fraction(missing),
        wording.direction(missing),
        wording.angle(missing),
        wording.ratio(missing),
        wording.percent(missing),
    ]
    assert texts == [EN_DASH] * len(texts)


def test_nought_never_carries_a_minus_or_a_plus() -> None:
    assert wording.figure(-0.2) == "0"
    assert wording.signed(0.3) == "0"
    assert wording.with_fraction(-0.05) == "0"


@pytest.mark.parametrize(
    ("feet", "mode", "expected"),
    [
        (2174.0, "nearest", "2,150"),
        (2175.0, "nearest", "2,200"),
        (2151.0, "up", "2,200"),
        (2199.0, "down", "2,150"),
        (2150.0000001, "up", "2,150"),
        (2149.9999999, "down", "2,150"),
        (-20.0, "nearest", "0"),
    ],
)
def test_a_lowest_is_rounded_up_and_a_highest_down_so_that_neither_is_eased(
    feet: float, mode: wording.Rounding, expected: str
) -> None:
    assert IMPERIAL.altimeter(units.m_from_ft(feet), mode) == expected


@given(st.floats(-2000.0, 20000.0))
def test_rounding_up_never_gives_less_and_rounding_down_never_more(feet: float) -> None:
    assert wording.rounded(feet, 50.0, "down") - 1e-4 <= feet <= wording.rounded(feet, 50.0, "up") + 1e-4
    assert abs(wording.rounded(feet, 50.0) - feet) <= 25.0


def test_the_reader_chooses_the_units_by_name() -> None:
    assert wording.units_named("imperial") is IMPERIAL
    assert wording.units_named("metric") is METRIC
    with pytest.raises(KeyError, match="furlongs"):
        wording.units_named("furlongs")


@pytest.mark.parametrize(
    ("fraction", "runs", "said"),
    [
        (0.0, 10_000, "under 1 %"),  # none of 10,000: under 0.04 %
        (0.004, 10_000, "under 1 %"),
        (0.0, 100, "under 4 %"),  # none of 100: the score interval ends at 3.7 %
        (0.02, 10_000, "2 %"),
    ],
)
def test_no_part_of_many_flights_is_said_to_be_nought(fraction: float, runs: int, said: str) -> None:
    assert spaced(part_of_flights(fraction, runs)) == said
