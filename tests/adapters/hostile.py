"""Reads files made to hurt, one process for each, and prints what came of it: code, seconds and peak memory."""

from __future__ import annotations

import gzip
import io
import json
import pathlib
import resource
import sys
import time
import zipfile
from collections.abc import Callable

from volplane.adapters.formats import sniff
from volplane.adapters.recording_file import read_file
from volplane.services.recordings import read_recording

KML = b'<?xml version="1.0"?><kml xmlns="http://www.opengis.net/kml/2.2"><Document>'
LAUGHS = "".join(f'<!ENTITY l{n} "{f"&l{n - 1};" * 10}">' for n in range(1, 12))


def zipped(content: bytes, name: str = "doc.kml") -> bytes:
    """A zip archive with one file."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr(name, content)
    return packed.getvalue()


def many_entries() -> bytes:
    """A zip archive of a hundred thousand files, without their content."""
    packed = io.BytesIO()
    with zipfile.ZipFile(packed, "w") as archive:
        for number in range(70_000):
            archive.writestr(f"{number}.kml", b"")
    return packed.getvalue()


HOSTILE: dict[str, tuple[str, Callable[[], bytes]]] = {
    "entities inside entities": (
        "laughs.kml",
        lambda: f'<?xml version="1.0"?><!DOCTYPE kml [<!ENTITY l0 "ha">{LAUGHS}]><kml>&l11;</kml>'.encode(),
    ),
    "a gigabyte of noughts in gzip": ("bomb.nmea.gz", lambda: gzip.compress(bytes(1_000_000_000), 1)),
    "a gigabyte of spaces in a zip": ("bomb.kmz", lambda: zipped(KML + b" " * 600_000_000)),
    "a zip of seventy thousand files": ("many.kmz", many_entries),
    "elements without a fix": ("empty.kml", lambda: zipped(KML + b"<a/>" * 20_000_000)),
    "lists in lists": ("deep.json", lambda: b'{"type":"FeatureCollection","features":' + b"[" * 7_000_000),
    "lists beside lists": ("wide.json", lambda: b'{"type":"FeatureCollection","features":[' + b"[]," * 2_500_000),
    "quotes without end": ("quotes.json", lambda: b'{"type":"FeatureCollection","a":"' + b'\\"' * 3_500_000),
    "a number of seven million digits": ("digits.json", lambda: b'{"type":"Feature","a":' + b"9" * 7_000_000 + b"}"),
    "sentences without end": (
        "long.nmea.gz",
        lambda: gzip.compress(
            b"$GPRMC,123519,A,4807.038,N,01131.000,E,022.4,084.4,230394,003.1,W*6A\r\n" * 3_500_000, 1
        ),
    ),
    "a line without end": ("line.igc.gz", lambda: gzip.compress(b"HFDTE140526\n" + b"B" * 200_000_000, 1)),
    "damaged lines without end": ("bad.igc.gz", lambda: gzip.compress(b"HFDTE140526\n" + b"B9\n" * 20_000_000, 1)),
    "titles without end": ("titles.csv", lambda: b"UTC,Latitude,Longitude\n" + b"UTC,Latitude,Longitude\n" * 1_500_000),
}


def main(which: str, folder: str) -> None:
    """Make the file, read it, say what came of it. A sparse file of two gigabytes is read from disk."""
    if which == "two gigabytes":
        path = pathlib.Path(folder) / "large.csv"
        with path.open("wb") as stream:
            stream.truncate(2_000_000_000)
        name, data = path.name, b""
    else:
        name, make = HOSTILE[which]
        data = make()
    before = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    began = time.perf_counter()
    data = data or read_file(pathlib.Path(folder) / name)
    recording = read_recording(name, data, sniff.FORMATS, sniff.unwrapped)
    peak = resource.getrusage(resource.RUSAGE_SELF).ru_maxrss
    said = {
        "has_track": recording.track is not None,
        "codes": [problem.code for problem in recording.problems],
        "seconds": round(time.perf_counter() - began, 2),
        "peak_mb": peak // 1024,
        "more_mb": (peak - before) // 1024,
        "sentences": [problem.sentence() for problem in recording.problems],
    }
    print(json.dumps(said))


if __name__ == "__main__":
    main(sys.argv[1], sys.argv[2])
