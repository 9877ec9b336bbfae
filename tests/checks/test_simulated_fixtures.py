"""Sixteen exercises of the independent simulation, by a panel and by a phone: the debrief against what was flown."""

from __future__ import annotations

import functools
import math

import numpy as np
import pytest

from tests.checks.records import Check, assert_check, check
from tests.simulator.fixtures import BY_NAME, FIXTURES
from tests.simulator.judged import Judged, Off, judged

SIMULATION = "jsbsim, six degrees of freedom, an airplane of its own collection, engine idling"
AIM = "the project's aim for this recorder"


def _off(id: str, quantity: str, unit: str, tolerance: float) -> Check:
    return check(id, quantity, 0.0, unit, tolerance, AIM, SIMULATION, "C")


WIND = {True: _off("H6a", "wind at 1,500 ft, panel", "kt", 4.0), False: _off("H6b", "the same, phone", "kt", 6.0)}
WIND_RMS = {
    True: _off("H6c", "wind at 1,500 ft over all, root mean square, panel", "kt", 2.0),
    False: _off("H6d", "the same, phone", "kt", 3.0),
}
GATES_RMS = {
    True: _off("H7a", "gate heights over all, root mean square, panel", "ft", 30.0),
    False: _off("H7b", "the same, phone", "ft", 60.0),
}
RATIO_RMS = _off("H8", "glide ratio over all, root mean square", "%", 5.0)


@functools.cache
def everything(*, is_panel: bool) -> tuple[Judged, ...]:
    """All fixtures by one recorder."""
    return tuple(judged(fixture, is_panel=is_panel) for fixture in FIXTURES)


def rms(values: list[float]) -> float:
    """Root of the mean square."""
    return math.sqrt(float(np.mean(np.square(values))))


def in_band(offs: list[Off]) -> float:
    """Share of truths inside the stated 90 % band."""
    return float(np.mean([off.is_in_90_band for off in offs]))


@pytest.mark.parametrize("is_panel", [True, False])
def test_a_shear_is_debriefed_as_it_was_flown(*, is_panel: bool) -> None:
    found = judged(BY_NAME["backing shear"], is_panel=is_panel)
    assert found.is_outcome_right
    assert_check(WIND[is_panel], found.wind_vector_kt())
    for off in found.gates_ft():
        assert_check(GATES_RMS[is_panel], off.by)


@pytest.mark.long
@pytest.mark.parametrize("is_panel", [True, False])
def test_every_outcome_is_right_and_wind_gates_and_glide_are_as_near_as_promised(*, is_panel: bool) -> None:
    flown = everything(is_panel=is_panel)
    assert [each.fixture.name for each in flown if not each.is_outcome_right] == []
    for each in flown:
        assert_check(WIND[is_panel], each.wind_vector_kt())
    assert_check(WIND_RMS[is_panel], rms([each.wind_vector_kt() for each in flown]))
    assert_check(GATES_RMS[is_panel], rms([off.by for each in flown for off in each.gates_ft()]))
    assert_check(RATIO_RMS, rms([each.ratio_percent().by for each in flown]))


@pytest.mark.long
@pytest.mark.parametrize("is_panel", [True, False])
def test_the_stated_bands_of_gates_wind_and_touchdown_hold(*, is_panel: bool) -> None:
    flown = everything(is_panel=is_panel)
    touchdowns = [off for each in flown if (off := each.touchdown_ft()) is not None]
    for offs in (
        [off for each in flown for off in each.gates_ft()],
        [off for each in flown for off in each.wind_kt()],
        touchdowns,
    ):
        assert in_band(offs) >= 0.8
