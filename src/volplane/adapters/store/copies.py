"""Whole copies of a store: backup, export, and the way back, which is looked through before anything is replaced."""

from __future__ import annotations

import contextlib
import os
import pathlib
import shutil
import sqlite3
import tempfile
import zipfile
from collections.abc import Iterator
from datetime import UTC, datetime

from alembic import command
from alembic.util.exc import CommandError
from sqlalchemy import Connection, Engine, MetaData, delete, insert, select

from volplane.adapters.store import archive
from volplane.adapters.store import engine as door
from volplane.adapters.store.inspecting import counts, inspected
from volplane.adapters.store.migrating import bring_up_to_date, revision_of, settings_of
from volplane.adapters.store.rows import Rows
from volplane.adapters.store.tables import METADATA, ORIGINAL, RECORDING
from volplane.errors import FilesRefused, Problem
from volplane.services.keeping import StoreFault, StoreUnusable
from volplane.services.safekeeping import Restored, WrittenOut

_ZIP_MARK = b"PK"
# rows written in one go
_AT_ONCE = 200


def back_up(engine: Engine, path: pathlib.Path) -> WrittenOut:
    """Write a consistent copy while others go on writing: the file itself, or of a server an archive of open files.

    A name that ends in .zip asks for the archive. The copy is whole or not there, and was read back.

    :raises FilesRefused: it cannot be written there.
    """
    with _written(path) as part:
        if door.is_file(engine) and path.suffix.lower() != ".zip":
            with door.faults_told(engine):
                _copy_file(door.file_of(engine), part)
            held = _held_by(part)
        else:
            with archive.into_zip(part) as put:
                held = _export(engine, put)
    return WrittenOut(door.place_of(engine.url), str(path), held)


def export(engine: Engine, folder: pathlib.Path, records: archive.Records | None = None) -> WrittenOut:
    """Write everything, or these records, as open files into a new folder; it is whole or not there.

    :raises FilesRefused: something is there, or it cannot be written.
    """
    if folder.exists() and (not folder.is_dir() or any(folder.iterdir())):
        problem = Problem(
            str(folder), "", "something that is there", "a new or empty folder", "Name another.", "output-exists"
        )
        raise FilesRefused((problem,))
    with _written(folder) as part:
        part.mkdir()
        held = _export(engine, archive.into_folder(part), records)
    return WrittenOut(door.place_of(engine.url), str(folder), held)


def export_archive(engine: Engine, records: archive.Records) -> bytes:
    """These records as open files in one archive, held in memory; nothing of it is left on the disk."""
    with tempfile.TemporaryDirectory() as folder:
        path = pathlib.Path(folder, "export.zip")
        with archive.into_zip(path) as put:
            _export(engine, put, records)
        return path.read_bytes()


def restore(place: str, path: pathlib.Path, aside_folder: pathlib.Path, now_unix_s: float) -> Restored:
    """Put a backup or export in the place of a store.

    What was there is kept aside first: a file beside itself, what was on a server in `aside_folder`.

    The backup is copied, led to today's schema and looked through; the store is changed in one transaction. A file that
    is damaged is moved aside as it is.

    :raises FilesRefused: the backup cannot be used.
    :raises StoreUnusable: the store cannot be written.
    """
    engine = door.make_engine(door.url_of(place))
    beside = door.file_of(engine).absolute().parent if door.is_file(engine) else aside_folder
    with _room_beside(beside) as folder:
        staged = _staged(path, folder)
        _refuse_unsound(path, staged)
        aside = _put_aside(engine, beside, now_unix_s)
        bring_up_to_date(engine)
        with door.reading(staged) as source, door.writing(engine) as target:
            _replace_all(source, target)
            held = counts(target)
        staged.dispose()
    if door.is_file(engine):
        _write_anew(engine)
    place = door.place_of(engine.url)
    engine.dispose()
    return Restored(place, str(path), held, aside)


@contextlib.contextmanager
def _room_beside(folder: pathlib.Path) -> Iterator[pathlib.Path]:
    """A folder to work in, gone afterwards.

    :raises StoreUnusable: it cannot be made.
    """
    try:
        folder.mkdir(parents=True, exist_ok=True)
        room = tempfile.TemporaryDirectory(prefix=".volplane-restore-", dir=folder)
    except OSError as fault:
        raise StoreUnusable(str(folder), StoreFault.FOLDER, (fault.strerror or "").lower()) from fault
    with room as name:
        yield pathlib.Path(name)


