"""Files inside files: gzip members and the one recording of a zip archive (KMZ), unpacked within bounds.

What a header promises is not believed: the bytes that come out are counted. A cut or damaged archive gives what stands
before the damage. (RFC 1952, GZIP file format 4.3; PKWARE, .ZIP File Format Specification, 6.3, sections 4.3.7 and
4.3.16.)
"""

from __future__ import annotations

import io
import struct
import zipfile
import zlib
from dataclasses import dataclass

GZIP = b"\x1f\x8b"
ZIP = b"PK\x03\x04"
# unpacked; ours
LARGEST_UNPACKED_BYTES = 256_000_000
_STEP_BYTES = 1_048_576
_PIECE_BYTES = 65_536
# recorders that append a member at each start write a few; ours
_MOST_MEMBERS = 1000
# a recording with its pictures is a few files; the directory is read into memory before anything is known. Ours
_MOST_ENTRIES = 1000
_LARGEST_DIRECTORY_BYTES = 1_000_000
_DIRECTORY_END = struct.Struct("<4s4H2LH")
_DIRECTORY_END_MARK = b"PK\x05\x06"
_LOCAL_HEADER = struct.Struct("<4s5H3L2H")
_STORED, _DEFLATED = 0, 8
_IS_ENCRYPTED = 1
_LENGTH_FOLLOWS = 8


@dataclass(frozen=True, slots=True)
class Unpacked:
    """What came out of an archive: `content` None when refused; `found` says what is wrong, and `code` how bad."""

    content: bytes | None
    found: str = ""
    code: str = ""


def gunzipped(data: bytes) -> Unpacked:
    """Everything inside, member after member, up to the bounds."""
    parts: list[bytes] = []
    size = offset = members = 0
    while data.startswith(GZIP, offset):
        unpacker = zlib.decompressobj(wbits=31)
        members += 1
        while not unpacker.eof:
            piece = data[offset : offset + _PIECE_BYTES]
            try:
                parts.append(unpacker.decompress(piece, _STEP_BYTES))
            except zlib.error:
                return _so_far(parts, "damaged gzip data")
            offset += len(piece) - len(unpacker.unconsumed_tail) - len(unpacker.unused_data)
            size += len(parts[-1])
            if members > _MOST_MEMBERS:
                return _too_large(f"more than {_MOST_MEMBERS} files in one gzip file")
            if size > LARGEST_UNPACKED_BYTES:
                return _too_large(f"more than {LARGEST_UNPACKED_BYTES / 1e6:,.0f} MB inside a gzip file")
            if not piece and not parts[-1]:
                return _so_far(parts, "a gzip file that is cut")
    return Unpacked(b"".join(parts))


def unzipped(data: bytes, extensions: tuple[str, ...]) -> Unpacked:
    """The one recording in a zip archive, known by how its name ends; the first KML file of several (KMZ)."""
    offsets, fault = _entries(data, extensions)
    if fault is not None:
        return fault
    if not offsets:
        return Unpacked(None, "a zip archive without a recording, or an office document", "recording-binary")
    offset, size = offsets
    return _inflated(data, offset, size)


def _entries(data: bytes, extensions: tuple[str, ...]) -> tuple[tuple[int, int] | None, Unpacked | None]:
    """Where the recording's header stands and how long its packed data are; or what is wrong."""
    tail = data[-65_557:]
    place = tail.rfind(_DIRECTORY_END_MARK)
    if place < 0 or len(tail) - place < _DIRECTORY_END.size:
        return _first_entry(data, extensions), None
    entries, directory_bytes = _DIRECTORY_END.unpack_from(tail, place)[4:6]
    if entries > _MOST_ENTRIES or directory_bytes > _LARGEST_DIRECTORY_BYTES or b"PK\x06\x07" in tail:
        return None, _too_large(f"more than {_MOST_ENTRIES} files in one zip archive")
    try:
        with zipfile.ZipFile(io.BytesIO(data)) as archive:
            found = [each for each in archive.infolist() if each.filename.lower().endswith(extensions)]
    except (zipfile.BadZipFile, ValueError, OSError, RuntimeError, struct.error):
        return _first_entry(data, extensions), None
    drawn = [each for each in found if each.filename.lower().endswith(".kml")]
    chosen = drawn[:1] or found
    if len(chosen) > 1:
        return None, Unpacked(None, f"a zip archive with {len(chosen)} recordings", "recording-refused")
    return next(((each.header_offset, each.compress_size) for each in chosen), None), None


def _first_entry(data: bytes, extensions: tuple[str, ...]) -> tuple[int, int] | None:
    """The first file of an archive whose directory is lost, if it is a recording."""
    if len(data) < _LOCAL_HEADER.size:
        return None
    header = _LOCAL_HEADER.unpack_from(data)
    name = data[_LOCAL_HEADER.size :][: header[9]].decode("utf-8", errors="replace").lower()
    size = header[7] if header[7] and not header[2] & _LENGTH_FOLLOWS else len(data)
    return (0, size) if name.endswith(extensions) else None


def _inflated(data: bytes, offset: int, size: int) -> Unpacked:
    # a damaged directory can point anywhere, also before the beginning
    if offset < 0 or not data.startswith(ZIP, offset) or len(data) - offset < _LOCAL_HEADER.size:
        return Unpacked(None, "a damaged zip archive", "recording-damaged")
    _, _, flags, method, _, _, checksum, _, _, name_length, extra_length = _LOCAL_HEADER.unpack_from(data, offset)
    if flags & _IS_ENCRYPTED:
        return Unpacked(None, "a zip archive with a password", "recording-refused")
    start = offset + _LOCAL_HEADER.size + name_length + extra_length
    packed = data[start : start + size]
    if method == _STORED:
        content, is_whole = packed, len(packed) == size
    elif method == _DEFLATED:
        content, is_whole = _deflated(packed)
    else:
        return Unpacked(None, "a zip archive packed in an unusual way", "recording-refused")
    if len(content) > LARGEST_UNPACKED_BYTES:
        return _too_large(f"more than {LARGEST_UNPACKED_BYTES / 1e6:,.0f} MB inside a zip archive")
    if checksum and not flags & _LENGTH_FOLLOWS:
        is_whole = is_whole and zlib.crc32(content) == checksum
    return Unpacked(content) if is_whole else _so_far([content], "a zip archive that is cut or damaged")


def _deflated(packed: bytes) -> tuple[bytes, bool]:
    """What comes out, at most one step more than the bound, and whether the end was reached."""
    unpacker = zlib.decompressobj(wbits=-15)
    parts: list[bytes] = []
    size = 0
    rest = packed
    try:
        while not unpacker.eof and size <= LARGEST_UNPACKED_BYTES:
            parts.append(unpacker.decompress(rest, _STEP_BYTES))
            rest = unpacker.unconsumed_tail
            size += len(parts[-1])
            if not parts[-1] and not rest:
                break
    except zlib.error:
        return b"".join(parts), False
    return b"".join(parts), unpacker.eof


def _so_far(parts: list[bytes], found: str) -> Unpacked:
    return Unpacked(b"".join(parts) or None, found, "recording-damaged")


def _too_large(found: str) -> Unpacked:
    return Unpacked(None, found, "recording-too-large")
