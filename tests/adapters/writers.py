"""One track written in every format, by hand, for the tests: each writer keeps to the format's own resolution."""

from __future__ import annotations

import datetime
import functools
import gzip
import io
import json
import math
import operator
import zipfile
from collections.abc import Callable
from dataclasses import dataclass

from tests.adapters.flights import START_UNIX_S, Fix, gpx, point, table

FOOT_M = 0.3048


@dataclass(frozen=True, slots=True)
class Written:
    """A format by its file name, its writer, and half of the last digit it writes: degrees, metres, seconds."""

    file_name: str
    write: Callable[[list[Fix]], bytes]
    place_deg: float
    altitude_m: float
    time_s: float = 1e-6


def moment(fix: Fix, start_unix_s: float = START_UNIX_S) -> datetime.datetime:
    """The fix's time in UTC."""
    return datetime.datetime.fromtimestamp(start_unix_s + fix.second, tz=datetime.UTC)


def iso(fix: Fix) -> str:
    """The fix's time as ISO 8601."""
    return moment(fix).strftime("%Y-%m-%dT%H:%M:%SZ")


def csv(fixes: list[Fix]) -> bytes:
    """A plain table."""
    return table(
        "UTC,Latitude,Longitude,GPS altitude (ft)",
        lambda fix: [iso(fix), f"{fix.latitude_deg:.7f}", f"{fix.longitude_deg:.7f}", f"{fix.altitude_ft:.1f}"],
        fixes=fixes,
        end="\r\n",
    )


def gpx_1_1(fixes: list[Fix]) -> bytes:
    """Track points of GPX 1.1."""
    return gpx([point(fix).replace(f"2026-05-14T{fix.clock}Z", iso(fix)) for fix in fixes])


def kml_of(body: str) -> bytes:
    """A KML document around a body."""
    spaces = 'xmlns="http://www.opengis.net/kml/2.2" xmlns:gx="http://www.google.com/kml/ext/2.2"'
    return f'<?xml version="1.0" encoding="UTF-8"?>\n<kml {spaces}><Document>\n{body}\n</Document></kml>\n'.encode()


def kml_track(fixes: list[Fix]) -> bytes:
    """A track, all times first and all places behind them."""
    times = "\n".join(f"<when>{iso(fix)}</when>" for fix in fixes)
    places = "\n".join(
        f"<gx:coord>{fix.longitude_deg:.7f} {fix.latitude_deg:.7f} {fix.altitude_ft * FOOT_M:.2f}</gx:coord>"
        for fix in fixes
    )
    mode = "<altitudeMode>absolute</altitudeMode>"
    return kml_of(f"<Placemark><name>Lesson</name><gx:Track>{mode}\n{times}\n{places}\n</gx:Track></Placemark>")


def kml_marks(fixes: list[Fix]) -> bytes:
    """A placemark with a time for each fix."""
    return kml_of(
        "\n".join(
            f"<Placemark><TimeStamp><when>{iso(fix)}</when></TimeStamp><Point><altitudeMode>absolute</altitudeMode>"
            f"<coordinates>{fix.longitude_deg:.7f},{fix.latitude_deg:.7f},{fix.altitude_ft * FOOT_M:.2f}</coordinates>"
            "</Point></Placemark>"
            for fix in fixes
        )
    )


