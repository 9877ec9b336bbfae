"""A file of JSON lines that is its own journal: a line counts when it is whole, and a whole line is never lost.

A line is handed to the disk before the next is begun. What a kill left of a line, at the end, is dropped when the file
is taken up again. Two runs cannot write one file at the same time.
"""

from __future__ import annotations

import contextlib
import json
import os
import pathlib
from collections.abc import Callable
from typing import Any

from volplane.errors import FilesRefused, Problem


class Journal:
    """The file, open at its end; to be used as a context."""

    def __init__(self, path: pathlib.Path, descriptor: int) -> None:
        self._path = path
        self._descriptor = descriptor

    def __enter__(self) -> Journal:
        return self

    def __exit__(self, *ending: object) -> None:
        os.close(self._descriptor)

    def append(self, line: str) -> None:
        """Write a line, whole and to the disk. :raises FilesRefused: it cannot be; nothing of it is left."""
        data = line.encode() + b"\n"
        before_bytes = os.fstat(self._descriptor).st_size
        try:
            written = 0
            while written < len(data):
                written += os.write(self._descriptor, data[written:])
            os.fsync(self._descriptor)
        except OSError as fault:
            with contextlib.suppress(OSError):
                os.ftruncate(self._descriptor, before_bytes)
            raise _not_writable(self._path, fault) from fault


def new_journal(path: pathlib.Path) -> Journal:
    """A journal with nothing in it. :raises FilesRefused: there is a file already, or none can be made there."""
    try:
        descriptor = os.open(path, os.O_WRONLY | os.O_CREAT | os.O_EXCL | os.O_APPEND | _BINARY, 0o644)
    except FileExistsError:
        found, expected = "results of an earlier run", "a new file"
        remedy = "Go on with it by --resume, or name another file."
        raise FilesRefused((Problem(str(path), "", found, expected, remedy, "results-there"),)) from None
    except OSError as fault:
        raise _not_writable(path, fault) from fault
    return _locked(path, descriptor)


def resumed_journal(path: pathlib.Path, seen: Callable[[dict[str, Any]], bool]) -> Journal:
    """The journal there, or a new one. Every whole line is shown to `seen`; one it does not want kept is taken out.

    :raises FilesRefused: it is no journal, it cannot be written, or another run is writing it.
    """
    if not path.exists():
        return new_journal(path)
    try:
        journal = _locked(path, os.open(path, os.O_RDWR | os.O_APPEND | _BINARY))
    except OSError as fault:
        raise _not_writable(path, fault) from fault
    try:
        with path.open("rb") as stream:
            lines = [line for line in stream if line.endswith(b"\n")]
        kept = [line for number, line in enumerate(lines, start=1) if seen(_entry(path, number, line))]
    except BaseException:
        journal.__exit__()
        raise
    if kept == lines:
        os.ftruncate(journal._descriptor, sum(map(len, kept)))
        return journal
    journal.__exit__()
    return _rewritten(path, kept)


def _rewritten(path: pathlib.Path, lines: list[bytes]) -> Journal:
    """The journal with these lines only, in the place of the old one all at once."""
    part = path.with_name(f".{path.name}.{os.getpid()}.part")
    try:
        with part.open("wb") as stream:
            stream.writelines(lines)
            stream.flush()
            os.fsync(stream.fileno())
        os.replace(part, path)
        return _locked(path, os.open(path, os.O_RDWR | os.O_APPEND | _BINARY))
    except OSError as fault:
        part.unlink(missing_ok=True)
        raise _not_writable(path, fault) from fault


def _entry(path: pathlib.Path, number: int, line: bytes) -> dict[str, Any]:
    try:
        entry = json.loads(line)
    except ValueError:
        entry = None
    if not isinstance(entry, dict):
        found, expected = "text that is no JSON object", "a line of results"
        remedy = "Name the file an earlier run wrote."
        raise FilesRefused((Problem(str(path), f"line {number}", found, expected, remedy, "results-unreadable"),))
    return entry


# without it Windows writes two letters at the end of a line
_BINARY: int = getattr(os, "O_BINARY", 0)


def _locked(path: pathlib.Path, descriptor: int) -> Journal:
    """Keep others from writing the file as long as it is open; the system forgets it with the process."""
    try:
        import fcntl

        fcntl.flock(descriptor, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except ImportError:
        # this system has no such lock; the page says so
        return Journal(path, descriptor)
    except OSError:
        os.close(descriptor)
        found, expected = "results another run is writing", "results nobody writes"
        remedy = "Wait for that run, or name another file."
        raise FilesRefused((Problem(str(path), "", found, expected, remedy, "results-in-use"),)) from None
    return Journal(path, descriptor)


def _not_writable(path: pathlib.Path, fault: OSError) -> FilesRefused:
    found = f"a place that cannot be written ({fault.strerror or type(fault).__name__})"
    remedy = "Free the place, or write to another; what is there stays as it is."
    return FilesRefused((Problem(str(path), "", found, "a place that can be written", remedy, "output-not-writable"),))
