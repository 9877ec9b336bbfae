"""Check C14: power at full throttle falls with the density of the air."""

from __future__ import annotations

import pytest

from tests.checks.records import Check, assert_check, check
from volplane.domain.airplane.airplane import Engine
from volplane.domain.airplane.thrust import AirState, brake_power_w, fixed_throttle_pa, gagg_ferrar_factor, powerplant
from volplane.domain.atmosphere import isa
from volplane.units import HORSEPOWER_W, INCH_OF_MERCURY_PA, RPM_RADPS, m_from_ft

SOURCE = "Gagg and Ferrar, SAE 1934: 1.132 sigma - 0.132, recomputed independently"
POWER = [
    check(
        f"C14{letter}", f"full-throttle power at {altitude:,} ft", value, "1", 0.0001, "printed figures", SOURCE, "PV"
    )
    for letter, altitude, value in (
        ("a", 5000, 0.8434),
        ("b", 8000, 0.7577),
        ("c", 10000, 0.7040),
        ("d", 14000, 0.6038),
    )
]
CREEP = check(
    "A12c",
    "manifold pressure that 14 in gains over 1,000 ft of descent from 3,000 ft with the throttle left",
    0.51,
    "inHg",
    0.02,
    "pressure changes by 1.004 in between 2,000 and 3,000 ft, of 26.82 in; in proportion",
    "arithmetic on check A12: 14 x (27.82 / 26.82 - 1), computed independently",
    "C",
)


def air_at(altitude_ft: float) -> AirState:
    altitude_m = m_from_ft(altitude_ft)
    return AirState(float(isa.pressure_pa(altitude_m)), float(isa.temperature_k(altitude_m)))


@pytest.mark.parametrize(
    ("record", "altitude_ft"),
    list(zip(POWER, (5000, 8000, 10000, 14000), strict=True)),
    ids=lambda value: str(value)[:4],
)
def test_full_throttle_power_goes_with_the_density(record: Check, altitude_ft: float) -> None:
    density_ratio = air_at(altitude_ft).density_kgpm3 / isa.SEA_LEVEL_DENSITY_KGPM3
    assert_check(record, gagg_ferrar_factor(density_ratio))


def test_manifold_pressure_creeps_half_an_inch_a_thousand_feet_with_the_throttle_left() -> None:
    left_pa = fixed_throttle_pa(14.0 * INCH_OF_MERCURY_PA, air_at(3000.0), air_at(2000.0))
    assert_check(CREEP, left_pa / INCH_OF_MERCURY_PA - 14.0)


def test_rated_power_comes_out_at_rated_settings_in_standard_air_at_sea_level() -> None:
    plant = powerplant(
        Engine(rated_power_w=300.0 * HORSEPOWER_W, rated_manifold_pressure_pa=isa.SEA_LEVEL_PRESSURE_PA), 1650.0
    )
    sea_level = AirState(isa.SEA_LEVEL_PRESSURE_PA, isa.SEA_LEVEL_TEMPERATURE_K)
    power_w = brake_power_w(plant, isa.SEA_LEVEL_PRESSURE_PA, 2700.0 * RPM_RADPS, sea_level)
    assert power_w == pytest.approx(300.0 * HORSEPOWER_W)
