"""Magnetic variation by the World Magnetic Model.

The coefficients of every five-year model come with the library pygeomag, so nothing is fetched. The model is checked
against the published test values of NOAA and the British Geological Survey in `tests/adapters`.
"""

from __future__ import annotations

import datetime
import functools
import math
from typing import Any

from volplane.errors import Refusal

FIRST_YEAR, LAST_YEAR = 2015.0, 2030.0
_EPOCH_FILES = {2015: "wmm/WMM_2015v2.COF", 2020: "wmm/WMM_2020.COF", 2025: "wmm/WMM_2025.COF"}


class OutsideMagneticModel(Refusal):
    """A date for which there is no World Magnetic Model at hand."""

    code = "outside-magnetic-model"

    def __init__(self, year: float, first_year: float, last_year: float) -> None:
        super().__init__(f"year {year:.1f}, the magnetic models reach from {first_year:.1f} to {last_year:.1f}")
        self.year = year
        self.first_year = first_year
        self.last_year = last_year


class WorldMagneticModel:
    """Magnetic variation anywhere, from 2015 to 2030; the model of the day's five years is used."""

    def variation_east_rad(
        self, latitude_deg: float, longitude_deg: float, altitude_msl_m: float, time_unix_s: float
    ) -> float:
        """Variation, east positive (declination of the World Magnetic Model, NOAA and British Geological Survey).

        :raises OutsideMagneticModel: before 2015 or from 2030 on.
        """
        year = decimal_year(time_unix_s)
        if not FIRST_YEAR <= year < LAST_YEAR:
            raise OutsideMagneticModel(year, FIRST_YEAR, LAST_YEAR)
        model = _model(int(year) - int(year) % 5)
        field = model.calculate(glat=latitude_deg, glon=longitude_deg, alt=altitude_msl_m / 1000.0, time=year)
        return math.radians(float(field.d))


def decimal_year(time_unix_s: float) -> float:
    """The date as a year with decimals, as the magnetic models count it."""
    moment = datetime.datetime.fromtimestamp(time_unix_s, datetime.UTC)
    start = datetime.datetime(moment.year, 1, 1, tzinfo=datetime.UTC)
    end = datetime.datetime(moment.year + 1, 1, 1, tzinfo=datetime.UTC)
    return moment.year + (moment - start) / (end - start)


@functools.cache
def _model(epoch: int) -> Any:
    from pygeomag import GeoMag

    return GeoMag(coefficients_file=_EPOCH_FILES[epoch])
