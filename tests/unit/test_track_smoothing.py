"""Smoothing finds the flight behind scattered fixes, and its uncertainty is honest."""

from __future__ import annotations

import math
import os
import subprocess
import sys

import numpy as np
import pytest
from numpy.typing import NDArray

from volplane.domain.track.smoothing import SmoothedFlight, scatter_m, smooth

Array = NDArray[np.float64]
SPEED_MPS, RADIUS_M = 55.0, 700.0


def truth(seconds: int = 200) -> tuple[Array, Array, Array, Array]:
    """A minute straight, then a level-bank left turn, sinking 5 m/s all the way."""
    time = np.arange(float(seconds))
    turned = np.maximum(time - 60.0, 0.0) * SPEED_MPS / RADIUS_M
    x = np.where(time < 60.0, SPEED_MPS * (time - 60.0), RADIUS_M * np.sin(turned))
    y = RADIUS_M * (1.0 - np.cos(turned))
    return time, x, y, 1000.0 - 5.0 * time


def scattered(seed: int, scatter: float = 1.0) -> tuple[Array, Array, Array, Array]:
    rng = np.random.default_rng(seed)
    time, x, y, height = truth()
    return time, *(channel + rng.normal(0.0, scatter, len(time)) for channel in (x, y, height))


def test_the_stated_deviation_of_place_and_height_is_the_real_one() -> None:
    _, x, _, height = truth()
    off_x, off_height, stated = [], [], []
    for seed in range(20):
        flight = smooth(*scattered(seed))
        inside = slice(10, -10)
        off_x.append((flight.x_m - x)[inside] / flight.position_sd_m[inside])
        off_height.append((flight.height_m - height)[inside] / flight.height_sd_m[inside])
        stated.append(flight.position_sd_m[100])
    assert np.std(off_x) == pytest.approx(1.0, abs=0.2)
    assert np.std(off_height) == pytest.approx(1.0, abs=0.25)
    # smoothing must be worth something against the metre of a single fix
    assert np.mean(stated) < 0.75


def test_velocity_turn_and_bank_come_out_of_positions_alone() -> None:
    flight = smooth(*scattered(5))
    turning = slice(80, 180)
    assert np.mean(flight.ground_speed_mps[turning]) == pytest.approx(SPEED_MPS, rel=0.01)
    assert np.mean(flight.climb_mps) == pytest.approx(-5.0, abs=0.05)
    expected = -math.atan(SPEED_MPS**2 / RADIUS_M / 9.80665)  # to the left: right wing up
    assert np.mean(flight.bank_rad()[turning]) == pytest.approx(expected, rel=0.03)
    assert np.abs(flight.bank_rad()[10:50]).max() < math.radians(5.0)


def test_a_turn_in_wind_has_the_bank_of_the_air_and_not_of_the_ground() -> None:
    # a circle in the moving air is a trochoid over the ground: the bank is the same all the way round
    time = np.arange(150.0)
    turned = time * SPEED_MPS / RADIUS_M
    x, y = RADIUS_M * np.sin(turned) + 10.0 * time, RADIUS_M * (1.0 - np.cos(turned))
    bank = smooth(time, x, y, None).bank_rad(10.0, 0.0)[10:-10]
    assert np.degrees(bank).max() - np.degrees(bank).min() < 0.6


def test_a_hole_is_bridged_with_the_uncertainty_it_has() -> None:
    time, x, y, height = scattered(2)
    keep = (time < 100.0) | (time > 112.0)
    flight = smooth(time[keep], x[keep], y[keep], height[keep])
    assert len(flight.time_s) == 200
    off = math.hypot(flight.x_m[106] - truth()[1][106], flight.y_m[106] - truth()[2][106])
    assert flight.position_sd_m[106] > 3.0 * flight.position_sd_m[60]
    assert off < 3.0 * math.sqrt(2.0) * flight.position_sd_m[106]


def test_scatter_is_read_from_the_recording() -> None:
    for scatter in (0.6, 1.5, 4.0):
        time, x, *_ = scattered(9, scatter)
        assert scatter_m(time, x, 10.0) == pytest.approx(scatter, rel=0.25)
    assert scatter_m(np.arange(4.0), np.zeros(4), 7.0) == 7.0


def test_a_track_without_heights_has_none_and_keeps_its_place() -> None:
    time, x, y, _ = scattered(1)
    flight = smooth(time, x, y, None)
    assert not flight.has_height
    assert np.isfinite(flight.x_m).all()


def test_sparse_and_uneven_fixes_are_put_on_whole_seconds() -> None:
    time, x, y, height = scattered(4)
    keep = np.sort(np.random.default_rng(4).choice(200, 70, replace=False))
    keep[0] = 0
    flight = smooth(time[keep], x[keep], y[keep], height[keep])
    assert np.diff(flight.time_s) == pytest.approx(1.0)
    inside = slice(5, -5)
    assert np.abs(flight.x_m - truth()[1][: len(flight.x_m)])[inside].max() < 12.0


def test_the_kernel_says_the_same_as_plain_python() -> None:
    program = (
        "from tests.unit.test_track_smoothing import scattered; from volplane.domain.track.smoothing import smooth; "
        "f = smooth(*scattered(3)); "
        "print(*(float(v).hex() for v in (f.x_m[77], f.climb_mps[50], f.position_sd_m[120])))"
    )
    plain = subprocess.run(
        [sys.executable, "-c", program], env={**os.environ, "VOLPLANE_PLAIN": "1"}, capture_output=True, check=True
    )
    flight = smooth(*scattered(3))
    numbers = [float.fromhex(text) for text in plain.stdout.decode().split()]
    assert [flight.x_m[77], flight.climb_mps[50], flight.position_sd_m[120]] == pytest.approx(numbers, rel=1e-9)


def test_the_turn_rate_is_the_one_flown() -> None:
    flight = smooth(*scattered(6))
    assert np.mean(flight.turn_rate_radps()[80:180]) == pytest.approx(SPEED_MPS / RADIUS_M, rel=0.03)
    assert abs(np.mean(flight.turn_rate_radps()[10:50])) < 0.003


def test_the_stated_deviation_of_the_bank_is_never_too_small_and_no_more_than_three_times_too_large() -> None:
    expected = np.where(truth()[0] < 60.0, 0.0, -math.atan(SPEED_MPS**2 / RADIUS_M / 9.80665))
    off = np.array([(flight.bank_rad() - expected) / flight.bank_sd_rad for flight in map(smooth_scattered, range(20))])
    steady = np.r_[10:54, 66:190]
    assert 1.0 / 3.0 < np.std(off[:, steady]) < 1.0
    # the turn of this path begins within no time at all, which no airplane can
    assert np.mean(np.abs(off[:, 10:190]) < 1.645) > 0.9


def smooth_scattered(seed: int) -> SmoothedFlight:
    return smooth(*scattered(seed))
