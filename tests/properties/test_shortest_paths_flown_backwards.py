"""Words flown backwards from the runway: the solver may never ask for more than the word that was flown."""

from __future__ import annotations

import math

import numpy as np
import pytest
from numpy.typing import NDArray

from volplane.domain.geometry.shortest_paths import WORDS

Floats = NDArray[np.float64]
# turns -1 right, 1 left, 0 straight, one row a word in the order of WORDS
HANDS = np.array([[{"L": 1.0, "R": -1.0, "S": 0.0}[piece] for piece in word] for word in WORDS])

RADIUS_M = 500.0
# the contract: every returned word, flown, ends within a millimetre
END_RADII = 1e-3 / RADIUS_M
# a flown word's start is known to rounding only, and at an edge of what a word can reach this is felt as its root
COST_RADII = 1e-6


def flown(word: NDArray[np.int64], legs: Floats, start: Floats, wind: Floats) -> tuple[Floats, Floats]:
    """Positions (n, 2) and headings (n,) after flying legs (n, 3) from the origin on headings (n,), radius and speed 1.

    Written with complex numbers, unlike the solver: the arc of hand s from heading h is -1j s (e^(i h') - e^(i h)).
    """
    place = np.zeros(word.size, dtype=complex)
    heading = start.copy()
    for piece in range(3):
        hand, leg = HANDS[word, piece], legs[:, piece]
        nose = np.exp(1j * heading)
        heading = heading + hand * leg
        place += np.where(hand == 0.0, leg * nose, -1j * hand * (np.exp(1j * heading) - nose))
    place += (wind[:, 0] + 1j * wind[:, 1]) * legs.sum(axis=1)
    return np.stack([place.real, place.imag], axis=1), heading


def cost_of(word: NDArray[np.int64], legs: Floats, turn_cost: Floats) -> Floats:
    weights = np.where(HANDS[word] == 0.0, 1.0, turn_cost[:, None])
    return np.asarray((weights * legs).sum(axis=1))


def assert_never_above(word: NDArray[np.int64], legs: Floats, wind: Floats, turn_cost: Floats) -> None:
    """Start where the word, flown backwards from the origin on heading 0, begins, and ask the solver."""
    from volplane.domain.geometry import shortest_paths_kernel as kernel

    count = word.size
    start = -(HANDS[word] * legs).sum(axis=1)
    place, heading = flown(word, legs, start, wind)
    assert np.abs(heading).max() < 1e-12
    cost, found, found_legs = np.empty(count), np.empty(count, dtype=np.int64), np.empty((count, 3))
    begin = -np.ascontiguousarray(place.T)
    kernel.least_paths(
        begin[0], begin[1], start, wind[:, 0].copy(), wind[:, 1].copy(), turn_cost, cost, found, found_legs
    )
    above = cost > cost_of(word, legs, turn_cost) + COST_RADII
    worst = np.argmax(cost - cost_of(word, legs, turn_cost))
    assert above.sum() == 0, f"{above.sum()} of {count}: {WORDS[word[worst]]} {legs[worst]} in {wind[worst]}"
    assert found.min() >= 0
    assert found_legs.min() >= 0.0
    end, heading = flown(found, found_legs, start, wind)
    assert np.hypot(*(begin + end.T)).max() < END_RADII
    assert np.abs(np.remainder(heading + math.pi, 2.0 * math.pi) - math.pi).max() < END_RADII
    assert np.abs(cost_of(found, found_legs, turn_cost) - cost).max() < COST_RADII


def test_no_random_word_is_beaten_by_itself_flown_backwards() -> None:
    rng = np.random.default_rng(20_260_514)
    count = 100_000
    word = rng.integers(0, 6, count)
    legs = rng.uniform(0.0, 2.0 * math.pi, (count, 3))
    legs[:, 1] = np.where(HANDS[word, 1] == 0.0, rng.exponential(4.0, count), legs[:, 1])
    speed, direction = rng.uniform(0.0, 0.95, count), rng.uniform(0.0, 2.0 * math.pi, count)
    wind = speed[:, None] * np.stack([np.cos(direction), np.sin(direction)], axis=1)
    assert_never_above(word, legs, wind, rng.uniform(1.0, 2.0, count))


QUARTERS = np.array([0.0, 0.5, 1.0, 1.5, 2.0]) * math.pi
AXES = np.array([[1.0, 0.0], [0.0, 1.0], [-1.0, 0.0], [0.0, -1.0]])


@pytest.mark.parametrize("free_arcs_fraction", [0.0, 0.3], ids=["quarter circles only", "some arcs of any size"])
def test_no_degenerate_word_is_beaten_by_itself_flown_backwards(free_arcs_fraction: float) -> None:
    rng = np.random.default_rng(9_806_65)
    count = 20_000
    word = rng.integers(0, 6, count)
    legs = rng.choice(QUARTERS, (count, 3))
    free = rng.random((count, 3)) < free_arcs_fraction
    legs[free] = rng.uniform(0.0, 2.0 * math.pi, free.sum())
    legs[:, 1] = np.where(HANDS[word, 1] == 0.0, rng.choice([0.0, 0.0, 0.5, 1.0, 2.0, 5.0], count), legs[:, 1])
    wind = rng.choice([0.0, 0.1, 0.3, 0.5, 0.6, 0.9], count)[:, None] * rng.choice(AXES, count)
    assert_never_above(word, legs, wind, rng.choice([1.0, 7.0 / 6.0, 1.5], count))


def test_words_with_next_to_nothing_of_a_leg_are_not_lost() -> None:
    """Near a double root a step of the search can be tiny far from the root; an earlier search stopped there."""
    rng = np.random.default_rng(1_690)
    count = 40_000
    word = rng.integers(0, 6, count)
    legs = rng.uniform(0.0, 2.0 * math.pi, (count, 3))
    thin = rng.integers(0, 3, count)
    legs[np.arange(count), thin] = 10.0 ** rng.uniform(-10.0, -1.0, count)
    speed, direction = rng.uniform(0.0, 0.9, count), rng.uniform(0.0, 2.0 * math.pi, count)
    wind = speed[:, None] * np.stack([np.cos(direction), np.sin(direction)], axis=1)
    assert_never_above(word, legs, wind, np.full(count, 7.0 / 6.0))
