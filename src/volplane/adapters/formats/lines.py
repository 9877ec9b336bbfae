"""Lines of a table of text, one after the other, numbered; a quote that is never closed spoils one line only."""

from __future__ import annotations

import codecs
import csv
import io
from collections.abc import Iterator

from volplane.errors import Problem

# a line with every channel of a panel is a few thousand letters; ours
LONGEST_LINE = 32_768
# lines read in the hope of a fix before, and for each fix between; ours
_LINES_IN_HOPE = 200_000
_LINES_A_FIX = 40
DELIMITERS = (",", ";", "\t", "|")


def encoding_of(data: bytes) -> str:
    """The encoding of a text by its first bytes: a byte order mark, else UTF-8 where it is, else Windows Latin."""
    if data.startswith((codecs.BOM_UTF16_LE, codecs.BOM_UTF16_BE)):
        return "utf-16"
    try:
        codecs.getincrementaldecoder("utf-8")().decode(data[:200_000])
    except UnicodeDecodeError:
        return "cp1252"
    return "utf-8-sig"


def lines(data: bytes) -> Iterator[tuple[int, str | None, bool]]:
    """(number from 1, text without its end, whether the end was there); None for a line too long for a table."""
    stream = io.TextIOWrapper(io.BytesIO(data), encoding=encoding_of(data), errors="replace", newline=None)
    number = 0
    while text := stream.readline(LONGEST_LINE):
        number += 1
        is_whole = text.endswith("\n")
        if is_whole or len(text) < LONGEST_LINE:
            yield number, text.rstrip("\n"), is_whole
            continue
        while text and not text.endswith("\n"):
            text = stream.readline(LONGEST_LINE)
        yield number, None, bool(text)


def is_hopeless(lines_read: int, fixes: int) -> bool:
    """Whether a file holds so many lines and so few fixes that it is no recording; bounds the time it takes."""
    return lines_read > _LINES_IN_HOPE + _LINES_A_FIX * fixes


def hopeless(name: str, lines_read: int) -> Problem:
    """The refusal of such a file."""
    found = f"{lines_read:,} lines and hardly a fix"
    remedy = "Export the recording of the lesson once more."
    return Problem(name, "", found, "a recorded track", remedy, "recording-refused")


def cells(line: str, delimiter: str) -> list[str]:
    """The cells of one line, quotes taken off."""
    if '"' not in line:
        return [cell.strip() for cell in line.split(delimiter)]
    try:
        row = next(csv.reader([line], delimiter=delimiter, skipinitialspace=True), [])
    except csv.Error:
        return [cell.strip() for cell in line.split(delimiter)]
    return [cell.strip() for cell in row]
