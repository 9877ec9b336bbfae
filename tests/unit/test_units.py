"""Every converter is its own definition, there and back."""

from __future__ import annotations

import inspect
import itertools

import pytest

from volplane import units

CONVERTERS = {
    name: function
    for name, function in inspect.getmembers(units, inspect.isfunction)
    if "_from_" in name and function.__module__ == units.__name__
}
PAIRS = [
    (name, back)
    for name, back in itertools.permutations(CONVERTERS, 2)
    if name.split("_from_") == back.split("_from_")[::-1]
]


@pytest.mark.parametrize("there, back", PAIRS)
@pytest.mark.parametrize("value", [-40.0, 0.0, 1.0, 1013.25])
def test_there_and_back_is_the_same_number(there: str, back: str, value: float) -> None:
    assert CONVERTERS[back](CONVERTERS[there](value)) == pytest.approx(value, rel=1e-14, abs=1e-12)


# the definitions, by international agreement, written out in another form than the module's
@pytest.mark.parametrize(
    "got, expected",
    [
        (units.m_from_ft(10000.0), 3048.0),
        (units.nm_from_m(9260.0), 5.0),
        (units.m_from_nm(1.0), 1852.0),
        (units.mps_from_kt(3600.0), 1852.0),
        (units.kt_from_mps(1852.0), 3600.0),
        (units.fpm_from_mps(0.3048), 60.0),
        (units.mps_from_fpm(60.0), 0.3048),
        (units.kg_from_lb(100.0), 45.359237),
        (units.pa_from_hpa(1013.25), 101325.0),
        (units.k_from_degc(15.0), 288.15),
        (units.k_from_degf(59.0), 288.15),
        (units.degf_from_k(273.15), 32.0),
        (units.degf_from_k(units.k_from_degc(-40.0)), -40.0),
        (units.rad_from_deg(180.0), 3.141592653589793),
        (100.0 * units.KILOMETRE_PER_HOUR_MPS, 1000.0 / 36.0),
        (units.STATUTE_MILE_M, 1609.344),
    ],
)
def test_definitions(got: float, expected: float) -> None:
    assert got == pytest.approx(expected, rel=1e-14)


# printed to the digits given in NIST Special Publication 811, appendix B (from memory)
@pytest.mark.parametrize(
    "got, expected, relative",
    [
        (units.pa_from_inhg(1.0), 3386.389, 2e-7),
        (units.w_from_hp(1.0), 745.6999, 2e-7),
        (units.POUND_PER_SQUARE_FOOT_PA, 47.88026, 2e-7),
        (units.POUND_PER_CUBIC_FOOT_KGPM3, 16.01846, 3e-7),
        (units.CUBIC_INCH_M3, 1.638706e-5, 3e-7),
    ],
)
def test_derived_units_agree_with_the_published_factors(got: float, expected: float, relative: float) -> None:
    assert got == pytest.approx(expected, rel=relative)


def test_the_standard_setting_is_29_92_inches() -> None:
    assert round(units.inhg_from_pa(101325.0), 2) == 29.92


def test_a_revolution_per_minute() -> None:
    assert units.radps_from_rpm(60.0) == pytest.approx(6.283185307179586)
    assert units.rpm_from_radps(6.283185307179586) == pytest.approx(60.0)
