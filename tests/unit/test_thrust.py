"""Thrust at part throttle: linear in manifold pressure, less where the air holds back, nothing made of nothing."""

from __future__ import annotations

import pytest

from volplane.domain.airplane.airplane import Engine
from volplane.domain.airplane.thrust import (
    AirState,
    blade_drag_power_w,
    brake_power_w,
    driving_manifold_pressure_pa,
    powerplant,
    thrust_power_w,
)
from volplane.domain.atmosphere import isa
from volplane.units import CUBIC_INCH_M3, HORSEPOWER_W, INCH_OF_MERCURY_PA, RPM_RADPS

IN = INCH_OF_MERCURY_PA
AIR = AirState(float(isa.pressure_pa(762.0)), float(isa.temperature_k(762.0)))
ENGINE = Engine(300.0 * HORSEPOWER_W, 29.0 * IN, 2700.0 * RPM_RADPS, 540.0 * CUBIC_INCH_M3, propeller_diameter_m=2.0)
PLANT = powerplant(ENGINE, 1655.0)
SPEED = 2300.0 * RPM_RADPS


def test_power_is_a_straight_line_in_manifold_pressure() -> None:
    low, middle, high = (thrust_power_w(PLANT, inches * IN, SPEED, 55.0, AIR) for inches in (10.0, 14.0, 18.0))
    assert high - middle == pytest.approx(middle - low)
    assert high > middle > low


def test_pumping_is_the_pressure_difference_times_the_volume_drawn_in() -> None:
    # 13.3 in short of the air outside, half a displacement a turn: by hand 45.0 kPa x 0.00885 m3 x 19.17 a second
    free = AirState(14.0 * IN, AIR.temperature_k)
    lost_w = brake_power_w(PLANT, 14.0 * IN, SPEED, free) - brake_power_w(PLANT, 14.0 * IN, SPEED, AIR)
    assert lost_w == pytest.approx((AIR.pressure_pa - 14.0 * IN) * 0.008849 * 38.333 / 2.0, rel=1e-3)


def test_blades_of_a_propeller_in_place_take_the_textbook_eighth() -> None:
    # without airspeed the integral is a quarter: sigma c_d / 8 rho A (tip speed)^3
    at_rest_w = blade_drag_power_w(PLANT, SPEED, 0.0, AIR)
    tip_mps = SPEED * 1.0
    assert at_rest_w == pytest.approx(0.12 * 0.014 / 8.0 * AIR.density_kgpm3 * 3.14159 * tip_mps**3, rel=0.005)
    assert blade_drag_power_w(PLANT, SPEED, 55.0, AIR) > at_rest_w


def test_below_the_driving_manifold_pressure_the_propeller_drives_the_engine() -> None:
    least_pa = driving_manifold_pressure_pa(PLANT, SPEED, AIR)
    assert brake_power_w(PLANT, least_pa, SPEED, AIR) == pytest.approx(0.0, abs=1e-6)
    assert brake_power_w(PLANT, least_pa - IN, SPEED, AIR) < 0.0 < brake_power_w(PLANT, least_pa + IN, SPEED, AIR)


def test_an_engine_nobody_described_is_estimated_and_says_which_figures() -> None:
    plant = powerplant(Engine(), 1655.0)
    assert len(plant.estimates) == 5
    assert powerplant(ENGINE, 1655.0).estimates == frozenset()
    # 3,650 lb of maximum weight and some 300 hp go together
    assert plant.rated_power_w == pytest.approx(300.0 * HORSEPOWER_W, rel=0.01)
