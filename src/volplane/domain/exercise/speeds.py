"""Speeds on the dial and in the air: indicated, calibrated and equivalent airspeed of one airplane."""

from __future__ import annotations

import math

import numpy as np

from volplane.domain.airplane.airplane import Airplane
from volplane.domain.atmosphere.atmosphere import Atmosphere


def cas_mps_from_ias_mps(airplane: Airplane, ias_mps: float) -> float:
    """Calibrated from indicated airspeed by the airplane's table; beyond its ends the last correction is kept."""
    if not airplane.airspeed_correction:
        return ias_mps
    indicated = np.array([row[0] for row in airplane.airspeed_correction])
    correction = np.array([row[1] - row[0] for row in airplane.airspeed_correction])
    return ias_mps + float(np.interp(ias_mps, indicated, correction))


def ias_mps_from_cas_mps(airplane: Airplane, cas_mps: float) -> float:
    """Indicated from calibrated airspeed by the airplane's table; beyond its ends the last correction is kept."""
    if not airplane.airspeed_correction:
        return cas_mps
    calibrated = np.array([row[1] for row in airplane.airspeed_correction])
    correction = np.array([row[0] - row[1] for row in airplane.airspeed_correction])
    return cas_mps + float(np.interp(cas_mps, calibrated, correction))


def ias_mps_from_eas_mps(
    airplane: Airplane, eas_mps: float, atmosphere: Atmosphere, height_above_field_m: float
) -> float:
    """Indicated airspeed that belongs to an equivalent airspeed at a height over the field."""
    tas_mps = eas_mps / math.sqrt(atmosphere.density_ratio(height_above_field_m))
    return ias_mps_from_cas_mps(airplane, atmosphere.cas_mps_from_tas_mps(tas_mps, height_above_field_m))


def eas_mps_from_ias_mps(
    airplane: Airplane, ias_mps: float, atmosphere: Atmosphere, height_above_field_m: float
) -> float:
    """Equivalent airspeed that belongs to an indicated airspeed at a height over the field."""
    return atmosphere.eas_mps_from_cas_mps(cas_mps_from_ias_mps(airplane, ias_mps), height_above_field_m)
