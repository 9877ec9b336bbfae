"""Typed quantities: what is read, what is refused, and there and back."""

from __future__ import annotations

import math

import pytest
from hypothesis import given
from hypothesis import strategies as st

from volplane.services import quantities as q
from volplane.services.quantities import Kind, QuantityNotUnderstood, read_quantity, read_wind, write_quantity


@pytest.mark.parametrize(
    ("text", "kind", "expected"),
    [
        # each factor is the definition of the unit, worked out by hand
        ("105 kt", q.SPEED, 105 * 1852 / 3600),
        ("105kts", q.SPEED, 105 * 1852 / 3600),
        ("180 km/h", q.SPEED, 50.0),
        ("54 m/s", q.SPEED, 54.0),
        ("2,500 ft", q.HEIGHT, 762.0),
        ("2500 ft", q.HEIGHT, 762.0),
        ("1,234,567 ft", q.HEIGHT, 1234567 * 0.3048),
        (".5 NM", q.DISTANCE, 926.0),
        ("0.8 NM", q.DISTANCE, 1481.6),
        ("1.5 km", q.DISTANCE, 1500.0),
        ("10 km", q.DISTANCE, 10000.0),
        ("80 in", q.SIZE, 80 * 0.0254),
        ("3400 lb", q.WEIGHT, 3400 * 0.45359237),
        ("1656 kg", q.WEIGHT, 1656.0),
        ("1018 hPa", q.PRESSURE, 101800.0),
        ("18 degC", q.TEMPERATURE, 291.15),
        ("18 °C", q.TEMPERATURE, 291.15),
        ("\u22125 degC", q.TEMPERATURE, 268.15),
        ("64.4 degF", q.TEMPERATURE, 291.15),
        ("-40 degF", q.TEMPERATURE, 233.15),
        ("250 deg", q.ANGLE, math.radians(250)),
        ("250°", q.ANGLE, math.radians(250)),
        ("12 deg W", q.VARIATION, -math.radians(12)),
        ("12.4° E", q.VARIATION, math.radians(12.4)),
        ("10 %", q.PERCENTAGE, 0.1),
        ("4 s", q.TIME_SPAN, 4.0),
        ("2 min", q.TIME_SPAN, 120.0),
        ("850 fpm", q.VERTICAL_SPEED, 850 * 0.3048 / 60),
        ("2300 rpm", q.ENGINE_SPEED, 2300 * 2 * math.pi / 60),
        ("223.7 kW", q.POWER, 223700.0),
        ("540 in3", q.VOLUME, 540 * 0.0254**3),
        ("8.85 L", q.VOLUME, 0.00885),
    ],
)
def test_a_number_with_its_unit_is_read_into_si(text: str, kind: Kind, expected: float) -> None:
    assert read_quantity(text, kind) == pytest.approx(expected, rel=1e-12)


def test_an_inch_of_mercury_is_29_92_to_the_standard_atmosphere() -> None:
    # International Standard Atmosphere at sea level: 101,325 Pa, printed everywhere as 29.92 inHg (from memory)
    assert read_quantity("29.92 inHg", q.PRESSURE) == pytest.approx(101325.0, abs=0.005 * 3386.4)
    assert read_quantity("14.5 in", q.PRESSURE) == read_quantity("14.5 inHg", q.PRESSURE)


def test_three_hundred_horsepower_are_223_7_kilowatts() -> None:
    # mechanical horsepower, 550 foot-pounds a second: 745.69987 W (from memory)
    assert read_quantity("300 hp", q.POWER) == pytest.approx(300 * 745.69987, rel=1e-7)


@pytest.mark.parametrize(
    "number", ["2,50", "1,2.5", "25,00", "1,2345", ",500", "0,500", "2.5.1", "1,,000", "2.", "--5"]
)
def test_a_comma_only_separates_thousands_and_a_number_must_be_one(number: str) -> None:
    with pytest.raises(QuantityNotUnderstood, match=r"comma only separates thousands|number and its unit"):
        read_quantity(f"{number} ft", q.HEIGHT)


@pytest.mark.parametrize(
    ("typed", "message"),
    [
        (3650, r'found 3650 without a unit, expected a weight in lb or kg. Write "3650 lb" or "1656 kg"'),
        ("3650", r'found "3650" without a unit, expected a weight in lb or kg. Write "3650 lb" or "1656 kg"'),
        ("3,650", r'found "3,650" without a unit, expected a weight in lb or kg. Write "3650 lb" or "1656 kg"'),
        (math.nan, r'found nan without a unit, expected a weight in lb or kg. Write "3650 lb"\.'),
        (10**400, r'without a unit, expected a weight in lb or kg. Write "3650 lb"\.'),
    ],
)
def test_a_bare_number_is_refused_with_what_to_write(typed: object, message: str) -> None:
    with pytest.raises(QuantityNotUnderstood, match=message):
        read_quantity(typed, q.WEIGHT)


