"""An invented flight with known numbers, from which the tests make recordings of every kind by hand."""

from __future__ import annotations

import math
from collections.abc import Callable, Sequence
from dataclasses import dataclass

from geographiclib.geodesic import Geodesic

START_UNIX_S = 1_778_767_200.0  # 2026-05-14 14:00:00 UTC, from `date -u -d 2026-05-14T14:00:00Z +%s`
SPEED_KT = 105.0
SPEED_MPS = SPEED_KT * 1852.0 / 3600.0
TRACK_DEG = 238.4
TOP_FT = 3540.0
SINK_FPM = 900.0


@dataclass(frozen=True, slots=True)
class Fix:
    """One second of a straight glide at 105 kt over the ground along 238.4 degrees, 900 ft/min down from 3,540 ft."""

    second: int
    latitude_deg: float
    longitude_deg: float
    altitude_ft: float

    @property
    def clock(self) -> str:
        """Time of day in UTC."""
        return f"14:{self.second // 60:02}:{self.second % 60:02}"


def glide(seconds: int = 60) -> list[Fix]:
    """The flight second by second; positions by Karney's geodesics, which the package does not use for speeds."""
    fixes = []
    for second in range(seconds):
        place = Geodesic.WGS84.Direct(44.0, -40.0, TRACK_DEG, SPEED_MPS * second)
        fixes.append(Fix(second, place["lat2"], place["lon2"], TOP_FT - SINK_FPM / 60.0 * second))
    return fixes


def table(
    titles: str,
    row: Callable[[Fix], Sequence[object]],
    *,
    delimiter: str = ",",
    before: Sequence[str] = (),
    below: Sequence[str] = (),
    fixes: Sequence[Fix] | None = None,
    end: str = "\n",
) -> bytes:
    """A table of the flight: preamble, titles, rows below them (units), then one row a fix."""
    rows = [delimiter.join(str(cell) for cell in row(fix)) for fix in (glide() if fixes is None else fixes)]
    return end.join([*before, titles, *below, *rows, ""]).encode()


def gpx(points: Sequence[str], version: str = "1.1", head: str = "") -> bytes:
    """A GPX file around the given points (or any other content of a segment)."""
    body = "\n".join(points)
    space = f"http://www.topografix.com/GPX/{version.replace('.', '/')}"
    return (
        f'<?xml version="1.0" encoding="UTF-8"?>\n{head}<gpx version="{version}" creator="invented" xmlns="{space}">\n'
        f"<trk><name>Lesson</name><trkseg>\n{body}\n</trkseg></trk>\n</gpx>\n"
    ).encode()


def point(fix: Fix, inside: str = "", *, elevation: bool = True) -> str:
    """A track point of the flight."""
    ele = f"<ele>{fix.altitude_ft * 0.3048:.2f}</ele>" if elevation else ""
    place = f'lat="{fix.latitude_deg:.7f}" lon="{fix.longitude_deg:.7f}"'
    return f"<trkpt {place}>{ele}<time>2026-05-14T{fix.clock}Z</time>{inside}</trkpt>"


def degrees_minutes(value_deg: float, sides: str) -> str:
    """A coordinate as N44 00.0000."""
    degrees = int(abs(value_deg))
    return f"{sides[value_deg < 0]}{degrees:03} {(abs(value_deg) - degrees) * 60.0:07.4f}"


def metres_between(
    latitude_1_deg: float, longitude_1_deg: float, latitude_2_deg: float, longitude_2_deg: float
) -> float:
    """Geodesic distance."""
    inverse = Geodesic.WGS84.Inverse(latitude_1_deg, longitude_1_deg, latitude_2_deg, longitude_2_deg)
    return math.fabs(float(inverse["s12"]))
