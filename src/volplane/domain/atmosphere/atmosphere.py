"""Today's column of air over the field, and what an altimeter and an airspeed dial make of it."""

from __future__ import annotations

import math
from dataclasses import dataclass, field
from typing import NamedTuple, overload

import numpy as np

from volplane.domain.atmosphere import airspeed, isa
from volplane.domain.atmosphere.refusals import OutsideTroposphere, PressureNotSensible, TemperatureNotSensible
from volplane.domain.atmosphere.scalars import FloatArray, FloatOrArray, as_given

# Beyond the lowest and highest sea-level pressures ever measured, about 870 and 1085 hPa (World Meteorological
# Organization, archive of weather extremes, from memory).
LOWEST_QNH_PA = 85000.0
HIGHEST_QNH_PA = 109000.0
# Vapour pressure over water (Buck, New equations for computing vapor pressure and enhancement factor, Journal of
# Applied Meteorology 20, 1981, 6.1121 hPa form; within 0.2 % of the steam tables from 0 to 50 degrees Celsius).
_BUCK_PA, _BUCK_SLOPE, _BUCK_K = 611.21, 17.502, 240.97
_VAPOUR_TO_DRY_MASS_RATIO = 0.62198


class KernelParameters(NamedTuple):
    """The column in the numbers a compiled kernel takes, for `air_kernel.density_kgpm3(height, *parameters[:2])`."""

    field_pressure_pa: float
    field_temperature_k: float
    lapse_k_per_m: float


