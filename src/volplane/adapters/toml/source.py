"""The text of a file and where its keys stand, so that every message can name the line."""

from __future__ import annotations

import os
import pathlib
import re
import stat
import tomllib
from dataclasses import dataclass, field
from typing import Any, Protocol

from volplane.errors import FilesRefused, Problem
from volplane.services.quantities import quoted

# an airplane, an airfield or an exercise is a page of text; more is some other file
LARGEST_BYTES = 1_000_000
_HEADER = re.compile(r"\s*\[\[?([^\[\]#]+)\]\]?\s*(?:#.*)?$")
_ASSIGNMENT = re.compile(r"""\s*([A-Za-z0-9_."'\s-]+?)\s*=""")
_PLACE = re.compile(r"\s*\(at (?:line (\d+), column (\d+)|end of document)\)\s*$")


@dataclass(frozen=True, slots=True)
class NamedText:
    """A file's text under the name that messages use."""

    name: str
    text: str


class TextResolver(Protocol):
    """Where the airplane and airfield files of an exercise come from."""

    def __call__(self, reference: str) -> NamedText:
        """The text a reference in an exercise file means.

        :raises FilesRefused: it cannot be read.
        """
        ...


@dataclass(frozen=True, slots=True)
class FolderTexts:
    """Files on disk; a relative reference counts from the folder of the file that holds it."""

    folder: pathlib.Path
    shown_folder: str = ""

    def __call__(self, reference: str) -> NamedText:
        """The text of a file; the name shown is the reference behind the folder as the user typed it."""
        return read_text(self.folder / reference, os.path.join(self.shown_folder, reference))


@dataclass(frozen=True, slots=True)
class HeldTexts:
    """Texts that are held in memory, by name, such as those of a page or a demo."""

    texts: dict[str, str] = field(default_factory=dict)

    def __call__(self, reference: str) -> NamedText:
        """The text of that name."""
        if reference not in self.texts:
            known = " or ".join(f'"{name}"' for name in sorted(self.texts))
            remedy = f"Name {known}, or give that file too." if known else "Give that file too."
            problem = Problem(reference, "", "no such file", "one of the files given", remedy, "file-missing")
            raise FilesRefused((problem,))
        return NamedText(reference, self.texts[reference])


def read_text(path: pathlib.Path, name: str) -> NamedText:
    """A small text file from disk, whatever is there instead answered in a sentence.

    :raises FilesRefused: missing, a folder, no ordinary file, not readable, too large, or not UTF-8.
    """
    name = "".join(letter if letter.isprintable() else "?" for letter in name)
    try:
        kind = path.stat().st_mode
        if stat.S_ISDIR(kind):
            raise _refused(name, "a folder", "a file", "Name the file in it.", "file-is-folder")
        if not stat.S_ISREG(kind):
            raise _refused(name, "no ordinary file", "a text file", "Name a TOML file.", "file-not-ordinary")
        with path.open("rb") as file:
            data = file.read(LARGEST_BYTES + 1)
    except (FileNotFoundError, NotADirectoryError):
        raise _refused(name, "no such file", "a TOML file", _remedy_for_missing(path), "file-missing") from None
    except (OSError, ValueError) as fault:
        # a name with a NUL or one that is too long, no permission, a broken disk: all the same to the reader
        why = getattr(fault, "strerror", None) or "its name cannot be used"
        raise _refused(
            name, f"a file that cannot be read ({why})", "a TOML file", "Check its name and rights.", "file"
        ) from None
    if len(data) > LARGEST_BYTES:
        remedy = "Name an airplane, airfield or exercise file; a recording goes to volplane debrief."
        raise _refused(name, "more than 1 MB", "a page of text", remedy, "file-too-large")
    try:
        return NamedText(name, data.decode("utf-8-sig"))
    except UnicodeDecodeError as fault:
        line = data.count(b"\n", 0, fault.start) + 1
        problem = Problem(
            name, f"line {line}", "a byte that is no UTF-8", "text in UTF-8", "Save the file as UTF-8.", "file-not-utf8"
        )
        raise FilesRefused((problem,)) from None


def parse(source: NamedText) -> dict[str, Any]:
    """The tables of a TOML text.

    :raises FilesRefused: the text is no TOML; the problem names the line.
    """
    try:
        return tomllib.loads(source.text.removeprefix("\ufeff"))
    except RecursionError:
        raise _refused(source.name, "brackets nested too deep", "plain tables", "Take brackets out.", "toml") from None
    except ValueError as fault:
        raise FilesRefused((_syntax_problem(source, str(fault)),)) from None


def _syntax_problem(source: NamedText, said: str) -> Problem:
    where = _PLACE.search(said)
    reason = _PLACE.sub("", said)
    reason = reason[:1].lower() + reason[1:]
    lines = source.text.splitlines()
    number = int(where[1]) if where and where[1] else len(lines)
    line = lines[number - 1].strip() if 0 < number <= len(lines) else ""
    return Problem(
        source.name,
        f"line {number}" if where else "",
        quoted(line) if line else "an unfinished line",
        'lines such as key = "value"',
        f"Check quotes, brackets and the equals sign ({reason[:100]}).",
        "toml-syntax",
    )


def line_numbers(text: str) -> dict[str, int]:
    """The line each key stands on, by its dotted path with list entries counted from 1: "runway[2].length".

    A reading aid, not a parser: a key it does not find is named without a line.
    """
    lines: dict[str, int] = {}
    counts: dict[str, int] = {}
    table = ""
    for number, line in enumerate(text.splitlines(), start=1):
        header = _HEADER.match(line)
        if header and "=" not in line.split("#")[0]:
            table = _dotted(header[1])
            if line.lstrip().startswith("[["):
                counts[table] = counts.get(table, 0) + 1
                table = f"{table}[{counts[table]}]"
            lines.setdefault(table, number)
        elif assignment := _ASSIGNMENT.match(line):
            key = _dotted(assignment[1])
            lines.setdefault(f"{table}.{key}" if table else key, number)
    return lines


def line_of(place: str, lines: dict[str, int]) -> int | None:
    """The line of a key, else of the nearest table or list that holds it."""
    while place:
        if place in lines:
            return lines[place]
        place = place[: max(place.rfind("."), place.rfind("["), 0)]
    return None


def _dotted(name: str) -> str:
    return ".".join(part.strip().strip("\"'") for part in name.split("."))


def _refused(name: str, found: str, expected: str, remedy: str, code: str) -> FilesRefused:
    return FilesRefused((Problem(name, "", found, expected, remedy, code),))


def _remedy_for_missing(path: pathlib.Path) -> str:
    """Names the nearest file beside the missing one, if any is near."""
    import difflib

    try:
        names = [each.name for each in path.parent.iterdir() if each.suffix == ".toml"][:200]
    except (OSError, ValueError):
        return "Check its name and folder."
    near = difflib.get_close_matches(path.stem, [name.removesuffix(".toml") for name in names], n=1, cutoff=0.6)
    return f'Did you mean "{near[0]}.toml"?' if near else "Check its name and folder."
