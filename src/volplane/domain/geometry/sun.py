"""How high the sun stands over a place: daylight or not.

Source: Low precision formulas for the Sun's coordinates, The Astronomical Almanac (US Naval Observatory and HM Nautical
Almanac Office), page C5, good to 0.01 degrees from 1950 to 2050; sidereal time by the mean formula of the IAU 1982
(both from memory; checked in `tests/checks`).
"""

from __future__ import annotations

import math

_J2000_UNIX_S = 946728000.0  # 2000-01-01 12:00 UTC
_DAY_S = 86400.0


def sun_position_rad(time_unix_s: float) -> tuple[float, float]:
    """Right ascension in [0, 2 pi) and declination of the sun, apparent, seen from the centre of the earth."""
    days = (time_unix_s - _J2000_UNIX_S) / _DAY_S
    mean_longitude = math.radians(280.460 + 0.9856474 * days)
    anomaly = math.radians(357.528 + 0.9856003 * days)
    longitude = mean_longitude + math.radians(1.915 * math.sin(anomaly) + 0.020 * math.sin(2.0 * anomaly))
    obliquity = math.radians(23.439 - 0.0000004 * days)
    ascension = math.atan2(math.cos(obliquity) * math.sin(longitude), math.cos(longitude))
    return ascension % (2.0 * math.pi), math.asin(math.sin(obliquity) * math.sin(longitude))


def sun_elevation_rad(latitude_deg: float, longitude_deg: float, time_unix_s: float) -> float:
    """Elevation of the sun's middle above the horizon, negative below it; refraction is left out."""
    ascension, declination = sun_position_rad(time_unix_s)
    days = (time_unix_s - _J2000_UNIX_S) / _DAY_S
    sidereal = math.radians((280.46061837 + 360.98564736629 * days) % 360.0)
    hour_angle = sidereal + math.radians(longitude_deg) - ascension
    latitude = math.radians(latitude_deg)
    upright = math.sin(latitude) * math.sin(declination)
    return math.asin(upright + math.cos(latitude) * math.cos(declination) * math.cos(hour_angle))