def _export(engine: Engine, put: archive.Put, records: archive.Records | None = None) -> dict[str, int]:
    with door.reading(engine) as connection:
        rows = Rows(connection)
        chosen = archive.all_records(rows) if records is None else records
        archive.write_files(chosen, rows.original, str(revision_of(connection)), put)
    return archive.counted(chosen)


def _staged(path: pathlib.Path, folder: pathlib.Path) -> Engine:
    """A copy of a backup as a store of its own, with today's schema."""
    engine = door.make_engine(door.url_of(str(folder / "staged.sqlite")))
    try:
        with contextlib.ExitStack() as stack:
            if path.is_dir():
                _load(engine, archive.read_export(archive.FolderSource(path)))
            else:
                with path.open("rb") as file:
                    mark = file.read(len(door.FILE_MARK))
                if mark == door.FILE_MARK:
                    _copy_file(path, door.file_of(engine))
                elif mark.startswith(_ZIP_MARK):
                    source = archive.ZipSource(path)
                    stack.callback(source.close)
                    _load(engine, archive.read_export(source))
                else:
                    raise _not_usable(
                        path, "no backup", "a file that volplane backup wrote, or a folder of volplane export"
                    )
            bring_up_to_date(engine)
    except OSError as fault:
        raise _not_usable(
            path, (fault.strerror or "a fault of the disk").lower(), "a backup that can be read"
        ) from fault
    except CommandError as fault:
        raise _too_new(path) from fault
    except (sqlite3.DatabaseError, StoreUnusable, ValueError, TypeError, zipfile.BadZipFile) as fault:
        if isinstance(fault, StoreUnusable) and fault.fault is StoreFault.TOO_NEW:
            raise _too_new(path) from fault
        raise _not_usable(path, f"a damaged backup ({fault})", "a sound one") from fault
    return engine


def _load(engine: Engine, export: archive.Export) -> None:
    """Make a store of the export's own schema and fill it."""
    settings = settings_of()
    with door.writing(engine) as connection:
        settings.attributes["connection"] = connection
        command.upgrade(settings, export.store_schema)
        known = MetaData()
        known.reflect(connection)
        for table in known.sorted_tables:
            if table.name in ("alembic_version", ORIGINAL.name):
                continue
            for row in export.rows(table.name):
                original = row.pop("original", None)
                connection.execute(insert(table).values(row))
                if original is not None:
                    data = export.read(str(original))
                    connection.execute(insert(known.tables[ORIGINAL.name]).values(key=row["key"], data=data))


def _refuse_unsound(path: pathlib.Path, staged: Engine) -> None:
    found = inspected(staged)
    if not found.is_sound:
        first = found.faults[0]
        said = f"{first.finding.value}, {first.kind} {first.key} {first.said}".strip()
        raise _not_usable(path, f"a damaged backup ({said})", "a sound one")


def _put_aside(engine: Engine, folder: pathlib.Path, now_unix_s: float) -> str | None:
    """Keep what is there: a copy of a store that can be read, the files themselves of one that cannot."""
    stamp = datetime.fromtimestamp(now_unix_s, UTC).strftime("%Y%m%dT%H%M%SZ")
    if not door.is_file(engine):
        bring_up_to_date(engine)
        aside = _free_name(folder / f"volplane-before-restore-{stamp}.zip")
        back_up(engine, aside)
        return str(aside)
    file = door.file_of(engine)
    if not file.exists():
        return None
    aside = _free_name(folder / f"{file.stem}-before-restore-{stamp}.sqlite")
    try:
        back_up(engine, aside)
    except StoreUnusable as fault:
        if fault.fault not in (StoreFault.DAMAGED, StoreFault.NOT_A_STORE):
            raise
        for ending in ("", "-wal", "-shm"):
            with contextlib.suppress(FileNotFoundError):
                os.replace(f"{file}{ending}", f"{aside}{ending}")
    return str(aside)


