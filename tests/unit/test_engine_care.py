"""Engine care is advisory: what is told about power changed fast and a propeller that drives the engine."""

from __future__ import annotations

import numpy as np
import pytest

from volplane.domain.airplane.airplane import Engine
from volplane.domain.airplane.engine_care import EngineCareLimits, engine_care_findings, least_manifold_pressure_pa
from volplane.domain.airplane.thrust import AirState, powerplant
from volplane.domain.finding import Finding
from volplane.units import INCH_OF_MERCURY_PA, RPM_RADPS

IN = INCH_OF_MERCURY_PA
TIME = np.arange(0.0, 200.0)


def told(inches: np.ndarray, rpm: float = 2300.0) -> dict[str, Finding]:
    found = engine_care_findings(TIME, inches * IN, np.full(len(TIME), rpm * RPM_RADPS), 13.0 * IN)
    return {finding.code: finding for finding in found}


def test_a_gentle_descent_is_not_worth_a_word() -> None:
    assert told(np.linspace(22.0, 14.0, 200)) == {}


def test_a_throttle_closed_at_once_is_told_with_how_much_and_when() -> None:
    finding = told(np.where(TIME < 100.0, 22.0, 14.0))["power-reduced-fast"]
    assert finding.number("change_pa") == pytest.approx(8.0 * IN)
    assert finding.time_s is not None
    assert 84.0 <= finding.time_s <= 100.0
    # the same change over a minute is gentle
    assert told(np.clip(22.0 - (TIME - 100.0) * 8.0 / 60.0, 14.0, 22.0)) == {}


def test_a_throttle_pushed_open_in_a_second_is_told() -> None:
    assert set(told(np.where(TIME < 100.0, 14.0, 24.0))) == {"power-added-fast"}


def test_half_a_minute_below_the_least_is_told_and_less_is_not() -> None:
    long = told(np.interp(TIME, [0, 60, 100, 150, 190], [18.0, 14.0, 12.0, 12.0, 14.0]))
    assert set(long) == {"propeller-drives-engine"}
    assert long["propeller-drives-engine"].number("lowest_pa") == pytest.approx(12.0 * IN)
    assert told(np.interp(TIME, [0, 60, 80, 90, 110], [18.0, 14.0, 12.5, 12.5, 14.0])) == {}


def test_an_engine_that_does_not_turn_and_channels_that_are_not_there_say_nothing() -> None:
    assert told(np.where(TIME < 100.0, 22.0, 10.0), rpm=600.0) == {}
    assert told(np.full(len(TIME), np.nan)) == {}


def test_limits_are_settings() -> None:
    lenient = EngineCareLimits(reduction_pa=10.0 * IN)
    speed = np.full(len(TIME), 2300.0 * RPM_RADPS)
    assert engine_care_findings(TIME, np.where(TIME < 100.0, 22.0, 14.0) * IN, speed, 13.0 * IN, lenient) == ()


def test_the_airplanes_own_least_goes_before_the_models() -> None:
    plant, air = powerplant(Engine(), 1655.0), AirState(92500.0, 283.0)
    assert least_manifold_pressure_pa(plant, 240.0, air, 13.0 * IN) == 13.0 * IN
    assert 5.0 * IN < least_manifold_pressure_pa(plant, 240.0, air, None) < 10.0 * IN