@dataclass(frozen=True, slots=True)
class Atmosphere:
    """A hydrostatic column of dry air in which the temperature falls from the field's at the standard lapse rate.

    The pressure at the field is the one at which an altimeter set to `qnh_pa` reads `field_elevation_msl_m`. Heights
    above the field are true heights; the difference to geopotential ones (0.03 % at 1,000 m above the sea) is
    neglected. Every method takes one height or an array of any shape; NaN stays NaN.

    :raises PressureNotSensible: altimeter setting outside 850 hPa to 1,090 hPa.
    :raises TemperatureNotSensible: field temperature outside 180 K to 340 K.
    :raises OutsideTroposphere: a field or height outside -5,000 m to 11,000 m above the sea.
    """

    field_elevation_msl_m: float
    field_temperature_k: float
    qnh_pa: float
    # worked out once: every question about a height needs them
    _field_pressure_altitude_m: float = field(init=False, repr=False, compare=False)
    _field_pressure_pa: float = field(init=False, repr=False, compare=False)
    _altimeter_scale_ratio: float = field(init=False, repr=False, compare=False)
    _highest_m: float = field(init=False, repr=False, compare=False)

    def __post_init__(self) -> None:
        if not LOWEST_QNH_PA <= self.qnh_pa <= HIGHEST_QNH_PA:
            raise PressureNotSensible(self.qnh_pa, LOWEST_QNH_PA, HIGHEST_QNH_PA)
        # the column itself must be known: here, and only here, NaN is no answer
        if math.isnan(self.field_temperature_k):
            raise TemperatureNotSensible(math.nan, isa.LOWEST_TEMPERATURE_K, isa.HIGHEST_TEMPERATURE_K)
        if math.isnan(self.field_elevation_msl_m):
            raise OutsideTroposphere(math.nan, isa.LOWEST_M, isa.TROPOPAUSE_M)
        isa.refuse_odd_temperature(self.field_temperature_k)
        isa.refuse_outside_troposphere(self.field_elevation_msl_m)
        altitude_m = self.field_elevation_msl_m + isa.pressure_altitude_m(self.qnh_pa)
        # in a cold column the lapse rate cannot go on to the tropopause: nothing below 180 K is described
        coldest_m = (self.field_temperature_k - isa.LOWEST_TEMPERATURE_K) / isa.LAPSE_K_PER_M
        derived = {
            "_field_pressure_altitude_m": altitude_m,
            "_field_pressure_pa": isa.pressure_pa(altitude_m),
            "_altimeter_scale_ratio": isa.temperature_k(altitude_m) / self.field_temperature_k,
            "_highest_m": min(isa.TROPOPAUSE_M - self.field_elevation_msl_m, coldest_m),
        }
        for name, value in derived.items():
            object.__setattr__(self, name, value)

    @classmethod
    def standard(cls, field_elevation_msl_m: float) -> Atmosphere:
        """The standard atmosphere over a field of this elevation."""
        return cls(field_elevation_msl_m, isa.temperature_k(field_elevation_msl_m), isa.SEA_LEVEL_PRESSURE_PA)

    @property
    def field_pressure_altitude_m(self) -> float:
        """What an altimeter set to the standard pressure reads on the field."""
        return self._field_pressure_altitude_m

    @property
    def field_pressure_pa(self) -> float:
        """Static pressure on the field."""
        return self._field_pressure_pa

    @property
    def altimeter_scale_ratio(self) -> float:
        """Feet the altimeter shows for each true foot climbed: below 1 in warm air, above 1 in cold air.

        In two columns of the same lapse rate the temperature ratio at equal pressure is the same at every height, so
        the correction of height differences by T_standard / T is exact here (standard flight-test reduction, from
        memory).
        """
        return self._altimeter_scale_ratio

    def temperature_k(self, height_above_field_m: FloatOrArray) -> FloatOrArray:
        """Air temperature at a height."""
        self._refuse_height(height_above_field_m)
        return as_given(self.field_temperature_k - isa.LAPSE_K_PER_M * height_above_field_m, height_above_field_m)

    def pressure_pa(self, height_above_field_m: FloatOrArray) -> FloatOrArray:
        """Static pressure at a height."""
        theta = np.divide(self.temperature_k(height_above_field_m), self.field_temperature_k)
        return as_given(self.field_pressure_pa * theta**isa.PRESSURE_EXPONENT, height_above_field_m)

    def density_kgpm3(self, height_above_field_m: FloatOrArray) -> FloatOrArray:
        """Density of the air at a height."""
        theta = np.divide(self.temperature_k(height_above_field_m), self.field_temperature_k)
        field_density = self._field_pressure_pa / (isa.GAS_CONSTANT_DRY_AIR * self.field_temperature_k)
        return as_given(field_density * theta ** (isa.PRESSURE_EXPONENT - 1.0), height_above_field_m)

    def density_ratio(self, height_above_field_m: FloatOrArray) -> FloatOrArray:
        """Density at a height over the standard density at sea level."""
        density = self.density_kgpm3(height_above_field_m)
        return as_given(np.divide(density, isa.SEA_LEVEL_DENSITY_KGPM3), height_above_field_m)

    def pressure_altitude_m(self, height_above_field_m: FloatOrArray) -> FloatOrArray:
        """What an altimeter set to the standard pressure reads at a height."""
        self._refuse_height(height_above_field_m)
        reading = self.field_pressure_altitude_m + self.altimeter_scale_ratio * height_above_field_m
        return as_given(reading, height_above_field_m)

    def density_altitude_m(self, height_above_field_m: FloatOrArray) -> FloatOrArray:
        """Height at which the standard atmosphere has the density found at a height."""
        return isa.altitude_m_of_density(self.density_kgpm3(height_above_field_m))

    def altimeter_msl_m(self, height_above_field_m: FloatOrArray) -> FloatOrArray:
        """What an altimeter on today's setting reads at a true height, temperature error included.

        It reads the elevation on the field whatever the temperature, and less than the true altitude above it in warm
        air.
        """
        self._refuse_height(height_above_field_m)
        reading = self.field_elevation_msl_m + self.altimeter_scale_ratio * height_above_field_m
        return as_given(reading, height_above_field_m)

    def height_above_field_m_from_altimeter_m(self, altimeter_msl_m: FloatOrArray) -> FloatOrArray:
        """True height above the field when an altimeter on today's setting reads this."""
        above = np.subtract(altimeter_msl_m, self.field_elevation_msl_m)
        height = as_given(above / self.altimeter_scale_ratio, altimeter_msl_m)
        self._refuse_height(height)
        return height

    def height_above_field_m_from_pressure_altitude_m(self, pressure_altitude_m: FloatOrArray) -> FloatOrArray:
        """True height above the field when an altimeter set to the standard pressure reads this."""
        above = np.subtract(pressure_altitude_m, self.field_pressure_altitude_m)
        height = as_given(above / self.altimeter_scale_ratio, pressure_altitude_m)
        self._refuse_height(height)
        return height

    @overload
    def tas_mps_from_cas_mps(self, cas_mps: float, height_above_field_m: float) -> float: ...
    @overload
    def tas_mps_from_cas_mps(self, cas_mps: FloatArray, height_above_field_m: float | FloatArray) -> FloatArray: ...
    @overload
    def tas_mps_from_cas_mps(self, cas_mps: float, height_above_field_m: FloatArray) -> FloatArray: ...
    def tas_mps_from_cas_mps(
        self, cas_mps: float | FloatArray, height_above_field_m: float | FloatArray
    ) -> float | FloatArray:
        """True airspeed at a calibrated airspeed and height."""
        pressure, temperature = self._state(height_above_field_m)
        return airspeed.tas_mps_from_cas_mps(cas_mps, pressure, temperature)

    @overload
    def cas_mps_from_tas_mps(self, tas_mps: float, height_above_field_m: float) -> float: ...
    @overload
    def cas_mps_from_tas_mps(self, tas_mps: FloatArray, height_above_field_m: float | FloatArray) -> FloatArray: ...
    @overload
    def cas_mps_from_tas_mps(self, tas_mps: float, height_above_field_m: FloatArray) -> FloatArray: ...
    def cas_mps_from_tas_mps(
        self, tas_mps: float | FloatArray, height_above_field_m: float | FloatArray
    ) -> float | FloatArray:
        """Calibrated airspeed at a true airspeed and height."""
        pressure, temperature = self._state(height_above_field_m)
        return airspeed.cas_mps_from_tas_mps(tas_mps, pressure, temperature)

    @overload
    def eas_mps_from_cas_mps(self, cas_mps: float, height_above_field_m: float) -> float: ...
    @overload
    def eas_mps_from_cas_mps(self, cas_mps: FloatArray, height_above_field_m: float | FloatArray) -> FloatArray: ...
    @overload
    def eas_mps_from_cas_mps(self, cas_mps: float, height_above_field_m: FloatArray) -> FloatArray: ...
    def eas_mps_from_cas_mps(
        self, cas_mps: float | FloatArray, height_above_field_m: float | FloatArray
    ) -> float | FloatArray:
        """Equivalent airspeed at a calibrated airspeed and height."""
        pressure, _ = self._state(height_above_field_m)
        return airspeed.eas_mps_from_cas_mps(np.asarray(cas_mps), pressure)

    def kernel_parameters(self) -> KernelParameters:
        """The column in the numbers a compiled kernel takes."""
        return KernelParameters(self.field_pressure_pa, self.field_temperature_k, isa.LAPSE_K_PER_M)

    def _state(self, height_above_field_m: float | FloatArray) -> tuple[FloatArray, FloatArray]:
        """Pressure and temperature as arrays, of no dimension for one height."""
        height = np.asarray(height_above_field_m, dtype=np.float64)
        return self.pressure_pa(height), self.temperature_k(height)

    def _refuse_height(self, height_above_field_m: float | FloatArray) -> None:
        altitude = self.field_elevation_msl_m + height_above_field_m
        isa.refuse_outside_troposphere(altitude, isa.LOWEST_M, self.field_elevation_msl_m + self._highest_m)