def _free_name(path: pathlib.Path) -> pathlib.Path:
    tries = (path.with_stem(f"{path.stem}-{number}") for number in range(2, 10_000))
    return path if not path.exists() else next(each for each in tries if not each.exists())


def _replace_all(source: Connection, target: Connection) -> None:
    """Everything of one store in the place of everything of another, inside their transactions."""
    for table in reversed(METADATA.sorted_tables):
        target.execute(delete(table))
    for table in METADATA.sorted_tables:
        if table is not ORIGINAL:
            for rows in source.execute(select(table)).mappings().partitions(_AT_ONCE):
                target.execute(insert(table), [dict(row) for row in rows])
    for key in source.scalars(select(RECORDING.c.key)).all():
        data = source.scalar(select(ORIGINAL.c.data).where(ORIGINAL.c.key == key))
        target.execute(insert(ORIGINAL).values(key=key, data=data))


def _write_anew(engine: Engine) -> None:
    """Leave nothing of what was replaced in the file itself; it stays in the copy that was put aside."""
    with door.faults_told(engine), engine.connect().execution_options(**door.ALONE) as connection:
        connection.exec_driver_sql("VACUUM")
        connection.exec_driver_sql("PRAGMA wal_checkpoint(TRUNCATE)")


def _copy_file(source: pathlib.Path, target: pathlib.Path) -> None:
    """A consistent copy of a database file that may be in use, in one file that needs no other."""
    if not source.is_file():
        raise FileNotFoundError(2, "no such file", str(source))
    address = f"{source.resolve().as_uri()}?mode=ro"
    with (
        contextlib.closing(sqlite3.connect(address, uri=True, timeout=door.BUSY_TIMEOUT_MS / 1000.0)) as reading,
        contextlib.closing(sqlite3.connect(target)) as writing,
    ):
        reading.backup(writing)
        writing.execute("PRAGMA journal_mode=DELETE")


def _held_by(copy: pathlib.Path) -> dict[str, int]:
    """Read a copy back: is it sound, and how many records of each kind are in it."""
    engine = door.make_engine(door.url_of(str(copy)), is_copy=True)
    try:
        found = inspected(engine)
    finally:
        engine.dispose()
    if not found.is_sound:
        raise StoreUnusable(str(copy), StoreFault.DAMAGED, found.faults[0].said)
    return dict(found.counts)


@contextlib.contextmanager
def _written(path: pathlib.Path) -> Iterator[pathlib.Path]:
    """A file or folder that is whole or not there: made under another name and renamed when it has reached the disk.

    :raises FilesRefused: it cannot be written.
    """
    part = path.with_name(f".volplane-{os.getpid()}-{path.name}.part")
    try:
        try:
            yield part
            _flush(part)
            if path.is_dir():
                path.rmdir()
            os.replace(part, path)
            _flush_folder(path.parent)
        except BaseException:
            shutil.rmtree(part, ignore_errors=True) if part.is_dir() else part.unlink(missing_ok=True)
            raise
    except OSError as fault:
        found = f"a place that cannot be written ({fault.strerror or type(fault).__name__})"
        remedy = "Free the place, or write to another."
        raise FilesRefused(
            (Problem(str(path), "", found, "a place that can", remedy, "output-not-writable"),)
        ) from fault


def _flush(path: pathlib.Path) -> None:
    for each in (path, *path.rglob("*")) if path.is_dir() else (path,):
        if each.is_file():
            with each.open("rb+") as file:
                os.fsync(file.fileno())


def _flush_folder(folder: pathlib.Path) -> None:
    # a rename reaches the disk with its folder; some systems open no folders
    with contextlib.suppress(OSError):
        opened = os.open(folder, os.O_RDONLY)
        try:
            os.fsync(opened)
        finally:
            os.close(opened)


def _too_new(path: pathlib.Path) -> FilesRefused:
    return _not_usable(path, "the backup of a newer Volplane", "one that this Volplane knows")


def _not_usable(path: pathlib.Path, found: str, expected: str) -> FilesRefused:
    remedy = "Nothing was changed; take another backup."
    return FilesRefused((Problem(str(path), "", found, expected, remedy, "backup-not-usable"),))
