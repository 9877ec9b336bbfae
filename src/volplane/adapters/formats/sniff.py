"""Which formats are read, and taking a file out of its wrapping: gzip is opened, what is no text is named and refused.

Only the first bytes decide, never the name. What comes out of a gzip file is bounded, whatever its header promises.
"""

from __future__ import annotations

import zlib

from volplane.adapters.formats import csv, gpx
from volplane.adapters.formats.lines import encoding_of
from volplane.errors import Problem
from volplane.services.recordings import RecordingFormat

# the strictest first: a line of titles can stand in almost any text
FORMATS: tuple[RecordingFormat, ...] = (gpx, csv)

# unpacked; ours
LARGEST_UNPACKED_BYTES = 256_000_000
_GZIP = b"\x1f\x8b"
_HEAD_BYTES = 65_536
_STEP_BYTES = 1_048_576
_PIECE_BYTES = 65_536
# recorders that append a member at each start write a few; ours
_MOST_MEMBERS = 1000

_OPEN_TEXTS: tuple[tuple[bytes, str], ...] = (
    (b"<kml", "a KML file"),
    (b"<!doctype html", "a web page"),
    (b"<html", "a web page"),
    (b"<trainingcenterdatabase", "a training log in XML"),
    (b"$gp", "NMEA 0183 sentences"),
    (b"$gn", "NMEA 0183 sentences"),
    (b"hfdte", "an IGC file"),
    (b'"featurecollection"', "a GeoJSON file"),
)
_BINARIES: tuple[tuple[bytes, str], ...] = (
    (b"%PDF", "a PDF document"),
    (b"PK\x03\x04", "a zip archive or an office document"),
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
    if data.startswith(_GZIP):
        content, problems = _gunzipped(name, data)
        if content is None:
            return None, problems
        data = content
        if data.startswith(_GZIP):
            return None, (_refused(name, "gzip inside gzip", "recording-refused"),)
    if not data.strip(b" \t\r\n\0\xef\xbb\xbf"):
        return None, (*problems, _refused(name, "a file with nothing in it", "recording-empty"))
    if found := _binary(data):
        return None, (*problems, _refused(name, found, "recording-binary"))
    if found := _other_text(data):
        return None, (*problems, _refused(name, found, "recording-other-format"))
    return data, problems


def _gunzipped(name: str, data: bytes) -> tuple[bytes | None, tuple[Problem, ...]]:
    """Everything inside, member after member, up to the bounds; a cut file gives what is there."""
    parts: list[bytes] = []
    size = offset = members = 0
    while data.startswith(_GZIP, offset):
        unpacker = zlib.decompressobj(wbits=31)
        members += 1
        while not unpacker.eof:
            piece = data[offset : offset + _PIECE_BYTES]
            try:
                parts.append(unpacker.decompress(piece, _STEP_BYTES))
            except zlib.error:
                return _so_far(name, parts, "damaged gzip data")
            offset += len(piece) - len(unpacker.unconsumed_tail) - len(unpacker.unused_data)
            size += len(parts[-1])
            if size > LARGEST_UNPACKED_BYTES or members > _MOST_MEMBERS:
                found = f"more than {LARGEST_UNPACKED_BYTES / 1e6:,.0f} MB inside a gzip file"
                found = found if members <= _MOST_MEMBERS else f"more than {_MOST_MEMBERS} files in one gzip file"
                return None, (_refused(name, found, "recording-too-large"),)
            if not piece and not parts[-1]:
                return _so_far(name, parts, "a gzip file that is cut")
    return b"".join(parts), ()


def _so_far(name: str, parts: list[bytes], found: str) -> tuple[bytes | None, tuple[Problem, ...]]:
    content = b"".join(parts)
    if not content:
        return None, (_refused(name, found, "recording-damaged"),)
    remedy = "Only what stands before it was read; see whether the recording ends where the flight did."
    return content, (Problem(name, "", found, "a whole file", remedy, "recording-damaged"),)


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
    if gpx.recognises(data):
        return ""
    head = data[:4096].lstrip(b"\xef\xbb\xbf \t\r\n").lower()
    for mark, found in _OPEN_TEXTS:
        if head.startswith(mark) or (mark[:1] in b'<h"' and mark in head and head[:1] in b"<a{"):
            return found
    return "XML that is no GPX" if head.startswith(b"<?xml") else ""


def _refused(name: str, found: str, code: str) -> Problem:
    known = " or ".join(each.NAME for each in FORMATS)
    remedy = f"Export the recording as {known} and send that file."
    return Problem(name, "", found, f"a recording in {known}", remedy, code)