def density_altitude_m(pressure_altitude_m: float, temperature_k: float, dew_point_k: float | None = None) -> float:
    """Height at which the standard atmosphere is as thin as this air; damp air is lighter than dry air.

    Density of the mixture by virtual temperature, T / (1 - (1 - 0.622) e / p), e the vapour pressure at the dew point
    (textbook gas mixture). A dew point above the temperature is taken as saturation.

    :raises TemperatureNotSensible: outside 180 K to 340 K.
    :raises OutsideTroposphere: either altitude outside -5,000 m to 11,000 m.
    """
    isa.refuse_odd_temperature(temperature_k)
    pressure = isa.pressure_pa(pressure_altitude_m)
    virtual_temperature = temperature_k
    if dew_point_k is not None:
        isa.refuse_odd_temperature(dew_point_k)
        vapour = vapour_pressure_pa(min(dew_point_k, temperature_k))
        virtual_temperature = temperature_k / (1.0 - (1.0 - _VAPOUR_TO_DRY_MASS_RATIO) * vapour / pressure)
    return isa.altitude_m_of_density(pressure / (isa.GAS_CONSTANT_DRY_AIR * virtual_temperature))


def vapour_pressure_pa(dew_point_k: float) -> float:
    """Partial pressure of water vapour in air of this dew point (Buck 1981, equation e_w1)."""
    celsius = dew_point_k - 273.15
    return float(_BUCK_PA * np.exp(_BUCK_SLOPE * celsius / (celsius + _BUCK_K)))
