"""XML read as a stream of elements, within bounds: nothing is kept but what its reader keeps, no entity is resolved.

A file that is cut or damaged has told its reader what stands before the damage. What no recording needs (a document
type, elements without bottom, tags without end) stops the reading at once.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field
from typing import Protocol
from xml.parsers import expat

from volplane.errors import Problem

HEAD_BYTES = 65_536
# elements inside elements; a fix with extensions needs some eight
_DEEPEST = 64
# what stands before, between and inside fixes, generously; ours
_MOST_ELEMENTS = 200_000
_MOST_ELEMENTS_A_FIX = 40
# a day at ten fixes a second; ours
MOST_FIXES = 900_000
_CHUNK_BYTES = 262_144
# no tag, text or comment of a recording is that long
_LONGEST_TOKEN_BYTES = 4 * _CHUNK_BYTES
_LONGEST_TEXT = 128
_DOCUMENT_TYPE = re.compile(rb"<!(?:DOCTYPE|ENTITY)")
_ENDS_EARLY = tuple(
    expat.errors.codes[each] for each in (expat.errors.XML_ERROR_NO_ELEMENTS, expat.errors.XML_ERROR_UNCLOSED_TOKEN)
)


class Reader(Protocol):
    """What makes fixes of elements; tags come without their prefix."""

    @property
    def fixes(self) -> int:
        """How many fixes were read so far."""
        ...

    def start(self, tag: str, attributes: dict[str, str], depth: int) -> bool:
        """An element begins; whether its text is wanted."""
        ...

    def end(self, tag: str, text: str, depth: int) -> None:
        """An element ends; its text is empty unless it was wanted."""
        ...


def is_rooted(data: bytes, root: re.Pattern[bytes]) -> bool:
    """Whether a text begins as XML and an element that fits the pattern is among its first bytes."""
    head = data[:HEAD_BYTES]
    if head.startswith((b"\xff\xfe", b"\xfe\xff")):
        head = head.decode("utf-16", errors="replace").encode("utf-8")
    return head.lstrip(b"\xef\xbb\xbf \t\r\n").startswith(b"<") and root.search(head) is not None


def read(name: str, format_name: str, data: bytes, reader: Reader, most_fixes: int = MOST_FIXES) -> Problem | None:
    """Lead a reader through a whole file; a problem when it ended early, of the code "recording-damaged" when cut."""
    if _DOCUMENT_TYPE.search(data[:HEAD_BYTES]):
        return _document_type(name, format_name)
    return _Walk(name, format_name, reader, most_fixes).through(data)


class _Refused(Exception):  # raised inside the parser's callbacks to stop it, and caught here
    def __init__(self, problem: Problem) -> None:
        super().__init__(problem.found)
        self.problem = problem


@dataclass(slots=True)
class _Walk:
    """The way through a file: how deep, how many elements, and the text wanted of the element that is open."""

    name: str
    format_name: str
    reader: Reader
    most_fixes: int
    depth: int = 0
    elements: int = 0
    text: list[str] = field(default_factory=list)
    text_depth: int = 0
    text_length: int = 0

    def through(self, data: bytes) -> Problem | None:
        """Read all of it; the problem that ended it early."""
        parser = expat.ParserCreate()
        parser.buffer_text = True
        parser.StartElementHandler = self._start
        parser.EndElementHandler = self._end
        parser.CharacterDataHandler = self._characters
        parser.StartDoctypeDeclHandler = self._doctype
        parser.EntityDeclHandler = self._doctype
        data = data.lstrip(b" \t\r\n")  # nothing may stand before the declaration, and some recorders leave a line
        try:
            for start in range(0, len(data), _CHUNK_BYTES):
                chunk = data[start : start + _CHUNK_BYTES]
                parser.Parse(chunk, False)
                if start + len(chunk) - max(parser.CurrentByteIndex, 0) > _LONGEST_TOKEN_BYTES:
                    place = f"line {parser.CurrentLineNumber}"
                    raise _Refused(_hostile(self.name, place, "a tag or text without end"))
            parser.Parse(b"", True)
        except _Refused as refused:
            return refused.problem
        except expat.ExpatError as error:
            is_cut = error.code in _ENDS_EARLY
            found = "the end of the file in the middle" if is_cut else f"damaged XML ({expat.ErrorString(error.code)})"
            return _damaged(self.name, error.lineno, found)
        except (LookupError, ValueError):
            return _damaged(self.name, parser.CurrentLineNumber, "an unknown encoding")
        return None

    def _doctype(self, *_: object) -> None:
        raise _Refused(_document_type(self.name, self.format_name))

    def _start(self, tag: str, attributes: dict[str, str]) -> None:
        self.depth += 1
        self.elements += 1
        if self.depth > _DEEPEST:
            raise _Refused(_hostile(self.name, "", f"elements more than {_DEEPEST} deep"))
        if self.elements > _MOST_ELEMENTS + _MOST_ELEMENTS_A_FIX * self.reader.fixes:
            raise _Refused(_hostile(self.name, "", f"{self.elements:,} elements and hardly a track point"))
        if self.reader.start(tag.rpartition(":")[2], attributes, self.depth):
            self.text, self.text_depth, self.text_length = [], self.depth, 0

    def _characters(self, text: str) -> None:
        if self.text_depth and self.text_length < _LONGEST_TEXT:
            self.text.append(text[:_LONGEST_TEXT])
            self.text_length += len(self.text[-1])

    def _end(self, tag: str) -> None:
        text = ""
        if self.text_depth == self.depth:
            text, self.text_depth = "".join(self.text), 0
        self.reader.end(tag.rpartition(":")[2], text, self.depth)
        self.depth -= 1
        if self.reader.fixes > self.most_fixes:
            raise _Refused(_hostile(self.name, "", f"more than {self.most_fixes:,} fixes"))


def _document_type(name: str, format_name: str) -> Problem:
    remedy = "A recording needs none; export it once more from the recorder's own program."
    found = "a document type or an entity"
    return Problem(name, "", found, f"plain {format_name}", remedy, "document-type-refused")


def _hostile(name: str, place: str, found: str) -> Problem:
    remedy = "Export the recording of the lesson once more."
    return Problem(name, place, found, "track points of a flight", remedy, "recording-refused")


def _damaged(name: str, line: int, found: str) -> Problem:
    remedy = "Only what stands before it was read; see whether the recording ends where the flight did."
    return Problem(name, f"line {line}", found, "well-formed XML to the end", remedy, "recording-damaged")