@pytest.mark.parametrize(
    ("typed", "kind", "message"),
    [
        ("105 lb", q.SPEED, r'found "105 lb", which is a weight, expected a speed in kt, km/h, m/s or mph'),
        ("2300 rpm", q.POWER, r'"2300 rpm", which is an engine speed, expected a power in hp, kW or W'),
        ("105 furlongs", q.SPEED, r'found "105 furlongs", expected a speed in kt'),
        ("18 deg", q.TEMPERATURE, r'found "18 deg", which is an angle, expected a temperature in degC, degF or K'),
        ("12 deg", q.VARIATION, r'"12 deg", which is an angle, expected a magnetic variation in deg W or deg E'),
        ("12", q.VARIATION, r'Write "12 deg W" or "12 deg E"'),
        ("20", q.ANGLE, r'Write "20 deg"\.'),
        ("fast", q.SPEED, r'found "fast", expected a speed'),
        ("", q.SPEED, r'found an empty text, expected a speed .*such as "105 kt"'),
        ("kt", q.SPEED, r'found "kt", expected a speed'),
        (True, q.SPEED, r"found true, expected a speed"),
        (["105 kt"], q.SPEED, r"found a list, expected a speed"),
        ({"value": 1}, q.SPEED, r"found a table, expected a speed"),
        ("nan kt", q.SPEED, r'found "nan kt"'),
        ("inf kt", q.SPEED, r'found "inf kt"'),
        ("1e3 ft", q.HEIGHT, r'found "1e3 ft"'),
        ("1_000 ft", q.HEIGHT, r'found "1_000 ft"'),
        ("9" * 400 + " ft", q.HEIGHT, r"expected a finite number"),
        ("\u0665 kt", q.SPEED, r"expected a speed"),
    ],
)
def test_what_cannot_be_read_is_answered_in_one_sentence(typed: object, kind: Kind, message: str) -> None:
    with pytest.raises(QuantityNotUnderstood, match=message):
        read_quantity(typed, kind)


def test_very_long_and_unprintable_text_is_cut_in_the_message() -> None:
    with pytest.raises(QuantityNotUnderstood, match=r"x\?\.\.\.|\.\.\.") as refusal:
        read_quantity("5 " + "x\x00" * 5000, q.SPEED)
    assert len(str(refusal.value)) < 250
    assert "\x00" not in str(refusal.value)


@pytest.mark.parametrize(
    "text", ["240 deg 8 kt", "240° 8 kt", "240\u00b0\u00a08\u00a0kt", "240deg 8kt", "240 deg, 8 kt"]
)
def test_a_wind_is_a_direction_and_a_speed(text: str) -> None:
    from_rad, speed_mps = read_wind(text)
    assert from_rad == pytest.approx(math.radians(240))
    assert speed_mps == pytest.approx(8 * 1852 / 3600)


def test_calm_is_a_wind() -> None:
    assert read_wind("calm") == (0.0, 0.0)


@pytest.mark.parametrize("typed", ["8 kt", "240/8", "240 deg", "8 kt 240 deg", 240, "", "240 deg 8 kt 5"])
def test_half_a_wind_is_refused(typed: object) -> None:
    with pytest.raises(QuantityNotUnderstood, match=r'expected a wind such as "240 deg 8 kt"'):
        read_wind(typed)


@pytest.mark.parametrize(
    ("value_si", "kind", "unit", "expected"),
    [
        (3650 * 0.45359237, q.WEIGHT, None, "3650 lb"),
        (762.0, q.HEIGHT, None, "2500 ft"),
        (762.0, q.HEIGHT, "m", "762 m"),
        (-math.radians(12.4), q.VARIATION, None, "12.4 deg W"),
        (math.radians(3), q.VARIATION, None, "3 deg E"),
        (291.15, q.TEMPERATURE, None, "18 degC"),
        (273.15, q.TEMPERATURE, None, "0 degC"),
        (0.1, q.PERCENTAGE, None, "10 %"),
    ],
)
def test_a_quantity_is_written_as_a_person_would_type_it(
    value_si: float, kind: Kind, unit: str | None, expected: str
) -> None:
    assert write_quantity(value_si, kind, unit) == expected


@given(st.sampled_from(q.KINDS), st.data())
def test_what_was_written_reads_back_to_the_precision_it_was_written_with(kind: Kind, data: st.DataObject) -> None:
    unit = data.draw(st.sampled_from(kind.units))
    number = data.draw(st.floats(-1e6, 1e6))
    value_si = unit.nought_si + number * unit.size_si
    back = read_quantity(write_quantity(value_si, kind, unit.name), kind)
    last_digit_si = abs(unit.size_si) * 10.0**-unit.decimals
    assert abs(back - value_si) <= 0.5 * last_digit_si + 1e-9 * abs(value_si)


@given(st.sampled_from(q.KINDS), st.text(max_size=30))
def test_no_text_ever_reads_as_anything_but_a_finite_number(kind: Kind, text: str) -> None:
    try:
        value = read_quantity(text, kind)
    except QuantityNotUnderstood as refusal:
        value = 0.0
        said = (refusal.found, refusal.expected, refusal.remedy)
    else:
        said = ("", "", "")
    assert math.isfinite(value)
    assert all(said) or not any(said)


def test_writing_refuses_what_is_not_a_number_or_not_a_unit_of_the_kind() -> None:
    with pytest.raises(ValueError, match="cannot be written as a height"):
        write_quantity(math.nan, q.HEIGHT)
    with pytest.raises(ValueError, match="cannot be written as a height in kg"):
        write_quantity(1.0, q.HEIGHT, "kg")


def test_no_kind_spells_two_units_the_same_way() -> None:
    for kind in q.KINDS:
        spellings = [name for unit in kind.units for name in {unit.name.lower(), *unit.spellings}]
        assert len(spellings) == len(set(spellings)), kind.name
        assert math.isfinite(read_quantity(kind.example, kind))
