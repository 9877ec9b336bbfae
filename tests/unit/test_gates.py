"""The gate finder on paths whose gates are known from geometry."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from volplane.domain.exercise.exercise import GateName
from volplane.domain.exercise.gates import GateCrossing, find_gates, high_keys, low_keys

Array = NDArray[np.float64]
RADIUS_M = 500.0
SPEED_MPS = 50.0


def overhead(side: int = 1, step_s: float = 0.25, upwind_m: float = 200.0, downwind_m: float = 600.0) -> list[Array]:
    """An overhead exercise of exact arcs: time, x, y, track, bank; side +1 is a left pattern, high key on y = 0."""
    quarter = math.pi / 2.0
    legs = [(400.0 + upwind_m, 0.0), (RADIUS_M * 2.0 * quarter, 1.0), (upwind_m + downwind_m, 0.0)]
    legs += [(RADIUS_M * quarter, 1.0), (200.0, 0.0), (RADIUS_M * quarter, 1.0), (900.0, 0.0)]
    length = sum(each for each, _ in legs)
    s = np.arange(0.0, length, step_s * SPEED_MPS)
    edges = np.cumsum([0.0] + [each for each, _ in legs])
    x, y, track, bank = np.zeros_like(s), np.zeros_like(s), np.zeros_like(s), np.zeros_like(s)
    px, py, heading = -400.0, 0.0, 0.0
    for (leg, turning), start in zip(legs, edges, strict=False):
        inside = (s >= start) & (s < start + leg)
        along = s[inside] - start
        if turning:
            new = heading + along / RADIUS_M
            x[inside] = px + RADIUS_M * (np.sin(new) - math.sin(heading))
            y[inside] = py - RADIUS_M * (np.cos(new) - math.cos(heading))
            track[inside], bank[inside] = new, -0.4
            px += RADIUS_M * (math.sin(heading + leg / RADIUS_M) - math.sin(heading))
            py -= RADIUS_M * (math.cos(heading + leg / RADIUS_M) - math.cos(heading))
            heading += leg / RADIUS_M
        else:
            x[inside], y[inside] = px + along * math.cos(heading), py + along * math.sin(heading)
            track[inside] = heading
            px, py = px + leg * math.cos(heading), py + leg * math.sin(heading)
    return [s / SPEED_MPS, x, side * y, side * track, side * bank]


def named(gates: tuple[GateCrossing, ...]) -> dict[GateName, GateCrossing]:
    return {gate.name: gate for gate in gates}


@pytest.mark.parametrize("side", [1, -1])
@pytest.mark.parametrize("step_s", [0.1, 0.9])
def test_the_gates_of_an_exact_exercise_lie_where_geometry_puts_them(side: int, step_s: float) -> None:
    gates = named(find_gates(*overhead(side, step_s)))
    assert list(gates) == [GateName.HIGH_KEY, GateName.LOW_KEY, GateName.BASE_KEY, GateName.FINAL]
    high, low, base, final = gates.values()
    assert (high.time_s, high.x_m, high.y_m) == pytest.approx((8.0, 0.0, 0.0), abs=1e-9)
    arc_s = math.pi * RADIUS_M / SPEED_MPS
    assert low.time_s == pytest.approx((400.0 + 200.0 + 200.0) / SPEED_MPS + arc_s, abs=1e-9)
    assert (low.x_m, low.y_m) == pytest.approx((0.0, side * 2.0 * RADIUS_M), abs=1e-9)
    assert abs(low.track_rad) == pytest.approx(math.pi, abs=1e-12)
    # the base key is the end of the first quarter of the base turn: a chord of the arc is all that sampling can miss
    chord_m = (step_s * SPEED_MPS) ** 2 / (8.0 * RADIUS_M)
    assert base.x_m == pytest.approx(-600.0 - RADIUS_M, abs=step_s * SPEED_MPS * 0.02 + chord_m)
    assert base.time_s == pytest.approx(low.time_s + (600.0 + RADIUS_M * math.pi / 2.0) / SPEED_MPS, abs=step_s)
    # bank goes from 0.4 rad to level within the sample that ends the turn onto final
    turn_done_s = base.time_s + (200.0 + RADIUS_M * math.pi / 2.0) / SPEED_MPS
    assert final.time_s == pytest.approx(turn_done_s, abs=2.0 * step_s)
    assert abs(final.bank_rad) <= math.radians(10.0) + 1e-12


def test_a_path_that_starts_at_the_high_key_has_it() -> None:
    time, x, y, track, bank = (channel[32:] for channel in overhead(step_s=0.25))
    assert x[0] == pytest.approx(0.0, abs=1e-9)
    assert named(find_gates(time, x, y, track, bank))[GateName.HIGH_KEY].time_s == pytest.approx(time[0], abs=1e-9)
    # the touchdown point passed on final is the other place that could be one
    assert [gate.time_s for gate in high_keys(time, x, y, track, bank)] == pytest.approx([time[0], 106.8], abs=0.1)


def test_the_last_low_key_counts_and_the_high_key_lies_before_it() -> None:
    one = overhead()
    again = [
        np.concatenate([channel, channel + (one[0][-1] + 1.0 if index == 0 else 0.0)])
        for index, channel in enumerate(one)
    ]
    gates = named(find_gates(*again))
    assert gates[GateName.LOW_KEY].time_s > one[0][-1]
    assert one[0][-1] < gates[GateName.HIGH_KEY].time_s < gates[GateName.LOW_KEY].time_s
    assert len(low_keys(*again)) == 2


def test_a_high_key_more_than_1500_ft_from_the_planned_offset_is_none() -> None:
    time, x, y, track, bank = overhead()
    beside = 1500.0 * 0.3048
    assert GateName.HIGH_KEY in named(find_gates(time, x, y, track, bank, planned_high_key_y_m=beside - 0.1))
    assert GateName.HIGH_KEY not in named(find_gates(time, x, y, track, bank, planned_high_key_y_m=beside + 0.1))


@pytest.mark.parametrize("off_deg, is_gate", [(44.9, True), (45.1, False)])
def test_the_low_key_takes_tracks_within_45_degrees_of_downwind(off_deg: float, is_gate: bool) -> None:
    track_rad = math.pi - math.radians(off_deg)
    along = np.linspace(-100.0, 100.0, 11)
    gates = find_gates(
        along + 100.0,
        along * math.cos(track_rad),
        1000.0 + along * math.sin(track_rad),
        np.full(11, track_rad),
        np.zeros(11),
    )
    assert [gate.name for gate in gates] == ([GateName.LOW_KEY] if is_gate else [])


@pytest.mark.parametrize("off_deg, is_gate", [(59.9, True), (60.1, False)])
def test_the_high_key_takes_tracks_within_60_degrees_of_the_landing_direction(off_deg: float, is_gate: bool) -> None:
    track_rad = -math.radians(off_deg)
    along = np.linspace(-100.0, 100.0, 11)
    found = high_keys(
        along, along * math.cos(track_rad), along * math.sin(track_rad), np.full(11, track_rad), np.zeros(11)
    )
    assert len(found) == is_gate


def test_final_needs_both_a_small_track_angle_and_a_small_bank() -> None:
    # from the base key at t = 1 the track comes round at 10 degrees a second, the bank goes out between t = 12 and 13
    time = np.arange(0.0, 20.0)
    track = np.radians(np.clip(-100.0 + 10.0 * time, None, 0.0))
    bank = np.radians(np.where(time < 12.5, -30.0, 0.0))
    x = np.where(time < 0.5, 10.0, -10.0 - time)
    track[0] = math.pi
    track[1] = -math.pi + 0.2
    track = np.unwrap(track)
    gates = named(find_gates(time, x, np.full(20, 500.0), track, bank))
    assert gates[GateName.FINAL].time_s == pytest.approx(12.0 + 20.0 / 30.0, abs=1e-12)
    level = named(find_gates(time, x, np.full(20, 500.0), track, np.zeros(20)))
    assert level[GateName.FINAL].time_s == pytest.approx(9.0, abs=1e-9)


def test_wrapped_and_unwrapped_tracks_give_the_same_gates() -> None:
    time, x, y, track, bank = overhead(side=-1)
    wrapped = np.arctan2(np.sin(track), np.cos(track))
    for one, other in zip(find_gates(time, x, y, track, bank), find_gates(time, x, y, wrapped, bank), strict=True):
        assert one.name is other.name
        assert one.time_s == pytest.approx(other.time_s, abs=1e-9)


def test_a_path_without_a_low_key_has_no_gates() -> None:
    time = np.arange(0.0, 60.0)
    assert find_gates(time, -1000.0 + 50.0 * time, np.zeros(60), np.zeros(60), np.zeros(60)) == ()
