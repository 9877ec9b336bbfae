"""The air column against an independent atmosphere library, and what it refuses."""

from __future__ import annotations

import dataclasses
import math

import ambiance
import numpy as np
import pytest

from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.atmosphere.atmosphere import Atmosphere, density_altitude_m, vapour_pressure_pa
from volplane.domain.atmosphere.refusals import (
    AirspeedNotSensible,
    OutsideTroposphere,
    PressureNotSensible,
    TemperatureNotSensible,
)

GEOMETRIC_M = np.linspace(-1000.0, 10900.0, 50)


def test_the_standard_atmosphere_agrees_with_an_independent_library() -> None:
    reference = ambiance.Atmosphere(GEOMETRIC_M)
    height_m = isa.geopotential_m_from_geometric_m(GEOMETRIC_M)
    np.testing.assert_allclose(height_m, reference.H, rtol=1e-12, atol=1e-9)
    np.testing.assert_allclose(isa.temperature_k(height_m), reference.temperature, rtol=1e-9)
    # the library starts its layer below sea level from a printed pressure, right to seven digits
    np.testing.assert_allclose(isa.pressure_pa(height_m), reference.pressure, rtol=5e-7)
    np.testing.assert_allclose(isa.density_kgpm3(height_m), reference.density, rtol=5e-7)
    np.testing.assert_allclose(isa.speed_of_sound_mps(isa.temperature_k(height_m)), reference.speed_of_sound, rtol=1e-7)


def test_heights_pressures_and_densities_go_there_and_back() -> None:
    height_m = np.linspace(-4900.0, 10900.0, 40)
    np.testing.assert_allclose(isa.pressure_altitude_m(isa.pressure_pa(height_m)), height_m, atol=1e-7)
    np.testing.assert_allclose(isa.altitude_m_of_density(isa.density_kgpm3(height_m)), height_m, atol=1e-7)
    there = isa.geopotential_m_from_geometric_m(height_m)
    np.testing.assert_allclose(isa.geometric_m_from_geopotential_m(there), height_m, atol=1e-7)


def test_one_height_gives_a_float_and_an_array_gives_its_own_shape() -> None:
    air = Atmosphere.standard(300.0)
    assert type(air.density_kgpm3(100.0)) is float
    assert type(air.tas_mps_from_cas_mps(50.0, 100.0)) is float
    assert type(air.altimeter_msl_m(np.float64(100.0))) is float
    assert air.density_kgpm3(np.zeros((2, 3))).shape == (2, 3)
    assert air.tas_mps_from_cas_mps(50.0, np.zeros((2, 3))).shape == (2, 3)


def test_the_standard_column_is_the_standard_atmosphere() -> None:
    air = Atmosphere.standard(500.0)
    height_m = np.linspace(-500.0, 3000.0, 8)
    np.testing.assert_allclose(air.pressure_pa(height_m), isa.pressure_pa(500.0 + height_m), rtol=1e-12)
    np.testing.assert_allclose(air.density_kgpm3(height_m), isa.density_kgpm3(500.0 + height_m), rtol=1e-12)
    np.testing.assert_allclose(air.density_altitude_m(height_m), 500.0 + height_m, atol=1e-7)
    np.testing.assert_allclose(air.pressure_altitude_m(height_m), 500.0 + height_m, atol=1e-9)
    np.testing.assert_allclose(air.density_ratio(-500.0), 1.0, rtol=1e-12)


def test_pressure_falls_by_the_weight_of_the_air_on_a_hot_day_too() -> None:
    air = Atmosphere(1200.0, 310.0, 99000.0)
    height_m = np.linspace(0.0, 2500.0, 2501)
    weight_pa = np.trapezoid(air.density_kgpm3(height_m) * 9.80665, height_m)
    assert air.pressure_pa(0.0) - air.pressure_pa(2500.0) == pytest.approx(weight_pa, rel=1e-6)


