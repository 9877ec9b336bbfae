"""Table A: the standard atmosphere, airspeeds, density altitude and the altimeter."""

from __future__ import annotations

import pytest

from tests.checks.records import Check, assert_check, check
from volplane import units
from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.atmosphere.atmosphere import Atmosphere, density_altitude_m

RP_1046 = "Gracey, Measurement of Aircraft Speed and Altitude, NASA Reference Publication 1046, 1980, tables"
US_1976 = "US Standard Atmosphere, 1976, table I, geometric altitude"
PILOTS_LIBRARY = "published test set of a pilots' calculation library"
COMPRESSIBLE = "compressible pitot equation and ISA, computed independently"


A1 = check("A1", "pressure at 5,000 ft", 24.8959, "inHg", 0.00025, "1e-5 of the value", RP_1046, "PV")


def test_standard_pressure_at_5000_ft() -> None:
    assert_check(A1, units.inhg_from_pa(isa.pressure_pa(units.m_from_ft(5000.0))))


A2A = check("A2a", "density at 8,000 ft", 0.06011, "lb/ft3", 6e-06, "1e-4 of the value", RP_1046, "PV")
A2B = check("A2b", "pressure at 8,000 ft", 22.225, "inHg", 0.0005, "printed to three decimals", RP_1046, "PV")


def test_standard_density_and_pressure_at_8000_ft() -> None:
    height_m = units.m_from_ft(8000.0)
    assert_check(A2A, isa.density_kgpm3(height_m) / units.POUND_PER_CUBIC_FOOT_KGPM3)
    assert_check(A2B, units.inhg_from_pa(isa.pressure_pa(height_m)))


A3A = check("A3a", "temperature at 10,000 ft", 268.338, "K", 0.0005, "printed to that digit", RP_1046, "PV")
A3B = check("A3b", "speed of sound at sea level", 661.48, "kt", 0.005, "printed to that digit", RP_1046, "PV")


def test_standard_temperature_at_10000_ft_and_speed_of_sound_at_sea_level() -> None:
    assert_check(A3A, isa.temperature_k(units.m_from_ft(10000.0)))
    assert_check(A3B, units.kt_from_mps(isa.speed_of_sound_mps(isa.SEA_LEVEL_TEMPERATURE_K)))


GEOMETRIC_DENSITIES = [
    (height_m, check(f"A4{letter}", f"density at {height_m:,} m geometric", value, "kg/m3", 5e-5, why, US_1976, "PV"))
    for why in ["printed to four decimals; geopotential heights differ by more from 5,000 m up"]
    for letter, height_m, value in [
        ("a", 1000, 1.1117),
        ("b", 2000, 1.0066),
        ("c", 3000, 0.9093),
        ("d", 5000, 0.7364),
        ("e", 10000, 0.4135),
    ]
]


@pytest.mark.parametrize("height_m, record", GEOMETRIC_DENSITIES)
def test_density_at_geometric_heights(height_m: int, record: Check) -> None:
    assert_check(record, isa.density_kgpm3(isa.geopotential_m_from_geometric_m(float(height_m))))


def test_geometric_and_geopotential_heights_are_told_apart() -> None:
    _, record = GEOMETRIC_DENSITIES[-1]
    assert not record.meets(isa.density_kgpm3(10000.0))


def _density_altitude_m(elevation_m: float, temperature_k: float, qnh_pa: float, dew_k: float | None = None) -> float:
    return density_altitude_m(elevation_m + isa.pressure_altitude_m(qnh_pa), temperature_k, dew_k)


A5 = check(
    "A5", "density altitude, 6,000 ft, 75 F, 29.80 inHg", 8492.0, "ft", 1.0, "printed to a foot", PILOTS_LIBRARY, "PV"
)


def test_density_altitude_of_a_hot_high_field() -> None:
    altitude_m = _density_altitude_m(units.m_from_ft(6000.0), units.k_from_degf(75.0), units.pa_from_inhg(29.80))
    assert_check(A5, units.ft_from_m(altitude_m))


def test_the_air_column_knows_the_same_density_altitude() -> None:
    air = Atmosphere(units.m_from_ft(6000.0), units.k_from_degf(75.0), units.pa_from_inhg(29.80))
    assert_check(A5, units.ft_from_m(air.density_altitude_m(0.0)))


A6A = check(
    "A6a", "density altitude, 5,000 ft, 0 C, 29.50 inHg", 4875.0, "ft", 1.0, "printed to a foot", PILOTS_LIBRARY, "PV"
)
A6B = check(
    "A6b", "density altitude, 9,080 ft, 13 C, 1024 hPa", 10554.0, "ft", 1.0, "printed to a foot", PILOTS_LIBRARY, "PV"
)


def test_density_altitude_of_a_cold_field_and_of_a_mountain_strip() -> None:
    cold_m = _density_altitude_m(units.m_from_ft(5000.0), units.k_from_degc(0.0), units.pa_from_inhg(29.50))
    high_m = _density_altitude_m(units.m_from_ft(9080.0), units.k_from_degc(13.0), units.pa_from_hpa(1024.0))
    assert_check(A6A, units.ft_from_m(cold_m))
    assert_check(A6B, units.ft_from_m(high_m))


