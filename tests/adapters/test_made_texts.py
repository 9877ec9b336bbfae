"""A form becomes the file a hand would have written, and each fault is found under the key it was typed for."""

from __future__ import annotations

import pytest

from volplane.adapters.magnetic import WorldMagneticModel
from volplane.adapters.toml.airfield import read_airfield
from volplane.adapters.toml.airplane import read_airplane
from volplane.adapters.toml.made_texts import text_of
from volplane.units import KNOT_MPS

SIX = {
    "name": 'Dunlin "Tourer"',
    "weights.maximum": "3,650 lb",
    "glide.best_speed": "109 kt",
    "glide.ratio": "9.6",
    "stall.clean": "68 kt",
    "stall.landing": "60 kt",
}
FIELD = {
    "name": "Quill Meadow",
    "elevation": "940 ft",
    "runway[1].name": "25",
    "runway[1].threshold": "44.0, -40.0",
    "runway[1].bearing_true": "238.4 deg",
    "runway[1].length": "4,400 ft",
    "runway[1].pattern": "",
}


def test_six_numbers_are_an_airplane() -> None:
    airplane, problems = read_airplane(text_of(SIX), "airplane")
    assert problems == ()
    assert airplane is not None
    assert airplane.name == 'Dunlin "Tourer"'
    assert airplane.stall_clean_cas_mps == pytest.approx(68 * KNOT_MPS)


def test_an_airfield_with_a_runway_is_read_and_what_was_left_empty_is_left_out() -> None:
    text = text_of(FIELD)
    assert "pattern" not in text
    airfield, problems = read_airfield(text, "airfield", WorldMagneticModel(), 1.78e9)
    assert problems == ()
    assert airfield is not None
    assert airfield.runway("25").threshold_longitude_deg == -40.0


@pytest.mark.parametrize(
    "key, typed", [("weights.maximum", "3650"), ("glide.ratio", "nine"), ("glide.best_speed", "x")]
)
def test_a_fault_is_told_under_the_key_it_was_typed_for(key: str, typed: str) -> None:
    _, problems = read_airplane(text_of({**SIX, key: typed}), "airplane")
    assert [problem.place.split(" ")[0] for problem in problems] == [key]


def test_a_typed_text_cannot_become_another_key() -> None:
    airplane, problems = read_airplane(text_of({**SIX, "name": 'a"\n[stall]\nclean = "1 kt'}), "airplane")
    assert problems == ()
    assert airplane is not None
    assert airplane.stall_clean_cas_mps == pytest.approx(68 * KNOT_MPS)


def test_a_key_that_is_none_is_our_own_fault() -> None:
    with pytest.raises(ValueError, match="no key of a file"):
        text_of({"weights maximum": "3650 lb"})