def test_the_altimeter_is_an_independent_look_up_of_the_pressure() -> None:
    # what the mechanism does: standard height of the pressure felt, less standard height of the pressure set
    air = Atmosphere(940 * 0.3048, 255.0, 98000.0)
    height_m = np.linspace(-200.0, 2500.0, 10)
    felt = ambiance.Atmosphere.from_pressure(air.pressure_pa(height_m)).H
    set_to = ambiance.Atmosphere.from_pressure(air.qnh_pa).H
    np.testing.assert_allclose(air.altimeter_msl_m(height_m), felt - set_to, atol=0.01)
    np.testing.assert_allclose(air.pressure_altitude_m(height_m), felt, atol=0.01)


def test_in_cold_air_the_airplane_is_lower_than_the_altimeter_says() -> None:
    cold = Atmosphere(300.0, 250.0, 101325.0)
    warm = Atmosphere(300.0, 310.0, 101325.0)
    assert cold.height_above_field_m_from_altimeter_m(1000.0) < 700.0
    assert warm.height_above_field_m_from_altimeter_m(1000.0) > 700.0


def test_dials_disagree_as_they_should_aloft_on_a_hot_day() -> None:
    air = Atmosphere(286.5, 303.15, 101325.0)
    eas_mps, tas_mps = air.eas_mps_from_cas_mps(56.0, 1500.0), air.tas_mps_from_cas_mps(56.0, 1500.0)
    assert 55.9 < eas_mps < 56.0 < tas_mps
    # the wing's own bookkeeping: equal dynamic pressure
    assert air.density_kgpm3(1500.0) * tas_mps**2 == pytest.approx(isa.SEA_LEVEL_DENSITY_KGPM3 * eas_mps**2, rel=1e-12)


def test_equivalent_airspeed_goes_there_and_back() -> None:
    cas_mps = np.linspace(0.0, 150.0, 16)
    eas_mps = airspeed.eas_mps_from_cas_mps(cas_mps, 70000.0)
    np.testing.assert_allclose(airspeed.cas_mps_from_eas_mps(eas_mps, 70000.0), cas_mps, atol=1e-9)
    impact = airspeed.impact_pressure_pa(cas_mps)
    np.testing.assert_allclose(airspeed.cas_mps_from_impact_pressure_pa(impact), cas_mps, atol=1e-9)


def test_mach_one_half() -> None:
    # (1 + 0.2 M^2)^3.5 - 1 at M = 0.5 is 0.18621, printed in every table of isentropic flow (from memory)
    assert airspeed.mach_ratio_from_cas_mps(0.5 * 340.294, 101325.0) == pytest.approx(0.5, abs=1e-5)
    assert airspeed.impact_pressure_pa(0.5 * 340.294) / 101325.0 == pytest.approx(0.18621, abs=1e-5)


def test_what_is_not_known_stays_not_known() -> None:
    air = Atmosphere.standard(0.0)
    height_m = np.array([100.0, math.nan])
    for answer in (
        air.density_kgpm3(height_m),
        air.altimeter_msl_m(height_m),
        air.density_altitude_m(height_m),
        air.tas_mps_from_cas_mps(50.0, height_m),
        air.cas_mps_from_tas_mps(50.0, height_m),
        air.height_above_field_m_from_altimeter_m(height_m),
    ):
        assert np.isfinite(answer[0])
        assert np.isnan(answer[1])


@pytest.mark.parametrize(
    "dew_point_k, pascal", [(273.16, 611.657), (283.15, 1228.2), (293.15, 2339.3), (303.15, 4247.0)]
)
def test_vapour_pressure_agrees_with_the_steam_tables(dew_point_k: float, pascal: float) -> None:
    # International Association for the Properties of Water and Steam, saturation line (from memory)
    assert vapour_pressure_pa(dew_point_k) == pytest.approx(pascal, rel=2e-3)


def test_a_dew_point_above_the_temperature_is_saturation() -> None:
    assert density_altitude_m(1000.0, 290.0, 295.0) == density_altitude_m(1000.0, 290.0, 290.0)


