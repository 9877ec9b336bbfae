"""What must be true of every measured glide, whatever the airplane, its weight and the morning."""

from __future__ import annotations

import math
from dataclasses import replace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from tests.mornings import REFERENCE_KG, STILL, Morning, TruePolar, flown_glide
from volplane.domain.airplane.measured_glide import MeasuredGlide, measure_glide
from volplane.domain.airplane.partial_glides import PartialGlide
from volplane.domain.glide.polar import ParabolaPolar

AIRPLANES = st.builds(TruePolar, st.floats(40.0, 62.0), st.floats(6.0, 14.0))
FEW = settings(max_examples=25, deadline=None)


def flown(polar: TruePolar, morning: Morning, seed: int, **how: float) -> list[PartialGlide]:
    random = np.random.default_rng(seed)
    return [
        flown_glide(polar, part * polar.best_mps, heading, morning, random, time_s=60.0, reads_to_m=0.0, **how)
        for part in (0.8, 0.95, 1.1, 1.35)
        for heading in (1.0, 1.0 + math.pi)
    ]


def measured(glides: list[PartialGlide], polar: TruePolar) -> MeasuredGlide:
    return measure_glide(glides, ParabolaPolar(REFERENCE_KG, 50.0, 9.0), 0.5 * polar.best_mps)


@FEW
@given(AIRPLANES, st.floats(0.75, 1.0), st.floats(-20.0, 20.0), st.floats(800.0, 3000.0))
def test_still_air_gives_every_airplane_back(polar: TruePolar, part: float, warmth_k: float, top_m: float) -> None:
    morning = replace(STILL, warmth_k=warmth_k)
    found = measured(flown(polar, morning, 0, weight_kg=part * REFERENCE_KG, top_m=top_m), polar)
    assert found.ratio == pytest.approx(polar.best_ratio, rel=2e-3)
    assert found.best_eas_mps == pytest.approx(polar.best_mps, rel=2e-3)
    assert found.minimum_sink_mps < found.sink_at_best_mps
    assert found.minimum_sink_eas_mps < found.best_eas_mps


@FEW
@given(AIRPLANES, st.integers(0, 1000), st.permutations(range(8)))
def test_the_order_of_the_glides_does_not_matter(polar: TruePolar, seed: int, order: list[int]) -> None:
    glides = flown(polar, Morning(), seed)
    one, other = measured(glides, polar), measured([glides[i] for i in order], polar)
    assert other.ratio == pytest.approx(one.ratio, rel=1e-6)
    assert other.ratio_sd == pytest.approx(one.ratio_sd, rel=1e-4)


@FEW
@given(AIRPLANES, st.integers(0, 1000), st.floats(0.0, 2.0 * math.pi))
def test_turning_the_map_turns_nothing(polar: TruePolar, seed: int, by_rad: float) -> None:
    glides = [
        replace(each, heading_true_rad=1.0 + math.pi * (i % 2)) for i, each in enumerate(flown(polar, Morning(), seed))
    ]
    turned = [replace(each, heading_true_rad=(each.heading_true_rad or 0.0) + by_rad) for each in glides]
    assert measured(turned, polar).ratio == pytest.approx(measured(glides, polar).ratio, rel=1e-6)


@FEW
@given(AIRPLANES, st.integers(0, 1000))
def test_more_glides_of_the_same_air_narrow_the_band(polar: TruePolar, seed: int) -> None:
    glides = flown(polar, Morning(), seed)
    one, three = measured(glides, polar), measured(glides * 3, polar)
    assert three.ratio_sd <= one.ratio_sd
    assert all(math.isfinite(sd) and sd > 0.0 for sd in (one.ratio_sd, one.best_eas_sd_mps, one.sink_at_best_sd_mps))