A7A = check(
    "A7a",
    "density altitude, 7,000 ft, 75 F, 29.75 inHg, dew point 45 F",
    9921.0,
    "ft",
    2.0,
    "formulas of vapour pressure differ by 0.2 %, worth 2 ft",
    PILOTS_LIBRARY,
    "P",
)
A7B = check(
    "A7b",
    "density altitude, 2,000 m, 20 C, 999 hPa, dew point 10 C",
    2829.0,
    "m",
    1.0,
    "formulas of vapour pressure differ by 0.2 %, worth 2 ft",
    PILOTS_LIBRARY,
    "P",
)


def test_damp_air_is_thinner() -> None:
    first_m = _density_altitude_m(
        units.m_from_ft(7000.0), units.k_from_degf(75.0), units.pa_from_inhg(29.75), units.k_from_degf(45.0)
    )
    second_m = _density_altitude_m(2000.0, units.k_from_degc(20.0), 99900.0, units.k_from_degc(10.0))
    assert_check(A7A, units.ft_from_m(first_m))
    assert_check(A7B, second_m)


def _ktas(kcas: float, pressure_altitude_ft: float, temperature_k: float | None = None) -> float:
    height_m = units.m_from_ft(pressure_altitude_ft)
    temperature = isa.temperature_k(height_m) if temperature_k is None else temperature_k
    return units.kt_from_mps(
        airspeed.tas_mps_from_cas_mps(units.mps_from_kt(kcas), isa.pressure_pa(height_m), temperature)
    )


A8A = check("A8a", "400 KCAS at 30,000 ft, ISA", 602.6, "kt TAS", 0.05, "printed to a tenth", RP_1046, "PV")
A8B = check(
    "A8b",
    "400 KCAS at 30,000 ft, -70 F",
    586.266,
    "kt TAS",
    0.02,
    "the shock past Mach 1, neglected here, takes 3e-5 of the total pressure",
    RP_1046,
    "PV",
)


def test_true_airspeed_at_the_speed_of_sound() -> None:
    assert_check(A8A, _ktas(400.0, 30000.0))
    assert_check(A8B, _ktas(400.0, 30000.0, units.k_from_degf(-70.0)))


A9 = check("A9", "impact pressure at 100 kt", 34.0493, "psf", 0.0007, "2e-5 of the value", RP_1046, "PV")


def test_impact_pressure_at_100_knots() -> None:
    got = airspeed.impact_pressure_pa(units.mps_from_kt(100.0)) / units.POUND_PER_SQUARE_FOOT_PA
    assert_check(A9, got)


TRUE_AIRSPEEDS = [
    (
        kcas,
        feet,
        check(f"A10{letter}", f"{kcas} KCAS at {feet:,} ft, ISA", ktas, "kt TAS", 0.02, why, COMPRESSIBLE, "C"),
    )
    for why in ["two decimals, each of two rounded steps"]
    for letter, kcas, feet, ktas in [
        ("a", 100, 5000, 107.67),
        ("b", 100, 10000, 116.22),
        ("c", 105, 5000, 113.04),
        ("d", 110, 8000, 123.93),
    ]
]


@pytest.mark.parametrize("kcas, feet, record", TRUE_AIRSPEEDS)
def test_true_airspeed_from_calibrated(kcas: int, feet: int, record: Check) -> None:
    assert_check(record, _ktas(kcas, feet))


@pytest.mark.parametrize("kcas, feet, record", TRUE_AIRSPEEDS)
def test_the_air_column_gives_the_same_true_airspeed(kcas: int, feet: int, record: Check) -> None:
    height_m = units.m_from_ft(feet)
    air = Atmosphere.standard(0.0)
    assert_check(record, units.kt_from_mps(air.tas_mps_from_cas_mps(units.mps_from_kt(kcas), height_m)))


A11 = check(
    "A11",
    "true height of 1,000 ft of pressure altitude near 5,000 ft, ISA + 15",
    1053.9,
    "ft",
    0.1,
    "printed to a tenth",
    "tapeline correction dh = dh_p T/T_std of flight-test reduction, formula from memory",
    "C",
)


def test_the_altimeter_shows_less_than_the_height_climbed_in_warm_air() -> None:
    elevation_m = units.m_from_ft(5000.0)
    air = Atmosphere(elevation_m, isa.temperature_k(elevation_m) + 15.0, isa.SEA_LEVEL_PRESSURE_PA)
    height_m = air.height_above_field_m_from_altimeter_m(elevation_m + units.m_from_ft(1000.0))
    assert_check(A11, units.ft_from_m(height_m))


A12A = check(
    "A12a",
    "pressure change from sea level to 1,000 ft",
    1.066,
    "inHg",
    0.0005,
    "printed to three decimals",
    "ISA, computed independently; 'about 1 in per 1,000 ft' is printed in handbooks",
    "C",
)
A12B = check(
    "A12b",
    "pressure change from 2,000 ft to 3,000 ft",
    1.004,
    "inHg",
    0.0005,
    "printed to three decimals",
    "ISA, computed independently; 'about 1 in per 1,000 ft' is printed in handbooks",
    "C",
)


def test_pressure_falls_by_about_an_inch_per_thousand_feet() -> None:
    air = Atmosphere.standard(0.0)
    at_ft = {feet: units.inhg_from_pa(air.pressure_pa(units.m_from_ft(feet))) for feet in (0.0, 1e3, 2e3, 3e3)}
    assert_check(A12A, at_ft[0.0] - at_ft[1e3])
    assert_check(A12B, at_ft[2e3] - at_ft[3e3])
