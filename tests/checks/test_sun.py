"""The sun against published positions."""

from __future__ import annotations

import datetime
import math

import pytest

from volplane.domain.geometry.sun import sun_elevation_rad, sun_position_rad


def utc(*when: int) -> float:
    return datetime.datetime(*when, tzinfo=datetime.UTC).timestamp()  # type: ignore[arg-type, misc]


def test_the_sun_on_13_october_1992() -> None:
    """Meeus, Astronomical Algorithms, example 25.a (from memory): 198.38083 and -7.78507 degrees."""
    ascension, declination = sun_position_rad(utc(1992, 10, 13))
    # the formula is good to 0.01 degrees along the ecliptic
    assert math.degrees(ascension) == pytest.approx(198.38083, abs=0.011)
    assert math.degrees(declination) == pytest.approx(-7.78507, abs=0.011)


def test_the_elevation_of_the_solar_position_algorithms_example() -> None:
    """Reda and Andreas, Solar Position Algorithm, NREL/TP-560-34302, appendix (from memory): 39.872 without refraction.

    17 October 2003, 12:30:30 at seven hours behind UTC, 39.742476 N, 105.1786 W.
    """
    elevation = sun_elevation_rad(39.742476, -105.1786, utc(2003, 10, 17, 19, 30, 30))
    assert math.degrees(elevation) == pytest.approx(39.872, abs=0.012)
