"""Where tables of runway ends lie: the shipped one in the package, the user's own in the folder of their data."""

from __future__ import annotations

import contextlib
import datetime
import os
import pathlib
import sys

from volplane.adapters.runways.compact import LARGEST_TEXT_BYTES, CompactTable, read_compact
from volplane.errors import FilesRefused, Problem

FILE_NAME = "runway_ends.tsv.gz"
SHIPPED = pathlib.Path(__file__).parents[1] / "data" / FILE_NAME


def data_folder() -> pathlib.Path:
    """The folder of the user's data: `VOLPLANE_DATA`, else where this system keeps such things."""
    named = os.environ.get("VOLPLANE_DATA")
    if named:
        return pathlib.Path(named)
    if sys.platform == "darwin":
        return pathlib.Path.home() / "Library" / "Application Support" / "Volplane"
    base = os.environ.get("LOCALAPPDATA") or os.environ.get("XDG_DATA_HOME")
    return (pathlib.Path(base) if base else pathlib.Path.home() / ".local" / "share") / "volplane"


def current_table() -> CompactTable:
    """The user's own table if there is one, else the shipped one.

    :raises FilesRefused: the own one is damaged or cannot be read.
    """
    own = data_folder() / FILE_NAME
    if not own.exists():
        return read_compact(SHIPPED.read_bytes(), SHIPPED.name, is_own=False)
    try:
        return read_compact(own.read_bytes(), str(own), is_own=True)
    except OSError as fault:
        raise _refused(own, fault) from fault


def keep_own(data: bytes) -> pathlib.Path:
    """Put a table in place of the shipped one, whole or not at all.

    :raises FilesRefused: the folder cannot be written.
    """
    own = data_folder() / FILE_NAME
    part = own.with_name(f".{FILE_NAME}.{os.getpid()}.part")
    try:
        own.parent.mkdir(parents=True, exist_ok=True)
        part.write_bytes(data)
        os.replace(part, own)
    except BaseException as fault:
        with contextlib.suppress(OSError):
            part.unlink(missing_ok=True)
        if isinstance(fault, OSError):
            raise _refused(own, fault) from fault
        raise
    return own


def forget_own() -> bool:
    """Take the user's own table away; whether there was one.

    :raises FilesRefused: it cannot be removed.
    """
    own = data_folder() / FILE_NAME
    try:
        own.unlink()
    except FileNotFoundError:
        return False
    except OSError as fault:
        raise _refused(own, fault) from fault
    return True


def read_raw_file(path: pathlib.Path) -> tuple[bytes, str]:
    """The bytes of a raw table and the day it was last changed (ISO).

    :raises FilesRefused: missing, no ordinary file, or not readable.
    """
    try:
        if not path.is_file():
            found = "a folder" if path.is_dir() else "no such file"
            problem = Problem(str(path), "", found, "a table (CSV)", "Check its name and folder.", "file-missing")
            raise FilesRefused((problem,))
        with path.open("rb") as file:
            changed_s = os.fstat(file.fileno()).st_mtime
            data = file.read(LARGEST_TEXT_BYTES + 1)
    except OSError as fault:
        raise _refused(path, fault) from fault
    return data, datetime.datetime.fromtimestamp(changed_s, datetime.UTC).date().isoformat()


def _refused(path: pathlib.Path, fault: OSError) -> FilesRefused:
    found = f"a place that cannot be used ({(fault.strerror or type(fault).__name__).lower()})"
    remedy = "Check who may read and write there, or name another folder in VOLPLANE_DATA."
    return FilesRefused((Problem(str(path), "", found, "one that can", remedy, "data-folder"),))