def kmz(fixes: list[Fix]) -> bytes:
    """The track zipped, beside a picture."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        for name, content in (("doc.kml", kml_track(fixes)), ("files/mark.png", b"\x89PNG\r\n\x1a\n")):
            entry = zipfile.ZipInfo(name, date_time=(2026, 5, 14, 14, 0, 0))
            archive.writestr(entry, content, zipfile.ZIP_DEFLATED)
    return packed.getvalue()


def _thousandths(value_deg: float, width: int, sides: str) -> str:
    """Degrees and thousandths of minutes as a B line holds them."""
    thousandths = round(abs(value_deg) * 60_000.0)
    degrees, minutes = divmod(thousandths, 60_000)
    return f"{degrees:0{width}}{minutes:05}{sides[value_deg < 0]}"


def b_line(fix: Fix, pressure_m: int | None = None) -> str:
    """A B line of 35 signs."""
    gnss = round(fix.altitude_ft * FOOT_M)
    place = _thousandths(fix.latitude_deg, 2, "NS") + _thousandths(fix.longitude_deg, 3, "EW")
    return f"B{moment(fix):%H%M%S}{place}A{gnss - 30 if pressure_m is None else pressure_m:05}{gnss:05}"


def igc(fixes: list[Fix]) -> bytes:
    """A record with its day, the datum of its altitudes and one line a fix."""
    head = ["AXXX001", f"HFDTEDATE:{moment(fixes[0]):%d%m%y},01", "HFALGALTGPS:GEO", "I013638FXA"]
    return "\r\n".join([*head, *(f"{b_line(fix)}004" for fix in fixes), "G1234ABCD", ""]).encode()


def sentence(body: str) -> str:
    """An NMEA sentence with its checksum."""
    return f"${body}*{functools.reduce(operator.xor, body.encode()):02X}"


def _minutes(value_deg: float, width: int, sides: str) -> str:
    degrees, minutes = divmod(round(abs(value_deg) * 60e5), 60 * 10**5)
    return f"{degrees:0{width}}{minutes / 1e5:08.5f},{sides[value_deg < 0]}"


def nmea(fixes: list[Fix]) -> bytes:
    """GGA and RMC each second."""
    lines = []
    for fix in fixes:
        clock = f"{moment(fix):%H%M%S}.00"
        place = f"{_minutes(fix.latitude_deg, 2, 'NS')},{_minutes(fix.longitude_deg, 3, 'EW')}"
        lines.append(sentence(f"GPGGA,{clock},{place},1,08,0.9,{fix.altitude_ft * FOOT_M:.1f},M,46.9,M,,"))
        lines.append(sentence(f"GPRMC,{clock},A,{place},105.0,238.4,{moment(fix):%d%m%y},,"))
    return "\r\n".join([*lines, ""]).encode()


def geojson_line(fixes: list[Fix]) -> bytes:
    """A line with the times of its positions among its properties."""
    positions = [[round(f.longitude_deg, 7), round(f.latitude_deg, 7), round(f.altitude_ft * FOOT_M, 2)] for f in fixes]
    feature = {
        "type": "Feature",
        "properties": {"name": "Lesson", "coordTimes": [iso(fix) for fix in fixes]},
        "geometry": {"type": "LineString", "coordinates": positions},
    }
    return json.dumps({"type": "FeatureCollection", "features": [feature]}, indent=0).encode()


def geojson_points(fixes: list[Fix]) -> bytes:
    """A point a fix, its time among its properties, a line of the file each."""
    features = [
        {
            "type": "Feature",
            "properties": {"time": iso(fix)},
            "geometry": {
                "type": "Point",
                "coordinates": [
                    round(fix.longitude_deg, 7),
                    round(fix.latitude_deg, 7),
                    round(fix.altitude_ft * FOOT_M, 2),
                ],
            },
        }
        for fix in fixes
    ]
    body = ",\n".join(map(json.dumps, features))
    return f'{{"type": "FeatureCollection", "features": [\n{body}\n]}}\n'.encode()


def csv_gz(fixes: list[Fix]) -> bytes:
    """The table in gzip."""
    return gzip.compress(csv(fixes), mtime=0)


_DIGITS_7 = 0.51e-7
WRITERS: tuple[Written, ...] = (
    Written("lesson.csv", csv, _DIGITS_7, 0.051 * FOOT_M),
    Written("lesson.gpx", gpx_1_1, _DIGITS_7, 0.0051),
    Written("track.kml", kml_track, _DIGITS_7, 0.0051),
    Written("marks.kml", kml_marks, _DIGITS_7, 0.0051),
    Written("lesson.kmz", kmz, _DIGITS_7, 0.0051),
    Written("lesson.igc", igc, 0.51e-3 / 60.0, 0.51),
    Written("lesson.nmea", nmea, 0.51e-5 / 60.0, 0.051),
    Written("line.geojson", geojson_line, _DIGITS_7, 0.0051),
    Written("points.geojson", geojson_points, _DIGITS_7, 0.0051),
    Written("lesson.csv.gz", csv_gz, _DIGITS_7, 0.051 * FOOT_M),
)


def arc(seconds: int = 600) -> list[Fix]:
    """A descending turn of any length, for files longer than a straight glide makes sense."""
    return [
        Fix(
            second,
            44.0 + 0.01 * math.cos(second / 30.0),
            -40.0 + 0.01 * math.sin(second / 30.0),
            9000.0 - 0.5 * second,
        )
        for second in range(seconds)
    ]
