"""Reduction of partial glides against published rules."""

from __future__ import annotations

import math

import numpy as np

from tests.checks.records import assert_check, check
from tests.mornings import REFERENCE_KG, STILL, TruePolar, flown_glide
from volplane.domain.airplane import reduction
from volplane.domain.airplane.measured_glide import measure_glide
from volplane.domain.airplane.partial_glides import PartialGlide
from volplane.domain.atmosphere import isa
from volplane.domain.glide.polar import ParabolaPolar
from volplane.units import FOOT_M, KNOT_MPS, POUND_KG

TAPELINE = check(
    "A11-measured", "true height of 1,000 ft of pressure altitude near 5,000 ft, 15 degrees warm", 1053.9, "ft", 0.05,
    "printed to a tenth", "dh = dh_p T / T_std, standard flight-test reduction", "M",
)  # fmt: skip
WEIGHT = check(
    "C8-measured", "90 kt at 3,400 lb at the weight of 2,900 lb", 83.12, "kt", 0.02, "two decimals",
    "speed goes with the root of the weight", "P",
)  # fmt: skip
SLOW = check(
    "C5-measured-speed", "speed of least sink over best glide speed, measured", 0.7598, "", 0.004,
    "the exact glide angle moves the textbook's small-angle figure by some thousandths", "any textbook", "PV",
)  # fmt: skip
LEAST = check(
    "C5-measured-sink", "least sink over sink at best glide, measured", 0.8774, "", 0.004,
    "the exact glide angle moves the textbook's small-angle figure by some thousandths", "any textbook", "PV",
)  # fmt: skip


def test_warm_air_stretches_pressure_altitude() -> None:
    middle_m = 5000.0 * FOOT_M
    assert_check(TAPELINE, reduction.true_sink_mps(1000.0, middle_m, isa.temperature_k(middle_m) + 15.0))


def test_a_glide_of_a_lighter_airplane_is_moved_with_the_root_of_the_weight() -> None:
    # at sea level calibrated and equivalent airspeed are one; the glide's own slope changes its load factor alike
    flown = PartialGlide("", 90.0 * KNOT_MPS, 4.5, 120.0, 0.0, 288.15, 3400.0 * POUND_KG)
    at_own = reduction.reduced(flown, flown.weight_kg).eas_mps
    assert_check(WEIGHT, 90.0 * reduction.reduced(flown, 2900.0 * POUND_KG).eas_mps / at_own)


def test_a_measured_parabola_sinks_least_where_textbooks_say() -> None:
    random = np.random.default_rng(0)
    speeds = np.linspace(41.0, 75.0, 7)
    polar = TruePolar(54.0, 12.0)
    glides = [flown_glide(polar, speed, 0.0, STILL, random, reads_to_m=0.0) for speed in speeds]
    found = measure_glide(glides, ParabolaPolar(REFERENCE_KG, 50.0, 9.0), 30.0)
    assert_check(SLOW, found.minimum_sink_eas_mps / found.best_eas_mps)
    assert_check(LEAST, found.minimum_sink_mps / found.sink_at_best_mps)
    assert math.isclose(found.ratio, 12.0, rel_tol=0.002)
