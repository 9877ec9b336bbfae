"""A runway given by two positions: bearing and length follow, and what is written beside them must fit."""

from __future__ import annotations

import math

import pytest
from geographiclib.geodesic import Geodesic

from tests.adapters.toml_texts import NOW_UNIX_S, FixedVariation
from volplane.adapters.toml.airfield import read_airfield
from volplane.domain.geometry.airfield import Airfield
from volplane.errors import Problem
from volplane.units import FOOT_M

THRESHOLD, END = (44.0, -40.0), (43.9936746, -40.0142401)
LINE = Geodesic.WGS84.Inverse(*THRESHOLD, *END)
STRIP = 'name = "Quill Meadow"\nelevation = "940 ft"\n[[runway]]\nname = "25"\nthreshold = [44.0, -40.0]\n'


def read(*lines: str) -> tuple[Airfield | None, tuple[Problem, ...]]:
    """The airfield of the strip with further lines."""
    return read_airfield(STRIP + "\n".join(lines), "strip.toml", FixedVariation(), NOW_UNIX_S)


def test_bearing_and_length_are_those_of_the_geodesic_between_the_positions() -> None:
    airfield, problems = read("end = [43.9936746, -40.0142401]")
    assert problems == ()
    assert airfield is not None
    (runway,) = airfield.runways
    assert math.degrees(runway.bearing_true_rad) == pytest.approx(LINE["azi1"] % 360.0, abs=1e-9)
    assert runway.length_m == pytest.approx(LINE["s12"], abs=1e-6)


def test_the_demo_field_is_the_same_by_two_positions_as_by_bearing_and_length() -> None:
    # the demo's other threshold lies 4,400 ft along 238.4 degrees true from the first
    airfield, _ = read("end = [43.9936746, -40.0142401]")
    assert airfield is not None
    assert math.degrees(airfield.runways[0].bearing_true_rad) == pytest.approx(238.4, abs=0.01)
    assert airfield.runways[0].length_m == pytest.approx(4400 * FOOT_M, abs=0.5)


def test_a_shorter_length_and_a_bearing_that_fits_are_kept() -> None:
    airfield, problems = read("end = [43.9936746, -40.0142401]", 'length = "3900 ft"', 'bearing_true = "239 deg"')
    assert problems == ()
    assert airfield is not None
    assert airfield.runways[0].length_m == pytest.approx(3900 * FOOT_M)
    assert math.degrees(airfield.runways[0].bearing_true_rad) == pytest.approx(239.0)


@pytest.mark.parametrize(
    ("lines", "code", "words"),
    [
        (["end = [43.9936746, -40.0142401]", 'bearing_true = "243 deg"'], "bearing-not-to-end", "238.4"),
        (["end = [43.9936746, -40.0142401]", 'length = "4600 ft"'], "length-beyond-end", "4,400"),
        (["end = [44.0, -40.0]"], "end-not-of-runway", "0 ft from the threshold"),
        (["end = [43.9, -40.2]"], "end-not-of-runway", "6,000 m or less"),
        (["end = [44.0063, -39.9857]"], "bearing-not-of-runway", "from threshold to end"),
        (["end = [-40.0, 144.0]"], "end-not-of-runway", "Check both positions"),
        (["end = [144.0, -40.0]"], "out-of-range", "Latitude comes first"),
        (['end = "the trees"'], "not-a-position", "Write for example end ="),
    ],
)
def test_an_end_that_cannot_be_is_told_with_what_was_expected(lines: list[str], code: str, words: str) -> None:
    airfield, problems = read(*lines)
    assert airfield is None
    assert [problem.code for problem in problems] == [code]
    assert words in problems[0].sentence()


def test_without_an_end_bearing_and_length_are_both_asked_for() -> None:
    airfield, problems = read()
    assert airfield is None
    assert [(problem.code, problem.place.split(" ")[0]) for problem in problems] == [
        ("key-missing", "runway[1].bearing_true"),
        ("key-missing", "runway[1].length"),
    ]
