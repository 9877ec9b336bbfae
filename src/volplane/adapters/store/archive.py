"""Everything of a store as open files: TOML, JSON, recordings as they were sent, and a list of them with their hashes.

    manifest.json              every file with its SHA-256
    records/KIND.json          the records of a kind, by key; a long text or document stands in a file of its own
    texts/KIND/NAME/N.toml     the instructor's files, every state of them
    plans/, debriefs/, lessons/     documents
    recordings/SHA256/NAME     recordings byte for byte

The same records give the same bytes, whichever database they were in.
"""

from __future__ import annotations

import hashlib
import json
import pathlib
import re
import zipfile
import zlib
from collections.abc import Callable, Iterator, Mapping, Sequence
from contextlib import contextmanager
from dataclasses import dataclass
from typing import Any, Protocol

from volplane.adapters.store.rows import values_of
from volplane.adapters.store.tables import TABLES
from volplane.errors import FilesRefused, Problem
from volplane.services import kept
from volplane.services.keeping import Reader
from volplane.services.recordings import LARGEST_FILE_BYTES

SCHEMA = "volplane/export/1"
MANIFEST = "manifest.json"
# a table of records, or one document; far above any real one
_LARGEST_BYTES = 4 * LARGEST_FILE_BYTES
_TEXTS = {
    kept.FileText: "text",
    kept.KeptPlan: "document",
    kept.KeptDebrief: "document",
    kept.Lesson: "document",
}
# so that the same records make the same archive
_NO_DATE = (1980, 1, 1, 0, 0, 0)

Records = Mapping[type[kept.Record], Sequence[kept.Record]]
Put = Callable[[str, bytes], None]


def all_records(reader: Reader) -> Records:
    """Every record of a store, by kind and key."""
    return {kind: sorted(reader.find(kind), key=lambda record: record.key) for kind in TABLES}


def counted(records: Records) -> dict[str, int]:
    """How many records of each kind there are."""
    return {table.name: len(records.get(kind, ())) for kind, table in TABLES.items()}


def write_files(records: Records, original: Callable[[str], bytes], schema: str, put: Put) -> None:
    """Hand every file of an export to `put`, the list of them last."""
    listed: dict[str, dict[str, Any]] = {}

    def write(path: str, data: bytes) -> str:
        while path in listed:
            path = f"{path}_"
        listed[path] = {"sha256": hashlib.sha256(data).hexdigest(), "bytes": len(data)}
        put(path, data)
        return path

    files = {each.key: each for each in records.get(kept.InstructorFile, ()) if isinstance(each, kept.InstructorFile)}
    for kind, table in TABLES.items():
        rows = []
        for record in records.get(kind, ()):
            row = values_of(record)
            if kind in _TEXTS:
                row[_TEXTS[kind]] = {"file": write(_text_path(record, files), row[_TEXTS[kind]].encode())}
            if isinstance(record, kept.KeptRecording):
                path = f"recordings/{_safe(record.key)}/{_safe(record.name)}"
                row["original"] = {"file": write(path, original(record.key))}
            rows.append(row)
        write(f"records/{table.name}.json", _json(rows))
    put(MANIFEST, _json({"schema": SCHEMA, "store_schema": schema, "files": listed}))


def _text_path(record: kept.Record, files: Mapping[str, kept.InstructorFile]) -> str:
    if isinstance(record, kept.FileText):
        file = files[record.file]
        name = f"{_safe(file.name.removesuffix('.toml'))}-{_safe(file.key)[:8]}"
        return f"texts/{_safe(file.kind.value)}/{name}/{record.number}.toml"
    return f"{TABLES[type(record)].name}s/{_safe(record.key)}.json"


def _safe(name: str) -> str:
    """A name any file system takes."""
    plain = re.sub(r"[^A-Za-z0-9._-]+", "-", name).strip(".-")[-80:]
    return plain or "file"


def _json(value: object) -> bytes:
    return (json.dumps(value, ensure_ascii=False, allow_nan=False, indent=1, sort_keys=True) + "\n").encode()


@contextmanager
def into_zip(path: pathlib.Path) -> Iterator[Put]:
    """Puts files into a new archive."""
    with zipfile.ZipFile(path, "x", zipfile.ZIP_DEFLATED) as archive:

        def put(name: str, data: bytes) -> None:
            entry = zipfile.ZipInfo(name, _NO_DATE)
            entry.compress_type = zipfile.ZIP_DEFLATED
            archive.writestr(entry, data)

        yield put


