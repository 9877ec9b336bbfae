"""What must hold for every recording, gate and verdict, whatever the numbers."""

from __future__ import annotations

import dataclasses
import itertools
import math

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.faces import fixtures
from tests.unit.debrief_flights import FACTS, Made, fly, plan_for, recorded
from tests.unit.test_gates import overhead
from volplane.domain.debrief.debrief import debrief_track
from volplane.domain.debrief.in_hand import verdict_text
from volplane.domain.debrief.results import Attempt, VerdictText
from volplane.domain.exercise.gates import find_gates
from volplane.domain.geometry.airfield import Side
from volplane.domain.track.cleaning import cleaned, growing
from volplane.domain.track.smoothing import smooth
from volplane.domain.track.track import AltitudeSource, Track

FEW = settings(max_examples=5, deadline=None)


def flown(made: Made, bearing_rad: float | None = None) -> Attempt:
    """The one exercise of a made flight, over the runway turned to a bearing."""
    exercise = fixtures.exercise(made.side)
    if bearing_rad is not None:
        exercise = dataclasses.replace(
            exercise, runway=dataclasses.replace(exercise.runway, bearing_true_rad=bearing_rad)
        )
    (attempt,) = debrief_track(recorded(fly(made), exercise), exercise, FACTS, plan_of=plan_for).attempts
    return attempt


@FEW
@given(st.floats(0.0, 2.0 * math.pi))
def test_turning_runway_and_flight_together_changes_nothing(bearing_rad: float) -> None:
    made = Made(wind_low_mps=(-4.0, 1.0), wind_high_mps=(-9.0, 3.0))
    here, there = flown(made), flown(made, bearing_rad)
    assert here.verdict is not None
    assert there.verdict is not None
    assert there.verdict.in_hand_m == pytest.approx(here.verdict.in_hand_m, abs=0.5)
    assert there.verdict.sd_m == pytest.approx(here.verdict.sd_m, abs=0.5)
    for one, other in zip(here.gates, there.gates, strict=True):
        assert other.time_s == pytest.approx(one.time_s, abs=0.01)
        assert other.height_m == pytest.approx(one.height_m, abs=0.01)


@FEW
@given(st.floats(-7.0, 3.0), st.floats(-4.0, 4.0))
def test_the_mirrored_flight_has_the_mirrored_debrief(along_mps: float, across_mps: float) -> None:
    wind = (along_mps, across_mps)
    left = flown(Made(wind_low_mps=wind, wind_high_mps=wind))
    right = flown(Made(side=Side.RIGHT, wind_low_mps=wind, wind_high_mps=wind))
    assert (left.verdict is None) == (right.verdict is None)
    if left.verdict is not None and right.verdict is not None:
        # the scatter of the fixes is the same and not mirrored, so the two agree as well as one flight is known
        apart = abs(left.verdict.in_hand_m - right.verdict.in_hand_m)
        assert apart < 3.0 * math.hypot(left.verdict.sd_m, right.verdict.sd_m)
    assert [gate.height_m for gate in right.gates] == pytest.approx([gate.height_m for gate in left.gates], abs=6.0)


@FEW
@given(st.floats(-80.0, 250.0), st.floats(7.0, 11.0))
def test_the_budget_always_adds_up(touchdown_x_m: float, ratio: float) -> None:
    attempt = flown(Made(touchdown_x_m=touchdown_x_m, ratio=ratio))
    series = attempt.height_in_hand
    assert series is not None
    if attempt.budget:
        low = next(gate for gate in attempt.gates if gate.name == "low key")
        first = float(series.in_hand_m[series.time_s >= low.time_s][0])
        assert sum(item.height_m for item in attempt.budget) == pytest.approx(series.minimum_m - first, abs=1e-6)


@given(st.floats(-1e3, 1e3), st.floats(0.0, 200.0), st.floats(0.0, 500.0))
def test_more_height_in_hand_never_worsens_the_verdict(in_hand_m: float, sd_m: float, more_m: float) -> None:
    order = [VerdictText.WOULD_NOT_HAVE_MADE_IT, VerdictText.TOO_CLOSE_TO_CALL, VerdictText.MADE_IT]
    assert order.index(verdict_text(in_hand_m + more_m, sd_m)) >= order.index(verdict_text(in_hand_m, sd_m))
    # a bare sign decides nothing
    if sd_m > 0.0 and abs(in_hand_m) < sd_m:
        assert verdict_text(in_hand_m, sd_m) is VerdictText.TOO_CLOSE_TO_CALL


@given(
    st.sampled_from([1, -1]),
    st.floats(0.2, 1.0),
    st.floats(0.0, 600.0),
    st.floats(300.0, 1500.0),
    st.floats(-1e5, 1e5),
)
@settings(max_examples=40, deadline=None)
def test_gates_come_in_order_of_flying_and_move_with_the_clock(
    side: int, step_s: float, upwind_m: float, downwind_m: float, shift_s: float
) -> None:
    time, *rest = overhead(side, step_s, upwind_m, downwind_m)
    gates = find_gates(time, *rest)
    assert len(gates) == 4
    assert all(one.time_s < other.time_s for one, other in itertools.pairwise(gates))
    for one, other in zip(gates, find_gates(time + shift_s, *rest), strict=True):
        assert other.time_s - shift_s == pytest.approx(one.time_s, abs=1e-6)
        assert other.x_m == one.x_m


@given(st.lists(st.one_of(st.floats(-1e6, 1e6), st.just(math.nan)), min_size=1, max_size=60))
def test_times_kept_always_grow(times: list[float]) -> None:
    raw = np.array(times)
    keep, _ = growing(raw)
    assert (np.diff(raw[keep]) > 0.0).all()
    if np.isfinite(raw).any():
        assert keep.any()


@given(st.lists(st.tuples(st.integers(0, 99), st.floats(-0.5, 0.5)), max_size=8))
def test_a_cleaned_track_is_clean(faults: list[tuple[int, float]]) -> None:
    time = np.arange(100.0)
    latitude = 44.0 + 55.0 * time / 111_000.0
    for place, off in faults:
        latitude[place] += off
    track = Track(0.0, time, latitude, np.full(100, -40.0), 900.0 - 5.0 * time, AltitudeSource.GPS)
    clean, _ = cleaned(track)
    again, notes = cleaned(clean)
    assert not [note for note in notes if "left out" in note]
    assert again.time_s.tolist() == clean.time_s.tolist()
    # most of a recording survives a few wrong fixes
    assert len(clean.time_s) >= 100 - 2 * len(faults) - 1


@given(st.floats(-1e4, 1e4), st.floats(-1e4, 1e4))
@settings(max_examples=20, deadline=None)
def test_smoothing_moves_with_the_origin(x_m: float, y_m: float) -> None:
    rng = np.random.default_rng(7)
    time = np.arange(80.0)
    x, y = 50.0 * time + rng.normal(size=80), rng.normal(size=80)
    here, there = smooth(time, x, y, None), smooth(time, x + x_m, y + y_m, None)
    inside = slice(3, -3)
    assert there.x_m[inside] - x_m == pytest.approx(here.x_m[inside], abs=0.05)
    assert there.y_m[inside] - y_m == pytest.approx(here.y_m[inside], abs=0.05)
