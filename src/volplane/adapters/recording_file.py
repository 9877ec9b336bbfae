"""A recorder's file on disk, read no further than a recording can be long."""

from __future__ import annotations

import pathlib

from volplane.errors import FilesRefused, Problem
from volplane.services.recordings import LARGEST_FILE_BYTES


def read_file(path: pathlib.Path) -> bytes:
    """The bytes of a file, at most one more than the largest recording accepted.

    :raises FilesRefused: there is no such file, it is a folder, or it may not be read.
    """
    try:
        if not path.is_file():
            found = "a folder" if path.is_dir() else "no such file" if not path.exists() else "no ordinary file"
            raise _refused(path, found, "Check the name, or give the path from where the command is run.")
        with path.open("rb") as stream:
            return stream.read(LARGEST_FILE_BYTES + 1)
    except OSError as error:
        reason = (error.strerror or "an unknown fault").lower()
        raise _refused(path, f"a file that cannot be read ({reason})", "Check who may read it.") from error


def _refused(path: pathlib.Path, found: str, remedy: str) -> FilesRefused:
    return FilesRefused((Problem(str(path), "", found, "a recording", remedy, "file-unreadable"),))
