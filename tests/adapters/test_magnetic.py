"""Magnetic variation against the values published with the World Magnetic Model 2025."""

from __future__ import annotations

import datetime
import math

import pytest

from volplane.adapters.magnetic import OutsideMagneticModel, WorldMagneticModel, decimal_year


def unix_s(year: int, month: int = 1, day: int = 1) -> float:
    return datetime.datetime(year, month, day, tzinfo=datetime.UTC).timestamp()


@pytest.mark.parametrize(
    ("latitude_deg", "longitude_deg", "when", "declination_deg"),
    [
        # World Magnetic Model 2025 test values (NOAA National Centers for Environmental Information and British
        # Geological Survey), height 0 km, printed to 0.01 degrees
        (80.0, 0.0, unix_s(2025), 1.28),
        (0.0, 120.0, unix_s(2025), -0.16),
        (-80.0, 240.0, unix_s(2025), 68.78),
        (80.0, 0.0, unix_s(2027, 7, 2) + 12 * 3600, 2.59),
        (0.0, 120.0, unix_s(2027, 7, 2) + 12 * 3600, -0.24),
        (-80.0, 240.0, unix_s(2027, 7, 2) + 12 * 3600, 68.49),
    ],
)
def test_declination_is_the_published_one(
    latitude_deg: float, longitude_deg: float, when: float, declination_deg: float
) -> None:
    found = WorldMagneticModel().variation_east_rad(latitude_deg, longitude_deg, 0.0, when)
    assert math.degrees(found) == pytest.approx(declination_deg, abs=0.006)


def test_an_older_lesson_takes_the_model_of_its_years() -> None:
    # the drift over mid-ocean is a tenth of a degree or two a year: no jump at a change of models
    model = WorldMagneticModel()
    before = model.variation_east_rad(44.0, -40.0, 0.0, unix_s(2024, 12, 31))
    after = model.variation_east_rad(44.0, -40.0, 0.0, unix_s(2025, 1, 1))
    assert abs(math.degrees(after - before)) < 0.3


@pytest.mark.parametrize("when", [unix_s(2014, 12, 31), unix_s(2030)])
def test_a_day_without_a_model_is_refused(when: float) -> None:
    with pytest.raises(OutsideMagneticModel, match=r"the magnetic models reach from 2015.0 to 2030.0"):
        WorldMagneticModel().variation_east_rad(44.0, -40.0, 0.0, when)


def test_half_the_year_is_over_at_noon_of_the_second_of_july() -> None:
    assert decimal_year(unix_s(2027, 7, 2) + 12 * 3600) == pytest.approx(2027.5)