def test_the_compiled_density_is_the_same() -> None:
    from volplane.domain.atmosphere.air_kernel import density_kgpm3

    air = Atmosphere(650.0, 301.0, 100500.0)
    for height_m in (-600.0, 0.0, 123.4, 2500.0):
        got = density_kgpm3(height_m, *air.kernel_parameters()[:2])
        assert got == pytest.approx(air.density_kgpm3(height_m), rel=1e-13)
    assert air.kernel_parameters().lapse_k_per_m == pytest.approx(air.temperature_k(0.0) - air.temperature_k(1.0))


def test_a_value_cannot_be_changed() -> None:
    with pytest.raises(dataclasses.FrozenInstanceError, match="qnh_pa"):
        Atmosphere.standard(0.0).qnh_pa = 1.0  # type: ignore[misc]


def test_a_setting_given_in_hectopascals_is_refused() -> None:
    with pytest.raises(PressureNotSensible, match="accepted from 85000 Pa to 109000 Pa") as refusal:
        Atmosphere(0.0, 288.15, 1013.25)
    assert refusal.value.pressure_pa == 1013.25


@pytest.mark.parametrize("temperature_k", [15.0, 170.0, 350.0])
def test_a_temperature_the_air_never_has_is_refused(temperature_k: float) -> None:
    with pytest.raises(TemperatureNotSensible, match="accepted from 180 K to 340 K") as refusal:
        Atmosphere(0.0, temperature_k, 101325.0)
    assert refusal.value.temperature_k == temperature_k


@pytest.mark.parametrize("values", [(math.nan, 288.15, 101325.0), (0.0, math.nan, 101325.0), (0.0, 288.15, math.nan)])
def test_a_column_of_unknown_air_is_refused(values: tuple[float, float, float]) -> None:
    with pytest.raises((OutsideTroposphere, TemperatureNotSensible, PressureNotSensible), match="nan"):
        Atmosphere(*values)


def test_heights_beyond_the_troposphere_are_refused() -> None:
    air = Atmosphere.standard(1000.0)
    assert air.temperature_k(10000.0) == pytest.approx(216.65)
    with pytest.raises(OutsideTroposphere, match="altitude 11001 m") as refusal:
        air.density_kgpm3(np.array([0.0, 10001.0]))
    assert refusal.value.highest_m == 11000.0
    with pytest.raises(OutsideTroposphere, match="altitude -5001 m"):
        air.altimeter_msl_m(-6001.0)


def test_in_very_cold_air_the_column_ends_where_it_would_be_too_cold() -> None:
    air = Atmosphere(0.0, 220.0, 101325.0)
    with pytest.raises(OutsideTroposphere, match="described from -5000 m to 6154 m"):
        air.temperature_k(7000.0)


def test_an_airspeed_that_is_negative_or_too_fast_is_refused() -> None:
    with pytest.raises(AirspeedNotSensible, match=r"airspeed -1\.0 m/s, accepted from 0 m/s to 357\.3 m/s"):
        airspeed.impact_pressure_pa(-1.0)
    with pytest.raises(AirspeedNotSensible, match=r"airspeed 400\.0 m/s"):
        Atmosphere.standard(0.0).cas_mps_from_tas_mps(np.array([50.0, 400.0]), 0.0)
    with pytest.raises(AirspeedNotSensible, match="airspeed"):
        airspeed.tas_mps_from_cas_mps(300.0, 30000.0, 230.0)
    with pytest.raises(AirspeedNotSensible, match="airspeed -"):
        airspeed.cas_mps_from_impact_pressure_pa(-100.0)


def test_a_pressure_of_nothing_is_refused() -> None:
    with pytest.raises(PressureNotSensible, match="pressure 0 Pa"):
        isa.pressure_altitude_m(0.0)
    with pytest.raises(OutsideTroposphere, match="altitude inf m"):
        isa.altitude_m_of_density(0.0)
