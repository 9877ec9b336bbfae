"""Which formats are read, and taking a file out of its wrapping: gzip and zip are opened, what is no text is refused.

Only the first bytes decide, never the name.
"""

from __future__ import annotations

from volplane.adapters.formats import archives, csv, geojson, gpx, igc, kml, nmea
from volplane.adapters.formats.lines import encoding_of
from volplane.errors import Problem
from volplane.services import recordings
from volplane.services.recordings import ColumnMap, RecordingFormat

# the strictest first: a line of titles can stand in almost any text
FORMATS: tuple[RecordingFormat, ...] = (gpx, kml, geojson, igc, nmea, csv)

_HEAD_BYTES = 65_536
_EXTENSIONS = tuple(extension for each in FORMATS for extension in each.EXTENSIONS)

_OPEN_TEXTS: tuple[tuple[bytes, str], ...] = (
    (b"<!doctype html", "a web page"),
    (b"<html", "a web page"),
    (b"<trainingcenterdatabase", "a training log in XML"),
    (b"{", "JSON that is no GeoJSON"),
)
_BINARIES: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF document"),
    (b"PK\x05\x06", "an empty zip archive"),
    (b"\x89PNG", "a PNG picture"),
    (b"\xff\xd8\xff", "a JPEG picture"),
    (b"GIF8", "a GIF picture"),
    (b"7z\xbc\xaf\x27\x1c", "a 7z archive"),
    (b"Rar!", "a RAR archive"),
    (b"BZh", "a bzip2 file"),
    (b"\xfd7zXZ", "an xz file"),
    (b"\x28\xb5\x2f\xfd", "a zstd file"),
    (b"SQLite format 3", "a database"),
    (b"\x7fELF", "a program"),
    (b"MZ", "a program"),
    (b"\xd0\xcf\x11\xe0", "an old office document"),
)


def unwrapped(name: str, data: bytes) -> tuple[bytes | None, tuple[Problem, ...]]:
    """The text of a recording; None, with the reason, for anything that cannot be one."""
    problems: tuple[Problem, ...] = ()
    if data.startswith((archives.GZIP, archives.ZIP)):
        content, problems = _unpacked(name, data)
        if content is None:
            return None, problems
        data = content
        if data.startswith((archives.GZIP, archives.ZIP)):
            return None, (_refused(name, "an archive inside an archive", "recording-refused"),)
    if not data.strip(b" \t\r\n\0\xef\xbb\xbf"):
        return None, (*problems, _refused(name, "a file with nothing in it", "recording-empty"))
    if found := _binary(data):
        return None, (*problems, _refused(name, found, "recording-binary"))
    if found := _other_text(data):
        return None, (*problems, _refused(name, found, "recording-other-format"))
    return data, problems


def columns_of(name: str, data: bytes) -> ColumnMap | None:
    """Which column of a table would be taken as what; None for a file that is refused or has no columns."""
    content, _ = unwrapped(name, data)
    if content is None or any(each.recognises(content) for each in FORMATS if each is not csv):
        return None
    return csv.columns_of(content)


def _unpacked(name: str, data: bytes) -> tuple[bytes | None, tuple[Problem, ...]]:
    """What a gzip or zip file holds; a cut file gives what is there."""
    is_gzip = data.startswith(archives.GZIP)
    unpacked = archives.gunzipped(data) if is_gzip else archives.unzipped(data, _EXTENSIONS)
    if unpacked.content is None:
        return None, (_refused(name, unpacked.found, unpacked.code),)
    if not unpacked.found:
        return unpacked.content, ()
    remedy = "Only what stands before it was read; see whether the recording ends where the flight did."
    return unpacked.content, (Problem(name, "", unpacked.found, "a whole file", remedy, unpacked.code),)


def _binary(data: bytes) -> str:
    """What a file that is no text is, in words; "" for text."""
    for signature, found in _BINARIES:
        if data.startswith(signature):
            return found
    head = data[:_HEAD_BYTES]
    if encoding_of(head) == "utf-16":
        return ""
    # a recorder that lost power leaves blocks of noughts; other control characters stand in no table
    control = sum(head.count(bytes([code])) for code in range(1, 32) if code not in (9, 10, 12, 13))
    return "binary data" if control > 0.02 * len(head) or head.count(0) > 0.3 * len(head) else ""


def _other_text(data: bytes) -> str:
    """An open format that is known by sight and not read, or XML of another kind; "" for everything else."""
    if any(each.recognises(data) for each in (gpx, kml, geojson)):
        return ""
    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    for mark, found in _OPEN_TEXTS:
        if head.startswith(mark) or (mark[:1] in b'<h"' and mark in head and head[:1] in b"<a{"):
            return found
    return "XML that is neither GPX nor KML" if head.startswith(b"<?xml") else ""


def _refused(name: str, found: str, code: str) -> Problem:
    known = recordings.named(FORMATS)
    remedy = f"Export the recording as {known} and send that file."
    return Problem(name, "", found, f"a recording in {known}", remedy, code)