def into_folder(folder: pathlib.Path) -> Put:
    """Puts files into a folder."""

    def put(name: str, data: bytes) -> None:
        path = folder / name
        path.parent.mkdir(parents=True, exist_ok=True)
        path.write_bytes(data)

    return put


class Source(Protocol):
    """Where the files of an export are read from: its name in messages, and a file's bytes (KeyError: none)."""

    name: str

    def read(self, path: str) -> bytes: ...


class FolderSource:
    """An export as a folder."""

    def __init__(self, folder: pathlib.Path) -> None:
        self.name, self._folder = str(folder), folder

    def read(self, path: str) -> bytes:
        """The bytes of a file of the export, and of none outside its folder."""
        file = self._folder / path
        if not file.resolve().is_relative_to(self._folder.resolve()) or not file.is_file():
            raise KeyError(path)
        with file.open("rb") as stream:
            return stream.read(_LARGEST_BYTES)


class ZipSource:
    """An export packed into one file."""

    def __init__(self, path: pathlib.Path) -> None:
        self.name, self._archive = str(path), zipfile.ZipFile(path)

    def read(self, path: str) -> bytes:
        """The bytes of a file of the export."""
        try:
            with self._archive.open(path) as stream:
                return stream.read(_LARGEST_BYTES)
        except (zipfile.BadZipFile, EOFError, OSError, RuntimeError, zlib.error) as fault:
            raise KeyError(path) from fault

    def close(self) -> None:
        """Let go of the file."""
        self._archive.close()


@dataclass(frozen=True, slots=True)
class Export:
    """An export whose list has been read: the store's schema, and each file held to its hash as it is read."""

    source: Source
    store_schema: str
    files: Mapping[str, Mapping[str, Any]]

    def read(self, path: str) -> bytes:
        """The bytes of a listed file.

        :raises FilesRefused: not listed, missing, or not as it was written.
        """
        listed = self.files.get(path)
        if listed is None:
            raise _refused(self.source.name, path, "a file that is not in the list", f"one listed in {MANIFEST}")
        try:
            data = self.source.read(path)
        except KeyError:
            raise _refused(self.source.name, path, "no such file", "every file that is listed") from None
        if hashlib.sha256(data).hexdigest() != listed.get("sha256"):
            raise _refused(self.source.name, path, "a file that was changed", "the bytes that were exported")
        return data

    def rows(self, table: str) -> list[dict[str, Any]]:
        """The rows of a kind, texts in place; `original` names the file of a recording's bytes.

        :raises FilesRefused: a file of it cannot be used.
        """
        path = f"records/{table}.json"
        if path not in self.files:
            return []
        rows = _parsed(self.source.name, path, self.read(path))
        if not isinstance(rows, list) or not all(isinstance(row, dict) for row in rows):
            raise _refused(self.source.name, path, "no list of records", "the records as they were exported")
        return [{name: self._value(name, value) for name, value in row.items()} for row in rows]

    def _value(self, name: str, value: object) -> object:
        if not isinstance(value, dict):
            return value
        path = str(value.get("file"))
        return path if name == "original" else self.read(path).decode("utf-8", errors="strict")


def read_export(source: Source) -> Export:
    """The list of an export.

    :raises FilesRefused: there is none, or it is of another kind of program.
    """
    try:
        data = source.read(MANIFEST)
    except KeyError:
        raise _refused(source.name, MANIFEST, "no such file", "an export or backup of Volplane") from None
    listed = _parsed(source.name, MANIFEST, data)
    files = listed.get("files") if isinstance(listed, dict) else None
    if not isinstance(listed, dict) or listed.get("schema") != SCHEMA or not isinstance(files, dict):
        raise _refused(source.name, MANIFEST, "no list of an export", f'"schema": "{SCHEMA}"')
    return Export(source, str(listed.get("store_schema")), files)


def _parsed(name: str, path: str, data: bytes) -> Any:
    try:
        return json.loads(data)
    except (ValueError, RecursionError):
        raise _refused(name, path, "no JSON", "the file as it was exported") from None


def _refused(name: str, path: str, found: str, expected: str) -> FilesRefused:
    remedy = "Nothing was changed; take another backup or export."
    return FilesRefused((Problem(name, path, found, expected, remedy, "backup-not-usable"),))
